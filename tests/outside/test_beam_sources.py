"""The beam against a published standard's relations and a reference package."""

import laserbeamsize
import numpy as np
import pytest

from rotary.formulas import beam

NM, M2, BEAM_MM, LENS_MM = 1064.0, 1.5, 7.0, 160.0


def test_spot_and_rayleigh_length_are_those_of_a_reference_package() -> None:
    """Package laserbeamsize (written for ISO 11146) gives 46.44778 µm and 1.061664 mm for the base case."""
    spot = float(beam.spot_diameter_um(NM, LENS_MM, BEAM_MM, M2))
    assert spot == pytest.approx(46.44778, abs=1e-5)
    theirs = laserbeamsize.z_rayleigh(spot / 2 * 1e-6, NM * 1e-9, M2)
    assert float(beam.rayleigh_mm(spot, NM, M2)) == pytest.approx(theirs * 1e3, rel=1e-12)
    assert theirs * 1e3 == pytest.approx(1.061664, abs=1e-6)


@pytest.mark.parametrize("z_mm", [-30.0, -2.0, 0.0, 0.5, 2.0, 6.0])
def test_the_spot_out_of_focus_is_that_of_a_reference_package(z_mm: float) -> None:
    """Package laserbeamsize, `beam_radius`; 2 mm out it says 99.06385 µm, and a peak of 0.2198363 is left."""
    spot = beam.spot_diameter_um(NM, LENS_MM, BEAM_MM, M2)
    z_r = beam.rayleigh_mm(spot, NM, M2)
    theirs = 2e6 * laserbeamsize.beam_radius(spot / 2 * 1e-6, NM * 1e-9, z_mm * 1e-3, M2=M2)
    assert beam.spot_under_defocus_um(spot, z_r, z_mm) == pytest.approx(theirs, rel=1e-12)
    if z_mm == 2.0:
        assert theirs == pytest.approx(99.06385, abs=1e-5)
        assert beam.peak_fluence_factor(z_mm, z_r) == pytest.approx(0.2198363, abs=1e-7)


def test_the_beam_parameter_product_is_kept() -> None:
    """ISO 11146-1 (from memory, not seen): d Θ/4 = M² λ/π, with Θ the full far-field divergence, here D/f."""
    spot_mm = beam.spot_diameter_um(NM, LENS_MM, BEAM_MM, M2) / 1000
    assert spot_mm * (BEAM_MM / LENS_MM) / 4 == pytest.approx(M2 * NM * 1e-6 / np.pi, rel=1e-12)
    far_mm = 1e6
    z_r = beam.rayleigh_mm(spot_mm * 1000, NM, M2)
    opening = beam.spot_under_defocus_um(spot_mm * 1000, z_r, far_mm) / 1000 / far_mm
    assert opening == pytest.approx(BEAM_MM / LENS_MM, rel=1e-6)


def test_one_rayleigh_length_away_the_area_has_doubled() -> None:
    """ISO 11145 (from memory, not seen) defines the Rayleigh length by the area of the spot."""
    assert beam.spot_under_defocus_um(50.0, 1.3, 1.3) ** 2 == pytest.approx(2 * 50.0**2)


def test_the_base_case_hits_with_seventy_nine_joules_a_square_centimetre() -> None:
    """Definition of peak fluence of a Gaussian: 20 W at 30 kHz in 46.45 µm is 0.66667 mJ and 78.690 J/cm²."""
    pulse = beam.pulse_energy_mj(20.0, 30.0, 1.0)
    assert pulse == pytest.approx(0.66667, abs=1e-5)
    assert beam.peak_fluence_j_cm2(pulse, 46.44778) == pytest.approx(78.690, abs=1e-3)
