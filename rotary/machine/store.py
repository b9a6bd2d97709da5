"""A machine's file: plain TOML that a person can read, written whole or not at all, in the person's own folder."""

import re
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal
from unicodedata import normalize

from rotary import files
from rotary.errors import Fault, FileTrouble, Refused, RotaryError, brief, refuse
from rotary.faults import model_from_texts
from rotary.job import LEFT_OUT, headed_lines
from rotary.lock import exclusive
from rotary.machine.record import LONGEST_NAME, MachineRecord
from rotary.model import Model
from rotary.toml import toml_text, toml_trouble, value_text

_FIRST: Final = ("main", "rig")
"""What a machine is called where nobody has given it a name: today, and in earlier versions."""

_ABOUT: Final = "# What was read at this machine, oldest first. To ignore a reading, delete its table."


def machine_path(name: str, folder: Path) -> Path:
    """The file of a machine; raises Refused where its name has no letter or figure.

    >>> machine_path("Boathouse machine", Path("machines")).as_posix()
    'machines/boathouse-machine.toml'
    """
    return _path_of_form("NFC", name, folder)


def _path_of_form(form: Literal["NFC", "NFD"], name: str, folder: Path) -> Path:
    """The file by one Unicode form of the name: older tools took a name as it came, letter and accent apart."""
    plain = re.sub(r"[\W_]+", "-", normalize(form, name).casefold()).strip("-")[:60]
    if not plain:
        raise refuse("machine", f'"{brief(name)}" has no letter or digit: write a name such as "boathouse".')
    if len(name) > LONGEST_NAME:
        raise refuse("machine", f'"{brief(name, 24)}" has {len(name)} letters: write a name of at most {LONGEST_NAME}.')
    return folder / f"rig-{plain}.toml" if plain in {"con", "prn", "aux", "nul"} else folder / f"{plain}.toml"


def machine_text(machine: MachineRecord) -> str:
    """The machine as TOML that reads back as exactly the same machine."""
    lines = [_ABOUT, "", f"name = {toml_text(machine.name)}"]
    if machine.former:
        lines.append(f"former = [{', '.join(toml_text(name) for name in machine.former)}]")
    for name in ("program", "shop", "laser"):
        if (table := getattr(machine, name)) is not None and table not in LEFT_OUT:
            lines += headed_lines(table, name)
    for name, entries in (("readings", machine.readings), ("changes", machine.changes)):
        for entry in entries:
            lines += ["", f"[[{name}]]", *(f"{key} = {text}" for key, text in _values(entry).items())]
    return "\n".join(lines) + "\n"


def reading_lines(machine: MachineRecord) -> list[tuple[datetime, str, str]]:
    """Every reading and change in words: when, of what, what it shows; as the file has it."""
    told = []
    for about, entries in (("", machine.readings), ("changed: ", machine.changes)):
        for entry in entries:
            values = _values(entry)
            of = values.pop("kind", "") or values.pop("what", "")
            del values["at"]
            shows = ", ".join(f"{name} {value}" for name, value in values.items())
            told.append((entry.at, about + of.strip('"'), shows))
    return told


def _values(entry: Model) -> dict[str, str]:
    """What is said of an entry, as its file has it; what it is and when go first."""
    fields = sorted(type(entry).model_fields.items(), key=lambda field: field[0] not in ("kind", "at", "what"))
    return {
        info.alias or name: value_text(value, info, "microseconds")
        for name, info in fields
        if (value := getattr(entry, name)) is not None and not (name in ("note", "says") and not value)
    }


def machine_from_text(text: str, source: str = "machine file") -> MachineRecord:
    """A machine from TOML text; raises Refused with every fault at once."""
    try:
        data = files.toml_tables(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as trouble:
        says = f"{toml_trouble(source, trouble)}. Or, to begin a new machine, move this file to another folder"
        raise refuse("", says) from None
    machine = model_from_texts(MachineRecord, data)
    naive = [f"readings.{n}.at" for n, r in enumerate(machine.readings) if r.at.tzinfo is None]
    naive += [f"changes.{n}.at" for n, c in enumerate(machine.changes) if c.at.tzinfo is None]
    if naive:
        raise refuse(naive[0], "the time zone is missing: write the time like 2026-05-01T09:30:00+02:00.")
    return machine


def machine_file(name: str, folder: Path) -> Path:
    """The file of the machine that answers to a name: of its own first, else of the one that was called so before.

    Where there is none it is the file that a machine of this name would have.
    """
    own = _own_file(name, folder)
    if files.is_there(own):
        return own
    return next((path for path in machines(folder) if own in former_paths(path)), own)


def _own_file(name: str, folder: Path) -> Path:
    """The file of a machine of this name: as it is called now, unless an older tool called it otherwise."""
    own, older = machine_path(name, folder), _path_of_form("NFD", name, folder)
    if older != own and not files.is_there(own) and files.is_there(older):
        with suppress(RotaryError):
            if normalize("NFC", machine_in(older).name) == normalize("NFC", name):
                return older
    return own


def former_paths(path: Path) -> tuple[Path, ...]:
    """The files that a machine had under its former names; none where it can't be read."""
    try:
        state = path.stat()
        names = _former_names(path, state.st_mtime_ns, state.st_size)
        return tuple(machine_path(name, path.parent) for name in names)
    except (OSError, RotaryError):
        return ()


@lru_cache(maxsize=256)
def _former_names(path: Path, _time_ns: int, _size: int) -> tuple[str, ...]:
    """As the file stands; read anew only when it has changed."""
    return machine_in(path).former


def first_machine(folder: Path) -> str:
    """The name of the machine where none is named: the one that is saved by such a name, else the only one, else
    today's such name.
    """
    if called := next((name for name in _FIRST if files.is_there(machine_file(name, folder))), None):
        return called
    every = machines(folder)
    return machine_in(every[0]).name if len(every) == 1 else _FIRST[0]


def load_machine(name: str, folder: Path) -> MachineRecord:
    """A machine from its file, or a new one without readings where there is no file yet.

    One that was renamed is found by its former names too.
    """
    path = machine_file(name, folder)
    return machine_in(path) if files.is_there(path) else MachineRecord(name=name)


def machine_in(path: Path) -> MachineRecord:
    """The machine that a file holds; raises Refused where it is none, or one of another name."""
    raw = files.bytes_of_file(
        path, files.LARGEST_JOB_BYTES, "move this file to another folder, or name another folder with --machines"
    )
    if len(raw) > files.LARGEST_JOB_BYTES:
        raise FileTrouble(
            f"{brief(path.name)} is larger than 1 MB, so it can't be a machine's file: move it to another folder"
        )
    try:
        machine = machine_from_text(raw.decode("utf-8"), brief(path.name, 80))
    except UnicodeDecodeError:
        raise refuse(
            "", f"{brief(path.name, 80)} can't be read as text: move it to another folder to begin a new machine"
        ) from None
    except Refused as refused:
        named = (f"{brief(path.name, 80)}, {one}" if one.where else one.says for one in refused.faults)
        raise Refused(Fault("", one) for one in named) from None
    if path not in (machine_path(machine.name, path.parent), _path_of_form("NFD", machine.name, path.parent)):
        says = (
            f"{brief(path.name, 80)} describes the machine {brief(machine.name)}: give file and machine the same name."
        )
        raise refuse("", says)
    return machine


def save_machine(machine: MachineRecord, folder: Path) -> Path:
    """Write a machine's file, whole or not at all; what is written is read back before it counts."""
    path = _own_file(machine.name, folder)
    text = machine_text(machine)
    if machine_from_text(text) != machine:
        raise FileTrouble(f"{path.name} could not be read back, so nothing was written: tell whoever gave you rotary")
    with files.file_trouble(folder, "made", "choose a folder that you can write to"):
        files.make_shared(folder)
    files.write_whole(path, text.encode("utf-8"), shared=True)
    return path


def change_machine(
    name: str, folder: Path, change: Callable[[MachineRecord], MachineRecord]
) -> tuple[MachineRecord, Path]:
    """The machine as changed, and its file.

    It is read, changed and written while no other program changes one in the folder, so that none loses what the
    other wrote. `change` may be called twice. Raises Refused, FileTrouble.
    """
    if not files.is_there(folder):
        change(MachineRecord(name=name))  # where it refuses, no folder is made
    with exclusive(folder):
        machine = change(load_machine(name, folder))
        return machine, save_machine(machine, folder)


def machines(folder: Path) -> list[Path]:
    """The files of all machines in the folder."""
    with files.file_trouble(folder, "listed", "choose another folder"):
        return sorted(path for path in folder.iterdir() if path.suffix == ".toml") if files.is_there(folder) else []
