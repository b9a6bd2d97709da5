"""What a file from elsewhere holds against what is kept here; nothing is taken before Enter."""

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.runs import incoming_lines
from tui.drawings.words import count
from tui.screens.questions import Question
from tui.widgets.bar import Bar
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from rotary.store.transfer import Preview

KEYS = " Enter imports these jobs, your own jobs stay   PgUp PgDn scroll   Esc imports nothing"


class IncomingFile(Question[bool]):
    """A preview; gives back whether it is to be taken."""

    DEFAULT_CSS = """
    IncomingFile { background: $background; }
    IncomingFile #title { dock: top; }
    IncomingFile #keys { dock: bottom; }
    IncomingFile #coming { height: 1fr; margin-top: 1; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "answer(False)", "Import nothing", show=False, priority=True),
        Binding("enter", "answer(True)", "Import them", show=False, priority=True),
        Binding("pageup,up", "scroll_by(-10)", "Up", show=False, priority=True),
        Binding("pagedown,down", "scroll_by(10)", "Down", show=False, priority=True),
    ]

    def __init__(self, coming: "Preview") -> None:
        super().__init__()
        self.coming = coming

    def compose(self) -> ComposeResult:
        """The count, then a line or two for each profile."""
        yield Bar(self._title, id="title")
        yield Panel(lambda width, _: incoming_lines(self.coming, width), id="coming").not_focusable()
        yield Bar(lambda width: [Run(fitted(KEYS, width), "muted")] if self._listens else [], id="keys")

    def _title(self, width: int) -> Line:
        profiles, runs = len(self.coming.profiles), len(self.coming.runs)
        out = len(self.coming.refused)
        left = f" {out} {'entry is' if out == 1 else 'entries are'} left out: you see why below." if out else ""
        says = f" The file holds {count(profiles, 'saved job')} and {count(runs, 'run')}.{left}"
        return [Run(fitted(says, width), "strong")]

    def action_scroll_by(self, lines: int) -> None:
        """Scroll."""
        self.query_one("#coming", Panel).scroll_relative(y=lines, animate=False)

    def action_answer(self, wanted: bool) -> None:
        """Take them, or not."""
        self.give(wanted)
