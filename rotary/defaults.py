"""What holds where a field is left empty: the models' own defaults, for what may not load a model.

Values are in the core's units, under the names that a job file has; a test keeps them to the models.
"""

from math import pi
from typing import Any, Final

_MOTOR: Final = {
    "full_steps": 200, "microsteps": 16, "gear_ratio": 1.0, "rounding": "each-index",
    "controller_field": "item-diameter", "typed_decimals": 3, "top_speed": 3.0, "acceleration_rad_s2": 20.0,
    "settling": 0.15, "motor": "unknown", "skew": 0.0009, "offset": 1.0,
}  # fmt: skip

DEFAULTS: Final[dict[str, dict[str, Any]]] = {
    "item": {
        "heights_from": "base", "metal": "stainless-304", "coating": "polyester-powder-dark",
        "solid": False, "runout": 0.2,
    },
    "item.measurements": {"corner": False},
    "rollers": {
        **_MOTOR, "kind": "rollers", "roller_diameter": 20.0, "centres": 60.0, "axis_height": 30.0, "covering": "soft",
        "levelled": True,
    },
    "chuck": {**_MOTOR, "kind": "chuck", "axis_height": 60.0, "levelled": False},
    "turning.ticks": {"u": 0.05},
    "laser": {
        "wavelength": 1064.0, "pulse_widths": (100.0,), "beam_quality": 1.5, "beam_diameter": 7.0, "lens": "f-theta",
        "pupil_doubt": 0.01, "slice_wide": 1.0, "slice_high": 1.0, "slice_turn": 0.0, "focus_above": 0.0,
        "power_step": 0.01, "top_speed": 7000.0, "travel_speed": 4000.0, "line_wait": 0.0002, "field_axis": "y",
        "rim_towards": "plus",
    },
    "artwork": {
        "name": "artwork", "centre_angle": 0.0, "surface_map": "true-width", "full_wrap": False, "ink": 0.35,
    },
    "artwork.pieces": {
        "angle": 0.0, "angle_from": "artwork", "rotation": 0.0, "mirror": False, "invert": False, "margin": 0.0,
        "repeat": 1, "face": "outline", "weight": 400, "letter_spacing": 0.0,
    },
    "tolerances": {
        "seam": 0.05, "seams_may_show": False, "closing_gap_u": 0.005, "fluence_low": 0.85, "fluence_high": 1.15,
        "incidence": 0.35, "margin": 0.3, "focus": 1.0, "field_scale": 0.003, "method": "auto",
    },
    "inscription": {
        "around": "ring", "repeat": 1, "tracking": 0.0, "line_pitch": 1.6, "start": 0.0, "chamfer": 0.0, "margin": 0.5,
        "lengthwise": False, "bore": 0.0, "surface_map": "with-taper", "face": "outline", "weight": 400,
        "italic": False, "stroke": 0.1,
    },
    "passes": {"finish": "as before"},
    "depth": {"resolution": 1.0, "ignored": False},
}  # fmt: skip

STEP_FIGURES: Final = ("gear_ratio", "full_steps", "microsteps")
"""Their product is the steps per turn of a chuck or roller. An item turns wrongly where one of them is only assumed."""

ON_TURNED_MM: Final = 0.05
ON_A_WALL_MM: Final = 0.15
BY_TAPE_MM: Final = 0.5 / pi
"""How far a diameter may be off (95 %): by calipers on turned metal, on a wall that is coated or drawn (0.1 to 0.2), by
a tape that is read to half a millimetre round. Common practice, no source."""


def measured_within_mm(by_tape: bool, is_turned: bool) -> float:
    """How far a measured diameter may be off (95 %) [mm], where nothing is said of it.

    >>> measured_within_mm(by_tape=False, is_turned=True)
    0.05
    """
    return BY_TAPE_MM if by_tape else ON_TURNED_MM if is_turned else ON_A_WALL_MM


def default_of(key: str) -> tuple[Any, ...]:
    """What holds for a dotted name: nothing, one value, or two where it depends on what turns the item.

    >>> default_of("item.runout"), default_of("turning.axis_height"), default_of("item.wall")
    ((0.2,), (30.0, 60.0), ())
    """
    table, _, name = key.rpartition(".")
    tables = ("rollers", "chuck") if table == "turning" else (table,)
    found = (DEFAULTS[one][name] for one in tables if name in DEFAULTS.get(one, ()))
    return tuple(dict.fromkeys(found))


END_NAMES: Final = {False: ("base", "rim"), True: ("end 1", "end 2")}
"""What the two ends are called: of what stands on its base, and, where `solid` is true, of a bar or nut."""
