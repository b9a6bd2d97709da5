"""Tables of texts, as job files hold them, and the same by dotted names, as fields hold them. No terminal in here."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, NamedTuple

from rotary import examples, units
from tui.form.fields import YES_NO, Field, JobTables, Tables


class Entry(NamedTuple):
    """One field as typed: its text, its value in the core's unit if it has one, and what is wrong with the text."""

    text: str
    value: float | None = None
    fault: str = ""


EMPTY: Final = Entry("")


def leaves(table: JobTables, under: str = "") -> Iterator[tuple[str, Any]]:
    """The values of nested tables by dotted name; a list of plain values is one value."""
    for name, value in table.items():
        key = f"{under}{name}"
        if isinstance(value, Mapping):
            yield from leaves(value, f"{key}.")
        elif isinstance(value, list) and value and all(isinstance(entry, Mapping) for entry in value):
            yield from _rows(value, key)
        else:
            yield key, value


def _rows(rows: Iterable[JobTables], key: str) -> Iterator[tuple[str, Any]]:
    for place, row in enumerate(rows):
        yield from leaves(row, f"{key}.{place}.")


def put(tree: Tables, key: str, value: Any) -> None:
    """Set a value by its dotted name; a number in the name is a place in a list."""
    node: Any = tree
    parts = key.split(".")
    for part, following in zip(parts, [*parts[1:], ""], strict=True):
        fits = part.isdigit() and int(part) <= len(node) if isinstance(node, list) else isinstance(node, dict)
        if not fits:
            # The file has something else where a table or a list belongs: the core says so.
            return
        fresh: Any = value if not following else [] if following.isdigit() else {}
        if isinstance(node, list):
            if int(part) == len(node):
                node.append(fresh)
            node = node[int(part)]
        elif following:
            node = node.setdefault(part, fresh)
        else:
            node[part] = value


def as_written(field: Field, entry: Entry, text: str) -> Any:
    """A field's text as the core is to read it: yes and no as truths, several as a list, a value with its unit."""
    if entry.value is not None:
        # Every value goes with its unit: what a bare number means would depend on the system shown.
        return f"{entry.value!r} {field.unit}" if field.unit else units.shortest_text(entry.value, "")
    if field.is_choice and text in YES_NO:
        return text == "yes"
    if field.several:
        return [part for part in re.split(r"\s*;\s*|\s*,\s+", text) if part]
    if field.lines:
        return text.replace("\\n", "\n")
    return text.replace(",", ".") if field.number else text


def reference_tables(name: str) -> Tables:
    """A reference file's tables, with those of a person's own file; each file is read once."""
    import tomllib
    from contextlib import suppress

    from rotary.files import LARGEST_JOB_BYTES, regular_bytes, toml_tables
    from rotary.shipped import own_reference, reference

    own = own_reference(name)
    if name not in _read_once:
        _read_once[name] = tomllib.loads(reference(name))
    if str(own) not in _read_once:
        _read_once[str(own)] = {}
        # What is wrong with it is told with the plan, which reads it too.
        with suppress(OSError, ValueError, RecursionError):
            _read_once[str(own)] = toml_tables(regular_bytes(own, LARGEST_JOB_BYTES).decode("utf-8"))
    return _read_once[name] | _read_once[str(own)]


_read_once: dict[str, Tables] = {}


def blank(data: JobTables) -> Tables:
    """An empty job on the same machine as another: its drive without what was read off the item, and the rest.

    Nothing of it is a shipped example's: of that one's laser and lens only what was typed in their place is left.

    >>> blank({"item": {"name": "Heron mug"}, "turning": {"kind": "chuck", "ticks": [{}]}})["turning"]
    {'kind': 'chuck'}
    """
    drive = {key: _as_typed(value) for key, value in data.get("turning", {}).items() if key not in examples.OF_THE_ITEM}
    head = {key: _as_typed(value) for key, value in data.get("laser", {}).items() if key != "use"}
    if example := examples.laser_example({"use": data.get("use_laser"), **data.get("laser", {})}):
        head = examples.own_figures(head, example)
        if examples.is_example_drive(drive):
            drive = {"kind": drive["kind"]}
        if examples.is_example_program(data.get("program")):
            data = {**data, "program": None}
    machine = {"turning": drive or {"kind": "rollers"}, "laser": head, "machine": data.get("machine")}
    machine |= {"shop": examples.own_shop(data.get("shop")), "program": data.get("program")}
    return {
        "item": {"measurements": [{"at": "0 mm"}, {"at": ""}]},
        **{name: part for name, part in machine.items() if part},
    }


def figures_of_example(data: JobTables) -> tuple[str, set[str]]:
    """The shipped laser that a job is on, empty for a person's own, and which of its figures are that laser's."""
    head = data.get("laser", {})
    if not isinstance(head, Mapping):
        return "", set()
    example = examples.laser_example({"use": data.get("use_laser"), **head})
    return example, set(head) - set(examples.own_figures(head, example)) if example else set()


def _as_typed(value: Any) -> Any:
    """Whole numbers as a person writes them."""
    return re.sub(r"^(-?\d+)\.0(?= )", r"\1", value) if isinstance(value, str) else value
