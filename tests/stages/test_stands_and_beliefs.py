"""Heights, rolling, beliefs where a slip would hide: a contact far from the middle, a steep cone, one belief alone."""

import math

import numpy as np
import pytest

from rotary.artwork.layout import Artwork, layout
from rotary.focus import Focus, focus
from rotary.item import Item, Measurement, fitted_shape
from rotary.sentences.slices import limit_text, notes
from rotary.slices import split
from rotary.slices.models import Split
from rotary.tolerances import Tolerances
from rotary.turning import turning
from rotary.turning.models import Chuck, Rollers
from tests.setups import setup_of, shipped_heads

HEAD = shipped_heads()["fibre-30w-160"].model_copy(update={"pupil_x_mm": 190.0, "pupil_y_mm": 175.0})
BOTTLE = Item(
    name="Regatta bottle",
    runout_mm=0.0,
    measurements=(Measurement(at_mm=0, across_mm=88), Measurement(at_mm=150, across_mm=70)),
)
LOGO = Artwork(width_mm=80, height_mm=60, centre_mm=75)
SURE = {"diameter_mm": 0.0, "focus_mm": 0.0, "field_scale_share": 0.0}
STILL = Chuck(gear_ratio=1000, offset_mm=0.0, skew_rad=0.0, levelled=True)
BARE = STILL.model_copy(update={"gear_ratio": 1.0})


def cut_and_focus(item: Item, drive: Chuck | Rollers, tolerances: Tolerances) -> tuple[Split, Focus]:
    ready = setup_of(item, LOGO, HEAD, drive, tolerances=tolerances)
    cut = split(ready, 0.0)
    return cut, focus(ready, cut, 0.0)


@pytest.mark.parametrize("wide_end", ["base", "rim"])
def test_levelling_turns_the_rotary_about_the_end_that_stays_on_the_bed(wide_end: str) -> None:
    """The axis over the contact, turned as a point about the end without the shim, ends where the plan has it."""
    ends = (88, 70) if wide_end == "base" else (70, 88)
    item = Item(
        name="bottle", measurements=(Measurement(at_mm=0, across_mm=ends[0]), Measurement(at_mm=150, across_mm=ends[1]))
    )
    at = 120.0 if wide_end == "base" else 30.0
    drive = Rollers(contact_from_mm=at - 20, contact_to_mm=at + 20)
    turns = turning(drive, item, fitted_shape(item))
    assert turns.cradle is not None
    raised = turns.level.end
    assert raised != wide_end
    pivot = 150.0 if raised == "base" else 0.0
    angle = turns.cradle.apex_tilt_rad
    turned = complex(at - pivot, turns.cradle.axis_height_mm) * complex(math.cos(angle), -math.sin(angle))
    assert turns.axis_height_mm == pytest.approx(turned.imag, abs=1e-6)
    lying = drive.model_copy(update={"levelled": False})
    as_planned, as_advised = (cut_and_focus(item, one, Tolerances())[1].apex for one in (drive, lying))
    assert [r.levelled_mm for r in as_advised] == pytest.approx([r.levelled_mm for r in as_planned], abs=1e-6)


def test_a_steep_cone_rolls_by_what_its_surface_moves_along_the_rollers_turn() -> None:
    """Velocities as vectors: the wall's at the contact, projected on the way the roller's own surface moves."""
    cone = Item(
        name="funnel", measurements=(Measurement(at_mm=0, across_mm=120), Measurement(at_mm=80, across_mm=61.77))
    )
    drive = Rollers(covering="hard", levelled=False, axis_height_mm=80)
    turns = turning(drive, cone, fitted_shape(cone))
    assert turns.cradle is not None
    assert turns.contact_mm is not None
    tilt, around, half = turns.cradle.tilt_rad, turns.cradle.contact_angle_rad, fitted_shape(cone).half_angle_rad
    axis = np.array([0.0, math.cos(tilt), math.sin(tilt)])
    up = np.array([0.0, -math.sin(tilt), math.cos(tilt)])
    out = math.sin(around) * np.array([1.0, 0.0, 0.0]) - math.cos(around) * up
    normal = math.cos(half) * out - math.sin(half) * axis
    roller = np.array([0.0, 1.0, 0.0])
    assert normal @ roller == pytest.approx(0.0, abs=1e-9)
    moved = float(fitted_shape(cone).radius_mm(turns.contact_mm)) * np.cross(axis, out) @ np.cross(roller, normal)
    assert turns.nominal_steps_per_turn == pytest.approx(3200 * moved / 10, rel=1e-9)
    assert moved / float(fitted_shape(cone).radius_mm(turns.contact_mm)) < 0.999


def test_half_of_the_runout_stands_in_the_budget() -> None:
    """An indicator that reads 0.8 mm over a turn has moved 0.4 mm to either side of its middle."""
    _, found = cut_and_focus(BOTTLE.model_copy(update={"runout_mm": 0.8}), STILL, Tolerances())
    row = next(row for row in found.budget if row.id == "runout")
    assert (row.low_mm, row.high_mm) == (-0.4, 0.4)


def test_one_belief_alone_spreads_the_seams_by_its_own_share() -> None:
    """Each 95 % half width, with all else known, is the slice's width times the belief's relative size."""
    chuck = cut_and_focus(BOTTLE, STILL, Tolerances(**SURE, slice_width_mm=4.0))[0]
    row = chuck.seam_rows[3]
    # A chuck's scale is believed within 1e-4 (1 sigma); 1.96 of those hold 95 %.
    # Each of the two stops at a seam lies anywhere within 5 % of a full step, so its u is a/√3 (GUM 4.3.7).
    motor = 1.96 * math.sqrt(2 / 3) * 39.5 * 2 * math.pi * 0.05 / 200 / 1000
    assert row.sheet_95_mm == pytest.approx(math.hypot(chuck.slice_width_mm * 1.96e-4, motor), rel=0.01)
    round_out = BOTTLE.model_copy(update={"runout_mm": 4.0})
    runout = cut_and_focus(round_out, STILL, Tolerances(**SURE, slice_width_mm=4.0))[0]
    # 2 mm up or down, seen from a pupil 190 mm over the plane, which stands half the sag below the apex.
    share = math.hypot(2.0 / 190, 1.96e-4)
    assert runout.seam_rows[3].sheet_95_mm == pytest.approx(math.hypot(runout.slice_width_mm * share, motor), rel=0.01)
    wide = cut_and_focus(BOTTLE, STILL, Tolerances(**SURE | {"diameter_mm": 1.0}, slice_width_mm=4.0))[0]
    share = math.hypot(0.5 / 39.5, 1.96e-4)
    assert wide.seam_rows[3].sheet_95_mm == pytest.approx(math.hypot(wide.slice_width_mm * share, motor), rel=0.01)


def test_the_time_of_turning_counts_the_way_back() -> None:
    """n - 1 indexes with their settling, and one turn back over all of them: speeds up, runs, slows down."""
    found, _ = cut_and_focus(BOTTLE, STILL, Tolerances(slice_width_mm=4.0))

    def move(angle: float) -> float:
        ramp = STILL.top_speed_rad_s**2 / STILL.acceleration_rad_s2
        if angle <= ramp:
            return 2 * math.sqrt(angle / STILL.acceleration_rad_s2) + STILL.settling_s
        return (
            2 * math.sqrt(ramp / STILL.acceleration_rad_s2) + (angle - ramp) / STILL.top_speed_rad_s + STILL.settling_s
        )

    moves = found.inked_slices - 1
    expected = moves * move(found.index_angle_rad) + move(moves * found.index_angle_rad)
    assert found.index_time_s == pytest.approx(expected, rel=1e-9)


def test_the_gap_of_a_decal_is_that_at_its_ends() -> None:
    """A decal's row ends higher or lower than its middle: there the radius is R sin a, R off the cone's point."""
    cone = Item(name="funnel", measurements=(Measurement(at_mm=0, across_mm=80), Measurement(at_mm=150, across_mm=140)))
    shape, half = fitted_shape(cone), math.atan(0.2)
    found = layout(Artwork(width_mm=120, height_mm=40, centre_mm=75, surface_map="label"), cone, shape)
    to_point = 55.0 / math.sin(half)
    for row, v in zip(found.rows, np.linspace(20, -20, 7).tolist(), strict=True):
        end = math.hypot(60.0, to_point + v)
        angle = 2 * math.atan2(60.0, to_point + v) / math.sin(half)
        assert row.gap_mm == pytest.approx(end * math.sin(half) * (2 * math.pi - angle), rel=1e-9)


def test_what_other_seams_would_cost_is_the_split_that_then_comes() -> None:
    """A person who accepts 30 or 80 µm in place of 50 gets the slices, the seam and the time that were told before."""
    now = cut_and_focus(BOTTLE, STILL, Tolerances())[0]
    assert [cost.accepted_mm for cost in now.seam_costs] == [0.03, 0.08]
    for cost in now.seam_costs:
        then = cut_and_focus(BOTTLE, STILL, Tolerances(seam_mm=cost.accepted_mm))[0]
        assert (cost.slices, cost.method) == (then.slices, then.method)
        assert cost.slice_width_mm == pytest.approx(then.slice_width_mm)
        assert cost.longer_s == pytest.approx(then.index_time_s - now.index_time_s)
        assert cost.seam_95_mm == pytest.approx(then.seam_95_mm, rel=0.02)
        assert cost.reached == (then.seam_95_mm <= cost.accepted_mm)
    assert now.seam_costs[0].longer_s > 0 > now.seam_costs[1].longer_s
    assert any(note.startswith('If you enter 30 µm under "off at a seam", you get ') for note in notes(now))


def test_stops_that_leave_no_room_are_said_and_not_obeyed() -> None:
    """Where two stops take up nearly all that is accepted, slices are not made many times narrower for the little that
    is left; the drive is told as not kept, with the width that would."""
    bare = cut_and_focus(BOTTLE, BARE, Tolerances(**SURE, slice_width_mm=2.0))[0]
    geared = cut_and_focus(BOTTLE, STILL, Tolerances())[0]
    # With all else known nothing but the stops is left; of wider, fewer slices they leave a little less.
    stops = bare.seam_95_mm
    tight = cut_and_focus(BOTTLE, BARE, Tolerances(seam_mm=0.95 * stops))[0]
    drive = next(limit for limit in tight.limits if limit.id == "turning")
    assert not drive.met
    assert tight.seam_95_mm > 0.95 * stops
    assert drive.widest_mm is not None
    assert 0 <= drive.widest_mm < tight.slice_width_mm
    assert "fit a slower gear" in limit_text(drive).relax
    assert "the motor opens each seam equally far" in limit_text(drive).why
    assert next(limit for limit in geared.limits if limit.id == "turning").met
