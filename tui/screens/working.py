"""What a screen has worked out beside itself: asked for once typing rests, told to its pictures."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from textual.message import Message
from textual.timer import Timer

from tui.background.client import Errands
from tui.background.results import Beside
from tui.background.tasks import Done, Share
from tui.drawings.shown import Shown
from tui.form.fields import Tables
from tui.screens.once import Once

REST_S: Final = 0.3
"""How long typing has to rest before longer work is begun."""

LOOK_S: Final = 0.25
"""How often the progress of longer work is painted."""


class Said(Message):
    """How far an errand is, or what came of it."""

    def __init__(self, said: Share | Done) -> None:
        super().__init__()
        self.said = said


class Working(Once[None]):
    """A screen with longer work beside it; typing never waits for any of it."""

    def begin_work(self, folder: Path, job: Callable[[], tuple[Tables, str, str]]) -> None:
        """Get ready; `job` gives the fields, the unit system and the folder of profiles. Nothing is started yet."""
        self.beside = Beside(folder)
        self.errands = Errands(lambda said: self.post_message(Said(said)))
        self._job = job
        self._rest: Timer | None = None
        self._look: Timer | None = None

    def work_wanted(self) -> tuple[str, ...]:
        """What is to be worked out for what the screen shows."""
        raise NotImplementedError

    def work_more(self, what: str) -> tuple[str, ...]:  # noqa: ARG002
        """What else an errand of this kind is given."""
        return ()

    def work_told(self, what: str) -> None:
        """Something has come of an errand: paint it."""
        raise NotImplementedError

    def shown_beside(self, what: str) -> Shown:
        """What there is to draw of a kind."""
        return self.beside.shown(what)

    def work_later(self) -> None:
        """Something has changed: begin once it rests."""
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(REST_S, self.work_now)

    def work_now(self) -> None:
        """Ask for what is wanted and not known yet; what is wanted no more is stopped."""
        if not self.is_attached:
            return
        wanted = self.work_wanted()
        given_up = [what for what in self.beside.under_way if what not in wanted]
        if given_up:
            self.errands.stop(*given_up)
        if not wanted:
            return
        data, system, profiles = self._job()
        for what in wanted:
            errand = self.beside.wanted(what, data, system, profiles, self.work_more(what))
            if errand is not None:
                self.errands.ask(errand)
            self.work_told(what)
        if self._look is None and self.beside.under_way:
            self._look = self.set_interval(LOOK_S, self._watch)

    def _watch(self) -> None:
        for what in self.beside.under_way:
            self.work_told(what)
        if not self.beside.under_way and self._look is not None:
            self._look.stop()
            self._look = None

    def on_said(self, message: Said) -> None:
        """Take it over."""
        self.work_said(message.said)

    def work_said(self, said: Share | Done) -> None:
        """Take it over."""
        self.beside.take(said)
        if isinstance(said, Done):
            self.work_told(said.what)

    def end_work(self) -> None:
        """The screen goes."""
        self.errands.end()

    def action_stop(self) -> None:
        """Stop what is being worked out."""
        self.errands.stop()
