"""From commands to the head back to the wall: where each dot of a sheet lands.

On a straight wall the ray's hit is a closed formula. On a bellied one the wall is replaced by the cone that
touches it at the height found last, and again, until the height stays: Newton's method, so a few rounds do.
"""

import math
from typing import Final

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import is_straight, radius_and_slope, radius_mm
from rotary.formulas.scan import landing_on_cone, place_mm
from rotary.sheet.redraw import Stance

ROUNDS: Final = 30
STILL_MM: Final = 1e-7


def landing(stance: Stance, across_mm: Floats, along_mm: Floats) -> tuple[Floats, Floats]:
    """Heights s [mm] and angles from the apex [rad] that commands from the field's middle hit, (...) float.

    nan where the beam misses the item. The inverse of `command_to_hit_mm`.

    >>> from rotary.formulas.revolution import straight_curve
    >>> stance = Stance(straight_curve(40.0, 0.0, 100.0), 50.0, 0.0, 0.0, math.inf, math.inf)
    >>> s, angle = landing(stance, np.array([20.0]), np.array([3.0]))
    >>> float(s[0].round(6)), float(angle[0].round(6)) == round(math.pi / 6, 6)
    (53.0, True)
    """
    across, along = np.broadcast_arrays(across_mm, along_mm)
    middle_radius = radius_mm(stance.curve, stance.centre_s_mm)
    _, middle_y, middle_z = place_mm(stance.centre_s_mm, middle_radius, 0.0, stance.tilt_rad)
    s = np.full(across.shape, stance.centre_s_mm)
    rounds = 1 if is_straight(stance.curve) else ROUNDS
    for _ in range(rounds):
        r, slant = radius_and_slope(stance.curve, s)
        found, angle = landing_on_cone(
            across,
            along + middle_y,
            middle_z + stance.plane_mm,
            stance.pupil_across_mm,
            stance.pupil_along_mm,
            middle_y,
            r - slant * s,
            slant,
            stance.tilt_rad,
        )
        moved = np.abs(found - s)
        # A ray that misses one tangent cone may hit the next; it goes on from where it was.
        s = np.where(np.isfinite(found), found, s)
        if not (moved > STILL_MM).any():
            break
    lost = ~np.isfinite(found) | ((moved > STILL_MM) & (rounds > 1)) | ~(np.abs(angle) < math.pi / 2)
    return np.where(lost, np.nan, s), np.where(lost, np.nan, angle)
