"""The machine of the job that was saved last: a shop has one, and a new job begins on it. No terminal in here."""

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, NamedTuple

from rotary.errors import FileTrouble
from rotary.files import make_shared, regular_bytes, write_whole
from tui.session import Session
from tui.tables import blank

FILE: Final = ".machine.json"
MOST_BYTES: Final = 1_000_000


class Machine(NamedTuple):
    """Drive, head, rig and shop as an empty job has them, and the item that they were saved with."""

    item: str
    tables: dict[str, Any]


def keep(folder: Path, item: str, data: Mapping[str, Any]) -> None:
    """Keep the machine of a job that was saved; where that can't be, the next new job asks for it again."""
    tables = {name: table for name, table in blank(data).items() if name != "item"}
    with suppress(OSError, FileTrouble):
        make_shared(folder)
        write_whole(folder / FILE, json.dumps({"item": item, "tables": tables}).encode(), shared=True)


def read(folder: Path) -> Machine | None:
    """The machine that was saved last in this folder; None where there is none, or none that can be read."""
    try:
        found = json.loads(regular_bytes(folder / FILE, MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(found, Mapping) or not isinstance(found.get("item"), str):
        return None
    tables = found.get("tables")
    whole = isinstance(tables, Mapping) and all(isinstance(tables.get(name, {}), Mapping) for name in ("drive", "head"))
    return Machine(found["item"], dict(tables)) if whole and tables else None


def for_new_job(session: Session, example: Mapping[str, Any], folder: Path) -> tuple[dict[str, Any], str]:
    """An empty job, and the item whose machine it is on: the one on the desk, else the one that was saved last.

    The machine of the worked `example` is nobody's: as long as it stands there unchanged, what was saved wins. The
    name that comes back is empty where only that one is to be had.
    """
    here = blank(session.data())
    if here != blank(Session(example).data()):
        return here, session.text("item.name")
    kept = read(folder)
    return (blank(kept.tables), kept.item) if kept is not None else (here, "")
