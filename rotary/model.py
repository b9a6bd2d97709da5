"""The base of every model with units, and the types that take typed text.

Text enters through ``model_validate``, floats through the constructor. Inside, a number
is a plain float in the unit that its name ends with (``radius_mm``). Outside, in job files
and on screens, the name drops the unit and the value carries it: ``radius = "44 mm"``.

The validation context says how strict the border is: ``{"units": "must"}`` (files) refuses a
number without a unit; ``{"units": "mm"}`` and ``{"units": "in"}`` (screens) give a bare
number the unit that the field shows. Without a context a bare number is taken as it is.
"""

from collections.abc import Callable
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema

from rotary import units

SUFFIXES: Final = ("_mm_s", "_rad_s", "_mm", "_um", "_rad", "_s", "_ns", "_nm", "_w", "_khz", "_mj", "_share")


def name_without_unit(name: str) -> str:
    """The name a person writes: ``radius_mm`` is ``radius``.

    >>> name_without_unit("scan_speed_mm_s"), name_without_unit("gear_ratio")
    ('scan_speed', 'gear_ratio')
    """
    for suffix in SUFFIXES:
        if name.endswith(suffix) and name != suffix:
            return name[: -len(suffix)]
    return name


class Model(BaseModel):
    """Frozen, without unknown fields, without nan or infinity."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        alias_generator=name_without_unit,
        validate_by_name=True,
        validate_by_alias=True,
        arbitrary_types_allowed=False,
    )


def _reader(unit: str) -> Callable[[Any, ValidationInfo], Any]:
    def read(value: Any, info: ValidationInfo) -> Any:
        mode = (info.context or {}).get("units")
        if isinstance(value, str):
            return units.value_from_text(value, unit, bare=units.bare_unit(unit, mode))
        if mode == "must" and not isinstance(value, bool) and isinstance(value, int | float):
            raise ValueError(units.missing_unit_sentence(value, unit))
        return value

    return read


def _quantity(unit: str) -> Any:
    return Annotated[
        float,
        BeforeValidator(_reader(unit)),
        WithJsonSchema({"type": "string", "description": f"a number with its unit, for example {units.EXAMPLES[unit]!r}"}),
    ]


Length = _quantity("mm")
Thin = _quantity("um")
Angle = _quantity("rad")
Turning = _quantity("rad/s")
Time = _quantity("s")
PulseDuration = _quantity("ns")
Wavelength = _quantity("nm")
Power = _quantity("W")
Rate = _quantity("kHz")
Energy = _quantity("mJ")
Speed = _quantity("mm/s")
Share = _quantity("")
