"""On which line of a TOML file a value stands, so that a person is sent to the right place."""

import re
from collections.abc import Iterator
from typing import Final

from rotary.old_keys import new_parts

_HEADING: Final = re.compile(r"\s*(\[{1,2})\s*([^\[\]]+?)\s*\]{1,2}\s*(?:#.*)?$")
_KEY: Final = re.compile(
    r"""\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*=\s*(.*)$"""
)
_INSIDE: Final = re.compile(r"""[{,]\s*([A-Za-z0-9_-]+)\s*=""")


def line_of(text: str, where: str) -> int | None:
    """The line, from 1, on which the value with this dotted name stands; its table's where it is missing.

    >>> line_of('[item]\\nname = "a"\\nstations = [\\n  { at = "0", acros = "9" },\\n]', "item.measurements.0.acros")
    4
    """
    wanted = where.split(".") if where else []
    best, found = 0, None
    for path, line in _places(text):
        shared = len(path) if [*new_parts(path)] == wanted[: len(path)] else 0
        if shared > best:
            best, found = shared, line
    return found


def _places(text: str) -> Iterator[tuple[list[str], int]]:
    """Every dotted name that begins on a line, with the line."""
    table: list[str] = []
    counts: dict[str, int] = {}
    listed: tuple[list[str], int] | None = None
    for number, line in enumerate(text.split("\n"), 1):
        if listed is not None:
            yield from _entries(line, number, listed)
            began = line.lstrip()[:1] not in ("", "#", "]")
            listed = None if line.lstrip().startswith("]") else (listed[0], listed[1] + began)
        elif heading := _HEADING.match(line):
            table = _parts(heading[2])
            if heading[1] == "[[":
                place = counts.get(heading[2], 0)
                counts[heading[2]] = place + 1
                table = [*table, str(place)]
            yield table, number
        elif key := _KEY.match(line):
            path = [*table, *_parts(key[1])]
            yield path, number
            value = key[2].split("#")[0].strip()
            if value == "[":
                listed = (path, 0)
            elif value.startswith(("[", "{")):
                yield from _entries_of_one_line(value, number, path)


def _entries(line: str, number: int, listed: tuple[list[str], int]) -> Iterator[tuple[list[str], int]]:
    entry = [*listed[0], str(listed[1])]
    if line.lstrip()[:1] in ("", "#", "]"):
        return
    yield entry, number
    for name in _INSIDE.findall(line):
        yield [*entry, name], number


def _entries_of_one_line(value: str, number: int, path: list[str]) -> Iterator[tuple[list[str], int]]:
    if value.startswith("{"):
        for name in _INSIDE.findall(value):
            yield [*path, name], number


def _parts(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]
