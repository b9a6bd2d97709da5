"""Letters of single strokes: what a spot can trace once, thinner than any outline letter.

The strokes are those that A. V. Hershey published for the U.S. National Bureau of Standards in 1967
(package Hershey-Fonts). They have the letters of ASCII; an accent is put over, or under, its letter here.
"""

from functools import cached_property
from typing import Any, Final, Literal, NamedTuple
from unicodedata import normalize

import numpy as np

from rotary.formulas.arrays import Floats

LineFaceName = Literal["line-sans", "line-roman", "line-script"]

_TABLES: Final = {"line-sans": "futural", "line-roman": "rowmans", "line-script": "scripts"}
CAPITAL: Final = 21.0  # height of a capital letter in the tables' units
_BASE: Final = 9.0  # the line that letters stand on, y downwards
_X_HEIGHT: Final = 14.0

# Strokes about x = 0, y upwards from the line y = 0 over which (or, for the last, under which) they are put.
_RING: Final = [(2 * np.cos(a), 2.0 + 2 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 13)]
_ACCENTS: Final[dict[str, list[list[tuple[float, float]]]]] = {
    "\u0300": [[(-2, 4), (1, 0)]],
    "\u0301": [[(2, 4), (-1, 0)]],
    "\u0302": [[(-3, 0), (0, 4), (3, 0)]],
    "\u0303": [[(-4, 1), (-2, 3), (2, 1), (4, 3)]],
    "\u0304": [[(-3, 2), (3, 2)]],
    "\u0306": [[(-3, 3), (-1, 1), (1, 1), (3, 3)]],
    "\u0307": [[(0, 1), (0, 2)]],
    "\u0308": [[(-3, 1), (-3, 2)], [(3, 1), (3, 2)]],
    "\u030a": [_RING],
    "\u030b": [[(0, 4), (-2, 0)], [(4, 4), (2, 0)]],
    "\u030c": [[(-3, 4), (0, 0), (3, 4)]],
    "\u0327": [[(0, 0), (1, -2), (0, -4), (-2, -4)]],
    "\u0328": [[(1, 0), (-1, -2), (0, -4), (2, -4)]],
}
_BELOW: Final = {"\u0327", "\u0328"}
_CLEAR: Final = 2.0  # between a letter and its accent


class LineLetter(NamedTuple):
    """Strokes (k, 2) floats, y upwards from the line the letter stands on, x from its left edge; its advance."""

    strokes: list[Floats]
    advance: float


class LineFace:
    """A face of single strokes, in units of which a capital letter is CAPITAL high."""

    def __init__(self, name: LineFaceName) -> None:
        self.name = name
        self._made: dict[str, LineLetter | None] = {}

    @cached_property
    def _table(self) -> Any:
        from HersheyFonts import HersheyFonts  # type: ignore[import-untyped, unused-ignore]

        fonts = HersheyFonts()
        fonts.load_default_font(_TABLES[self.name])
        return fonts.all_glyphs

    def letter(self, sign: str) -> LineLetter | None:
        """A letter, put together from its base and its accent where need be; None where there is none."""
        if sign not in self._made:
            self._made[sign] = self._make(sign)
        return self._made[sign]

    def _make(self, sign: str) -> LineLetter | None:
        parts = normalize("NFD", sign)
        base = self._plain(parts[0])
        if base is None or any(mark not in _ACCENTS for mark in parts[1:]):
            return None
        strokes = list(base.strokes)
        above = [mark for mark in parts[1:] if mark not in _BELOW]
        if above and parts[0] in "ij":
            strokes = [stroke for stroke in strokes if stroke[:, 1].min() < _X_HEIGHT + 0.5]
        for mark in parts[1:]:
            strokes += _accent(mark, strokes)
        return base._replace(strokes=strokes)

    def _plain(self, sign: str) -> LineLetter | None:
        glyph = self._table.get(sign)
        if glyph is None or not sign.isascii():
            return None
        strokes = [np.array(stroke, float) for stroke in glyph.strokes]
        moved = [np.stack([stroke[:, 0] - glyph.left_offset, _BASE - stroke[:, 1]], axis=1) for stroke in strokes]
        return LineLetter(moved, float(glyph.char_width))


def _accent(mark: str, strokes: list[Floats]) -> list[Floats]:
    points = np.concatenate(strokes)
    middle = (points[:, 0].min() + points[:, 0].max()) / 2
    height = 0.0 if mark in _BELOW else float(points[:, 1].max()) + _CLEAR
    return [np.array(stroke, float) + np.array([middle, height]) for stroke in _ACCENTS[mark]]
