"""What is set by hand: the item on its drive, its place under the field, the lens; and what must be seen then."""

from collections.abc import Iterator
from math import degrees
from typing import Final

from rotary.actions.files import FaceFacts, FileFacts, WordsFacts, comes_up, page_row, zones_of
from rotary.actions.models import ActionRow
from rotary.focus import SlicedSetup
from rotary.formulas.circle import within_half_turn
from rotary.item import height_from_s_mm
from rotary.plan import Plan
from rotary.slices.models import Split
from rotary.witness import witness_ticks

LEAST_SHIM_MM: Final = 0.05
"""A sheet of paper is thicker."""

JAWS_MM: Final = 20.0
"""How far from an end jaws may reach: estimate, no source."""


def by_hand_rows(plan: Plan, drawn: FileFacts) -> tuple[ActionRow, ...]:
    """The rows in the order of mounting: on the drive, under the field, the lens last."""
    job, lies = plan.job, plan.layout
    item, shape = job.item, plan.shape
    datum = item.end_name(item.heights_from)
    ticks = witness_ticks(plan)
    return (
        *([] if item.solid else [ActionRow(id="vessel", value="empty")]),
        *(_in_the_chuck(plan) if job.turning.kind == "chuck" else [ActionRow(id="end_stop", value=datum, end=datum)]),
        *_shim(plan),
        ActionRow(
            id="field_middle", value=settable(height_from_s_mm(item, shape, lies.centre_mm)), unit="mm", end=datum
        ),
        *_start(plan, drawn),
        ActionRow(
            id="witness_marks",
            value=settable(ticks.foot_at_mm),
            unit="mm",
            rim_at=settable(ticks.rim_at_mm),
            end=datum,
        ),
        *([ActionRow(id="turn_way", value=comes_up(plan))] if drawn.slices > 1 else []),
        *habit_row(plan),
        *_focus(plan, drawn),
        ActionRow(id="corner_ticks", value="zero power or tape"),
    )


def face_rows(plan: Plan, face: FaceFacts, files: int) -> tuple[ActionRow, ...]:
    """How a part lies of which a flat or an end face is marked, and where the lens goes; `files` are those of flats."""
    item, rim = plan.job.item, plan.job.item.end_name("rim")
    focus = ActionRow(id="focus", value=lens_away(face.plane_mm), unit="mm", of="face")
    if face.kind == "end":
        return ActionRow(id="face_up", value=rim, of="end", end=rim), *habit_row(plan), focus
    next_flat = ActionRow(id="next_flat", value="right", end=rim)
    return (
        ActionRow(id="face_up", value="flat", of="flat", end=rim),
        ActionRow(id="field_middle", value=settable(face.middle_mm), unit="mm", end=item.end_name(item.heights_from)),
        *([next_flat] if files > 1 else []),
        *habit_row(plan),
        focus,
    )


def settable(mm: float) -> float:
    """A length as it can be set by hand: tenths of a millimetre, hundredths of less than one.

    >>> settable(16.3812), settable(0.3812), settable(-0.0)
    (16.4, 0.38, 0.0)
    """
    return round(mm, 1 if abs(mm) >= 1 else 2) + 0


def lens_away(mm: float) -> float:
    """How far the lens is moved, as it can be: tenths of a millimetre.

    >>> lens_away(14.4879), lens_away(-0.0241)
    (14.5, 0.0)
    """
    return round(mm, 1) + 0


def _in_the_chuck(plan: Plan) -> Iterator[ActionRow]:
    """The jaws hold the base, or the other end where they would come too near to the artwork."""
    low, high = plan.layout.artwork_from_mm, plan.shape.length_mm - plan.layout.artwork_to_mm
    end = plan.job.item.end_name("rim" if low < min(JAWS_MM, high) else "base")
    yield ActionRow(id="jaw_end", value=end, end=end)


def is_shimmed(plan: SlicedSetup) -> bool:
    """Whether something is put under one end."""
    return plan.focus.levelled and abs(plan.focus.shim_mm) >= LEAST_SHIM_MM


def _shim(plan: Plan) -> Iterator[ActionRow]:
    if is_shimmed(plan):
        yield shim_row(plan, plan.focus.shim_mm, plan.turning.level.base_mm)
    elif plan.job.turning.levelled and plan.shape.shape in ("taper", "profile"):
        # Who asked for it to be levelled looks for a shim.
        yield ActionRow(id="level", value="as it lies")


def shim_row(plan: Plan, shim_mm: float, base_mm: float) -> ActionRow:
    """What is put under the base's end, or the other one where it is negative, so far from the end that stays down."""
    end = plan.job.item.end_name("base" if shim_mm > 0 else "rim")
    of = "rotary" if plan.job.turning.kind == "rollers" else "chuck"
    return ActionRow(id="shim", value=settable(abs(shim_mm)), unit="mm", end=end, base=settable(base_mm), of=of)


def _start(plan: Plan, drawn: FileFacts) -> Iterator[ActionRow]:
    """The angle at which the item starts, where something on it, or a pen mark for words, says which angle is which."""
    item, words = plan.job.item, drawn.words
    if (mark := item.front_mark) is None and not item.flats and words is None:
        return
    about, at_rad = mark or (None, 0.0)
    of = "flat" if item.flats else None if mark else "mark"
    letter, listed = words or WordsFacts(None)
    far = settable(abs(drawn.middle_rad) * plan.layout.reference_radius_mm)
    yield ActionRow(
        id="start_angle",
        value=listed or round(degrees(drawn.middle_rad), 3),
        unit="" if listed else "°",
        of=of,
        end=item.end_name("rim"),
        sense="+ to the right",
        about=about,
        about_at=mark and round(degrees(within_half_turn(at_rad)), 3),
        on_wall=far if of == "mark" and not listed else None,
        first_letter=None if letter is None else round(degrees(letter), 1),
        # Slices of a sliced file still slide, and the start with them.
        step=None if drawn.is_final or plan.split.method == "flat" or item.flats else "write_file",
    )


def habit_row(plan: SlicedSetup) -> tuple[ActionRow, ...]:
    """How far the lens goes each time before anything else, + away, where a focus test has found the focus above or
    below the place where the person sets it: no other number has that in it."""
    first = lens_away(-plan.job.laser.focus_above_mm)
    return (ActionRow(id="lens_first", value=first, unit="mm"),) if first else ()


def _focus(plan: Plan, drawn: FileFacts) -> Iterator[ActionRow]:
    """The lens from focus on the apex under the middle of the field; for each part of a long taper where there are."""
    zones = [
        (zone, number)
        for number, (zone, file) in enumerate(zip(zones_of(plan), drawn.files.zones, strict=True), 1)
        if file
    ]
    item = plan.job.item
    for row, (zone, number) in enumerate(zones, 1):
        focus = _lens(plan, zone.focal_plane_mm, "focus" if row == 1 else f"focus_{row}")
        low, high = settable(zone.from_mm), settable(zone.to_mm)
        end = item.end_name(item.heights_from)
        yield focus.but(from_at=low, rim_at=high, end=end, about=f"zone-{number}")
    if not zones:
        yield _lens(plan, plan.focus.focal_plane_mm, "focus")


def _lens(plan: Plan, plane_mm: float, name: str) -> ActionRow:
    apex_mm, away = settable(plan.apex_at_middle_mm), lens_away(plane_mm - plan.apex_at_middle_mm)
    # Of two figures that are rounded, what is measured has to be what is set.
    return ActionRow(id=name, value=away, unit="mm", apex_over_bed=apex_mm, focus_over_bed=round(apex_mm + away, 2))


def check_rows(plan: Plan, drawn: FileFacts) -> tuple[ActionRow, ...]:
    """What the program must show after the import, and what the item must do on a dry turn."""
    split, slices = plan.split, 1 if plan.removal.file_per_slice else drawn.slices
    blank = slices - split.inked_slices
    return (
        page_row("size_shown", drawn),
        ActionRow(id="slices_shown", value=slices, of=f"{split.file_slice_mm:.{plan.job.turning.typed_decimals}f}"),
        *(
            [ActionRow(id="first_cut", value=round(-slices * split.file_slice_mm / 2, 3), unit="mm")]
            if slices > 1
            else []
        ),
        *([ActionRow(id="blank_slices", value=blank)] if blank > 0 and not drawn.is_final else []),
        # By hand each slice is turned to alone.
        *([ActionRow(id="page_middle", value=(slices + 1) // 2, of=f"{slices}")] if slices > 1 else []),
        *([] if drawn.slices == 1 else _turns(split, drawn.slices)),
    )


def _turns(split: Split, slices: int) -> tuple[ActionRow, ...]:
    """How far the item turns, in degrees."""
    each = degrees(split.index_angle_rad)
    return (
        ActionRow(id="slice_turns", value=round(each, 4), unit="°", steps=split.steps),
        ActionRow(id="whole_turn", value=round(each * (slices - 1), 3), unit="°"),
    )
