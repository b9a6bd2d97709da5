"""Artwork that goes all round: what reaches past the back comes in again on the other side.

::

        -half turn            middle            half turn
            |------------------+------------------|=====|   past the back ...
            |=====|                               |         ... is here

"""

from math import pi
from typing import Final

import numpy as np

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import Rings, moved, rings_from_shapely, shapely_from_rings

SEAM_RAD: Final = 1e-6
"""Ink that ends this close to the back ends on it: less than a fifth of a micrometre on a drum of 400 mm."""

GRID_RAD: Final = 1e-9
TURNS: Final = 2
"""Artwork that reaches farther round than this many turns to either side is none."""


def once_round(wall: Rings) -> Rings:
    """Ink on a wall, angle from the artwork's middle [rad] by height, brought to within half a turn of the middle.

    Raises ValueError where it reaches round several times.

    >>> from rotary.artwork.rings import area_mm2, bounds_mm, rings_from_list
    >>> across = once_round(rings_from_list([[(3, 0), (3.5, 0), (3.5, 1), (3, 1)]]))
    >>> round(area_mm2(across), 6), [round(edge, 6) for edge in bounds_mm(across)]
    (0.5, [-3.141593, 0.0, 3.141593, 1.0])
    """
    if len(wall.points_mm) == 0:
        return wall
    wall = _ends_on_the_back(wall)
    reach = float(np.abs(wall.points_mm[:, 0]).max())
    if reach <= pi:
        return wall
    if reach > (2 * TURNS + 1) * pi:
        raise ValueError("the artwork reaches round the item several times")
    import shapely  # type: ignore[import-untyped, unused-ignore]

    turns = range(-TURNS, TURNS + 1)
    strips = slices_between(wall, [(2 * k - 1) * pi for k in turns][1:])
    parts = [moved(strip, -2 * k * pi, 0.0) for k, strip in zip(turns, strips, strict=True)]
    # What comes in again may lie on ink that is there: together they are one region.
    shapes = [shapely_from_rings(part) for part in parts if len(part.points_mm)]
    return _ends_on_the_back(rings_from_shapely(shapely.union_all(shapes, grid_size=GRID_RAD)))


def _ends_on_the_back(wall: Rings) -> Rings:
    points = wall.points_mm.copy()
    angle = points[:, 0]
    close = np.abs(np.abs(angle) - pi) <= SEAM_RAD
    angle[close] = np.copysign(pi, angle[close])
    return Rings(points, wall.offsets)
