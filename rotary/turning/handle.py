"""How far an item with a handle may turn before the handle meets the rollers, the bed or the head."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from rotary.errors import refuse
from rotary.formulas import cradle
from rotary.formulas.circle import within_half_turn
from rotary.item import Item, handle_heights_mm
from rotary.shape import Shape
from rotary.turning.level import Stand
from rotary.turning.models import Chuck, ItemTurning, Rollers, TurnRange
from rotary.turning.places import places, roller_span_mm

TURN = 2 * np.pi


class _Obstacle(NamedTuple):
    """Handle positions, from the top, that are taken: centre and half width [rad]."""

    name: str
    centre: float
    half: float


def _obstacles(
    drive: Chuck | Rollers, item: Item, body: Shape, stands: Stand, head_bottom_mm: float | None
) -> Iterator[_Obstacle]:
    handle = item.handle
    ends = handle_heights_mm(item, body)
    assert handle is not None
    assert ends is not None
    along = places(body, max(ends[0], 0.0), min(ends[1], body.length_mm))
    height = stands.axis_mm + (along.s - stands.at_mm) * np.sin(stands.tilt_rad)
    tip = along.r + handle.reach_mm
    half = handle.width_rad / 2
    if isinstance(drive, Rollers):
        span = roller_span_mm(drive, item, body)
        touched = (along.s >= span[0]) & (along.s <= span[1])
        if touched.any():
            roller = drive.roller_diameter_mm / 2
            radius = float(along.r[touched].max())
            angle = float(np.arcsin(min(1.0, drive.centres_mm / 2 / (radius + roller))))
            wide = cradle.roller_half_width_rad(radius, handle.reach_mm, roller) + half
            yield from [_Obstacle("a roller", np.pi - angle, wide), _Obstacle("a roller", angle - np.pi, wide)]
    bed = np.min(height / tip)
    if bed <= 1:
        yield _Obstacle("the bed", np.pi, float(np.arccos(max(bed, -1.0))) + half)
    if head_bottom_mm is not None:
        head = np.min((head_bottom_mm - height) / tip)
        if head <= 1:
            yield _Obstacle("the lens", 0.0, float(np.arccos(max(head, -1.0))) + half)


def free_range(
    drive: Chuck | Rollers, item: Item, body: Shape, stands: Stand, head_bottom_mm: float | None = None
) -> TurnRange | None:
    """The item's angles that may stand on top, None where nothing stops it or there is no handle.

    Raises Refused where the handle is in the way already with the front on top.
    """
    if item.handle is None:
        return None
    obstacles = [*_obstacles(drive, item, body, stands, head_bottom_mm)]
    if not obstacles:
        return None
    # With the item's angle a on top, the handle stands at (its angle - a) from the top.
    at = item.handle.angle_rad
    up, down = [], []
    for one in obstacles:
        if abs(within_half_turn(at - one.centre)) < one.half:
            raise refuse(
                "item.handle.angle",
                f"with the item's front on top the handle would hit {one.name}: check the handle's angle from the "
                "front. If the angle is correct, use a chuck that stands higher, or mark the other side of the item.",
            )
        up.append(((at - one.centre - one.half) % TURN, one.name))
        down.append(((one.centre - one.half - at) % TURN, one.name))
    (high, by_high), (low, by_low) = min(up), min(down)
    return TurnRange(from_rad=-low, to_rad=high, stopped_by=by_low if by_low == by_high else f"{by_low} or {by_high}")


def handle_range(
    drive: Chuck | Rollers, item: Item, body: Shape, turning: ItemTurning, head_bottom_mm: float | None = None
) -> TurnRange | None:
    """As in `turning.turn_range`, with the head in too: `head_bottom_mm` is its lowest part over the bed."""
    stands = Stand(turning.axis_height_mm, turning.axis_height_at_mm, turning.tilt_rad)
    return free_range(drive, item, body, stands, head_bottom_mm)
