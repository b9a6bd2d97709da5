"""Where profiles lie on disk: one folder a profile, one file a version, none ever written over.

::

    <folder>/regatta-bottle-k3f9ab27cd/0001-mxw4z2.toml      a version: its number, and signs of its own
                                       0002-h7qpn5.toml
                                       20260501-093000-p4kdm2.jpg   a photograph of a result, named by its run
             logbook/2026-05/20260501-093000-x8ty2k.toml     a run, see rotary.store.logbook
             bin/20260502-101500-old-mug-p4kdm2n8rs/         a profile that was thrown away
             aside/…                                         a damaged file, beside it the reason

Two machines that save at once write two names, so nothing has to be agreed and no lock trusted.
"""

import os
import re
import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble
from rotary.files import about_to_write, file_trouble, is_folder, make_shared, regular_bytes, settle, write_new
from rotary.shipped import profile_folder as profile_folder
from rotary.store.profile_names import token
from rotary.undo import undo_on_failure

BIN: Final = "bin"
LOGBOOK: Final = "logbook"
ASIDE: Final = "aside"
SPARE: Final = ".spare"
"""Where the second copy of every version lies, see rotary.store.spare."""
INDEX: Final = ".index.json"
NO_HOMES: Final = frozenset((BIN, LOGBOOK, ASIDE))
LARGEST_BYTES: Final = 1_000_000
"""A profile is a few pages of text; what is larger is some other file."""

_VERSION: Final = re.compile(r"([0-9]{4,12})(?:-([a-z0-9]{4,16}))?\.toml")
_FROM: Final = re.compile(rb"^(?:made_from|follows)\s*=\s*\[([^\]\n]*)\]", re.MULTILINE)
_ELSEWHERE: Final = "choose a folder that you can read and write, with --store or ROTARY_FOLDER"
_ASK: Final = "ask the person who saved the job for access, or run rotary profile repair"


@dataclass(frozen=True, slots=True, order=True)
class Version:
    """A version on disk: its number, its stamp (the file's name without ending), where it lies."""

    number: int
    stamp: str
    path: Path


def names_in(folder: Path, instead: str = _ELSEWHERE) -> list[str]:
    """The names of all that lies in a folder, in order; none where there is none. Raises FileTrouble."""
    with file_trouble(folder, "listed", instead):
        try:
            return sorted(path.name for path in folder.iterdir())
        except (FileNotFoundError, NotADirectoryError):
            return []


def run_files(folder: Path, troubles: list[str] | None = None) -> list[Path]:
    """The files of the logbook, oldest first; a month that can't be listed goes to `troubles`, or is raised."""
    book = folder / LOGBOOK
    found = []
    for month in (name for name in names_in(book) if name[:1].isdigit()):
        try:
            names = names_in(book / month)
        except FileTrouble as trouble:
            if troubles is None:
                raise
            troubles.append(f"{month}: {trouble}")
        else:
            found += [book / month / name for name in names if name[:1].isdigit() and name.endswith(".toml")]
    return found


def versions(home: Path) -> list[Version]:
    """The versions in a profile's folder, oldest first; files of other names are none of ours.

    None where there is no such folder, or no longer.
    """
    found = [(name, match) for name in names_in(home, _ASK) if (match := _VERSION.fullmatch(name))]
    return sorted(Version(int(match[1]), name[:-5], home / name) for name, match in found)


def label(version: Version, among: Iterable[Version]) -> str:
    """What a version is called: its number, with its signs where two bear one number."""
    twins = sum(1 for other in among if other.number == version.number)
    return str(version.number) if twins == 1 else version.stamp.lstrip("0")


def version_named(text: str, among: list[Version]) -> Version | None:
    """The version that a person means by its number or its stamp; None where it is none, or not one alone."""
    wanted = text.strip().lstrip("0").lower()
    fits = [version for version in among if wanted in (str(version.number), version.stamp.lstrip("0"))]
    return fits[0] if len(fits) == 1 else None


def predecessors(raw: bytes) -> tuple[str, ...] | None:
    """Which versions the one in this file follows, read without opening it; None where it doesn't say."""
    found = _FROM.search(raw)
    return tuple(re.findall(r"[a-z0-9-]+", found[1].decode("ascii", "replace"))) if found else None


def side_by_side(among: list[Version]) -> list[Version]:
    """The versions that no other follows: one, or several where two writers saved at once."""
    parents: set[str] = set()
    for before, version in zip([None, *among], among, strict=False):
        try:
            said = predecessors(read_either(version.path))
        except FileTrouble:
            # Which it follows can't be known; as of those that don't say, the one before.
            said = None
        if said is None and before is not None:
            said = (before.stamp,)
        parents.update(said or ())
    return [version for version in among if version.stamp not in parents]


def labels_side_by_side(among: list[Version]) -> tuple[str, ...]:
    """The labels of the versions that stand side by side, none where there is one that follows all others."""
    heads = side_by_side(among) if len(among) > 1 else []
    return tuple(label(head, among) for head in heads) if len(heads) > 1 else ()


def read(path: Path) -> bytes:
    """The bytes of a version; of one that is too large only so many that it is seen to be."""
    with file_trouble(path, "read", _ASK):
        return regular_bytes(path, LARGEST_BYTES)


def spare_of(path: Path) -> Path:
    """Where the second copy of a version lies."""
    home = path.parent
    return home.parent / SPARE / home.name / path.name


def read_either(path: Path) -> bytes:
    """The bytes of a version, or of its second copy where the first can't be read; raises FileTrouble of the first."""
    try:
        return read(path)
    except FileTrouble as trouble:
        try:
            return read(spare_of(path))
        except FileTrouble:
            raise trouble from None


def add_version(home: Path, data: bytes) -> Version:
    """Write the next version; when this returns, it is on disk whole. Raises FileTrouble."""
    for _ in range(20):
        make(home)
        number = max((version.number for version in versions(home)), default=0) + 1
        if number >= 10**12:
            raise FileTrouble(
                f"{home} holds a file {number - 1} that is not from rotary: move that file to another folder"
            )
        stamp = f"{number:04d}-{token(6)}"
        path = home / f"{stamp}.toml"
        try:
            if write_new(path, data):
                return Version(number, stamp, path)
        except FileTrouble:
            # Thrown into the bin meanwhile: what is saved must not go there with it.
            if is_folder(home):
                raise
    raise FileTrouble(f"{home} disappears again and again, so nothing can be saved there: {_ELSEWHERE}")


def make(home: Path) -> None:
    """Make a folder and have its name on disk too."""
    with file_trouble(home, "made", "choose a folder that you can write to, with --store"):
        if not home.is_dir():
            make_shared(home)
            with undo_on_failure(home.rmdir):
                settle(home.parent)


def month_in(folder: Path, name: str) -> Path:
    """The folder of the logbook for the runs of a month, like 2026-05, made where it isn't there."""
    month = folder / LOGBOOK / name
    make(month.parent)
    make(month)
    return month


def homes(folder: Path) -> Iterator[os.DirEntry[str]]:
    """The folders that may hold a profile."""
    with file_trouble(folder, "listed", _ELSEWHERE):
        try:
            entries = list(os.scandir(folder))
        except FileNotFoundError:
            return
    for entry in entries:
        if entry.name[0] != "." and entry.name not in NO_HOMES and _is_folder(entry):
            yield entry


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir(follow_symlinks=False)
    except OSError:
        # It can't be looked at, so whoever looks at it says so.
        return True


def move_into(path: Path, folder: Path, name: str) -> Path:
    """Move a file or folder into another folder, under a name that nothing there has yet; raises FileTrouble."""
    about_to_write(path)
    make(folder)
    with file_trouble(path, "moved", _ELSEWHERE):
        target = folder / name
        while target.exists():
            target = folder / f"{token(4)}-{name}"
        rename_synced(path, target)
    return target


def rename_synced(path: Path, target: Path) -> None:
    """Rename, with both names on disk too. Raises OSError, and nothing is moved then."""
    about_to_write(path)
    path.rename(target)
    with undo_on_failure(lambda: target.rename(path)):
        settle(target.parent)
        settle(path.parent)


def dated(moment: datetime) -> str:
    """A moment as the beginning of a file's name.

    >>> from datetime import UTC
    >>> dated(datetime(2026, 5, 1, 9, 30, tzinfo=UTC))
    '20260501-093000'
    """
    return moment.astimezone(UTC).strftime("%Y%m%d-%H%M%S")


def clear_left_overs(home: Path, older_than_s: float = 86_400.0) -> int:
    """Take away what saves that were broken off left behind, if older than a day; how many there were."""
    count = 0
    with file_trouble(home, "cleared", _ELSEWHERE):
        for entry in list(os.scandir(home)):
            if entry.name.startswith(".") and entry.name.endswith(".part"):
                # Whoever wrote it may be done with it by now.
                with suppress(FileNotFoundError):
                    count += _cleared(entry, older_than_s)
    return count


def _cleared(entry: os.DirEntry[str], older_than_s: float) -> bool:
    if not entry.is_file(follow_symlinks=False):
        return False
    if time.time() - entry.stat(follow_symlinks=False).st_mtime < older_than_s:
        return False
    about_to_write(Path(entry.path))
    Path(entry.path).unlink()
    return True
