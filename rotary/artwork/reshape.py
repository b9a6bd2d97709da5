"""Areas with their points put elsewhere: shifted, scaled, turned, bent onto a wall.

A ring's first and last point are one point, but two rows of an array. Processors work on a row beside its neighbours,
so the same sum can come out a last digit apart in two rows, and a ring that does not close is no ring. Here the last
row is made the first again, whatever was done to it. All areas of the project are changed here and nowhere else::

    points   a  b  c  d  a          a  b  c  d  a
             |  |  |  |  |    ->    |  |  |  |  |
    put      A  B  C  D  A'         A  B  C  D  A
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.formulas.arrays import Floats

Shape = Any  # shapely's own types are not annotated


def reshaped(shape: Shape, put: Callable[[Floats], Floats]) -> Shape:
    """The area with its points (n, 2) where `put` takes them, each for itself; rings stay closed.

    >>> reshaped(shapely.box(0, 0, 1, 1), lambda points: points * 3).area
    9.0
    """
    if shape.geom_type == "GeometryCollection":
        return shapely.GeometryCollection([reshaped(part, put) for part in shape.geoms])
    last = np.cumsum(shapely.get_num_coordinates(shapely.get_rings(shapely.get_parts(shape)))) - 1
    first = np.concatenate([[0], last[:-1] + 1])[: len(last)]

    def closed(points: Floats) -> Floats:
        there = np.array(put(points))
        there[last] = there[first]
        return there

    return shapely.transform(shape, closed)


def shifted(shape: Shape, right: float, up: float) -> Shape:
    """The same area elsewhere.

    >>> shifted(shapely.box(0, 0, 1, 1), 2.0, 5.0).bounds
    (2.0, 5.0, 3.0, 6.0)
    """
    return reshaped(shape, lambda points: points + np.array([right, up]))
