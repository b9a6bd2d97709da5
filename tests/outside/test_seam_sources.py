"""Seams against something outside: pulses summed one by one, random draws, a simulated motor."""

import math
from typing import Any

import numpy as np
import pytest

from rotary.formulas import seams, stops


def dug(gap_mm: float, x_mm: float, w: float, over: float, pitch: float, hatch: float) -> float:
    """Depth in the middle of the gap, in units of the depth per e-fold, pulse by pulse: depth l ln(F/F_c) where over
    the threshold (raciukaitis2009, neuenschwander2010), least over a cell; lines run up to the edges."""
    reach = w * math.sqrt(over / 2)
    count = int(reach / pitch) + 2
    along = -(gap_mm / 2) - pitch * (np.arange(count) + 0.5)
    rows = hatch * np.arange(-int(reach / hatch) - 2, int(reach / hatch) + 3)
    x = np.concatenate([along, -along])
    r2 = (x[:, None] - x_mm) ** 2 + (rows + np.array([0.0]))[None, :] ** 2
    return float(np.maximum(over - 2 * r2 / w**2, 0.0).sum())


@pytest.mark.parametrize(("over", "spare"), [(0.8, 1.2), (1.5, 1.6), (2.2, 3.0)])
def test_the_gap_that_closes_where_pulses_dig_is_that_of_pulses_summed_one_by_one(over: float, spare: float) -> None:
    """The gap at which the middle is dug just through, found by halving; the formula is its limit for dense pulses."""
    w, pitch, hatch = 0.1, 0.004, 0.004
    full = math.pi * w**2 * over**2 / 4 / (pitch * hatch)
    thick = full / spare
    low, high = -2 * w, 2 * w * math.sqrt(over / 2)
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if dug(middle, 0.0, w, over, pitch, hatch) >= thick else (low, middle)
    found = seams.closing_ablated_mm(over, w, thick, pitch * hatch).item()
    assert found == pytest.approx(low, abs=0.0015)


def test_a_fill_that_does_not_clear_has_no_gap_that_closes() -> None:
    """Twice the edge's depth is all of the fill's: a thickness of more never clears, one of just that needs no gap."""
    w, over, cell = 0.1, 1.5, 1e-4
    full = math.pi * w**2 * over**2 / 4 / cell
    gaps = seams.closing_ablated_mm(over, w, np.array([1.001, 0.999, 0.5]) * full, cell)
    assert np.isnan(gaps[0])
    assert gaps[1] == pytest.approx(0.0, abs=0.001)
    assert gaps[2] > 0.02
    assert np.isnan(seams.closing_ablated_mm(-0.1, w, 1.0, cell))


def test_the_gap_that_closes_where_coating_is_thrown_off_is_that_of_discs() -> None:
    """Liu 1982: each pulse clears a disc; between two lines of them the widest gap that is bare all along."""
    w, over, hatch = 0.1, 1.4, 0.06
    radius = w * math.sqrt(over / 2)
    gap = seams.closing_lifted_mm(over, w, hatch).item()
    for share, bare in ((0.999, True), (1.001, False)):
        y = np.linspace(0, hatch, 121)
        ends = share * gap / 2
        covered = [(ends**2 + (y - line) ** 2 <= radius**2) for line in (0.0, hatch)]
        assert bool(np.all(np.logical_or(*covered))) is bare
    assert np.isnan(seams.closing_lifted_mm(0.01, w, hatch))


@pytest.mark.parametrize(("common", "own"), [(1.0, 0.0), (1.0, 0.3), (1.0, 1.0), (0.2, 1.0), (0.0, 1.0)])
@pytest.mark.parametrize("count", [1, 8, 38])
def test_all_seams_are_within_what_is_stated_in_19_of_20_draws(common: float, own: float, count: int) -> None:
    """Random draws (Monte Carlo, as the supplement to the GUM has it), with and without a part that is known."""
    rng = np.random.default_rng(3)
    for mean in (0.0, 0.7):
        off = np.abs(mean + common * rng.normal(size=(40_000, 1)) + own * rng.normal(size=(40_000, count))).max(axis=1)
        assert (off <= seams.all_within_mm(common, own, count, mean)).mean() == pytest.approx(0.95, abs=0.005)
    squares = 1.96 * math.hypot(common, own)
    if own and count > 1:
        assert (off <= squares).mean() < 0.91


def test_whole_cycles_drop_what_repeats_with_the_cycle() -> None:
    """A motor whose error is a sum of sines over four full steps leaves nothing at stops whole cycles apart."""
    cycle = stops.cycle_microsteps("two-phase", 16)
    assert cycle == 64

    def off(place: Any) -> Any:
        return 0.05 * np.sin(2 * np.pi * place / 4) + 0.02 * np.sin(2 * np.pi * place + 1)

    def worst(index: float) -> float:
        return float(np.abs(np.diff(off(0.3 + index * np.arange(15)))).max())

    assert worst(3 * cycle / 16) < 1e-12
    # Whole full steps alone gain next to nothing.
    assert worst(9.0) > 0.5 * worst(9.43) > 0.02


@pytest.mark.parametrize("full_step", [0.314, 1.257])
def test_the_worst_seam_after_a_motor_test_holds_as_stated(full_step: float) -> None:
    """Motors of invented sines over a cycle: eight seams read with a 0.02 mm vernier, misread by 5 µm; then the worst
    of fourteen elsewhere is within what is stated in more than 91 % of them."""
    rng, held = np.random.default_rng(7), []
    for _ in range(1500):
        size = rng.uniform(0.2, 1.0, 3)
        size *= rng.lognormal(-0.05, 0.3) * 0.041 / np.linalg.norm(size)
        phase = rng.uniform(0, 2 * np.pi, 3)

        def row(start: float, count: int, size: Any = size, phase: Any = phase) -> Any:
            place = start + 8.43 * np.arange(count + 1)
            turns = np.outer([1, 2, 4], place) * np.pi / 2
            return np.diff(size @ np.sin(turns + phase[:, None]))

        read = row(rng.uniform(0, 4), 8) * full_step + rng.normal(0, 0.005, 8)
        share = stops.seam_share_in_row(np.round(read / 0.02) * 0.02, full_step, 0.005)
        worst = stops.normal_equivalent(stops.folded_seam_share(share)) * seams.two_sided(14)
        held.append(np.abs(row(rng.uniform(0, 4), 14)).max() <= worst)
    assert np.mean(held) > 0.91


def test_a_ladder_is_read_to_a_step_over_root_twelve() -> None:
    """A rectangle of a step's width (GUM 4.3.7), and no ladder is finer than the eye."""
    rng = np.random.default_rng(2)
    gaps, step = rng.uniform(0.0, 0.4, 20_000), 0.04
    widest = np.floor(gaps / step) * step
    middle, u = seams.closing_from_ladder(0.2, 0.24)
    assert (middle, u) == pytest.approx((0.22, step / math.sqrt(12)))
    assert np.std(gaps - (widest + step / 2)) == pytest.approx(u, rel=0.02)
    assert seams.closing_from_ladder(0.1, 0.101)[1] == 0.005
