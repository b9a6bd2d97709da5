"""The bench that the actions of a job are played on: the true item, drive and lens, as the job states them.

Nothing here is computed by the stages whose numbers a person is given (slices, focus, levelling): how an item lies on
rollers comes from its least energy, where the plan solves for what touches.
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from rotary.artwork.rings import Rings, moved
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.formulas.revolution import Curve, radius_and_slope, radius_mm
from rotary.item import Item
from rotary.job import Job
from rotary.plan import Plan
from rotary.simulate.flats import as_long_round_mm
from rotary.simulate.rays import RayStand
from rotary.turning.models import Rollers

Floats = NDArray[np.float64]

TRUE_WALL_MM = 0.0002


class Bench(NamedTuple):
    """What is true, whatever a person is told: the job, the wall's shape, how far one motor step turns the item, and
    the heights of the mirrors over the focal plane."""

    job: Job
    curve: Curve
    length_mm: float
    flats: int
    is_ring: bool
    rad_per_step: float
    pupils_mm: tuple[float, float]

    def radius_mm(self, s_mm: Any) -> Floats:
        return np.asarray(radius_mm(self.curve, s_mm))

    def s_mm(self, at_mm: float, end: str) -> float:
        """Height from the foot of a place that is so far from a named end."""
        return at_mm if end in ("base", "end 1") else self.length_mm - at_mm

    @property
    def artwork_s_mm(self) -> float:
        centre = self.job.artwork.centre_mm
        return centre if self.job.item.heights_from == "base" else self.length_mm - centre


def bench_of(plan: Plan) -> Bench:
    """The bench of a plan's job; of the plan only what its first stages read off item, motor and lens."""
    shape = plan.shape
    return Bench(
        plan.job,
        shape.curve,
        shape.length_mm,
        shape.flats or 0,
        plan.layout.is_ring,
        plan.turning.rad_per_step,
        plan.pupils_mm,
    )


class Lie(NamedTuple):
    """The axis as it lies: its height over the bed at a place s, and its tilt, + where the rim is higher."""

    axis_mm: float
    at_mm: float
    tilt_rad: float

    def apex_mm(self, s_mm: float, radius: float) -> float:
        rise = (s_mm - self.at_mm) * np.sin(self.tilt_rad)
        return float(self.axis_mm + rise + radius * np.cos(self.tilt_rad))

    def lifted(self, end: str, shim_mm: float, base_mm: float, length_mm: float, on_rollers: bool) -> "Lie":
        """With so much under one end of what carries it, so far from the end that stays down."""
        turn = np.arcsin(shim_mm / base_mm)
        if not on_rollers:
            # A chuck is tilted about its own middle: that is where its height is stated.
            return self._replace(tilt_rad=self.tilt_rad + (turn if end in ("rim", "end 2") else -turn))
        # The end that stays down is the pivot, on the bed: the axis swings up about it.
        raised_rim = end in ("rim", "end 2")
        lever = self.at_mm if raised_rim else length_mm - self.at_mm
        axis = np.hypot(self.axis_mm, lever) * np.sin(np.arctan2(self.axis_mm, lever) + turn)
        return Lie(float(axis), self.at_mm, self.tilt_rad + (turn if raised_rim else -turn))


def as_it_lies(bench: Bench) -> Lie:
    """How the item lies before anything is put under."""
    drive = bench.job.turning
    if isinstance(drive, Rollers):
        return _on_rollers(drive, bench)
    return Lie(drive.axis_height_mm, bench.length_mm / 2, 0.0)


def _on_rollers(drive: Rollers, bench: Bench) -> Lie:
    """Where its weight hangs lowest: the wall as balls along the axis, none of which may sink into the rollers."""
    ends = [0.0, bench.length_mm]
    for k, told in enumerate((drive.contact_from_mm, drive.contact_to_mm)):
        if told is not None:
            ends[k] = bench.s_mm(told, "base" if bench.job.item.heights_from == "base" else "rim")
    s = np.linspace(min(ends), max(ends), 4001)
    r, slope = (np.asarray(one) for one in radius_and_slope(bench.curve, s))
    balls_s, balls_r = s + r * slope, r * np.hypot(1.0, slope)
    gravity = _centre_of_gravity_mm(bench.job.item, bench.curve, bench.length_mm)
    over = np.sqrt(np.maximum((drive.roller_diameter_mm / 2 + balls_r) ** 2 - (drive.centres_mm / 2) ** 2, 0.0))

    def height(tilt: float) -> float:
        return float(np.max(over - (balls_s - gravity) * np.sin(tilt)))

    tilt = float(minimize_scalar(height, bounds=(-0.5, 0.5), method="bounded", options={"xatol": 1e-9}).x)
    return Lie(drive.axis_height_mm + height(tilt), gravity, tilt)


def _centre_of_gravity_mm(item: Item, curve: Curve, length_mm: float) -> float:
    s = np.linspace(0.0, length_mm, 20_001)
    r, slope = (np.asarray(one) for one in radius_and_slope(curve, s))
    weight = r * r if item.solid else r * np.hypot(1.0, slope)
    return float(np.sum(weight * s) / np.sum(weight))


def true_wall(bench: Bench, ink: Rings, stand: RayStand) -> Rings:
    """The artwork where it belongs, angle [rad] by height [mm]; on flats on a wall as long round as all of them."""
    centre = bench.job.artwork.centre_angle_rad
    if bench.flats:
        laid = ink.points_mm / [as_long_round_mm(stand), 1.0] + [centre, bench.artwork_s_mm]
        return Rings(laid, ink.offsets)
    wall = on_wall(ink, bench.job.artwork.surface_map, bench.curve, bench.artwork_s_mm, TRUE_WALL_MM)
    return moved(once_round(wall) if bench.is_ring else wall, centre, 0.0)
