"""Contours out of loose lines: ends that meet, contours drawn twice, borders of hatches, lines that widen."""

from typing import Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.outline import Polylines
from rotary.artwork.overlay import Shape, joined_areas
from rotary.formulas.arrays import Floats

MOST_ENDS: Final = 2_000
SAME_AREA: Final = 1e-3


def polyline(points: Floats, closed: bool) -> Polylines:
    """A single line as polylines."""
    return Polylines(points, np.array([0, len(points)]), np.array([closed]))


def ring_lines(rings: list[Floats]) -> Polylines:
    """Closed rings as polylines."""
    offsets = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    return Polylines(np.concatenate(rings), offsets, np.ones(len(rings), bool))


def tapered(line: Floats, first: float, last: float) -> Shape:
    """The area of a line (n, 2) whose width goes evenly from `first` to `last` along its way.

    >>> tapered(np.array([[0.0, 0.0], [4.0, 0.0]]), 2.0, 1.0).area
    6.0
    """
    steps = np.diff(line, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    steps, lengths = steps[lengths > 0], lengths[lengths > 0]
    line = np.concatenate([line[:1], line[:1] + np.cumsum(steps, axis=0)])
    along = np.concatenate([[0.0], np.cumsum(lengths)]) / lengths.sum()
    half = (first + (last - first) * along)[:, None] / 2
    square = np.stack([-steps[:, 1], steps[:, 0]], axis=1) / lengths[:, None]
    left = np.concatenate([square[:1], square]) + np.concatenate([square, square[-1:]])
    left /= np.maximum(np.hypot(left[:, 0], left[:, 1]), 1e-9)[:, None]
    sides = np.stack([line + left * half, line - left * half], axis=1)
    quads = np.stack([sides[:-1, 0], sides[1:, 0], sides[1:, 1], sides[:-1, 1]], axis=1)
    return joined_areas(list(shapely.convex_hull(shapely.polygons(quads))))


def is_border(ring: Floats, borders: list[Floats], near: float) -> bool:
    """Whether a contour runs along the border of a hatch: it has the same extent and area."""
    low, high, area = ring.min(0), ring.max(0), shapely.Polygon(ring).area
    return any(
        bool(np.abs(border.min(0) - low).max() <= near and np.abs(border.max(0) - high).max() <= near)
        and abs(shapely.Polygon(border).area - area) <= SAME_AREA * area
        for border in borders
        if len(border) > 2
    )


def nearest_ends(lines: list[Floats]) -> float | None:
    """How far the two ends that are nearest to each other are apart; None of one short line, or of very many.

    >>> nearest_ends([np.array([[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 0.5]])])
    0.5
    """
    if len(lines) > MOST_ENDS:
        return None
    ends = np.concatenate([line[[0, -1]] for line in lines])
    apart = np.hypot(*(ends[:, None] - ends[None]).transpose(2, 0, 1))
    # A line's own ends count where the way round is much longer than the gap.
    for i, line in enumerate(lines):
        way = float(np.hypot(*np.diff(line, axis=0).T).sum())
        if way < 4 * apart[2 * i, 2 * i + 1]:
            apart[2 * i, 2 * i + 1] = apart[2 * i + 1, 2 * i] = np.inf
    np.fill_diagonal(apart, np.inf)
    nearest = float(apart.min())
    return nearest if np.isfinite(nearest) else None


def without_doubles(rings: list[Floats], meet: float) -> tuple[list[Floats], int]:
    """Rings of which no two have the same corners: by even-odd, a contour drawn twice would vanish."""
    seen: dict[bytes, Floats] = {}
    for ring in rings:
        cells = np.rint(ring / meet) + 0.0  # no -0.0, which is another number by its bytes
        seen.setdefault(np.unique(cells[:, 0] + 1j * cells[:, 1]).tobytes(), ring)
    return list(seen.values()), len(rings) - len(seen)


def joined_ends(lines: list[Floats], meet: float) -> tuple[list[Floats], list[Floats]]:
    """Closed rings made of lines (n, 2) whose ends lie within `meet` of each other, and lines left over; what is too
    small to enclose anything is neither.

    >>> a, b = np.array([[0.0, 0.0], [2.0, 0.0]]), np.array([[0.0, 0.001], [1.0, 2.0], [2.0, 0.0]])
    >>> rings, loose = joined_ends([a, b], 0.01)
    >>> len(rings), len(rings[0]), len(loose)
    (1, 4, 0)
    """
    nodes = _Nodes(meet)
    ends = [(nodes.at(line[0]), nodes.at(line[-1])) for line in lines]
    at_node: dict[int, list[int]] = {}
    for i, pair in enumerate(ends):
        for node in pair:
            at_node.setdefault(node, []).append(i)
    used = [False] * len(lines)
    rings: list[Floats] = []
    loose: list[Floats] = []
    # Begin where a line ends in nothing, so that an open chain is found whole.
    for i in sorted(range(len(lines)), key=lambda k: min(len(at_node[node]) for node in ends[k])):
        if not used[i]:
            chain, closed = _chain(i, lines, ends, at_node, used)
            line = np.concatenate(chain)
            if len(line) > 2 or not closed:
                (rings if closed else loose).append(line)
    return rings, loose


def _chain(
    first: int, lines: list[Floats], ends: list[tuple[int, int]], at_node: dict[int, list[int]], used: list[bool]
) -> tuple[list[Floats], bool]:
    used[first] = True
    start, here = ends[first]
    if len(at_node[here]) == 1 and len(at_node[start]) > 1:
        start, here = here, start
    chain = [lines[first] if ends[first] == (start, here) else lines[first][::-1]]
    while here != start:
        following = next((k for k in at_node[here] if not used[k]), None)
        if following is None:
            return chain, False
        used[following] = True
        forward = ends[following][0] == here
        chain.append((lines[following] if forward else lines[following][::-1])[1:])
        here = ends[following][1 if forward else 0]
    return chain, True


class _Nodes:
    """Places where ends meet: one within reach is the same."""

    def __init__(self, reach: float) -> None:
        self.reach = reach
        self._cells: dict[tuple[int, int], list[tuple[int, float, float]]] = {}
        self._count = 0

    def at(self, point: Floats) -> int:
        x, y = float(point[0]), float(point[1])
        column, row = round(x / self.reach), round(y / self.reach)
        for i in (column - 1, column, column + 1):
            for j in (row - 1, row, row + 1):
                for number, px, py in self._cells.get((i, j), ()):
                    if (px - x) ** 2 + (py - y) ** 2 <= self.reach**2:
                        return number
        self._cells.setdefault((column, row), []).append((self._count, x, y))
        self._count += 1
        return self._count - 1
