"""What a model refuses, said so that a person can put it right: from pydantic's errors to our faults."""

from collections.abc import Mapping
from datetime import datetime
from difflib import get_close_matches
from functools import lru_cache
from typing import Any, Final, Literal, NamedTuple, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from rotary.errors import Fault, Missing, Predicate, Refused, Unknown, brief, listing
from rotary.model import Quantity, entry_of, quantity_of, types_behind

M = TypeVar("M", bound=BaseModel)

MOST_TOLD: Final = 50
"""Of more faults than these a person learns the number: a file that is no job at all may have ten thousands."""


class _Place(NamedTuple):
    """Where an error points: the dotted name, the type wanted there, the model it is a field of, and other kinds."""

    dotted: str
    name: str
    wanted: Any
    owner: type[BaseModel] | None
    others: tuple[type[BaseModel], ...] = ()


def built(model: type[M], **fields: Any) -> M:
    """A model from its values, some of which a person typed; raises Refused with every fault."""
    try:
        return model(**fields)
    except ValidationError as error:
        raise Refused(faults_of(error, model)) from None


def model_from_texts(model: type[M], texts: Mapping[str, Any], units: str = "must", under: str = "") -> M:
    """A model from what was typed; raises Refused with every fault at once, `under` put before each name."""
    try:
        return model.model_validate(dict(texts), context={"units": units})
    except ValidationError as error:
        raise Refused(faults_of(error, model, under)) from None


def faults_of(error: ValidationError, model: type[BaseModel], under: str = "") -> list[Fault]:
    """The faults of a validation, in the order of the fields; `under` is put before each name."""
    entries = error.errors(include_url=False)
    placed = [(entry, _place(entry["loc"], model)) for entry in entries[:MOST_TOLD]]
    # A name that stands there misspelt is not missing too.
    meant = {
        (place.dotted.rpartition(".")[0], _nearest(place.name, _names(place.owner)))
        for entry, place in placed
        if entry["type"] == "extra_forbidden"
    }
    faults = [
        Fault(".".join(part for part in (under, place.dotted) if part), _sentence(entry, place))
        for entry, place in placed
        if entry["type"] != "missing" or (place.dotted.rpartition(".")[0], place.name) not in meant
    ]
    if rest := len(entries) - len(placed):
        faults.append(Fault("", f"and {rest} more faults: you see them once you have corrected these"))
    return faults


def _place(loc: tuple[int | str, ...], model: type[BaseModel]) -> _Place:
    wanted: Any = model
    owner: type[BaseModel] | None = None
    others: tuple[type[BaseModel], ...] = ()
    dotted: list[str] = []
    for part in loc:
        choices = _models(wanted)
        tagged = [choice for choice in choices if part in _tags(choice)]
        if len(choices) > 1 and tagged:
            wanted, others = tagged[0], tuple(choice for choice in choices if choice is not tagged[0])
            continue
        dotted.append(brief(part))
        owner, wanted = (choices[0], _field(choices[0], str(part))) if choices else (None, entry_of(wanted))
    return _Place(".".join(dotted), dotted[-1] if dotted else "", wanted, owner, others)


def _models(wanted: Any) -> list[type[BaseModel]]:
    return [kind for kind in types_behind(wanted) if isinstance(kind, type) and issubclass(kind, BaseModel)]


def _tags(model: type[BaseModel]) -> tuple[Any, ...]:
    kind = model.model_fields.get("kind")
    return get_args(kind.annotation) if kind else ()


def _field(model: type[BaseModel], name: str) -> Any:
    return next((info for key, info in model.model_fields.items() if name in (key, info.alias)), None)


def _names(model: type[BaseModel] | None) -> tuple[str, ...]:
    return tuple(info.alias or key for key, info in model.model_fields.items()) if model else ()


def _options(wanted: Any) -> list[str]:
    return [f'"{value}"' for kind in types_behind(wanted) if get_origin(kind) is Literal for value in get_args(kind)]


# Likelier figures than one example for all lengths.
_LENGTHS: Final = {
    "at": "0 mm", "reach": "45 mm", "from": "20 mm", "to": "80 mm", "focal_length": "160 mm", "field": "110 mm",
    "width": "80 mm", "height": "60 mm", "centre": "75 mm", "gap": "0.4 mm", "item.weld_line.width": "3 mm",
}  # fmt: skip


def _how_to_write(place: _Place, named: bool = True) -> str:
    """An assignment that would be right in form: ``wall = "0.5 mm"``; of a row, or not `named`, its value."""
    quantity, options = quantity_of(place.wanted), _options(place.wanted)
    name = f"{place.name} = " if named and not place.name.isdecimal() else ""
    if quantity:
        lengths = _LENGTHS if quantity.unit == "mm" else {}
        example = lengths.get(place.dotted) or lengths.get(place.name, quantity.example)
        return f'for example {name}"{example}"'
    if options:
        return f"{name}{listing(options, 'or')}"
    if place.dotted == "laser":
        example = 'use_laser = "fibre-30w-160" (an example laser) at the top of the file'
        return f"{example}, or a table [laser] with your own values"
    table = "{ … }, a row in braces" if place.name.isdecimal() else f"a table [{place.dotted}]"
    if tags := [f'"{tag}"' for model in _models(place.wanted) for tag in _tags(model)]:
        return f"{table} with kind = {listing(tags, 'or')}"
    if models := _models(place.wanted):
        return f"{table} with {listing(_required(models[0])) or 'names and values'}"
    kinds = {get_origin(kind) or kind for kind in types_behind(place.wanted)}
    return name + next((how for kind, how in _HOW_TO_WRITE.items() if kind in kinds), '"…", your text in quotes')


_HOW_TO_WRITE: Final = {
    tuple: "[ … ], a list in square brackets",
    dict: '{ … = "…" }, names with values in braces',
    bool: "true or false (without quotes)",
    int: "a whole number such as 16",
    float: "a number such as 1.5",
    datetime: "2026-05-01T09:30:00Z (a date, without quotes)",
}


def _required(model: type[BaseModel]) -> list[str]:
    needed = [info.alias or key for key, info in model.model_fields.items() if info.is_required()]
    # An item is told by its stations or by its flats, so neither is required by itself.
    return [*needed, "measurements"] if "measurements" in model.model_fields else needed


_BOUNDS: Final = {
    "greater_than": ("gt", "too small", "more than {}"),
    "greater_than_equal": ("ge", "too small", "{} or more"),
    "less_than": ("lt", "too large", "less than {}"),
    "less_than_equal": ("le", "too large", "{} or less"),
}


def _sentence(entry: Mapping[str, Any], place: _Place) -> str:
    kind, given, notes = entry["type"], entry["input"], entry.get("ctx", {})
    if kind == "value_error":
        (says,) = notes["error"].args
        return says if isinstance(says, str) else str(says)
    if kind in _BOUNDS:
        return _out_of_bounds(*_BOUNDS[kind], given, notes, quantity_of(place.wanted))
    if kind == "extra_forbidden":
        return _unknown(place)
    if kind == "missing":
        return Missing(f"is missing: write {_how_to_write(place)}")
    if kind.startswith("union_tag"):
        return _untagged(kind, notes, place)
    if kind == "literal_error":
        near = get_close_matches(str(given), [option.strip('"') for option in _options(place.wanted)], 1)
        write = f'did you mean "{near[0]}"? Write' if near else "write"
        return f"{brief(given) or 'an empty text'} can't be used here: {write} {_how_to_write(place, named=False)}"
    if kind == "string_too_short":
        return Predicate(f"must not be empty: write {_how_to_write(place, named=False)}")
    if kind == "string_too_long":
        return Predicate(f"is longer than {notes['max_length']} characters: write a shorter text")
    if kind == "finite_number":
        return f"{brief(given)} can't be used as a number: write {_how_to_write(place, named=False)}"
    return f"{brief(given) or 'an empty text'} can't be used here: write {_how_to_write(place, named=False)}"


def _out_of_bounds(
    key: str, fault: str, bound: str, given: Any, notes: Mapping[str, Any], quantity: Quantity | None
) -> str:
    if quantity is None:
        return f"{brief(given)} is {fault}: write {bound.format(f'{notes[key]:g}')}"
    shown = given if isinstance(given, str) else quantity.text(float(given))
    return f"{brief(shown)} is {fault}: write {bound.format(quantity.text(float(notes[key])))}"


def _unknown(place: _Place) -> str:
    owner, names = place.owner, _names(place.owner)
    fields = {name: _field(owner, name) for name in names} if owner else {}
    for model in place.others:
        if place.name in _names(model):
            (kind,) = _tags(model)
            return Unknown(f'is only for {kind}: leave it out, or write kind = "{kind}"')
    for name, wanted in fields.items():
        if any(place.name in _names(row) for row in _models(entry_of(wanted))):
            return Unknown(f"belongs in a row: write {name} = [{{ {place.name} = … }}]")
    if near := _nearest(place.name, names):
        return Unknown(f'is not known to rotary. Did you mean "{near}"?')
    for name, wanted in fields.items():
        if any(place.name in _names(table) for table in _models(wanted)):
            return Unknown(f"stands in the wrong table: write it under [{name}]")
    return Unknown(f"is not known to rotary: leave it out, or write one of these names: {', '.join(names)}")


@lru_cache(MOST_TOLD)
def _nearest(name: str, names: tuple[str, ...]) -> str | None:
    return next(iter(get_close_matches(name, names, 1, cutoff=0.6)), None)


def _untagged(kind: str, notes: Mapping[str, Any], place: _Place) -> str:
    tags = [f'"{tag}"' for model in _models(place.wanted) for tag in _tags(model)]
    if kind == "union_tag_not_found":
        return Predicate(f"has no kind: write kind = {listing(tags, 'or')}")
    near = get_close_matches(str(notes.get("tag", "")), [tag.strip('"') for tag in tags], 1)
    write = f'did you mean "{near[0]}"? Write' if near else "write"
    return f'kind can\'t be "{brief(notes.get("tag", ""))}": {write} kind = {listing(tags, "or")}'
