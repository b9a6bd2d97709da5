"""What a sheet and its forecast say, against geometry worked out by hand."""

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import rings_from_list
from rotary.formulas.beam import peak_fluence_factor
from rotary.formulas.revolution import radius_mm
from rotary.item import fitted_shape
from rotary.job import job_from_file
from rotary.plan import plan
from rotary.services.files import slice_sheet
from rotary.services.simulation import forecast_picture, machine_of, simulation, simulation_of_files
from rotary.sheet import SheetWish, order_of
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.simulate.chances import Beliefs, Sampling
from rotary.simulate.description import description
from rotary.simulate.forecast import simulate_sheet
from tests.sheet.test_sheet import block, planned

BELLY = {
    "name": "belly",
    "measurements": [
        {"at_mm": s, "across_mm": 60 + 12 * math.sin(math.pi * s / 100)} for s in (0, 20, 40, 60, 80, 100)
    ],
}
CUP = {"name": "cup", "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 80.0}]}
NOTHING = Beliefs(0, 0, 0, 0, 0, 0, 0, 0)

WHOLE = SheetWish(trial=False)


def test_the_focal_plane_in_the_file_is_the_plans(tmp_path: Path) -> None:
    """On a belly, not levelled, the apex at the artwork's middle is the axis plus the radius there; the file's plane
    over it and the plan's plane over the bed are one height."""
    made = planned(
        item=BELLY,
        turning={"levelled": False},
        artwork={"width_mm": 30.0, "height_mm": 30.0, "centre_mm": 70.0},
        tolerances={"fluence_low": 0.5, "fluence_high": 1.5},
    )
    _, paths = slice_sheet(made, block(30, 30), tmp_path, WHOLE)
    assert made.focus.tilt_rad == 0.0
    apex = made.job.turning.axis_height_mm + float(radius_mm(fitted_shape(made.job.item).curve, made.layout.centre_mm))
    planes = [z.focal_plane_mm for z in made.focus.refocus] or [made.focus.focal_plane_mm]
    found = sorted(description(drawing_from_file(path), 0.0).plane_mm or math.nan for path in paths)
    assert found == pytest.approx(sorted(plane - apex for plane in planes), abs=2e-4)
    assert abs((made.layout.artwork_from_mm + made.layout.artwork_to_mm) / 2 - made.layout.centre_mm) > 0.01


def test_zones_of_focus_end_an_inset_before_each_other(tmp_path: Path) -> None:
    """Marks of two neighbouring zones end as far from each other along the item as two slices do around it."""
    made = planned(
        item={"name": "steep", "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 60, "across_mm": 60.0}]},
        turning={"levelled": False},
        artwork={"width_mm": 30.0, "height_mm": 20.0, "centre_mm": 30.0},
    )
    wish = WHOLE.model_copy(update={"marked_width_mm": 0.2, "overlap_mm": 0.02})
    drawn, paths = slice_sheet(made, block(30, 20), tmp_path, wish)
    assert drawn.inset_mm == pytest.approx(0.09)
    spans = []
    for path in paths:
        heights = simulation(made, path, None, 0).marks.s_mm
        spans.append((float(heights.min()), float(heights.max())))
    spans.sort()
    assert len(spans) >= 2
    for (_, top), (bottom, _) in pairwise(spans):
        assert bottom - top == pytest.approx(0.18, abs=0.004)


@pytest.mark.parametrize("datum", ["base", "rim"])
def test_a_border_of_two_zones_moves_into_a_white_row_that_both_heights_reach(datum: str, tmp_path: Path) -> None:
    """No ink is cut there; every mark still lies inside the focus room of its file's plane, reserves left, on a cone
    whose apex line is worked out by hand. A white row out of reach is left alone."""
    across = (80.0, 60.0) if datum == "base" else (60.0, 80.0)
    made = planned(
        item={"name": "steep", "heights_from": datum, "runout_mm": 0.1}
        | {"measurements": [{"at_mm": 0, "across_mm": across[0]}, {"at_mm": 60, "across_mm": across[1]}]},
        turning={"levelled": False},
        artwork={"width_mm": 12.0, "height_mm": 16.0, "centre_mm": 30.0},
        tolerances={"method": "sliced", "focus_mm": 0.3},
        # In focus: far from it the fluence alone takes up all the room, and no border may move.
        passes={"defocus_mm": 0.0},
    )
    order = order_of(WHOLE, made, 0.05)
    assert len(order.zones) == 3
    low, high = (pair[0].to_mm - order.stance.centre_s_mm for pair in pairwise(order.zones))
    reach = order.zones[0].above_mm
    white = 0.1
    assert reach > 2 * white
    near, far = low + 0.6 * reach, high + order.zones[1].above_mm + 2 * white
    bars = [(-7.8, near - white / 2), (near + white / 2, far - white / 2), (far + white / 2, 7.8)]
    # Artwork is as high as the cone's slant is long.
    slant = math.hypot(1, 10 / 60)
    ink = rings_from_list([[(x, slant * y) for x, y in ((-5, a), (5, a), (5, b), (-5, b))] for a, b in bars])
    _, paths = slice_sheet(made, ink, tmp_path, WHOLE)
    drawn = sorted(
        ((simulation(made, path, None, 0).marks, description(drawing_from_file(path), 0.0).plane_mm) for path in paths),
        key=lambda one: float(one[0].s_mm.min()),
    )
    spans = [(float(marks.s_mm.min()), float(marks.s_mm.max())) for marks, _ in drawn]
    middle = order.stance.centre_s_mm
    assert spans[1][0] - spans[0][1] == pytest.approx(white, abs=0.01)
    assert (spans[0][1] + spans[1][0]) / 2 - middle == pytest.approx(near, abs=0.01)
    assert spans[2][0] - spans[1][1] == pytest.approx(2 * order.inset_mm, abs=0.01)
    assert (spans[1][1] + spans[2][0]) / 2 - middle == pytest.approx(high, abs=0.01)
    reserve = made.job.tolerances.focus_mm + made.job.item.runout_mm / 2
    drop = 1 - math.cos(made.split.index_angle_rad / 2)
    for span, (_, plane) in zip(spans, drawn, strict=True):
        assert plane is not None
        over = [-10 / 60 * (s - middle) - plane for s in span]
        assert max(over) <= made.focus.allowed_high_mm - reserve + 0.01
        assert over[1] - (40 - span[1] * 10 / 60) * drop >= made.focus.allowed_low_mm + reserve - 0.01


@pytest.mark.parametrize("arrangement", ["one-sheet", "a-file-a-slice"])
def test_the_zones_of_one_item_are_foretold_together(arrangement: str, tmp_path: Path) -> None:
    """A folder with all zones says the worst of what each says, and sums what each counts; its picture shows all."""
    made = planned(
        item={"name": "steep", "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 60, "across_mm": 60.0}]},
        turning={"levelled": False},
        artwork={"width_mm": 30.0, "height_mm": 20.0, "centre_mm": 30.0},
    )
    ink = block(30, 20)
    _, paths = slice_sheet(made, ink, tmp_path, WHOLE.model_copy(update={"arrangement": arrangement}))
    one_by_one = paths if arrangement == "one-sheet" else sorted({path.parent for path in paths})
    assert len(one_by_one) > 1
    single = [simulation(made, path, ink, 20) for path in one_by_one]
    whole = simulation(made, tmp_path, ink, 20)
    assert whole.forecast.placement_mm == max(one.forecast.placement_mm or 0.0 for one in single)
    assert whole.forecast.missing_mm == max(one.forecast.missing_mm or 0.0 for one in single)
    assert whole.forecast.seam_places == sum(one.forecast.seam_places for one in single)
    assert whole.forecast.seam_open_mm == max(one.forecast.seam_open_mm for one in single)
    assert len(whole.marks.s_mm) == sum(len(one.marks.s_mm) for one in single)
    assert whole.forecast.fluence_low == min(one.forecast.fluence_low for one in single)
    assert whole.forecast.fluence_high == max(one.forecast.fluence_high for one in single)
    assert len({one.forecast.fluence_low for one in single}) > 1
    low, high = float(np.nanmin(whole.marks.s_mm)), float(np.nanmax(whole.marks.s_mm))
    assert high - low > max(float(np.ptp(one.marks.s_mm)) for one in single)
    forecast_picture(made, tmp_path, tmp_path / "picture.svg", ink, draws=0)
    shown = len(set(whole.marks.column.tolist()))
    assert (tmp_path / "picture.svg").read_text("utf-8").count(" opacity=") == shown


def test_lines_along_a_straight_wall_are_counted_on_its_chord(tmp_path: Path) -> None:
    """The advice tells how many hatch lines a slice is wide, from corner to corner of its arc."""
    made = planned(
        item=CUP, artwork={"width_mm": 60.0, "height_mm": 50.0, "centre_mm": 50.0}, tolerances={"line_spacing_mm": 0.05}
    )
    drawn, _ = slice_sheet(made, block(60, 50), tmp_path)
    corners = 40.0 * np.array([[math.sin(a), math.cos(a)] for a in np.array([-0.5, 0.5]) * drawn.index_angle_rad])
    count = float(drawn.hatch[1].split("a slice is ")[1].split()[0])
    assert count == pytest.approx(np.hypot(*(corners[1] - corners[0])) / 0.05, abs=0.006)


def test_bare_metal_is_filled_both_ways_as_its_setup_sheet_says(tmp_path: Path) -> None:
    """The file's own advice doesn't forbid the lines along the item that the sheet asks for."""
    made = plan(job_from_file(examples()["domed-nut"]), 0)
    assert {row.fill_direction for row in made.removal.rows} == {"around", "along"}
    (says,) = slice_sheet(made, block(6, 4), tmp_path)[0].hatch
    assert says.endswith("The setup sheet says which way they run.")


def test_fluence_falls_with_height_and_slant(tmp_path: Path) -> None:
    """Under parallel beams a mark at x on a cup of radius R stands R - sqrt(R² - x²) lower and slants by asin(x/R)."""
    made = planned(
        item=CUP,
        laser={"lens": "telecentric"},
        artwork={"width_mm": 60.0, "height_mm": 50.0, "centre_mm": 50.0},
        tolerances={"slice_width_mm": 12.0, "seam_mm": 2.0, "fluence_low": 0.5, "fluence_high": 1.5},
    )
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    found = simulation(made, path, None, 0)
    x, plane, rayleigh = found.marks.x_mm, machine_of(made).stand.plane_mm, made.optics.rayleigh_mm
    low = 40 - np.sqrt(40**2 - x**2)
    share = (
        peak_fluence_factor(-low - plane, rayleigh) / peak_fluence_factor(plane, rayleigh) * np.sqrt(1 - (x / 40) ** 2)
    )
    assert float(np.abs(x).max()) > 3
    assert found.forecast.fluence_low == pytest.approx(float(share.min()), abs=1e-4)
    assert found.forecast.fluence_high == pytest.approx(float(share.max()), abs=1e-4)


def test_zones_are_shares_of_one_fluence(tmp_path: Path) -> None:
    """What each zone's sheet reaches is a share of the plan's own fluence on the apex line at the artwork's middle,
    by the zone's own focal plane: a zone far from the middle is as bright as the accepted range has it."""
    made = planned(
        item={"name": "steep", "measurements": [{"at_mm": 0, "across_mm": 60.0}, {"at_mm": 60, "across_mm": 92.0}]},
        turning={"levelled": False},
        artwork={"width_mm": 40.0, "height_mm": 30.0, "centre_mm": 30.0},
    )
    _, paths = slice_sheet(made, block(40, 30), tmp_path, WHOLE)
    rayleigh = made.optics.rayleigh_mm
    wanted = peak_fluence_factor(machine_of(made).stand.plane_mm, rayleigh)
    assert len(paths) > 2
    shares = []
    for path in paths:
        plane = description(drawing_from_file(path), 0.0).plane_mm or math.nan
        found = simulation(made, path, None, 0)
        share = peak_fluence_factor(found.marks.z_mm - plane, rayleigh) / wanted * found.marks.cos_incidence
        assert found.forecast.fluence_low == pytest.approx(float(share.min()), abs=1e-3)
        assert found.forecast.fluence_high == pytest.approx(float(share.max()), abs=1e-3)
        shares += [float(share.min()), float(share.max())]
    limits = made.job.tolerances
    assert max(shares) / min(shares) < 1.02 * limits.fluence_high_share / limits.fluence_low_share


def test_drift_is_what_rounding_each_index_adds_up_to(tmp_path: Path) -> None:
    """A program that asks for part of a step and drops it is behind by that part for every index; one that rounds the
    place is never behind by more than half a step at either end."""
    made = planned(turning={"typed_decimals": 1})
    drawn, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    machine = machine_of(made)
    asked, step = machine.asked_steps, machine.rad_per_step
    rules = {(row.origin, row.rounding): row for row in simulation_of_files(made, path, block(60, 50), 0).rules}
    widest = 44.0
    for rounding, whole in (("each-index", round(asked)), ("truncate", math.floor(asked))):
        drift = rules["left", rounding].drift_mm
        assert drift is not None
        behind = (whole - asked) * step * (drawn.columns - 1)
        assert abs(drift) <= abs(behind) * widest + 1e-6
        assert abs(drift) >= abs(behind) * 35.0 - 1e-6
    absolute = rules["left", "absolute"].drift_mm
    assert absolute is not None
    assert abs(absolute) <= step * widest


@pytest.mark.parametrize(
    ("beliefs", "worst"),
    [
        (NOTHING._replace(skew_rad=0.002), 0.002 * 25.0),
        (NOTHING._replace(aside_mm=0.5), 0.5),
        (NOTHING._replace(turn_share=0.01), 0.01 * 30.0),
    ],
)
def test_each_belief_moves_the_artwork_by_its_own_arm(tmp_path: Path, beliefs: Beliefs, worst: float) -> None:
    """Skew turns marks about the field's middle, the axis aside moves them all, a drive's scale grows with the turn."""
    made = planned(artwork={"width_mm": 60.0, "height_mm": 50.0, "centre_mm": 75.0})
    ink = block(60, 50)
    _, (path, *_) = slice_sheet(made, ink, tmp_path)
    found = simulate_sheet([drawing_from_file(path)], machine_of(made), None, 0.0, Sampling(beliefs, 800, 3))
    assert found.forecast.placement_95_mm == pytest.approx(worst, rel=0.15)
