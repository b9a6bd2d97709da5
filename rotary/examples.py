"""What the shipped examples have invented, so that none of it ever passes as a person's own.

Tables of texts, as job files and screens hold them, or of plain numbers in the core's units. They are
recognised by what they say, so copies, drafts and profiles made before are known as well.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from functools import lru_cache
from typing import Any, Final

from rotary import units
from rotary.defaults import DEFAULTS
from rotary.shipped import example_text, examples, reference

BANNER: Final = "EXAMPLE, NOT YOUR MACHINE"
ENTER_YOURS: Final = "Laser and lens are examples: enter your own."

EXAMPLE_ONLY: Final = "EXAMPLE ONLY"

OF_THE_ITEM: Final = ("ticks", "contact_from", "contact_to", "typed_diameter")
"""What stands with a drive and was read off the item."""

_ITEM: Final = ("name", "measurements", "flats", "across_flats", "length")
"""What makes an item that of an example: its name and its size."""

_UNITS: Final[dict[str, dict[str, str]]] = {
    "laser": {
        "wavelength": "nm", "rated_power": "W", "largest_pulse": "mJ", "pulse_widths": "ns", "lowest_frequency": "kHz",
        "highest_frequency": "kHz", "beam_diameter": "mm", "focal_length": "mm", "field": "mm", "free_height": "mm",
        "top_speed": "mm/s", "travel_speed": "mm/s", "line_wait": "s", "pupil_doubt": "", "focus_above": "mm",
        "slice_wide": "", "slice_high": "", "slice_turn": "rad", "power_step": "",
    },
    "turning": {
        "roller_diameter": "mm", "centres": "mm", "axis_height": "mm", "top_speed": "rad/s", "settling": "s",
        "skew": "rad", "offset": "mm",
    },
    "shop": {"from": "nm", "to": "nm", "wavelength": "nm", "power": "W"},
    "item": {"at": "mm", "across": "mm", "round": "mm", "second_across": "mm", "across_flats": "mm", "length": "mm"},
}  # fmt: skip
"""The unit of each value that has one; all others are words or plain numbers."""


def banner(use: str) -> str:
    """What a job on that shipped laser says before all else; nothing on a person's own.

    >>> banner("")
    ''
    """
    return f"{BANNER}. {ENTER_YOURS}" if use else ""


def state_words(state: str, is_example: bool) -> str:
    """How a job stands, in a word or two. An example looks ready for nobody's item: its readings are invented.

    >>> state_words("ready", False), state_words("ready", True), state_words("test first", True)
    ('READY', 'EXAMPLE ONLY', 'TEST FIRST')
    """
    return EXAMPLE_ONLY if is_example and state == "ready" else state.upper()


@lru_cache(maxsize=1)
def laser_tables() -> dict[str, dict[str, Any]]:
    """The shipped lasers as tables of texts, by the name that `use_laser` takes."""
    return tomllib.loads(reference("heads.toml"))


def laser_example(head: Mapping[str, Any]) -> str:
    """Which shipped laser a table [laser] is: by `use`, by name, or by every figure; empty for a person's own.

    >>> laser_example({"name": "ours", "rated_power": "20 W"}), laser_example({"use": "fibre-30w-160", "spot": "43 um"})
    ('', 'fibre-30w-160')
    """
    for name, shipped in laser_tables().items():
        figures = [key for key in shipped if key not in ("name", "note")]
        if head.get("use") == name or head.get("name") == shipped["name"] or _equal("laser", head, shipped, figures):
            return name
    return ""


def own_figures(head: Mapping[str, Any], example: str) -> dict[str, Any]:
    """What a table [laser] says for itself: neither what it has from that example nor what holds anyway."""
    theirs = {**DEFAULTS["laser"], **laser_tables()[example]}
    return {key: value for key, value in head.items() if key != "use" and not _equal("laser", head, theirs, [key])}


def is_example_item(item: Mapping[str, Any]) -> bool:
    """Whether an item is one of the shipped examples, by its name and its size."""
    return any(all(_figure("item", item.get(key), key) == value for key, value in known) for known in _items())


@lru_cache(maxsize=1)
def _items() -> tuple[tuple[tuple[str, Any], ...], ...]:
    return tuple(tuple((key, _figure("item", one["item"].get(key), key)) for key in _ITEM) for one in _jobs())


def own_shop(shop: Any) -> dict[str, list[Any]]:
    """A table [shop] without the eyewear and the lasers that are an example's; lists that are left empty are gone."""
    named = shop.items() if isinstance(shop, Mapping) else ()
    lists = {name: rows for name, rows in named if isinstance(rows, list | tuple)}
    own = {name: [row for row in rows if not _is_invented(row, name)] for name, rows in lists.items()}
    return {name: rows for name, rows in own.items() if rows}


def _is_invented(row: Any, name: str) -> bool:
    """Whether a row with a name says nothing that a row of an example does not say."""
    names = tuple(_filled(row)) if isinstance(row, Mapping) else ()
    invented = (one for shipped in _jobs() for one in shipped.get("shop", {}).get(name, ()))
    return "name" in names and any(_equal("shop", row, one, names) for one in invented)


def is_example_drive(drive: Mapping[str, Any]) -> bool:
    """Whether a drive is a shipped example's or as usual, what was read off the item left out."""
    kind = drive.get("kind")
    usual = DEFAULTS.get(str(kind), {})
    ours = {**usual, **drive}
    for known in ({"kind": kind}, *(shipped["turning"] for shipped in _jobs())):
        theirs = {**usual, **known}
        if _equal("turning", ours, theirs, {*ours, *theirs}.difference(OF_THE_ITEM)):
            return True
    return False


def is_example_program(program: Any) -> bool:
    """Whether what a marking program can do is what a shipped example says of its own."""
    known = [one["program"] for one in _jobs() if "program" in one]
    return isinstance(program, Mapping) and any({**one, **program} == one for one in known)


@lru_cache(maxsize=1)
def _jobs() -> tuple[dict[str, Any], ...]:
    return tuple(tomllib.loads(example_text(path)) for path in examples().values())


def _equal(table: str, ours: Mapping[str, Any], theirs: Mapping[str, Any], keys: Iterable[str]) -> bool:
    """Whether two tables of a kind say the same of these keys."""
    return all(_figure(table, ours.get(key), key) == _figure(table, theirs.get(key), key) for key in keys)


def _filled(table: Mapping[str, Any]) -> Iterator[str]:
    return (name for name, value in table.items() if not (value is False or value is None or value in ("", ())))


def _figure(table: str, value: Any, name: str) -> Any:
    """A value as it can be compared: numbers with their unit as numbers, tables and lists value by value."""
    if isinstance(value, Mapping):
        return {key: _figure(table, value[key], key) for key in _filled(value)}
    if isinstance(value, list | tuple):
        return [_figure(table, entry, name) for entry in value]
    if isinstance(value, str):
        unit = _UNITS[table].get(name)
        with suppress(ValueError):
            value = float(value) if unit is None else units.value_from_text(value, unit, units.bare_unit(unit, "mm"))
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(f"{value:.9g}")
    return value or None
