"""The slice sheet: the artwork redrawn slice by slice, as files that an ordinary marking program opens.

`order` is what a sheet is drawn to, `compose` lays the artwork on the wall, slides the seams and cuts,
`redraw` finds the commands, `pages` and `svg` write, `reread` reads back, `plain` draws flat artwork
for those who want no slices; the one public verb is `sheet`.
"""

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Final

from rotary.artwork.rings import Rings, area_mm2
from rotary.errors import no_plan
from rotary.examples import BANNER
from rotary.focus import SlicedSetup
from rotary.formulas.beam import spot_under_defocus_um
from rotary.item import s_from_height_mm
from rotary.plan import Plan
from rotary.sheet.compose import SheetComposition, composition
from rotary.sheet.correction import drawn_for
from rotary.sheet.facets import columns_needed, flat_composition
from rotary.sheet.fits import refuse_misfit
from rotary.sheet.hatch import Fill, fill
from rotary.sheet.models import Sheet, SheetWish, SliceRow
from rotary.sheet.order import SheetOrder, SheetZone
from rotary.sheet.pages import page_in_field, pages, slice_name
from rotary.sheet.redraw import Stance
from rotary.sheet.words import hatch_advice, must_show, notes
from rotary.slices.models import Split
from rotary.slices.slits import fits
from rotary.slices.trial import SLICED
from rotary.turning.models import TurnRange

__all__ = ["Sheet", "SheetWish", "SliceRow", "laid_out", "order_of", "sheet", "stance_of", "typed_warnings"]

TURN_SLACK_RAD: Final = 1e-9

WORTH_SHARE: Final = 0.8
"""More columns are spoken of where they bring the crossed ink below this share of what it is."""


def sheet(wish: SheetWish, rings: Rings, plan: Plan) -> tuple[Sheet, dict[str, str]]:
    """The sheet of a plan and its files by name, nothing written yet.

    `rings` lie with the artwork's middle at (0, 0), at the size that is wanted.
    Raises Refused, with what to write instead, where no sheet can be drawn.
    """
    job, wish = plan.job, wish.for_passes(plan.removal)
    refuse_misfit(rings, job.artwork, plan.layout.is_ring or plan.shape.flats is not None)
    made, shown = laid_out(wish, rings, plan, plan.line_spacing_mm)
    shown = drawn_for(job.laser, shown, made.file_slice_mm)
    made = made._replace(height_mm=_page_height_mm(made, shown))
    files, trial = pages(made, shown, wish.arrangement, job.artwork.name, plan.is_tried and wish.trial)
    told = _told(wish, made, shown, rings, plan.split, tuple(files)).model_copy(update={"trial": trial})
    _refuse_turns(wish, told, plan.turning.turn_range)
    return told, files


def with_note(drawn: Sheet, says: str) -> Sheet:
    """The sheet with something more to be said of it, where there is."""
    return drawn.model_copy(update={"notes": (*drawn.notes, says)}) if says else drawn


def under_stem(names: Iterable[str], before: str, stem: str, end: str = SLICED) -> dict[str, str]:
    """New names of files where a person gave one: that alone, with the zone where there are several."""
    return {name: f"{stem}{name.removeprefix(before).replace(end, '', 1)}" for name in names}


def laid_out(
    wish: SheetWish, rings: Rings, setup: SlicedSetup, line_spacing_mm: float
) -> tuple[SheetOrder, SheetComposition]:
    """What a sheet is drawn to and what it shows, on a faceted item with a column a flat; raises Refused."""
    made, flats = order_of(wish, setup, line_spacing_mm), setup.shape.flats
    if flats is None:
        return made, composition(made, rings, wish.slide)
    from_axis = setup.layout.reference_radius_mm
    made = made._replace(slices=columns_needed(rings, from_axis, flats))
    return made, flat_composition(made, rings, from_axis, flats, setup.job.artwork.width_mm)


def _refuse_turns(wish: SheetWish, told: Sheet, free: TurnRange | None) -> None:
    """A program turns to blank columns of one sheet as well; a handle may be in the way of those."""
    if free is None:
        return
    reached = [row.on_top_rad for row in told.rows if row.ink_mm2 or wish.arrangement == "one-sheet"]
    low, high = min(reached), max(reached)
    if low < free.from_rad - TURN_SLACK_RAD or high > free.to_rad + TURN_SLACK_RAD:
        degrees = [math.degrees(a) for a in (low, high, free.from_rad, free.to_rad)]
        helps = (
            "make a file per slice, or ask for fewer blank slices"
            if wish.arrangement == "one-sheet"
            else "don't move the seams"
        )
        raise no_plan(
            "artwork.centre_angle",
            f"the slices of this file turn the item from {degrees[0]:.0f}° to {degrees[1]:.0f}°, but beyond "
            f"{degrees[2]:.0f}° and {degrees[3]:.0f}° the handle hits {free.stopped_by}: {helps}, or enter "
            'a "middle at angle" further from the handle.',
        )


def order_of(wish: SheetWish, setup: SlicedSetup, line_spacing_mm: float) -> SheetOrder:
    """What the stages before have found, as the plain numbers that a sheet is drawn to; raises NoPlan."""
    artwork, laser, optics = setup.job.artwork, setup.job.laser, setup.optics
    body, split, closed = setup.shape, setup.split, setup.layout.is_ring
    if split.method == "flat" and split.slices > 1 and body.flats is None:
        raise no_plan(
            "tolerances.method",
            "this plan is for a flat file, and its slices are too narrow for a sliced file: write a flat file, "
            "or let rotary choose the file and the slices.",
        )
    stance = stance_of(setup)
    if isinstance(setup, Plan):
        width, overlap = setup.seams.closing_gap_mm, setup.seams.overlap_mm
    else:
        # A drawing on tape: fine lines, as wide as the spot.
        width = float(spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, stance.plane_mm)) / 1000
        overlap = 0.0
    width = width if wish.marked_width_mm is None else wish.marked_width_mm
    overlap = overlap if wish.overlap_mm is None else wish.overlap_mm
    # Between two flats there is a corner of the item, and no seam.
    inset = (width - overlap) / 2 if body.flats is None else 0.0
    if not fits(2 * inset, split.slice_width_mm):
        raise no_plan(
            "",
            f"the slices ({split.slice_width_mm:.3g} mm) are too narrow for a gap of {width:.3g} mm with "
            f"{overlap:.3g} mm of overlap: read the gap ladder again, use wider slices, or write a flat file.",
        )
    return SheetOrder(
        stance=stance,
        zones=_zones(setup),
        surface_map=artwork.surface_map,
        centre_angle_rad=artwork.centre_angle_rad,
        index_rad=split.index_angle_rad,
        slices=split.slices + (0 if closed or body.flats is not None else wish.more_columns),
        closed=closed,
        turn_slices=split.inked_slices if closed else split.slices,
        file_slice_mm=split.file_slice_mm,
        height_mm=split.sheet_height_mm,
        inset_mm=inset,
        marked_width_mm=width,
        overlap_mm=overlap,
        line_spacing_mm=line_spacing_mm,
        field_axis=laser.field_axis,
        rim_towards=laser.rim_towards,
        flats=body.flats or 0,
        typed=typed_warnings(setup),
        base=setup.job.item.end_words("base"),
        rim=setup.job.item.end_words("rim"),
        is_bare=setup.job.item.coating is None,
    )


def typed_warnings(setup: SlicedSetup) -> tuple[str, ...]:
    """What a file says of where its numbers come from: invented ones, and those to key in that are not the real."""
    return (*([BANNER] if setup.job.laser.use else []), *setup.split.unreal())


def stance_of(setup: SlicedSetup) -> Stance:
    """How the item is believed to stand under the head."""
    plane = setup.focus.focal_plane_mm - setup.apex_at_middle_mm
    return Stance(setup.shape.curve, setup.layout.centre_mm, setup.focus.tilt_rad, plane, *setup.pupils_mm)


def _zones(setup: SlicedSetup) -> tuple[SheetZone, ...]:
    if len(setup.focus.refocus) < 2:
        return ()
    zones, apex_mm = [], setup.apex_at_middle_mm
    for zone in setup.focus.refocus:
        both = (zone.from_mm, zone.beyond_from_mm), (zone.to_mm, zone.beyond_to_mm)
        (low, below), (high, above) = sorted(
            (s_from_height_mm(setup.job.item, setup.shape, at), beyond) for at, beyond in both
        )
        zones.append(SheetZone(low, high, zone.focal_plane_mm - apex_mm, below, above))
    zones.sort()
    # Neighbours meet half way where the stage before left a gap between its stations.
    borders = [(a.to_mm + b.from_mm) / 2 for a, b in pairwise(zones)]
    ends = [-math.inf, *borders, math.inf]
    return tuple(z._replace(from_mm=a, to_mm=b) for z, (a, b) in zip(zones, pairwise(ends), strict=True))


def _page_height_mm(made: SheetOrder, shown: SheetComposition) -> float:
    """As the split has it, or higher where the ink needs it; whole micrometres, the field's middle in the middle."""
    return math.ceil(1000 * max(made.height_mm, 2 * shown.half_height_mm) - 1e-6) / 1000


def _told(
    wish: SheetWish, made: SheetOrder, shown: SheetComposition, rings: Rings, split: Split, files: tuple[str, ...]
) -> Sheet:
    columns = made.slices if wish.arrangement == "one-sheet" else 1
    wide, high = page_in_field(columns * made.file_slice_mm, made.height_mm, made.field_axis)
    rows = _rows(wish, made, shown, files)
    more = _with_more(wish, made, shown, rings)
    return Sheet(
        arrangement=wish.arrangement,
        columns=made.slices,
        file_slice_mm=made.file_slice_mm,
        wide_mm=wide,
        high_mm=high,
        index_angle_rad=made.index_rad,
        middle_rad=shown.middle_rad,
        shift_rad=shown.shift_rad,
        crossed_mm=shown.crossed_mm,
        crossed_before_mm=shown.crossed_before_mm,
        crossed_with_more_mm=more,
        inset_mm=made.inset_mm,
        marked_width_mm=made.marked_width_mm,
        overlap_mm=made.overlap_mm,
        zone_borders_mm=tuple(part.zone.to_mm for part in shown.parts[:-1] if part.zone is not None),
        widest_command_mm=2 * shown.half_width_mm,
        fill_mm=sum(row.fill_mm for row in rows),
        lines=sum(row.lines for row in rows),
        rows=rows,
        files=files,
        must_show=must_show(wish, made, shown, (wide, high)),
        hatch=hatch_advice(made),
        notes=(
            *(f"{one}." for one in made.typed if wish.arrangement == "one-sheet"),
            *notes(made, shown, split, more),
        ),
    )


def _rows(wish: SheetWish, made: SheetOrder, shown: SheetComposition, files: tuple[str, ...]) -> tuple[SliceRow, ...]:
    rows = []
    for place, part in enumerate(shown.parts):
        for k, column in enumerate(part.columns):
            takes = fill(column, made.line_spacing_mm) if len(column.points_mm) else Fill(0.0, 0, 0.0)
            label = slice_name(k + 1, made.slices)
            zone = f"zone-{place + 1}"
            mine = [f for f in files if len(shown.parts) == 1 or f.startswith(f"{zone}/") or f"-{zone}{SLICED}" in f]
            if wish.arrangement != "one-sheet":
                mine = [f for f in mine if f"-{label}-of-" in f]
            rows.append(
                SliceRow(
                    number=k + 1,
                    on_top_rad=shown.first_border_rad + (k + 0.5) * made.index_rad,
                    ink_mm2=area_mm2(column),
                    fill_mm=takes.length_mm,
                    lines=takes.lines,
                    travel_mm=takes.travel_mm,
                    file=mine[0] if mine else "",
                )
            )
    return tuple(rows)


def _with_more(wish: SheetWish, made: SheetOrder, shown: SheetComposition, rings: Rings) -> float | None:
    """Ink that the seams would cross with two columns more to slide in; None where that is no gain."""
    if made.closed or made.flats or made.slices == 1 or wish.more_columns or not wish.slide or shown.crossed_mm == 0:
        return None
    wider = composition(made._replace(slices=made.slices + 2), rings, slide=True, cut=False)
    return wider.crossed_mm if wider.crossed_mm < WORTH_SHARE * shown.crossed_mm else None
