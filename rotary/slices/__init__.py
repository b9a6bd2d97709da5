"""5  The step split: how wide a slice may be, which limit governs, and the numbers to key in.

`models` is what is asked and what comes out, `wall` the band under the head at any index angle,
`limits` each limit's own widest slice, `choose` the split that takes the least time, `keys` the
numbers to type; the one public verb is `split`.
"""

import math
from dataclasses import replace
from typing import Final

import numpy as np

from rotary.errors import no_plan
from rotary.formulas import circle, scan
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.item import height_from_s_mm
from rotary.laser import LaserAndLens
from rotary.setup import Setup
from rotary.slices import choose, remarks
from rotary.slices.keys import Columns, KeyedColumn, SheetColumns, closing_mm, key_in, keyed_column, must_show
from rotary.slices.limits import (
    Bound,
    all_seams_mm,
    applicable,
    bounds,
    can_be_levelled,
    flat_stair_mm,
    limit_rows,
    wall_survey,
)
from rotary.slices.models import GoverningId, SeamAtHeight, Split
from rotary.slices.seam_costs import seam_costs
from rotary.slices.wall import Slices, Wall, column_gap_mm, slices_of, wall_under_head
from rotary.tolerances import Tolerances
from rotary.turning.models import Rollers

GRID_SHARE: Final = 0.01
"""Limits are read between the angles that were looked at, so nearly as well."""

GRAZING_RAD: Final = math.radians(80)
"""A beam farther off square than this slides along the wall: the spot is six times as long."""


def split(setup: Setup, defocus_mm: float, least_mm: float = 0.0) -> Split:
    """The step split that meets every limit in the least time.

    `defocus_mm` is the focal plane's height over the apex line [mm], signed (+ above); slices that meet are at least
    `least_mm` wide, where any such width can be had.
    Where no width meets every limit, the best is given and the limits say what is broken and
    what would relax it. Raises NoPlan where the band or the turns needed can't be had at all.
    """
    tolerances, drive, laser, item = setup.job.tolerances, setup.job.turning, setup.job.laser, setup.job.item
    body, turning, layout = setup.shape, setup.turning, setup.layout
    reference, total = layout.reference_radius_mm, layout.total_angle_rad
    wall = wall_under_head(setup, defocus_mm)
    seen_kinds = wall_survey(wall, turning.rad_per_step, total, layout.is_ring)
    seen = seen_kinds[0]

    def kinds_for(accepted: Tolerances) -> tuple[choose.IndexKind, choose.IndexKind]:
        free, whole = seen_kinds
        kind = choose.IndexKind(free, bounds(setup, accepted, free))
        return kind, kind if whole is free else choose.IndexKind(whole, bounds(setup, accepted, whole))

    closing_steps = tolerances.accepted_seam_mm / (reference * turning.rad_per_step)
    if body.flats is not None:
        steps = np.array([max(round(turning.steps_per_turn / body.flats), 1)])
        splits = choose.splits_of(steps, setup)
    else:
        flat_share = 2 * laser.slice_wide_share * seen.at.plain_command / seen.at.index_rad

        def flat_mm(index_rad: Floats) -> Floats:
            """How wide a slice of flat artwork is drawn, smoothly between the angles that were looked at."""
            return np.asarray(index_rad * np.interp(index_rad, seen.at.index_rad, flat_share))

        splits = choose.all_splits(setup, flat_mm)
    floor = max(turning.rad_per_step, choose.NARROWEST_SPOTS * setup.optics.spot_um / 1000 / reference)

    def picked(
        kinds: tuple[choose.IndexKind, choose.IndexKind], accepted_mm: float
    ) -> tuple[choose.Pick, choose.Pick, choose.Pick]:
        """For the sheet, for plain artwork, and which of the two."""
        limits = choose.ChoiceLimits(floor, least_mm / reference, accepted_mm / (reference * turning.rad_per_step))
        both = [choose.pick_by_kind(splits, kinds, method, limits) for method in ("sliced", "flat")]
        typed = both[1].typed_mm(splits), max(accepted_mm, both[0].typed_mm(splits))
        return both[0], both[1], _method(setup, both[0], both[1], splits, typed[0] > typed[1] * (1 + 1e-9))

    def pick_for(accepted_mm: float) -> choose.Pick:
        other = tolerances.but(seam_mm=accepted_mm, seams_may_show=False)
        return picked(kinds_for(other), accepted_mm)[2]

    kinds = kinds_for(tolerances)
    sheet, plain, pick = picked(kinds, tolerances.accepted_seam_mm)
    seen, found = kinds[int(splits.whole[pick.at])]
    at, method = pick.at, pick.method
    is_open = tolerances.method == "auto" and not needs_single_files(setup)
    index = float(splits.index_rad[at])
    both = slices_of(wall, np.array([index]))
    _refuse_steep(wall, laser, can_be_levelled(drive, turning))
    _refuse_field(setup, both)
    _refuse_turn(setup, splits, at, index)
    half = float(both.widest_command[0]) if method == "sliced" else float(both.plain_command[0])
    edge = tolerances.margin_mm if method == "sliced" else 0.0
    # A sheet is drawn for the machine as measured inside its columns; flat artwork is, with its columns.
    wide, high = (1.0, 1.0) if method == "sliced" else (laser.slice_wide_share, laser.slice_high_share)
    half *= wide
    steps_chosen, slices, inked = int(splits.steps[at]), int(splits.slices[at]), int(splits.inked[at])
    # The plan knows the artwork of one flat; pieces may go on all of them, and the number has to serve there too.
    # Several columns of flat artwork are as wide as their slices, or their seams would not close.
    joined = method == "flat" and slices > 1 and body.flats is None
    keys = keyed_column(drive, 2 * half + edge, steps_chosen, max(slices, body.flats or 0), nearest=joined)
    size = round(slices * keys.file_slice_mm, 6), float(both.tallest_mm[0]) * high
    columns = Columns(keys, steps_chosen, index, slices, inked, size, method)
    governing = _governing(found, pick, inked, total, floor)
    # A single slice meets no other, and between two flats there is an edge of the item.
    meets = inked > 1 and body.flats is None
    stops = seen.stops_mm if meets else np.zeros_like(wall.r)
    shared = both.spread[0] if body.flats is None else np.zeros_like(both.spread[0])
    spread = np.hypot(shared, HOLDS_95 * stops)
    flat_gap = column_gap_mm(wall, both, keys.file_slice_mm / wide)[0] if joined else both.plain_seam[0]
    step_mm = wall.r * turning.rad_per_step
    nominal = _as_turned(both.sheet_seam[0] if method == "sliced" else flat_gap, step_mm, keys)
    plain_nominal, sheet_nominal = (nominal, both.sheet_seam[0]) if method == "flat" else (both.plain_seam[0], nominal)
    rows = tuple(
        SeamAtHeight(
            s_mm=s,
            from_end_mm=height_from_s_mm(item, body, s),
            plain_nominal_mm=flat,
            plain_95_mm=half_width,
            sheet_nominal_mm=redrawn,
            sheet_95_mm=half_width,
            plain_shape_mm=shape,
            plain_typed_mm=flat - shape,
        )
        for s, flat, shape, redrawn, half_width in zip(
            *(row.tolist() for row in (wall.s, plain_nominal, flat_gap, sheet_nominal, spread)), strict=True
        )
    )
    per_step = reference * turning.rad_per_step
    if meets and abs(keys.drift_steps) * per_step > tolerances.accepted_seam_mm and "turning" not in pick.unmet:
        pick = replace(pick, unmet=(*pick.unmet, "turning"))
    count = np.array([inked - (not layout.is_ring)], float)
    seam_95 = float(all_seams_mm(shared[None], stops, count, nominal)[0]) if meets else 0.0
    worst = int(np.argmax(np.abs(nominal) + spread))
    exact = (both.sheet_seam if method == "sliced" else both.plain_seam)[0]
    typing_mm = float(np.abs(nominal - exact).max()) if meets else 0.0
    told = {"turning", *remarks.SEAM_OF.values()} & {*pick.unmet}
    exceeds = not told and seam_95 > tolerances.accepted_seam_mm * (1 + GRID_SHARE)
    if exceeds or (typing_mm > choose.KEYED_MM and seam_95 > tolerances.accepted_seam_mm):
        pick = replace(pick, unmet=(*pick.unmet, *({remarks.SEAM_OF[method]} - set(pick.unmet))))
    stair = float((both.stair[0] if method == "sliced" else flat_stair_mm(both, laser)[0]).max()) if meets else 0.0
    free = tolerances.slice_width_mm is None and body.flats is None and (meets or int(splits.slices[sheet.at]) > 1)
    costs = seam_costs(tolerances.accepted_seam_mm, splits, pick, reference, pick_for) if free else ()
    return Split(
        method=method,
        steps=steps_chosen,
        index_angle_rad=index,
        # A flat is as wide as it is between its edges; round it there is no arc.
        slice_width_mm=index * reference
        if body.flats is None
        else float(circle.flat_width_mm(2 * reference, body.flats)),
        file_slice_mm=keys.file_slice_mm,
        flat_slice_mm=keys.file_slice_mm if joined else 2 * half,
        slices=slices,
        inked_slices=inked,
        sheet_width_mm=size[0],
        sheet_height_mm=size[1],
        edge_drop_mm=float(both.fall.max()),
        edge_incidence_rad=float(both.incidence.max()),
        governing=governing,
        limits=limit_rows(found, reference, governing, pick.unmet),
        runners_up=choose.runners_up(splits, kinds, pick, reference, least_mm, closing_steps),
        seam_rows=rows,
        seam_95_mm=seam_95,
        nominal_mm=float(abs(nominal[worst])) if meets else 0.0,
        shared_mm=float(shared[worst]) / HOLDS_95 if meets else 0.0,
        stops_mm=float(stops[worst]),
        seams=int(count[0]) if meets else 0,
        whole_cycles=meets and bool(splits.whole[at]),
        typed_off_mm=typing_mm,
        seam_costs=costs,
        plain_widest_mm=min(plain.widest_rad, total) * reference,
        sheet_widest_mm=min(sheet.widest_rad, total) * reference,
        key_in=key_in(drive, columns, reference, laser.field_axis),
        must_show=must_show(
            SheetColumns(slices, inked, keys.file_slice_mm, method),
            size if laser.field_axis == "y" else size[::-1],
            laser,
            item.end_words("rim"),
        ),
        drift_mm=keys.drift_steps * per_step,
        closing_error_mm=closing_mm(float(splits.closing_steps[at]), turning.steps_per_turn, reference),
        seam_offset_mm=stair,
        index_time_s=float(splits.time_s[at]),
        remarks=(
            *(remarks.typed_off(drive, keys, method, np.abs(nominal)) if typing_mm > choose.KEYED_MM else ()),
            *remarks.broken_limits(found, pick, index),
            *remarks.too_narrow(tolerances, index, floor, reference),
            *(remarks.why_method(pick, sheet, plain, splits, reference) if is_open and slices > 1 else ()),
            *remarks.drawn_larger(both, wall, index, laser, keys.file_slice_mm if slices > 1 else None, method),
            *remarks.inexact(keys, steps_chosen, reference * index),
            *(remarks.whole_cycles(setup, splits, kinds, pick, reference) if meets else ()),
            *(remarks.flat_would_do(setup, splits, kinds, pick, reference) if meets else ()),
        ),
    )


def _as_turned(gap_mm: Floats, step_mm: Floats, keys: KeyedColumn) -> Floats:
    """Seams (k,) as they come out with the whole steps that the typed numbers make a program turn: the worse end."""
    ends = gap_mm + step_mm * keys.least_over, gap_mm + step_mm * keys.most_over
    return np.where(np.abs(ends[0]) > np.abs(ends[1]), *ends)


def needs_single_files(setup: Setup) -> bool:
    """Whether slices have to come in files of their own, which flat artwork has not: on rollers, where the program
    can't run several passes on a slice before it turns."""
    return isinstance(setup.job.turning, Rollers) and setup.job.program.can_repeat_slice is False


def _method(setup: Setup, sheet: choose.Pick, plain: choose.Pick, splits: choose.Splits, mistyped: bool) -> choose.Pick:
    """A flat file where it holds in no more time, because it needs no redrawing; else the sliced file."""
    if setup.shape.flats is not None:
        return plain
    asked = setup.job.tolerances.method
    if asked == "flat" and needs_single_files(setup) and splits.inked[plain.at] > 1:
        says = (
            "your marking program turns the item after every pass, so on rollers a flat file can't be finished slice "
            "by slice: choose automatic or a sliced file."
        )
        raise no_plan("tolerances.method", says)
    if asked != "auto" or needs_single_files(setup):
        return plain if asked == "flat" else sheet
    worse = mistyped or set(plain.unmet) - set(sheet.unmet)
    slower = splits.time_s[plain.at] > splits.time_s[sheet.at] + 1e-9
    return sheet if worse or slower else plain


def _governing(found: list[Bound], pick: choose.Pick, inked: int, total_rad: float, floor_rad: float) -> GoverningId:
    """What has set the width: the narrowest of the limits that a width can keep to, and that the choice went by."""
    binding = [
        bound
        for bound in applicable(found, pick.method, inked)
        if bound.obeyed and floor_rad <= bound.index_rad < total_rad
    ]
    if not binding:
        return "artwork_width"
    return min(binding, key=lambda bound: bound.index_rad).id


def _refuse_steep(wall: Wall, laser: LaserAndLens, can_level: bool) -> None:
    """Where the apex line climbs past the lens, or faces away from it, no height of the head will do."""
    climbs = float(np.ptp(wall.apex_mm))
    facing = scan.incidence_cosine(0.0, wall.slope, wall.tilt)
    steepest = math.acos(min(max(float(facing.min()), -1.0), 1.0))
    if climbs > laser.focal_length_mm:
        says = f"along the artwork the apex climbs {climbs:.3g} mm, too much for any lens"
    elif steepest > GRAZING_RAD:
        says = "the beam would meet the wall at too flat an angle"
    else:
        return
    first = 'level the item and choose yes under "apex levelled", or ' if can_level else ""
    where = "turning.levelled" if can_level else "artwork.height"
    raise no_plan(where, f"{says}: {first}reduce the artwork's height.")


def _refuse_field(setup: Setup, at: Slices) -> None:
    laser, layout = setup.job.laser, setup.layout
    tall = 2 * float(np.abs(at.command_y).max())
    if tall > laser.field_mm * (1 + 1e-9):
        band = layout.artwork_to_mm - layout.artwork_from_mm
        fits = math.floor(10 * band * laser.field_mm / tall) / 10
        raise no_plan(
            "artwork.height",
            f"the artwork is too high for the lens's field of {laser.field_mm:g} mm: make it at most about "
            f'"{fits:g} mm" high (on this wall), mark it in two jobs, or use a lens with a larger field.',
        )


def _refuse_turn(setup: Setup, splits: choose.Splits, at: int, index_rad: float) -> None:
    free = setup.turning.turn_range
    if free is None:
        return
    least, most = math.degrees(free.from_rad), math.degrees(free.to_rad)
    centre = setup.layout.centre_angle_rad
    reach = (int(splits.inked[at]) - 1) / 2 * index_rad
    if centre - reach < free.from_rad - 1e-9 or centre + reach > free.to_rad + 1e-9:
        low, high = math.degrees(centre - reach), math.degrees(centre + reach)
        raise no_plan(
            "artwork.width",
            f"the handle would hit {free.stopped_by}: the item has to turn from {low:.0f}° to {high:.0f}° from its "
            f"front, and can turn only from {least:.0f}° to {most:.0f}°. Make the artwork narrower, or move it away "
            "from the handle.",
        )
