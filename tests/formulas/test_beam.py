"""A focused pulsed beam: identities that must hold whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas import beam

positive = st.floats(0.01, 1000.0)


@given(positive, positive, st.floats(1, 10), st.floats(180, 11_000))
def test_spot_and_rayleigh_length_give_the_beam_quality_back(f: float, d: float, m2: float, nm: float) -> None:
    """Focusing, then asking the spot how good the beam is, must return what was put in."""
    spot = beam.spot_diameter_um(nm, f, d, m2)
    assert beam.beam_quality_from_spot(spot, beam.rayleigh_mm(spot, nm, m2), nm) == pytest.approx(m2, rel=1e-12)


@given(st.floats(5, 500), st.floats(0.01, 100), st.floats(-100, 100))
def test_defocus_keeps_the_energy(spot: float, z_r: float, z: float) -> None:
    """Peak fluence times spot area is the pulse's energy, in focus and out of it."""
    grown = beam.spot_under_defocus_um(spot, z_r, z)
    assert grown**2 * beam.peak_fluence_factor(z, z_r) == pytest.approx(spot**2, rel=1e-12)


@given(st.floats(5, 500), st.floats(0.01, 100), st.floats(0.001, 100))
def test_a_spot_tells_how_far_from_focus_it_is(spot: float, z_r: float, z: float) -> None:
    """Defocus to spot and back is where one started, with either sign of defocus."""
    wanted = beam.spot_under_defocus_um(spot, z_r, -z)
    assert beam.defocus_from_spot_mm(spot, z_r, wanted) == pytest.approx(z, rel=1e-4)


@given(positive, st.floats(1, 1000), positive, st.floats(0.005, 1), st.floats(10, 500))
def test_pulses_carry_the_dose(power: float, rate: float, speed: float, hatch: float, spot: float) -> None:
    """Check value: F₀ times the pulses of a place is P/(v h), for any spot, to twelve digits."""
    pulse = beam.pulse_energy_mj(power, rate, np.inf)
    density = beam.pulse_density_mm2(rate, speed, hatch)
    dose_j_cm2 = beam.peak_fluence_j_cm2(pulse, spot) * beam.pulses_per_place(density, spot)
    assert dose_j_cm2 == pytest.approx(100 * power / (speed * hatch), rel=1e-12)
    assert beam.dose_j_mm2(pulse, density) == pytest.approx(power / (speed * hatch), rel=1e-12)


def test_the_peak_is_twice_the_mean_over_the_spot() -> None:
    """The fluence integrated over a wide plane by rings is the pulse's energy again."""
    w = 0.005
    r = np.linspace(0, 8 * w, 200_001)
    f = beam.peak_fluence_j_cm2(1.0, 100.0) * np.exp(-2 * (r / w) ** 2)
    assert np.trapezoid(f * 2 * np.pi * r, r) == pytest.approx(1e-3, rel=1e-8)
    assert beam.peak_fluence_j_cm2(1.0, 100.0) == pytest.approx(2 * 1e-3 / (np.pi * w**2))


def test_below_its_own_rate_a_source_gives_no_stronger_pulse() -> None:
    """The energy cap holds below P/E_max and lets go above it, without a jump between."""
    rate = np.array([10.0, 29.999999, 30.0, 30.000001, 60.0])
    pulse = beam.pulse_energy_mj(30.0, rate, 1.0)
    assert pulse[:2] == pytest.approx([1.0, 1.0])
    assert np.all(np.diff(pulse) <= 0)
    assert pulse[-1] == pytest.approx(0.5)
    assert pulse[0] * rate[0] == pytest.approx(10.0)


def test_a_fallen_edge_gets_less_from_a_plane_above_and_more_from_one_below() -> None:
    """Check value: 6 mm of defocus and 0.32 mm of sag leave 0.90 with the plane above, about 1.1 below."""
    share = beam.fluence_share([6.0, -6.0, 0.0], 0.32, 1.061664)
    assert share[:2] == pytest.approx([0.904, 1.112], abs=1e-3)
    assert share[2] == pytest.approx(beam.peak_fluence_factor(0.32, 1.061664))
