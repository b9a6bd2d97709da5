"""The way back through the surface maps: from a place on the wall to the place on flat artwork that lies there."""

import math

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import Curve, arc_from_height_mm, is_straight, radius_and_slope, radius_mm


def unrolled_mm(
    radius_mm: ArrayLike, half_angle_rad: float, along_mm: ArrayLike, angle_rad: ArrayLike
) -> tuple[Floats, Floats]:
    """Where a place of a cone lies when the cone is unrolled [mm]: x to the right, y towards the rim.

    `along_mm` is measured along the wall from the ring that passes through the origin, `angle_rad` round the
    axis from the line that does. Exact for any half angle, none included. Floats (...) that broadcast.

    >>> x, y = unrolled_mm(40.0, 0.0, 10.0, [0.0, 0.5])
    >>> x.tolist(), y.tolist()
    ([0.0, 20.0], [10.0, 10.0])
    """
    r, along, theta = (np.asarray(value, float) for value in (radius_mm, along_mm, angle_rad))
    turn = math.sin(half_angle_rad) * theta
    # sin(k theta)/k and (1 - cos(k theta))/k without the division that fails on a cylinder.
    x = r * theta * np.sinc(turn / np.pi)
    drop = r * theta * turn / 2 * np.sinc(turn / (2 * np.pi)) ** 2
    return np.asarray(x), np.asarray(along - drop)


def flat_from_wall_mm(
    surface_map: str, curve: Curve, centre_mm: float, s_mm: ArrayLike, angle_rad: ArrayLike
) -> tuple[Floats, Floats]:
    """The place (u, v) [mm] that a surface map lays at a height and an angle of the wall; the inverse of `maps.MAPS`.

    Floats (...) that broadcast. `angle_rad` from the artwork's middle, within half a turn. nan where the map
    lays nothing: on the far side of a front view. Raises ValueError for a decal on a wall that is no cone.

    >>> from rotary.formulas.revolution import straight_curve
    >>> [v.tolist() for v in flat_from_wall_mm("true-width", straight_curve(40.0, 0.0, 100.0), 50.0, 60.0, [0.5])]
    [[20.0], [10.0]]
    """
    s, theta = np.asarray(s_mm, float), np.asarray(angle_rad, float)
    s, theta = np.broadcast_arrays(s, theta)
    if surface_map == "front-view":
        seen = np.where(np.abs(theta) <= np.pi / 2, theta, np.nan)
        return np.asarray(radius_mm(curve, s) * np.sin(seen)), np.asarray(s - centre_mm)
    along = arc_from_height_mm(curve, s) - arc_from_height_mm(curve, centre_mm)
    if surface_map == "label":
        if not is_straight(curve):
            raise ValueError("laid like a label, artwork fits only a straight or evenly tapered wall")
        return unrolled_mm(radius_mm(curve, s), math.atan(float(radius_and_slope(curve, centre_mm)[1])), along, theta)
    r = radius_mm(curve, centre_mm if surface_map == "with-taper" else s)
    return np.asarray(theta * r), np.asarray(along)
