"""Slices drawn for one machine: a field that is too wide, or an axis askew, is drawn away.

::

       as planned            as drawn for a field 1 % too wide, an axis askew
       |---------|                |-------|
       |         |    ->         /       /
       |---------|              |-------|
"""

import math

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import Rings, turned
from rotary.errors import no_plan
from rotary.laser import LaserAndLens
from rotary.sheet.compose import LEAST_BLANK_MM, SheetComposition, largest_mm

Floats = NDArray[np.float64]


def drawn_with(column: Rings, wide: float, high: float, turn_rad: float) -> Rings:
    """A column's rings [mm] from its middle: first turned by `turn_rad` (+ anticlockwise), then made wider and higher.

    >>> box = Rings(np.array([[1.0, 2.0]]), np.array([0, 1]))
    >>> drawn_with(box, 1.01, 1.0, 0.0).points_mm.tolist()
    [[1.01, 2.0]]
    """
    if len(column.points_mm) == 0:
        return column
    return Rings(turned(column.points_mm, turn_rad) * np.array([wide, high]), column.offsets)


def drawn_places(laser: LaserAndLens, x_mm: Floats, y_mm: Floats) -> tuple[Floats, Floats]:
    """Where places of a column [mm] from its middle are drawn for this laser; arrays that broadcast."""
    cos, sin = math.cos(laser.slice_turn_rad), math.sin(laser.slice_turn_rad)
    if laser.slice_turn_rad == 0:
        return x_mm * laser.slice_wide_share, y_mm * laser.slice_high_share
    return (x_mm * cos - y_mm * sin) * laser.slice_wide_share, (x_mm * sin + y_mm * cos) * laser.slice_high_share


def planned_places(laser: LaserAndLens, x_mm: Floats, y_mm: Floats) -> tuple[Floats, Floats]:
    """The way back: which places of a column are drawn at these."""
    x, y = x_mm / laser.slice_wide_share, y_mm / laser.slice_high_share
    if laser.slice_turn_rad == 0:
        return x, y
    cos, sin = math.cos(laser.slice_turn_rad), math.sin(laser.slice_turn_rad)
    return x * cos + y * sin, y * cos - x * sin


def drawn_composition(
    shown: SheetComposition, wide: float, high: float, turn_rad: float, file_slice_mm: float
) -> SheetComposition:
    """All columns as they have to be drawn; raises NoPlan where they would meet their neighbours in the sheet."""
    if (wide, high, turn_rad) == (1.0, 1.0, 0.0):
        return shown
    parts = [
        part._replace(columns=[drawn_with(column, wide, high, turn_rad) for column in part.columns])
        for part in shown.parts
    ]
    half_width, half_height = largest_mm(column for part in parts for column in part.columns)
    if 2 * half_width > file_slice_mm - LEAST_BLANK_MM:
        raise no_plan(
            "tolerances.margin",
            f"for this machine a slice is drawn {2 * half_width:.3f} mm wide, too wide for a slice width of "
            f"{file_slice_mm:.3f} mm in the file: set the axis straight, or enter a wider margin beside each slice "
            '("margin" under tolerances), then plan again.',
        )
    return shown._replace(parts=parts, half_width_mm=half_width, half_height_mm=half_height)


def drawn_for(laser: LaserAndLens, shown: SheetComposition, file_slice_mm: float) -> SheetComposition:
    """All columns as this laser needs them, where its readings say so; raises NoPlan where they would meet."""
    return drawn_composition(shown, laser.slice_wide_share, laser.slice_high_share, laser.slice_turn_rad, file_slice_mm)
