"""Figures of a split, each by a route of its own: times, seams, their errors, columns that close."""

import math
from typing import Any

import numpy as np
import pytest

from rotary.artwork.layout import Artwork
from rotary.formulas.seam_gap import seam_gap_mm
from rotary.slices.models import SplitRemark
from rotary.slices.slits import _remarks
from rotary.slices.wall import _planes, slices_of, wall_under_head
from rotary.tolerances import Tolerances
from rotary.turning.models import Rollers
from tests.setups import other, setup_of
from tests.stages.test_slices import BOTTLE, GEARED, HEAD, LOGO, MUG, limit, split_of, staged


@pytest.mark.parametrize("ring", [True, False])
def test_turning_all_slices_is_every_index_and_the_way_back(ring: bool) -> None:
    """Speeding up, running, slowing down, settling; a ring has a seam a slice, other artwork one less."""
    artwork = Artwork(width_mm=80 * math.pi, height_mm=40, centre_mm=60, full_wrap=True) if ring else LOGO
    found = split_of(MUG if ring else BOTTLE, artwork=artwork)

    def turn_s(angle: float) -> float:
        ramp = GEARED.top_speed_rad_s**2 / GEARED.acceleration_rad_s2
        ramps = 2 * math.sqrt(min(angle, ramp) / GEARED.acceleration_rad_s2)
        return ramps + max(angle - ramp, 0) / GEARED.top_speed_rad_s + GEARED.settling_s

    turns = found.inked_slices - 1
    back = turn_s(turns * found.index_angle_rad)
    assert found.index_time_s == pytest.approx(turns * turn_s(found.index_angle_rad) + back, rel=1e-9)
    assert found.seams == turns + ring


def test_a_seams_error_holds_what_all_share_and_what_each_has_of_its_own() -> None:
    """Both at 1.96 sigma, as squares: the row's 95 % where the split tells its worst."""
    found = split_of(drive=GEARED.model_copy(update={"motor": "two-phase"}))
    worst = max(found.seam_rows, key=lambda row: abs(row.sheet_nominal_mm) + row.sheet_95_mm)
    assert found.stops_mm > found.shared_mm / 2
    assert worst.sheet_95_mm == pytest.approx(1.96 * math.hypot(found.shared_mm, found.stops_mm), rel=1e-3)


def test_what_the_worst_seam_is_off_as_believed_is_told_and_one_slice_has_none() -> None:
    """A diameter typed in whole millimetres turns each slice too far or too short; that counts at every seam. A single
    slice meets no other."""
    found = split_of(drive=GEARED.model_copy(update={"typed_decimals": 0}), method="sliced")
    worst = max(found.seam_rows, key=lambda row: abs(row.sheet_nominal_mm) + row.sheet_95_mm)
    assert found.nominal_mm == pytest.approx(abs(worst.sheet_nominal_mm))
    assert found.nominal_mm > 0.002
    alone = split_of(artwork=Artwork(width_mm=1, height_mm=1, centre_mm=75))
    assert alone.inked_slices == 1
    assert (alone.nominal_mm, alone.shared_mm, alone.stops_mm, alone.seam_95_mm, alone.seams) == (0, 0, 0, 0, 0)


def test_what_runout_and_pupil_leave_at_a_seam_is_that_of_the_exact_geometry() -> None:
    """Each alone, put through the seam of two slices: a total runout moves the wall by half of it, and the pupil
    stands anywhere between its bounds."""
    ready = staged(focus_mm=1e-9)
    job = ready.job.model_copy(update={"item": BOTTLE.model_copy(update={"runout_mm": 1.2})})
    defocus, index = 4.0, np.array([0.1])
    wall = wall_under_head(other(ready, job=job), defocus)
    exact = wall._replace(radius_half=np.zeros_like(wall.r), scale_half=0.0, drive_half=0.0, offset=0.0)
    at = slices_of(exact, index)
    column = at.command_x[0], index, wall.r

    def off(over: Any, pupil: float) -> Any:
        gaps = [seam_gap_mm(*column, wall.apex_mm - at.plane[0] + more, wall.pupil_x * share, wall.tilt)
                for more, share in ((over, pupil), (0.0, 1.0))]  # fmt: skip
        return np.abs(gaps[0] - gaps[1])

    optic = ready.optics
    pupil = (optic.pupil_high_share - optic.pupil_low_share) / 2
    assert pupil > 0.1
    only_runout, only_pupil = exact._replace(pupil_half=0.0), exact._replace(height_half=0.0)
    assert slices_of(only_runout, index).spread[0] == pytest.approx(off(0.6, 1.0), rel=0.02)
    assert slices_of(only_pupil, index).spread[0] == pytest.approx(off(0.0, 1 / (1 + pupil)), rel=0.25)


def test_plain_columns_of_a_climbing_taper_close_in_the_middle() -> None:
    """A straight taper that is not levelled: the middle of its heights is the middle of radii and apex alike."""
    level = GEARED.model_copy(update={"levelled": False})
    ready = setup_of(BOTTLE, LOGO, HEAD, level, tolerances=Tolerances(focus_mm=1e-6))
    wall = wall_under_head(ready, 0.0)
    one_plane = wall._replace(window=(100.0, 0.0, 0.0))
    gaps = slices_of(one_plane, np.array([0.15])).plain_seam[0]
    assert abs(gaps[len(gaps) // 2]) < 0.002
    assert min(gaps[0] * -gaps[-1], 1.0) > 0.01


@pytest.mark.parametrize(("asked_mm", "typed_mm"), [(4.2, 4.0), (4.8, 5.0), (6.4, 6.0), (3.3, 3.0)])
def test_a_width_that_is_asked_for_is_typed_as_near_as_it_can_be(asked_mm: float, typed_mm: float) -> None:
    """Where only whole millimetres can be typed, the nearest of them: never the next wider one for a hair of seam."""
    found = split_of(drive=GEARED.model_copy(update={"typed_decimals": 0}), method="flat", slice_width_mm=asked_mm)
    assert found.file_slice_mm == found.flat_slice_mm == typed_mm


def test_stops_leave_the_drive_what_is_left_of_the_seam_as_squares() -> None:
    """Independent errors add as squares (GUM 5.1.2): where all stops take a share of what is accepted, the scale's
    error may take the root of one less its square. Of some dozen seams the worst lies 2.5 to 3.1 sigma off."""
    art, wide = Artwork(width_mm=80, height_mm=40, centre_mm=60), {}
    for share in (0.0001, 0.05):
        drive = Rollers(covering="hard", gear_ratio=4.0, stops_free_share=share, stops_whole_share=share)
        found = split_of(MUG, drive=drive, artwork=art, method="sliced")
        wide[share] = limit(found, "turning").widest_mm, found.stops_mm
    (ideal, _), (noisy, stops_mm) = wide.values()
    assert ideal is not None
    assert noisy is not None
    taken = math.sqrt(1 - (noisy / ideal) ** 2)
    assert 2.5 < taken * Tolerances().accepted_seam_mm / stops_mm < 3.1


def test_each_place_is_marked_at_the_height_of_its_own_zone() -> None:
    """On a taper that lies unlevelled the plane changes by zone; the ends of a place's zone hold the place."""
    level = GEARED.model_copy(update={"levelled": False})
    ready = setup_of(BOTTLE, LOGO, HEAD, level, tolerances=Tolerances(focus_mm=0.05))
    _, first, last = _planes(wall_under_head(ready, 0.0), np.array([[0.025]]))
    shares = np.linspace(0.0, 1.0, first.shape[1])
    assert len(set(first[0].tolist())) > 3
    assert (first[0] <= shares + 1e-9).all()
    assert (shares <= last[0] + 1e-9).all()


@pytest.mark.parametrize(("worst_mm", "told_mm"), [(0.004, []), (0.006, [0.006])])
def test_what_typing_costs_at_slit_seams_is_told_where_it_can_be_read(worst_mm: float, told_mm: list[float]) -> None:
    """Under 5 µm nobody can read it off; what else has to be known stays as it was."""
    other_one = SplitRemark(id="sheet_wider", values={"wider_mm": 1.0})
    made = split_of().model_copy(update={"remarks": (SplitRemark(id="typed_off", values={"off_mm": 0.02}), other_one)})
    found = {one.id: one for one in _remarks(made, worst_mm, holds=True)}
    assert [found[name].values["off_mm"] for name in found if name == "typed_off"] == told_mm
    assert found["sheet_wider"] == other_one
