"""Turning and marking times against numeric integrals and sums done line by line."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from rotary.formulas import duration


def integrated_s(angle: float, top: float, pull: float) -> float:
    """Time as the integral of 1/speed, at every place the fastest that can be reached and braked from."""

    def slowness(place: float) -> float:
        return 1 / min(top, (2 * pull * place) ** 0.5, (2 * pull * (angle - place)) ** 0.5)

    reached = min(top**2 / (2 * pull), angle / 2)
    bounds = sorted({0.0, reached, angle - reached, angle})
    return sum(quad(slowness, a, b)[0] for a, b in pairwise(bounds))


@pytest.mark.parametrize("angle", [0.01, 0.1, 0.449, 0.451, 2.0, 6.283])
def test_a_turn_takes_what_its_speed_integrates_to(angle: float) -> None:
    """The closed form, triangle and trapezium alike, agrees with one over the speed integrated."""
    assert duration.turn_time_s(angle, 3.0, 20.0) == pytest.approx(integrated_s(angle, 3.0, 20.0), rel=1e-6)


def test_triangle_and_trapezium_meet() -> None:
    """Where the top speed is just reached the two formulas give the same time, so the curve has no jump."""
    reached = 3.0**2 / 20.0
    below, above = duration.turn_time_s([reached * (1 - 1e-12), reached * (1 + 1e-12)], 3.0, 20.0)
    assert below == pytest.approx(above, rel=1e-9)


def test_no_move_takes_no_time_and_back_takes_as_long_as_forth() -> None:
    """Settling is only waited for after a move; the sign of the angle does not matter."""
    still, forth, back = duration.turn_time_s([0.0, 0.3, -0.3], 3.0, 20.0, 0.15)
    assert still == 0
    assert forth == back > 0.15


def test_marking_time_is_the_sum_of_its_lines() -> None:
    """A 10 × 4 mm rectangle hatched line by line: each line's length, wait and the step to the next, added up."""
    hatch, speed, wait, travel = 0.05, 1000.0, 0.0003, 4000.0
    total, y = 0.0, 0.0
    lines = 0
    while y <= 4.0 + 1e-9:
        total += 10.0 / speed + wait
        lines += 1
        y += hatch
    total += (lines - 1) * hatch / travel
    count = duration.hatch_lines(4.0, hatch)
    assert count == lines
    by_formula = duration.marking_time_s(10.0 * count, count, speed, wait, (count - 1) * hatch, travel)
    assert by_formula == pytest.approx(total, rel=1e-12)


def test_area_over_spacing_is_the_hatch_length_of_a_large_figure() -> None:
    """For a figure much larger than the spacing the whole lines add up to area over spacing."""
    assert duration.hatch_lines(40.0, 0.05) * 25.0 == pytest.approx(
        duration.hatch_length_mm(40.0 * 25.0, 0.05), rel=2e-3
    )


@pytest.mark.parametrize("pause", [0.0, 3.0, 60.0])
def test_both_orders_are_what_a_clock_says(pause: float) -> None:
    """Run through every slice and pass with a clock in hand, waiting only for what a pause still lacks."""
    slices, passes, slice_s, turn_s, back_s = 10, 4, 2.0, 0.5, 1.0
    clock = 0.0
    for k in range(slices):
        clock += turn_s if k else 0.0
        clock += passes * slice_s + (passes - 1) * pause
    assert duration.slice_by_slice_s(slice_s, passes, pause, slices - 1, turn_s) == pytest.approx(clock)

    clock, done = 0.0, np.full(slices, -np.inf)
    for n in range(passes):
        clock += back_s if n else 0.0
        for k in range(slices):
            clock += turn_s if k else 0.0
            clock = max(clock, done[k] + pause)
            clock += slice_s
            done[k] = clock
    assert duration.all_round_s(slice_s, passes, pause, slices - 1, turn_s, back_s) == pytest.approx(clock)
