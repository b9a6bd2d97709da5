"""What is written from the inscription screen: files and card, every entry of a list after its misfits, a reading."""

import shutil
from pathlib import Path
from typing import Any
from uuid import uuid4

from rotary.files import named_path
from tui.background.client import errand_worker
from tui.background.tasks import Done, Errand, Share
from tui.form.fields import Tables
from tui.form.lettering import Lettering
from tui.planner.request import Verdict
from tui.screens.desk_work import ErrandNews
from tui.screens.form_screen import TwoPages
from tui.screens.inscription_misfits import Misfits
from tui.widgets.bar import Bar


class InscriptionFiles(TwoPages[Tables]):
    """The half of the screen that hands work out and tells what came of it; the other half shows."""

    def __init__(self, session: Lettering, folders: tuple[Path, Path]) -> None:
        super().__init__()
        self.session = session
        self.beside, self.profiles = folders
        self.shown: Any = None
        self.told: tuple[str, ...] = ()
        self.told_ink = "good"
        self.doing = "writing"
        self.looking = errand_worker(lambda said: self.post_message(ErrandNews(said)))
        self.writing = errand_worker(lambda said: self.post_message(ErrandNews(said)))
        self._asked: int | None = None
        self._share: float | None = None
        self._part: Path | None = None

    @property
    def values(self) -> Lettering:
        """What stands in the fields."""
        return self.session

    def hand_over(self) -> None:
        """Give the desk the words as they stand."""
        raise NotImplementedError

    def _errand(self, what: str, *more: str) -> Errand:
        request = self.session.request()
        data = {**request.data, "profiles": str(self.profiles)}
        return Errand(what, str(request.number), data, request.system, str(self.beside), more)

    def _send(self, *more: str) -> None:
        self.told, self._share = (), 0.0
        self.doing = "working out the letter sizes of all names" if more[0] == "sizes" else "writing"
        self.writing.ask(self._errand("inscribed", *more))
        self._refresh()

    def action_write(self) -> None:
        """Write the files and the card of this inscription; of a list, size every entry first."""
        if self._share is None:
            self._send("sizes" if self.session.wants_list else "one")

    def action_keep(self) -> None:
        """Keep the depth that was gauged: cards and plans of this metal and laser go by it."""
        if self._share is None:
            self._send("reading", str(self.profiles))

    def _written(self, said: Share | Done) -> None:
        if isinstance(said, Share):
            self._share = said.share
            self.query_one("#gist", Bar).refresh()
            return
        self._share = None
        self._clear_part()
        if said.stopped:
            self.told, self.told_ink = ("Stopped. No file was written.",), "warn"
        elif said.faults:
            self.session.accept(Verdict(self.session.number, None, None, said.faults))
            self.told = tuple(says for where, says in said.faults if not where)
            self.told_ink = "bad"
            self._go_to_fault()
        elif said.answer.kind == "sizes":
            self._sized(said)
        else:
            self._tell(said.answer)
        self.form.refresh_states()
        self._refresh()

    def _tell(self, done: Any) -> None:
        where = f" in {done.folder}" if done.kind != "reading" else ""
        self.told = (f"{done.says[0]}{where}", *done.says[1:], *(done.lines if done.kind == "list" else ()))
        self.told_ink = "good"
        self.session.verdict = None
        self.ask()

    # -- a list: its misfits are seen before anything is written

    def _sized(self, said: Done) -> None:
        found, number = said.answer, said.key
        if not found.misfits:
            self._write_list(number, found.mark)
            return

        def answered(answer: str | None) -> None:
            if answer == "write the rest":
                self._write_list(number, found.mark)
            else:
                few = "1 name does" if len(found.misfits) == 1 else f"{len(found.misfits)} names do"
                self.told, self.told_ink = (f"No file was written: {few} not fit.", *found.lines), "warn"
                self._refresh()

        self.app.push_screen(Misfits(found.misfits, found.fitting), answered)

    def _write_list(self, number: str, mark: str) -> None:
        if number != str(self.session.number):
            self.told, self.told_ink = ("You changed something meanwhile. Press F5 to work out new sizes.",), "warn"
            self._refresh()
            return
        folder = self.beside / named_path(self.session.text("write.folder").strip() or "names")
        self._part = folder.parent / f".{uuid4().hex}.part"
        self._send("list", str(self._part), mark)

    def _go_to_fault(self) -> None:
        for key in self.session.faults():
            if key:
                if self.page == "answers" and self.narrow:
                    self.action_page()
                self.form.reveal(key)
                return

    def _clear_part(self) -> None:
        if self._part is not None:
            shutil.rmtree(self._part, ignore_errors=True)
            self._part = None
