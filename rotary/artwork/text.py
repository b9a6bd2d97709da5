"""Typed text as a drawing: set in a font's outlines, or in single strokes of a given width.

::

        align = "middle"
      +---------------+
      |  REGATTA      |   letter_height: of a capital, from the line it stands on
      | from the club |   line_spacing: from line to line, in the font's own line heights
      +---------------+
"""

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal, NamedTuple
from unicodedata import category, normalize

import numpy as np
from pydantic import Field

from rotary.artwork.bidi import runs
from rotary.artwork.drawing import TOLERANCE_MM, Drawing
from rotary.artwork.fonts import NORMAL, Font, default_faces, face_from_file
from rotary.artwork.ink import View, ink_region
from rotary.artwork.line_letters import CAPITAL, LineFace, LineFaceName
from rotary.artwork.outline import Outline, outline_from
from rotary.artwork.overlay import NOTHING, Shape, clean_rings, joined_areas
from rotary.artwork.reshape import shifted
from rotary.artwork.rings import bounds_mm, moved
from rotary.artwork.svg.affine import SAME
from rotary.artwork.svg.colours import BLACK
from rotary.artwork.svg.scene import Painted, Stroke
from rotary.artwork.work import Ledger, Unread
from rotary.errors import brief, refuse
from rotary.model import Length, Model

MOST_LETTERS: Final = 5_000
LINE_HEIGHTS: Final = 1.6  # from line to line of single-stroke letters, in heights of a capital
FIELD: Final = "artwork.text"
_SHARE: Final = {"left": 0.0, "middle": 0.5, "right": 1.0}


class Lettering(Model):
    """A text and how it is set. `font` is a TTF or OTF file; without it the default font is taken.

    `face` chooses outlines, or letters of single strokes `line_width_mm` wide.
    """

    text: str = Field(min_length=1, max_length=MOST_LETTERS)
    letter_height_mm: Length = Field(default=8.0, gt=0)
    face: Literal["outline"] | LineFaceName = "outline"
    font: Path | None = None
    weight: int = Field(default=NORMAL, ge=1, le=1000)
    italic: bool = False
    align: Literal["left", "middle", "right"] = "middle"
    line_spacing: float = Field(default=1.0, gt=0, le=10)
    letter_spacing_mm: Length = 0.0
    line_width_mm: Length = Field(default=0.3, gt=0)


class _Line(NamedTuple):
    """Areas of one line's letters about its own start [mm], and its length."""

    areas: list[Shape]
    length_mm: float


def drawing_from_text(lettering: Lettering, tolerance_mm: float = TOLERANCE_MM) -> Drawing:
    """Set a text. Letters that the font lacks are left out and listed. Raises Refused where nothing is left.

    >>> drawing = drawing_from_text(Lettering(text="H", letter_height_mm=7.0))
    >>> round(drawing.ink_height_mm, 6), drawing.unread
    (7.0, ())
    """
    setter: _OutlineSetter | _StrokeSetter
    if lettering.face == "outline":
        setter = _OutlineSetter(lettering, tolerance_mm)
    else:
        setter = _StrokeSetter(lettering, lettering.face, tolerance_mm)
    lines = [setter.line(_plain(line)) for line in normalize("NFC", lettering.text).splitlines()]
    widest = max((line.length_mm for line in lines), default=0.0)
    areas: list[Shape] = []
    for i, line in enumerate(lines):
        x = (widest - line.length_mm) * _SHARE[lettering.align]
        y = -i * setter.line_height_mm * lettering.line_spacing
        areas += [shifted(area, x, y) for area in line.areas]
    rings = clean_rings(joined_areas(areas))
    unread = tuple(_missing(sign, times, lettering) for sign, times in setter.missing.items())
    if len(rings.points_mm) == 0:
        why = unread[0].instead if unread else "write letters to be marked"
        raise refuse(FIELD, f"nothing in {brief(lettering.text) or 'the text'} can be drawn; {why}")
    left, bottom, right, top = bounds_mm(rings)
    name = brief(lettering.text.splitlines()[0], 30) or "text"
    size = right - left, top - bottom
    return Drawing(name, moved(rings, -left, -bottom), *size, True, unread, own_mm=size)


def _plain(line: str) -> str:
    """A tab is a space; what controls a terminal or a printer is nothing."""
    return "".join(sign for sign in line.replace("\t", " ") if category(sign) != "Cc")


def _missing(sign: str, times: int, lettering: Lettering) -> Unread:
    if lettering.face != "outline":
        return Unread(f'letter "{sign}"', times, 'single strokes lack it: choose face = "outline", or another letter')
    return Unread(f'letter "{sign}"', times, "the font lacks it: choose another font, or another letter")


class _OutlineSetter:
    """Sets lines in the outlines of a font."""

    def __init__(self, lettering: Lettering, tolerance_mm: float) -> None:
        self.font = _font(lettering)
        self.tolerance_mm = tolerance_mm
        self.scale = lettering.letter_height_mm / self.font.capital_height
        self.line_height_mm = self.font.line_height * self.scale
        self.spacing_mm = lettering.letter_spacing_mm
        self.missing: Counter[str] = Counter()

    def line(self, text: str) -> _Line:
        areas: list[Shape] = []
        x = 0.0
        features = {"liga": False} if self.spacing_mm else None
        before: int | None = None
        for run in runs(text):
            part = text[run.start : run.stop]
            for glyph in self.font.shaped(part, run.rightwards, features):
                if glyph.number == 0:
                    self.missing[part[glyph.cluster]] += 1
                    continue
                # A letter and the marks over and under it are one cluster, which nothing pushes apart.
                here = run.start + glyph.cluster
                x += self.spacing_mm if before not in {None, here} else 0.0
                before = here
                area = _letter_area(self.font, glyph.number, self.scale, self.tolerance_mm)
                if not area.is_empty:
                    areas.append(shifted(area, x + glyph.x * self.scale, glyph.y * self.scale))
                x += glyph.advance * self.scale
        return _Line(areas, x)


@lru_cache(maxsize=2000)
def _letter_area(font: Font, number: int, scale: float, tolerance_mm: float) -> Shape:
    """A shape of a font at its size [mm]: lists of names and live screens set the same letters again and again."""
    outline = font.outline(number)
    if not outline.commands:
        return NOTHING
    return ink_region([Painted(outline, (scale, 0.0, 0.0, scale, 0.0, 0.0))], View(SAME, tolerance_mm), Ledger())


def _font(lettering: Lettering) -> Font:
    if lettering.font is not None:
        return face_from_file(lettering.font).font(lettering.weight)
    upright, slanted = default_faces()
    return (slanted if lettering.italic else upright).font(lettering.weight)


class _StrokeSetter:
    """Sets lines in single strokes."""

    def __init__(self, lettering: Lettering, name: LineFaceName, tolerance_mm: float) -> None:
        self.face = LineFace(name)
        self.tolerance_mm = tolerance_mm
        # The stroke's own width belongs to the height of a letter.
        self.scale = max(lettering.letter_height_mm - lettering.line_width_mm, 1e-3) / CAPITAL
        self.half_mm = lettering.line_width_mm / 2
        self.line_height_mm = LINE_HEIGHTS * lettering.letter_height_mm
        self.spacing_mm = lettering.letter_spacing_mm
        self.stroke = Stroke(BLACK, lettering.line_width_mm, "round", "round")
        self.missing: Counter[str] = Counter()

    def line(self, text: str) -> _Line:
        shapes: list[Painted] = []
        x = 0.0
        for sign in _in_view(text):
            letter = self.face.letter(sign)
            if letter is None:
                self.missing[sign] += 1
                continue
            for stroke in letter.strokes:
                points = stroke * self.scale + np.array([x, self.half_mm])
                outline = _polyline(points)
                shapes.append(Painted(outline, SAME, None, "nonzero", self.stroke))
            x += letter.advance * self.scale + self.spacing_mm
        area = ink_region(shapes, View(SAME, self.tolerance_mm), Ledger())
        return _Line([] if area.is_empty else [area], x - self.spacing_mm if x else 0.0)


def _in_view(text: str) -> Iterator[str]:
    for run in runs(text):
        part = text[run.start : run.stop]
        yield from part if run.rightwards else reversed(part)


def _polyline(points: np.ndarray) -> Outline:
    return outline_from("M" + "L" * (len(points) - 1), points.ravel().tolist())
