"""Eye exposure against the published guidelines and standards; each test names its source.

ICNIRP, Health Physics 105(3):271 (2013), was seen in a copied table; IEC 60825-1:2014 has the
same limits, from memory, not seen. Older tables (0.05 J/m2 at 1064 nm) are out of date.
"""

import pytest

from rotary.formulas import exposure


def test_one_pulse_and_a_long_look_at_1064_nm() -> None:
    """ICNIRP 2013, table 5: 0.02 J/m2 for a pulse of 100 ns, 50 W/m2 from ten seconds on."""
    assert exposure.single_limit_j_m2(1064.0, 100e-9) == pytest.approx(0.02, rel=1e-9)
    assert exposure.mean_limit_w_m2(1064.0, 10.0) == pytest.approx(50.0, rel=1e-9)
    assert exposure.mean_limit_w_m2(1064.0, 1000.0) == pytest.approx(50.0, rel=1e-9)


def test_a_visible_beam_for_a_quarter_second() -> None:
    """ICNIRP 2013: 18 t^0.75 J/m2 makes 25.456 W/m2 over a blink, 0.980 mW into a pupil of 7 mm."""
    limit = exposure.mean_limit_w_m2(650.0, 0.25)
    assert limit == pytest.approx(25.456, abs=1e-3)
    assert 1e3 * limit / exposure.into_aperture(1.0, 7.0) == pytest.approx(0.980, abs=5e-4)


@pytest.mark.parametrize(("rate_khz", "expected_mj_m2"), [(30.0, 1.667), (1.0, 10.0)])
def test_trains_of_pulses(rate_khz: float, expected_mj_m2: float) -> None:
    """ICNIRP 2013, rules for trains, ten seconds at 1064 nm: the mean governs at 30 kHz, C_P = 0.5 at 1 kHz."""
    assert 1e3 * exposure.train_limit_j_m2(1064.0, 100.0, rate_khz) == pytest.approx(expected_mj_m2, abs=1e-3)


def test_the_factor_of_a_train_is_the_guidelines() -> None:
    """ICNIRP 2013: 1 up to 600 pulses, 5 N^(-1/4) beyond, never below 0.4."""
    found = [exposure.train_factor(1064.0, n, 10.0) for n in (600, 1e4, 1e6)]
    assert found == pytest.approx([1.0, 0.5, 0.4])


def test_twenty_watts_need_an_optical_density_of_four() -> None:
    """Optical density is log10 of exposure over limit: 20 W into 7 mm, 519 690 W/m2, ten seconds: 4.017."""
    beam = exposure.into_aperture(20.0, 7.0)
    assert beam == pytest.approx(519_690, abs=1)
    assert exposure.optical_density(beam, exposure.mean_limit_w_m2(1064.0)) == pytest.approx(4.017, abs=5e-4)


def test_the_scale_number_for_one_watt() -> None:
    """EN 207, D mode, 10^(n+1) W/m2 from 315 to 1400 nm (seen second hand): 1 W into 7 mm, 25 984 W/m2, n > 3.415."""
    beam = exposure.into_aperture(1.0, 7.0)
    assert beam == pytest.approx(25_984, abs=1)
    assert exposure.steady_scale_number(beam, 1064.0) == 4
    assert pytest.approx(beam, rel=1e-3) == 10 ** (3.415 + 1)


def test_far_infrared_and_ultraviolet_as_remembered() -> None:
    """ICNIRP 2013 from memory, not seen: 1000 W/m2 at 10.6 um for a long look; 3 mJ/cm2 a day below 302 nm."""
    assert exposure.mean_limit_w_m2(10_600.0, 10.0) == pytest.approx(1000.0)
    assert exposure.single_limit_j_m2(270.0, 1e4) == pytest.approx(30.0)
    assert exposure.single_limit_j_m2(308.0, 1e4) == pytest.approx(400.0, rel=0.01)
    assert exposure.single_limit_j_m2(355.0, 1e4) == pytest.approx(1e4)
