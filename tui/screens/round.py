"""Make this round: how high the cells of this terminal are, set by eye."""

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.disk.settings import Settings
from tui.drawings.canvas import USUAL_ASPECT, Canvas, Line, Run
from tui.drawings.words import wrapped
from tui.screens.questions import BaseScreen
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel

KEYS = (
    ("Up Down", "taller or flatter", "screen.step(1)"),
    ("F6", "dots or plain characters", "screen.plain"),
    ("Enter", "save it", "screen.keep"),
    ("Esc", "cancel", "screen.back"),
)


class Round(BaseScreen[Settings | None], ModalScreen[Settings | None]):
    """A ring to look at: where it is round, so is everything that the pictures show; gives back what was set."""

    DEFAULT_CSS = """
    Round { background: $background; }
    Round #ring { height: 1fr; }
    Round #keys { dock: bottom; }
    """
    BINDINGS: ClassVar = [
        Binding("up,plus,right", "step(-1)", "Higher", show=False, priority=True),
        Binding("down,minus,left", "step(1)", "Flatter", show=False, priority=True),
        Binding("f6", "plain", "Dots or plain characters", show=False),
        Binding("enter", "keep", "Save it", show=False),
        Binding("escape", "back", "As before", show=False),
    ]

    def __init__(self, settings: Settings, ascii_only: bool, told: float | None) -> None:
        super().__init__()
        self.settings, self.ascii_only, self.told = settings, ascii_only, told
        self.before = Canvas.aspect

    def compose(self) -> ComposeResult:
        """The ring over its keys."""
        yield Panel(self._ring, id="ring").not_focusable()
        yield Bar(lambda width: key_line(KEYS, width), id="keys")

    def _ring(self, width: int, height: int) -> list[Line]:
        says = (
            "Is this ring round? Up makes it taller, Down makes it flatter. If you see gaps or boxes in it, press F6."
        )
        told = (
            f" This terminal says that its characters are {self.told:.2f} times as high as wide." if self.told else ""
        )
        lines = wrapped(f"{says}{told}", width - 1, "plain", " ")
        room = max(height - len(lines) - 1, 1)
        canvas = Canvas(width, room, self.ascii_only, to_scale=True)
        radius = max(min(width - 2.0, canvas.tall(room) / 2 - 1), 1.0)
        middle = (float(width), canvas.tall(room) / 2)
        canvas.arc(*middle, radius, "a")
        canvas.line(middle[0] - radius, middle[1], middle[0] + radius, middle[1], "grid", dash=2)
        canvas.line(middle[0], middle[1] - radius, middle[0], middle[1] + radius, "grid", dash=2)
        now = f" Characters are {Canvas.aspect:.2f} times as high as wide"
        usual = ", as usual" if Canvas.aspect == USUAL_ASPECT else ""
        return [*lines, *canvas.lines(), [Run(now + usual, "strong")]]

    def action_step(self, by: int) -> None:
        """Higher or flatter cells."""
        Canvas.aspect = self.settings.stepped(Canvas.aspect, by)
        self.query_one("#ring", Panel).redraw()

    def action_plain(self) -> None:
        """Dots, or plain characters for terminals that lack them."""
        self.settings.ascii_only = self.ascii_only = not self.ascii_only
        self.query_one("#ring", Panel).redraw()

    def action_keep(self) -> None:
        """Keep what is set."""
        self.settings.aspect = Canvas.aspect
        self.dismiss(self.settings)

    def action_back(self) -> None:
        """Leave everything as it was."""
        Canvas.aspect = self.before
        self.dismiss(None)

    def on_mouse_scroll_up(self, _event: events.MouseScrollUp) -> None:
        """The wheel does it too."""
        self.action_step(-1)

    def on_mouse_scroll_down(self, _event: events.MouseScrollDown) -> None:
        """The wheel does it too."""
        self.action_step(1)
