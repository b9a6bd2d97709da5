"""Where a tone that changes over a face crosses a level: the lines of that, and the face in parts.

Each cell of a grid is two triangles, on which the tone is taken as a plane; a line through a triangle meets that of
its neighbour in one and the same place::

    +-----+-----+
    | 0 / | 0 / |      0: below the level,  1: above
    | /*-*+*  / |
    0-----1-----1
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray

from rotary.artwork.overlay import GRID, Shape, inner_points
from rotary.formulas.arrays import Floats


def level_lines(tones: Floats, x: Floats, y: Floats, level: float) -> Floats:
    """Pieces (n, 2, 2) of the lines on which `tones` (rows, columns), at columns x and rows y, are at a level.

    >>> level_lines(np.array([[0.0, 1.0], [0.0, 1.0]]), np.array([0.0, 4.0]), np.array([0.0, 1.0]), 0.25).tolist()
    [[[1.0, 0.0], [1.0, 0.25]], [[1.0, 1.0], [1.0, 0.25]]]
    """
    places = np.stack(np.meshgrid(x, y), axis=-1)
    points = np.concatenate([places, tones[..., None]], axis=-1)
    a, b, c, d = points[:-1, :-1], points[:-1, 1:], points[1:, 1:], points[1:, :-1]
    corners = np.concatenate([np.stack(three, axis=-2).reshape(-1, 3, 3) for three in ((a, b, c), (a, c, d))])
    low = corners[..., 2] <= level
    crossed = low.any(1) & ~low.all(1)
    corners, low = corners[crossed], low[crossed]
    # The corner that lies on the other side than the two others.
    other = np.where(low.sum(1) == 1, low.argmax(1), low.argmin(1))
    row = np.arange(len(corners))
    ends = [_between(corners[row, other], corners[row, (other + k) % 3], level) for k in (1, 2)]
    lines = np.stack(ends, axis=1).reshape(-1, 2, 2)
    return np.asarray(lines[(lines[:, 0] != lines[:, 1]).any(1)])


def _between(one: Floats, other: Floats, level: float) -> Floats:
    """The places (n, 2) at the level; to the last digit the same from both sides."""
    swap = (one[:, 2] > other[:, 2])[:, None]
    low, high = np.where(swap, other, one), np.where(swap, one, other)
    share = (level - low[:, 2]) / (high[:, 2] - low[:, 2])
    return np.asarray(low[:, :2] + share[:, None] * (high[:, :2] - low[:, :2]))


def parted(face: Shape, lines: Floats) -> NDArray[Any]:
    """A face as parts along lines (n, 2, 2)."""
    parts = faces_between([shapely.boundary(face), *shapely.linestrings(lines)])
    shapely.prepare(face)
    return np.asarray(parts[shapely.contains(face, inner_points(parts))], object)


def faces_between(lines: Sequence[Any]) -> NDArray[Any]:
    """The faces that lines enclose when they are cut where they cross."""
    try:
        cut = shapely.union_all(lines)
        return np.asarray(shapely.get_parts(shapely.polygonize(shapely.get_parts(cut))), object)
    except shapely.errors.GEOSException:
        cut = shapely.union_all(lines, grid_size=GRID)
        return np.asarray(shapely.get_parts(shapely.polygonize(shapely.get_parts(cut))), object)
