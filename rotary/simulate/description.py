"""What the simulation is told: the machine as believed, and what a file's own description says."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings
from rotary.formulas.motion import Rounding
from rotary.sheet.keys import file_keys
from rotary.sheet.reread import SheetDrawing
from rotary.simulate.rays import RayStand

Progress = Callable[[float], None]
"""Is told the share that is done, 0 to 1; what it raises stops the work."""


def quiet(_: float) -> None:
    """Nobody wants to know."""


class SimulatedMachine(NamedTuple):
    """The machine and item as believed, and what was keyed in.

    `file_slice_mm` and `asked_steps` are what the program divides by and asks of the motor for one
    column; `rounding` how it makes them whole; `rad_per_step` what a step really turns the item;
    `ring_columns` how many columns make a whole turn, 0 where they don't. `slit_mm` is the gap between two slices, on
    the wall, that closes with the overlap wanted; None where the file's own goes.
    """

    stand: RayStand
    rayleigh_mm: float
    file_slice_mm: float
    asked_steps: float
    rounding: Rounding
    rad_per_step: float
    ring_columns: int
    slit_mm: float | None = None


class TrueInk(NamedTuple):
    """The artwork where it belongs on the wall, angle [rad] by height [mm], and the angle of its middle.

    `ring_columns` is how many columns make a whole turn of it, 0 where they don't.
    """

    rings: Rings
    centre_rad: float
    ring_columns: int


class Description(NamedTuple):
    """What a file's own description says that the person will do; `flat` where it is a flat file, `part`
    where it holds some of the slices only."""

    flat: bool
    file_slice_mm: float | None
    middle_rad: float
    plane_mm: float | None
    inset_mm: float
    marked_width_mm: float
    zone_mm: tuple[float, float] | None
    single: tuple[int, int] | None
    part: bool


def description(drawing: SheetDrawing, centre_angle_rad: float) -> Description:
    """What the description says; a file without one is flat artwork, set up by its middle."""
    keys = file_keys(drawing.about)
    flat = keys.get("flat_column_mm")
    return Description(
        flat=flat is not None,
        file_slice_mm=keys.get("file_slice_mm") if flat is None else flat,
        middle_rad=float(np.radians(keys["middle_deg"])) if "middle_deg" in keys else centre_angle_rad,
        plane_mm=keys.get("plane_mm"),
        inset_mm=keys.get("inset_mm", 0.0),
        marked_width_mm=keys.get("line_mm", 0.0),
        zone_mm=(keys["from_mm"], keys["to_mm"]) if "to_mm" in keys else None,
        single=(int(keys["single"]), int(keys["of"])) if "single" in keys else None,
        part="part" in keys,
    )


def share_of(progress: Progress, k: int, count: int) -> Progress:
    """What is told of the k-th of so many parts, as a share of all."""
    return lambda share: progress((k + share) / count)
