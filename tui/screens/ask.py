"""A question with a few answers, each by its letter, by arrows and Enter, or by mouse."""

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.widgets.panel import Panel


class Ask(ModalScreen[str]):
    """Asks; what it gives back is the answer's word, "" where it was left with Esc."""

    BINDINGS: ClassVar = [
        Binding("escape", "answer('')", show=False),
        Binding("left,up,shift+tab", "turn(-1)", show=False, priority=True),
        Binding("right,down,tab", "turn(1)", show=False, priority=True),
        Binding("enter,space", "take", show=False),
    ]

    def __init__(self, question: str, answers: tuple[str, ...]) -> None:
        super().__init__()
        self.question, self.answers, self.chosen = question, answers, 0

    def compose(self) -> ComposeResult:
        """One panel over the desk."""
        yield Panel(self._lines, id="ask")

    def _lines(self, width: int, _height: int) -> list[Line]:
        line: Line = [Run(" ")]
        for place, answer in enumerate(self.answers):
            here = place == self.chosen
            line.append(Run(f"[{answer}]" if here else f" {answer} ", "strong" if here else "muted"))
            line.append(Run("  "))
        return [*wrapped(self.question, width - 1, "plain", " "), [], line]

    def action_turn(self, by: int) -> None:
        """To the next answer."""
        self.chosen = (self.chosen + by) % len(self.answers)
        self.query_one("#ask", Panel).redraw()

    def action_take(self) -> None:
        """Give the marked answer."""
        self.dismiss(self.answers[self.chosen])

    def action_answer(self, answer: str) -> None:
        """Give this answer."""
        self.dismiss(answer)

    def on_key(self, event: events.Key) -> None:
        """An answer by its first letter."""
        for answer in self.answers:
            if event.character and answer.lower().startswith(event.character.lower()):
                event.stop()
                self.dismiss(answer)
                return

    def on_click(self, event: events.Click) -> None:
        """An answer by mouse."""
        panel = self.query_one("#ask", Panel)
        at = event.screen_offset - panel.content_region.offset
        lines = panel.content_lines()
        if at.y != len(lines) - 1:
            return
        column = 0
        for run in lines[-1]:
            column += len(run.text)
            if at.x < column:
                answer = run.text.strip(" []")
                if answer:
                    self.dismiss(answer)
                return
