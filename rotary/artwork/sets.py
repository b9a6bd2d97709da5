"""Several files that belong together, written as one set: a folder never shows some of the old and some of the new.

::

    write beside, hidden    note that it is not whole    old ones hidden    new ones named    note and old ones gone

A set is what bears one stem in one folder: ``heron-sliced.svg``, ``heron-slice-01-of-27.svg`` and so on. Which files
are of it they say themselves, with the name that they were written under: one that a person renamed, or wrote, is
the person's own and stays.
"""

import os
import re
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from rotary.artwork.outfiles import Mark, carries_our_mark, file_stem, is_ours, mark_of, marked, refuse_folder
from rotary.errors import FileTrouble, Taken, brief, counted
from rotary.files import (
    NoRegularFile,
    about_to_write,
    asks_first,
    file_trouble,
    in_new_folder,
    is_file,
    is_folder,
    is_there,
    mode_of,
    settle,
    write_aside,
    write_whole,
)

NOT_WHOLE: Final = "-NOT-WHOLE.txt"
"""How the name of the note ends that stands in a folder while a set is swapped."""

_ABOUT: Final = "These files are not complete: writing them was stopped. Write them again before you mark anything.\n"
_KINDS: Final = frozenset({".svg", ".dxf", ".png", ".txt"})
_BEFORE_MARKS: Final = (
    r"(?:-zone-\d+)?-(?:sheet|raster|end|flat(?:-\d+)?|slice-\d+-of-\d+)(?:-first|-rest|-card)?\.[a-z]{3}"
)
_SLICE: Final = re.compile(r"-slice-\d+-of-\d+\.(?:svg|dxf|png)$")
_ZONE: Final = re.compile(r"zone-\d+")
_LEFT: Final = re.compile(r"\..+\.[0-9a-f]{12}\.part")
_DAY_S: Final = 86_400.0


class FileSet(NamedTuple):
    """The paths written, and what is to be said of what stood there before; empty where nothing did."""

    paths: tuple[Path, ...]
    instead: str


class _Standing(NamedTuple):
    """What stands in a folder: the files of the same set, those of other sets, and the item that the same is for."""

    same: dict[str, Path]
    others: dict[str, list[Path]]
    item: str


def write_set(
    folder: Path,
    stem: str,
    files: Mapping[str, bytes],
    sources: Iterable[Path] = (),
    over: bool = False,
    item: str = "",
) -> FileSet:
    """Write these files as one set into this folder, which is made where it isn't there: all of them or none.

    Names are relative to the folder and begin with the stem, or lie in a folder ``zone-1`` and so on. Earlier files
    of the set go, nothing else does. Files that are one slice each fill a folder: beside those of another set nothing
    is written. In place of files for another `item`, or of what was not made here, nothing is unless the person said
    so with `over`. Raises Taken, or FileTrouble.
    """
    refuse_folder(folder)
    item = file_stem(item) if item else ""
    named = {folder / name: marked(data, Mark(stem, item, name)) for name, data in files.items()}
    sources = tuple(sources)
    _refuse_sources(named, sources)
    refuse_earlier(folder, stem, over, sources)
    about_to_write(next(iter(named), folder))
    _made(folder)
    if in_new_folder():
        _made(*(path.parent for path in named))
        _swapped(folder, stem, named, [])
        return FileSet(tuple(named), "")
    with _alone_in(folder):
        # Only now: while another program swaps a set, its files come and go.
        _refuse_foreign(named, over)
        _made(*(path.parent for path in named))
        standing = _standing(folder, stem)
        gone = list(standing.same.values())
        if _fills(files, standing):
            other = brief(next(iter(standing.others)))
            says = (
                f"{brief(folder, 80)} holds files of another drawing, {other}. Slices need a folder of their own: "
                "name another folder"
            )
            raise FileTrouble(says)
        if not over:
            _refuse_other_drawings(folder, stem, named, standing, item)
        _refuse_sources(gone, sources)
        _swapped(folder, stem, named, gone)
    _cleared(folder)
    notes = sum(path.name.endswith(NOT_WHOLE) for path in gone)
    return FileSet(tuple(named), _instead(len(gone) - notes))


def refuse_earlier(folder: Path, stem: str, over: bool = False, sources: Iterable[Path] = ()) -> None:
    """Raises Taken where this process asks first and a set of this stem lies in the folder; asked before long work."""
    if not over and asks_first() and not in_new_folder() and is_folder(folder):
        earlier = _standing(folder, file_stem(stem)).same
        _refuse_sources(earlier.values(), sources)
        if any(not name.endswith(NOT_WHOLE) for name in earlier):
            raise Taken(f"{brief(folder, 80)} already holds files of {brief(stem)}: name another folder", "those files")


def _made(*folders: Path) -> None:
    for folder in dict.fromkeys(folders):
        with file_trouble(folder, "made", "choose a folder that you can write to"):
            folder.mkdir(parents=True, exist_ok=True)


def _instead(count: int) -> str:
    if count == 0:
        return ""
    return f"This replaced {counted(count, 'earlier file')}."


def not_whole(folder: Path) -> str:
    """The note that a set in this folder is not whole, as long as it is not written again; empty where all is well."""
    with file_trouble(folder, "listed", "choose another folder"):
        names = sorted(path.name for path in folder.iterdir() if path.name.endswith(NOT_WHOLE))
    return next((name for name in names if is_ours(folder / name)), "")


def _refuse_sources(paths: Iterable[Path], sources: Iterable[Path]) -> None:
    taken = {os.path.realpath(path) for path in sources}
    for path in paths:
        if os.path.realpath(path) in taken:
            raise FileTrouble(f"{brief(path.name)} is the file you read from: choose another folder to write to")


def _refuse_foreign(named: Iterable[Path], over: bool) -> None:
    for path in named:
        if path.is_symlink():
            raise FileTrouble(f"{brief(path.name)} is a link to another file: move the link, or choose another folder")
        if is_there(path) and not is_file(path):
            what = "folder" if is_folder(path) else "pipe or a device"
            raise FileTrouble(f"{brief(path.name)} is a {what}, not a file: move it, or choose another folder")
        if not over and is_there(path) and (asks_first() or not is_ours(path)):
            whose = "" if is_ours(path) else " that may be your own"
            raise Taken(f"there is already a file {brief(path.name)}{whose}: move that file, or choose another folder")


def _standing(folder: Path, stem: str) -> _Standing:
    same: dict[str, Path] = {}
    others: dict[str, list[Path]] = {}
    item = ""
    with file_trouble(folder, "listed", "choose another folder"):
        found = list(_candidates(folder))
    for name, path in found:
        try:
            if not carries_our_mark(path):
                continue
            mark = mark_of(path)
        except (FileNotFoundError, IsADirectoryError, NoRegularFile):
            continue
        except OSError as trouble:
            if not path.name.startswith(stem):
                continue
            # It may be of the set: what can't be told is not left beside the new ones.
            why = brief(trouble.strerror or "", 60)
            raise FileTrouble(
                f"{brief(path.name)} can't be opened ({why}): move that file, or choose another folder"
            ) from None
        if mark is not None and mark.name != name:
            continue
        of = mark.of if mark is not None else _of_before_marks(path.name)
        if of == stem:
            same[name] = path
            item = item or (mark.item if mark is not None else "")
        elif of:
            others.setdefault(of, []).append(path)
    return _Standing(same, others, item)


def _of_before_marks(name: str) -> str:
    """The set of a file that bears no mark yet, by its name; empty where it is of none.

    >>> _of_before_marks("heron-slice-01-of-27.svg"), _of_before_marks("tape-run.svg")
    ('heron', '')
    """
    found = re.fullmatch(rf"(.+?){_BEFORE_MARKS}", name)
    return found[1] if found else ""


def _candidates(folder: Path) -> Iterator[tuple[str, Path]]:
    """The files in a folder and in its zones that may be made here, by their names from it."""
    for path in sorted(folder.iterdir()):
        name = path.name
        if path.suffix.lower() in _KINDS and not path.is_symlink():
            yield name, path
        elif _ZONE.fullmatch(name) and path.is_dir() and not path.is_symlink():
            yield from ((f"{name}/{inside}", deeper) for inside, deeper in _candidates(path))


def _refuse_other_drawings(
    folder: Path, stem: str, named: Mapping[Path, bytes], standing: _Standing, item: str
) -> None:
    if standing.same and standing.item and item and standing.item != item:
        raise Taken(
            f"{brief(folder, 80)} holds files of {brief(stem)} for another item, {brief(standing.item)}: name another "
            "folder",
            "those files",
        )
    same = set(standing.same.values())
    for path in named:
        if path not in same and is_there(path):
            raise Taken(
                f"there is already a {brief(path.name)} of another drawing: move that file, or choose another folder"
            )


def _fills(files: Mapping[str, bytes], standing: _Standing) -> bool:
    """Whether a folder would hold one set's slices and something of another."""
    if not standing.others:
        return False
    others = (path.name for paths in standing.others.values() for path in paths)
    return any(_SLICE.search(name) or name.endswith(NOT_WHOLE) for name in (*files, *others))


def _swapped(folder: Path, stem: str, named: Mapping[Path, bytes], gone: list[Path]) -> None:
    """All bytes on disk under hidden names, then the old ones hidden and the new ones named, or all as it was."""
    with _aside(named) as ready:
        if len({*named, *gone}) == 1:
            _named(ready)
        else:
            note = folder / f"{stem}{NOT_WHOLE}"
            old = dict.fromkeys(path for path in (*gone, *named) if path != note and is_there(path))
            write_whole(note, marked(_ABOUT.encode(), Mark(stem, "", note.name)))
            _exchanged(ready, {path: _hidden(path) for path in old}, note)
        for place in dict.fromkeys(path.parent for path in named):
            with file_trouble(place, "written", "choose a folder on a disk that works"):
                settle(place)


@contextmanager
def _aside(files: Mapping[Path, bytes]) -> Iterator[dict[Path, Path]]:
    """The hidden name of each file, all bytes on disk; what is still hidden in the end goes."""
    ready: dict[Path, Path] = {}
    try:
        for path, data in files.items():
            with file_trouble(path, "written", "choose a folder that you can write to"):
                ready[path] = _hidden(path)
                write_aside(ready[path], data, mode_of(path))
        yield ready
    finally:
        for hidden in ready.values():
            _gone(hidden)


def _exchanged(ready: Mapping[Path, Path], aside: Mapping[Path, Path], note: Path) -> None:
    """The old ones hidden, the new ones named, the old ones and the note gone; where that fails, all as it was."""
    try:
        for path, hidden in aside.items():
            with file_trouble(path, "replaced", "choose another folder"):
                path.replace(hidden)
        _named(ready)
    except BaseException:
        # Whatever stopped it, the old set goes back to where it was; where even that fails, the note stays.
        for path in ready:
            # An old one that was not hidden yet still stands there.
            if path not in aside or is_there(aside[path]):
                _gone(path)
        for path, hidden in aside.items():
            with suppress(OSError):
                hidden.replace(path)
        if not any(map(is_there, aside.values())):
            _gone(note)
        raise
    for path, hidden in aside.items():
        _gone(hidden)
        if _ZONE.fullmatch(path.parent.name):
            with suppress(OSError):
                path.parent.rmdir()
    _gone(note)


def _named(ready: Mapping[Path, Path]) -> None:
    for path, hidden in ready.items():
        with file_trouble(path, "written", "choose a folder that you can write to"):
            hidden.replace(path)


def _hidden(path: Path) -> Path:
    return path.with_name(f".{path.name[:40]}.{os.urandom(6).hex()}.part")


def _gone(path: Path) -> None:
    with suppress(OSError):
        path.unlink(missing_ok=True)


def _cleared(folder: Path) -> None:
    """What writing that was broken off left hidden here goes after a day."""
    with suppress(OSError):
        for path in list(folder.iterdir()):
            if _LEFT.fullmatch(path.name) and path.stat().st_mtime < time.time() - _DAY_S and is_ours(path):
                path.unlink()


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """Two programs that write a set into one folder wait for each other, where the system can do that."""
    try:
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        yield
        return
    try:
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def write_all(files: Mapping[Path, bytes], over: bool = False) -> tuple[Path, ...]:
    """Write files that are each of use alone, tapes or templates: all are on disk before the first is named.

    A file that this program did not make is not replaced unless the person said so. Raises FileTrouble.
    """
    folders = dict.fromkeys(path.parent for path in files)
    for folder in folders:
        refuse_folder(folder)
    _refuse_foreign(files, over)
    about_to_write(next(iter(files), Path()))
    _made(*folders)
    with _aside(files) as ready:
        _named(ready)
    return tuple(files)
