"""A column of the sheet as cells: where they land, which tone the picture has there, which are marked.

::

      |<- column ->|          cells of k by k dots of the file, a cell no finer than the spot:
      |  +--+--+   |          each is marked or blank as a whole, then cut dot by dot at the
      |  |  |##|   |          slice's own borders, which are curves in the column
      |  +--+--+   |
"""

import math
from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.back import flat_from_wall_mm
from rotary.artwork.dither import dithered
from rotary.artwork.raster import Tones, averaged
from rotary.artwork.raster_read import FULL
from rotary.exports.landing import landing
from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import radius_mm
from rotary.laser import LaserAndLens
from rotary.sheet.correction import drawn_places, planned_places
from rotary.sheet.redraw import Stance, command_to_hit_mm

Floats32 = NDArray[np.float32]
Marks = NDArray[np.bool_]
Flat = Callable[[Floats, Floats], tuple[Floats, Floats]]
Open = Callable[[Floats], tuple[Floats, Floats]]

SLACK_MM: Final = 1e-6  # so that rounding takes no row of dots from the picture's edge


class DotRows(NamedTuple):
    """A picture as it lies on flat artwork: its tones, its dots to the millimetre, its size [mm]; whether what is
    marked is lighter."""

    tones: Tones
    per_mm: float
    wide_mm: float
    high_mm: float
    lighter: bool


class Raster(NamedTuple):
    """The grid of the file: the side of a dot [mm], how many to a cell, the number of rows; row 0 on top, the
    field's middle in the middle."""

    pitch_mm: float
    per_cell: int
    rows: int


class Column(NamedTuple):
    """A column on a page: the middles of its dots `x_mm` (n,) from its own middle, `flat` the place on flat artwork
    (u, v) of commands across and along, `open_` its left and right border [mm] at heights of it."""

    x_mm: Floats
    flat: Flat
    open_: Open


class Cells(NamedTuple):
    """Cells of a column (a, b): the share of each that should be marked, and which may be."""

    share: Floats32
    on: Marks


def cells_of(laid: DotRows, raster: Raster, column: Column) -> Cells:
    """What the picture asks of the cells of a column."""
    k, x_mm, y_mm = raster.per_cell, column.x_mm, _rows_mm(raster)
    inside = _inside(raster, column)
    cell_x, cell_y = _cell_middles(x_mm, k, raster.pitch_mm), _cell_middles(y_mm, k, -raster.pitch_mm)
    u, v = column.flat(*np.meshgrid(cell_x, cell_y))
    on = (np.abs(u) <= laid.wide_mm / 2 + SLACK_MM) & (np.abs(v) <= laid.high_mm / 2 + SLACK_MM)
    # A cell counts where any of its dots may be marked; the border then cuts it dot by dot.
    on &= np.add.reduceat(np.add.reduceat(inside, _starts(len(y_mm), k), 0), _starts(len(x_mm), k), 1) > 0
    share = averaged(laid.tones, (u + laid.wide_mm / 2) * laid.per_mm - 0.5, (laid.high_mm / 2 - v) * laid.per_mm - 0.5)
    share /= FULL
    if not laid.lighter:
        np.subtract(1, share, out=share)
    return Cells(np.clip(share, 0, 1, out=share), on)


def marked_cells(columns: list[Cells], greys: bool) -> list[NDArray[np.uint8]]:
    """0 blank to 255 marked for the cells of all columns.

    Columns are dithered side by side, as they meet on the item: an error that one can't take goes on to the next.
    """
    if greys:
        return [np.asarray(np.where(c.on, np.rint(255 * c.share), 0), np.uint8) for c in columns]
    together = dithered(np.hstack([c.share for c in columns]), np.hstack([c.on for c in columns]))
    ends = np.cumsum([c.on.shape[1] for c in columns])[:-1]
    return [part.astype(np.uint8) * np.uint8(255) for part in np.hsplit(together, ends)]


def dots_of(cells: NDArray[np.uint8], raster: Raster, column: Column) -> NDArray[np.uint8]:
    """The column's dots (rows, n) uint8: its cells enlarged, then cut at the slice's own borders."""
    k = raster.per_cell
    dots = cells.repeat(k, 0)[: raster.rows].repeat(k, 1)[:, : len(column.x_mm)]
    return np.asarray(np.where(_inside(raster, column), dots, 0), np.uint8)


def _rows_mm(raster: Raster) -> Floats:
    return np.asarray(((raster.rows - 1) / 2 - np.arange(raster.rows)) * raster.pitch_mm, float)


def _inside(raster: Raster, column: Column) -> Marks:
    left, right = column.open_(_rows_mm(raster))
    return np.asarray((column.x_mm >= left[:, None]) & (column.x_mm <= right[:, None]))


def _starts(count: int, k: int) -> NDArray[np.int64]:
    return np.arange(0, count, k)


def _cell_middles(dots_mm: Floats, k: int, step_mm: float) -> Floats:
    return dots_mm[::k] + (k - 1) / 2 * step_mm


def way_back(stance: Stance, surface_map: str, on_top_rad: float, closed: bool, laser: LaserAndLens) -> Flat:
    """Commands to places on flat artwork, while the angle `on_top_rad` from the artwork's middle is on top.

    Commands are those that this laser needs, as measured on the machine.
    """

    def flat(across: Floats, along: Floats) -> tuple[Floats, Floats]:
        s, angle = landing(stance, *planned_places(laser, across, along))
        theta = angle + on_top_rad
        if closed:
            theta = (theta + math.pi) % (2 * math.pi) - math.pi
        return flat_from_wall_mm(surface_map, stance.curve, stance.centre_s_mm, s, theta)

    return flat


def plain_way_back(stance: Stance, surface_map: str, mm_per_rad: float, high_share: float) -> Flat:
    """As `way_back` for flat artwork that the program divides: each place under the head at its own angle.

    It is drawn `mm_per_rad` wide and `high_share` times as high, as this machine needs it.
    """

    def flat(across: Floats, along: Floats) -> tuple[Floats, Floats]:
        s, _ = landing(stance, np.zeros(len(along)), along[:, 0] / high_share)
        return flat_from_wall_mm(surface_map, stance.curve, stance.centre_s_mm, s[:, None], across / mm_per_rad)

    return flat


def borders(
    stance: Stance, low_mm: float, high_mm: float, index_rad: float, inset_mm: float, laser: LaserAndLens
) -> Open:
    """A slice's left and right border in its column at any height of it, between two heights s of the wall.

    Outside them the column is closed: its left border lies right of its right one.
    """
    s = np.linspace(low_mm, high_mm, 2001)
    half = index_rad / 2 - inset_mm / radius_mm(stance.curve, s)
    sides = [drawn_places(laser, *command_to_hit_mm(stance, sign * half, s)) for sign in (-1, 1)]

    def open_(y_mm: Floats) -> tuple[Floats, Floats]:
        found = [np.interp(y_mm, y, x, left=math.nan, right=math.nan) for x, y in sides]
        shut = ~np.isfinite(found[0] + found[1])
        return np.where(shut, math.inf, found[0]), np.where(shut, -math.inf, found[1])

    return open_
