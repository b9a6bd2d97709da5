"""9  Item profiles: jobs kept under a name in the person's own folder, every version of them.

A profile is a job file with one table more, ``[kept]``, so it can be planned, read and sent like any
other. Versions are numbered, ``regatta-bottle/0001.toml``; none is ever written over.
"""

import os
import re
import tomllib
import unicodedata
from dataclasses import dataclass
from datetime import datetime
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble, brief, refuse
from rotary.files import bytes_of_job_file, told, write_new
from rotary.job import Job, job_from_bytes, job_text, toml_text
from rotary.shipped import tool_version

LONGEST_NAME: Final = 60
_RESERVED: Final = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}


@dataclass(frozen=True, slots=True)
class Kept:
    """A kept profile: its name, its newest version, when that was kept, and where it lies."""

    name: str
    version: int
    at: str
    path: Path


def profile_folder(asked: str | None = None) -> Path:
    """Where profiles are kept: what was asked for, else ROTARY_FOLDER, else the person's data folder."""
    chosen = asked or os.environ.get("ROTARY_FOLDER")
    if chosen:
        return Path(chosen).expanduser()
    from platformdirs import user_data_dir

    return Path(user_data_dir("rotary", appauthor=False)) / "profiles"


def folder_name(name: str) -> str:
    """A name as a folder may bear it on any system; raises Refused where nothing is left of it.

    >>> folder_name("Regatta bottle, 600 ml"), folder_name("../../con"), folder_name("Pokal Nº 5")
    ('regatta-bottle-600-ml', 'item-con', 'pokal-no-5')
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    words = re.sub(r"[\W_]+", "-", plain).strip("-")[:LONGEST_NAME].strip("-")
    if not words:
        raise refuse("as", f'"{brief(name)}" has no letter or figure in it: write a name such as "regatta bottle"')
    return f"item-{words}" if words in _RESERVED else words


def keep(job: Job, name: str, folder: Path, now: datetime | None = None) -> Kept:
    """Keep a job as the newest version of a profile; raises FileTrouble or Refused."""
    place = folder / folder_name(name)
    at = (now or datetime.now().astimezone()).isoformat(timespec="seconds")
    former = _versions(place)
    if former and (other := _kept(place, former[-1])).name.casefold() != name.strip().casefold():
        raise refuse("as", f'"{brief(name)}" would be filed with "{brief(other.name)}": write a name that differs more')
    with told(place, "made", "choose a folder that you may write to, with --folder"):
        place.mkdir(parents=True, exist_ok=True)
    table = f"\n[kept]\nas = {toml_text(name.strip())}\nat = {at}\nby = {toml_text(f'rotary {tool_version()}')}\n"
    data = (job_text(job) + table).encode()
    number = former[-1] if former else 0
    while True:
        number += 1
        path = place / f"{number:04d}.toml"
        if write_new(path, data):
            return Kept(name.strip(), number, at, path)


def kept(folder: Path) -> list[Kept]:
    """The newest version of every profile in the folder, the newest first."""
    with told(folder, "listed", "choose another folder, with --folder"):
        places = sorted(folder.iterdir()) if folder.exists() else []
    newest = [_kept(place, numbers[-1]) for place in places if (numbers := _versions(place))]
    return sorted(newest, key=lambda entry: entry.at, reverse=True)


def load(name: str, folder: Path, number: int | None = None) -> tuple[Kept, Job]:
    """A kept job, its newest version if none is asked for; raises FileTrouble or Refused."""
    place = folder / folder_name(name)
    numbers = _versions(place)
    if not numbers:
        names = [entry.name for entry in kept(folder)]
        near = get_close_matches(name, names, 1)
        hint = f'did you mean "{near[0]}"?' if near else "rotary kept lists what there is"
        raise FileTrouble(f'nothing is kept as "{brief(name)}": {hint}')
    if number is not None and number not in numbers:
        raise FileTrouble(f'"{brief(name)}" has no version {number}: write one of {", ".join(map(str, numbers))}')
    entry = _kept(place, number or numbers[-1])
    return entry, job_from_bytes(bytes_of_job_file(entry.path), brief(str(entry.path), 80))


def _versions(place: Path) -> list[int]:
    with told(place, "listed", "choose another folder, with --folder"):
        names = [entry.name for entry in place.iterdir()] if place.is_dir() else []
    return sorted(int(name[:-5]) for name in names if re.fullmatch(r"[0-9]{4,9}\.toml", name))


def _kept(place: Path, number: int) -> Kept:
    """What a version says of itself; its folder's name where it can't be read."""
    path = place / f"{number:04d}.toml"
    try:
        table = tomllib.loads(bytes_of_job_file(path).decode()).get("kept", {})
        return Kept(str(table["as"]), number, str(table["at"].isoformat(timespec="seconds")), path)
    except (FileTrouble, ValueError, RecursionError, KeyError, TypeError, AttributeError):
        return Kept(place.name, number, "", path)
