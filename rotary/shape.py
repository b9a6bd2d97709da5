"""The item as a surface of revolution: what every stage after the item goes by."""

import math
from dataclasses import dataclass
from math import atan
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas import revolution
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.meridian import STRAIGHT_BOW_SHARE, MeasuredPlaces, Spread, meridian, straight_spread
from rotary.formulas.revolution import Curve
from rotary.model import Model

OUTLINED: Final = 33
"""Heights of a bent wall's outline, beside those that were measured."""


class Oval(NamedTuple):
    """Two diameters at one height [mm], and the place of their station in the list."""

    narrow_mm: float
    wide_mm: float
    place: int

    @property
    def differ_mm(self) -> float:
        """By how much."""
        return self.wide_mm - self.narrow_mm


class Doubt(Model):
    """What to ask the person about a measurement: whether an edge is there [mm from where heights count], or whether
    `value` [`unit`], too `small` or too large, was meant in the other system of units; `of` is which value it is.
    """

    id: Literal["edge", "other_unit"]
    value: float
    of: str = ""
    unit: Literal["mm", "um"] = "mm"
    small: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """The item as a surface of revolution, heights from the foot.

    `shape` says what was recognised; `half_angle_rad` is the wall's, + where it widens towards
    the rim, and for a profile that of the nearest cone; `cone_residual_mm` is how far a measured
    diameter lies off the fitted cone at most, None with fewer than three stations; `diameters_mm` are the least and
    the greatest that were measured; `doubts` are what to ask the person (a 3.5 mm cup), never corrections. For a
    faceted item the radius is that of the inscribed circle and `flats` is set.
    `spread` is how well the radius is known, `measured_mm` the heights where it was measured, `edge_mm` a height at
    which an edge may have been left unmarked; `oval` where two diameters at one height differ most, if they do.
    """

    curve: Curve
    length_mm: float
    shape: Literal["straight", "taper", "profile", "flats"]
    half_angle_rad: float
    cone_residual_mm: float | None
    flats: int | None
    diameters_mm: tuple[float, float]
    doubts: tuple[Doubt, ...]
    spread: Spread
    measured_mm: tuple[float, ...] = ()
    edge_mm: float | None = None
    oval: Oval | None = None

    def radius_mm(self, s_mm: ArrayLike) -> NDArray[np.float64]:
        """Radius at heights from the foot (...) [mm]."""
        return revolution.radius_mm(self.curve, s_mm)

    def slope(self, s_mm: ArrayLike) -> NDArray[np.float64]:
        """dr/ds at heights from the foot (...) [mm]."""
        return revolution.slope(self.curve, s_mm)

    def radius_half_mm(self, s_mm: ArrayLike) -> NDArray[np.float64]:
        """How far the radius may be off (95 %) at heights from the foot (...) [mm], measuring and ovality included.

        Round an oval the radius swings by a quarter of what its diameters differ, as a cosine does: its standard
        uncertainty is that over √2 [gum, 4.3.7].
        """
        u = np.interp(np.asarray(s_mm, float), *self.spread)
        swing_mm = self.oval.differ_mm / 4 if self.oval else 0.0
        return np.asarray(HOLDS_95 * np.hypot(u, swing_mm / np.sqrt(2)))

    @property
    def widest_radius_mm(self) -> float:
        """The largest radius of what was measured."""
        return float(self.radius_mm(self.curve.s_mm).max())

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """Heights from the foot and radii from foot to rim [mm], straight between them: enough for a picture."""
        heights = np.array([0.0, self.length_mm])
        if not revolution.is_straight(self.curve):
            heights = np.union1d(np.linspace(0.0, self.length_mm, OUTLINED), self.measured_mm)
        return tuple(zip(heights.tolist(), self.radius_mm(heights).tolist(), strict=True))


class SimplestWall(NamedTuple):
    """What was recognised in measured places, as a shape says it; `edge_mm` nan where no edge is in doubt."""

    curve: Curve
    kind: Literal["straight", "taper", "profile"]
    half_angle_rad: float
    cone_residual_mm: float | None
    spread: Spread
    edge_mm: float = math.nan


def simplest_wall(places: MeasuredPlaces, length_mm: float, fine_mm: float) -> SimplestWall:
    """The simplest wall that agrees with the measurements: straight, else a cone, else a profile."""
    s_mm, diameter_mm = places.s_mm.tolist(), (2 * places.radius_mm).tolist()
    least, most, count = min(diameter_mm), max(diameter_mm), len(s_mm)
    if most - least <= fine_mm:
        mean_mm = (least + most) / 2
        residual_mm = most - mean_mm if count > 2 else None
        curve, spread = revolution.straight_curve(mean_mm / 2, 0.0, length_mm), _spread(places, length_mm)
        return SimplestWall(curve, "straight", 0.0, residual_mm, spread)
    cone, off_mm = _cone(s_mm, places.radius_mm.tolist())
    half_angle = atan(cone.slope)
    if off_mm is None or off_mm <= fine_mm:
        curve = revolution.straight_curve(cone.radius_at_zero_mm, cone.slope, length_mm)
        return SimplestWall(curve, "taper", half_angle, off_mm, _spread(places, length_mm))
    wall = meridian(places, length_mm)
    return SimplestWall(wall.curve, "profile", half_angle, off_mm, wall.spread, wall.edge_mm)


def _spread(places: MeasuredPlaces, length_mm: float) -> Spread:
    """How well a straight wall is known; of a single place, as far as such a wall may bow along the whole item."""
    if len(places.s_mm) > 1:
        return straight_spread(places.s_mm, places.u_radius_mm, length_mm)
    u = math.hypot(float(places.u_radius_mm[0]), STRAIGHT_BOW_SHARE * length_mm / HOLDS_95)
    return Spread(np.array([0.0, length_mm]), np.array([u, u]))


def _cone(s_mm: list[float], radii_mm: list[float]) -> tuple[revolution.Cone, float | None]:
    """The cone nearest to the stations and, with more than two, how far off it a diameter lies at most."""
    if len(s_mm) > 2:
        cone = revolution.fitted_cone(s_mm, radii_mm)
        return cone, 2 * max(map(abs, cone.residual_mm.tolist()))
    tilt = (radii_mm[1] - radii_mm[0]) / (s_mm[1] - s_mm[0])
    return revolution.Cone(radii_mm[0] - tilt * s_mm[0], tilt, np.zeros(2)), None
