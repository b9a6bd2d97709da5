"""The entries of a list that do not fit, before anything is written: write the rest, or go back and mend the list."""

from typing import ClassVar

from textual.binding import Binding

from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.screens.ask import Ask
from tui.widgets.panel import Panel


class Misfits(Ask):
    """Tells every misfit with its line and reason, and asks; arrows and PgDn scroll where there are many."""

    TURNS: ClassVar = {"left": -1, "shift+tab": -1, "right": 1, "tab": 1}
    BINDINGS: ClassVar = [
        Binding("up", "roll(-1)", show=False),
        Binding("down", "roll(1)", show=False),
        Binding("pageup", "roll(-8)", show=False),
        Binding("pagedown", "roll(8)", show=False),
    ]

    def __init__(self, misfits: tuple[str, ...], fitting: int) -> None:
        says = "1 name does not fit" if len(misfits) == 1 else f"{len(misfits)} names do not fit"
        if fitting:
            says = f"{says}, {fitting} fit"
        elif len(misfits) > 1:
            says = f"None of the {len(misfits)} names fits"
        answers = ("write the rest", "back") if fitting else ("back",)
        super().__init__(f"{says}. No file is written yet.", answers)
        self.misfits, self.first = misfits, 0

    def on_mount(self) -> None:
        """Reasons are sentences: as wide as there is room."""
        panel = self.query_one("#ask", Panel)
        panel.styles.width, panel.styles.max_width = "90%", 100

    def _lines(self, width: int, _height: int) -> list[Line]:
        question = super()._lines(width, _height)
        each = [line for text in self.misfits for line in wrapped(text, width - 1, "warn", " ")]
        room = max(self.size.height * 9 // 10 - 2 - len(question) - 3, 1)
        self.first = min(self.first, max(len(each) - room, 0))
        shown = each[self.first : self.first + room]
        below = len(each) - self.first - len(shown)
        more: list[Line] = []
        if below or self.first:
            last = self.first + len(shown)
            more = [[Run(f" rows {self.first + 1} to {last} of {len(each)}: arrows and PgDn scroll", "muted")]]
        return [*question[:-2], [], *shown, *more, *question[-2:]]

    def action_roll(self, by: int) -> None:
        """Show misfits further up or down."""
        self.first = max(self.first + by, 0)
        self.query_one("#ask", Panel).redraw()
