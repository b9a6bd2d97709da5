"""Help on a page of the rig's screen: what to measure, and how."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.screens.once import Once
from tui.widgets.panel import Panel

KEYS = (
    ("F3, F4", "the page before, the next page"),
    ("Tab, arrows, Enter", "move between fields; ‹ › with Left and Right change a choice"),
    ("F2", 'mm or inch; what you type may carry either unit: 0.4 mm, 0,4, 1/64 in, 7/8"'),
    ("F5", "write the files of this page"),
    ("F6", "keep what is typed in the rig; where something is marked ! nothing is kept"),
    ("F7, F8", "undo and redo what was typed"),
    ("PgUp, PgDn", "scroll the answer"),
    ("Esc", "back to the desk, which then plans with what was kept"),
)


class RigHelp(Once[None], ModalScreen[None]):
    """The help of one page; any of the usual keys leaves it."""

    BINDINGS: ClassVar = [Binding("escape,f1,q,enter", "dismiss", "Back", show=False)]
    DEFAULT_CSS = """
    RigHelp { align: center middle; background: $background 60%; }
    """

    def __init__(self, name: str, about: Sequence[str]) -> None:
        super().__init__()
        self.of, self.about = name, about

    def compose(self) -> ComposeResult:
        """One panel over the page."""
        panel = Panel(self._lines, id="help")
        panel.border_title = "help: arrows and PgDn scroll, Esc goes back"
        yield panel

    def _lines(self, width: int, _height: int) -> list[Line]:
        lines: list[Line] = [[Run(f" {self.of[:1].upper()}{self.of[1:]}", "strong")], []]
        for text in self.about:
            lines += [*wrapped(text, width - 1, "plain", " "), []]
        for key, says in KEYS:
            lines += wrapped(says, width - 1, "plain", f" {key:<20}", "a")
        return lines
