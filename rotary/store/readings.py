"""Readings on disk: one TOML file in the person's data folder, all readings in it, none ever forgotten.

A reading that is struck out stays there and says so; only what a person deletes by hand is gone.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from rotary.errors import Fault, FileTrouble, Refused, brief, known_numbers, refuse
from rotary.faults import built, faults_of
from rotary.files import file_trouble, regular_bytes, toml_tables, write_whole
from rotary.job import Job
from rotary.lock import exclusive
from rotary.passes.learning.reading import NOT_READ, Outcome, Reading
from rotary.safety import is_example
from rotary.shipped import examples
from rotary.toml import toml_trouble, value_text

FILE_NAME: Final = "readings.toml"
LARGEST_BYTES: Final = 20_000_000

_PATCH: Final = re.compile(r"patch \d+")
_ABOUT: Final = """\
# Readings of test patches and real jobs. Each has every setting it was made with.
# ignored = true leaves a reading here, but no plan uses it.
"""


def readings_in(folder: Path) -> tuple[Reading, ...]:
    """All readings that are kept in a folder; none where there is no file. Raises FileTrouble or Refused."""
    path = folder / FILE_NAME
    larger = FileTrouble(
        f"{brief(path, 80)} is too large for readings: move the file to another place, or choose another folder"
    )
    with file_trouble(path, "read", "choose another folder with --store"):
        try:
            raw = regular_bytes(path, LARGEST_BYTES, larger)
        except FileNotFoundError:
            return ()
    return _readings(raw, brief(path, 80))


def invented_readings(job: Job) -> tuple[Reading, ...]:
    """The readings that ship with an example, as invented as its laser; none once either is a person's own."""
    return _invented(job.item.name) if job.laser.use and is_example(job.item) else ()


@lru_cache(maxsize=4)
def _invented(item: str) -> tuple[Reading, ...]:
    for path in examples().values():
        file = path.with_suffix(".readings")
        if file.is_file():
            found = _readings(regular_bytes(file, LARGEST_BYTES), file.name)
            if found and found[0].item == item:
                return found
    return ()


@lru_cache(maxsize=4)
def _readings(raw: bytes, where: str) -> tuple[Reading, ...]:
    """What a file says; the same bytes are read once, since the desk asks anew at every key."""
    try:
        tables = toml_tables(raw.decode("utf-8")).get("reading", [])
    except (ValueError, RecursionError) as trouble:
        raise FileTrouble(f"{toml_trouble(where, trouble)}. Or move the file to another folder") from None
    try:
        return tuple(_reading(table, at) for at, table in enumerate(tables))
    except Refused as refused:
        raise Refused(Fault("", f"{where}, {one}") for one in refused.faults) from None


def _reading(table: Any, at: int) -> Reading:
    try:
        try:
            return _validated(tuple((name, type(value), value) for name, value in table.items()))
        except (AttributeError, TypeError):
            # No table, or a value in it that is a list or a table: validation says what is wrong with it.
            return Reading.model_validate(table, context={"units": "must"})
    except ValidationError as error:
        raise Refused(faults_of(error, Reading, under=f"reading.{at}")) from None


@lru_cache(maxsize=4096)
def _validated(fields: tuple[tuple[str, type, Any], ...]) -> Reading:
    """A reading from its fields; units are read with exact fractions, and of many readings one is new."""
    return Reading.model_validate({name: value for name, _, value in fields}, context={"units": "must"})


def add_readings(new: Iterable[Reading], folder: Path) -> tuple[Reading, ...]:
    """Add readings to those that are kept, with the next numbers; returns the new ones as they are kept."""

    def more(old: tuple[Reading, ...]) -> tuple[Reading, ...]:
        number = max((reading.number for reading in old), default=0)
        added = (reading.but(number=number + 1 + at) for at, reading in enumerate(new))
        return (*old, *added)

    before, after = _changed(folder, more)
    return after[len(before) :]


def add_patch(
    cells: Sequence[Reading], folder: Path, kept: Callable[[tuple[Reading, ...]], str] = lambda _: ""
) -> tuple[str, bool]:
    """Add the cells of a patch, not read yet, under the next name of a patch: that name, and whether it is new.

    `kept` gives the name of the patch among the readings that has these cells already, if one has: nothing is added
    then. It is asked while no other program writes, so that two that print one patch at once keep one.
    """
    named: list[str] = []

    def more(old: tuple[Reading, ...]) -> tuple[Reading, ...]:
        if again := kept(old):
            named.append(again)
            return old
        last = max((int(r.patch.removeprefix("patch ")) for r in old if _PATCH.fullmatch(r.patch)), default=0)
        number = max((reading.number for reading in old), default=0)
        named.append(f"patch {last + 1}")
        return (*old, *(cell.but(number=at, patch=named[-1]) for at, cell in enumerate(cells, number + 1)))

    before, after = _changed(folder, more)
    return named[-1], after != before


def strike(number: int, folder: Path, ignored: bool = True) -> Reading:
    """Strike a reading out, or let it count again; raises Refused where nobody recorded one of that number."""
    return change_readings({number: {"ignored": ignored}}, folder, recorded=True)[0]


def close_patch(name: str, folder: Path) -> None:
    """Strike out what is not read of a patch: nothing more will be. Raises Refused where there is no such patch."""

    def closed(old: tuple[Reading, ...]) -> tuple[Reading, ...]:
        if not any(r.patch == name for r in old):
            raise refuse("patch", f"there is no {name}: to see all patches write rotary patch list.")
        gone = [r.patch == name and r.outcome == NOT_READ for r in old]
        return tuple(r.but(ignored=True) if out else r for r, out in zip(old, gone, strict=True))

    _changed(folder, closed, refuses=True)


def read_as(number: int, outcome: Outcome, folder: Path, note: str | None = None) -> Reading:
    """Write down what a cell looks like; raises Refused where there is no reading of that number."""
    return change_readings({number: {"outcome": outcome} | ({} if note is None else {"note": note})}, folder)[0]


def change_readings(
    changes: Mapping[int, Mapping[str, Any]], folder: Path, recorded: bool = False
) -> tuple[Reading, ...]:
    """Change fields of readings by their numbers, all at once; raises Refused where there is none of a number.

    With `recorded` a cell that nobody has read yet is none.
    """

    def other(old: tuple[Reading, ...]) -> tuple[Reading, ...]:
        numbers = [reading.number for reading in old if not recorded or reading.outcome != NOT_READ]
        for number in sorted(changes.keys() - {*numbers}):
            none = "no reading is saved yet. To enter what you saw write rotary patch record JOB"
            known = known_numbers("reading", numbers, none)
            raise refuse("number", f"there is no reading {number}: {known}.")
        return tuple(r.but(**changes[r.number]) if r.number in changes else r for r in old)

    _, after = _changed(folder, other, refuses=True)
    return tuple(reading for reading in after if reading.number in changes)


def _changed(
    folder: Path, change: Callable[[tuple[Reading, ...]], tuple[Reading, ...]], refuses: bool = False
) -> tuple[tuple[Reading, ...], tuple[Reading, ...]]:
    """Readings before and after a change, written whole or not at all, while no other program writes.

    A change that `refuses` what isn't there is asked before a folder is made.
    """
    if refuses and not folder.is_dir():
        # What is refused makes no folder.
        change(())
    with exclusive(folder):
        before = readings_in(folder)
        old = {*map(id, before)}
        # What could not be read again is not written.
        after = tuple(one if id(one) in old else built(Reading, **dict(one)) for one in change(before))
        if after != before:
            write_whole(folder / FILE_NAME, (_ABOUT + "".join(map(_table, after))).encode("utf-8"), shared=True)
    return before, after


@lru_cache(maxsize=4096)
def _table(reading: Reading) -> str:
    values = ((getattr(reading, name), info) for name, info in Reading.model_fields.items())
    lines = [f"{info.alias} = {value_text(value, info)}" for value, info in values if value not in (None, info.default)]
    return "\n".join(["", "[[reading]]", *lines]) + "\n"
