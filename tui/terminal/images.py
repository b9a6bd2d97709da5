"""Images over the cells of a picture: whether this terminal shows them, and where one stands now.

::

    text of an update ──> codes of the image ──> end of the update

Under an image stand the cells of the same picture: whatever is painted over them, a question or another page, has
painted them whole, and the image comes back with the next update in which it is in sight.
"""

import os
import sys
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final, NamedTuple, Protocol, runtime_checkable

from tui.drawings.pixels import COLOURS, CellPixels, Pixels

if TYPE_CHECKING:
    from textual.driver import Driver
    from textual.screen import Screen

    from tui.terminal.answers import TerminalAnswer
    from tui.widgets.picture import PicturePanel

SIXEL_ATTRIBUTE: Final = "4"
PATIENCE_S: Final = 0.2
"""So long a picture waits for the terminal's answer: most answer within milliseconds."""

MOST_PIXELS: Final = 200
"""A cell larger than this is none."""


@runtime_checkable
class Asking(Protocol):
    """A terminal that can be asked, and images written to; `before_stop` is called before it is left."""

    before_stop: Callable[[], None]

    def write(self, data: str) -> None:
        """Write codes to it."""

    def cell_size(self) -> tuple[int, int]:
        """Pixels of a cell, wide and high."""


class ImagePlace(NamedTuple):
    """An image on the screen: its upper left cell, and how many rows of it are in sight."""

    x: int
    y: int
    rows: int
    pixels: Pixels


def shows_images(environment: Mapping[str, str]) -> bool:
    """Whether a terminal is asked for images: not where another program stands between, which may have to pass them on
    to one that shows none; nor one that writes part of such a question on the screen (from memory, not seen).

    >>> shows_images({"TERM": "xterm-256color"}), shows_images({"TERM": "tmux-256color"})
    (True, False)
    """
    asked = environment.get("ROTARY_PICTURES", "")
    between = environment.get("TERM", "").startswith(("screen", "tmux")) or {"TMUX", "STY"} & set(environment)
    shows_none = environment.get("TERM_PROGRAM") == "Apple_Terminal"
    return asked == "images" or not (asked or between or shows_none)


def can_draw() -> bool:
    """Whether this terminal can be expected to show braille dots and half blocks."""
    if asked := os.environ.get("ROTARY_PICTURES", ""):
        return asked != "ascii"
    spoken = (sys.stdout.encoding or "").lower().replace("-", "")
    return spoken == "utf8" and os.environ.get("TERM") not in ("linux", "dumb")


def driver_class(usual: "type[Driver]") -> "type[Driver]":
    """The driver of a terminal: the usual one, or one that can ask it for images where it is that of a terminal."""
    if usual.__name__ != "LinuxDriver":
        return usual
    from tui.terminal.answers import AskingDriver

    return AskingDriver


class Images:
    """What the terminal shows, and the image on it."""

    def __init__(self, changed: Callable[[], None], later: Callable[[float, Callable[[], None]], object]) -> None:
        self.is_on, self.is_grey = shows_images(os.environ), False
        self.driver: Asking | None = None
        self.panel: PicturePanel | None = None
        self._changed, self._later = changed, later
        self._kind: str | None = None
        self._has_chunks = self._is_asked = self._waits = False
        self._size, self._told_size, self._colours = (0, 0), False, COLOURS

    def begin(self, driver: "Driver | None", is_grey: bool) -> None:
        """The terminal is there."""
        self.is_grey = is_grey
        if isinstance(driver, Asking):
            self.driver, driver.before_stop = driver, self.end

    @property
    def cell(self) -> CellPixels | None:
        """How images are shown now; None where cells are."""
        good = all(0 < side <= MOST_PIXELS for side in self._size)
        return (
            CellPixels(self._kind, *self._size, self._colours, self.is_grey)
            if self.is_on and self._kind and good
            else None
        )

    @property
    def says(self) -> str:
        """What the key beside a picture does; nothing where it would change nothing."""
        return ("in characters" if self.is_on else "as an image") if self._kind else ""

    def is_awaited(self) -> bool:
        """Whether what the terminal shows is about to be known; it is asked when this is first asked."""
        if self.is_on and not self._is_asked and self.driver is not None:
            from tui.terminal.answers import QUESTIONS

            self._is_asked = self._waits = True
            self.driver.write(QUESTIONS)
            self._later(PATIENCE_S, self._settle)
        return self._waits

    def _settle(self) -> None:
        """Nobody waits any more: for cells, or for what has been answered; what comes later still counts."""
        if self._waits:
            self._waits = False
            self._changed()

    def take(self, answer: "TerminalAnswer") -> None:
        """An answer of the terminal, whenever it comes; that of its kind is the last."""
        before = self.cell
        if answer.shows is not None:
            self._has_chunks = answer.shows.endswith(";OK")
        elif answer.kind is not None:
            # Sixels first: they go by themselves with the cells that are painted over them.
            has_sixels = SIXEL_ATTRIBUTE in answer.kind.split(";")[1:]
            self._kind = "sixel" if has_sixels else "chunks" if self._has_chunks else None
            self._measure()
            if self._waits:
                self._settle()
                return
        elif answer.colours:
            self._colours = min(answer.colours, COLOURS)
        elif answer.wide and answer.high:
            self._size, self._told_size = (answer.wide, answer.high), True
        if self.cell != before:
            self._changed()

    def _measure(self) -> None:
        if not self._told_size and self.driver is not None:
            self._size = self.driver.cell_size()

    def resized(self) -> None:
        """Its letters may be larger or smaller now."""
        before = self.cell
        if before is not None and self.driver is not None:
            if self._told_size:
                self.driver.write("\x1b[16t")
            self._measure()
            if self.cell != before:
                self._changed()

    def follow(self, screen: "Screen[Any]", panel: "PicturePanel | None") -> None:
        """Put the image over its cells where an update has painted them, take it away where it is no longer in sight;
        called at the end of each update."""
        if self.driver is None or panel is None:
            return
        wanted, before = panel.image_place() if self.is_on and panel.screen is screen else None, panel.standing
        if wanted is not None and wanted.pixels.cell != self.cell:
            wanted = None
        if before is not None and wanted != before and (text := before.pixels.gone()):
            self.driver.write(text)
        if wanted is not None and (wanted != before or (panel.is_painted and wanted.pixels.tiles)):
            self.driver.write(wanted.pixels.codes(wanted.x, wanted.y, wanted.rows))
        if before is not None and wanted is None:
            # Its cells may be as they were: they are painted all the same, for the image to go.
            panel.refresh()
        panel.is_painted, panel.standing = False, wanted

    def end(self) -> None:
        """Leave nothing of it on the terminal."""
        if self.driver is not None and self.panel is not None and self.panel.standing is not None:
            self.driver.write(self.panel.standing.pixels.gone())
            self.panel.standing = None
