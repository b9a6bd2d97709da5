"""Artwork on the flats of faceted items: true size, its own flat, and what does not go."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.artwork.pieces import ink_of
from rotary.artwork.rings import Rings, area_mm2, bounds_mm, joined, moved
from rotary.errors import Refused
from rotary.formulas.circle import flat_width_mm
from rotary.plan import Plan
from rotary.services.files import flat_file, slice_sheet
from rotary.services.simulation import forecast_picture, machine_of, simulation_of_files
from rotary.sheet import SheetWish
from rotary.sheet.reread import drawing_from_file
from rotary.simulate.flats import as_long_round_mm
from rotary.simulate.rays import RayStand, landing
from tests.sheet.lean import lean_of
from tests.sheet.test_sheet import block, planned

NUT = {"measurements": [], "flats": 6, "across_flats_mm": 30.0, "length_mm": 20.0}
WIDE = float(flat_width_mm(30.0, 6))


def test_a_part_without_a_rim_has_its_own_ends(tmp_path: Path) -> None:
    """Where its flat lies is seen with end 2 up: a nut has no rim."""
    made = nut(centre_angle_rad=math.pi / 3)
    solid = made.job.item.model_copy(update={"solid": True})
    made = made.model_copy(update={"job": made.job.model_copy(update={"item": solid})})
    drawn, _ = slice_sheet(made, spread(0), tmp_path)
    assert "60.000° to the right of its front (seen with end 2 up)" in drawn.must_show[0]


def nut(**artwork: Any) -> Plan:
    return planned(
        item=NUT,
        turning={"controller_field": "degrees", "gear_ratio": 3.0},
        artwork={"width_mm": 12.0, "height_mm": 10.0, "centre_mm": 10.0} | artwork,
        tolerances={"method": "auto"},
    )


def spread(*flats: int) -> Rings:
    return joined(moved(block(12, 10), k * WIDE, 0.0) for k in flats)


def test_artwork_on_a_flat_keeps_its_size(tmp_path: Path) -> None:
    """In focus a flat is drawn as wide as the artwork is, on the sheet and in the flat export alike."""
    made = nut()
    _, paths = slice_sheet(made, block(12, 10), tmp_path)
    _, (flat, *_) = flat_file(made, block(12, 10), tmp_path / "flat")
    lean = lean_of(made)
    for path in (*paths, flat):
        (part,) = drawing_from_file(path).parts.values()
        left, _, right, _ = bounds_mm(part)
        assert right - left == pytest.approx(12.0 * lean, abs=0.002)


@pytest.mark.parametrize("arrangement", ["one-sheet", "a-file-a-slice"])
def test_each_flat_has_its_own_column(arrangement: str, tmp_path: Path) -> None:
    """Ink on three of six flats: an odd number of columns round the artwork's own, and the angles that bring each on
    top; where the files go on the true prism is where the artwork belongs."""
    made = nut(centre_angle_rad=math.pi / 3)
    ink = spread(-1, 0, 2)
    drawn, paths = slice_sheet(made, ink, tmp_path, SheetWish(arrangement=arrangement))  # type: ignore[arg-type]
    assert drawn.columns == 5
    inked = {round(math.degrees(row.on_top_rad)): row.ink_mm2 for row in drawn.rows if row.ink_mm2}
    assert sorted(inked) == [0, 60, 180]
    assert sum(inked.values()) == pytest.approx(3 * 120 * lean_of(made) ** 2, rel=0.02)
    found = simulation_of_files(made, paths[0] if arrangement == "one-sheet" else tmp_path, ink, draws=20)
    assert found.flats == 6
    assert found.missed_points == found.seam_places == 0
    assert found.placement_mm is not None
    assert found.placement_mm < 0.005
    assert found.missing_mm is not None
    assert found.missing_mm < 0.005
    assert any("no seams" in line for line in found.says)


def test_a_flat_export_of_several_flats_is_read_as_such(tmp_path: Path) -> None:
    """One drawing, a column a flat side by side, lands on the same places as the sheet; its picture shows them."""
    made, ink = nut(), spread(0, 1)
    plain, (path, *_) = flat_file(made, ink, tmp_path)
    assert plain.split.slices == 3
    found = forecast_picture(made, path, tmp_path / "picture.svg", ink, draws=0)
    assert found.placement_mm is not None
    assert found.placement_mm < 0.005
    drawn = (tmp_path / "picture.svg").read_text("utf-8")
    # The wall is shown as far to the left as to the right, so both corners of the flat in the middle.
    assert (drawn.count(" opacity="), drawn.count("stroke-dasharray")) == (2, 2)
    assert "corners between two flats" in drawn


def test_ink_drawn_for_another_flat_is_found_out(tmp_path: Path) -> None:
    """A drawing that was written for ink elsewhere does not pass as this artwork."""
    made = nut()
    _, paths = slice_sheet(made, moved(block(11, 10), 0.4, 0.0), tmp_path)
    found = simulation_of_files(made, paths[0], block(11, 10), draws=0)
    assert found.placement_mm is not None
    assert found.placement_mm > 0.2


def test_the_odds_of_a_bar_are_those_of_its_field(tmp_path: Path) -> None:
    """If only the field's scale is in doubt, artwork 12 by 10 mm sits off by that share of its half diagonal."""
    from rotary.simulate.chances import Beliefs, Sampling
    from rotary.simulate.forecast import simulate_sheet

    made = nut()
    _, paths = slice_sheet(made, block(12, 10), tmp_path)
    beliefs = Beliefs(0, 0, 0.01, 0, 0, 0, 0, 0)
    found = simulate_sheet([drawing_from_file(paths[0])], machine_of(made), None, 0.0, Sampling(beliefs, 2000)).forecast
    # Two independent normal shares of 1 % (95 %): the farther half, 6 mm, bounds it from below, both from above.
    assert 0.060 < found.placement_95_mm < 0.01 * math.hypot(6, 5) * 1.25


def test_pieces_go_on_the_flats_that_their_angles_name(tmp_path: Path) -> None:
    """120 degrees round a hexagon are two flats on, wherever a corner lies between; every second flat is a repeat."""
    made = nut(pieces=[{"text": "H", "letter_height_mm": 5.0}, {"text": "I", "angle_rad": 2 * math.pi / 3}])
    ink = ink_of(made.ground, tmp_path).composition.ink
    centres = sorted({round(float(ring) / WIDE) for ring in ink.points_mm[:, 0]})
    assert centres == [0, 2]
    _, _, right, _ = bounds_mm(moved(ink, -2 * WIDE, 0.0))
    assert abs(right) < 6
    thrice = nut(pieces=[{"text": "H", "letter_height_mm": 5.0, "repeat": 3}])
    every = ink_of(thrice.ground, tmp_path).composition.ink
    drawn, _ = slice_sheet(thrice, every, tmp_path)
    assert [row.ink_mm2 > 0 for row in drawn.rows] == [True, False, True, False, True]


def test_what_lies_on_a_corner_is_refused(tmp_path: Path) -> None:
    """Ink over a corner, beside what was planned for a flat, or repeated onto corners: each in a sentence."""
    made = nut()
    with pytest.raises(Refused, match="runs over the flat's corner"):
        slice_sheet(made, moved(block(12, 10), WIDE / 2, 0.0), tmp_path)
    with pytest.raises(Refused, match="to one side of its middle"):
        slice_sheet(made, moved(block(12, 10), 1.0, 0.0), tmp_path)
    odd = nut(pieces=[{"text": "H", "letter_height_mm": 5.0, "repeat": 4}])
    with pytest.raises(Refused, match="write 1, 2, 3 or 6"):
        ink_of(odd.ground, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("tilt", [0.0, 0.04])
def test_beams_land_on_a_flat_where_a_line_meets_a_plane(tilt: float) -> None:
    """Lines through the pupils against the top flat's plane, worked out by solving three equations."""
    made = nut()
    stand = RayStand(*machine_of(made).stand)._replace(
        tilt_rad=tilt, plane_mm=1.5, pupil_across_mm=150.0, pupil_along_mm=140.0, flats=6, top_rad=0.05
    )
    rng = np.random.default_rng(3)
    x, y = rng.uniform(-5, 5, 40), rng.uniform(-8, 8, 40)
    found = landing(stand, x, y)
    # The head's frame: z over the apex of a round bar at the middle. The flat stands turned by -0.05 from level.
    cos, sin = math.cos(tilt), math.sin(tilt)
    along, up = np.array([0.0, cos, sin]), np.array([0.0, -sin, cos])
    origin = -stand.centre_s_mm * along - 15.0 * up
    normal = math.sin(-0.05) * np.array([1.0, 0.0, 0.0]) + math.cos(-0.05) * up
    for k in range(40):
        start = np.array([x[k], y[k], 1.5])
        course = np.array([-x[k] / 150.0, -y[k] / 140.0, 1.0])
        t = (15.0 - (start - origin) @ normal) / (course @ normal)
        hit = start + t * course - origin
        assert found.s_mm[k] == pytest.approx(hit @ along, abs=1e-6)
        assert found.angle_rad[k] == pytest.approx(math.atan2(hit[0], hit @ up), abs=1e-8)
        cosine = abs(course @ normal) / np.linalg.norm(course)
        assert found.cos_incidence[k] == pytest.approx(cosine, abs=1e-5)


@pytest.mark.parametrize("flats", [3, 6, 8, 48])
@pytest.mark.parametrize("field", ["item-diameter", "degrees"])
def test_one_number_typed_serves_all_flats(flats: int, field: str, tmp_path: Path) -> None:
    """With ink on every flat the typed number brings each on top to the step, however the program rounds."""
    made = planned(
        item=NUT | {"flats": flats},
        turning={"controller_field": field, "gear_ratio": 3.0},
        artwork={"width_mm": 1.5, "height_mm": 10.0, "centre_mm": 10.0},
        tolerances={"method": "auto"},
    )
    wide = float(flat_width_mm(30.0, flats))
    ink = joined(moved(block(1.5, 10), k * wide, 0.0) for k in range(-((flats - 1) // 2), flats // 2 + 1))
    _, paths = slice_sheet(made, ink, tmp_path)
    found = simulation_of_files(made, paths[0], ink, draws=0)
    assert found.placement_mm is not None
    assert found.placement_mm < 0.002
    assert all(rule.drift_mm == pytest.approx(0.0, abs=1e-9) or rule.rounding != "each-index" for rule in found.rules)


def test_the_round_wall_of_the_forecast_is_as_long_as_all_flats() -> None:
    """Flats side by side go once round it."""
    stand = machine_of(nut()).stand
    assert 2 * math.pi * as_long_round_mm(stand) == pytest.approx(6 * WIDE)
    assert area_mm2(spread(0, 1)) == pytest.approx(240.0)


def test_a_machine_as_measured_gets_its_flats_too(tmp_path: Path) -> None:
    """Drawn for a field that is 1 % too wide, every flat's ink is as much narrower, on its own file."""
    from rotary.machine.correct import NO_CORRECTION, corrected_sheet

    made, ink = nut(), spread(0, 2)
    wish = SheetWish(arrangement="a-file-a-slice")
    plain, _ = slice_sheet(made, ink, tmp_path, wish)
    files = corrected_sheet(made, ink, NO_CORRECTION.model_copy(update={"scale_across": 0.99}), wish)
    assert set(files) == set(plain.files)
    for name, text in files.items():
        (tmp_path / "now.svg").write_text(text, "utf-8")
        (now,) = drawing_from_file(tmp_path / "now.svg").parts.values()
        (before,) = drawing_from_file(tmp_path / name).parts.values()
        assert np.ptp(now.points_mm[:, 0]) == pytest.approx(0.99 * np.ptp(before.points_mm[:, 0]), abs=0.002)
