"""One line across the screen: the title, the names of the pictures, the keys. Its parts can be clicked."""

from collections.abc import Callable, Iterable
from typing import Final

from textual import events
from textual.strip import Strip

from tui.drawings.canvas import Line, Run, cells, clipped
from tui.widgets.inks import Inked

STAY: Final = ("Esc", "Ctrl+Q", "Ctrl+K", "Ctrl+O", "^Q", "^K", "^O")
"""Keys that lead out, to paper, and to what was saved."""

TIGHT: Final = 40
"""Columns below which Ctrl+ is no more than a ^."""


def key_line(keys: Iterable[tuple[str, str, str]], width: int) -> Line:
    """Keys with what they do, and the action that a click on them stands for; as many as there is room for.

    Where not all have room they stand closer together, so that more of them do; those that never go are `STAY`.
    """
    every = [(key if width >= TIGHT else key.replace("Ctrl+", "^"), name, does) for key, name, does in keys]
    gap = " " if sum(_wide(key) + 1 for key in every) <= width else ""
    # Nothing stands before the first of them where they are close.
    while every and sum(_wide(key) + len(gap) for key in every) > width + (not gap):
        every.remove(next((key for key in reversed(every) if key[0] not in STAY), every[-1]))
    line: Line = []
    for key, name, action in every:
        line += [Run(f"{' ' * bool(gap or line)}{key}", "strong", action), Run(f" {name}{gap}", "muted", action)]
    return line


def _wide(key: tuple[str, str, str]) -> int:
    return cells(key[0]) + cells(key[1]) + 2


class Bar(Inked):
    """Paints one line that is made anew for each width; a run with an action does it when clicked."""

    DEFAULT_CSS = """
    Bar { height: 1; background: $panel; scrollbar-size: 0 0; overflow: hidden hidden; }
    """

    def __init__(self, painter: Callable[[int], Line], *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._painter = painter
        self._shown: Line = []

    def _line(self) -> Line:
        return self._painter(self.size.width)

    def redraw(self) -> None:
        """What it says may have changed: paint it where it has."""
        if self._line() != self._shown:
            self.refresh()

    def render_line(self, y: int) -> Strip:
        """The line."""
        width = self.size.width
        self._shown = self._line() if y == 0 and width else []
        return self.strip(self._shown, width)

    async def on_click(self, event: events.Click) -> None:
        """Do what the part under the pointer stands for."""
        at = 0
        for run in self._line():
            at += cells(run.text)
            if event.x < at:
                if run.action:
                    await self.run_action(run.action)
                return


class TitleBar(Bar):
    """The title of a screen that covers the job, and how the job stands: that is never out of sight."""

    def _line(self) -> Line:
        stands: Line = getattr(self.app, "stands", [])
        room = self.size.width - sum(cells(run.text) for run in stands)
        title = clipped([self._painter(room)], room)[0]
        return [*title, Run(" " * (room - sum(cells(run.text) for run in title))), *stands]
