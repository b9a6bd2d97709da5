"""The files of a job, written from an invented drawing, and the actions that go with them."""

from pathlib import Path
from typing import Final, NamedTuple

import shapely

from rotary.actions.build import actions_of
from rotary.actions.files import file_facts
from rotary.actions.models import Actions
from rotary.artwork.rings import Rings, joined, moved, rings_from_shapely
from rotary.formulas.circle import flat_width_mm
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.cautions import cautions
from rotary.services.files import flat_file, slice_sheet, with_file_facts

TWO_LINES: Final = "two lines"


class Written(NamedTuple):
    """The plan that the files were written for, its actions in words, the drawing, and where the files lie."""

    plan: Plan
    actions: Actions
    ink: Rings
    folder: Path


def written(plan: Plan, folder: Path) -> Written:
    """Write the files that this plan is for, and make its actions with what is known of them."""
    ink = drawing_for(plan)
    if plan.split.method == "flat" and not plan.job.item.flats:
        plan, _ = flat_file(plan, ink, folder)
    else:
        sheet, _ = slice_sheet(plan, ink, folder)
        plan = with_file_facts(plan, sheet, sheet.columns, sheet.middle_rad)
    drawn = file_facts(plan)._replace(is_written=True)
    return Written(plan, in_words(plan, actions_of(plan, drawn)), ink, folder)


def in_words(plan: Plan, actions: Actions, system: str = "mm") -> Actions:
    return with_words(actions, cautions(plan.safety), system)


def drawing_for(plan: Plan) -> Rings:
    """Rings, a bar and two corners that fill the artwork's frame; on flats on the middle one and its neighbours."""
    art, flats = plan.job.artwork, plan.job.item.flats
    shown = (two_lines if art.name == TWO_LINES else _shapes)(art.width_mm, art.height_mm)
    if not flats:
        return shown
    wide = float(flat_width_mm(plan.job.item.across_flats_mm or 0.0, flats))
    return joined(moved(shown, k * wide, 0.0) for k in (-1, 0, 1))


def two_lines(wide: float, high: float) -> Rings:
    """A bar at the top and one at the bottom, each in two: white across the middle and up the middle."""
    bars = [
        shapely.box(x - 0.2 * wide, y - 0.05 * high, x + 0.2 * wide, y + 0.05 * high)
        for x in (-0.3 * wide, 0.3 * wide)
        for y in (-0.45 * high, 0.45 * high)
    ]
    return rings_from_shapely(shapely.union_all(bars))


def _shapes(wide: float, high: float) -> Rings:
    unit = min(wide, high) / 2
    ring = shapely.Point(0, 0).buffer(0.8 * unit, quad_segs=48) - shapely.Point(0, 0).buffer(0.5 * unit, quad_segs=48)
    bar = shapely.box(-wide / 2, -0.12 * high, wide / 2, 0.12 * high)
    corners = [
        shapely.box(x - 0.1 * unit, y - 0.1 * unit, x + 0.1 * unit, y + 0.1 * unit)
        for x, y in _corners(wide, high, unit)
    ]
    return rings_from_shapely(shapely.union_all([ring, bar, *corners]))


def _corners(wide: float, high: float, unit: float) -> list[tuple[float, float]]:
    x, y = wide / 2 - 0.1 * unit, high / 2 - 0.1 * unit
    return [(-x, -y), (x, -y), (-0.8 * x, y), (x, y)]
