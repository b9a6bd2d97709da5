"""Readings on disk: one TOML file in the person's data folder, all readings in it, none ever forgotten.

A reading that is struck out stays there and says so; only what a person deletes by hand is gone.
"""

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from rotary import units
from rotary.errors import FileTrouble, Refused, brief, refuse
from rotary.faults import faults_of
from rotary.files import is_there, told, toml_tables, write_whole
from rotary.model import quantity_of
from rotary.passes.reading import Outcome, Reading

FILE_NAME: Final = "readings.toml"
LARGEST_BYTES: Final = 20_000_000

_ABOUT: Final = """\
# Readings of proof patches and real jobs. Each has every setting it was made with.
# struck = true keeps a reading here but lets it teach nothing.
"""


def readings_in(folder: Path) -> tuple[Reading, ...]:
    """All readings that are kept in a folder; none where there is no file. Raises FileTrouble or Refused."""
    path = folder / FILE_NAME
    if not is_there(path):
        return ()
    with told(path, "read", "choose another folder with --folder"):
        raw = path.read_bytes()
    if len(raw) > LARGEST_BYTES:
        raise FileTrouble(f"{brief(str(path), 80)} is too large for readings: move it away, or choose another folder")
    try:
        tables = toml_tables(raw.decode("utf-8")).get("reading", [])
    except (ValueError, RecursionError) as trouble:
        raise FileTrouble(
            f"{brief(str(path), 80)} is not a file of readings ({brief(str(trouble), 60)}): mend it, or move it away"
        ) from None
    return tuple(_reading(table, at) for at, table in enumerate(tables))


def _reading(table: Any, at: int) -> Reading:
    try:
        return Reading.model_validate(table, context={"units": "must"})
    except ValidationError as error:
        raise Refused(faults_of(error, Reading, under=f"reading.{at}")) from None


def keep_readings(readings: Sequence[Reading], folder: Path) -> None:
    """Write all readings, whole or not at all."""
    with told(folder, "made", "choose a folder that you may write to, with --folder"):
        folder.mkdir(parents=True, exist_ok=True)
    write_whole(folder / FILE_NAME, (_ABOUT + "".join(map(_table, readings))).encode("utf-8"))


def add_readings(new: Iterable[Reading], folder: Path) -> tuple[Reading, ...]:
    """Add readings to those that are kept, with the next numbers; returns the new ones as they are kept."""
    old = readings_in(folder)
    number = max((reading.number for reading in old), default=0)
    added = tuple(reading.model_copy(update={"number": number + 1 + at}) for at, reading in enumerate(new))
    keep_readings((*old, *added), folder)
    return added


def strike(number: int, folder: Path, struck: bool = True) -> Reading:
    """Strike a reading out, or let it count again; raises Refused where there is none of that number."""
    old = readings_in(folder)
    if not any(reading.number == number for reading in old):
        known = f"write one from {old[0].number} to {old[-1].number}" if old else "none is kept yet"
        raise refuse("number", f"there is no reading {number}: {known}.")
    new = tuple(r.model_copy(update={"struck": struck}) if r.number == number else r for r in old)
    keep_readings(new, folder)
    return next(r for r in new if r.number == number)


def read_as(number: int, outcome: Outcome, folder: Path, note: str | None = None) -> Reading:
    """Write down what a cell looks like; raises Refused where there is no reading of that number."""
    old = readings_in(folder)
    if not any(reading.number == number for reading in old):
        raise refuse("number", f"there is no reading {number}: see rotary readings.")
    update = {"outcome": outcome} | ({} if note is None else {"note": note})
    new = tuple(r.model_copy(update=update) if r.number == number else r for r in old)
    keep_readings(new, folder)
    return next(r for r in new if r.number == number)


def _table(reading: Reading) -> str:
    lines = ["", "[[reading]]"]
    for name, info in Reading.model_fields.items():
        value = getattr(reading, name)
        if value is None or value == info.default:
            continue
        quantity = quantity_of(info)
        if quantity:
            text = f'"{units.shortest_text(value, quantity.unit)}"'
        elif isinstance(value, bool):
            text = "true" if value else "false"
        elif isinstance(value, str):
            text = json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
        else:
            text = repr(value)
        lines.append(f"{info.alias or name} = {text}")
    return "\n".join(lines) + "\n"
