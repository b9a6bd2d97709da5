"""Letters set one after the other on a line, each as an area about its own place: outlines, or single strokes."""

from collections.abc import Iterator
from functools import lru_cache
from typing import Final, NamedTuple
from unicodedata import category

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.areas import View
from rotary.artwork.fonts import FIELD, Font
from rotary.artwork.ink import ink_region
from rotary.artwork.line_letters import LineFace, LineFaceName, curved
from rotary.artwork.outline import Outline, mapped
from rotary.artwork.overlay import Shape
from rotary.artwork.reshape import shifted
from rotary.artwork.stroke import Pen
from rotary.artwork.svg.affine import SAME
from rotary.artwork.svg.scene import Painted, Stroke
from rotary.artwork.work import BUDGET, Ledger
from rotary.bidi import BidiRun, runs
from rotary.colours import BLACK
from rotary.errors import Predicate, Refused, refuse

Bounds = tuple[float, float, float, float]

MISSING: Final = shapely.Point()
"""Stands for the shape of a letter that the font lacks."""

_NO_BOUNDS: Final[Bounds] = (0.0, 0.0, 0.0, 0.0)
LETTER_COST: Final = 3_000  # more than any letter of an honest font takes, in segments
_NO_LIGATURES: Final = {"liga": False, "clig": False}


def too_many_lines() -> Refused:
    """A refusal of a font whose letters take more work than any font's should."""
    return refuse(FIELD, Predicate("has letters with far too many lines: choose another font"))


class Letter(NamedTuple):
    """A letter's shape about its own pen position; None for a space. `sign` is what it is, with its marks."""

    sign: str
    shape: Shape | None
    bounds: Bounds


class PlacedLetters(NamedTuple):
    """Letters from left to right: where the pen stands for each, how far it moves on, where in the text it is."""

    letters: list[Letter]
    pen: list[float]
    advances: list[float]
    clusters: list[int]

    def add(self, letter: Letter, pen: float, advance: float, cluster: int) -> None:
        """One letter more."""
        self.letters.append(letter)
        self.pen.append(pen)
        self.advances.append(advance)
        self.clusters.append(cluster)


class Setter:
    """Sets text in one face; letters' shapes are made once, chords within `tolerance` of their curves."""

    def __init__(self, tolerance: float) -> None:
        self.tolerance = tolerance
        self._ledger = Ledger(BUDGET // 5)
        self._known: dict[int | str, Letter] = {}

    def __call__(self, text: str) -> PlacedLetters:
        """The letters of a text, in the order in which they are seen."""
        placed = PlacedLetters([], [], [], [])
        x = 0.0
        for run in runs(text):
            for letter, aside, advance, place in self._letters(text, run):
                placed.add(letter, x + aside, advance, place)
                x += advance
        return placed

    def _letters(self, text: str, run: BidiRun) -> Iterator[tuple[Letter, float, float, int]]:
        """The letters of a run: each with how far it stands from the pen, how far that moves on, and its place."""
        raise NotImplementedError

    def _letter(self, key: int | str, sign: str, painted: list[Painted]) -> Letter:
        if key not in self._known:
            # What a usual letter takes is free, so that only those of a font that is made to stall add up.
            self._ledger.spent = max(0, self._ledger.spent - LETTER_COST)
            try:
                shape = ink_region(painted, View(SAME, self.tolerance), self._ledger) if painted else None
            except Refused:
                raise too_many_lines() from None
            shape = None if shape is None or shape.is_empty else shape
            self._known[key] = Letter(sign, shape, shape.bounds if shape is not None else _NO_BOUNDS)
        return self._known[key]._replace(sign=sign)


class OutlineSetter(Setter):
    """Sets text in the outlines of a font, a font unit being `scale` large."""

    def __init__(self, font: Font, scale: float, tolerance: float, ligatures: bool) -> None:
        super().__init__(tolerance)
        self.font, self.scale = font, scale
        self.features = None if ligatures else _NO_LIGATURES

    def _letters(self, text: str, run: BidiRun) -> Iterator[tuple[Letter, float, float, int]]:
        part = text[run.start : run.stop]
        for glyph in self.font.shaped(part, run.rightwards, self.features):
            letter = self._glyph(_cluster(part, glyph.cluster), glyph.number, glyph.y * self.scale)
            yield letter, glyph.x * self.scale, glyph.advance * self.scale, run.start + glyph.cluster

    def _glyph(self, sign: str, number: int, up: float) -> Letter:
        if number == 0:
            return Letter(sign, MISSING, _NO_BOUNDS)
        outline = self.font.outline(number)
        affine = (self.scale, 0.0, 0.0, self.scale, 0.0, 0.0)
        letter = self._letter(number, sign, [Painted(outline, affine)] if outline.commands else [])
        if not up or letter.shape is None:
            return letter
        shape = shifted(letter.shape, 0.0, up)
        return Letter(sign, shape, shape.bounds)


class StrokeSetter(Setter):
    """Sets text in single strokes `width` wide, a unit of the tables being `scale` large."""

    def __init__(self, name: LineFaceName, scale: float, width: float, tolerance: float) -> None:
        super().__init__(tolerance)
        self.face, self.scale, self.width = LineFace(name), scale, width

    def _letters(self, text: str, run: BidiRun) -> Iterator[tuple[Letter, float, float, int]]:
        order = range(run.start, run.stop)
        for place in order if run.rightwards else reversed(order):
            drawn = self.face.letter(text[place])
            letter = Letter(text[place], MISSING, _NO_BOUNDS)
            if drawn is not None:
                letter = self._letter(text[place], text[place], [self._painted(stroke) for stroke in drawn.strokes])
            yield letter, 0.0, drawn.advance * self.scale if drawn else 0.0, place

    def _painted(self, stroke: np.ndarray) -> Painted:
        # The stroke's own width belongs to the height of a letter.
        affine = (self.scale, 0.0, 0.0, self.scale, 0.0, self.width / 2)
        outline = curved(stroke)
        at_size = Outline(outline.commands, mapped(outline.points, affine))
        return Painted(at_size, SAME, None, "nonzero", Stroke(BLACK, Pen(self.width, "round", "round")))


outline_setter = lru_cache(maxsize=32)(OutlineSetter)
stroke_setter = lru_cache(maxsize=32)(StrokeSetter)


def _cluster(text: str, start: int) -> str:
    """The letter with the marks that belong to it."""
    stop = start + 1
    while stop < len(text) and category(text[stop]).startswith("M"):
        stop += 1
    return text[start:stop]
