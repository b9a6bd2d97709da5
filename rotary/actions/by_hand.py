"""What is set by hand: the item on its drive, its place under the field, the lens; and what must be seen then."""

from collections.abc import Iterator
from math import degrees
from typing import Final, Literal

from rotary.actions.files import Drawn
from rotary.actions.models import Row
from rotary.focus import SlicedSetup
from rotary.item import Item, datum_from_s_mm
from rotary.plan import Plan
from rotary.witness import witness_ticks

LEAST_SHIM_MM: Final = 0.05
"""A sheet of paper is thicker."""

COMES_UP: Final = {"y": "right", "x": "back"}
"""From which side of the field the next slice comes up, by the field's axis along the item: that of +X, or of +Y."""


def end_name(item: Item, end: Literal["foot", "rim"]) -> str:
    """What an end of the item is called: base and rim of what stands, end 1 and end 2 of a solid part.

    >>> from rotary.item import Item
    >>> end_name(Item(name="cup", stations=()), "foot")
    'base'
    """
    if item.solid:
        return "end 1" if end == "foot" else "end 2"
    return "base" if end == "foot" else end


def by_hand_rows(plan: Plan, drawn: Drawn) -> tuple[Row, ...]:
    """The rows in the order of mounting: on the drive, under the field, the lens last."""
    job, lies = plan.job, plan.layout
    item, shape = job.item, plan.shape
    datum = end_name(item, item.datum)
    ticks = witness_ticks(plan)
    return (
        *([] if item.solid else [Row(id="vessel", value="empty")]),
        *(_in_the_chuck(plan) if job.drive.kind == "chuck" else [Row(id="end_stop", value=datum, end=datum)]),
        *_shim(plan),
        Row(id="field_middle", value=_hundredth(datum_from_s_mm(item, shape, lies.centre_mm)), unit="mm", end=datum),
        *_start(plan, drawn),
        Row(
            id="witness_marks",
            value=_hundredth(ticks.foot_at_mm),
            unit="mm",
            rim_at=_hundredth(ticks.rim_at_mm),
            end=datum,
        ),
        Row(id="turn_way", value=COMES_UP[job.head.field_axis]),
        *_focus(plan),
        Row(id="corner_ticks", value="zero power or tape"),
    )


def _hundredth(mm: float) -> float:
    return round(mm, 2)


def _in_the_chuck(plan: Plan) -> Iterator[Row]:
    """The jaws hold the end that lies farther from the artwork."""
    lies, length = plan.layout, plan.shape.length_mm
    near_foot = lies.band_from_mm + lies.band_to_mm < length
    end = end_name(plan.job.item, "rim" if near_foot else "foot")
    yield Row(id="jaw_end", value=end, end=end)


def is_shimmed(plan: SlicedSetup) -> bool:
    """Whether something is put under one end."""
    return plan.focus.levelled and abs(plan.focus.shim_mm) >= LEAST_SHIM_MM


def _shim(plan: Plan) -> Iterator[Row]:
    if is_shimmed(plan):
        mm, level = plan.focus.shim_mm, plan.turning.level
        end = end_name(plan.job.item, "foot" if mm > 0 else "rim")
        of = "rotary" if plan.job.drive.kind == "rollers" else "chuck"
        yield Row(id="shim", value=_hundredth(abs(mm)), unit="mm", end=end, base=_hundredth(level.base_mm), of=of)


def _start(plan: Plan, drawn: Drawn) -> Iterator[Row]:
    """The angle at which the item starts, where something on it says which angle is which."""
    item = plan.job.item
    if item.handle is not None or item.weld_line is not None or item.flats:
        yield Row(id="start_angle", value=round(degrees(drawn.middle_rad), 3), unit="°", sense="+ to the right")


def _focus(plan: Plan) -> Iterator[Row]:
    """The lens from focus on the apex under the middle of the field; for each part of a long taper where there are."""
    sharp, apex_mm = plan.focus, plan.apex_at_middle_mm
    heights = {"apex_over_bed": _hundredth(apex_mm), "focus_over_bed": _hundredth(sharp.focal_plane_mm)}
    if len(sharp.refocus) < 2:
        yield Row(id="focus", value=_hundredth(sharp.focal_plane_mm - apex_mm), unit="mm", **heights)
        return
    for number, zone in enumerate(sharp.refocus, 1):
        plane_mm = zone.focal_plane_mm
        yield Row(
            id="focus" if number == 1 else f"focus_{number}",
            value=_hundredth(plane_mm - apex_mm),
            unit="mm",
            apex_over_bed=heights["apex_over_bed"],
            focus_over_bed=_hundredth(plane_mm),
            from_at=_hundredth(zone.from_mm),
            rim_at=_hundredth(zone.to_mm),
            end=end_name(plan.job.item, plan.job.item.datum),
        )


def check_rows(plan: Plan, drawn: Drawn) -> tuple[Row, ...]:
    """What the program must show after the import, and what the item must do on a dry turn."""
    split = plan.split
    turn = degrees(split.index_angle_rad)
    blank = drawn.slices - split.inked_slices
    return (
        Row(id="size_shown", value=drawn.wide_mm, high=drawn.high_mm, unit="mm"),
        Row(id="slices_shown", value=drawn.slices, of=f"{split.column_mm:.{plan.job.drive.typed_decimals}f}"),
        *([Row(id="first_cut", value=round(-drawn.slices * split.column_mm / 2, 3), unit="mm")] if drawn.slices > 1 else []),
        *([Row(id="blank_slices", value=blank)] if blank > 0 and not drawn.is_final else []),
        Row(id="slice_turns", value=round(turn, 4), unit="°"),
        Row(id="whole_turn", value=round(turn * (drawn.slices - 1), 3), unit="°"),
    )
