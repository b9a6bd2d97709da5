"""Where a beam lands: from the two mirrors through the field to the item's true surface, found numerically.

::

      across view (X)                     along view (Y)
             o  pupil across                  o  pupil along
            /                                  \\
           /                                    \\
    ------+--------- focal plane, here the command (X, Y) is met exactly
         /                                        \\
        x  the first surface that the beam meets   x

Heights z are over the apex line at the middle of the artwork; the beam goes down.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.formulas.prism import beyond_prism_mm
from rotary.formulas.revolution import Curve, radius_mm

Amount = float | Floats

HIT_MM = 1e-9  # a beam has landed where it is this close to the surface
NEWTON_ROUNDS = 12
BISECTIONS = 60


class RayStand(NamedTuple):
    """How an item stands under a head, in truth. Each a float, or an array that broadcasts with the beams.

    `centre_s_mm` is the place on the axis whose apex lies under the field's middle at z = 0;
    `tilt_rad` + where the rim is higher; `plane_mm` the focal plane's height over that apex;
    pupils over the focal plane, infinite where the beams are parallel; `thicker_mm` adds to the
    radius; `lower_mm` is how far the item sits lower than believed; `scale_x`, `scale_y` the field's;
    `aside_mm` the axis beside the field's middle; `skew_rad` its turn in the field, anticlockwise from above.
    A faceted item has `flats`, each as far from the axis as the curve says, and `top_rad` is the angle from the middle
    of one of them that is on top.
    """

    curve: Curve
    centre_s_mm: float
    tilt_rad: float
    plane_mm: float
    pupil_across_mm: Amount
    pupil_along_mm: Amount
    thicker_mm: Amount = 0.0
    lower_mm: Amount = 0.0
    scale_x: Amount = 1.0
    scale_y: Amount = 1.0
    aside_mm: Amount = 0.0
    skew_rad: Amount = 0.0
    flats: int = 0
    top_rad: Amount = 0.0


class Landing(NamedTuple):
    """Where beams land, all of the beams' shape: angle from the apex [rad], place on the axis [mm], height z
    [mm], and the cosine between beam and surface normal. nan where a beam misses."""

    angle_rad: Floats
    s_mm: Floats
    z_mm: Floats
    cos_incidence: Floats


def landing(stand: RayStand, x_mm: ArrayLike, y_mm: ArrayLike) -> Landing:
    """Where the commands (x, y) [mm] from the field's middle land; y + towards the rim. Shapes broadcast.

    >>> from rotary.formulas.revolution import straight_curve
    >>> stand = RayStand(straight_curve(40.0, 0.0, 100.0), 50.0, 0.0, 0.0, np.inf, np.inf)
    >>> landed = landing(stand, [0.0, 20.0], 3.0)
    >>> landed.angle_rad.round(6).tolist(), landed.s_mm.round(6).tolist()
    ([0.0, 0.523599], [53.0, 53.0])
    """
    x, y, *_ = np.broadcast_arrays(
        x_mm, y_mm, stand.thicker_mm, stand.lower_mm, stand.aside_mm, stand.skew_rad, stand.top_rad
    )
    x, y = np.asarray(x * stand.scale_x, float), np.asarray(y * stand.scale_y, float)
    surface = _Surface(stand)
    z = _first_hit(surface, x, y)
    across, s, height = surface.at(x, y, z)
    normal_down = surface.clearance_mm(x, y, z + 1e-4) - surface.clearance_mm(x, y, z - 1e-4)
    step = np.sqrt(
        1
        + np.square(x / stand.pupil_across_mm) * np.ones_like(z)
        + np.square(y / stand.pupil_along_mm) * np.ones_like(z)
    )
    # The clearance falls at the rate |gradient| cos(incidence) along the beam; |gradient| = sqrt(1 + slope²).
    rise = (radius_mm(stand.curve, s + 1e-4) - radius_mm(stand.curve, s - 1e-4)) / 2e-4
    cos = normal_down / 2e-4 / step / np.sqrt(1 + rise * rise)
    return Landing(np.arctan2(across, height), s, z, cos)


class _Surface:
    """The item's surface in the head's frame."""

    def __init__(self, stand: RayStand) -> None:
        self.stand = stand
        self.cos, self.sin = np.cos(stand.tilt_rad), np.sin(stand.tilt_rad)
        radius = float(radius_mm(stand.curve, stand.centre_s_mm)) + np.asarray(stand.thicker_mm)
        # The apex at centre_s lies at y = 0, z = -lower: from there the axis is found.
        self.axis_y = -stand.centre_s_mm * self.cos + radius * self.sin
        self.axis_z = -np.asarray(stand.lower_mm) - stand.centre_s_mm * self.sin - radius * self.cos
        self.cos_skew, self.sin_skew = np.cos(stand.skew_rad), np.sin(stand.skew_rad)

    def at(self, x: Floats, y: Floats, z: Floats) -> tuple[Floats, Floats, Floats]:
        """Across the axis, along it, and above it, of the beams' points at height z."""
        over = z - self.stand.plane_mm
        px = x * (1 - over / self.stand.pupil_across_mm) - self.stand.aside_mm
        py = y * (1 - over / self.stand.pupil_along_mm)
        across = px * self.cos_skew + py * self.sin_skew
        along = py * self.cos_skew - px * self.sin_skew - self.axis_y
        up = z - self.axis_z
        return across, along * self.cos + up * self.sin, up * self.cos - along * self.sin

    def clearance_mm(self, x: Floats, y: Floats, z: Floats) -> Floats:
        """Distance from the axis less the radius there, or from the nearest flat's plane: positive outside."""
        across, s, height = self.at(x, y, z)
        if self.stand.flats:
            from_axis = radius_mm(self.stand.curve, s) + self.stand.thicker_mm
            return beyond_prism_mm(across, height, from_axis, self.stand.flats, self.stand.top_rad)
        return np.asarray(np.hypot(across, height) - radius_mm(self.stand.curve, s) - self.stand.thicker_mm)


def _first_hit(surface: _Surface, x: Floats, y: Floats) -> Floats:
    """Height where each beam first meets the surface: Newton from above, bisection where that fails."""
    curve = surface.stand.curve
    top = float(np.max(radius_mm(curve, curve.s_mm))) + float(np.max(np.asarray(surface.stand.thicker_mm)))
    z = _at_apex(surface, x, y)
    for _ in range(NEWTON_ROUNDS):
        clear = surface.clearance_mm(x, y, z)
        if np.all(np.abs(clear) <= HIT_MM):
            break
        rate = (surface.clearance_mm(x, y, z + 1e-6) - surface.clearance_mm(x, y, z - 1e-6)) / 2e-6
        with np.errstate(divide="ignore", invalid="ignore"):
            z = z - np.where(np.abs(clear) <= HIT_MM, 0.0, clear / rate)
        z = np.where(np.isfinite(z), np.clip(z, -4 * top, 4 * top), 0.0)
    clear = surface.clearance_mm(x, y, z)
    lost = ~(np.abs(clear) <= 1e3 * HIT_MM) | (surface.at(x, y, z)[2] < 0)
    return np.where(lost, _bisected(surface, x, y, 2 * top), z) if lost.any() else z


def _at_apex(surface: _Surface, x: Floats, y: Floats) -> Floats:
    """Where each beam passes the height of the apex line: outside the item, so that the first hit lies below."""
    z = np.zeros(np.broadcast_shapes(x.shape, y.shape))
    for _ in range(3):
        _, s, height = surface.at(x, y, z)
        z = z + (radius_mm(surface.stand.curve, s) + surface.stand.thicker_mm - height) / surface.cos
    return np.asarray(z)


def _bisected(surface: _Surface, x: Floats, y: Floats, reach: float) -> Floats:
    """The first change from outside to inside on the way down, by scanning and halving; nan where there is none."""
    shape = np.broadcast_shapes(x.shape, y.shape)
    low = np.full(shape, np.nan)
    step = reach / 200
    above = np.full(shape, reach / 4)
    while float(np.max(above)) > -reach:
        below = above - step
        hit = np.isnan(low) & (surface.clearance_mm(x, y, above) > 0) & (surface.clearance_mm(x, y, below) <= 0)
        low = np.where(hit, below, low)
        above = below
    high = low + step
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        inside = surface.clearance_mm(x, y, middle) <= 0
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return np.asarray((low + high) / 2)
