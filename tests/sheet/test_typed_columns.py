"""Flat artwork is divided as wide as the item turns, or the plan says what the typed decimals leave at the seams."""

from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.artwork.rings import bounds_mm
from rotary.exports import RasterWish, raster_sheet
from rotary.formulas import keying
from rotary.plan import Plan
from rotary.sentences.slices import notes
from rotary.services.files import flat_file
from rotary.services.simulation import simulation_of_files
from rotary.sheet.reread import drawing_from_file
from tests.sheet.lean import lean_of
from tests.sheet.test_sheet import block, planned

CUP = {
    "name": "straight cup (invented)",
    "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 80.0}],
}
TAPER = {
    "name": "tapered cup (invented)",
    "measurements": [{"at_mm": 0, "across_mm": 88.0}, {"at_mm": 150, "across_mm": 70.0}],
}
INCH = {
    "name": "2 in tube (invented)",
    "measurements": [{"at_mm": 0, "across_mm": 50.8}, {"at_mm": 100, "across_mm": 50.8}],
}
KINDS = ("item-diameter", "roller-diameter", "degrees", "steps-only")


def flat_plan(item: dict[str, Any], drive: dict[str, Any], wide: float = 40.0, slice_mm: float | None = None) -> Plan:
    return planned(
        item=item,
        turning={"typed_diameter_mm": 50.0} | drive,
        artwork={"width_mm": wide, "height_mm": 40.0, "centre_mm": 50.0},
        tolerances={"method": "flat"} | ({"slice_width_mm": slice_mm} if slice_mm else {}),
    )


@pytest.mark.parametrize(("decimals", "kind"), list(product(range(4), KINDS)))
def test_what_the_plan_says_of_seams_is_what_the_file_does(decimals: int, kind: str, tmp_path: Path) -> None:
    """Nominal seams of plan and simulation, for each way of typing; the items, drives, roundings take turns."""
    turn = 4 * decimals + KINDS.index(kind)
    drive = {
        "kind": ("chuck", "rollers")[turn % 2],
        "typed_decimals": decimals,
        "controller_field": kind,
        "rounding": ("each-index", "absolute", "truncate")[turn % 3],
    }
    made = flat_plan((CUP, TAPER, INCH)[(turn // 2) % 3], drive, 20.0, (None, 1.0, 2.33)[(turn // 3) % 3])
    flat, (path, *_) = flat_file(made, block(20, 40), tmp_path)
    found = simulation_of_files(flat, path, block(20, 40), 0)
    told = max(abs(row.plain_nominal_mm) for row in flat.split.seam_rows)
    assert found.columns == flat.split.slices
    assert max(found.seam_open_mm, found.seam_double_mm) == pytest.approx(told, abs=0.002)
    assert flat.split.seam_95_mm >= told


@pytest.mark.parametrize("decimals", [1, 2, 3])
@pytest.mark.parametrize("kind", ["item-diameter", "steps-only"])
def test_columns_of_a_straight_cup_are_as_wide_as_it_turns(decimals: int, kind: str) -> None:
    """1 mm slices on a straight cup, typed with one decimal, once overlapped by a fifth and the plan said +0."""
    made = flat_plan(CUP, {"typed_decimals": decimals, "controller_field": kind}, slice_mm=1.0)
    assert made.split.file_slice_mm == pytest.approx(made.split.slice_width_mm * lean_of(made), abs=0.012)
    assert max(abs(row.plain_nominal_mm) for row in made.split.seam_rows) < 0.006


def test_a_split_is_chosen_whose_columns_can_be_typed() -> None:
    """Left to choose with one decimal, the plan takes steps whose slice is a whole tenth wide."""
    made = flat_plan(CUP, {"typed_decimals": 1})
    assert made.split.inked_slices > 1
    assert max(abs(row.plain_nominal_mm) for row in made.split.seam_rows) < 0.008
    assert made.split.file_slice_mm == pytest.approx(round(made.split.file_slice_mm, 1))


def test_what_can_not_be_typed_is_told_first() -> None:
    """A coarse motor and whole millimetres: no slice fits a column, and the first note says what that costs."""
    drive = {"typed_decimals": 0, "full_steps": 200, "microsteps": 1, "gear_ratio": 1.0}
    made = flat_plan(CUP, drive, slice_mm=1.0)
    worst = max(abs(row.plain_nominal_mm) for row in made.split.seam_rows)
    assert worst > 0.1
    assert notes(made.split)[0].startswith(f"Rounding alone puts seams up to {1000 * worst:.0f} µm off")
    assert not next(limit for limit in made.split.limits if limit.id == "seam_plain").met


def test_a_single_slice_keeps_its_size_whatever_can_be_typed(tmp_path: Path) -> None:
    """One column of whole millimetres holds artwork that is not: it is not stretched to fill the column."""
    made = flat_plan(CUP, {"typed_decimals": 0}, 1.6)
    assert made.split.slices == 1
    ink = block(1.6, 40)
    _, (path, *_) = flat_file(made, ink, tmp_path)
    left, _, right, _ = bounds_mm(drawing_from_file(path).parts["artwork"])
    assert right - left == pytest.approx(1.6 * lean_of(made), rel=0.01)
    assert simulation_of_files(made, path, ink, 0).placement_mm == pytest.approx(0, abs=0.01)


def test_typed_columns_on_flats_leave_each_flat_its_own(tmp_path: Path) -> None:
    """A nut's columns need not meet: coarse typing makes them wider, and every flat lands in its place."""
    nut = {"name": "nut (invented)", "flats": 6, "across_flats_mm": 30.0, "length_mm": 40.0, "measurements": []}
    made = planned(
        item=nut, turning={"typed_decimals": 0}, artwork={"width_mm": 10.0, "height_mm": 20.0, "centre_mm": 20.0}
    )
    assert made.split.seam_95_mm == 0
    flat, (path, *_) = flat_file(made, block(10, 20), tmp_path)
    assert simulation_of_files(flat, path, block(10, 20), 0).placement_mm == pytest.approx(0, abs=0.01)


def test_dots_are_spread_over_the_columns_that_are_typed(tmp_path: Path) -> None:
    """A picture for flat columns reaches as far as the artwork: its angle at one column for an index."""
    from PIL import Image

    grey = Image.new("L", (80, 80), 0)
    grey.paste(255, (30, 30, 50, 50))
    grey.save(tmp_path / "dark.png")
    made = flat_plan(CUP, {"typed_decimals": 1}, 40.0)
    drawn, paths = raster_sheet(made, tmp_path / "dark.png", tmp_path, RasterWish(mark="darker", line_mm=0.05))
    split = made.split
    assert drawn.file_slice_mm == split.file_slice_mm
    with Image.open(paths[0]) as page:
        marked = np.flatnonzero((np.asarray(page.convert("L")) < 128).any(axis=0))
    reach = split.file_slice_mm / split.index_angle_rad * 40.0 / 40.0
    assert (marked[-1] - marked[0] + 1) * 0.05 == pytest.approx(reach, abs=0.15)


@pytest.mark.parametrize("decimals", [0, 1, 2, 3])
def test_the_nearest_column_is_within_half_of_the_last_decimal(decimals: int) -> None:
    """Where a width is wanted and not a least one, the column is the next that can be typed, on either side."""
    for width in (1.03, 1.58, 7.774):
        found = keying.typed_diameter(width, 51, 41, 12800, decimals, 1, nearest=True)
        assert abs(found.file_slice_mm - width) <= max(0.5 / 10**decimals, 1 - width) + 1e-9
        assert abs(found.wanted - 51) < 51 * 0.6 / 10**decimals
