"""The base of every model with units, and the types that take typed text.

Text enters through ``model_validate``, floats through the constructor. Inside, a number
is a plain float in the unit that its name ends with (``radius_mm``). Outside, in job files
and on screens, the name drops the unit and the value carries it: ``radius = "44 mm"``.

The validation context says how strict the border is: ``{"units": "must"}`` (files) refuses a
number without a unit; ``{"units": "mm"}`` and ``{"units": "in"}`` (screens) give a bare
number the unit that the field shows. Without a context a bare number is taken as it is.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, Final, Self, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema
from pydantic.fields import FieldInfo

from rotary import units

Values: TypeAlias = dict[str, bool | int | float | str]
"""What the sentence of an id needs, by name."""

SUFFIXES: Final = ("_mm_s", "_rad_s", "_mm", "_um", "_rad", "_s", "_ns", "_nm", "_w", "_khz", "_mj", "_share")


def name_without_unit(name: str) -> str:
    """The name a person writes: ``radius_mm`` is ``radius``.

    >>> name_without_unit("speed_mm_s"), name_without_unit("gear_ratio")
    ('speed', 'gear_ratio')
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

    def but(self, **changes: Any) -> Self:
        """The same but for some of its values, which are not checked anew."""
        if unknown := changes.keys() - type(self).model_fields:
            raise TypeError(f"{type(self).__name__} has no {', '.join(sorted(unknown))}")
        return self.model_copy(update=changes)


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a field with a unit says about itself: its canonical unit and an example to show a person."""

    unit: str
    example: str

    def text(self, value: float) -> str:
        """The value as it may be shown in a sentence."""
        return units.text_from_value(value, self.unit, digits=6)


def types_behind(wanted: Any) -> Iterator[Any]:
    """The types behind a field's unions and annotations, and the annotations' own notes.

    >>> list(types_behind(int | None))
    [<class 'int'>, <class 'NoneType'>]
    """
    if isinstance(wanted, FieldInfo):
        yield from wanted.metadata
        yield from types_behind(wanted.annotation)
    elif get_origin(wanted) is Annotated:
        inner, *notes = get_args(wanted)
        yield from notes
        yield from types_behind(inner)
    elif get_origin(wanted) in (Union, UnionType):
        for choice in get_args(wanted):
            yield from types_behind(choice)
    else:
        yield wanted


def quantity_of(wanted: Any) -> Quantity | None:
    """What a field with a unit says about itself; None for a field without.

    >>> quantity_of(Length).unit
    'mm'
    """
    return next((note for note in types_behind(wanted) if isinstance(note, Quantity)), None)


def entry_of(wanted: Any) -> Any:
    """The type of the entries of a list; None where the field is no list.

    >>> entry_of(tuple[int, ...])
    <class 'int'>
    """
    return next((get_args(kind)[0] for kind in types_behind(wanted) if get_origin(kind) is tuple), None)


def _reader(unit: str) -> Callable[[Any, ValidationInfo], Any]:
    def read(value: Any, info: ValidationInfo) -> Any:
        mode = (info.context or {}).get("units")
        if isinstance(value, str):
            return units.value_from_text(value, unit, bare=units.bare_unit(unit, mode))
        if isinstance(value, bool):
            example = units.KINDS[unit].example
            raise units.UnitError(f'{str(value).lower()} is not a number: write for example "{example}"')
        if mode is not None and isinstance(value, int | float):
            return units.value_from_text(repr(value), unit, bare=units.bare_unit(unit, mode))
        return value

    return read


def _quantity(unit: str) -> Any:
    example = units.KINDS[unit].example
    written = {"type": "string", "pattern": "[0-9]", "examples": [example], "description": "a number with its unit"}
    return Annotated[
        float, BeforeValidator(_reader(unit)), WithJsonSchema(written, mode="validation"), Quantity(unit, example)
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
