"""The stage: what is asked of a sheet, what it says, and what it refuses, all at once and in sentences."""

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from rotary.actions.build import actions_of
from rotary.artwork.rings import NO_INK, Rings, area_mm2, rings_from_list, rings_from_shapely, scaled
from rotary.errors import FileTrouble, NoPlan, Refused
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.services.files import flat_file, slice_sheet, slice_times_s
from rotary.services.simulation import simulation, simulation_of_files
from rotary.sheet import SheetWish
from rotary.sheet.reread import drawing_from_file
from rotary.turning.models import TurnRange
from tests.sheet.lean import lean_of


def job(**changes: dict[str, Any]) -> Job:
    """A tapered bottle in a chuck, levelled, for a slice sheet; sections can be changed."""
    sections: dict[str, dict[str, Any]] = {
        "item": {
            "name": "bottle",
            "measurements": [{"at_mm": 0, "across_mm": 88.0}, {"at_mm": 150, "across_mm": 70.0}],
        },
        "turning": {"kind": "chuck", "axis_height_mm": 100.0, "gear_ratio": 4.0, "levelled": True},
        "laser": {
            "name": "laser",
            "rated_power_w": 30.0,
            "largest_pulse_mj": 1.0,
            "lowest_frequency_khz": 30.0,
            "highest_frequency_khz": 100.0,
            "focal_length_mm": 254.0,
            "field_mm": 150.0,
        },
        "artwork": {"name": "Heron", "width_mm": 60.0, "height_mm": 50.0, "centre_mm": 75.0},
        "tolerances": {"method": "sliced"},
    }
    for name, change in changes.items():
        sections[name] = sections.get(name, {}) | change
    return Job.model_validate(sections)


def planned(**changes: dict[str, Any]) -> Plan:
    return plan(job(**changes), draws=0)


def bars(width: float, height: float, white_mm: float, pitch_mm: float) -> Rings:
    """Upright bars with white between them."""
    left = np.arange(-width / 2, width / 2 - pitch_mm + white_mm, pitch_mm)
    return rings_from_shapely(
        shapely.multipolygons([shapely.box(x, -height / 2, x + pitch_mm - white_mm, height / 2) for x in left])
    )


def block(width: float, height: float) -> Rings:
    return rings_from_shapely(shapely.box(-width / 2, -height / 2, width / 2, height / 2))


def test_seams_slide_into_the_white_where_there_is_room(tmp_path: Path) -> None:
    """Bars as far apart as the slices: unslid, seams run through ink; with two columns more, through none."""
    made = planned(artwork={"surface_map": "with-taper"})
    pitch = made.split.index_angle_rad * made.layout.reference_radius_mm
    ink = bars(60.0 - pitch, 50.0, 0.4 * pitch, pitch)
    tight, _ = slice_sheet(made, ink, tmp_path / "a")
    roomy, _ = slice_sheet(made, ink, tmp_path / "b", SheetWish(more_columns=2))
    fixed, _ = slice_sheet(made, ink, tmp_path / "c", SheetWish(slide=False))
    assert fixed.shift_rad == 0.0
    assert fixed.crossed_mm == fixed.crossed_before_mm
    assert roomy.columns == tight.columns + 2
    assert roomy.crossed_mm == pytest.approx(0.0, abs=1e-6)
    assert roomy.crossed_mm <= tight.crossed_mm <= fixed.crossed_mm
    if tight.crossed_mm > 1.0:
        assert tight.crossed_with_more_mm == pytest.approx(roomy.crossed_mm, abs=1e-6)
        assert any("more_columns" in note for note in tight.notes)


def test_the_slid_sheet_says_how_the_item_has_to_stand(tmp_path: Path) -> None:
    """The angle under the head at the middle moves with the seams, and the simulation, which reads it, agrees."""
    made = planned(artwork={"centre_angle_rad": 0.5})
    ink = rings_from_list([[(-28, -10), (-2, -10), (-2, 10), (-28, 10)]])
    drawn, (path, *_) = slice_sheet(made, ink, tmp_path, SheetWish(more_columns=2))
    assert drawn.middle_rad == pytest.approx(0.5 + drawn.shift_rad)
    assert any(f"{math.degrees(abs(drawn.middle_rad)):.3f}" in line for line in drawn.must_show)
    will = simulation_of_files(made, path, ink, draws=0)
    assert will.placement_mm is not None
    assert will.placement_mm < 0.003


def test_the_files_name_the_number_not_to_correct(tmp_path: Path) -> None:
    """In its description and among the notes, with its warning; not where each slice is a file, turned by hand."""
    made = planned()
    (typed,) = made.split.unreal()
    assert re.fullmatch(r"Diameter to type: [\d.]+ mm, type this, not [\d.]+", typed)
    drawn, parts = slice_sheet(made, block(60, 50), tmp_path / "one")
    assert f"{typed}." in drawn.notes
    assert all(typed in path.read_text() for path in parts)
    each, paths = slice_sheet(made, block(60, 50), tmp_path / "each", SheetWish(arrangement="a-file-a-slice"))
    assert not any("type this" in text for text in (*each.notes, *(one.read_text() for one in paths)))
    flat, drawings = flat_file(planned(turning={"microsteps": 1}), block(60, 50), tmp_path / "flat")
    assert all(flat.split.unreal()[0] in path.read_text() for path in drawings)


def test_columns_are_odd_and_as_wide_as_keyed(tmp_path: Path) -> None:
    """The sheet measures N columns of what is typed, and N is odd."""
    made = planned()
    drawn, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    page = drawing_from_file(path)
    assert drawn.columns % 2 == 1
    assert page.width_mm == pytest.approx(drawn.columns * made.split.file_slice_mm)
    assert page.height_mm == drawn.high_mm >= made.split.sheet_height_mm - 1e-9
    assert (page.left_mm, page.right_mm) == (-page.width_mm / 2, page.width_mm / 2)


def test_the_inset_is_a_length_on_the_wall(tmp_path: Path) -> None:
    """Wide inset, steep taper: what is left open at a seam is the same at top and bottom, to a micrometre."""
    made = planned(
        item={"measurements": [{"at_mm": 0, "across_mm": 100.0}, {"at_mm": 150, "across_mm": 60.0}]},
        tolerances={"closing_gap_mm": 0.3},
    )
    drawn, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    assert drawn.inset_mm == pytest.approx((0.3 - made.seams.overlap_mm) / 2)
    found = simulation(made, path, block(60, 50), draws=0)
    assert found.forecast.seam_places >= 40
    assert np.ptp(found.seams.s_mm) > 40
    assert np.abs(found.gaps.open_mm).max() < 0.003


def test_a_full_ring_closes(tmp_path: Path) -> None:
    """Artwork that goes all round: no seam open at the back, for a turn of whole and of broken indexes."""
    # Without cycles of its own a motor leaves the number of slices free: one that breaks the turn.
    for across, broken in ((80.0, False), (26.0, True)):
        made = planned(
            turning={"motor": "closed-loop" if broken else "two-phase"},
            item={"measurements": [{"at_mm": 0, "across_mm": across}, {"at_mm": 100, "across_mm": across}]},
            artwork={"width_mm": math.pi * across, "height_mm": 20.0, "centre_mm": 50.0, "full_wrap": True},
        )
        indexes = made.split.inked_slices * made.split.index_angle_rad
        assert (abs(indexes - 2 * math.pi) > 1e-6) == broken
        ink = block(math.pi * across, 20)
        for arrangement in ("one-sheet", "a-file-a-slice"):
            folder = tmp_path / f"{across}-{arrangement}"
            drawn, paths = slice_sheet(made, ink, folder, SheetWish(arrangement=arrangement))  # type: ignore[arg-type]
            will = simulation_of_files(made, folder if len(paths) > 1 else paths[0], ink, draws=0)
            assert will.seam_places == 5 * made.split.inked_slices
            assert max(will.seam_open_mm, will.seam_double_mm) < 0.003
            # The whole ring is inked: what is left white on the wall is the insets alone.
            left_white = 2 * drawn.inset_mm * made.split.inked_slices * 20
            assert sum(row.ink_mm2 for row in drawn.rows) < math.pi * across * 20 - 0.5 * left_white


@pytest.mark.slow
def test_a_taper_that_can_not_be_levelled_gets_a_sheet_for_each_focal_plane(tmp_path: Path) -> None:
    """Zones together hold all the ink, less what is pulled back where they meet, and land true each with its plane."""
    made = planned(
        item={"measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 40.0}]},
        turning={"levelled": False},
        laser={"focal_length_mm": 160.0, "field_mm": 100.0},
        artwork={"width_mm": 30.0, "height_mm": 40.0, "centre_mm": 50.0},
    )
    assert len(made.focus.refocus) > 1
    ink = block(30, 40)
    drawn, paths = slice_sheet(made, ink, tmp_path, SheetWish(trial=False))
    assert len(paths) == len(made.focus.refocus)
    forecasts = [simulation_of_files(made, path, ink, draws=0) for path in paths]
    assert all(f.placement_mm is not None and f.placement_mm < 0.005 for f in forecasts)
    assert all(f.seam_places > 0 for f in forecasts)
    assert {row.file for row in drawn.rows if row.ink_mm2} == {path.name for path in paths}
    assert any("not enough for this wall: mark 8 parts" in note for note in drawn.notes)


def test_each_slices_fill_is_from_its_own_outline(tmp_path: Path) -> None:
    """A block as wide as the artwork takes lines from edge to edge of every slice, every hatch."""
    made = planned(tolerances={"method": "sliced", "line_spacing_mm": 0.05})
    drawn, _ = slice_sheet(made, block(60, 50), tmp_path)
    for row in drawn.rows[2:-2]:
        assert row.fill_mm == pytest.approx(row.ink_mm2 / 0.05, rel=1e-3)
        assert row.lines == pytest.approx(50 / 0.05, rel=0.03)
    assert drawn.fill_mm == pytest.approx(sum(row.fill_mm for row in drawn.rows))
    setting = made.choice.setting
    assert setting is not None
    times = slice_times_s(made, drawn)
    least = drawn.fill_mm / setting.speed_mm_s + drawn.lines * made.job.laser.line_wait_s
    assert sum(times) == pytest.approx(least, rel=0.01)


def test_a_lying_item_gets_a_turned_sheet_and_never_a_mirrored_one(tmp_path: Path) -> None:
    """Along x or rim towards oneself: the same ink, the page turned, and the simulation finds everything in place."""
    letter = rings_from_list([[(-20, -20), (-10, -20), (-10, 0), (20, 0), (20, 10), (-20, 10)]])
    for axis in ("y", "x"):
        for towards in ("plus", "minus"):
            made = planned(laser={"field_axis": axis, "rim_towards": towards, "pupil_x_mm": 310.0, "pupil_y_mm": 290.0})
            drawn, (path, *_) = slice_sheet(made, letter, tmp_path / f"{axis}{towards}")
            assert (drawn.wide_mm > drawn.high_mm) == (axis == "y")
            assert drawing_from_file(path).width_mm == pytest.approx(drawn.wide_mm)
            will = simulation_of_files(made, path, letter, draws=0)
            assert will.placement_mm is not None
            assert will.placement_mm < 0.003


def test_mirrored_ink_is_found_out_by_the_simulation(tmp_path: Path) -> None:
    """The check can fail: held against its mirror image, the sheet is a quarter of a millimetre off and more."""
    made = planned()
    letter = rings_from_list([[(-20, -20), (-10, -20), (-10, 0), (20, 0), (20, 10), (-20, 10)]])
    _, (path, *_) = slice_sheet(made, letter, tmp_path)
    will = simulation_of_files(made, path, scaled(letter, -1, 1), draws=0)
    assert will.placement_mm == pytest.approx(0.25)


def test_the_wrong_number_keyed_in_is_found_out(tmp_path: Path) -> None:
    """With the item's own diameter keyed in instead of the card's, the simulation shows the seams open or doubled."""
    made = planned()
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    keyed = tuple(
        entry.model_copy(update={"text": f"{float(entry.text) * 1.05:.3f}"}) if entry.id == "typed_diameter" else entry
        for entry in made.split.key_in
    )
    wrong = made.model_copy(update={"split": made.split.model_copy(update={"key_in": tuple(keyed)})})
    assert simulation_of_files(made, path, block(60, 50), draws=0).seam_double_mm < 0.003
    off = simulation_of_files(wrong, path, block(60, 50), draws=0)
    width = made.split.slice_width_mm
    assert off.seam_double_mm == pytest.approx(0.05 * width, rel=0.25)


def test_an_item_that_is_not_as_believed_is_found_out(tmp_path: Path) -> None:
    """A sheet drawn for another bottle lands wrong on this one, and the simulation says by how much."""
    made = planned()
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    other = planned(item={"measurements": [{"at_mm": 0, "across_mm": 89.0}, {"at_mm": 150, "across_mm": 71.0}]})
    other = other.model_copy(update={"split": made.split, "turning": made.turning})
    off = simulation_of_files(other, path, block(60, 50), draws=0)
    assert off.seam_open_mm == pytest.approx(made.split.slice_width_mm * 0.5 / 39.5, rel=0.2)


def test_no_ink_and_ink_of_the_wrong_size_are_refused_with_what_to_write(tmp_path: Path) -> None:
    """Both sides at once, and nothing is written."""
    made = planned()
    with pytest.raises(Refused, match="no dark parts"):
        slice_sheet(made, NO_INK, tmp_path)
    with pytest.raises(Refused) as refused:
        slice_sheet(made, block(61, 52), tmp_path)
    assert [fault.where for fault in refused.value.faults] == ["artwork.width", "artwork.height"]
    assert "make the artwork's height 52.00 mm" in refused.value.faults[1].says
    assert list(tmp_path.iterdir()) == []


def test_plans_that_no_sheet_fits_are_refused(tmp_path: Path) -> None:
    """Columns made for flat artwork, a line as wide as a slice: each says what to do instead."""
    with pytest.raises(NoPlan, match="choose the file and the slices"):
        slice_sheet(planned(tolerances={"method": "flat"}), block(60, 50), tmp_path)
    narrow = planned(tolerances={"slice_width_mm": 2.0})
    with pytest.raises(NoPlan, match="too narrow for a gap of 2 mm"):
        slice_sheet(narrow, block(60, 50), tmp_path, SheetWish(marked_width_mm=2.0, overlap_mm=0.0))
    assert list(tmp_path.iterdir()) == []


def test_the_source_is_never_written_over(tmp_path: Path) -> None:
    """Even where the artwork bears the sheet's own name."""
    source = tmp_path / "heron-sheet.svg"
    source.write_text("(drawn by rotary)", "utf-8")
    with pytest.raises(FileTrouble, match="choose another folder"):
        slice_sheet(planned(), block(60, 50), tmp_path, sources=[source])
    assert source.read_text("utf-8") == "(drawn by rotary)"


def test_the_flat_export_is_for_plain_columns(tmp_path: Path) -> None:
    """A plan for a sheet is made again for plain columns; the drawing keeps its ink and the seams the plan's error."""
    made, (path, *_) = flat_file(planned(), block(60, 50), tmp_path)
    assert made.split.method == "flat"
    page = drawing_from_file(path)
    assert page.width_mm == pytest.approx(made.split.slices * made.split.file_slice_mm)
    assert area_mm2(page.parts["artwork"]) == pytest.approx(60 * 50 * lean_of(made) ** 2, rel=0.05)
    will = simulation_of_files(made, path, block(60, 50), draws=0)
    assert max(will.seam_open_mm, will.seam_double_mm) <= made.job.tolerances.seam_mm


def test_files_of_two_sheets_or_of_another_hand_are_refused(tmp_path: Path) -> None:
    """A folder without slices, or with those of two sheets: a sentence."""
    made = planned()
    with pytest.raises(FileTrouble, match="holds no SVG or PNG"):
        simulation_of_files(made, tmp_path)
    wish = SheetWish(arrangement="a-file-a-slice")
    slice_sheet(made, block(60, 50), tmp_path, wish)
    other = planned(artwork={"name": "Swan", "centre_angle_rad": 0.3})
    with pytest.raises(FileTrouble, match="holds files of another drawing"):
        slice_sheet(other, block(60, 50), tmp_path, wish)
    _, paths = slice_sheet(other, block(60, 50), tmp_path / "swan", wish)
    for path in paths:
        path.rename(tmp_path / path.name)
    with pytest.raises(FileTrouble, match="holds slices of heron and swan"):
        simulation_of_files(made, tmp_path)


def test_without_the_artwork_there_is_still_a_forecast(tmp_path: Path) -> None:
    """Fluence and misses need no artwork; placement and seams do, and are not made up."""
    made = planned()
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    will = simulation_of_files(made, path, draws=0)
    assert will.placement_mm is None
    assert will.seam_places == 0
    assert 0.8 < will.fluence_low <= will.fluence_high < 1.2
    assert will.missed_points == 0


@pytest.mark.parametrize(("axis", "rim"), [("y", "plus"), ("y", "minus"), ("x", "plus"), ("x", "minus")])
def test_a_file_says_where_it_goes_and_which_way_the_item_turns(axis: str, rim: str, tmp_path: Path) -> None:
    """The place of the item under the field's middle, and the side from which the next slice comes: as the actions."""
    made = planned(laser={"field_axis": axis, "rim_towards": rim})
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    said = path.read_text("utf-8")
    rows = actions_of(made).rows
    assert f"under the field's middle: the apex {made.layout.centre_mm:.1f} mm from the base" in said
    assert f"the next slice comes up from the {rows['turn_way'].value}" in said


def test_ink_at_the_artworks_own_ends_is_not_pulled_back(tmp_path: Path) -> None:
    """Only seams have a neighbour: a block as wide as all slices together is marked to its very edge."""
    made = planned()
    wish = SheetWish(marked_width_mm=0.4, overlap_mm=0.0, slide=False)
    drawn, (path, *_) = slice_sheet(made, block(60, 50), tmp_path, wish)
    found = simulation(made, path, block(60, 50), draws=0)
    width = (44.0 - 0.06 * found.marks.s_mm) * found.marks.angle_rad
    assert (float(width.min()), float(width.max())) == pytest.approx((-30.0, 30.0), abs=0.003)
    assert drawn.inset_mm == pytest.approx(0.2)
    assert found.forecast.missing_mm is not None
    assert found.forecast.missing_mm < 0.003


def test_long_work_tells_how_far_it_is_and_can_be_stopped(tmp_path: Path) -> None:
    """The share that is done only grows, and what the listener raises comes back to who asked."""
    made = planned()
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    heard: list[float] = []
    simulation_of_files(made, path, block(60, 50), draws=0, progress=heard.append)
    assert heard == sorted(heard)
    assert 0.0 <= heard[0] < heard[-1] <= 1.0

    def stop(_: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        simulation_of_files(made, path, block(60, 50), draws=0, progress=stop)


def test_blank_columns_do_not_turn_a_handle_into_the_bed(tmp_path: Path) -> None:
    """Two more blank columns than the free turn holds are refused; a file per slice turns to ink alone."""
    made = planned()
    reach = (made.split.slices - 1) / 2 * made.split.index_angle_rad
    just = TurnRange(from_rad=-reach - 1e-6, to_rad=reach + 1e-6, stopped_by="the handle on the bed")
    tight = made.model_copy(update={"turning": made.turning.model_copy(update={"turn_range": just})})
    slice_sheet(tight, block(60, 50), tmp_path / "a", SheetWish(slide=False))
    with pytest.raises(NoPlan, match="a file per slice"):
        slice_sheet(tight, block(60, 50), tmp_path / "b", SheetWish(slide=False, more_columns=2))
    ink = SheetWish(slide=False, more_columns=2, arrangement="a-file-a-slice")
    slice_sheet(tight, block(60, 50), tmp_path / "c", ink)
    assert not (tmp_path / "b").exists()
