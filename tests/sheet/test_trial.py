"""First, second and rest of a coated item: read back from the disk and divided as a marking program divides them."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from rotary.artwork.rings import Rings, area_mm2, joined, moved, rings_from_shapely, shapely_from_rings
from rotary.formulas.circle import flat_width_mm
from rotary.item import fitted_shape
from rotary.job import job_from_file
from rotary.plan import Plan, plan
from rotary.sentences.files import run_with
from rotary.services.files import flat_file, slice_sheet
from rotary.services.simulation import machine_of, simulation_of_files
from rotary.sheet import SheetWish
from rotary.sheet.reread import SheetDrawing, drawing_from_file
from rotary.shipped import examples
from rotary.simulate.controller import SimulatedColumn, columns, turned_to_item
from rotary.simulate.description import description
from rotary.simulate.forecast import ORIGINS
from rotary.slices.trial import TrialFiles, trial_files
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
    head, machine = made.job.laser, machine_of(made)
    drawing = turned_to_item(drawing_from_file(path), head.field_axis, head.rim_towards)
    found = columns(
        drawing, machine.file_slice_mm, machine.asked_steps, machine.rounding, origin, machine.rad_per_step
    )  # fmt: skip
    return drawing, found


def same(one: Rings, other: Rings, within_mm2: float = 1e-6) -> bool:
    """Whether two regions are one, up to slivers."""
    if not (len(one.points_mm) and len(other.points_mm)):
        return len(one.points_mm) == len(other.points_mm)
    apart = shapely_from_rings(one).symmetric_difference(shapely_from_rings(other))
    return bool(apart.area <= within_mm2)


def files_of(made: Plan, ink: Rings, folder: Path) -> tuple[TrialFiles, tuple[Path, ...]]:
    """The files of a plan's own kind, sliced or flat."""
    if made.split.method == "flat":
        made, paths = flat_file(made, ink, folder)
        trial = made.trial
    else:
        drawn, paths = slice_sheet(made, ink, folder)
        trial = drawn.trial
    assert trial is not None
    return trial, paths


def holdings(made: Plan, folder: Path, files: TrialFiles, within_mm2: float = 1e-6) -> list[set[int]]:
    """The slices with ink that the whole and each part show, read back; all are one page, turned alike.

    Each slice of the whole stands in one part, with the same outline.
    """
    held: list[set[int]] = [set() for _ in range(len(files.parts) + 1)]
    for origin in ORIGINS:
        page, all_at_once = divided(made, folder / files.whole, origin)
        parts = [divided(made, folder / part, origin) for part in files.parts]
        for other, _ in parts:
            bounds = [[d.left_mm, d.bottom_mm, d.right_mm, d.top_mm] for d in (page, other)]
            assert bounds[0] == pytest.approx(bounds[1], abs=1e-9)
            assert description(other, 0.1) == description(page, 0.1)._replace(part=True)
        for number, columns_here in enumerate(zip(all_at_once, *(found for _, found in parts), strict=True), 1):
            assert len({column.turned_rad for column in columns_here}) == 1
            inked = [k for k, column in enumerate(columns_here) if area_mm2(column.rings) > 1e-9]
            for k in inked:
                held[k].add(number)
            if inked:
                whole, part = inked
                assert same(columns_here[whole].rings, columns_here[part].rings, within_mm2)
    return held


def check(made: Plan, folder: Path, files: TrialFiles, within_mm2: float = 1e-6) -> None:
    """First and second hold one slice each, the rest all others: none stands in two, together they are the whole."""
    whole, *parts = holdings(made, folder, files, within_mm2)
    numbers = [files.first_number, *([files.second_number] if files.second_number else [])]
    assert parts[: len(numbers)] == [{number} for number in numbers]
    assert set.union(*parts) == whole
    assert sum(map(len, parts)) == len(whole)
    assert len(parts) == min(len(whole), 3)
    stem = files.whole.removesuffix(".svg").removesuffix("-sliced")
    assert files.parts == tuple(f"{stem}-{part}.svg" for part in ("first", "second", "rest")[: len(parts)])


def _rollers() -> Any:
    made = job_from_file(examples()["regatta-bottle"])
    assert made.turning.kind == "rollers"
    return made


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"laser": {"field_axis": "x", "rim_towards": "minus"}},
        {"laser": {"field_axis": "y", "rim_towards": "minus", "slice_turn_rad": 0.001, "slice_wide_share": 1.01}},
        {"tolerances": {"method": "flat"}},
        {"tolerances": {"method": "flat"}, "laser": {"field_axis": "x", "rim_towards": "plus"}},
        {"tolerances": {"method": "flat"}, "turning": {"typed_decimals": 5}},
        {"job": {}},
    ],
    ids=["sliced", "sliced lying", "sliced, an axis askew", "flat", "flat lying", "flat, in between", "rollers"],
)
def test_first_second_and_rest_are_the_whole_and_land_where_it_would(
    changes: dict[str, dict[str, Any]], tmp_path: Path
) -> None:
    """No slice stands in two; page, columns and turns are those of the whole; the two fullest slices come first."""
    made = plan(_rollers(), draws=0) if "job" in changes else coated(**changes)
    files, paths = files_of(made, lopsided(), tmp_path)
    assert [path.name for path in paths] == [files.whole, *files.parts]
    # Borders between two micrometres leave one of flat artwork, 46 mm high, in no part.
    check(made, tmp_path, files, 0.1 if changes.get("turning") else 1e-6)
    inks = [area_mm2(column.rings) for column in divided(made, tmp_path / files.whole, "left")[1]]
    assert files.second_number is not None
    two = [inks[number - 1] for number in (files.first_number, files.second_number)]
    assert two == pytest.approx(sorted(inks)[:-3:-1], rel=5e-3)
    assert files.first_number > len(inks) / 2


@pytest.mark.parametrize("method", ["sliced", "flat"])
@pytest.mark.parametrize("inked", [1, 2, 3])
def test_where_few_slices_have_ink_no_file_is_written_for_none(inked: int, method: str, tmp_path: Path) -> None:
    """One slice: no second and no rest. Two: no rest. What is said names the files that are there, and no other."""
    made = coated(tolerances={"method": method})
    middles = (np.arange(inked) - inked // 2) * made.split.slice_width_mm
    ink = rings_from_shapely(shapely.multipolygons([shapely.box(x - 0.2, -5, x + 0.2, 5) for x in middles]))
    if method == "sliced":
        drawn, _ = slice_sheet(made, ink, tmp_path, SheetWish(slide=False))
        files = drawn.trial
    else:
        files = flat_file(made, ink, tmp_path)[0].trial
    assert files is not None
    check(made, tmp_path, files)
    assert {path.name for path in tmp_path.iterdir()} == {files.whole, *files.parts}
    assert len(files.parts) == inked
    said = " ".join(run_with(made, files))
    assert [part in said for part in files.parts] == [True] * inked
    assert ("All others" in said) == (inked == 3)


def test_of_slices_that_are_as_full_those_nearest_the_middle_come_first(tmp_path: Path) -> None:
    """A block on a straight wall fills all but its outermost slices alike: the two tried lie beside each other."""
    made = coated(item={"measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 150, "across_mm": 80.0}]})
    drawn, _ = slice_sheet(made, block(60, 50), tmp_path, SheetWish(slide=False))
    assert drawn.trial is not None
    check(made, tmp_path, drawn.trial)
    middle = (drawn.columns + 1) // 2
    assert (drawn.trial.first_number, drawn.trial.second_number) == (middle, middle - 1)
    said = run_with(made, drawn.trial)
    assert said[0].startswith(f"First slice (slice {drawn.trial.first_number}): import {drawn.trial.first}.")
    assert not set(said) & set(drawn.must_show)


def test_a_ring_has_a_first_slice_too(tmp_path: Path) -> None:
    """Artwork all round: the blank column that makes their number odd is in no part."""
    made = coated(
        item={"measurements": [{"at_mm": 0, "across_mm": 40.0}, {"at_mm": 100, "across_mm": 40.0}]},
        artwork={"width_mm": np.pi * 40.0, "height_mm": 20.0, "centre_mm": 50.0, "full_wrap": True},
    )
    files, _ = files_of(made, block(np.pi * 40.0, 20), tmp_path)
    check(made, tmp_path, files)
    for part in files.parts:
        found = simulation_of_files(made, tmp_path / part, block(np.pi * 40.0, 20), 0)
        assert max(found.placement_mm or 0.0, found.missing_mm or 0.0) < 0.02


def zoned() -> Plan:
    """A steep cup, not levelled, under a short lens: marked with the lens at several heights."""
    made = coated(
        item={"measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 40.0}]},
        turning={"levelled": False},
        laser={"focal_length_mm": 160.0, "field_mm": 100.0},
        artwork={"width_mm": 30.0, "height_mm": 40.0, "centre_mm": 50.0},
    )
    assert len(made.focus.refocus) > 1
    return made


def test_of_several_focal_planes_one_has_first_second_and_rest(tmp_path: Path) -> None:
    """The other zones stay whole: nothing on them is marked before the first slice is clean."""
    made = zoned()
    drawn, paths = slice_sheet(made, block(30, 40), tmp_path)
    assert drawn.trial is not None
    assert len(paths) == len(made.focus.refocus) + 3
    check(made, tmp_path, drawn.trial)
    assert drawn.trial.whole.endswith("-sliced.svg")
    assert "-zone-" in drawn.trial.first
    assert {row.file for row in drawn.rows if row.ink_mm2} & set(drawn.trial.parts) == set()
    named, paths = slice_sheet(made, block(30, 40), tmp_path / "named", stem="My own")
    assert named.trial is not None
    check(made, tmp_path / "named", named.trial)
    assert {path.name for path in paths} == {f"My own{name[5:].replace('-sliced', '')}" for name in drawn.files}


def test_flats_of_a_faceted_item_come_one_by_one(tmp_path: Path) -> None:
    """A column a flat, sliced and flat: the fullest flats stand alone."""
    made = coated(
        item={"measurements": [], "flats": 6, "across_flats_mm": 30.0, "length_mm": 20.0},
        turning={"controller_field": "degrees", "gear_ratio": 3.0},
        artwork={"width_mm": 12.0, "height_mm": 10.0, "centre_mm": 10.0},
        tolerances={"method": "auto"},
    )
    ink = joined([moved(block(9, 8), -WIDE, 0.0), moved(block(12, 10), WIDE, 0.0), block(10, 9)])
    drawn, paths = slice_sheet(made, ink, tmp_path / "sliced")
    flat, _ = flat_file(made, ink, tmp_path / "flat")
    assert drawn.trial is not None
    assert flat.trial is not None
    check(made, tmp_path / "flat", flat.trial)
    assert fitted_shape(made.job.item).flats == 6
    for files in (drawn.trial, flat.trial):
        assert (files.first_number, files.second_number) == (3, 2)
    assert [len(drawing_from_file(path).parts) for path in paths] == [3, 1, 1, 1]


def test_with_a_file_a_slice_the_fullest_two_are_named(tmp_path: Path) -> None:
    """They are first and second as they are; nothing is written twice."""
    made = coated()
    drawn, paths = slice_sheet(made, lopsided(), tmp_path, SheetWish(arrangement="a-file-a-slice"))
    assert drawn.trial is not None
    fullest = sorted(drawn.rows, key=lambda row: row.ink_mm2)[:-3:-1]
    assert [row.file for row in fullest] == [drawn.trial.first, drawn.trial.second]
    assert (drawn.trial.rest, drawn.trial.whole, drawn.trial.parts) == ("", "", ())
    assert len(paths) == sum(row.ink_mm2 > 0 for row in drawn.rows)
    said = " ".join(run_with(made, drawn.trial))
    assert "motor steps" in said
    assert said.index(drawn.trial.first) < said.index(drawn.trial.second)


def test_one_slice_or_bare_metal_needs_no_parts(tmp_path: Path) -> None:
    """The whole is the first slice where there is one, and bare metal is marked as planned."""
    narrow = coated(artwork={"width_mm": 1.0, "height_mm": 5.0, "centre_mm": 75.0})
    assert narrow.split.slices == 1
    assert len(slice_sheet(narrow, block(1, 5), tmp_path / "one")[1]) == 1
    assert len(flat_file(narrow, block(1, 5), tmp_path / "flat")[1]) == 1
    bare = coated(item={"coating": None})
    drawn, paths = slice_sheet(bare, block(60, 50), tmp_path / "bare")
    assert (len(paths), drawn.trial) == (1, None)
    assert run_with(bare, None) == ()


@pytest.mark.parametrize("inks", [[3.0], [0.0, 2.0, 0.0], [1.0, 1.0], [5.0, 0.0, 4.0, 4.0, 1.0], [0.0] * 9 + [1.0] * 8])
def test_every_slice_with_ink_is_in_one_file(inks: list[float]) -> None:
    """Whichever slices are inked, their files hold each of them once, and the first two hold one each."""
    files = trial_files(inks, "a-flat.svg")
    held = [files.numbers_in(part, inks) for part in files.parts]
    inked = [number for number, ink in enumerate(inks, 1) if ink > 0]
    assert sorted(sum(held, ())) == inked
    assert [len(numbers) for numbers in held[:2]] == [1] * min(len(inked), 2)
    assert files.parts == tuple(f"a-flat-{part}.svg" for part in ("first", "second", "rest")[: len(inked)])


@pytest.mark.parametrize("method", ["sliced", "flat"])
def test_each_file_is_simulated_alone_and_says_which_slices_it_holds(method: str, tmp_path: Path) -> None:
    """What lies in the other files is not missed; marks lie where the artwork wants them, as with all at once."""
    made = coated(tolerances={"method": method})
    files, _ = files_of(made, lopsided(), tmp_path)
    whole, *parts = holdings(made, tmp_path, files)
    all_at_once = simulation_of_files(made, tmp_path / files.whole, lopsided(), 0)
    assert all_at_once.part == ()
    assert not any("holds slice" in line for line in all_at_once.says)
    for part, held in zip(files.parts, parts, strict=True):
        found = simulation_of_files(made, tmp_path / part, lopsided(), 0)
        assert set(found.part) == held
        assert found.says[0].startswith("This file holds slice")
        assert found.lost_seam_places == 0
        assert max(found.placement_mm or 1.0, found.missing_mm or 0.0) <= (all_at_once.placement_mm or 0.0) + 0.02
    folder = simulation_of_files(made, tmp_path, lopsided(), 0)
    assert folder == all_at_once
    assert len(whole) > 3
    # Files that hold all slices were once called otherwise.
    (tmp_path / files.whole).rename(tmp_path / "heron-sheet.svg")
    assert simulation_of_files(made, tmp_path, lopsided(), 0) == all_at_once
