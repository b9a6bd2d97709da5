"""Artwork in, columns out: laid on the wall, seams slid into the white, cut, redrawn."""

from collections.abc import Iterable
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import between_heights, turned_upright
from rotary.artwork.rings import NO_INK, Rings, bounds_mm, joined, moved
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.artwork.white import ink_profile, slide_into_white
from rotary.errors import NoPlan, no_plan
from rotary.sheet.fits import NOTHING_DARK
from rotary.sheet.order import SheetOrder, SheetZone
from rotary.sheet.redraw import Stance, redrawn, wall_slices

OVER_SHARE = 0.1  # of an index: ink that reaches further past the slices is another artwork than the plan's
LEAST_BLANK_MM = 0.05  # between two neighbours' ink in the sheet: less, and a program may see one shape
WORTH_SHARE = 0.5  # of the ink that a border of two zones crosses: for less it is not moved


class ZoneColumns(NamedTuple):
    """One zone's columns, marked with the focal plane `plane_mm` over the apex.

    Rings [mm] from each column's middle, with y from the field's middle.
    """

    zone: SheetZone | None
    plane_mm: float
    columns: list[Rings]


class SheetComposition(NamedTuple):
    """All that a sheet shows. `first_border_rad` is the left border of the first column on the item,
    `middle_rad` the angle of the item that is on top while the sheet's middle column is marked.

    `crossed_mm` is the inked length that the seams cross, `crossed_before_mm` what they would cross unslid;
    `half_width_mm` and `half_height_mm` the largest commands.
    """

    parts: list[ZoneColumns]
    first_border_rad: float
    middle_rad: float
    shift_rad: float
    crossed_mm: float
    crossed_before_mm: float
    half_width_mm: float
    half_height_mm: float


def composition(order: SheetOrder, rings: Rings, slide: bool = True, cut: bool = True) -> SheetComposition:
    """The columns of a sheet; `rings` lie with the artwork's middle at (0, 0) [mm].

    `cut` False finds only where the seams would go.

    Raises NoPlan, with what to do, where the artwork does not go on the item or the columns are too narrow.
    """
    wall = laid_on(rings, order.surface_map, order.stance, order.closed)
    wall = moved(wall, order.centre_angle_rad, 0.0)
    turn = order.turn_slices if order.closed else order.slices
    unslid = order.centre_angle_rad - turn * order.index_rad / 2
    low, high, seams = _freedom(order, wall, unslid, turn)
    slid = slide_into_white(ink_profile(wall), seams, low if slide else 0.0, high if slide else 0.0)
    first = unslid + slid.shift
    parts = []
    order = order._replace(zones=_into_white_rows(order.zones, wall))
    for zone in (order.zones or [None]) if cut else ():
        plane = order.stance.plane_mm if zone is None else zone.plane_mm
        stance = order.stance._replace(plane_mm=plane)
        ink = wall if zone is None else _between_heights(order, wall, zone)
        pieces = wall_slices(ink, first, order.index_rad, turn, order.closed)
        columns = redrawn(stance, pieces, order.inset_mm) + [NO_INK] * (order.slices - turn)
        parts.append(ZoneColumns(zone, plane, columns))
    half_width, half_height = largest_mm(column for part in parts for column in part.columns)
    if 2 * half_width > order.file_slice_mm - LEAST_BLANK_MM:
        raise too_narrow(half_width, order.file_slice_mm)
    middle = first + order.slices * order.index_rad / 2
    return SheetComposition(
        parts, first, middle, slid.shift, slid.crossed, slid.crossed_before, half_width, half_height
    )


def laid_on(rings: Rings, surface_map: str, stance: Stance, closed: bool) -> Rings:
    """Artwork on the wall, once round where it is closed; raises NoPlan where it does not go on the item."""
    if len(rings.points_mm) == 0:
        raise no_plan(*NOTHING_DARK)
    try:
        wall = on_wall(rings, surface_map, stance.curve, stance.centre_s_mm)
        return once_round(wall) if closed else wall
    except ValueError as trouble:
        raise no_plan(
            "artwork.surface_map", f'{trouble}: choose another setting under "on a taper", or make the artwork smaller.'
        ) from None


def largest_mm(columns: Iterable[Rings]) -> tuple[float, float]:
    """The largest commands across and along in columns [mm]; 0 where they are blank."""
    across, along = joined(columns).points_mm.T
    return float(np.abs(across).max(initial=0.0)), float(np.abs(along).max(initial=0.0))


def too_narrow(half_width_mm: float, file_slice_mm: float) -> NoPlan:
    """That slices would meet in the file, to be raised by the caller."""
    return no_plan(
        "tolerances.margin",
        f"a slice is drawn {2 * half_width_mm:.3f} mm wide, too wide for a slice width of {file_slice_mm:.3f} mm in "
        'the file: enter a wider margin beside each slice ("margin" under tolerances), or a smaller slice width.',
    )


def _freedom(order: SheetOrder, wall: Rings, first: float, turn: int) -> tuple[float, float, NDArray[np.float64]]:
    """How far the seams may slide either way [rad], and all of them, those outside the ink too."""
    left, _, right, _ = bounds_mm(wall)
    half = order.index_rad / 2
    seams = np.asarray(first + order.index_rad * np.arange(-1, turn + 2), float)
    if order.closed:
        return -half, half, seams
    last = first + turn * order.index_rad
    # A bellied wall may be narrower between the heights that a plan looks at, so ink may reach a hair further.
    over = max(first - left, right - last)
    if over > OVER_SHARE * order.index_rad:
        degrees = np.degrees([left, right, first, last]).round(2).tolist()
        raise no_plan(
            "artwork.width",
            f"the artwork reaches from {degrees[0]:g} to {degrees[1]:g} degrees round the item, but the slices only "
            f"from {degrees[2]:g} to {degrees[3]:g}: write the width and height that the artwork really has.",
        )
    return min(0.0, max(-half, right - last)), max(0.0, min(half, left - first)), seams[2:-2]


def _into_white_rows(zones: tuple[SheetZone, ...], wall: Rings) -> tuple[SheetZone, ...]:
    """The zones with every border where it crosses least ink, as far as the heights of both its zones do as well."""
    if len(zones) < 2:
        return zones
    ink = ink_profile(turned_upright(wall))
    borders = []
    for lower, upper in pairwise(zones):
        at = lower.to_mm
        down, up = min(upper.below_mm, (at - lower.from_mm) / 2), min(lower.above_mm, (upper.to_mm - at) / 2)
        slid = slide_into_white(ink, [at], -down, up)
        borders.append(at + (slid.shift if slid.crossed < WORTH_SHARE * slid.crossed_before else 0.0))
    ends = pairwise([zones[0].from_mm, *borders, zones[-1].to_mm])
    return tuple(zone._replace(from_mm=a, to_mm=b) for zone, (a, b) in zip(zones, ends, strict=True))


def _between_heights(order: SheetOrder, wall: Rings, zone: SheetZone) -> Rings:
    """The wall's ink in one zone, pulled back at the zone's ends where another zone goes on."""
    # The outermost zones have no end.
    low = zone.from_mm + (order.inset_mm if zone.from_mm > min(z.from_mm for z in order.zones) else 0.0)
    high = zone.to_mm - (order.inset_mm if zone.to_mm < max(z.to_mm for z in order.zones) else 0.0)
    return between_heights(wall, low, high)
