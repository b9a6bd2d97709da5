"""How a turned body lies on two parallel rollers: height, contact, tilt.

::

      end view                              side view (roller axes horizontal)

          .--.     item, radius r                  ___---""| rim
         (  + ) ---                        foot |""   + . . . . axis, tilt τ
          '--' \\  φ from the bottom             |--___    |
        o   |   o   rollers, radius ρ            ==o======o== one of the rollers
        |<- c ->|                                  contact

Cut the item, grown all round by ρ, with the upright plane through one roller's axis: the cut
is a flat shape that rests on a straight line, the roller's axis. So the whole question is how
a flat shape rests on a straight edge, exactly and for any taper. Derivation: docs/formulas/motion.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas.arrays import Floats, floats


class Resting(NamedTuple):
    """How a body rests on the rollers.

    `tilt_rad` is the item's axis against the roller axes, + where the rim is higher;
    `height_mm` that of the axis over the roller axes at the centre of gravity;
    `touch_from_mm`/`touch_to_mm` the places that touch (equal where it is one);
    `contact_angle_rad` from the bottom, in a plane across the item's axis;
    `rolling_share` what the radius at the contact is multiplied with to get the rolling radius;
    `beyond_mm` how far the centre of gravity lies beyond the end of what can touch: 0 where it is
    carried, infinite where it balances but would not stay.
    """

    tilt_rad: float
    height_mm: float
    touch_from_mm: float
    touch_to_mm: float
    contact_angle_rad: float
    rolling_share: float
    beyond_mm: float


FALLS_THROUGH = Resting(np.nan, np.nan, np.nan, np.nan, np.nan, np.nan, np.inf)


def cradle_height_mm(radius_mm: ArrayLike, roller_radius_mm: ArrayLike, centres_mm: ArrayLike) -> Floats:
    """Height of a cylinder's axis over the roller axes, sqrt((r + ρ)² − (c/2)²).

    nan where the item falls between the rollers. Floats that broadcast.

    >>> cradle_height_mm([40.0, 20.0], roller_radius_mm=10.0, centres_mm=60.0)
    array([40., nan])
    """
    reach, half = floats(radius_mm) + floats(roller_radius_mm), floats(centres_mm) / 2
    square = (reach - half) * (reach + half)
    return np.asarray(np.sqrt(np.where(square > 0, square, np.nan)))


def widest_centres_mm(radius_mm: ArrayLike, roller_radius_mm: ArrayLike) -> Floats:
    """Distance of the roller axes at which the item falls through, 2 (r + ρ).

    >>> float(widest_centres_mm(40.0, 10.0))
    100.0
    """
    return np.asarray(2 * (floats(radius_mm) + floats(roller_radius_mm)))


def centre_of_gravity_mm(s_mm: ArrayLike, radius_mm: ArrayLike, solid: bool = False) -> float:
    """Place along the axis where the body balances: (n,) heights, rising, and radii.

    A thin shell of even wall, open at both ends (lid off, base left out), or a solid body.

    >>> round(centre_of_gravity_mm([0.0, 150.0], [44.0, 35.0]), 3)
    72.152
    """
    s, r = floats(s_mm), floats(radius_mm)
    ds, dr = np.diff(s), np.diff(r)
    a, b = r[:-1], r[1:]
    if solid:  # exact for straight pieces between the places
        weight = ds * (a * a + a * b + b * b) / 3
        moment = ds**2 * (a * a + 2 * a * b + 3 * b * b) / 12
    else:
        slant = np.hypot(ds, dr)
        weight = slant * (a + b) / 2
        moment = slant * ds * (a + 2 * b) / 6
    return float((np.sum(weight * s[:-1]) + np.sum(moment)) / np.sum(weight))


def cone_resting(
    gravity_mm: float, radius_mm: float, half_angle_rad: float, roller_radius_mm: float, centres_mm: float
) -> Resting:
    """How a cone, or a cylinder, rests: exact, for any half angle below a right angle.

    `radius_mm` is the radius at the centre of gravity. The forces at the two contacts meet the
    axis there, so the contact is the foot of the perpendicular: radius r cos²α. With
    D = cos α (r cos α + ρ): sin φ = (c/2)/D, tan τ = tan α / cos φ. nan where it falls through.

    >>> cone = cone_resting(75.0, 39.5, -0.0599282, roller_radius_mm=10.0, centres_mm=60.0)
    >>> np.degrees([cone.tilt_rad, cone.tilt_rad - 0.0599282]).round(1)
    array([-4.3, -7.8])
    """
    sin_a, cos_a = np.sin(half_angle_rad), np.cos(half_angle_rad)
    across = cos_a * (radius_mm * cos_a + roller_radius_mm)
    if across <= centres_mm / 2:
        return FALLS_THROUGH
    angle = np.arcsin(centres_mm / 2 / across)
    tilt = np.arctan(sin_a / cos_a / np.cos(angle))
    place = gravity_mm - radius_mm * sin_a * cos_a
    return Resting(
        float(tilt),
        float(across * np.cos(angle) / np.cos(tilt)),
        float(place),
        float(place),
        float(angle),
        float(np.cos(tilt) / cos_a),
        0.0,
    )


def _lower_hull(x: Floats, y: Floats) -> NDArray[np.int64]:
    """The places of the corners of the lower convex hull of points that rise along x."""
    corners = np.arange(len(x))
    while True:
        before, at, after = corners[:-2], corners[1:-1], corners[2:]
        # A point on or above the line between two others is no corner, whichever others go with it.
        below = (y[at] - y[before]) * (x[after] - x[before]) < (y[after] - y[before]) * (x[at] - x[before])
        if below.all():
            return corners
        corners = np.concatenate((corners[:1], at[below], corners[-1:]))


def _resting_edge(x: Floats, y: Floats, gravity: float) -> tuple[int, float, float]:
    """The edge of a hull (n,) on which it stays lying, its tilt, how far the weight lies beyond it.

    It lies still where the foot of the perpendicular from the centre of gravity is inside an
    edge, and stays there where the neighbouring edges would lift it; of several, on the lowest.
    """
    dx, dy = np.diff(x), np.diff(y)
    length = np.hypot(dx, dy)
    along = ((gravity - x[:-1]) * dx - y[:-1] * dy) / length
    height = -((gravity - x[:-1]) * dy + y[:-1] * dx) / length
    over = np.concatenate([[np.inf], height, [np.inf]]) + 1e-9 * np.abs(height).max()
    stays = (along >= 0) & (along <= length) & (height <= over[:-2]) & (height <= over[2:])
    if stays.any():
        edge, beyond = int(np.argmin(np.where(stays, height, np.inf))), 0.0
    elif x[0] <= gravity <= x[-1]:
        edge, beyond = int(np.argmax(height)), np.inf
    else:
        edge, beyond = (0, float(x[0] - gravity)) if gravity < x[0] else (len(dx) - 1, float(gravity - x[-1]))
    return edge, float(-np.arctan2(dy[edge], dx[edge])), beyond


def _cut(
    s_mm: ArrayLike, radius_mm: ArrayLike, slope: ArrayLike, roller_radius_mm: float, centres_mm: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """The grown body cut by the plane through a roller's axis: places (n,), depths below the axis (n,), which exist."""
    angle = np.arctan(floats(slope))
    place = floats(s_mm) - roller_radius_mm * np.sin(angle)
    depth = cradle_height_mm(floats(radius_mm), roller_radius_mm * np.cos(angle), centres_mm)
    return place, depth, np.isfinite(depth)


def profile_resting(
    s_mm: ArrayLike,
    radius_mm: ArrayLike,
    slope: ArrayLike,
    gravity_mm: float,
    roller_radius_mm: float,
    centres_mm: float,
) -> Resting:
    """How any turned body rests: (n,) places that may touch, rising, with their radii and slopes dr/ds.

    As fine as the places are. A belly or a cone touches at one place, a waist or a barrel with
    two rims at two. nan where no place is wide enough for the rollers.

    >>> s = np.linspace(0, 150, 301)
    >>> cone = profile_resting(s, 44 - 0.06 * s, np.full(301, -0.06), 75.0, 10.0, 60.0)
    >>> round(float(np.degrees(cone.tilt_rad)), 1)
    -4.3
    """
    s, r = floats(s_mm), floats(radius_mm)
    place, depth, stands = _cut(s, r, slope, roller_radius_mm, centres_mm)
    if not stands.any():
        return FALLS_THROUGH
    which = np.flatnonzero(stands)
    which = which[np.argsort(place[which], kind="stable")]
    x, y = place[which], -depth[which]
    hull = np.array(_lower_hull(x, y))
    if len(hull) == 1:
        first = last = int(which[0])
        tilt, beyond = 0.0, abs(gravity_mm - float(x[0]))
    else:
        edge, tilt, beyond = _resting_edge(x[hull], y[hull], gravity_mm)
        first, last = int(which[hull[edge]]), int(which[hull[edge + 1]])
    height = float(np.max((gravity_mm - x) * np.sin(tilt) - y * np.cos(tilt)))
    angles = np.arctan(floats(slope))[[first, last]]
    across = float(np.mean(r[[first, last]] + roller_radius_mm * np.cos(angles)))
    return Resting(
        tilt,
        height,
        float(min(s[first], s[last])),
        float(max(s[first], s[last])),
        float(np.arcsin(min(1.0, centres_mm / 2 / across))),
        float(np.cos(tilt) / np.mean(np.cos(angles))),
        beyond,
    )


def gap_mm(
    resting: Resting,
    s_mm: ArrayLike,
    radius_mm: ArrayLike,
    slope: ArrayLike,
    gravity_mm: float,
    roller_radius_mm: float,
    centres_mm: float,
) -> Floats:
    """How far each place (n,) of a resting body is from the rollers [mm]; inf where it hangs between them.

    What soft rollers bridge by giving way.

    >>> cone = cone_resting(75.0, 39.5, np.arctan(-0.06), 10.0, 60.0)
    >>> gap_mm(cone, [0.0, 75.0, 150.0], [44.0, 39.5, 35.0], [-0.06] * 3, 75.0, 10.0, 60.0).round(2)
    array([0.11, 0.  , 0.13])
    """
    place, depth, stands = _cut(s_mm, radius_mm, slope, roller_radius_mm, centres_mm)
    lean = (gravity_mm - place) * np.sin(resting.tilt_rad) + np.where(stands, depth, 0.0) * np.cos(resting.tilt_rad)
    return np.where(stands, (resting.height_mm - lean) * np.cos(resting.contact_angle_rad), np.inf)


def least_climb_tilt_rad(s_mm: ArrayLike, radius_mm: ArrayLike) -> float:
    """Tilt of the axis, + rim up, at which the apex line climbs least between its lowest and its highest place.

    Places (n,) rising along the axis and their radii, n > 0. Tilted by τ a place's apex stands at s sin τ + r cos τ, so
    the climb is how wide the set of points (s, r) is in that direction. A plane set is least wide square to a side of
    its convex hull [houle1988]: every side is tried, the chord between the two ends first.

    >>> round(least_climb_tilt_rad([0.0, 75.0, 150.0], [44.0, 39.5, 35.0]), 6)
    0.059928
    >>> least_climb_tilt_rad([0.0, 30.0, 60.0], [36.5, 36.5, 36.5]), least_climb_tilt_rad([5.0], [40.0])
    (-0.0, 0.0)
    """
    s, r = floats(s_mm), floats(radius_mm)
    if s[-1] <= s[0]:
        return 0.0
    chord = (r[-1] - r[0]) / (s[-1] - s[0])
    if float(np.ptp(r - chord * s)) <= 1e-9:
        return float(-np.arctan(chord))
    sides = [_lower_hull(s, r), _lower_hull(s, -r)]
    tilts = -np.arctan(np.concatenate([[chord], *(np.diff(r[side]) / np.diff(s[side]) for side in sides)]))
    points = s[np.concatenate(sides)], r[np.concatenate(sides)]
    climbs = np.ptp(np.outer(np.sin(tilts), points[0]) + np.outer(np.cos(tilts), points[1]), axis=1)
    # Of climbs that differ by rounding alone the first is taken, so that a straight wall's tilt is its own.
    return float(tilts[int(np.argmax(climbs <= climbs.min() + 1e-9))])


def shim_mm(tilt_rad: ArrayLike, base_mm: ArrayLike) -> Floats:
    """Thickness under one end of a base that levels a line which climbs by `tilt_rad`, base × sin.

    >>> float(shim_mm(0.1354, 150.0).round(2))
    20.25
    """
    return np.asarray(floats(base_mm) * np.sin(floats(tilt_rad)))


def roller_half_width_rad(radius_mm: float, reach_mm: float, roller_radius_mm: float) -> float:
    """Half the angle, seen from the item's axis, in which a handle of this reach would meet a roller.

    The roller touches the item at `radius_mm`; up to the handle's tip it fills this angle to
    each side of its contact, at most asin(ρ/(r + ρ)).

    >>> round(float(np.degrees(roller_half_width_rad(40.0, 30.0, 10.0))), 2)
    11.54
    """
    far = radius_mm + roller_radius_mm
    touching = (far**2 - roller_radius_mm**2) ** 0.5
    tip = min(radius_mm + reach_mm, touching)
    cosine = (far**2 + tip**2 - roller_radius_mm**2) / (2 * far * tip)
    return float(np.arccos(min(1.0, cosine)))
