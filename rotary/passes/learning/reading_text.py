"""The settings of a reading in words: what each is called, its value and its unit, the same on every paper and screen.

They are taken from the fields of the reading, so that a setting that is kept is also said. A field that is not named
here is called by its own name.
"""

from collections.abc import Sequence
from typing import Any, Final

from rotary import units
from rotary.finishes import COATINGS, METALS
from rotary.model import name_without_unit, quantity_of
from rotary.passes.learning.reading import ABOUT_THE_LOOK, Reading
from rotary.passes.plan.setting import Setting

CONTROLS: Final = (
    "defocus_mm", "frequency_khz", "pulse_width_ns", "speed_mm_s", "line_spacing_mm", "power_share", "energy_mj",
    "pause_s",
)  # fmt: skip
"""What is set at the machine for each cell, in the order in which it is set."""
PLACE: Final = ("row", "column", "passes")
"""Where a cell lies and after how many passes it is looked at: these stand in columns of their own."""
SETTINGS: Final = tuple(name for name in Reading.model_fields if name not in ABOUT_THE_LOOK)
"""Every field of a reading that is a setting."""

_NAMES: Final = {
    "surface": "marked on",
    "thickness_um": "coating thickness",
    "wall_mm": "wall thickness",
    "laser": "laser and lens",
    "spot_um": "spot in focus",
    "rayleigh_mm": "depth of focus",
    "power_share": "power",
    "frequency_khz": "frequency",
    "pulse_width_ns": "pulse width",
    "energy_mj": "pulse energy",
    "speed_mm_s": "speed",
    "line_spacing_mm": "line spacing",
    "defocus_mm": "lens away from focus",
    "pause_s": "pause between passes",
    "inked_width_mm": "width of a cell",
    "inked_height_mm": "height of a cell",
    "focus_mm": "your focus may be off by",
}
_HEADS: Final = {"defocus_mm": "lens", "frequency_khz": "", "pulse_width_ns": "", "speed_mm_s": "",
                 "line_spacing_mm": "line", "energy_mj": "", "pause_s": "pause"}  # fmt: skip
_UNKNOWN: Final = {"thickness_um": "not measured", "wall_mm": "a solid part"}
_WORDS: Final = {
    "scrap": "a flat scrap of the same batch",
    "item": "a hidden place of this item",
    "none": "bare metal",
    **COATINGS,
    **METALS,
}
# What the marking program takes stays in mm; what is set or measured by hand is shown in the person's own units.
_BY_HAND: Final = frozenset({"thickness_um", "wall_mm", "spot_um", "rayleigh_mm", "defocus_mm", "focus_mm"})
# Typed values with all their digits; what is only computed with as many as say something.
_COMPUTED: Final = {"spot_um": 3, "rayleigh_mm": 3, "energy_mj": 4}
_DIGITS: Final = 6
_DIGITS_INCH: Final = 4


def name_of(field: str) -> str:
    """What a setting is called.

    >>> name_of("pulse_width_ns"), name_of("metal")
    ('pulse width', 'metal')
    """
    return _NAMES.get(field) or name_without_unit(field).replace("_", " ")


def head_of(field: str, system: str = "mm") -> str:
    """The head of a setting's column: a short name with the unit.

    >>> head_of("pulse_width_ns"), head_of("line_spacing_mm", "in"), head_of("defocus_mm", "in"), head_of("power_share")
    ('ns', 'line mm', 'lens in', 'power')
    """
    quantity = quantity_of(Reading.model_fields[field])
    unit = units.text_from_value(0.0, quantity.unit, _system(field, system), _DIGITS)[1:].strip() if quantity else ""
    return f"{_HEADS.get(field, name_of(field))} {unit.replace('%', '')}".strip()


def value_text(field: str, value: Any, system: str = "mm") -> str:
    """The value of a setting with its unit.

    >>> value_text("pulse_width_ns", 100.0), value_text("power_share", 0.125), value_text("thickness_um", None)
    ('100 ns', '12.5 %', 'not measured')
    >>> value_text("defocus_mm", 12.7, "in"), value_text("line_spacing_mm", 0.0254, "in")
    ('+0.5 in', '0.0254 mm')
    """
    if value is None:
        return _UNKNOWN.get(field, "not known")
    quantity = quantity_of(Reading.model_fields[field])
    if quantity is None:
        return _WORDS.get(value, value) if isinstance(value, str) else str(value)
    inches = _system(field, system) == "in"
    digits = _COMPUTED.get(field, _DIGITS_INCH if inches else _DIGITS)
    text = units.text_from_value(value, quantity.unit, _system(field, system), digits).replace("um", "µm")
    return f"+{text}" if field == "defocus_mm" and value >= 0 else text


def number_text(field: str, value: Any, system: str = "mm") -> str:
    """The value as it stands under its column's head: without the unit that is in the head."""
    text = value_text(field, value, system)
    quantity = quantity_of(Reading.model_fields[field])
    return text.rpartition(" ")[0] if value is not None and quantity is not None and quantity.unit else text


def settings_text(reading: Reading, system: str = "mm", fields: Sequence[str] = SETTINGS) -> str:
    """Settings of a reading in one line, those in front that are set at the machine."""
    order = [name for name in (*CONTROLS, *fields) if name in fields and _is_kept(reading, name)]
    said = [f"{name_of(name)} {value_text(name, getattr(reading, name), system)}" for name in dict.fromkeys(order)]
    return ", ".join(said)


def controls_text(setting: Setting, system: str = "mm") -> str:
    """What is set at the machine for a plan's setting, in one line; how often and after what pause stands elsewhere."""
    values = {**setting.model_dump(), "pulse_width_ns": setting.pulse_width_ns, "energy_mj": setting.pulse_mj}
    return ", ".join(f"{name_of(name)} {value_text(name, values[name], system)}" for name in CONTROLS[:-1])


def columns_of(readings: Sequence[Reading]) -> tuple[str, ...]:
    """The settings that stand in each cell: what is set at the machine, and whatever else is not the same in all."""
    others = [name for name in SETTINGS if name not in (*CONTROLS, *PLACE)]
    return (*CONTROLS, *(name for name in others if len({getattr(one, name) for one in readings}) > 1))


def same_for_all(readings: Sequence[Reading], system: str = "mm") -> tuple[tuple[str, str], ...]:
    """Name and value of every setting that no column has."""
    apart = {*columns_of(readings), *PLACE}
    names = [name for name in SETTINGS if name not in apart and _is_kept(readings[0], name)]
    return tuple((name_of(name), value_text(name, getattr(readings[0], name), system)) for name in names)


def _is_kept(reading: Reading, field: str) -> bool:
    """Whether a reading tells anything there: a job has no row, and what older versions did not keep isn't known."""
    value = getattr(reading, field)
    return value != "" and (value is not None or field in _UNKNOWN)


def _system(field: str, system: str) -> str:
    return system if field in _BY_HAND else "mm"
