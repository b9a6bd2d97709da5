"""How large a paper is set: the steps from roomy to full, and sheets of paper."""

from dataclasses import dataclass
from typing import Final

from rotary.printer import SheetName

SHEETS_MM: Final[dict[SheetName, tuple[float, float]]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height: ISO 216 A4; ANSI/ASME Y14.1 A (8 1/2 by 11 inches), both from memory, not seen."""

EDGE_MM: Final = 10.0
"""Kept white on all sides: desk printers leave 4 to 10 mm (common practice, no source)."""

FOOT_MM: Final = 7.0
"""Height of the foot above the white edge: the rule of 100 mm, the page's number."""

LEAST_PT: Final = 8.0
"""Nothing is set smaller. Of a letter of 8 points an eye at 70 cm sees 7 minutes of arc, and reads 10 easily."""


@dataclass(frozen=True, slots=True)
class Size:
    """How large things are set: height of pictures [mm], 0 for none; words and numbers to type [points]; side of a box
    to tick [mm], 0 for a line to write on in their place; room above and below each section [points];
    whether sentences are set in narrow letters."""

    picture_mm: float
    words_pt: float
    typed_pt: float
    box_mm: float
    pad_pt: float
    narrow: bool = False

    @property
    def label_pt(self) -> float:
        """Labels and small lines."""
        return max(LEAST_PT, 0.85 * self.words_pt)


STEPS: Final = (
    Size(46.0, 12.0, 27.0, 7.5, 4.2),
    Size(40.0, 11.0, 25.0, 7.0, 3.6),
    Size(34.0, 10.0, 22.0, 6.5, 3.0),
    Size(36.0, 9.5, 20.0, 6.0, 2.4),
    Size(34.0, 9.5, 18.0, 4.0, 0.8),
    Size(24.0, 9.5, 18.0, 4.0, 0.8),
    Size(40.0, 9.0, 18.0, 4.0, 0.8),
    Size(34.0, 9.0, 18.0, 4.0, 0.8),
    Size(28.0, 9.0, 18.0, 4.0, 0.8),
    Size(22.0, 9.0, 18.0, 4.0, 0.8),
    Size(34.0, 8.5, 18.0, 4.0, 0.8),
    Size(28.0, 8.5, 18.0, 4.0, 0.8),
    Size(22.0, 8.5, 18.0, 4.0, 0.8),
    Size(0.0, 8.5, 18.0, 4.0, 0.8),
    Size(0.0, 8.25, 18.0, 0.0, 0.8),
    Size(0.0, 8.0, 18.0, 0.0, 0.7),
    Size(0.0, 8.0, 18.0, 0.0, 0.4, narrow=True),
)
"""What gives way, in this order: room, pictures, boxes to tick, last the width of letters; no step leaves out a
warning, a check or a number. Of two text sizes the larger goes first as long as there is a picture."""

FLOWING: Final = Size(60.0, 10.0, 20.0, 6.0, 4.0)
"""Of papers that may take several pages."""
