"""Screens of two halves: a list with a pointer, and what the entry under it holds; a title above, the keys below."""

from collections.abc import Iterable
from typing import ClassVar, Generic

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widget import Widget

from tui.drawings.canvas import Line
from tui.screens.questions import BaseScreen, T
from tui.widgets.bar import Bar, TitleBar, key_line
from tui.widgets.panel import Panel


class Halves(BaseScreen[T], Generic[T]):
    """A list on the left, one of its entries on the right."""

    KEYS: ClassVar[tuple[tuple[str, str, str], ...]] = ()
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("up", "move(-1)", "The entry above", show=False, priority=True),
        Binding("down", "move(1)", "The entry below", show=False, priority=True),
    ]
    DEFAULT_CSS = """
    Halves { background: $background; }
    Halves #title, Halves #words { dock: top; }
    Halves #words { background: $surface; margin-top: 1; padding: 0 1; }
    Halves #keys { dock: bottom; }
    Halves Horizontal { height: 1fr; margin-top: 1; }
    Halves #list { width: 45%; max-width: 64; height: 1fr; }
    Halves #one { width: 1fr; height: 1fr; border-left: vkey $panel; }
    """
    chosen = top = 0

    def compose(self) -> ComposeResult:
        """A title, what may be typed, the two halves, the keys."""
        yield TitleBar(self._title, id="title")
        yield from self._line()
        with Horizontal():
            yield Panel(self._list, id="list").not_focusable()
            yield Panel(self._one, id="one").not_focusable()
        yield Bar(self._keys, id="keys")

    def _line(self) -> Iterable[Widget]:
        """The line under the title, where something is typed."""
        return ()

    def _title(self, width: int) -> Line:
        raise NotImplementedError

    def _list(self, width: int, height: int) -> list[Line]:
        raise NotImplementedError

    def _one(self, width: int, height: int) -> list[Line]:
        raise NotImplementedError

    def _keys(self, width: int) -> Line:
        return key_line(self.KEYS, width)

    def _top(self, height: int) -> int:
        """The first entry of so many that are in sight, the one under the pointer among them."""
        self.top = min(max(self.top, self.chosen - height + 1), self.chosen)
        return self.top

    # -- the pointer

    @property
    def _many(self) -> int:
        """How many entries the pointer can stand on."""
        raise NotImplementedError

    def _look(self) -> None:
        """Show the entry under the pointer."""
        self._refresh()

    def action_move(self, by: int) -> None:
        """Another entry."""
        if self._many:
            self.chosen = min(max(self.chosen + by, 0), self._many - 1)
            self._look()

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the pointer."""
        self.action_move(3)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the pointer."""
        self.action_move(-3)

    def action_back(self) -> None:
        """Leave the screen."""
        self.dismiss(None)
