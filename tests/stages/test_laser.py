"""What a head's figures say about its beam, and which of them contradict each other."""

import math
from typing import Any

import numpy as np
import pytest

from rotary.errors import Refused
from rotary.laser import LaserAndLens, optics, pulse_energy_mj
from rotary.sentences.laser import notes
from tests.setups import shipped_heads


def head(**more: Any) -> LaserAndLens:
    figures: dict[str, Any] = {
        "name": "invented",
        "rated_power_w": 30.0,
        "largest_pulse_mj": 1.0,
        "lowest_frequency_khz": 20.0,
        "highest_frequency_khz": 100.0,
        "focal_length_mm": 160.0,
        "field_mm": 110.0,
    }
    return LaserAndLens(**(figures | more))


def test_the_base_case_is_computed_from_the_data_sheet() -> None:
    """1064 nm, M² 1.5, 7 mm and 160 mm make a spot of 46.45 µm and a Rayleigh length of 1.0617 mm."""
    found = optics(head())
    assert found.spot_um == pytest.approx(46.44778, abs=1e-5)
    assert found.rayleigh_mm == pytest.approx(1.061664, abs=1e-6)
    assert found.spot_source == "computed"
    assert any("computed" in note for note in notes(head(), found))


@pytest.mark.parametrize(("largest_mj", "says"), [(1.0, True), (1.5, False)])
def test_a_laser_that_loses_power_at_low_frequencies_says_below_which(largest_mj: float, says: bool) -> None:
    """30 W are 30 kHz of 1 mJ; with 1.5 mJ they are there from the lowest frequency, 20 kHz, on."""
    laser = head(largest_pulse_mj=largest_mj)
    assert any("Below 30 kHz this laser loses power" in note for note in notes(laser, optics(laser))) is says


def test_a_measured_spot_wins_and_keeps_its_beam_quality() -> None:
    """The Rayleigh length then belongs to the measured spot: it grows with the square of it."""
    found = optics(head(spot_um=60.0))
    assert found.spot_um == 60
    assert found.spot_source == "measured"
    assert found.rayleigh_mm == pytest.approx(1.061664 * (60 / 46.44778) ** 2, rel=1e-5)
    assert optics(head(spot_um=60.0, rayleigh_mm=1.4)).rayleigh_mm == 1.4


def test_pupils_are_given_estimated_or_far_away() -> None:
    """Estimated: 1.15 times the focal length, two of them about 15 mm apart, with their range; telecentric: none."""
    estimated = optics(head())
    assert estimated.pupil_x_mm is not None
    assert estimated.pupil_y_mm is not None
    assert (estimated.pupil_x_mm + estimated.pupil_y_mm) / 2 == pytest.approx(184.0)
    assert abs(estimated.pupil_x_mm - estimated.pupil_y_mm) == pytest.approx(15.0)
    assert 184 * estimated.pupil_low_share == pytest.approx(160)
    assert 184 * estimated.pupil_high_share == pytest.approx(224)
    given = optics(head(pupil_x_mm=190.0, pupil_y_mm=175.0))
    assert (given.pupil_x_mm, given.pupil_y_mm, given.pupil_source) == (190, 175, "given")
    assert (given.pupil_low_share, given.pupil_high_share) == (0.99, 1.01)
    one = optics(head(pupil_y_mm=175.0))
    assert one.pupil_high_share - 1 == pytest.approx(math.hypot(0.01, 20 / 175))
    assert one.pupil_y_mm == 175
    assert one.pupil_source == "estimated"
    far = optics(head(lens="telecentric"))
    assert far.pupil_low_share == far.pupil_high_share == 1
    assert (far.pupil_x_mm, far.pupil_y_mm, far.pupil_source) == (None, None, "telecentric")


def test_pulse_energy_is_capped_and_takes_arrays() -> None:
    """Half the power at 30 kHz is half a millijoule; below the rate of the largest pulse the energy stays."""
    assert pulse_energy_mj(head(), 0.5, 30.0) == pytest.approx(0.5)
    grid = pulse_energy_mj(head(), np.array([[0.5], [1.0]]), np.array([20.0, 30.0, 60.0]))
    assert grid == pytest.approx(np.array([[0.75, 0.5, 0.25], [1.0, 1.0, 0.5]]))


@pytest.mark.parametrize(
    ("more", "where", "part"),
    [
        ({"lowest_frequency_khz": 200.0}, "laser.lowest_frequency", "other way round"),
        ({"largest_pulse_mj": 2.0}, "laser.largest_pulse", "that takes 40 W"),
        ({"rated_power_w": 120.0}, "laser.rated_power", "give at most 100 W, not 120 W"),
        ({"pulse_widths_ns": ()}, "laser.pulse_widths", '["100 ns"]'),
        ({"pulse_widths_ns": (100.0, 0.0)}, "laser.pulse_widths.1", "from 0.001 ns"),
        ({"beam_diameter_mm": 170.0}, "laser.beam_diameter", "diameter at the lens"),
        ({"field_mm": 300.0}, "laser.field", "at most 224 mm"),
        ({"lens": "telecentric", "pupil_y_mm": 180.0}, "laser.pupil_y", "leave the height out"),
        ({"pupil_x_mm": 12.0}, "laser.pupil_x", "about 184 mm"),
        ({"spot_um": 23.0, "beam_diameter_mm": 7.0}, "laser.spot", "not its radius"),
        ({"spot_um": 46.0, "rayleigh_mm": 3.0}, "laser.rayleigh", "only for 1.56 mm"),
    ],
)
def test_figures_that_contradict_each_other_are_refused(more: dict[str, Any], where: str, part: str) -> None:
    """Each contradiction names its field and says what to write instead."""
    with pytest.raises(Refused) as caught:
        optics(head(**more))
    assert part in {fault.where: fault.says for fault in caught.value.faults}[where]


def test_a_beam_diameter_that_nobody_gave_contradicts_nothing() -> None:
    """A small measured spot is doubted, not refused, where the beam diameter is only the usual one."""
    found = optics(head(spot_um=23.0))
    assert found.spot_um == 23
    assert any("check that you entered a 1/e² diameter" in note for note in notes(head(spot_um=23.0), found))


def test_all_contradictions_come_at_once() -> None:
    """A person puts everything right in one go."""
    with pytest.raises(Refused) as caught:
        optics(head(lowest_frequency_khz=200.0, field_mm=900.0, pulse_widths_ns=()))
    assert {f.where for f in caught.value.faults} == {"laser.lowest_frequency", "laser.field", "laser.pulse_widths"}


@pytest.mark.parametrize("name", ["fibre-30w-160", "fibre-60w-254"])
def test_the_shipped_heads_are_in_order_and_say_that_they_are_invented(name: str) -> None:
    """Two heads ship; their figures agree with each other, carry units in the file, and claim to be no product."""
    found = shipped_heads()[name]
    assert "invented" in found.name
    assert "invented" in found.note
    beam = optics(found)
    assert 30 < beam.spot_um < 100
    assert beam.peak_fluence_j_cm2 > 20


def test_a_spot_finer_than_diffraction_allows_is_refused() -> None:
    """4 λ f/(π D), where M² is 1 (ISO 11146-1, from memory, not seen), is 30.97 µm here, less a tenth for reading."""
    finest_um = 4 * 1.064 * 160 / (math.pi * 7)
    assert optics(head(spot_um=0.91 * finest_um, beam_diameter_mm=7.0)).spot_source == "measured"
    with pytest.raises(Refused, match=f"only to {finest_um:.3g} µm: "):
        optics(head(spot_um=0.89 * finest_um, beam_diameter_mm=7.0))
