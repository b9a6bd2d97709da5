"""A drawing once it is read, and how it is to be read."""

from collections.abc import Callable
from pathlib import Path
from typing import Final, NamedTuple

from rotary.artwork.rings import Rings, bounds_mm
from rotary.artwork.work import Unread

TOLERANCE_MM: Final = 0.002  # how far a chord may stray from its curve: a tenth of what a fine spot shows
HALF_TONE: Final = 0.5  # as bright as this is ink, where nothing else is asked for
WHOLE_PAGE: Final = 0.9995  # of the page: what covers more of it is no drawing but a rectangle


class Drawing(NamedTuple):
    """Artwork as read: `ink` lies on a page `width_mm` by `height_mm` whose lower left corner is the origin.

    `size_stated` is whether the file says how large it is in a unit of length; where it does not, the
    page's size is a guess (an SVG's pixels at 96 an inch) and the wanted size has to be given.
    `own_mm` is how wide and high the ink is by the file's own size, None where it states none; `below_mm` how far
    that of a text reaches below the line that its first letters stand on.
    `unread` lists what could not be read as it was meant; `notes` what a person should know.
    """

    name: str
    ink: Rings
    width_mm: float
    height_mm: float
    size_stated: bool
    unread: tuple[Unread, ...] = ()
    notes: tuple[str, ...] = ()
    own_mm: tuple[float, float] | None = None
    below_mm: float = 0.0

    @property
    def own_page_mm(self) -> tuple[float, float] | None:
        """Width and height of the page by the file's own size; None where it states none."""
        if self.own_mm is None:
            return None
        scale = self.own_mm[0] / self.ink_width_mm
        return scale * self.width_mm, scale * self.height_mm

    @property
    def ink_width_mm(self) -> float:
        """Width of the ink from its leftmost to its rightmost point."""
        left, _, right, _ = bounds_mm(self.ink)
        return right - left

    @property
    def ink_height_mm(self) -> float:
        """Height of the ink from its lowest to its topmost point."""
        _, bottom, _, top = bounds_mm(self.ink)
        return top - bottom


class DrawingReading(NamedTuple):
    """How a file is to be read.

    `width_mm` is how wide the ink will be in the end: chords are as fine as that asks for, and the drawing
    is given back in that width. `unit` is the unit of a DXF file that doesn't name one; `line_width_mm` is how
    wide its open lines are drawn, which are left out otherwise; ends up to `close_gaps_mm` apart are taken to meet.
    What is at most `dark_below` as bright as white is ink. `fonts` are font files for the texts of a drawing.
    `progress` is told the share of the work that may be done; it may stop the reading by raising an error.
    """

    width_mm: float | None = None
    tolerance_mm: float = TOLERANCE_MM
    unit: str | None = None
    line_width_mm: float | None = None
    close_gaps_mm: float | None = None
    dark_below: float = HALF_TONE
    fonts: tuple[Path, ...] = ()
    progress: Callable[[float], None] | None = None


AS_IT_IS: Final = DrawingReading()
