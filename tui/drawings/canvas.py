"""A surface to draw on in characters: braille dots, 2 wide and 4 high a cell, or plain ASCII; text on top."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import cos, isfinite, sin, tau
from typing import ClassVar, Final, NamedTuple

from rich.cells import cell_len, set_cell_size


class Run(NamedTuple):
    """Characters in one ink; the inks are those of `tui.widgets.inks`; `action` is done when they are clicked."""

    text: str
    ink: str = "plain"
    action: str = ""


Line = list[Run]

_BITS: Final = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
USUAL_ASPECT: Final = 2.0

NO_SIGN: Final = "\0"
"""Where the second half of a wide sign stands."""

_MOST_DOTS: Final = 20_000
"""A stroke longer than this leaves the picture far behind; it is cut off."""


class Canvas:
    """`width` x `height` cells, which are 2 width x 4 height dots; x to the right, y down [dots].

    Where `to_scale`, y counts in the width of a dot, however high this terminal's cells are: what is round looks round.
    A cell has one ink, that of what was drawn last in it: draw the least important first.
    """

    aspect: ClassVar[float] = USUAL_ASPECT
    """How many times higher than wide a cell of this terminal is."""

    def __init__(self, width: int, height: int, ascii_only: bool = False, to_scale: bool = False) -> None:
        self.stretch = Canvas.aspect / USUAL_ASPECT if to_scale else 1.0
        self.width, self.height, self.ascii_only = max(width, 0), max(height, 0), ascii_only
        self._bits = [bytearray(self.width) for _ in range(self.height)]
        self._inks: list[list[str]] = [["plain"] * self.width for _ in range(self.height)]
        self._signs: list[list[str]] = [[""] * self.width for _ in range(self.height)]

    @property
    def dots(self) -> tuple[int, int]:
        """How many dots it is wide and high."""
        return 2 * self.width, 4 * self.height

    def tall(self, rows: int) -> float:
        """How high so many rows of cells are, in what y counts."""
        return 4 * self.stretch * rows

    def row(self, y: float) -> int:
        """The row of cells at a height."""
        return int(y / self.stretch) // 4

    def dot(self, x: float, y: float, ink: str) -> None:
        """One dot."""
        self.set_dot(x, y / self.stretch, ink)

    def set_dot(self, x: float, y: float, ink: str) -> None:
        """One dot by its column and row among the dots."""
        self._set_dots(((x, y),), ink)

    def _set_dots(self, dots: Iterable[tuple[float, float]], ink: str) -> None:
        width, height = self.width, self.height
        for x, y in dots:
            column, row = int(x // 2), int(y // 4)
            if 0 <= column < width and 0 <= row < height:
                self._bits[row][column] |= _BITS[int(y) & 3][int(x) & 1]
                self._inks[row][column] = ink

    def line(self, x0: float, y0: float, x1: float, y1: float, ink: str, dash: int = 0) -> None:
        """A straight stroke; `dash` dots drawn, as many left out, where it isn't 0."""
        self.path(((x0, y0), (x1, y1)), ink, dash)

    def path(self, points: Sequence[tuple[float, float]], ink: str, dash: int = 0) -> None:
        """A chain of strokes."""
        stretch, dots = self.stretch, []
        for (x0, y0), (x1, y1) in pairwise(points):
            across, down = x1 - x0, y1 - y0
            if not isfinite(x0 + y0 + across + down):
                continue
            count = min(int(max(abs(across), abs(down) / stretch)) + 1, _MOST_DOTS)
            for place in range(count + 1):
                if not (dash and (place // dash) & 1):
                    share = place / count
                    dots.append((x0 + across * share + 0.5, (y0 + down * share + 0.5) / stretch))
        self._set_dots(dots, ink)

    def arc(self, x: float, y: float, radius: float, ink: str, start: float = 0.0, end: float = tau) -> None:
        """A part of a circle, angles from the top, + to the right."""
        count = min(max(8, int(abs(end - start) * radius * 1.5 / min(self.stretch, 1.0))), _MOST_DOTS)
        for place in range(count + 1):
            angle = start + (end - start) * place / count
            self.dot(x + radius * sin(angle) + 0.5, y - radius * cos(angle) + 0.5, ink)

    def spoke(self, at: tuple[float, float], angle: float, radii: tuple[float, float], ink: str, dash: int = 0) -> None:
        """A stroke from one radius to another round a place, its angle from the top, + to the right."""
        (x, y), (start, end), across, up = at, radii, sin(angle), cos(angle)
        self.line(x + start * across, y - start * up, x + end * across, y - end * up, ink, dash)

    def fill(self, x0: float, y0: float, x1: float, y1: float, ink: str, every: int = 1) -> None:
        """A block of dots, or every so-manyth of them."""
        for y in range(int(min(y0, y1)), int(max(y0, y1)) + 1, every):
            for x in range(int(min(x0, x1)), int(max(x0, x1)) + 1, every):
                self.dot(x, y, ink)

    def text(self, column: int, row: int, text: str, ink: str = "plain") -> None:
        """Characters over whatever was drawn."""
        if not 0 <= row < self.height:
            return
        place = column
        for sign in text:
            wide = cells(sign)
            if wide == 0 and 0 < place <= self.width:
                # A mark that combines goes with the sign before it.
                self._signs[row][place - 1] += sign
            elif place >= 0 and place + wide <= self.width:
                self._signs[row][place : place + wide] = [sign, *[NO_SIGN] * (wide - 1)]
                self._inks[row][place : place + wide] = [ink] * wide
            place += wide

    def lines(self) -> list[Line]:
        """What was drawn, line by line, in runs of one ink."""
        return [self._line(row) for row in range(self.height)]

    def _line(self, row: int) -> Line:
        runs, text, at = list[Run](), "", ""
        for bits, ink, sign in zip(self._bits[row], self._inks[row], self._signs[row], strict=True):
            if sign == NO_SIGN:
                continue
            shown = sign or (_ascii_sign(bits) if self.ascii_only else chr(0x2800 + bits) if bits else " ")
            if text and ink != at and shown != " ":
                runs.append(Run(text, at))
                text = ""
            text, at = text + shown, at if text else ink
        return [*runs, Run(text, at)] if text else runs


def _ascii_sign(bits: int) -> str:
    """The plain character that looks most like a pattern of dots."""
    if not bits:
        return " "
    rows = [sum(bool(bits & bit) for bit in pair) for pair in _BITS]
    if sum(rows) >= 6:
        return "#"
    if all(rows):
        return _upright(bits)
    top, bottom = rows[0] + rows[1], rows[2] + rows[3]
    if top and bottom:
        return "+" if sum(rows) > 3 else ":"
    if top:
        return "'" if top < 2 else '"' if top < 4 and rows[0] else "-"
    return "." if bottom < 2 or not rows[2] else "_" if rows[3] == 2 else "-"


def _upright(bits: int) -> str:
    left_top, right_top = bits & 0x03, bits & 0x18
    left_bottom, right_bottom = bits & 0x44, bits & 0xA0
    if left_top and right_bottom and not right_top and not left_bottom:
        return "\\"
    if right_top and left_bottom and not left_top and not right_bottom:
        return "/"
    return "|"


def plain(lines: Sequence[Line]) -> str:
    """Lines as text without ink."""
    return "\n".join("".join(run.text for run in line).rstrip() for line in lines)


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers from low to high, at most about so many.

    >>> ticks(0.0, 150.0, 4)
    [0.0, 50.0, 100.0, 150.0]
    """
    if not (isfinite(low) and isfinite(high)) or high <= low:
        return [low]
    raw = (high - low) / max(1, most)
    size = 1.0
    while size > raw:
        size /= 10
    while size * 10 <= raw:
        size *= 10
    step = next(step for step in (size, 2 * size, 5 * size, 10 * size) if step >= raw * 0.999)
    first = int(low // step) + (low % step > step * 1e-9)
    return [round(place * step, 12) for place in range(first, int(high / step + 1e-9) + 1)]


def cells(text: str) -> int:
    """How many cells a text takes: signs of wide scripts two, combining marks none.

    >>> cells("Heron"), cells("鷺"), cells("e\u0301")
    (5, 2, 1)
    """
    return len(text) if text.isascii() else cell_len(text)


def cut(text: str, width: int) -> str:
    """The beginning of a text that goes into so many cells; half of a wide sign is a blank.

    >>> cut("Heron", 3), cut("鷺のレガッタ", 5)
    ('Her', '鷺の ')
    """
    if text.isascii():
        return text[: max(width, 0)]
    return set_cell_size(text, width) if cell_len(text) > max(width, 0) else text


def padded(text: str, width: int) -> str:
    """A text with blanks up to so many cells.

    >>> padded("鷺", 4)
    '鷺  '
    """
    return text + " " * max(width - cells(text), 0)


def clipped(lines: Sequence[Line], width: int) -> list[Line]:
    """The lines cut off at so many cells.

    >>> clipped([[Run("one "), Run("two")]], 5)
    [[Run(text='one ', ink='plain', action=''), Run(text='t', ink='plain', action='')]]
    """
    shorter = []
    for line in lines:
        if sum([cells(run.text) for run in line]) <= width:
            shorter.append(line)
            continue
        room, kept = width, []
        for run in line:
            if room > 0:
                kept.append(run._replace(text=cut(run.text, room)))
            room -= cells(run.text)
        shorter.append(kept)
    return shorter


def greyed(lines: Sequence[Line]) -> list[Line]:
    """The lines without their inks, as what is not of what stands now; cells of two colours would show nothing so."""
    return [[run if run.ink.startswith("#") else Run(run.text, "muted") for run in line] for line in lines]


def fitted(text: str, width: int) -> str:
    """A text no wider than so many cells.

    >>> fitted("governed by seams", 8), fitted("鷺のレガッタ", 6)
    ('governe…', '鷺の …')
    """
    if cells(text) <= width:
        return text
    return cut(text, width - 1) + "…" if width > 0 else ""
