"""Path data to an outline: all commands of the SVG grammar, read up to the first mistake, as it asks."""

import re
from itertools import accumulate
from math import atan2, ceil, cos, pi, radians, sin, sqrt, tan
from typing import Final

from rotary.artwork.outline import EMPTY, Outline, outline_from
from rotary.artwork.svg.lengths import LARGEST, bounded
from rotary.artwork.work import Ledger, refused

LONGEST: Final = 24_000_000
_LETTERS: Final = "MmZzLlHhVvCcSsQqTtAa"
_PAIR: Final = rf"(?:[\s,]*+[+-]?(?:\d++\.?+\d*+|\.\d++)(?:[eE][+-]?\d++)?+){{2}}\s*+(?=[{_LETTERS}]|\Z)"
# Straight lines that have a letter each are read in one go, or else one command with all that stands after it.
_PIECE: Final = re.compile(rf"((?:L{_PAIR}){{2,5000}}+|(?:l{_PAIR}){{2,5000}}+)|([{_LETTERS}])([^{_LETTERS}]*)")
_TOKEN: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?|[^\s,]")
# Possessive: no number may be taken for two where another is missing.
_NUMBER: Final = r"([+-]?(?:\d++\.?+\d*+|\.\d++)(?:[eE][+-]?\d++)?+)[\s,]*+"
# The two flags of an arc may stand without anything between them and the next number.
_ARC: Final = re.compile(rf"[\s,]*{_NUMBER * 3}([01])[\s,]*([01])[\s,]*{_NUMBER * 2}")
_KINDS: Final = {letter: letter.upper() for letter in _LETTERS}
_TAKES: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}
_DRAWN_AS: Final = {"H": "L", "V": "L", "C": "C", "S": "C", "Q": "Q", "T": "Q", "A": "C"}
_GOES_ON: Final = {"S": "CS", "T": "QT"}  # smoothly from the curve before, where it was one of these


def outline_from_path(data: str, ledger: Ledger) -> Outline:
    """The outline of a path's data. Raises Refused where it is longer than a million points need.

    >>> outline_from_path("M1 1h2v2z", Ledger()).points.tolist()
    [[1.0, 1.0], [3.0, 1.0], [3.0, 3.0]]
    """
    if len(data) > LONGEST:
        raise refused("has a path with far too many points: simplify it, or divide it in parts")
    begin = _PIECE.search(data)
    if begin is None or begin[2] not in ("M", "m") or data[: begin.start()].strip():
        return EMPTY
    pen = _Pen()
    for piece in _PIECE.finditer(data, begin.start()):
        run, letter, text = piece.groups()
        if run:
            letter, text = run[0], run.replace(run[0], " ")
            ledger.spend(3 * run.count(letter) // 2)
        else:
            ledger.spend(1 + len(text) // (11 if letter in "MmLl" else 8))
        kind = _KINDS[letter]
        if kind == "Z":
            pen.close()
            if text.strip():
                break
            continue
        values, whole = _arc_values(text) if kind == "A" else _values(text, _TAKES[kind])
        if values:
            pen.draw(kind, letter != kind, values)
        if not whole:
            break
    return outline_from("".join(pen.commands), pen.numbers)


def _values(text: str, takes: int) -> tuple[list[float], bool]:
    """The numbers of one command, and whether they were all numbers and made whole groups."""
    tokens = _TOKEN.findall(text)
    try:
        values = list(map(float, tokens))
        whole = bool(values)
        if whole and not max(map(abs, values)) <= LARGEST:
            values = list(map(bounded, tokens))
    except ValueError:
        values, whole = [], False
        for token in tokens:
            try:
                values.append(bounded(token))
            except ValueError:
                break
    extra = len(values) % takes
    return (values[:-extra], False) if extra else (values, whole)


def _arc_values(text: str) -> tuple[list[float], bool]:
    values: list[float] = []
    at = 0
    while found := _ARC.match(text, at):
        values += map(bounded, found.groups())
        at = found.end()
    return values, bool(values) and not text[at:].strip(" \t\r\n,")


class _Pen:
    """Where the pen is, and what it has drawn."""

    def __init__(self) -> None:
        self.commands: list[str] = []
        self.numbers: list[float] = []
        self.x = self.y = self.start_x = self.start_y = 0.0
        self.control_x = self.control_y = 0.0
        self.last = ""

    def close(self) -> None:
        if self.commands and self.commands[-1] != "Z":
            self.commands.append("Z")
        self.x, self.y = self.start_x, self.start_y
        self.last = "Z"

    def draw(self, kind: str, relative: bool, values: list[float]) -> None:
        if kind == "M":
            self.start_x, self.start_y = self._placed(relative, values[:2])
            values = values[2:]
        if kind == "M" or (self.commands and self.commands[-1] == "Z"):
            self.x, self.y = self.start_x, self.start_y
            self.commands.append("M")
            self.numbers += (self.x, self.y)
        if kind not in "ML":
            takes = _TAKES[kind]
            for i in range(0, len(values), takes):
                self._draw_one(kind, relative, values[i : i + takes])
        elif values:
            self._draw_lines(relative, values)
        self.last = kind

    def _placed(self, relative: bool, values: list[float]) -> list[float]:
        """Coordinates in a row, counted from the origin."""
        return [value + (self.y if i % 2 else self.x) for i, value in enumerate(values)] if relative else values

    def _draw_lines(self, relative: bool, values: list[float]) -> None:
        """Straight lines all at once: large drawings are made of them."""
        if relative:
            values[0] += self.x
            values[1] += self.y
            values[0::2], values[1::2] = list(accumulate(values[0::2])), list(accumulate(values[1::2]))
        self.commands.append("L" * (len(values) // 2))
        self.numbers += values
        self.x, self.y = values[-2:]

    def _draw_one(self, kind: str, relative: bool, values: list[float]) -> None:
        """One line along an axis, one curve, or one arc."""
        if kind == "H":
            values = [values[0], 0.0 if relative else self.y]
        elif kind == "V":
            values = [0.0 if relative else self.x, values[0]]
        points, command = self._placed(relative, values[-2:] if kind == "A" else values), _DRAWN_AS[kind]
        end = points[-2:]
        if kind == "A":
            rx, ry, turn, large, sweep = values[:5]
            curves = cubics_from_arc(self.x, self.y, rx, ry, turn, large != 0, sweep != 0, *end)
            command, points = ("L", end) if curves is None else ("C" * (len(curves) // 6), curves)
        elif command != "L":
            points = [*self._reflected(kind), *points]
            self.control_x, self.control_y = points[-4:-2]
        self.commands.append(command)
        self.numbers += points
        self.x, self.y = end
        self.last = kind

    def _reflected(self, kind: str) -> tuple[float, ...]:
        """The control point that goes on smoothly from the curve before; none for a curve that has its own."""
        if kind not in _GOES_ON:
            return ()
        if self.last and self.last in _GOES_ON[kind]:
            return 2 * self.x - self.control_x, 2 * self.y - self.control_y
        return self.x, self.y


def cubics_from_arc(
    x1: float, y1: float, rx: float, ry: float, turn_deg: float, large: bool, sweep: bool, x2: float, y2: float
) -> list[float] | None:
    """An elliptical arc as cubic curves, coordinates in a row; None where it is a straight line.

    After the notes on elliptical arcs of SVG 2 (appendix on conversion from endpoint to centre).

    >>> cubics_from_arc(1, 0, 1, 1, 0, False, True, 0, 1)[-2:]
    [0, 1]
    """
    if rx == 0 or ry == 0:
        return None
    if x1 == x2 and y1 == y2:
        return []
    rx, ry, turn = abs(rx), abs(ry), radians(turn_deg % 360)
    c, s = cos(turn), sin(turn)
    half_x, half_y = (x1 - x2) / 2, (y1 - y2) / 2
    px, py = (c * half_x + s * half_y) / rx, (-s * half_x + c * half_y) / ry
    reach = px * px + py * py
    if reach > 1:
        grow = sqrt(reach)
        rx, ry, px, py, reach = rx * grow, ry * grow, px / grow, py / grow, 1.0
    # On the unit circle: the centre lies square to the chord.
    away = sqrt(max(0.0, 1 - reach) / reach) if reach else 0.0
    if large == sweep:
        away = -away
    centre_x, centre_y = away * py, -away * px
    from_rad, to_rad = atan2(py - centre_y, px - centre_x), atan2(-py - centre_y, -px - centre_x)
    swept = (to_rad - from_rad) % (2 * pi) if sweep else -((from_rad - to_rad) % (2 * pi))
    mid_x, mid_y = (x1 + x2) / 2, (y1 + y2) / 2
    to_user = (c * rx, s * rx, -s * ry, c * ry)
    middle = (
        mid_x + to_user[0] * centre_x + to_user[2] * centre_y,
        mid_y + to_user[1] * centre_x + to_user[3] * centre_y,
    )
    return arc_curves(from_rad, swept, to_user, middle, (x2, y2))


def arc_curves(
    start_rad: float,
    swept_rad: float,
    to_user: tuple[float, float, float, float],
    middle: tuple[float, float],
    end: tuple[float, float],
) -> list[float]:
    """Cubic curves, coordinates in a row, along an arc of the unit circle that `to_user` and `middle` place.

    Pieces of at most an eighth of a turn stray by less than 5e-6 of the radius.

    >>> from math import pi
    >>> len(arc_curves(0.0, pi, (1, 0, 0, 1), (0, 0), (-1, 0))) // 6
    4
    """
    count = max(1, ceil(abs(swept_rad) / (pi / 4) - 1e-9))
    step = swept_rad / count
    reach = 4 / 3 * tan(step / 4)
    out: list[float] = []
    a, b, c, d = to_user
    for i in range(count):
        t, u = start_rad + i * step, start_rad + (i + 1) * step
        ct, st, cu, su = cos(t), sin(t), cos(u), sin(u)
        for x, y in ((ct - reach * st, st + reach * ct), (cu + reach * su, su - reach * cu), (cu, su)):
            out += (a * x + c * y + middle[0], b * x + d * y + middle[1])
    out[-2:] = end
    return out
