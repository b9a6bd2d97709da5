"""What the shipped examples have invented, so that none of it ever passes as a person's own.

Tables of texts, as job files and screens hold them, or of plain numbers in the core's units. They are
recognised by what they say, so copies, drafts and profiles made before are known as well.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any, Final

from rotary import units
from rotary.shipped import examples, reference

BANNER: Final = "EXAMPLE, NOT YOUR MACHINE"
ENTER_YOURS: Final = "Laser and lens are an example's: enter yours."

_UNITS: Final = {
    "wavelength": "nm", "rated_power": "W", "largest_pulse": "mJ", "pulse_durations": "ns", "lowest_rate": "kHz",
    "highest_rate": "kHz", "beam_diameter": "mm", "focal_length": "mm", "field": "mm", "free_height": "mm",
    "top_speed": "mm/s", "travel_speed": "mm/s", "line_wait": "s",
    "from": "nm", "to": "nm", "power": "W", "at": "mm", "across": "mm", "round": "mm", "length": "mm",
    "across_flats": "mm", "roller_diameter": "mm", "centres": "mm", "axis_height": "mm",
}  # fmt: skip
"""The unit of each value that is compared; all others are words or plain numbers."""

_ITEM: Final = ("name", "stations", "flats", "across_flats", "length")
"""What makes an item that of an example: its name and its size."""

OF_THE_ITEM: Final = ("ticks", "contact_from", "contact_to", "typed_diameter")
"""What stands with a drive and was read off the item."""


@lru_cache(maxsize=1)
def head_tables() -> dict[str, dict[str, Any]]:
    """The shipped heads as tables of texts, by the name that `use_head` takes."""
    return tomllib.loads(reference("heads.toml"))


def head_example(head: Mapping[str, Any]) -> str:
    """Which shipped head a table [head] is: by `use`, by name, or by every figure; empty for a person's own.

    >>> head_example({"name": "ours", "rated_power": "20 W"}), head_example({"use": "fibre-30w-160", "spot": "43 um"})
    ('', 'fibre-30w-160')
    """
    for name, shipped in head_tables().items():
        figures = {key: value for key, value in shipped.items() if key not in ("name", "note")}
        if head.get("use") == name or head.get("name") == shipped["name"] or _equal(head, figures, figures):
            return name
    return ""


def own_figures(head: Mapping[str, Any], example: str) -> dict[str, Any]:
    """What a table [head] says for itself: not what it has from that example."""
    shipped = head_tables()[example]
    return {
        key: value
        for key, value in head.items()
        if key != "use" and not (key in shipped and _figure(value, key) == _figure(shipped[key], key))
    }


def is_example_item(item: Mapping[str, Any]) -> bool:
    """Whether an item is one of the shipped examples, by its name and its size."""
    return any(_equal(item, shipped["item"], _ITEM) for shipped in _jobs())


def own_rows(shop: Mapping[str, Any], name: str) -> tuple[Any, ...]:
    """The rows of `eyewear` or `other_lasers` that are not an example's."""
    invented = [row for shipped in _jobs() for row in shipped.get("shop", {}).get(name, ())]
    rows = shop.get(name) or ()
    return tuple(row for row in rows if not (isinstance(row, Mapping) and any(_says_no_more(row, one) for one in invented)))


def is_example_drive(drive: Mapping[str, Any]) -> bool:
    """Whether a drive is one of the shipped examples', what was read off the item left out."""
    ours = {key for key in _filled(drive) if key not in OF_THE_ITEM}
    return any(_equal(drive, one, ours.union(_filled(one)).difference(OF_THE_ITEM)) for one in _drives())


def _drives() -> Iterator[Mapping[str, Any]]:
    return (shipped["drive"] for shipped in _jobs())


@lru_cache(maxsize=1)
def _jobs() -> tuple[dict[str, Any], ...]:
    return tuple(tomllib.loads(path.read_text(encoding="utf-8")) for path in examples().values())


def _equal(ours: Mapping[str, Any], theirs: Mapping[str, Any], keys: Iterable[str]) -> bool:
    """Whether two tables say the same of these keys."""
    return all(_figure(ours.get(key), key) == _figure(theirs.get(key), key) for key in keys)


def _says_no_more(row: Mapping[str, Any], invented: Mapping[str, Any]) -> bool:
    """Whether a row that has a name says nothing that the example's row does not say."""
    names = tuple(_filled(row))
    return "name" in names and _equal(row, invented, names)


def _filled(table: Mapping[str, Any]) -> Iterator[str]:
    return (name for name, value in table.items() if not (value is False or value is None or value in ("", ())))


def _figure(value: Any, name: str) -> Any:
    """A value as it can be compared: numbers with their unit as numbers, tables and lists value by value."""
    if isinstance(value, Mapping):
        return {key: _figure(value[key], key) for key in _filled(value)}
    if isinstance(value, list | tuple):
        return [_figure(entry, name) for entry in value]
    unit = _UNITS.get(name)
    if isinstance(value, str) and unit:
        try:
            value = units.value_from_text(value, unit, units.bare_unit(unit, "mm"))
        except units.UnitError:
            return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(f"{value:.9g}")
    return value or None
