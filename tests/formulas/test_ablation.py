"""What pulses take away, against integrals, sums done the long way, and identities."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rotary.formulas import ablation


@pytest.mark.parametrize("ratio", [1.01, 2.0, 7.389056, 50.0])
def test_a_dense_lattice_takes_the_depth_integrated_over_the_spot(ratio: float) -> None:
    """Rings of depth summed by quadrature over a Gaussian spot hold what each pulse of a lattice takes in the mean."""
    w, depth = 1000.0, 2.5

    def ring(r: float) -> float:
        over = ablation.over_threshold(np.log(ratio) - 2 * r**2 / w**2, 0.0)
        return float(2 * np.pi * r * ablation.depth_per_pulse_um(over, depth))

    edge = float(ablation.cleared_radius_mm(np.log(ratio), w))
    least, most = ablation.lattice_sums(edge)
    summed = quad(ring, 0, edge, epsrel=1e-12)[0]
    assert ablation.depth_per_pulse_um(np.log(ratio), depth) * least == pytest.approx(summed, rel=1e-9)
    assert least == most


def test_nothing_goes_below_the_threshold() -> None:
    """A pulse weaker than the threshold removes nothing, and puts nothing back."""
    with np.errstate(divide="ignore"):
        over = ablation.over_threshold(np.log([0.0, 0.3, 0.999]), 0.0)
    assert ablation.depth_per_pulse_um(over, 3.0).tolist() == [0.0, 0.0, 0.0]
    assert ablation.cleared_radius_mm(over, 0.1).tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize(("radius", "pitch", "hatch"), [(0.09, 0.05, 0.05), (0.2, 0.03, 0.07), (0.04, 0.05, 0.05)])
def test_the_lattice_sum_averages_to_the_mean_depth(radius: float, pitch: float, hatch: float) -> None:
    """Over a whole cell the sum's mean is pi R^2 / (2 pitch hatch): overlap moves depth about, it makes none."""

    places = (np.arange(24) + 0.5) / 24
    mean = np.mean([ablation.lattice_sum(radius, pitch, hatch, along, across) for along in places for across in places])
    assert mean == pytest.approx(np.pi * radius**2 / (2 * pitch * hatch), rel=2e-3)


@given(st.floats(0.01, 20), st.floats(0, 1), st.floats(0, 1))
def test_no_place_of_the_lattice_is_hit_less_or_more_than_the_table_says(x: float, along: float, across: float) -> None:
    """Any place of the cell lies between the table's least and most, to the table's own step."""
    least, most = ablation.lattice_sums([x, x + 0.0025])
    here = float(ablation.lattice_sum(x, 1.0, 1.0, along, across))
    assert least[0] - 0.04 - 0.01 * x <= here <= most[1] + 0.04 + 0.01 * x


def test_the_discs_close_at_half_the_diagonal() -> None:
    """A square lattice leaves a gap until the discs reach the middle of the cell, and none beyond."""
    least, _ = ablation.lattice_sums(np.array([0.70, 0.72]))
    assert least[0] == 0.0
    assert least[1] > 0.0


def test_many_pulses_are_even() -> None:
    """Far beyond the spacing, least, most and mean agree; the table meets the mean where it ends."""
    least, most = ablation.lattice_sums(np.array([23.9, 24.1, 60.0]))
    mean = np.pi * np.array([23.9, 24.1, 60.0]) ** 2 / 2
    assert least == pytest.approx(mean, rel=2e-3)
    assert most == pytest.approx(mean, rel=2e-3)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 4.0])
def test_discs_close_where_the_least_hit_place_of_the_lattice_is_first_hit(ratio: float) -> None:
    """Just under what closes them a place of the cell stays bare for ever, just over it none does."""
    over = float(ablation.over_to_close(2.0, ratio))
    reach = [float(ablation.cleared_radius_mm(over * more, 2.0)) for more in (0.999, 1.001)]
    pitch = ratio**-0.5
    bare, hit = (float(ablation.lattice_sum(r, pitch, 1 / pitch)) for r in reach)
    assert bare == 0.0
    assert hit > 0.0


def test_incubation_never_counts_fewer_than_one_pulse() -> None:
    """Half a pulse is no easier on the metal's threshold than the law's first."""
    assert ablation.log_threshold_after_pulses(2.0, [-np.inf, -0.7, 0.0], 0.9).tolist() == [2.0, 2.0, 2.0]


@given(st.floats(0.0, 3.0), st.floats(0.5, 0.93))
def test_so_many_pulses_bring_the_threshold_down_to_the_fluence(spare: float, incubation: float) -> None:
    """Put the answer back: after the pulses that the metal stands, the threshold is the fluence."""
    pulses = ablation.pulses_stood(spare, incubation)
    assert ablation.log_threshold_after_pulses(spare, np.log(pulses), incubation) == pytest.approx(0.0, abs=1e-9)
