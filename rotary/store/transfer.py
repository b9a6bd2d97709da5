"""To another machine and back: profiles and their runs in one file, and what comes in is not trusted.

The file is a ZIP archive that holds the versions as they are, ``<folder>/<stamp>.toml``, so that
anybody can look into it. Nothing is ever unpacked: entries are read up to a limit, opened as
profiles, and only what opens is written, under a name that this store makes itself.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal, NamedTuple

from rotary.errors import FileTrouble, Refused, Taken, brief, counted, refuse, unknown_name
from rotary.files import bytes_of_file, is_file, is_there, write_new, write_whole
from rotary.store import places
from rotary.store.formats import ProfileReading, profile_from_bytes
from rotary.store.index import ProfileEntry, entries
from rotary.store.logbook import run_from_bytes
from rotary.store.profile_names import folder_name, same_name
from rotary.store.profiles import add_as_it_is, is_here, located

MOST_ENTRIES: Final = 200_000
MOST_BYTES: Final = 400_000_000
"""Of all entries together, unpacked: ten thousand profiles with some versions each have room."""
LARGEST_ARCHIVE: Final = 200_000_000
_VERSION: Final = re.compile(r"([a-z0-9][a-z0-9-]{0,99})/([0-9]{4,8}(?:-[a-z0-9]{4,16})?)\.toml")
# A number of more digits would leave no room for the versions that follow it here.
_RUN: Final = re.compile(r"logbook/([0-9]{4}-[0-9]{2})/([0-9]{8}-[0-9]{6}-[a-z0-9]{4,16}\.toml)")
# One date for all entries, so that the same profiles make the same file.
_DATE: Final = (2026, 1, 1, 0, 0, 0)

Against = Literal["new", "same", "more", "different", "name taken"]


@dataclass(slots=True)
class IncomingProfile:
    """A profile in a file that was sent: how it stands to what is here, and what taking it would do."""

    id: str
    name: str
    against: Against
    versions: int
    missing: int
    says: str
    files: list[tuple[str, bytes, ProfileReading]] = field(default_factory=list)


class IncomingRun(NamedTuple):
    """A run in a file that was sent: its month's folder there, which may not be that of its name, and its profile."""

    month: str
    file: str
    raw: bytes
    of: str


MOST_LEFT_OUT: Final = 200
"""So many entries of a file from elsewhere are told by name; of more than that the count."""


@dataclass(slots=True)
class Preview:
    """What is in a file that was sent; nothing has been written yet."""

    profiles: list[IncomingProfile]
    runs: list[IncomingRun]
    refused: list[str]

    def lines(self) -> list[str]:
        """How each profile stands to what is here, and what is left out."""
        told = [f"{one.against:<10}  {one.name}  {one.says}" for one in self.profiles]
        told += [f"{'left out':<10}  {refused}" for refused in self.refused[:MOST_LEFT_OUT]]
        more = len(self.refused[MOST_LEFT_OUT:])
        return [*told, *([f"{'left out':<10}  and {more} more files"] if more else [])]


def export(names: Iterable[str], folder: Path, target: Path, over: bool = False) -> int:
    """Write profiles with all their versions and runs to one file; all of the store if none is named; how many.

    A file that is there already is only written over with `over`.
    """
    if is_file(target) and not over:
        raise Taken(f"there is already a file {brief(target, 80)}: name another file")
    wanted = [located(name, folder) for name in names] or entries(folder)
    if not wanted:
        raise FileTrouble("nothing is saved here yet, so there is nothing to export: save a job first")
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry in sorted(wanted, key=lambda entry: entry.home):
            for version in places.versions(folder / entry.home):
                _add(archive, f"{entry.home}/{version.path.name}", places.read_either(version.path))
        ids = {entry.id for entry in wanted}
        for path in places.run_files(folder):
            raw = places.read(path)
            if _profile_of(raw) in ids:
                _add(archive, f"logbook/{path.parent.name}/{path.name}", raw)
    write_whole(target, whole.getvalue())
    return len(wanted)


def _add(archive: zipfile.ZipFile, name: str, raw: bytes) -> None:
    info = zipfile.ZipInfo(name, _DATE)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    archive.writestr(info, raw)


def _profile_of(raw: bytes) -> str:
    try:
        return run_from_bytes(raw, "run").profile
    except Refused:
        return ""


def preview(source: Path, folder: Path) -> Preview:
    """What a file that was sent holds, held against the store; raises FileTrouble or Refused, and writes nothing."""
    found, runs, refused = _contents(source)
    if not (found or runs or refused):
        raise refuse("", f"{brief(str(source), 80)} is empty: name a file of exported jobs")
    everything = entries(folder)
    coming = [_held(home, files, everything, folder) for home, files in sorted(found.items())]
    return Preview(sorted(coming, key=lambda one: same_name(one.name)), runs, refused)


def _contents(source: Path) -> tuple[dict[str, list[tuple[str, bytes, ProfileReading]]], list[IncomingRun], list[str]]:
    found: dict[str, list[tuple[str, bytes, ProfileReading]]] = {}
    runs: list[IncomingRun] = []
    refused: list[str] = []
    for name, raw in _entries(source):
        shown = brief(name, 60)
        version, run = _VERSION.fullmatch(name), _RUN.fullmatch(name)
        try:
            if raw is None:
                refused.append(f"{shown} is left out: it is locked, damaged, or too large for a saved job")
            elif version and version[1] not in places.NO_HOMES:
                profile = profile_from_bytes(raw, shown, version[1], cure="")
                # Versions belong together by the id that they bear, wherever they lie in the file.
                found.setdefault(profile.profile.saved.id, []).append((version[2], raw, profile))
            elif run:
                runs.append(IncomingRun(run[1], run[2], raw, run_from_bytes(raw, shown).profile))
            else:
                refused.append(f"{shown} is neither a saved job nor a run, so it is left out")
        except Refused as trouble:
            fault = trouble.faults[0]
            refused.append(f"{shown}: {fault}" if fault.where else fault.says)
    return found, runs, refused


def _entries(source: Path) -> Iterable[tuple[str, bytes | None]]:
    """Name and bytes of every file inside; None for bytes that are too many or damaged."""
    larger = refuse("", f"{brief(str(source), 80)} is larger than 200 MB: export fewer jobs at a time")
    raw = bytes_of_file(source, LARGEST_ARCHIVE, "name a file of exported jobs", larger)
    left = MOST_BYTES
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            infos = [info for info in archive.infolist() if not info.is_dir()]
            if len(infos) > MOST_ENTRIES:
                raise refuse("", f"{brief(str(source), 80)} holds {len(infos)} files: export fewer jobs at a time")
            for info in infos:
                data = _read(archive, info)
                left -= len(data or b"")
                if left < 0:
                    raise refuse("", f"{brief(str(source), 80)} unpacks to more than 400 MB: export fewer jobs")
                yield info.filename, data
    except (zipfile.BadZipFile, ValueError, EOFError):
        says = f"{brief(str(source), 80)} is not an export of saved jobs, or is damaged"
        raise refuse("", f"{says}: name a file of exported jobs") from None


def _read(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes | None:
    # The other ways of packing are unpacked whole, whatever size the file states: a thousand times what may be read.
    bounded = info.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
    if info.flag_bits & 0x1 or info.file_size > places.LARGEST_BYTES or not bounded:
        return None
    try:
        with archive.open(info) as entry:
            data = entry.read(places.LARGEST_BYTES + 1)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError, ValueError):
        return None
    return data if len(data) <= places.LARGEST_BYTES else None


def _held(
    profile_id: str, files: list[tuple[str, bytes, ProfileReading]], everything: list[ProfileEntry], folder: Path
) -> IncomingProfile:
    """One incoming profile against what is here."""
    # What is in the file twice to the byte is one version.
    files = sorted({one[:2]: one for one in files}.values(), key=lambda one: (int(one[0].split("-")[0]), one[0]))
    name = files[-1][2].profile.saved.name
    here = next((entry for entry in everything if entry.id == profile_id), None)
    twin = next((entry for entry in everything if same_name(entry.name) == same_name(name) and entry is not here), None)
    lacking = [one for one in files if here is None or not is_here(folder / here.home / f"{one[0]}.toml", one[1])]
    count = len(lacking)
    against: Against
    if here is None and twin:
        against = "name taken"
        says = f"another saved job has this name. After the import there are two, with different ids ({profile_id})"
    elif here is None:
        against, says = "new", f"{counted(count, 'version')},{' all' * (count > 1)} new to you"
    elif not lacking:
        against, says = "same", "you have every version already"
    elif _moved_on(folder / here.home, files, lacking):
        against = "different"
        says = (
            f"{counted(count, 'version')} that you don't have, and you have others: after the import choose the newest"
        )
    else:
        against, says = "more", f"{counted(count, 'version')} newer than yours"
    return IncomingProfile(profile_id, name, against, len(files), count, says, files)


def _moved_on(
    home: Path, files: list[tuple[str, bytes, ProfileReading]], lacking: list[tuple[str, bytes, ProfileReading]]
) -> bool:
    """Whether there are versions here that the file lacks, or that it has with other contents."""
    known = {version.stamp for version in places.versions(home)}
    return bool(known - {one[0] for one in files}) or any(is_there(home / f"{one[0]}.toml") for one in lacking)


def refuse_missing(preview: Preview, names: Iterable[str]) -> None:
    """Raises UnknownName where the file holds no profile of one of the names or ids."""
    there = [coming.name for coming in preview.profiles]
    known = {*map(same_name, there), *(coming.id for coming in preview.profiles)}
    for name in names:
        if known.isdisjoint((same_name(name), name)):
            raise unknown_name("saved job", name, there, f"the file holds {', '.join(map(brief, there[:8]))}")


def take(preview: Preview, folder: Path, only: Iterable[str] | None = None) -> list[str]:
    """Write what was previewed into the store; nothing that is here is touched. What was done, one line a profile.

    `only` are the names or ids of the profiles to take; all if None.
    """
    wanted = None if only is None else {same_name(name) for name in only}
    done = []
    taken_ids = set()
    for coming in preview.profiles:
        if wanted is not None and same_name(coming.name) not in wanted and coming.id not in wanted:
            continue
        taken_ids.add(coming.id)
        if coming.against != "same":
            count = _taken(coming, folder)
            done.append(f"{coming.name}: {counted(count, 'version')} added")
    runs = sum(
        write_new(places.month_in(folder, run.month) / run.file, run.raw) for run in preview.runs if run.of in taken_ids
    )
    return [*done, f"{counted(runs, 'run')} added to the logbook"] if runs else done


def _taken(coming: IncomingProfile, folder: Path) -> int:
    home = next((folder / e.home for e in entries(folder) if e.id == coming.id), None)
    home = home or folder / folder_name(coming.name, coming.id)
    return sum(add_as_it_is(home, stamp, raw) for stamp, raw, _ in coming.files)
