"""Screens that are left once, and questions that are answered once, by a key that was pressed after they were read."""

from collections.abc import Callable
from typing import Final, Generic, TypeVar

from textual import events
from textual.await_complete import AwaitComplete
from textual.screen import Screen

from rotary.errors import RotaryError
from tui.drawings.words import refusal
from tui.widgets.bar import Bar
from tui.widgets.panel import Panel

A = TypeVar("A")
T = TypeVar("T")

REST_S: Final = 0.15
"""So long after its first paint a question takes no answer yet, and so long after the answer it swallows keys."""


class BaseScreen(Screen[T]):
    """A screen that goes when it is left the first time; leaving it again, or from below another, does nothing."""

    _left = False

    async def on_event(self, event: events.Event) -> None:
        """A screen that has to go before it has come is not arranged: its parts were never made."""
        if isinstance(event, events.Mount) and not self.children:
            return
        await super().on_event(event)

    def rest(self, then: Callable[[], None]) -> None:
        """Go on after a moment."""
        self.set_timer(REST_S, then)

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        """Leave, with a result."""
        if self._left or not self.is_active:
            return AwaitComplete()
        self._left = True
        return super().dismiss(result)

    def _refresh(self) -> None:
        """Paint everything anew; while the screen comes or goes there may be nothing to paint."""
        for panel in self.query(Panel):
            panel.redraw()
        for bar in self.query(Bar):
            bar.refresh()

    # -- work in a thread

    def _in_thread(self, work: Callable[[], A], then: Callable[[A], None], group: str = "", only: bool = True) -> None:
        """Do something slow in a thread, then go on here; `only` the newest of a group where several run."""

        def run() -> None:
            try:
                answer = work()
            except RotaryError as trouble:
                self.app.call_from_thread(self._if_here, self._tell, refusal(trouble))
                return
            self.app.call_from_thread(self._if_here, then, answer)

        self.run_worker(run, thread=True, exclusive=only, group=group)

    def _if_here(self, then: Callable[[A], None], answer: A) -> None:
        # Where the program or the screen ends, its parts go one by one before it does.
        if self.app.is_running and self.is_attached and not self._pruning and self.children:
            then(answer)

    def _tell(self, trouble: str) -> None:
        """What was refused, as a notice."""
        self.notify(trouble, title="not done", severity="error", timeout=8, markup=False)
        self._refresh()


class ReadFirstScreen(BaseScreen[T], Generic[T]):
    """A screen that takes keys once it could be read; what was typed before that reaches nobody.

    A line of keys is empty until then: whoever sees one there may press it.
    """

    _listens = False

    def on_mount(self) -> None:
        """Take answers once it has been painted and has stood for a moment."""
        self.listen_anew()

    def listen_anew(self) -> None:
        """Something else is to be read first: take keys once it has been painted and has stood for a moment."""
        self._listens = False
        self.call_after_refresh(self.rest, self._listen)

    def _listen(self) -> None:
        self._listens = True
        self._refresh()

    async def on_event(self, event: events.Event) -> None:
        """Nothing that a person does reaches it, or what lies below, while it does not listen."""
        if isinstance(event, events.Key | events.Paste | events.Click | events.MouseDown) and not self._listens:
            event.stop()
            return
        await super().on_event(event)


class Question(ReadFirstScreen[T], Generic[T]):
    """A screen whose first answer counts; the rest of a burst is swallowed with it."""

    def give(self, answer: T) -> None:
        """Take this answer, if it is the first; leave a moment later."""
        if not self._listens:
            return
        self._listens = False
        self.rest(lambda: self._leave(answer))

    def _leave(self, answer: T) -> None:
        if self.is_active or self._left:
            self.dismiss(answer)
        else:
            # Something stands over it; it is answered all the same.
            self.rest(lambda: self._leave(answer))
