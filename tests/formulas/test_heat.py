"""Heat: conservation, limits and a second route for each formula."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas import heat


@given(st.floats(0.5, 200), st.floats(1, 40), st.floats(1e-3, 1e3))
def test_the_ring_keeps_all_its_heat(period: float, diffusivity: float, time_s: float) -> None:
    """Summed once round the item, what a strip gave off is still there at any time."""
    width = period / 5
    away = (np.arange(400) + 0.5) / 400 * period - period / 2
    kept = heat.remaining_share(width, diffusivity, time_s, away, period_mm=period)
    assert kept.mean() * period == pytest.approx(width, rel=0.01)


@pytest.mark.parametrize("time_s", [0.5, 5.0, 30.0, 60.0, 300.0])
def test_the_ring_agrees_with_its_fourier_series(time_s: float) -> None:
    """The cosine series of a strip on a ring, another solution of the same equation, gives the same middle."""
    width, period, diffusivity = 8.0, 60.0, 4.05
    n = np.arange(1, 400)
    wave = 2 * np.pi * n / period
    series = width / period + np.sum(
        2 / (np.pi * n) * np.sin(wave * width / 2) * np.exp(-diffusivity * wave**2 * time_s)
    )
    assert heat.remaining_share(width, diffusivity, time_s, period_mm=period) == pytest.approx(series, rel=0.02)


def test_the_middle_of_a_patch_is_the_product_of_two_error_functions() -> None:
    """erf(a / 4 sqrt(D t)) as it stands in the texts, from the standard library."""
    from math import erf, sqrt

    expected = [erf(10 / (4 * sqrt(4.05 * t))) for t in (0.1, 4.0, 40.0)]
    assert heat.remaining_share(10.0, 4.05, [0.1, 4.0, 40.0]) == pytest.approx(expected, abs=1e-6)


@given(st.floats(1e-6, 1e4))
def test_depth_goes_over_smoothly_from_thick_to_even(fourier: float) -> None:
    """The two forms of the series agree where either is used, and the rise never falls below the even one."""
    factor = float(heat.depth_factor(1.0, fourier, 1.0))
    n = np.arange(1, 2000)
    if fourier > 1e-4:
        series = 1 + 2 * np.sum(np.exp(-(n**2) * np.pi**2 * fourier))
        assert factor == pytest.approx(series, rel=1e-3)
    assert factor >= 1.0 - 1e-9


def test_a_thick_part_forgets_with_the_root_of_time() -> None:
    """Long before heat reaches the back, four times the time halves the rise."""
    early = heat.depth_factor(4.05, [1e-3, 4e-3], 11.0)
    assert early[0] / early[1] == pytest.approx(2.0, rel=1e-9)


def test_air_takes_the_heat_with_its_own_time_constant() -> None:
    """A wall of steel half a millimetre thick loses all but 1/e in rho c L / h: 200 s at 10 W/(m^2 K)."""
    assert heat.air_share([0.0, 200.0], 10.0, 0.5, 0.004) == pytest.approx([1.0, np.exp(-1)])


@pytest.mark.parametrize(("khz", "pitch", "radius"), [(35.0, 0.05, 0.195), (600.0, 0.01, 0.037), (80.0, 0.03, 0.03)])
def test_the_pulses_before_add_as_rectangular_pulses_superposed(khz: float, pitch: float, radius: float) -> None:
    """Switching each earlier pulse on and off in the handbook's solution gives the same share within a few per cent."""
    tau = 100e-9
    k = np.arange(1, 60)
    on, off = np.sqrt(k / (khz * 1e3) + tau), np.sqrt(k / (khz * 1e3))
    share = np.sum((on - off) / np.sqrt(tau) * np.exp(-2 * (k * pitch / radius) ** 2))
    assert heat.train_share(100.0, khz, pitch, radius) == pytest.approx(share, rel=0.03)


@pytest.mark.parametrize("pitch_mm", [0.0101, 0.0099, 0.001])
def test_pulses_too_many_to_add_up_leave_what_their_sum_leaves(pitch_mm: float) -> None:
    """On either side of where the sum gives way to its integral the share is that of the pulses one by one."""
    before = np.arange(1, int(6 / pitch_mm))
    one_by_one = np.sqrt(100e-9 * 35e3) / 2 * (np.exp(-2 * (before * pitch_mm) ** 2) / np.sqrt(before)).sum()
    assert heat.train_share(100.0, 35.0, pitch_mm, 1.0) == pytest.approx(one_by_one, rel=1e-5)
