"""Keys of earlier versions, and what they are called now: the one table that every file that is opened goes by.

Files are written with today's keys alone.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from rotary.errors import Fault, Predicate, refuse_all

_JOB: Final = {"rig": "machine", "drive": "turning", "head": "laser", "use_head": "use_laser", "kept": "saved"}
_SETTING: Final = {
    "rate": "frequency", "pulse": "pulse_width", "duration": "pulse_width", "scan_speed": "speed",
    "hatch": "line_spacing", "struck": "ignored", "head": "laser",
}  # fmt: skip

OLD_KEYS: Final[dict[str, dict[str, str]]] = {
    "": _JOB,
    "job": _JOB,
    "saved": {"made_from": "follows"},
    "item": {"datum": "heights_from", "stations": "measurements"},
    "laser": {
        "pulse_durations": "pulse_widths", "lowest_rate": "lowest_frequency", "highest_rate": "highest_frequency",
    },
    "tolerances": {"joint": "seam", "blank_edge": "margin", "hatch": "line_spacing"},
    "notes": {"says": "text"},
    "on_item": {"seen": "visible"},
    "passes": _SETTING | {"spoilt": "spoiled_cost"},
    "plan": _SETTING,
    "proof": {"rig": "machine", "rig_readings": "machine_readings"},
    "reading": _SETTING,
    "readings": _SETTING | {"foot_end": "base_end"},
    "verniers": {"joint": "seam"},
}  # fmt: skip
"""Old key to new, by the table that they stand in; "" is the file itself. Rows of a list go by the list's name."""

_METHOD: Final = {"sheet": "sliced", "plain": "flat"}
_MAP: Final = {"decal": "label"}

OLD_VALUES: Final[dict[tuple[str, str], dict[str, str]]] = {
    ("item", "heights_from"): {"foot": "base"},
    ("tolerances", "method"): _METHOD,
    ("plan", "method"): _METHOD,
    ("artwork", "surface_map"): _MAP,
    ("inscription", "surface_map"): _MAP,
    ("", "outcome"): {"joints-show": "seams-show"},
}
"""Words behind a key that were others in earlier versions, by table and new key."""


def with_new_keys(tables: Mapping[str, Any], table: str = "") -> dict[str, Any]:
    """Nested tables with today's keys; `table` is the name of the outermost one.

    Raises Refused where an old key and the new one stand side by side.

    >>> with_new_keys({"drive": {"kind": "chuck"}, "item": {"datum": "foot"}})
    {'turning': {'kind': 'chuck'}, 'item': {'heights_from': 'base'}}
    """
    faults: list[Fault] = []
    renamed: dict[str, Any] = _renamed(tables, table, "", faults)
    refuse_all(faults)
    return renamed


def new_name(dotted: str) -> str:
    """The dotted name of a value, with today's keys.

    >>> new_name("kept.proof.job.head.lowest_rate"), new_name("item.stations.0.at"), new_name("item.wall")
    ('saved.proof.job.laser.lowest_frequency', 'item.measurements.0.at', 'item.wall')
    """
    return ".".join(new_parts(dotted.split(".")))


def new_word(dotted: str, text: str) -> str:
    """What stands behind a key, in today's words; the key by its dotted name of today."""
    table, _, key = dotted.rpartition(".")
    return OLD_VALUES.get((table, key), {}).get(text, text)


def new_parts(parts: list[str]) -> Iterator[str]:
    """The parts of a dotted name, with today's keys; a number is the place in a list."""
    table = ""
    for part in parts:
        new = OLD_KEYS.get(table, {}).get(part, part)
        table = table if part.isdigit() else new
        yield new


def _renamed(node: Any, table: str, under: str, faults: list[Fault]) -> Any:
    if isinstance(node, list):
        return [_renamed(entry, table, f"{under}{place}.", faults) for place, entry in enumerate(node)]
    if not isinstance(node, Mapping):
        return node
    known, out = OLD_KEYS.get(table, {}), {}
    for key, value in node.items():
        new = known.get(str(key), str(key))
        if new != key and new in node:
            says = Predicate(f"is the earlier name of {new}, which is in the file too: take one of the two lines out")
            faults.append(Fault(f"{under}{key}", says))
            continue
        if isinstance(value, str):
            value = new_word(f"{table}.{new}" if table else new, value)
        out[new] = _renamed(value, new, f"{under}{new}.", faults)
    return out
