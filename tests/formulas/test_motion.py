"""Steps, rounding, ticks and stairs: identities and counts done the slow way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas import cradle, motion

RULES: tuple[motion.Rounding, ...] = ("each-index", "absolute", "truncate")


@given(st.floats(1.0, 5000.0), st.integers(1, 60))
def test_a_controller_that_counts_gives_the_same_places(wanted: float, indexes: int) -> None:
    """Each rule, carried out move by move in whole numbers, stands where the formula says."""
    at = {"each-index": 0, "absolute": 0, "truncate": 0}
    for k in range(1, indexes + 1):
        at["each-index"] += int(wanted + 0.5)
        at["absolute"] = int(k * wanted + 0.5)
        at["truncate"] += int(wanted)
        for rounding, place in at.items():
            assert motion.positions_steps(wanted, indexes, rounding)[k - 1] == place  # type: ignore[arg-type]


@given(st.floats(1.0, 5000.0), st.integers(1, 200))
def test_drift_keeps_its_bounds(wanted: float, indexes: int) -> None:
    """Absolute rounding is never off by more than half a step; the others add up one residual an index."""
    ideal = wanted * np.arange(1, indexes + 1)
    off = {rule: motion.positions_steps(wanted, indexes, rule) - ideal for rule in RULES}
    assert np.abs(off["absolute"]).max() <= 0.5 + 1e-9 * wanted * indexes
    assert -indexes < off["truncate"].min() <= off["truncate"].max() <= 1e-9 * wanted * indexes
    assert off["each-index"][-1] == pytest.approx(indexes * off["each-index"][0], abs=1e-6)


@pytest.mark.parametrize("rounding", RULES)
def test_whole_steps_never_drift(rounding: motion.Rounding) -> None:
    """A whole number of steps is the same under every rule: why whole steps are preferred."""
    assert motion.positions_steps(88.0, 500, rounding).tolist() == [88.0 * k for k in range(1, 501)]


def test_a_ring_closes_only_where_the_steps_divide() -> None:
    """3200 steps close with 32 indexes of 100 and miss with 36 of 89 by four steps."""
    assert motion.closing_error_steps(100, 32, 3200) == 0
    assert motion.closing_error_steps([88, 89], 36, 3200).tolist() == [-32, 4]


@given(st.floats(3, 400), st.floats(-0.05, 0.05))
def test_a_reading_gives_the_true_turn_back(diameter: float, too_far: float) -> None:
    """The arc that an overshoot leaves between two ticks, folded back, is that overshoot at any radius."""
    gap = too_far * np.pi * diameter
    assert motion.overshoot_share(gap, diameter / 2) == pytest.approx(too_far, abs=1e-12)


def test_one_odd_reading_is_left_out_wherever_it_stands() -> None:
    """Flagged, not averaged: the estimate is that of the others alone."""
    good = [0.0030, 0.0031, 0.0029, 0.0030]
    for place in range(5):
        readings = [*good[:place], 0.02, *good[place:]]
        found = motion.weighted_mean(readings, [2e-4] * 5)
        assert found.odd == (place,)
        assert found.value == pytest.approx(np.mean(good))
        assert found.agree


def test_two_readings_that_contradict_each_other_are_not_averaged() -> None:
    """Of two, nobody can say which is wrong; of four split in two camps neither."""
    assert not motion.weighted_mean([0.0, 0.01], [1e-4, 1e-4]).agree
    assert not motion.weighted_mean([0.0, 0.0, 0.01, 0.01], [1e-4] * 4).agree
    assert motion.weighted_mean([0.0, 0.0003], [1e-4, 1e-4]).agree


def test_scatter_beyond_the_reading_error_widens_the_estimate() -> None:
    """Readings that scatter twice as much as they claim give twice the uncertainty."""
    claimed = motion.weighted_mean([-2e-4, 2e-4, -2e-4, 2e-4], [1e-4] * 4)
    assert claimed.u == pytest.approx(1e-4 / 2 * (16 / 3) ** 0.5)
    assert motion.weighted_mean([0.001], [1e-4]) == motion.Estimate(0.001, 1e-4, (), True)
    with pytest.raises(ValueError, match="no readings"):
        motion.weighted_mean([], [])


def test_skew_and_offset_stairs_grow_with_the_slice() -> None:
    """Both are proportional to the slice width, and a telecentric lens over a level axis leaves no offset stair."""
    assert motion.skew_stair_mm([1.0, 10.0], 0.001) == pytest.approx([0.001, 0.01], rel=1e-6)
    assert motion.offset_stair_mm(10.0, 1.0, 39.5, 36.0, np.inf, 0.0) == 0
    one, ten = motion.offset_stair_mm([1.0, 10.0], -1.0, 39.5, -36.0, 184.0, -0.06)
    assert ten == pytest.approx(10 * one)
    assert one > 0


@given(st.floats(1.5, 200), st.floats(2, 50), st.floats(0.05, 0.95))
def test_an_item_in_the_cradle_touches_both_rollers(radius: float, roller: float, apart: float) -> None:
    """From the axis to a roller's axis is r + ρ; at the widest distance it falls through."""
    centres = apart * float(cradle.widest_centres_mm(radius, roller))
    height = float(cradle.cradle_height_mm(radius, roller, centres))
    assert np.hypot(height, centres / 2) == pytest.approx(radius + roller, rel=1e-12)
    assert np.isnan(cradle.cradle_height_mm(radius, roller, cradle.widest_centres_mm(radius, roller)))


def test_a_cylinder_lies_level_whatever_route_is_taken() -> None:
    """Zero taper: the cone's closed form, the general body and the plain cradle height are one."""
    cone = cradle.cone_resting(60.0, 40.0, 0.0, 10.0, 60.0)
    s = np.linspace(0, 120, 97)
    body = cradle.profile_resting(s, np.full(97, 40.0), np.zeros(97), 60.0, 10.0, 60.0)
    assert cone.tilt_rad == body.tilt_rad == 0
    assert cone.height_mm == pytest.approx(40.0)
    assert body.height_mm == pytest.approx(40.0)
    assert cone.rolling_share == body.rolling_share == 1
    assert (body.touch_from_mm, body.touch_to_mm) == (0, 120)


@pytest.mark.parametrize("degrees", [-40, -20, -3.4, 0.5, 10, 40])
@pytest.mark.parametrize("centres", [25.0, 60.0])
def test_the_general_body_rests_like_the_cone_it_is(degrees: float, centres: float) -> None:
    """The flat-cut construction on a finely sampled cone finds the closed form's tilt, height and contact."""
    slope = np.tan(np.radians(degrees))
    s = np.linspace(0, 100, 2001)
    r = 60 + slope * (s - 50)
    cone = cradle.cone_resting(50.0, 60.0, np.radians(degrees), 10.0, centres)
    body = cradle.profile_resting(s, r, np.full(s.shape, slope), 50.0, 10.0, centres)
    assert body.tilt_rad == pytest.approx(cone.tilt_rad, abs=3e-4)
    assert body.height_mm == pytest.approx(cone.height_mm, abs=1e-4)
    assert body.touch_from_mm == pytest.approx(cone.touch_from_mm, abs=0.06)
    assert body.beyond_mm == 0
    gap = cradle.gap_mm(cone, s, r, np.full(s.shape, slope), 50.0, 10.0, centres)
    assert gap.min() == pytest.approx(0, abs=1e-6)


def test_a_waisted_body_rests_on_its_two_shoulders() -> None:
    """A waist touches at two places and lies level when they are equal."""
    s = np.linspace(0, 100, 401)
    r = 30 + 10 * ((s - 50) / 50) ** 2
    body = cradle.profile_resting(s, r, 0.4 * (s - 50) / 50, 50.0, 10.0, 60.0)
    assert body.tilt_rad == pytest.approx(0, abs=1e-9)
    assert (body.touch_from_mm, body.touch_to_mm) == (0, 100)
    assert body.beyond_mm == 0


def test_a_body_beyond_the_end_of_the_rollers_is_not_steady() -> None:
    """With the centre of gravity beyond all that can touch, nothing holds it, and it says by how much."""
    s = np.linspace(0, 40, 81)
    body = cradle.profile_resting(s, np.full(81, 20.0), np.zeros(81), 60.0, 10.0, 40.0)
    assert body.beyond_mm == pytest.approx(20)
    assert cradle.profile_resting(s, np.full(81, 5.0), np.zeros(81), 20.0, 10.0, 60.0).beyond_mm == np.inf


def test_a_lens_balances_on_its_edge_but_does_not_stay() -> None:
    """A body shorter than it is wide, with a sharp belly, falls over from where its weight is carried."""
    s = np.linspace(-8, 8, 161)
    lens = cradle.profile_resting(s, np.sqrt(1600 - 20 * s**2), -20 * s / np.sqrt(1600 - 20 * s**2), 0.0, 10.0, 60.0)
    assert lens.beyond_mm == np.inf
    long = np.linspace(-80, 80, 161)
    keg = cradle.profile_resting(long, 40 - long**2 / 800, -long / 400, 0.0, 10.0, 60.0)
    assert keg.beyond_mm == 0


def test_no_handle_inside_its_half_width_reaches_a_roller() -> None:
    """Points of a roller's rim, seen from the item's axis, all lie within the half width; some reach it."""
    rim = np.linspace(0, 2 * np.pi, 100_001)
    for reach in (0.5, 3.0, 10.0, 100.0):
        x, y = 10.0 * np.sin(rim), 50.0 + 10.0 * np.cos(rim)
        met = np.hypot(x, y) <= 40.0 + reach
        assert cradle.roller_half_width_rad(40.0, reach, 10.0) == pytest.approx(
            np.abs(np.arctan2(x, y))[met].max(), abs=1e-4
        )
