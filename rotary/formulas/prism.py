"""A faceted body unrolled: its flats side by side, corner to corner.

::

             ______                    |<- flat ->|<- flat ->|<- flat ->|
           /   0    \\                  |    -1    |     0    |     1    |
      -1  /    |     \\  1    ->        +----------+----------+----------+--> u
          \\    +  a  /                            corner     corner
           \\_______/                   u = 0 in the middle of flat 0; a: from the axis to a flat

Angles are counted around the axis from the middle of flat 0, + to the right as seen from the head with the rim
away from oneself. `from_axis_mm` is half of what is measured across flats (for an odd number, from axis to flat).
Plane geometry of the regular polygon; what it is for: docs/explanation/slices.md.
"""

from math import pi, tan

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, Ints


def flat_number(angle_rad: ArrayLike, flats: int) -> Ints:
    """Which flat lies at an angle, counted from 0, not brought back to one turn; int of the angles' shape.

    >>> flat_number(np.radians([0, 29, 31, -70]), 6).tolist()
    [0, 0, 1, -1]
    """
    # Half way is a corner, which belongs to both: then either will do.
    return np.asarray(np.ceil(np.asarray(angle_rad, float) * flats / (2 * pi) - 0.5), np.int64)


def unrolled_from_angle_mm(angle_rad: ArrayLike, from_axis_mm: float, flats: int) -> Floats:
    """Distance round the unrolled prism [mm] of what lies at an angle of it; continuous over its corners.

    >>> unrolled_from_angle_mm(np.radians([0, 30, 60]), 8.0, 6).round(3).tolist()
    [0.0, 4.619, 9.238]
    """
    angle, number = np.asarray(angle_rad, float), flat_number(angle_rad, flats)
    return np.asarray(
        number * 2 * from_axis_mm * tan(pi / flats) + from_axis_mm * np.tan(angle - number * 2 * pi / flats)
    )


def beyond_prism_mm(
    across_mm: ArrayLike, height_mm: ArrayLike, from_axis_mm: ArrayLike, flats: int, top_rad: ArrayLike
) -> Floats:
    """How far a point lies outside the nearest flat's plane [mm], negative inside; (...) floats that broadcast.

    `across_mm` and `height_mm` are the point's place from the axis, `top_rad` the angle of the item that is on top.

    >>> beyond_prism_mm([0.0, 4.0], [8.0, 9.0], 8.0, 6, 0.0).tolist()
    [0.0, 1.0]
    """
    x, h = np.asarray(across_mm, float), np.asarray(height_mm, float)
    angle = np.arctan2(x, h) + np.asarray(top_rad, float)
    off = angle - flat_number(angle, flats) * (2 * pi / flats)
    return np.asarray(np.hypot(x, h) * np.cos(off) - np.asarray(from_axis_mm, float))
