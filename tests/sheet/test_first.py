"""The first slice alone and all others: read back from the disk and divided as a marking program divides them."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from rotary.artwork.rings import Rings, area_mm2, joined, moved, rings_from_shapely, shapely_from_rings
from rotary.formulas.circle import flat_width_mm
from rotary.item import fitted_shape
from rotary.plan import Plan, plan
from rotary.services.files import plain_export, slice_sheet
from rotary.services.simulation import machine_of
from rotary.sheet import SheetWish
from rotary.sheet.reread import SheetDrawing, drawing_from_file
from rotary.simulate.controller import SimulatedColumn, columns, turned_to_item
from rotary.simulate.description import description
from rotary.simulate.forecast import ORIGINS
from tests.sheet.test_sheet import block, job

COAT = {"coating": "polyester-powder-dark", "metal": "stainless-304"}
WIDE = float(flat_width_mm(30.0, 6))


def coated(**changes: Any) -> Plan:
    """The tapered bottle of the sheet's own tests, or another item, with a coat on it."""
    item = {"item": COAT | changes.pop("item", {})}
    return plan(job(**item, **changes), draws=0)


def lopsided() -> Rings:
    """Little ink on the left, most of it right of the middle, and white between."""
    shapes = [shapely.box(-29, -3, -12, 3), shapely.box(4, -20, 14, 22), shapely.box(20, -5, 29, 5)]
    return rings_from_shapely(shapely.multipolygons(shapes))


def divided(made: Plan, path: Path, origin: Any) -> tuple[SheetDrawing, list[SimulatedColumn]]:
    """What a marking program makes of a file, as seen with the item's rim up."""
    head, machine = made.job.head, machine_of(made)
    drawing = turned_to_item(drawing_from_file(path), head.field_axis, head.rim_towards)
    found = columns(
        drawing, machine.column_mm, machine.asked_steps, machine.rounding, origin, machine.rad_per_step
    )  # fmt: skip
    return drawing, found


def same(one: Rings, other: Rings, within_mm2: float = 1e-6) -> bool:
    """Whether two regions are one, up to slivers."""
    if not (len(one.points_mm) and len(other.points_mm)):
        return len(one.points_mm) == len(other.points_mm)
    apart = shapely_from_rings(one).symmetric_difference(shapely_from_rings(other))
    return bool(apart.area <= within_mm2)


def check(made: Plan, paths: tuple[Path, ...], within_mm2: float = 1e-6) -> int:
    """All three show the same page and turn alike; each column's ink is in one of the two parts. The first slice."""
    whole, first, rest = paths
    assert (first.stem, rest.stem) == (f"{whole.stem}-first", f"{whole.stem}-rest")
    tried = set()
    for origin in ORIGINS:
        page, all_at_once = divided(made, whole, origin)
        alone_page, alone = divided(made, first, origin)
        others_page, others = divided(made, rest, origin)
        for other in (alone_page, others_page):
            bounds = [[d.left_mm, d.bottom_mm, d.right_mm, d.top_mm] for d in (page, other)]
            assert bounds[0] == pytest.approx(bounds[1], abs=1e-9)
            assert description(other, 0.1) == description(page, 0.1)
        assert len(alone) == len(others) == len(all_at_once)
        for number, (a, b, both) in enumerate(zip(alone, others, all_at_once, strict=True), 1):
            assert a.turned_rad == b.turned_rad == both.turned_rad
            inked = [area_mm2(part.rings) > 1e-9 for part in (a, b)]
            assert not all(inked)
            assert same(a.rings if inked[0] else b.rings, both.rings, within_mm2)
            tried |= {number} if inked[0] else set()
    assert len(tried) == 1
    return tried.pop()


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"head": {"field_axis": "x", "rim_towards": "minus"}},
        {"head": {"field_axis": "y", "rim_towards": "minus", "slice_turn_rad": 0.001, "slice_wide_share": 1.01}},
        {"tolerances": {"method": "plain"}},
        {"tolerances": {"method": "plain"}, "head": {"field_axis": "x", "rim_towards": "plus"}},
        {"drive": {}},
    ],
    ids=["sheet", "sheet lying", "sheet of an axis askew", "flat", "flat lying", "rollers"],
)
def test_the_first_slice_and_the_rest_are_the_whole_and_land_where_it_would(
    changes: dict[str, dict[str, Any]], tmp_path: Path
) -> None:
    """No slice stands in both; page, columns and turns are those of the whole; the fullest slice is the first."""
    made = plan(_rollers(), draws=0) if "drive" in changes else coated(**changes)
    if made.split.method == "plain":
        made, paths = plain_export(made, lopsided(), tmp_path)
    else:
        _, paths = slice_sheet(made, lopsided(), tmp_path)
    number = check(made, paths)
    inks = [area_mm2(column.rings) for column in divided(made, paths[0], "left")[1]]
    assert inks[number - 1] == pytest.approx(max(inks), rel=1e-3)
    assert number > len(inks) / 2


def _rollers() -> Any:
    from rotary.job import job_from_file
    from rotary.shipped import examples

    made = job_from_file(examples()["regatta-bottle"])
    assert made.drive.kind == "rollers"
    return made


def test_of_slices_that_are_as_full_the_one_nearest_the_middle_is_the_first(tmp_path: Path) -> None:
    """A block on a straight wall fills all but its outermost slices alike."""
    made = coated(item={"stations": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 150, "across_mm": 80.0}]})
    drawn, paths = slice_sheet(made, block(60, 50), tmp_path, SheetWish(slide=False))
    assert check(made, paths) == (drawn.columns + 1) // 2
    assert drawn.first is not None
    assert drawn.first.number == (drawn.columns + 1) // 2
    assert any(drawn.first.file in line for line in drawn.must_show)


def test_a_ring_has_a_first_slice_too(tmp_path: Path) -> None:
    """Artwork all round: the blank column that makes their number odd is in neither part."""
    made = coated(
        item={"stations": [{"at_mm": 0, "across_mm": 40.0}, {"at_mm": 100, "across_mm": 40.0}]},
        artwork={"width_mm": np.pi * 40.0, "height_mm": 20.0, "centre_mm": 50.0, "full_wrap": True},
    )
    _, paths = slice_sheet(made, block(np.pi * 40.0, 20), tmp_path)
    check(made, paths)


def test_of_several_focal_planes_one_has_the_first_slice(tmp_path: Path) -> None:
    """The other zones stay whole: nothing on them is marked before the first slice is clean."""
    made = coated(
        item={"stations": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 40.0}]},
        drive={"levelled": False},
        head={"focal_length_mm": 160.0, "field_mm": 100.0},
        artwork={"width_mm": 30.0, "height_mm": 40.0, "centre_mm": 50.0},
    )
    zones = len(made.focus.refocus)
    assert zones > 1
    drawn, paths = slice_sheet(made, block(30, 40), tmp_path)
    assert drawn.first is not None
    assert len(paths) == zones + 2
    three = [tmp_path / name for name in (drawn.first.whole, drawn.first.file, drawn.first.rest)]
    assert set(three) <= set(paths)
    parts = [drawing_from_file(path).parts for path in three]
    assert len(parts[1]) == 1
    assert set(parts[1]) | set(parts[2]) == set(parts[0])
    assert not set(parts[1]) & set(parts[2])
    assert {row.file for row in drawn.rows if row.ink_mm2} & {drawn.first.file, drawn.first.rest} == set()


def test_a_flat_of_a_faceted_item_is_the_first(tmp_path: Path) -> None:
    """A column a flat, on the sheet and in the flat export: the fullest flat stands alone."""
    made = coated(
        item={"stations": [], "flats": 6, "across_flats_mm": 30.0, "length_mm": 20.0},
        drive={"controller_field": "degrees", "gear_ratio": 3.0},
        artwork={"width_mm": 12.0, "height_mm": 10.0, "centre_mm": 10.0},
        tolerances={"method": "auto"},
    )
    ink = joined([moved(block(9, 8), -WIDE, 0.0), moved(block(12, 10), WIDE, 0.0), block(10, 9)])
    drawn, paths = slice_sheet(made, ink, tmp_path / "sheet")
    flat, flats = plain_export(made, ink, tmp_path / "flat")
    assert check(flat, flats) == 3
    assert fitted_shape(made.job.item).flats == 6
    assert drawn.first is not None
    assert drawn.first.number == 3
    assert [len(drawing_from_file(path).parts) for path in paths] == [3, 1, 2]


def test_with_a_file_a_slice_the_fullest_is_named(tmp_path: Path) -> None:
    """It is the first as it is; nothing is written twice."""
    made = coated()
    drawn, paths = slice_sheet(made, lopsided(), tmp_path, SheetWish(arrangement="a-file-a-slice"))
    assert drawn.first is not None
    fullest = max(drawn.rows, key=lambda row: row.ink_mm2)
    assert drawn.first.file == fullest.file
    assert len(paths) == sum(row.ink_mm2 > 0 for row in drawn.rows)
    assert any(fullest.file in line for line in drawn.must_show)


def test_one_slice_or_bare_metal_needs_no_parts(tmp_path: Path) -> None:
    """The whole is the first slice where there is one, and bare metal is marked as planned."""
    narrow = coated(artwork={"width_mm": 1.0, "height_mm": 5.0, "centre_mm": 75.0})
    assert narrow.split.slices == 1
    assert len(slice_sheet(narrow, block(1, 5), tmp_path / "one")[1]) == 1
    assert len(plain_export(narrow, block(1, 5), tmp_path / "flat")[1]) == 1
    drawn, paths = slice_sheet(coated(item={"coating": None}), block(60, 50), tmp_path / "bare")
    assert (len(paths), drawn.first) == (1, None)


def test_ink_in_a_single_slice_leaves_no_rest(tmp_path: Path) -> None:
    """Several slices were planned, one is inked: the first is written, and nothing else is."""
    made = coated()
    dot = rings_from_shapely(shapely.box(-0.3, -5, 0.3, 5))
    drawn, paths = slice_sheet(made, dot, tmp_path, SheetWish(slide=False))
    assert drawn.first is not None
    assert [path.name for path in paths] == [drawn.first.whole, drawn.first.file]
    assert drawn.first.rest == ""
    assert "No other slice" in drawn.must_show[-1]
