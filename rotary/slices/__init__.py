"""5  The step split: how wide a slice may be, which limit governs, and the numbers to key in.

`models` is what is asked and what comes out, `wall` the band under the head at any index angle,
`limits` each limit's own widest slice, `choose` the split that takes the least time, `keys` the
numbers to type; the one public verb is `split`.
"""

import math
from dataclasses import replace
from typing import Final

import numpy as np

from rotary.drive import Chuck, Rollers
from rotary.errors import Fault, NoPlan
from rotary.formulas import scan
from rotary.head import Head
from rotary.item import datum_from_s_mm
from rotary.setup import Setup
from rotary.slices.choose import KEYED_MM, NARROWEST_SPOTS, Pick, Splits, all_splits, chosen, runners_up, splits_of
from rotary.slices.keys import Columns, KeyedColumn, closing_mm, key_in, keyed, must_show
from rotary.slices.limits import Bound, Surveyed, applying, bounds, can_be_levelled, flat_stair_mm, limit_rows, surveyed
from rotary.slices.models import Candidate, JointCost, JointRow, KeyIn, Limit, Split
from rotary.slices.otherwise import cost_words, joint_costs
from rotary.slices.wall import Floats, Slices, Wall, column_gap_mm, slices_of, wall_under_head
from rotary.tolerances import Tolerances

__all__ = ["Candidate", "JointCost", "JointRow", "KeyIn", "Limit", "Split", "split"]

GRAZING_RAD: Final = math.radians(80)
"""A beam farther off square than this slides along the wall: the spot is six times as long."""

DRAWN_SHARE: Final = 0.001
"""Artwork that lands within a thousandth of its size needs no word."""

JOINT_OF: Final = {"plain": "joint, plain artwork", "sheet": "joint, slice sheet"}
"""The limit that holds the joints of each method."""


def split(setup: Setup, defocus_mm: float) -> Split:
    """The step split that meets every limit in the least time.

    `defocus_mm` is the focal plane's height over the apex line [mm], signed (+ above).
    Where no width meets every limit, the best is given and the limits say what is broken and
    what would relax it. Raises NoPlan where the band or the turns needed can't be had at all.
    """
    tolerances, drive, head, item = setup.job.tolerances, setup.job.drive, setup.job.head, setup.job.item
    body, turning, layout = setup.shape, setup.turning, setup.layout
    reference, total = layout.reference_radius_mm, layout.total_angle_rad
    wall = wall_under_head(setup, defocus_mm)
    seen = surveyed(wall, turning.rad_per_step, total)
    found = bounds(setup, tolerances, seen)
    closing_steps = tolerances.joint_mm / (reference * turning.rad_per_step)
    if body.flats is not None:
        steps = np.array([max(round(turning.steps_per_turn / body.flats), 1)])
        splits = splits_of(steps, setup)
    else:
        flat_share = 2 * head.slice_wide_share * seen.at.plain_command / seen.at.index_rad

        def flat_mm(index_rad: Floats) -> Floats:
            """How wide a slice of flat artwork is drawn, smoothly between the angles that were looked at."""
            return np.asarray(index_rad * np.interp(index_rad, seen.at.index_rad, flat_share))

        splits = all_splits(setup, flat_mm)
    floor = max(turning.rad_per_step, NARROWEST_SPOTS * setup.optics.spot_um / 1000 / reference)

    def picked(bounds_: list[Bound], accepted_mm: float) -> tuple[Pick, Pick, Pick]:
        """For the sheet, for plain artwork, and which of the two."""
        steps = accepted_mm / (reference * turning.rad_per_step)
        both = [chosen(splits, bounds_, method, floor, steps, seen) for method in ("sheet", "plain")]
        typed = both[1].typed_mm(splits, seen), max(accepted_mm, both[0].typed_mm(splits, seen))
        return both[0], both[1], _method(setup, both[0], both[1], splits, typed[0] > typed[1] * (1 + 1e-9))

    def pick_for(accepted_mm: float) -> Pick:
        other = tolerances.model_copy(update={"joint_mm": accepted_mm})
        return picked(bounds(setup, other, seen), accepted_mm)[2]

    sheet, plain, pick = picked(found, tolerances.joint_mm)
    at, method = pick.at, pick.method
    index = float(splits.index_rad[at])
    both = slices_of(wall, np.array([index]))
    _refuse_steep(wall, head, can_be_levelled(drive, turning))
    _refuse_field(setup, both)
    _refuse_turn(setup, splits, at, index)
    half = float(both.widest_command[0]) if method == "sheet" else float(both.plain_command[0])
    edge = tolerances.blank_edge_mm if method == "sheet" else 0.0
    # A sheet is drawn for the machine as measured inside its columns; flat artwork is, with its columns.
    wide, high = (1.0, 1.0) if method == "sheet" else (head.slice_wide_share, head.slice_high_share)
    half *= wide
    steps_chosen, slices, inked = int(splits.steps[at]), int(splits.slices[at]), int(splits.inked[at])
    # The plan knows the artwork of one flat; pieces may go on all of them, and the number has to serve there too.
    # Several columns of flat artwork are as wide as their slices, or their joints would not close.
    joined = method == "plain" and slices > 1 and body.flats is None
    keys = keyed(drive, 2 * half + edge, steps_chosen, max(slices, body.flats or 0), nearest=joined)
    size = round(slices * keys.column_mm, 6), float(both.tallest_mm[0]) * high
    columns = Columns(keys, steps_chosen, index, slices, inked, size, method)
    governing = _governing(found, pick, inked, total)
    # A single slice meets no other, and between two flats there is an edge of the item.
    meets = inked > 1 and body.flats is None
    spread = both.spread[0] if body.flats is None else np.zeros_like(both.spread[0])
    flat_gap = column_gap_mm(wall, both, keys.column_mm / wide)[0] if joined else both.plain_joint[0]
    step_mm = wall.r * turning.rad_per_step
    nominal = _as_turned(both.sheet_joint[0] if method == "sheet" else flat_gap, step_mm, keys)
    plain_nominal, sheet_nominal = (
        (nominal, both.sheet_joint[0]) if method == "plain" else (both.plain_joint[0], nominal)
    )
    rows = tuple(
        JointRow(
            s_mm=s,
            from_datum_mm=datum_from_s_mm(item, body, s),
            plain_nominal_mm=flat,
            plain_95_mm=half_width,
            sheet_nominal_mm=redrawn,
            sheet_95_mm=half_width,
        )
        for s, flat, redrawn, half_width in zip(
            wall.s.tolist(), plain_nominal.tolist(), sheet_nominal.tolist(), spread.tolist(), strict=True
        )
    )
    per_step = reference * turning.rad_per_step
    drift = keys.drift_steps
    if body.flats is not None:
        drift += (inked - 1) * (steps_chosen - turning.steps_per_turn / body.flats)
    if meets and abs(drift) * per_step > tolerances.joint_mm and "drive" not in pick.unmet:
        pick = replace(pick, unmet=(*pick.unmet, "drive"))
    joint_95 = float((np.abs(nominal) + spread).max()) if meets else 0.0
    exact = (both.sheet_joint if method == "sheet" else both.plain_joint)[0]
    typing_mm = float(np.abs(nominal - exact).max()) if meets else 0.0
    if typing_mm > KEYED_MM and joint_95 > tolerances.joint_mm:
        pick = replace(pick, unmet=(*pick.unmet, *({JOINT_OF[method]} - set(pick.unmet))))
    stair = float((both.stair[0] if method == "sheet" else flat_stair_mm(both, head)[0]).max()) if meets else 0.0
    free = tolerances.slice_width_mm is None and body.flats is None and (meets or int(splits.slices[sheet.at]) > 1)
    costs = joint_costs(tolerances.joint_mm, splits, pick, seen, reference, pick_for) if free else ()
    return Split(
        method=method,
        steps=steps_chosen,
        index_angle_rad=index,
        slice_width_mm=index * reference,
        column_mm=keys.column_mm,
        flat_slice_mm=keys.column_mm if joined else 2 * half,
        slices=slices,
        inked_slices=inked,
        sheet_width_mm=size[0],
        sheet_height_mm=size[1],
        sag_mm=float(both.fall.max()),
        edge_incidence_rad=float(both.incidence.max()),
        governing=governing,
        limits=limit_rows(found, reference, governing, pick.unmet),
        runners_up=runners_up(splits, found, pick, seen, reference, closing_steps),
        joints=rows,
        joint_95_mm=joint_95,
        typed_off_mm=typing_mm,
        joint_costs=costs,
        plain_widest_mm=min(plain.widest_rad, total) * reference,
        sheet_widest_mm=min(sheet.widest_rad, total) * reference,
        key_in=key_in(drive, columns, reference, head.field_axis),
        must_show=must_show(head, columns),
        drift_mm=drift * per_step,
        closing_error_mm=closing_mm(float(splits.closing_steps[at]), turning.steps_per_turn, reference),
        stair_mm=stair,
        index_time_s=float(splits.time_s[at]),
        notes=(
            *(_typed_notes(drive, keys, method, np.abs(nominal)) if typing_mm > KEYED_MM else ()),
            *_notes(tolerances, found, pick, sheet, plain, splits, both, keys, seen, reference, floor, head, joint_95),
            *(cost_words(cost, slices) for cost in costs),
        ),
    )


def _as_turned(gap_mm: Floats, step_mm: Floats, keys: KeyedColumn) -> Floats:
    """Joints (k,) as they come out with the whole steps that the typed numbers make a program turn: the worse end."""
    ends = gap_mm + step_mm * keys.least_over, gap_mm + step_mm * keys.most_over
    return np.where(np.abs(ends[0]) > np.abs(ends[1]), *ends)


def _typed_notes(drive: Chuck | Rollers, keys: KeyedColumn, method: str, off_mm: Floats) -> tuple[str, ...]:
    """What numbers with few decimals cost at the joints."""
    decimals = "one decimal" if drive.typed_decimals == 1 else f"{drive.typed_decimals or 'no'} decimals"
    redrawn = ", or write a slice sheet" if method == "plain" and keys.least_over == keys.most_over == 0 else ""
    return (
        f"Joints are off by up to {1000 * float(off_mm.max()):.0f} µm before anything else: numbers typed with "
        f"{decimals} can't fit these slices. Type more decimals if your program takes them{redrawn}.",
    )


def _method(setup: Setup, sheet: Pick, plain: Pick, splits: Splits, mistyped: bool) -> Pick:
    """Plain columns where they hold in no more time, because flat artwork needs no redrawing; else the sheet."""
    if setup.shape.flats is not None:
        return plain
    asked = setup.job.tolerances.method
    if asked != "auto":
        return plain if asked == "plain" else sheet
    worse = mistyped or set(plain.unmet) - set(sheet.unmet)
    slower = splits.time_s[plain.at] > splits.time_s[sheet.at] + 1e-9
    return sheet if worse or slower else plain


def _governing(found: list[Bound], pick: Pick, inked: int, total_rad: float) -> str:
    binding = [bound for bound in applying(found, pick.method, inked) if bound.index_rad < total_rad]
    if not binding:
        return "the artwork's own width"
    return min(binding, key=lambda bound: bound.index_rad).name


def _refuse_steep(wall: Wall, head: Head, can_level: bool) -> None:
    """Where the apex line climbs past the lens, or faces away from it, no height of the head will do."""
    climbs = float(np.ptp(wall.apex_mm))
    facing = scan.incidence_cosine(0.0, wall.slope, wall.tilt)
    steepest = math.acos(min(max(float(facing.min()), -1.0), 1.0))
    if climbs > head.focal_length_mm:
        says = f"the apex line climbs {climbs:.3g} mm over the band, which no lens can follow"
    elif steepest > GRAZING_RAD:
        says = f"the apex line stands {math.degrees(steepest):.0f}° off square to the beam, which would miss the wall"
    else:
        return
    first = "level it and write levelled = true, or " if can_level else ""
    where = "drive.levelled" if can_level else "artwork.height"
    raise NoPlan([Fault(where, f"{says}; {first}make the artwork less high.")])


def _refuse_field(setup: Setup, at: Slices) -> None:
    head, layout = setup.job.head, setup.layout
    tall = 2 * float(np.abs(at.command_y).max())
    if tall > head.field_mm * (1 + 1e-9):
        band = layout.band_to_mm - layout.band_from_mm
        fits = math.floor(10 * band * head.field_mm / tall) / 10
        raise NoPlan(
            [
                Fault(
                    "artwork.height",
                    f"the band needs {tall:.4g} mm of the lens's field of {head.field_mm:g} mm; write at most about "
                    f'"{fits:g} mm", mark it in two parts, or use a lens with a larger field.',
                )
            ]
        )


def _refuse_turn(setup: Setup, splits: Splits, at: int, index_rad: float) -> None:
    free = setup.turning.turn_range
    if free is None:
        return
    least, most = math.degrees(free.from_rad), math.degrees(free.to_rad)
    centre = setup.layout.centre_angle_rad
    reach = (int(splits.inked[at]) - 1) / 2 * index_rad
    if centre - reach < free.from_rad - 1e-9 or centre + reach > free.to_rad + 1e-9:
        low, high = math.degrees(centre - reach), math.degrees(centre + reach)
        raise NoPlan(
            [
                Fault(
                    "artwork.width",
                    f"the item would have to turn from {low:.0f}° to {high:.0f}°, but only {least:.0f}° to {most:.0f}° "
                    f"are free ({free.stopped_by}); make the artwork narrower or move its centre_angle.",
                )
            ]
        )


def _notes(
    tolerances: Tolerances,
    found: list[Bound],
    pick: Pick,
    sheet: Pick,
    plain: Pick,
    splits: Splits,
    at: Slices,
    keys: KeyedColumn,
    seen: Surveyed,
    reference_mm: float,
    floor_rad: float,
    head: Head,
    joint_95_mm: float,
) -> tuple[str, ...]:
    index = float(splits.index_rad[pick.at])
    notes = []
    for bound in found:
        if bound.name == "drive" and index <= bound.index_rad:
            continue
        if bound.name in pick.unmet:
            most = "no width" if bound.index_rad <= 0 else f"at most {bound.index_rad * reference_mm:.3g} mm"
            off = f"; as it is a joint may be off by {1000 * joint_95_mm:.0f} µm (95 %)"
            off = off if bound.name == "drive" or bound.name.startswith("joint") else ""
            notes.append(f"Not kept: {bound.name} allows {most}{off}. What helps: {bound.relax}.")
    if tolerances.slice_width_mm is not None and index < floor_rad:
        notes.append(
            f"Slices narrower than {NARROWEST_SPOTS} spots are all joint: write a wider slice_width, at least about "
            f'"{math.ceil(1000 * floor_rad * reference_mm) / 1000:g} mm".'
        )
    if tolerances.method == "auto" and int(splits.slices[pick.at]) > 1:
        notes.append(_method_note(pick, sheet, plain, splits, reference_mm))
    if pick.method == "plain" and seen.wall.sags:
        slice_mm = keys.column_mm if int(splits.slices[pick.at]) > 1 else None
        notes += _drawn_larger(at, seen.wall, index, head, slice_mm)
    if not keys.both_round:
        steps = int(splits.steps[pick.at])
        off_mm = keys.drift_steps * reference_mm * float(splits.index_rad[pick.at]) / steps
        left = (
            f"{keys.drift_steps:+.0f} steps, {off_mm:+.3g} mm on the wall, are left over all indexes"
            if keys.drift_steps
            else "nothing is left over"
        )
        notes.append(
            f"No number that can be typed gives exactly {steps} steps with every way of rounding: with the one given "
            f"here {left}. More decimals, or another controller_field, would help."
        )
    return tuple(notes)


def _drawn_larger(at: Slices, wall: Wall, index_rad: float, head: Head, slice_mm: float | None) -> list[str]:
    """How much flat artwork has to be drawn larger or smaller, so that it lands as large as it was meant."""
    middle_mm = (float(wall.r.max()) + float(wall.r.min())) / 2
    wide = (slice_mm or head.slice_wide_share * float(2 * at.plain_command[0])) / (index_rad * middle_mm)
    meridian_mm = float(np.sum(np.hypot(np.diff(wall.s), np.diff(wall.r))))
    high = head.slice_high_share * float(at.tallest_mm[0]) / meridian_mm
    if max(abs(wide - 1), abs(high - 1)) <= DRAWN_SHARE:
        return []
    measured = (head.slice_wide_share, head.slice_high_share) != (1.0, 1.0)
    cause = "The beam leans and the field is as measured" if measured else "The beam leans"
    return [
        f"{cause}, so flat artwork would land {100 * (1 / wide - 1):+.2f} % wide and "
        f"{100 * (1 / high - 1):+.2f} % high: draw it {wide:.4f} times as wide and "
        f"{high:.4f} times as high before it is divided. The sheet's size on this card has that in it."
    ]


def _method_note(pick: Pick, sheet: Pick, plain: Pick, splits: Splits, reference_mm: float) -> str:
    flat, redrawn = (int(splits.slices[p.at]) for p in (plain, sheet))
    if pick.method == "plain":
        than = f"no more slices ({flat}) than a redrawn sheet ({redrawn})"
        return f"Flat columns hold here in {than}, so nothing is redrawn."
    if set(plain.unmet) - set(sheet.unmet) or plain.widest_rad <= 0:
        return f"The sheet is redrawn for every height: {redrawn} slices; flat columns would not hold at any width."
    width = float(splits.index_rad[plain.at]) * reference_mm
    return (
        f"The sheet is redrawn for every height: {redrawn} slices; flat columns would need {flat}, {width:.2g} mm wide."
    )
