"""The machine of the job that was saved last: a shop has one, and a new job begins on it. No terminal in here."""

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple

from rotary.errors import FileTrouble
from rotary.files import make_shared, regular_bytes, write_whole
from rotary.old_keys import with_new_keys
from tui.form.fields import JobTables, Tables
from tui.form.job_form import Session
from tui.form.tables import blank

FILE: Final = ".machine.json"
MOST_BYTES: Final = 1_000_000
_TABLES: Final = ("turning", "laser", "shop", "program")


class Machine(NamedTuple):
    """Drive, laser, machine and shop as an empty job has them, and the item that they were saved with."""

    item: str
    tables: Tables


def keep(folder: Path, item: str, data: JobTables) -> None:
    """Keep the machine of a job that was saved; where that can't be, the next new job asks for it again.

    A job on an example's laser takes no laser's place that was kept before.
    """
    tables = {name: table for name, table in blank(data).items() if name != "item"}
    before = read(folder)
    if not is_owned(tables) or ("laser" not in tables and before is not None and "laser" in before.tables):
        return
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
    tables = with_new_keys(found["tables"]) if isinstance(found.get("tables"), Mapping) else None
    if not isinstance(tables, Mapping) or not all(isinstance(tables.get(name, {}), Mapping) for name in _TABLES):
        return None
    # Whoever wrote it may have kept an example's machine.
    machine = {name: table for name, table in blank(tables).items() if name != "item"}
    return Machine(found["item"], machine) if is_owned(machine) else None


def is_owned(tables: JobTables) -> bool:
    """Whether anything of a machine is a person's own: an example's is nobody's, and `blank` leaves only its kind."""
    return set(tables) - {"item", "turning"} != set() or set(tables.get("turning", {})) - {"kind"} != set()


def for_new_job(session: Session, folder: Path) -> tuple[Tables, str]:
    """An empty job, and the item whose machine it is on: the one on the desk, else the one that was saved last.

    The name that comes back is empty where neither is a person's own.
    """
    here, item = blank(session.data()), session.text("item.name")
    if not is_owned(here):
        kept = read(folder)
        here, item = (blank(kept.tables), kept.item) if kept is not None else (here, "")
    return with_laser(here), item


def with_laser(tables: Tables) -> Tables:
    """The tables of an empty job; laser and lens are those of its machine's file, where it has none itself."""
    if "machine" not in tables:
        return tables
    from rotary.machine.lookup import with_its_laser

    return with_its_laser(tables)
