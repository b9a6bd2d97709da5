"""What the simulation is told: the machine as believed, and what a file's own description says."""

import re
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings
from rotary.formulas.motion import Rounding
from rotary.sheet.reread import SheetDrawing
from rotary.simulate.rays import RayStand

Progress = Callable[[float], None]
"""Is told the share that is done, 0 to 1; what it raises stops the work."""


def quiet(_: float) -> None:
    """Nobody wants to know."""


class SimulatedMachine(NamedTuple):
    """The machine and item as believed, and what was keyed in.

    `column_mm` and `asked_steps` are what the program divides by and asks of the motor for one
    column; `rounding` how it makes them whole; `rad_per_step` what a step really turns the item;
    `ring_columns` how many columns make a whole turn, 0 where they don't.
    """

    stand: RayStand
    rayleigh_mm: float
    column_mm: float
    asked_steps: float
    rounding: Rounding
    rad_per_step: float
    ring_columns: int


class TrueInk(NamedTuple):
    """The artwork where it belongs on the wall, angle [rad] by height [mm], and the angle of its middle.

    `ring_columns` is how many columns make a whole turn of it, 0 where they don't.
    """

    rings: Rings
    centre_rad: float
    ring_columns: int


class Description(NamedTuple):
    """What a file's own description says that the person will do; `flat` where it is artwork for plain columns."""

    flat: bool
    column_mm: float | None
    middle_rad: float
    plane_mm: float | None
    inset_mm: float
    marked_width_mm: float
    zone_mm: tuple[float, float] | None
    single: tuple[int, int] | None


def description(drawing: SheetDrawing, centre_angle_rad: float) -> Description:
    """What the description says; a file without one is flat artwork, set up by its middle."""
    number = r"([-+0-9.]+)"
    middle = re.search(rf"under the head at the middle: {number} degrees", drawing.about)
    plane = re.search(rf"focal plane over the apex line at the middle: {number} mm", drawing.about)
    width = re.search(rf"believed width of a marked line: {number} mm", drawing.about)
    inset = re.search(rf"pulled back at each joint: {number} mm", drawing.about)
    zone = re.search(rf"heights from the foot: {number} to {number} mm", drawing.about)
    single = re.search(r"slice (\d+) of (\d+)", drawing.about)
    flat = re.search(rf"flat artwork for plain columns of {number} mm", drawing.about)
    column = flat or re.search(rf"\d+ columns of {number} mm", drawing.about)
    return Description(
        flat=flat is not None,
        column_mm=float(column[1]) if column else None,
        middle_rad=float(np.radians(float(middle[1]))) if middle else centre_angle_rad,
        plane_mm=float(plane[1]) if plane else None,
        inset_mm=float(inset[1]) if inset else 0.0,
        marked_width_mm=float(width[1]) if width else 0.0,
        zone_mm=(float(zone[1]), float(zone[2])) if zone else None,
        single=(int(single[1]), int(single[2])) if single else None,
    )


def share_of(progress: Progress, k: int, count: int) -> Progress:
    """What is told of the k-th of so many parts, as a share of all."""
    return lambda share: progress((k + share) / count)
