"""The apex line brought level over the artwork's heights: by how much to tilt, and what goes under which end."""

from typing import Final, NamedTuple

import numpy as np

from rotary.formulas import cradle
from rotary.formulas.arrays import Floats
from rotary.model import Values
from rotary.shape import Shape
from rotary.turning.models import Level, TurnNote
from rotary.turning.places import places

LEVEL_RAD: Final = 1e-3
"""A tilt below this (0.15 mm over 150 mm) is nothing that a person could shim."""

LEVEL_MM: Final = 0.02
"""A climb that levelling would lessen by no more than this is level: less than a lens can be set by hand."""

WORTH_SHARE: Final = 0.1
"""Nor is a shim worth its while that takes off less than this share of the climb (estimate)."""


class Stand(NamedTuple):
    """An item on its drive: axis height over the bed at a place s, and the axis's tilt, + rim up."""

    axis_mm: float
    at_mm: float
    tilt_rad: float

    def apex_mm(self, s: Floats, r: Floats) -> Floats:
        """Height of the apex line over the bed at places s with radii r."""
        return np.asarray(self.axis_mm + (s - self.at_mm) * np.sin(self.tilt_rad) + r * np.cos(self.tilt_rad))


def level_over(body: Shape, heights_mm: tuple[float, float], lies: Stand, about_its_ends: bool) -> Level:
    """How to bring the apex line level between two heights (s); as it lies where that is level enough.

    The tilt is that of least climb. `about_its_ends`: what carries the item turns about the end that stays on the
    bed, as a rotary with a shim under the other does; else about the place where the axis's height is known.
    """
    band = places(body, *heights_mm)
    tilt = cradle.least_climb_tilt_rad(band.s, band.r)
    turned = tilt - lies.tilt_rad
    climb = float(np.ptp(lies.apex_mm(band.s, band.r)))
    left = float(np.ptp(Stand(0.0, 0.0, tilt).apex_mm(band.s, band.r)))
    if abs(turned) <= LEVEL_RAD or climb - left <= max(LEVEL_MM, WORTH_SHARE * climb):
        turned, left, level = 0.0, climb, lies
    elif about_its_ends:
        from_pivot = lies.at_mm if turned > 0 else body.length_mm - lies.at_mm
        axis = lies.axis_mm * float(np.cos(turned)) + from_pivot * float(np.sin(abs(turned)))
        level = Stand(axis, lies.at_mm, tilt)
    else:
        level = lies._replace(tilt_rad=tilt)
    ends = level.apex_mm(band.s[[0, -1]], band.r[[0, -1]])
    return Level(
        from_mm=heights_mm[0],
        to_mm=heights_mm[1],
        axis_height_mm=level.axis_mm,
        tilt_rad=level.tilt_rad,
        shim_mm=float(cradle.shim_mm(-turned, body.length_mm)),
        base_mm=body.length_mm,
        climb_mm=climb,
        left_mm=left,
        ends_differ_mm=float(ends[1] - ends[0]),
    )


def level_notes(level: Level, lies: Stand, rollers: bool, levelled: bool, straight: bool) -> list[TurnNote]:
    """What is put under which end, or that nothing is; nothing where nobody would ask."""
    if level.shim_mm == 0:
        return [] if straight else [TurnNote(id="level_as_can_be")]
    values: Values = {
        "shim_mm": abs(level.shim_mm),
        "under": "rotary" if rollers else "chuck",
        "end": level.end,
        "base_mm": level.base_mm,
        "differ_mm": level.ends_differ_mm if abs(level.ends_differ_mm) > LEVEL_MM else 0.0,
        "climb_mm": level.climb_mm,
        "left_mm": level.left_mm,
    }
    if not rollers:
        values["tilt_deg"] = float(np.degrees(abs(level.tilt_rad - lies.tilt_rad)))
    return [TurnNote(id="levelled" if levelled else "to_level", values=values)]
