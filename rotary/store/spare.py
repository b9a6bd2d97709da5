"""A second copy of every version, out of the way: what was deleted or spoiled by hand comes back from here.

A version counts as saved without its spare; the spare is what a person gets back who emptied the
wrong folder, and what says which lines were changed outside of rotary.
"""

from collections.abc import Iterator
from contextlib import suppress
from difflib import SequenceMatcher
from pathlib import Path
from typing import NamedTuple

from rotary.errors import FileTrouble, brief, counted
from rotary.files import is_folder, write_new
from rotary.store import places
from rotary.store.places import BIN, SPARE, Version, spare_of


class Edit(NamedTuple):
    """A line that is not as it was saved: its number in the file now, what it was and what it is.

    Of `lines` lines that are gone, the first, after the line of that number; of new lines, the first.
    """

    line: int
    before: str
    after: str
    lines: int = 1

    def __str__(self) -> str:
        before, after = brief(self.before, 80), brief(self.after, 80)
        place = f"line {self.line} of the saved file"
        if before and after:
            return f"{place} was changed: {before} → {after}"
        lines = f"{counted(self.lines, 'line')} {'is' if self.lines == 1 else 'are'}"
        first = ", the first of them" if self.lines > 1 else ""
        return (
            f"after {place} {lines} gone{first}: {before}" if before else f"from {place} on {lines} new{first}: {after}"
        )


def keep_spare(version: Version, data: bytes) -> None:
    """Keep the second copy; a disk that has no room for it is no reason to refuse the first."""
    spare = spare_of(version.path)
    with suppress(FileTrouble):
        places.make(spare.parent.parent)
        places.make(spare.parent)
        write_new(spare, data)


def restore_spare(version: Version) -> bool:
    """Put the second copy of a version in its place, if there is one and the place is free."""
    try:
        data = places.read(spare_of(version.path))
    except FileTrouble:
        return False
    places.make(version.path.parent)
    return write_new(version.path, data)


def edits(version: Version) -> list[Edit]:
    """Which lines of a version are not as they were saved; nothing where there is no second copy."""
    try:
        before = places.read(spare_of(version.path)).decode("utf-8", "replace").splitlines()
        after = places.read(version.path).decode("utf-8", "replace").splitlines()
    except FileTrouble:
        return []
    found = []
    for kind, a, b, c, d in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if kind == "equal":
            continue
        both = min(b - a, d - c)
        for place, (old, new) in enumerate(zip(before[a : a + both], after[c : c + both], strict=True), c + 1):
            if old.strip() != new.strip():
                found.append(Edit(place, old.strip(), new.strip()))
        if gone := [line.strip() for line in before[a + both : b] if line.strip()]:
            found.append(Edit(d, gone[0], "", len(gone)))
        if added := [line.strip() for line in after[c + both : d] if line.strip()]:
            found.append(Edit(c + both + 1, "", added[0], len(added)))
    return found


def missing(home: Path) -> list[Version]:
    """The versions of a profile that have a second copy and are gone themselves."""
    here = {version.stamp for version in places.versions(home)}
    return [
        Version(version.number, version.stamp, home / version.path.name)
        for version in places.versions(home.parent / SPARE / home.name)
        if version.stamp not in here
    ]


def names_in_bin(folder: Path) -> list[str]:
    """The names that the profiles in the bin had for folders."""
    # Before the name stands when it was put there.
    return [name[16:] for name in places.names_in(folder / BIN)]


def deleted_by_hand(folder: Path) -> Iterator[Path]:
    """The folders of profiles that have second copies, and are neither in the store nor in its bin."""
    if not is_folder(folder / SPARE):
        return
    binned = names_in_bin(folder)
    for place in places.homes(folder / SPARE):
        home = folder / place.name
        # What can't be listed is there.
        with suppress(FileTrouble):
            if not places.versions(home) and place.name not in binned and places.versions(Path(place.path)):
                yield home
