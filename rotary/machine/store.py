"""A rig's file: plain TOML that a person can read, written whole or not at all, in the person's own folder."""

import re
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal
from unicodedata import normalize

from rotary.errors import FileTrouble, RotaryError, brief, refuse
from rotary.faults import model_from_texts
from rotary.files import LARGEST_JOB_BYTES, bytes_of_file, file_trouble, is_there, make_shared, toml_tables, write_whole
from rotary.job import LEFT_OUT, headed_lines
from rotary.lock import exclusive
from rotary.machine.record import LONGEST_NAME, Rig
from rotary.model import Model
from rotary.shipped import data_folder
from rotary.toml import toml_text, value_text

FIRST_RIG: Final = "rig"
"""The name of the rig where nobody has given one."""

_ABOUT: Final = "# What was read at this machine, oldest first. To ignore a reading, delete its table."


def rig_folder(asked: str | None = None) -> Path:
    """Where rigs are kept: what was asked for, else ROTARY_RIGS, else the person's data folder."""
    return data_folder("rigs", "ROTARY_RIGS", asked)


def rig_path(name: str, folder: Path) -> Path:
    """The file of a rig; raises Refused where its name has no letter or figure.

    >>> rig_path("Boathouse rig", Path("rigs")).as_posix()
    'rigs/boathouse-rig.toml'
    """
    return _path_of_form("NFC", name, folder)


def _path_of_form(form: Literal["NFC", "NFD"], name: str, folder: Path) -> Path:
    """The file by one Unicode form of the name: older tools took a name as it came, letter and accent apart."""
    plain = re.sub(r"[\W_]+", "-", normalize(form, name).casefold()).strip("-")[:60]
    if not plain:
        raise refuse("machine", f'"{brief(name)}" has no letter or figure in it: write a name such as "boathouse".')
    if len(name) > LONGEST_NAME:
        raise refuse(
            "machine", f'"{brief(name, 24)}" is {len(name)} letters long: write a name of at most {LONGEST_NAME}.'
        )
    return folder / f"rig-{plain}.toml" if plain in {"con", "prn", "aux", "nul"} else folder / f"{plain}.toml"


def rig_text(rig: Rig) -> str:
    """The rig as TOML that reads back as exactly the same rig."""
    lines = [_ABOUT, "", f"name = {toml_text(rig.name)}"]
    if rig.former:
        lines.append(f"former = [{', '.join(toml_text(name) for name in rig.former)}]")
    for name in ("program", "shop", "laser"):
        if (table := getattr(rig, name)) is not None and table not in LEFT_OUT:
            lines += headed_lines(table, name)
    for name, entries in (("readings", rig.readings), ("changes", rig.changes)):
        for entry in entries:
            lines += ["", f"[[{name}]]", *(f"{key} = {text}" for key, text in _values(entry).items())]
    return "\n".join(lines) + "\n"


def reading_lines(rig: Rig) -> list[tuple[datetime, str, str]]:
    """Every reading and change in words: when, of what, what it shows; as the file has it."""
    told = []
    for about, entries in (("", rig.readings), ("changed: ", rig.changes)):
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


def rig_from_text(text: str, source: str = "machine file") -> Rig:
    """A rig from TOML text; raises Refused with every fault at once."""
    try:
        data = toml_tables(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as trouble:
        says = f"{source} is not TOML ({brief(str(trouble), 90)}): put it right, or move it away to begin a new machine"
        raise refuse("", says) from None
    rig = model_from_texts(Rig, data)
    naive = [f"readings.{n}.at" for n, r in enumerate(rig.readings) if r.at.tzinfo is None]
    naive += [f"changes.{n}.at" for n, c in enumerate(rig.changes) if c.at.tzinfo is None]
    if naive:
        raise refuse(naive[0], "the time has no zone; write it like 2026-05-01T09:30:00+02:00.")
    return rig


def rig_file(name: str, folder: Path) -> Path:
    """The file of the rig that answers to a name: of its own first, else of the one that was called so before.

    Where there is none it is the file that a rig of this name would have.
    """
    own = _own_file(name, folder)
    if is_there(own):
        return own
    return next((path for path in rigs(folder) if own in former_paths(path)), own)


def _own_file(name: str, folder: Path) -> Path:
    """The file of a rig of this name: as it is called now, unless an older tool called it otherwise."""
    own, older = rig_path(name, folder), _path_of_form("NFD", name, folder)
    if older != own and not is_there(own) and is_there(older):
        with suppress(RotaryError):
            if normalize("NFC", rig_in(older).name) == normalize("NFC", name):
                return older
    return own


def former_paths(path: Path) -> tuple[Path, ...]:
    """The files that a rig had under its former names; none where it can't be read."""
    try:
        state = path.stat()
        names = _former_names(path, state.st_mtime_ns, state.st_size)
        return tuple(rig_path(name, path.parent) for name in names)
    except (OSError, RotaryError):
        return ()


@lru_cache(maxsize=256)
def _former_names(path: Path, _time_ns: int, _size: int) -> tuple[str, ...]:
    """As the file stands; read anew only when it has changed."""
    return rig_in(path).former


def load_rig(name: str, folder: Path) -> Rig:
    """A rig from its file, or a new one without readings where there is no file yet.

    One that was renamed is found by its former names too.
    """
    path = rig_file(name, folder)
    return rig_in(path) if is_there(path) else Rig(name=name)


def rig_in(path: Path) -> Rig:
    """The rig that a file holds; raises Refused where it is none, or one of another name."""
    raw = bytes_of_file(path, LARGEST_JOB_BYTES, "move it away, or name another folder with --machines")
    if len(raw) > LARGEST_JOB_BYTES:
        raise FileTrouble(f"{brief(path.name)} is larger than 1 MB, so it is no machine's file: move it away")
    try:
        rig = rig_from_text(raw.decode("utf-8"), brief(path.name, 80))
    except UnicodeDecodeError:
        raise refuse("", f"{brief(path.name, 80)} is not text in UTF-8: move it away to begin a new machine") from None
    if path not in (rig_path(rig.name, path.parent), _path_of_form("NFD", rig.name, path.parent)):
        says = f"{brief(path.name, 80)} holds {brief(rig.name)}: write the file's own name, or rename the file."
        raise refuse("name", says)
    return rig


def save_rig(rig: Rig, folder: Path) -> Path:
    """Write a rig's file, whole or not at all; what is written is read back before it counts."""
    path = _own_file(rig.name, folder)
    text = rig_text(rig)
    if rig_from_text(text) != rig:
        raise FileTrouble(f"{path.name} would not read back as it is; nothing was written: report the last reading")
    with file_trouble(folder, "made", "choose a folder that you may write to"):
        make_shared(folder)
    write_whole(path, text.encode("utf-8"), shared=True)
    return path


def change_rig(name: str, folder: Path, change: Callable[[Rig], Rig]) -> tuple[Rig, Path]:
    """The rig as changed, and its file.

    It is read, changed and written while no other program changes one in the folder, so that none loses what the
    other wrote. `change` may be called twice. Raises Refused, FileTrouble.
    """
    if not is_there(folder):
        change(Rig(name=name))  # where it refuses, no folder is made
    with exclusive(folder):
        rig = change(load_rig(name, folder))
        return rig, save_rig(rig, folder)


def rigs(folder: Path) -> list[Path]:
    """The files of all rigs in the folder."""
    with file_trouble(folder, "listed", "choose another folder"):
        return sorted(folder.glob("*.toml")) if is_there(folder) else []
