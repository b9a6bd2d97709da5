"""The machine that a job goes by: found by its name, read once, and what a person should know of it."""

from collections.abc import Mapping
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

from rotary.errors import RotaryError, brief, listing, refuse, unknown_name
from rotary.files import file_trouble, is_there, toml_tables
from rotary.job import Job
from rotary.lock import exclusive
from rotary.machine.correct import corrected
from rotary.machine.record import KnownMachine, MachineRecord, known
from rotary.machine.store import (
    former_paths,
    load_machine,
    machine_file,
    machine_in,
    machine_path,
    machine_text,
    machines,
    save_machine,
)
from rotary.shipped import machine_folder


def machine_of(job: Job, folder: Path | None = None) -> MachineRecord | None:
    """The machine that a job names, None where it names none; raises Refused where nothing is kept of it."""
    if not job.machine.strip():
        return None
    place = folder or machine_folder()
    path = machine_file(job.machine, place)
    try:
        state = path.stat()
    except OSError:
        names = listing([f'"{one}"' for one in machine_names(place)[:4]], "or")
        have = f"write {names}" if names else "add this machine first (rotary machine new)"
        raise refuse(
            "machine", f"no machine named {brief(job.machine)} is saved here: {have}, or leave the machine out."
        ) from None
    return _read(job.machine, place, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=4)
def _read(name: str, folder: Path, _time_ns: int, _size: int) -> MachineRecord:
    """The machine as its file stands; read anew only when the file has changed."""
    return load_machine(name, folder)


def refuse_unknown(name: str, folder: Path) -> None:
    """Raises UnknownName where nothing is recorded of a machine of this name."""
    if not is_there(machine_file(name, folder)):
        raise unknown_name("machine", name, machine_names(folder), "to add a machine write rotary machine new NAME")


def on_its_machine(job: Job, folder: Path | None = None) -> Job:
    """The job with equipment, drive, laser and tolerances of the machine it names; the same job where it names none."""
    machine = machine_of(job, folder)
    return job if machine is None else corrected(job, machine)


def with_its_laser(tables: Mapping[str, Any], folder: Path | None = None) -> dict[str, Any]:
    """Tables of a job; where they name a machine and have no laser and lens, with those of its file."""
    named, head = tables.get("machine"), {}
    if isinstance(named, str) and named.strip() and not tables.keys() & {"laser", "use_laser"}:
        # What is wrong with the file is told with the plan.
        with suppress(RotaryError):
            head = toml_tables(machine_text(load_machine(named, folder or machine_folder()))).get("laser", {})
    return {**tables, **({"laser": head} if head else {})}


def machine_summary(machine: MachineRecord, item: str) -> tuple[str, ...]:
    """The machine's name, then one sentence for each thing that has lapsed, is odd or contradicts itself."""
    return (machine.name, *dict.fromkeys(says for one in known(machine, item).values() for says in _doubts(one)))


def _doubts(one: KnownMachine) -> tuple[str, ...]:
    return one.says if one.stale or one.odd else ()


def machine_names(folder: Path) -> list[str]:
    """The names of all machines in the folder that can be read."""
    return names_and_troubles(folder)[0]


def names_and_troubles(folder: Path) -> tuple[list[str], list[str]]:
    """The names of all machines in the folder that can be read, and why others can't."""
    names, troubles = list[str](), list[str]()
    for path in machines(folder):
        try:
            names.append(machine_in(path).name)
        except RotaryError as trouble:
            troubles.append(str(trouble).replace("\n", "; "))
    return names, troubles


def rename_machine(name: str, new: str, folder: Path) -> Path:
    """Give a machine another name: its file moves with it, and the old name still finds it.

    Raises Refused where there is none, or the name is taken, or was another machine's before.
    """
    if not is_there(machine_file(name, folder)):
        raise refuse("machine", f"no machine named {brief(name)} is saved: write the name of a saved machine.")
    with exclusive(folder):
        return _renamed(name, new, folder)


def _renamed(name: str, new: str, folder: Path) -> Path:
    old_path, path = machine_file(name, folder), machine_path(new.strip(), folder)
    if path != old_path:
        _refuse_taken(new, path, folder, but=old_path)
    machine = load_machine(name, folder)
    # The name that it has now is no former one; those that differ in nothing that a file's name shows are one.
    known_as = {machine_path(one, folder): one for one in (*machine.former, machine.name)}
    known_as.pop(path, None)
    named = machine.but(name=new.strip(), former=tuple(known_as.values()))
    saved = save_machine(named, folder)
    if saved != old_path:
        with file_trouble(old_path, "deleted", "delete this file by hand. Your machine is saved under its new name"):
            old_path.unlink(missing_ok=True)
    return saved


def add_machine(name: str, folder: Path) -> Path:
    """A new machine of which nothing is known yet; raises Refused where there is one of that name."""
    path = machine_path(name.strip(), folder)
    with exclusive(folder):
        _refuse_taken(name, path, folder)
        return save_machine(MachineRecord(name=name.strip()), folder)


def answers_to(machine: MachineRecord, name: str, folder: Path) -> bool:
    """Whether a name is this machine's, or was before."""
    if not name.strip():
        return False
    return machine_path(name, folder) in {machine_path(one, folder) for one in (machine.name, *machine.former)}


def _refuse_taken(name: str, path: Path, folder: Path, but: Path | None = None) -> None:
    """Raises Refused where a machine has or had this name: jobs saved with it would be planned for another."""
    if is_there(path):
        raise refuse("machine", f"there is a machine named {brief(name)} already: choose it, or write another name.")
    for other in machines(folder):
        if other != but and path in former_paths(other):
            now = brief(machine_in(other).name)
            says = f"{brief(name)} was the earlier name of machine {now}, and old jobs still use it"
            raise refuse("machine", f"{says}: write another name.")
