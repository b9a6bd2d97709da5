"""Exposure limits: continuity, order of the rules, and what they refuse."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.formulas import exposure, eyewear


@given(st.floats(180, 11_000), st.floats(-9, 4), st.floats(0, 2))
def test_a_longer_exposure_never_has_a_lower_dose_limit(nm: float, log_seconds: float, longer: float) -> None:
    """The limit of the dose grows or stays with time; the mean that it allows falls or stays."""
    short, long = 10**log_seconds, min(10 ** (log_seconds + longer), 3e4)
    first, second = exposure.single_limit_j_m2(nm, short), exposure.single_limit_j_m2(nm, long)
    # The published pieces don't meet exactly: 1 to 3 % where they join.
    assert second >= first * 0.97
    assert second / long <= first / short * 1.03


@pytest.mark.parametrize("nm", [450.0, 650.0, 850.0, 1064.0, 1180.0])
def test_the_pieces_of_the_limit_meet(nm: float) -> None:
    """At T_i and at ten seconds the published pieces agree within three per cent (thermal part)."""
    knee = exposure.longest_single_s(nm)
    below, above = exposure.single_limit_j_m2(nm, knee), exposure.single_limit_j_m2(nm, knee * 1.000001)
    assert above == pytest.approx(below, rel=0.06)
    if nm >= 600:
        early, late = exposure.single_limit_j_m2(nm, 9.999999), exposure.single_limit_j_m2(nm, 10.0)
        assert late == pytest.approx(early, rel=0.03)


@given(st.floats(400, 1400), st.floats(1, 500), st.floats(0.1, 4000))
def test_a_pulse_of_a_train_may_never_carry_more_than_a_single_one(nm: float, ns: float, khz: float) -> None:
    """The three rules together are at least as strict as each alone, and the mean is kept."""
    each = exposure.train_limit_j_m2(nm, ns, khz)
    assert each <= exposure.single_limit_j_m2(nm, ns * 1e-9)
    assert each * khz * 1e3 <= exposure.mean_limit_w_m2(nm) * (1 + 1e-12)


@given(st.floats(1e-6, 1e9), st.floats(1e-6, 1e9))
def test_an_optical_density_brings_the_beam_down_to_its_limit(beam: float, limit: float) -> None:
    """Behind that density no more than the limit is left; none is asked for where the limit is kept."""
    density = exposure.optical_density(beam, limit)
    assert beam * 10**-density <= limit * (1 + 1e-9)
    assert density == 0 or beam > limit


@pytest.mark.parametrize(("nm", "seconds"), [(100.0, 1.0), (2e6, 1.0), (1064.0, 1e-12), (1064.0, 1e6)])
def test_outside_of_the_limits_known_here_nothing_is_made_up(nm: float, seconds: float) -> None:
    """A wavelength or a time outside is refused with the range that holds."""
    with pytest.raises(ValueError, match="the eye limits cover"):
        exposure.single_limit_j_m2(nm, seconds)


def test_scale_numbers_step_by_ten() -> None:
    """Each scale number stands ten times more; pulses count by the fourth root of their number."""
    steady = [eyewear.steady_scale_number(amount, 1064.0) for amount in (9e3, 1e4, 1.1e4, 1e5, 1.1e5)]
    assert steady == [3, 3, 4, 4, 5]
    one = eyewear.pulsed_scale_number(4.9, 2e-4, 100.0, 1064.0)
    many = eyewear.pulsed_scale_number(4.9, 2e-4 * 1e4, 100.0, 1064.0)
    assert (one, many) == (3, 4)


@pytest.mark.parametrize("nm", [355.0, 450.0, 532.0, 650.0, 808.0, 940.0, 1064.0, 1550.0, 1940.0, 10_600.0])
@pytest.mark.parametrize("ns", [1e-3, 0.01, 0.5, 1.0, 200.0, 1e4])
def test_no_wavelength_and_no_pulse_is_without_a_figure(nm: float, ns: float) -> None:
    """Femtoseconds to microseconds: a limit that shorter pulses never raise, and a number for every power."""
    assert 0 < exposure.pulse_limit_j_m2(nm, ns) <= exposure.pulse_limit_j_m2(nm, 10 * ns)
    for power_w in (1.0, 20.0, 200.0):
        pulse = exposure.into_aperture(power_w / 50e3, exposure.aperture_mm(nm))
        assert 1 <= eyewear.pulsed_scale_number(pulse, 50.0, ns, nm) < 12


@given(
    st.sampled_from([355.0, 532.0, 940.0, 1064.0, 1550.0, 10_600.0]),
    st.floats(1, 200), st.floats(0.005, 20), st.floats(0.1, 200), st.floats(1, 40), st.sampled_from([0.01, 100.0, 5e3]),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_no_rate_of_the_range_is_worse_than_those_that_are_looked_at(
    nm: float, watts: float, mj: float, low: float, times: float, ns: float
) -> None:
    """A dense scan over the whole range finds no higher density and no higher scale number."""
    high = low * times

    def asked(frequency_khz: float) -> tuple[float, int]:
        pulse = exposure.into_aperture(1e-3 * min(watts / frequency_khz, mj), exposure.aperture_mm(nm))
        density = exposure.optical_density(pulse, exposure.train_limit_j_m2(nm, ns, frequency_khz))
        return density, eyewear.pulsed_scale_number(pulse, frequency_khz, ns, nm)

    looked_at = [asked(rate) for rate in eyewear.rates_that_count_khz(low, high, watts, mj, nm)]
    scanned = [asked(float(rate)) for rate in np.geomspace(low, high, 400)]
    assert max(density for density, _ in scanned) <= max(density for density, _ in looked_at) + 0.005
    assert max(number for _, number in scanned) <= max(number for _, number in looked_at)


def test_the_ultraviolet_counts_the_whole_day() -> None:
    """A steady beam is held against the dose of 30 000 s, and the dose rises by ten over five nanometres."""
    assert exposure.mean_limit_w_m2(308.0) == pytest.approx(10 ** (0.2 * 13) / 3e4)
    ratio = exposure.single_limit_j_m2(310.0, 1e3) / exposure.single_limit_j_m2(305.0, 1e3)
    assert ratio == pytest.approx(10.0)
    assert np.isfinite(exposure.train_limit_j_m2(355.0, 20.0, 50.0))
