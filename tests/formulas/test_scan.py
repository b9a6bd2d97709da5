"""The scan formulas: figures of the base case, round trips, limits."""

import math

import numpy as np
import pytest

from rotary.formulas import scan

PUPIL_X, PUPIL_Y = 191.5, 176.5
"""A 160 mm lens: 1.15 times the focal length, 15 mm apart."""


def left_out_mm(tilt: float, plane_over_apex_mm: float) -> float:
    """What a 10 mm slice on the base cone is off by, at most, where the leaning beam is left out."""
    s = np.linspace(40, 110, 141)
    r = 44.0 - 0.06 * s
    angle = 5.0 / r[:, None] * np.linspace(-1, 1, 41)
    x, y, z = scan.place_mm(s[:, None], r[:, None], angle, tilt)
    _, centre_y, centre_z = scan.place_mm(75.0, 39.5, 0.0, tilt)
    over = z - (centre_z + plane_over_apex_mm)
    across = scan.command_mm(x, over, PUPIL_X) - x
    along = scan.command_mm(y - centre_y, over, PUPIL_Y) - (y - centre_y)
    return float(np.hypot(across, along).max())


@pytest.mark.parametrize(
    ("tilt", "plane", "expected"),
    [(math.atan(0.06), -0.17, 0.033), (0.0, -0.17, 0.45), (math.atan(0.06), 6.0, 1.25)],
    ids=["level and balanced", "not level", "plane 6 mm above"],
)
def test_what_a_leaning_beam_costs_where_it_is_left_out(tilt: float, plane: float, expected: float) -> None:
    """⌀88 to ⌀70 over 150 mm, band 40 to 110: figures worked out beforehand with another program, two digits."""
    assert left_out_mm(tilt, plane) == pytest.approx(expected, rel=0.05)


def test_command_and_landing_undo_each_other() -> None:
    """What is commanded for a place of the wall lands on it, over the whole front and both ends."""
    s, angle = np.meshgrid(np.linspace(20, 130, 12), np.linspace(-1.1, 1.1, 23))
    tilt = 0.13
    x, y, z = scan.place_mm(s, 44 - 0.06 * s, angle, tilt)
    plane, centre = 55.0, 60.0
    command_x = scan.command_mm(x, z - plane, PUPIL_X)
    command_y = centre + scan.command_mm(y - centre, z - plane, PUPIL_Y)
    found_s, found_angle = scan.landing_on_cone(
        command_x, command_y, plane, PUPIL_X, PUPIL_Y, centre, 44.0, -0.06, tilt
    )
    assert found_s == pytest.approx(s, abs=1e-9)
    assert found_angle == pytest.approx(angle, abs=1e-10)


def test_a_level_apex_line_is_level() -> None:
    """Tilted by its own half angle the other way, all of a cone's apex line stands at one height."""
    s = np.array([0.0, 60.0, 150.0])
    _, _, z = scan.place_mm(s, 44 - 0.06 * s, 0.0, math.atan(0.06))
    assert float(np.ptp(z)) < 1e-12


def test_a_telecentric_beam_does_not_lean() -> None:
    """With pupils at infinity a place's command is the place itself, whatever its height."""
    assert scan.command_mm(12.5, [-30.0, 0.0, 30.0], math.inf).tolist() == [12.5] * 3


def test_a_beam_beside_the_item_lands_nowhere() -> None:
    """A command past the edge gives nan, not a place on the far side."""
    s, angle = scan.landing_on_cone([39.0, 41.0], 75.0, 40.0, math.inf, math.inf, 75.0, 40.0, 0.0, 0.0)
    assert np.isnan(s).tolist() == np.isnan(angle).tolist() == [False, True]
