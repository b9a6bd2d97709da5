"""How the lean of the beam narrows what is drawn."""

import math

from rotary.plan import Plan
from rotary.services.simulation import machine_of


def lean_of(made: Plan) -> float:
    """How much narrower than on the wall a slice is drawn: its marks lie over the plane that the program draws in, and
    the beam leans outwards from the mirror's pupil."""
    return 1 / (1 + machine_of(made).stand.plane_mm / (made.optics.pupil_x_mm or math.inf))
