"""A question with a few answers, each by its letter, by arrows and Enter, or by mouse."""

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.screen import ModalScreen

from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.screens.questions import Question
from tui.widgets.panel import Panel


class Ask(Question[str], ModalScreen[str]):
    """Asks; what it gives back is the answer's word, "" where it was left with Esc."""

    DEFAULT_CSS = """
    Ask { align: center middle; background: $background 60%; }
    Ask #ask { width: 60; max-width: 94%; height: auto; min-height: 7; max-height: 90%; }
    Ask #ask { border: round $warning; background: $surface; }
    """
    TURNS: ClassVar = {"left": -1, "up": -1, "shift+tab": -1, "right": 1, "down": 1, "tab": 1}
    """No bindings: they would be dealt with after the letters of the same burst, and so out of turn."""

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

    def on_key(self, event: events.Key) -> None:
        """Another answer by arrows, the marked one by Enter, one by its first letter, none by Esc."""
        letter = (event.character or "").lower()
        if event.key in self.TURNS:
            self.action_turn(self.TURNS[event.key])
        elif event.key in ("enter", "space"):
            self.give(self.answers[self.chosen])
        elif event.key == "escape":
            self.give("")
        elif letter and (fits := [answer for answer in self.answers if answer.lower().startswith(letter)]):
            self.give(fits[0])
        else:
            return
        event.stop()

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
                    self.give(answer)
                return
