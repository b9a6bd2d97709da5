"""Typed text as a drawing: set in a font's outlines, or in single strokes of a given width.

::

      +---------------+
      |  REGATTA      |   letter_height: of a capital, from the line it stands on
      | from the club |   lines stand in each other's middle, in the font's own line heights
      +---------------+
"""

from collections import Counter
from pathlib import Path
from typing import Final, Literal
from unicodedata import category, normalize

from pydantic import Field

from rotary.artwork.areas import joined
from rotary.artwork.drawing import TOLERANCE_MM, Drawing
from rotary.artwork.fonts import NORMAL, font_of
from rotary.artwork.letters import MISSING, PlacedLetters, Setter, outline_setter, stroke_setter, too_many_lines
from rotary.artwork.line_letters import CAPITAL, LineFaceName
from rotary.artwork.overlay import Shape, clean_rings
from rotary.artwork.reshape import shifted
from rotary.artwork.rings import bounds_mm, moved
from rotary.artwork.work import Ledger
from rotary.errors import Refused, brief, listing, refuse
from rotary.model import Length, Model

MOST_LETTERS: Final = 5_000
LINE_HEIGHTS: Final = 1.6  # from line to line of single-stroke letters, in heights of a capital
FIELD: Final = "artwork.text"


class Lettering(Model):
    """A text and how it is set. `font` is a TTF or OTF file; without it the default font is taken.

    `face` chooses outlines, or letters of single strokes `line_width_mm` wide.
    """

    text: str = Field(min_length=1, max_length=MOST_LETTERS)
    letter_height_mm: Length = Field(default=8.0, gt=0)
    face: Literal["outline"] | LineFaceName = "outline"
    font: Path | None = None
    weight: int = Field(default=NORMAL, ge=1, le=1000)
    letter_spacing_mm: Length = 0.0
    line_width_mm: Length = Field(default=0.3, gt=0)


def drawing_from_text(lettering: Lettering, tolerance_mm: float = TOLERANCE_MM) -> Drawing:
    """Set a text. Raises Refused where the font lacks a letter, or nothing is to be drawn.

    >>> drawing = drawing_from_text(Lettering(text="H", letter_height_mm=7.0))
    >>> round(drawing.ink_height_mm, 6), drawing.unread
    (7.0, ())
    """
    setter, line_height_mm = _setter(lettering, tolerance_mm)
    missing: Counter[str] = Counter()
    lines = [
        _line(setter(_plain(line)), lettering.letter_spacing_mm, missing)
        for line in normalize("NFC", lettering.text).splitlines()
    ]
    widest = max((length_mm for _, length_mm in lines), default=0.0)
    areas: list[Shape] = []
    for i, (shapes, length_mm) in enumerate(lines):
        x = (widest - length_mm) / 2
        y = -i * line_height_mm
        areas += [shifted(shape, x + pen, y) for shape, pen in shapes]
    if missing:
        raise _lacking(missing, lettering)
    try:
        rings = clean_rings(joined(areas, Ledger()))
    except Refused:
        raise too_many_lines() from None
    if len(rings.points_mm) == 0:
        raise refuse(FIELD, f"nothing in {brief(lettering.text) or 'the text'} can be drawn: write other letters")
    left, bottom, right, top = bounds_mm(rings)
    name = brief(lettering.text.splitlines()[0], 30) or "text"
    size = right - left, top - bottom
    return Drawing(name, moved(rings, -left, -bottom), *size, True, own_mm=size, below_mm=-bottom)


def _plain(line: str) -> str:
    """A tab is a space; what controls a terminal or a printer is nothing."""
    return "".join(sign for sign in line.replace("\t", " ") if category(sign) != "Cc")


def _lacking(missing: Counter[str], lettering: Lettering) -> Refused:
    """A refusal of letters that the font lacks: a name without one of its letters is a spoiled item."""
    signs = listing([f'"{sign}"' for sign in missing], "and")
    if lettering.face != "outline":
        return refuse(
            FIELD, f"single-stroke letters lack {signs}: choose filled letters of a font, or write other letters"
        )
    return refuse(FIELD, f"the font lacks {signs}: choose another font, or write other letters")


def _setter(lettering: Lettering, tolerance_mm: float) -> tuple[Setter, float]:
    """What sets the letters, and from line to line [mm]."""
    high, wide = lettering.letter_height_mm, lettering.line_width_mm
    if lettering.face != "outline":
        scale = max(high - wide, 1e-3) / CAPITAL
        return stroke_setter(lettering.face, scale, wide, tolerance_mm), LINE_HEIGHTS * high
    font = font_of(lettering.font, lettering.weight)
    scale = high / font.capital_height
    return outline_setter(font, scale, tolerance_mm, not lettering.letter_spacing_mm), font.line_height * scale


def _line(placed: PlacedLetters, spacing_mm: float, missing: Counter[str]) -> tuple[list[tuple[Shape, float]], float]:
    """Areas of one line's letters with their places from its start [mm], and its length; what is missing is counted."""
    shapes: list[tuple[Shape, float]] = []
    moved_on, before = 0.0, None
    for letter, pen, advance, cluster in zip(*placed, strict=True):
        if letter.shape is MISSING:
            missing[letter.sign[0]] += 1
            moved_on -= advance
            continue
        # A letter and the marks over and under it are one cluster, which nothing pushes apart.
        moved_on += spacing_mm if before not in {None, cluster} else 0.0
        before = cluster
        if letter.shape is not None:
            shapes.append((letter.shape, pen + moved_on))
    return shapes, sum(placed.advances) + moved_on
