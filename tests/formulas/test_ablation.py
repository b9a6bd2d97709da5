"""What pulses take away, against integrals, sums done the long way, and identities."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rotary.formulas import ablation


@pytest.mark.parametrize("ratio", [1.01, 2.0, 7.389056, 50.0])
def test_the_volume_is_the_depth_integrated_over_the_spot(ratio: float) -> None:
    """Rings of depth summed by quadrature over a Gaussian spot hold the closed form's volume."""
    w, threshold, depth = 0.07, 0.8, 2.5

    def ring(r: float) -> float:
        fluence = ratio * threshold * np.exp(-2 * r**2 / w**2)
        return float(2 * np.pi * r * 1e-3 * ablation.depth_per_pulse_um(fluence, threshold, depth))

    edge = float(ablation.cleared_radius_mm(ratio * threshold, threshold, w))
    summed = quad(ring, 0, edge, epsrel=1e-12)[0]
    assert ablation.volume_per_pulse_mm3(ratio * threshold, threshold, depth, w) == pytest.approx(summed, rel=1e-9)


def test_nothing_goes_below_the_threshold() -> None:
    """A pulse weaker than the threshold removes nothing, and puts nothing back."""
    assert ablation.depth_per_pulse_um([0.0, 0.3, 0.999], 1.0, 3.0).tolist() == [0.0, 0.0, 0.0]
    assert float(ablation.volume_per_pulse_mm3(0.5, 1.0, 3.0, 0.1)) == 0.0
    assert float(ablation.lifted_area_mm2(0.5, 1.0, 0.1)) == 0.0


def test_the_disc_that_lifts_is_the_disc_above_the_threshold() -> None:
    """Area of lift-off and radius of the crater tell of the same circle."""
    radius = ablation.cleared_radius_mm([1.5, 9.0], 1.0, 0.06)
    assert ablation.lifted_area_mm2([1.5, 9.0], 1.0, 0.06) == pytest.approx(np.pi * radius**2, rel=1e-12)


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


def test_incubation_never_counts_fewer_than_one_pulse() -> None:
    """Half a pulse is no easier on the metal's threshold than the law's first."""
    assert ablation.threshold_after_pulses_j_cm2(2.0, [0.0, 0.5, 1.0], 0.9).tolist() == [2.0, 2.0, 2.0]


def test_craters_that_do_not_grow_are_refused() -> None:
    """Readings that shrink with energy give no threshold but a sentence."""
    with pytest.raises(ValueError, match="two energies"):
        ablation.spot_and_threshold_from_craters([0.1, 0.2, 0.4], [50.0, 40.0, 30.0])


def test_a_threshold_survives_a_reader_with_an_unsteady_hand() -> None:
    """Craters read to a micrometre or so give spot and threshold back within a few per cent."""
    noise = np.random.default_rng(3).normal(0, 0.5, 12)
    peak = np.geomspace(3, 40, 12)
    energy = peak * np.pi * 0.03**2 / 2 * 10
    crater = 2e3 * ablation.cleared_radius_mm(peak, 2.0, 0.03) + noise
    radius, threshold = ablation.spot_and_threshold_from_craters(energy, crater)
    assert radius == pytest.approx(0.03, rel=0.03)
    assert threshold == pytest.approx(2.0, rel=0.08)
