"""Outlines filled with dots, row by row, by the even-odd rule; and rows of greys as dots."""

from collections.abc import Callable, Sequence
from math import isfinite

from tui.drawings.canvas import Canvas

Rings = Sequence[Sequence[tuple[float, float]]]
Place = Callable[[float, float], tuple[float, float]]


def fill_rings(canvas: Canvas, rings: Rings, place: Place, ink: str) -> None:
    """Dots wherever the rings, brought to the canvas by `place`, enclose a dot's middle; a hair still leaves its line.

    >>> canvas = Canvas(2, 1, ascii_only=True)
    >>> fill_rings(canvas, [[(0, 0), (4, 0), (4, 4), (0, 4)]], lambda x, y: (x, y), "a")
    >>> canvas.lines()[0][0].text
    '##'
    """
    wide, high = canvas.dots
    rows: dict[int, list[float]] = {}
    for ring in rings:
        points = [place(*point) for point in ring]
        if len(points) < 3 or not all(isfinite(x) and isfinite(y) for x, y in points):
            continue
        canvas.path([*points, points[0]], ink)
        points = [(x, y / canvas.stretch) for x, y in points]
        x0, y0 = points[-1]
        for x1, y1 in points:
            if y0 != y1:
                (ya, xa), (yb, xb) = ((y0, x0), (y1, x1)) if y0 < y1 else ((y1, x1), (y0, x0))
                slope = (xb - xa) / (yb - ya)
                # Middles of dot rows from the lower end up to, but not at, the upper one.
                for row in range(max(int(ya + 0.5 - 1e-9), 0), min(int(yb + 0.5), high)):
                    middle = row + 0.5
                    if ya <= middle < yb:
                        rows.setdefault(row, []).append(xa + (middle - ya) * slope)
            x0, y0 = x1, y1
    for row, crossings in rows.items():
        crossings.sort()
        for left, right in zip(crossings[::2], crossings[1::2], strict=False):
            for column in range(max(int(left + 0.5), 0), min(int(right + 0.5), wide)):
                canvas.set_dot(column, row, ink)


def fill_tones(canvas: Canvas, tones: Sequence[Sequence[int]], size: tuple[int, int], ink: str) -> None:
    """Greys of 0 to 255 as dots, dark as dots set: what is lost by rounding goes on to the neighbours.

    The weights are those of error diffusion by four neighbours (floyd1976, from memory, not seen).
    """
    wide, high = size
    rows = [[_tone(tones, x, y, wide, high) for x in range(wide)] for y in range(high)]
    for y in range(high):
        for x in range(wide):
            old = rows[y][x]
            new = 255.0 if old >= 128 else 0.0
            if new == 0.0:
                canvas.set_dot(x, y, ink)
            off = old - new
            for dx, dy, share in ((1, 0, 7 / 16), (-1, 1, 3 / 16), (0, 1, 5 / 16), (1, 1, 1 / 16)):
                if 0 <= x + dx < wide and y + dy < high:
                    rows[y + dy][x + dx] += off * share


def _tone(tones: Sequence[Sequence[float]], x: int, y: int, wide: int, high: int) -> float:
    row = tones[min(y * len(tones) // high, len(tones) - 1)]
    return float(row[min(x * len(row) // wide, len(row) - 1)])
