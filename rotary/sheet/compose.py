"""Artwork in, columns out: laid on the wall, joints slid into the white, cut, redrawn."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, bounds_mm, moved
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.artwork.white import ink_profile, slide_into_white
from rotary.errors import Fault, NoPlan
from rotary.sheet.order import SheetOrder, SheetZone
from rotary.sheet.redraw import redrawn, wall_slices

OVER_SHARE = 0.1  # of an index: ink that reaches further past the slices is another artwork than the plan's
LEAST_BLANK_MM = 0.05  # between two neighbours' ink in the sheet: less, and a program may see one shape
WORTH_SHARE = 0.5  # of the ink that a border of two zones crosses: for less it is not moved


class Composed(NamedTuple):
    """One zone's columns, marked with the focal plane `plane_mm` over the apex.

    Rings [mm] from each column's middle, with y from the field's middle.
    """

    zone: SheetZone | None
    plane_mm: float
    columns: list[Rings]


class SheetComposition(NamedTuple):
    """All that a sheet shows. `first_border_rad` is the left border of the first column on the item,
    `middle_rad` the angle of the item that is on top while the sheet's middle column is marked.

    `crossed_mm` is the inked length that the joints cross, `crossed_before_mm` what they would cross unslid;
    `half_width_mm` and `half_height_mm` the largest commands.
    """

    parts: list[Composed]
    first_border_rad: float
    middle_rad: float
    shift_rad: float
    crossed_mm: float
    crossed_before_mm: float
    half_width_mm: float
    half_height_mm: float


def composition(order: SheetOrder, rings: Rings, slide: bool = True, cut: bool = True) -> SheetComposition:
    """The columns of a sheet; `rings` lie with the artwork's middle at (0, 0) [mm].

    `cut` False finds only where the joints would go.

    Raises NoPlan, with what to do, where the artwork does not go on the item or the columns are too narrow.
    """
    if len(rings.points_mm) == 0:
        raise NoPlan([Fault("artwork", "there is no ink in the artwork: give a drawing with something dark in it.")])
    try:
        wall = on_wall(rings, order.surface_map, order.stance.curve, order.stance.centre_s_mm)
        wall = once_round(wall) if order.closed else wall
    except ValueError as trouble:
        raise NoPlan([Fault("artwork.surface_map", f"{trouble}: choose another map, or smaller artwork.")]) from None
    wall = moved(wall, order.centre_angle_rad, 0.0)
    turn = order.turn_slices if order.closed else order.slices
    unslid = order.centre_angle_rad - turn * order.index_rad / 2
    low, high, joints = _freedom(order, wall, unslid, turn)
    slid = slide_into_white(ink_profile(wall), joints, low if slide else 0.0, high if slide else 0.0)
    first = unslid + slid.shift
    parts = []
    order = order._replace(zones=_into_white_rows(order.zones, wall))
    for zone in (order.zones or [None]) if cut else ():
        plane = order.stance.plane_mm if zone is None else zone.plane_mm
        stance = order.stance._replace(plane_mm=plane)
        ink = wall if zone is None else _between_heights(order, wall, zone)
        pieces = wall_slices(ink, first, order.index_rad, turn, order.closed)
        columns = redrawn(stance, pieces, order.inset_mm) + [NO_INK] * (order.slices - turn)
        parts.append(Composed(zone, plane, columns))
    drawn = [bounds_mm(c) for part in parts for c in part.columns if len(c.points_mm)]
    half_width = max((max(-left, right) for left, _, right, _ in drawn), default=0.0)
    half_height = max((max(-bottom, top) for _, bottom, _, top in drawn), default=0.0)
    if 2 * half_width > order.file_slice_mm - LEAST_BLANK_MM:
        raise NoPlan(
            [
                Fault(
                    "tolerances.margin",
                    f"a slice has to be drawn {2 * half_width:.3f} mm wide, its slice in the file has "
                    f"{order.file_slice_mm:.3f} mm: "
                    "write a margin wider by the difference, or a smaller slice width.",
                )
            ]
        )
    middle = first + order.slices * order.index_rad / 2
    return SheetComposition(
        parts, first, middle, slid.shift, slid.crossed, slid.crossed_before, float(half_width), float(half_height)
    )


def _freedom(order: SheetOrder, wall: Rings, first: float, turn: int) -> tuple[float, float, NDArray[np.float64]]:
    """How far the joints may slide either way [rad], and all of them, those outside the ink too."""
    left, _, right, _ = bounds_mm(wall)
    half = order.index_rad / 2
    joints = np.asarray(first + order.index_rad * np.arange(-1, turn + 2), float)
    if order.closed:
        return -half, half, joints
    last = first + turn * order.index_rad
    # A bellied wall may be narrower between the heights that a plan looks at, so ink may reach a hair further.
    over = max(first - left, right - last)
    if over > OVER_SHARE * order.index_rad:
        degrees = np.degrees([left, right, first, last]).round(2).tolist()
        raise NoPlan(
            [
                Fault(
                    "artwork.width",
                    f"the ink reaches from {degrees[0]:g} to {degrees[1]:g} degrees round the item, the slices from "
                    f"{degrees[2]:g} to {degrees[3]:g}: write the width and height that the artwork really has.",
                )
            ]
        )
    return min(0.0, max(-half, right - last)), max(0.0, min(half, left - first)), joints[2:-2]


def _into_white_rows(zones: tuple[SheetZone, ...], wall: Rings) -> tuple[SheetZone, ...]:
    """The zones with every border where it crosses least ink, as far as the heights of both its zones do as well."""
    if len(zones) < 2:
        return zones
    ink = ink_profile(_turned(wall))
    borders = []
    for lower, upper in pairwise(zones):
        at = lower.to_mm
        down, up = min(upper.below_mm, (at - lower.from_mm) / 2), min(lower.above_mm, (upper.to_mm - at) / 2)
        slid = slide_into_white(ink, [at], -down, up)
        borders.append(at + (slid.shift if slid.crossed < WORTH_SHARE * slid.crossed_before else 0.0))
    ends = pairwise([zones[0].from_mm, *borders, zones[-1].to_mm])
    return tuple(zone._replace(from_mm=a, to_mm=b) for zone, (a, b) in zip(zones, ends, strict=True))


def _turned(wall: Rings) -> Rings:
    """Turned by a quarter, so that a cut at a height is upright."""
    return Rings(np.stack([wall.points_mm[:, 1], -wall.points_mm[:, 0]], axis=1), wall.offsets)


def _between_heights(order: SheetOrder, wall: Rings, zone: SheetZone) -> Rings:
    """The wall's ink in one zone, pulled back at the zone's ends where another zone goes on."""
    # The outermost zones have no end.
    low = zone.from_mm + (order.inset_mm if zone.from_mm > min(z.from_mm for z in order.zones) else 0.0)
    high = zone.to_mm - (order.inset_mm if zone.to_mm < max(z.to_mm for z in order.zones) else 0.0)
    middle = slices_between(_turned(wall), [low, high])[1]
    return Rings(np.stack([-middle.points_mm[:, 1], middle.points_mm[:, 0]], axis=1), middle.offsets)
