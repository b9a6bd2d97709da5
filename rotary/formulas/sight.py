"""What an eye sees of a turned body: where its places stand in the picture, and how far round the wall is in sight.

::

                 z                     the picture plane lies through the axis, at right angles to the
                 ^     . wall          line of sight; what lies nearer to the eye is drawn larger by
                 |  .                  E / (E - z)
    eye  <-------+-------   axis
            E    .

The eye looks at the axis at right angles. Derivations: docs/formulas/sight.md.
Source: textbook central projection.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats
from rotary.formulas.revolution import Curve, is_straight, radius_and_slope, radius_mm

_ALONG: Final = np.concatenate([np.geomspace(1e-4, 0.02, 24, endpoint=False), np.linspace(0.02, 0.98, 160)])
# Shares of the way to the eye at which the wall may be in it; the first steps are what a rounded shoulder needs.


class Eye(NamedTuple):
    """Where the eye is: its distance from the item's axis, infinite for a look from far, and its height from the foot
    [mm]."""

    distance_mm: float
    height_mm: float


def sight_mm(eye: Eye, across_mm: ArrayLike, height_mm: ArrayLike, towards_mm: ArrayLike) -> tuple[Floats, Floats]:
    """Where places stand in the picture [mm]: to the right of the axis, and height from the foot.

    Floats (...) that broadcast: across the axis, along it from the foot, and from the axis towards the eye.

    >>> x, y = sight_mm(Eye(440.0, 50.0), 20.0, [50.0, 100.0], 40.0)
    >>> x.round(6).tolist(), y.round(6).tolist()
    ([22.0, 22.0], [50.0, 105.0])
    """
    x, y, z = np.broadcast_arrays(floats(across_mm), floats(height_mm), floats(towards_mm))
    larger = 1 / (1 - z / eye.distance_mm)
    return np.asarray(x * larger), np.asarray(eye.height_mm + (y - eye.height_mm) * larger)


def sight_half_angle_rad(eye: Eye, curve: Curve, s_mm: ArrayLike) -> Floats:
    """How far round the wall is in sight to either side of the line to the eye, at heights (n,) [rad]; 0 where none is.

    A place is hidden where the wall turns away, or where the straight way to the eye leads through the item.

    >>> from rotary.formulas.revolution import straight_curve
    >>> far = sight_half_angle_rad(Eye(np.inf, 50.0), straight_curve(40.0, 0.0, 100.0), [0.0, 50.0])
    >>> near = sight_half_angle_rad(Eye(400.0, 50.0), straight_curve(40.0, 0.0, 100.0), [0.0, 50.0])
    >>> far.round(6).tolist(), np.cos(near).round(9).tolist()
    ([1.570796, 1.570796], [0.1, 0.1])
    """
    s = np.atleast_1d(floats(s_mm))
    r, along = radius_and_slope(curve, s)
    if np.isinf(eye.distance_mm):
        return np.full(s.shape, np.pi / 2)
    away = eye.height_mm - s
    least = (r + along * away) / eye.distance_mm
    if not is_straight(curve):
        # On the way, a share t from the wall, the place lies inside the item where its distance from the axis is less
        # than the wall's radius at that height.
        with np.errstate(divide="ignore", invalid="ignore"):
            # At the corners, too: they are what hides most.
            corners = (curve.s_mm[:, None] - s) / away
        corners = np.where((corners > _ALONG[0]) & (corners < _ALONG[-1]), corners, _ALONG[0])
        t = np.concatenate([np.broadcast_to(_ALONG[:, None], (len(_ALONG), len(s))), corners])
        there = radius_mm(curve, s + away * t)
        inside = there**2 - ((1 - t) * r) ** 2 - (t * eye.distance_mm) ** 2
        least = np.maximum(least, (inside / (2 * t * (1 - t) * r * eye.distance_mm)).max(axis=0))
    return np.asarray(np.arccos(np.clip(least, -1.0, 1.0)))
