"""Surface maps: from a place (u, v) on flat artwork to a place (s, θ) on a turned body.

::

      v |                          rim
        |   u                 s  |  /   .
        +-----  flat    ->       | /  θ around the axis, + to the right
      the artwork's middle       |/     as seen from the head, rim up
      lies at s = centre        foot

v runs along the meridian, except in `front_view`. A map takes arrays that broadcast and gives a
`Place`; its derivative gives a `Jacobian`; `tissot` measures that against the wall. All maps put
the artwork's middle at angle 0. Derivations: docs/formulas/maps.md. Source: snyder1987 (from memory, not seen).
"""

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas import revolution
from rotary.formulas.arrays import Floats, floats
from rotary.formulas.revolution import Curve


class Place(NamedTuple):
    """Places on the wall: height from the foot [mm] and angle around the axis [rad], (...) float each."""

    s_mm: Floats
    angle_rad: Floats


class Jacobian(NamedTuple):
    """Derivative of a map, (...) float each: ds/du, ds/dv [1], dθ/du, dθ/dv [rad/mm]."""

    s_u: Floats
    s_v: Floats
    angle_u: Floats
    angle_v: Floats


class Tissot(NamedTuple):
    """What becomes of a small circle on the artwork, (...) float each.

    Its ellipse on the wall has the semi-axes `stretch_max` and `stretch_min` [1]; an angle is off
    by `angular_distortion_rad` at most.
    """

    stretch_max: Floats
    stretch_min: Floats
    angular_distortion_rad: Floats


def _height_mm(curve: Curve, centre_mm: float, v: Floats) -> Floats:
    return revolution.height_from_arc_mm(curve, revolution.arc_from_height_mm(curve, centre_mm) + v)


def _like(value: Floats, other: Floats) -> Floats:
    """The value in the shape of another that it broadcasts to: heights are found once a row, not once a place."""
    return value if value.shape == other.shape else np.broadcast_to(value, other.shape)


def true_width(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Place:
    """Every horizontal length stays true: θ = u / r(s).

    u_mm, v_mm (...) float that broadcast [mm].

    >>> true_width(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, 20.0, [-10, 10])
    Place(s_mm=array([40., 60.]), angle_rad=array([0.5, 0.5]))
    """
    u, v = floats(u_mm), floats(v_mm)
    s = _height_mm(curve, centre_mm, v)
    angle = np.asarray(u / revolution.radius_mm(curve, s))
    return Place(_like(s, angle), angle)


def true_width_jacobian(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Jacobian:
    """Derivative of `true_width`.

    >>> float(true_width_jacobian(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, 20.0, 10.0).angle_u)
    0.025
    """
    u, v = floats(u_mm), floats(v_mm)
    r, along = revolution.radius_and_slope(curve, _height_mm(curve, centre_mm, v))
    s_v = 1 / np.hypot(1.0, along)
    angle_v = np.asarray(-u * along * s_v / r**2)
    return Jacobian(np.zeros_like(angle_v), _like(np.asarray(s_v), angle_v), _like(np.asarray(1 / r), angle_v), angle_v)


def with_taper(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Place:
    """Sides run straight up the wall, widths grow with the radius: θ = u / r(centre).

    u_mm, v_mm (...) float that broadcast [mm].

    >>> with_taper(revolution.straight_curve(40.0, 0.75, 100.0), 0.0, 20.0, [0, 50])
    Place(s_mm=array([ 0., 40.]), angle_rad=array([0.5, 0.5]))
    """
    u, v = floats(u_mm), floats(v_mm)
    s = _height_mm(curve, centre_mm, v)
    angle = np.asarray(u / revolution.radius_mm(curve, centre_mm) + np.zeros_like(s))
    return Place(_like(s, angle), angle)


def with_taper_jacobian(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Jacobian:
    """Derivative of `with_taper`.

    >>> float(with_taper_jacobian(revolution.straight_curve(40.0, 0.75, 100.0), 0.0, 20.0, 50.0).s_v)
    0.8
    """
    u, v = floats(u_mm), floats(v_mm)
    none = np.zeros(np.broadcast_shapes(u.shape, v.shape))
    along = revolution.slope(curve, _height_mm(curve, centre_mm, v))
    return Jacobian(none, none + 1 / np.hypot(1.0, along), none + 1 / revolution.radius_mm(curve, centre_mm), none)


def _on_development(
    curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike
) -> tuple[Floats, Floats, Floats, float, float, float]:
    """Slant radius over that of the centre (h), its two parts (p, q), sin α, r(centre), v's cosine.

    With signed k = sin α the apex lies at v = -r/k for either sign of the taper, and dividing all by
    the slant radius r/k leaves p = k u / r, q = 1 + k v / r: finite on a cylinder too.
    """
    if not revolution.is_straight(curve):
        raise ValueError("laid like a label, artwork fits only a straight or evenly tapered wall")
    r, along = revolution.radius_and_slope(curve, centre_mm)
    g = float(np.hypot(1.0, along))
    k, c = float(along) / g, float(r)
    u, v = floats(u_mm), floats(v_mm)
    p, q = k / c * u, 1 + k / c * v
    if not (q > 0).all():
        raise ValueError("the artwork reaches past the point of the cone")
    # Both are near 1 or less far from it than 1e100, so nothing is lost by not calling hypot.
    return np.asarray(p), np.asarray(q), np.sqrt(p * p + q * q), k, c, 1 / g


_NO_TAPER = 1e-200


def decal(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Place:
    """Unstretched, as a paper label: the artwork lies flat on the cone's development.

    u_mm, v_mm (...) float that broadcast [mm]. With R the distance from the cone's point in the
    development and φ the angle there, θ = φ / sin|α|; straight lines are no longer level rings.
    Exact for any taper, none included. Raises ValueError on a wall that is no cone or cylinder,
    and for artwork that reaches past the cone's point.

    >>> decal(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, 20.0, [-10, 10])
    Place(s_mm=array([40., 60.]), angle_rad=array([0.5, 0.5]))
    """
    p, q, h, k, r, cosine = _on_development(curve, centre_mm, u_mm, v_mm)
    u, v = np.asarray(u_mm, float), np.asarray(v_mm, float)
    # (h - 1) r / k without the difference that loses its digits as the taper vanishes.
    along = (2 * v + k / r * (u * u + v * v)) / (h + 1)
    # Of a taper next to nothing the product with it has no digits left; the limit is exact then.
    angle = np.arctan(p / q) / k if abs(k) > _NO_TAPER else u / r + 0 * q
    return Place(np.asarray(centre_mm + along * cosine), np.asarray(angle))


def decal_jacobian(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Jacobian:
    """Derivative of `decal`: a turn, whatever the place; raises as `decal` does.

    >>> float(decal_jacobian(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, 20.0, 10.0).angle_u)
    0.025
    """
    p, q, h, _, r, cosine = _on_development(curve, centre_mm, u_mm, v_mm)
    turn = 1 / (r * h**2)
    return Jacobian(cosine * p / h, cosine * q / h, np.asarray(q * turn), np.asarray(-p * turn))


def front_view(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Place:
    """What one eye far away in front sees: sin θ = u / r(s), s = centre + v.

    u_mm, v_mm (...) float that broadcast [mm]. Raises ValueError where |u| > r(s): the eye sees no
    more than the half of the item that faces it.

    >>> s, angle = front_view(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, [20, 40], 10)
    >>> s, angle.round(3)
    (array([60., 60.]), array([0.524, 1.571]))
    """
    u, v = floats(u_mm), floats(v_mm)
    s = np.asarray(centre_mm + v)
    r = revolution.radius_mm(curve, s)
    if (np.abs(u) > r).any():
        raise ValueError("the artwork is wider than the item seen from the front")
    angle = np.asarray(np.arcsin(u / r))
    return Place(_like(s, angle), angle)


def front_view_jacobian(curve: Curve, centre_mm: float, u_mm: ArrayLike, v_mm: ArrayLike) -> Jacobian:
    """Derivative of `front_view`, infinite at the very edge of what is seen; raises as `front_view` does.

    >>> float(front_view_jacobian(revolution.straight_curve(40.0, 0.0, 100.0), 50.0, 0.0, 10.0).angle_u)
    0.025
    """
    u, v = floats(u_mm), floats(v_mm)
    r, along = revolution.radius_and_slope(curve, centre_mm + v)
    if (np.abs(u) > r).any():
        raise ValueError("the artwork is wider than the item seen from the front")
    with np.errstate(divide="ignore", invalid="ignore"):
        angle_u = 1 / np.sqrt((r - u) * (r + u))
        angle_v = np.where(along == 0, 0.0, -u * along / r * angle_u)
    return Jacobian(np.zeros_like(angle_u), np.ones_like(angle_u), np.asarray(angle_u), angle_v)


MAPS: Final[dict[str, tuple[Callable[..., Place], Callable[..., Jacobian]]]] = {
    "true-width": (true_width, true_width_jacobian),
    "with-taper": (with_taper, with_taper_jacobian),
    "label": (decal, decal_jacobian),
    "front-view": (front_view, front_view_jacobian),
}
"""Each map by the name that a job file gives it, with its derivative."""


def tissot(curve: Curve, s_mm: ArrayLike, jacobian: Jacobian) -> Tissot:
    """Tissot's indicatrix of a map at heights s_mm (...) [mm]: the singular values of its derivative on the wall.

    Closed form of a 2 x 2 matrix's singular values: their sum and their difference are two hypotenuses.
    Where the derivative is infinite (the edge of a front view) so is `stretch_max`; `stretch_min` is nan.
    Source: snyder1987, section 4 (from memory, not seen).

    >>> curve = revolution.straight_curve(40.0, 0.75, 100.0)
    >>> float(tissot(curve, 40.0, with_taper_jacobian(curve, 0.0, 20.0, 50.0)).stretch_max.round(3))
    1.75
    """
    r, along = revolution.radius_and_slope(curve, s_mm)
    g = np.hypot(1.0, along)
    ring_u, ring_v = r * jacobian.angle_u, r * jacobian.angle_v
    up_u, up_v = g * jacobian.s_u, g * jacobian.s_v
    total = np.hypot(ring_u + up_v, ring_v - up_u)
    apart = np.hypot(ring_u - up_v, ring_v + up_u)
    larger, smaller = np.maximum(total, apart), np.minimum(total, apart)
    with np.errstate(invalid="ignore", divide="ignore"):
        turn = 2 * np.arcsin(np.where(np.isfinite(larger), smaller / larger, 1.0))
        least = np.where(np.isfinite(larger), (larger - smaller) / 2, np.nan)
    return Tissot(np.asarray((larger + smaller) / 2), least, np.asarray(turn))


def width_within_angle_mm(
    name: str, radius_mm: ArrayLike, centre_radius_mm: ArrayLike, half_angle_rad: ArrayLike, angle_rad: ArrayLike
) -> Floats:
    """Width of artwork [mm] that the map `name` lays within `angle_rad` around the axis.

    `radius_mm` is that of the wall under the row's middle; floats (...) that broadcast. Infinite for
    a decal on so steep a cone that no straight row of it ever takes up the angle; front-view gives
    the whole diameter from half a turn on.

    >>> width_within_angle_mm("true-width", 40.0, 50.0, 0.1, [1.0, 2.0])
    array([40., 80.])
    """
    r, angle = np.asarray(radius_mm, float), np.asarray(angle_rad, float)
    if name == "with-taper":
        return np.asarray(np.asarray(centre_radius_mm, float) * angle + 0 * r)
    if name == "front-view":
        return np.asarray(2 * r * np.sin(np.minimum(angle, np.pi) / 2))
    if name == "label":
        half = np.abs(np.sin(half_angle_rad)) * angle / 2
        share = np.divide(np.tan(half), half, out=np.ones_like(half), where=half != 0)
        return np.asarray(np.where(half < np.pi / 2, r * angle * share, np.inf))
    return np.asarray(r * angle)
