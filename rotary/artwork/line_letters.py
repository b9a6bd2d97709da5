"""Letters of single strokes: what a spot can trace once, thinner than any outline letter.

The strokes of ASCII are those that A. V. Hershey digitised for the U.S. National Bureau of Standards in 1967 (see
`line_letters.txt` for their licence). Accents are put over and under them here, and other signs of Latin writing are
drawn in `line_signs`. The tables' corners that are meant as curves become curves.
"""

from functools import cache
from pathlib import Path
from typing import Final, Literal, NamedTuple
from unicodedata import normalize

import numpy as np

from rotary.artwork import line_signs
from rotary.artwork.outline import Outline, outline_from
from rotary.formulas.arrays import Floats

LineFaceName = Literal["line-sans", "line-roman", "line-script"]

CAPITAL: Final = 21.0  # height of a capital letter in the tables' units
_X_HEIGHT: Final = 14.0
_CLEAR: Final = 2.0  # between a letter and its accent
_RAISED: Final = 0.55  # size of a raised figure, over that of one on the line
_CORNER_RAD: Final = 1.0  # a sharper turn than this is meant as a corner
_STEM: Final = 5.5  # a piece this long, and twice as long as the next, is straight


class LineLetter(NamedTuple):
    """Strokes (k, 2) floats, y upwards from the line the letter stands on, x from its left edge; its advance."""

    strokes: list[Floats]
    advance: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the strokes."""
        points = np.concatenate(self.strokes)
        (left, bottom), (right, top) = points.min(0).tolist(), points.max(0).tolist()
        return left, bottom, right, top

    def moved(self, right: float, up: float, scale: float = 1.0) -> list[Floats]:
        """The strokes at a scale, elsewhere."""
        return [stroke * scale + np.array([right, up]) for stroke in self.strokes]


class LineFace:
    """A face of single strokes, in units of which a capital letter is CAPITAL high."""

    def __init__(self, name: LineFaceName) -> None:
        self._table = _tables()[name]
        self._known: dict[str, LineLetter | None] = {}

    def letter(self, sign: str) -> LineLetter | None:
        """A letter, put together from its parts where need be; None where there is none."""
        if sign not in self._known:
            self._known[sign] = self._drawn(line_signs.SAME_AS.get(sign, sign)) or self._accented(sign)
        return self._known[sign]

    def _drawn(self, sign: str) -> LineLetter | None:
        if sign in self._table:
            return self._table[sign]
        if sign in line_signs.DRAWN:
            advance, lines = line_signs.DRAWN[sign]
            return LineLetter([np.array(line, float) for line in lines], advance)
        if sign in line_signs.STRUCK:
            base, lines = line_signs.STRUCK[sign]
            left, bottom, right, top = self._table[base].box
            over, wide = np.array([left, bottom]), np.array([max(right - left, 1.0), top - bottom])
            more = [np.array(line, float) * wide + over for line in lines]
            return LineLetter([*self._table[base].strokes, *more], self._table[base].advance)
        return self._derived(sign)

    def _derived(self, sign: str) -> LineLetter | None:
        """A letter of the table made small, turned round, ringed, or given a tail."""
        if sign in line_signs.RAISED:
            return self._in_a_row(line_signs.RAISED[sign], _RAISED, CAPITAL * (1 - _RAISED))
        if sign in line_signs.SMALL:
            return self._in_a_row(line_signs.SMALL[sign], _X_HEIGHT / CAPITAL)
        if sign in line_signs.TURNED:
            base = self._table[line_signs.TURNED[sign]]
            turned = np.array([base.advance, _X_HEIGHT])
            return LineLetter([turned - stroke for stroke in base.strokes], base.advance)
        if sign in line_signs.RINGED:
            base = self._table[line_signs.RINGED[sign]]
            left, bottom, right, top = base.box
            inside = base.moved(14 - 0.5 * (left + right) / 2, 10.5 - 0.5 * (bottom + top) / 2, 0.5)
            angle = np.linspace(0, 2 * np.pi, 17)
            ring = np.stack([14 + 11 * np.cos(angle), 10.5 + 11 * np.sin(angle)], axis=1)
            ring[-1] = ring[0]
            return LineLetter([*inside, ring], 28.0)
        if sign in line_signs.TAILED:
            base = self._table[line_signs.TAILED[sign]]
            right = base.box[2]
            tail = [(right, 3.0), (right, -3.0), (right - 0.8, -5.4), (right - 3.0, -6.6), (right - 6.0, -6.4)]
            return LineLetter([*base.strokes, np.array(tail)], base.advance)
        if sign == "ı":
            return LineLetter(self._dotless("i"), self._table["i"].advance)
        return None

    def _accented(self, sign: str) -> LineLetter | None:
        parts = normalize("NFD", sign)
        marks = parts[1:]
        if not marks or any(mark not in line_signs.ACCENTS for mark in marks):
            apart = normalize("NFKD", sign)
            return self._in_a_row(apart) if apart != sign and not marks else None
        base = self.letter(parts[0])
        if base is None or not base.strokes:
            return None
        above = any(mark not in line_signs.BELOW for mark in marks)
        strokes = self._dotless(parts[0]) if above and parts[0] in "ij" else list(base.strokes)
        for mark in marks:
            strokes += _accent(mark, strokes)
        return base._replace(strokes=strokes)

    def _dotless(self, sign: str) -> list[Floats]:
        return [stroke for stroke in self._table[sign].strokes if stroke[:, 1].min() < _X_HEIGHT + 0.5]

    def _in_a_row(self, text: str, scale: float = 1.0, up: float = 0.0) -> LineLetter | None:
        """Several letters as one."""
        strokes: list[Floats] = []
        advance = 0.0
        for sign in text:
            letter = self.letter(sign)
            if letter is None:
                return None
            strokes += letter.moved(advance, up, scale)
            advance += letter.advance * scale
        return LineLetter(strokes, advance)


@cache
def _tables() -> dict[str, dict[str, LineLetter]]:
    """The tables of all faces."""
    faces: dict[str, dict[str, LineLetter]] = {}
    table: dict[str, LineLetter] = {}
    whole = Path(__file__).with_name("line_letters.txt").read_text("utf-8")
    for line in whole[whole.index("\nface") + 1 :].splitlines():
        sign, _, rest = line.partition(" ")
        if sign == "face":
            table = faces.setdefault(rest, {})
            continue
        advance, *strokes = rest.split(" | ")
        points = [np.array([pair.split(",") for pair in stroke.split()], float) for stroke in strokes]
        table[" " if sign == "space" else sign] = LineLetter(points, float(advance))
    return faces


def _accent(mark: str, strokes: list[Floats]) -> list[Floats]:
    points = np.concatenate(strokes)
    middle = (points[:, 0].min() + points[:, 0].max()) / 2
    height = min(0.0, float(points[:, 1].min())) if mark in line_signs.BELOW else float(points[:, 1].max()) + _CLEAR
    return [np.array(stroke, float) + np.array([middle, height]) for stroke in line_signs.ACCENTS[mark]]


def curved(stroke: Floats) -> Outline:
    """A stroke as an outline: a run of corners that turn little is a curve through them, long pieces stay straight.

    >>> curved(np.array([[0.0, 0.0], [0.0, 21.0], [9.0, 0.0]])).commands
    b'MLL'
    """
    ways = np.diff(stroke, axis=0)
    lengths = np.hypot(ways[:, 0], ways[:, 1])
    stroke = stroke[np.concatenate([[True], lengths > 0])]
    if len(stroke) < 3:
        return outline_from("M" + "L" * (len(stroke) - 1), stroke.ravel().tolist())
    ways, lengths = ways[lengths > 0], lengths[lengths > 0]
    unit = ways / lengths[:, None]
    closed = bool((stroke[0] == stroke[-1]).all())
    # At each point, the piece before and the piece after; a closed stroke goes on where it began.
    before = np.concatenate([unit[-1:] if closed else unit[:1], unit])
    behind = np.concatenate([unit, unit[:1] if closed else unit[-1:]])
    turn = np.arccos(np.clip((before * behind).sum(1), -1, 1))
    round_off = turn <= _CORNER_RAD
    bend = before + behind
    tangent = bend / np.maximum(np.hypot(bend[:, 0], bend[:, 1]), 1e-9)[:, None]
    straight = _straight(lengths, round_off)
    commands, numbers = ["M"], stroke[0].tolist()
    for i, length in enumerate(lengths.tolist()):
        if straight[i] or not ((round_off[i] and turn[i]) or (round_off[i + 1] and turn[i + 1])):
            commands.append("L")
        else:
            start = _leaving(i, i, tangent, before, straight, round_off, unit)
            end = _leaving(i + 1, i, tangent, behind, straight, round_off, unit)
            numbers += [*(stroke[i] + start * length * 0.36).tolist(), *(stroke[i + 1] - end * length * 0.36).tolist()]
            commands.append("C")
        numbers += stroke[i + 1].tolist()
    return outline_from("".join(commands), numbers)


def _straight(lengths: Floats, round_off: np.ndarray) -> np.ndarray:
    beside = np.minimum(
        np.concatenate([[np.inf], np.where(round_off[1:-1], lengths[:-1], np.inf)]),
        np.concatenate([np.where(round_off[1:-1], lengths[1:], np.inf), [np.inf]]),
    )
    return np.asarray((lengths >= _STEM) & (lengths >= 1.8 * np.where(np.isinf(beside), 0.0, beside)))


def _leaving(
    point: int, piece: int, tangent: Floats, other: Floats, straight: np.ndarray, round_off: np.ndarray, unit: Floats
) -> Floats:
    """The direction of a curved piece at one of its ends: along a straight neighbour, else between the two."""
    if not round_off[point]:
        return np.asarray(unit[piece])
    neighbour = point - 1 if point == piece else point
    if straight[neighbour % len(straight)]:
        return np.asarray(other[point])
    return np.asarray(tangent[point])
