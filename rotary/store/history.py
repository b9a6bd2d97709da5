"""The past of a profile: its versions, going back to one, choosing between two, the bin, and mending."""

import re
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble, Refused, UnknownName, brief
from rotary.files import file_trouble, is_there, write_whole
from rotary.store import places, spare
from rotary.store.formats import profile_from_bytes, version_or_trouble
from rotary.store.index import ProfileEntry, entries, entry_of
from rotary.store.profile_names import same_name
from rotary.store.profiles import KEPT, Saved, add_as_it_is, load_from, located, refuse_read_only, save_next
from rotary.store.proof import standing
from rotary.store.record import now


@dataclass(frozen=True, slots=True)
class PastVersion:
    """One version in a history; `trouble` says why it can't be opened."""

    label: str
    stamp: str
    at: str
    why: str
    says: str
    trouble: str
    doubt: str
    beside: bool

    @property
    def lines(self) -> list[str]:
        """The version in a line, and what is wrong with it."""
        side = "  made from the same version as another: choose one of them with rotary profile resolve" * self.beside
        why = "saved" if self.why == KEPT else self.why or "-"
        # What is said of a proof has the word already.
        says = self.says if self.why == "proven" else f"{why}  {self.says}"
        first = f"{self.label:>4}  {self.at[:16] or 'not readable'}  {says}{side}"
        return [first, *(f"      ! {trouble}" for trouble in (self.trouble, self.doubt) if trouble)]


def history(name: str, folder: Path) -> list[PastVersion]:
    """Every version of a profile, the newest first."""
    return history_of(folder / located(name, folder).home)


def history_of(home: Path, most: int | None = None) -> list[PastVersion]:
    """The versions in a profile's folder, the newest first; at most so many."""
    among = places.versions(home)
    heads = places.labels_side_by_side(among)
    past = []
    for version in among[::-1][:most]:
        label = places.label(version, among)
        beside = label in heads
        found, reason = version_or_trouble(version, f"version {label}")
        if found is None:
            past.append(PastVersion(label, version.stamp, "", "", "", reason, "", beside))
            continue
        kept = found.profile.saved
        at, says = kept.at.isoformat(sep=" ", timespec="minutes"), standing(found.profile).summary
        past.append(PastVersion(label, version.stamp, at, kept.why, says, "", found.doubt, beside))
    return past


def restore(home: Path, version: str) -> Saved:
    """Save an older version anew, as the newest; it settles versions that stood side by side."""
    return _on_top(home, version, f"restored from version {version}")


def choose(home: Path, version: str) -> Saved:
    """Say which of the versions that stand side by side goes on; the others stay in the history."""
    return _on_top(home, version, f"chosen: version {version}")


def _on_top(home: Path, version: str, why: str) -> Saved:
    found = load_from(home, version)
    among = places.versions(home)
    if not among:
        raise FileTrouble(f"{brief(home, 80)} was deleted meanwhile: to see the bin write rotary profile bin")
    newest, _ = version_or_trouble(among[-1])
    refuse_read_only(home, found.read_only or (newest.read_only if newest else ""))
    return save_next(found.profile, home, tuple(head.stamp for head in places.side_by_side(among)), why)


# -- the bin


@dataclass(frozen=True, slots=True)
class BinEntry:
    """A profile in the bin, and when it was put there; `at` is empty where it was deleted by hand."""

    entry: ProfileEntry
    at: str
    path: Path

    def __str__(self) -> str:
        return f"{self.entry.name}  {self.entry.count} versions  deleted {self.at or 'by hand'}"


_IN_BIN: Final = re.compile(r"[0-9]{8}-[0-9]{6}-")


def discard(name: str, folder: Path) -> Path:
    """Move a profile with all its versions to the bin; nothing is deleted."""
    entry = located(name, folder)
    return places.move_into(folder / entry.home, folder / places.BIN, f"{places.dated(now())}-{entry.home}")


def bin_entries(folder: Path) -> list[BinEntry]:
    """What lies in the bin, the last first."""
    found = []
    for place in places.homes(folder / places.BIN):
        among = _versions_or_none(Path(place.path))
        if among and _IN_BIN.match(place.name):
            at = f"{place.name[:4]}-{place.name[4:6]}-{place.name[6:8]}"
            found.append(BinEntry(entry_of(Path(place.path), among), at, Path(place.path)))
    found.sort(key=lambda entry: entry.path.name, reverse=True)
    for home in spare.deleted_by_hand(folder):
        copies = folder / places.SPARE / home.name
        found.append(BinEntry(entry_of(copies, _versions_or_none(copies)), "", home))
    return found


def _versions_or_none(home: Path) -> list[places.Version]:
    try:
        return places.versions(home)
    except FileTrouble:
        return []


def restore_from_bin(name: str, folder: Path) -> Path:
    """Move a profile from the bin back into the store; raises UnknownName where none bears the name.

    Where the same profile came in meanwhile its versions go there, so that one id stays one profile.
    """
    wanted = same_name(name)
    for found in bin_entries(folder):
        if wanted not in (same_name(found.entry.name), found.entry.id, found.path.name):
            continue
        name = found.path.name[16:] if found.at else found.path.name
        home = next((folder / one.home for one in entries(folder) if one.id == found.entry.id), folder / name)
        if not is_there(home) and not found.at:
            for version in spare.missing(home):
                spare.restore_spare(version)
            return home
        among = places.versions(home)
        if among and entry_of(home, among).id != found.entry.id:
            return places.move_into(found.path, folder, name)
        for place in (found.path, folder / places.SPARE / name):
            _join(place, home)
        return home
    raise UnknownName(
        f'nothing in the bin is named "{brief(name)}": to see what is in the bin write rotary profile bin'
    )


def _join(place: Path, home: Path) -> None:
    """Move all versions of one folder into another; a file is taken away once its bytes are on disk there."""
    if not is_there(home):
        with file_trouble(place, "moved", "bring the job back again"):
            places.rename_synced(place, home)
        return
    if place == places.spare_of(home / "1").parent:
        return
    for version in places.versions(place):
        if len(raw := places.read(version.path)) > places.LARGEST_BYTES:
            continue
        add_as_it_is(home, version.stamp, raw)
        with file_trouble(version.path, "moved", "bring the job back again"):
            version.path.unlink(missing_ok=True)
    with suppress(OSError):
        place.rmdir()


# -- damaged files


@dataclass(frozen=True, slots=True)
class MendedVersion:
    """A version that was put right: which, what was wrong, where the damaged file lies, which version stands now."""

    name: str
    label: str
    reason: str
    aside: Path
    good: str

    def __str__(self) -> str:
        stands = f"You can open version {self.good} now" if self.good else "No version of this job can be opened"
        says = f"{self.name}, version {self.label}: {brief(self.reason, 200)}"
        if self.good == self.label:
            says += ", so its second copy is back in its place"
        damaged = "damaged " * (self.aside.parent.name == places.ASIDE)
        return f"{says}. {stands}. The {damaged}file is now {self.aside}"


@dataclass(frozen=True, slots=True)
class Repair:
    """What was put right, how many left-overs were cleared, and one sentence for each profile that stays in trouble."""

    done: tuple[MendedVersion, ...]
    left_over: int
    troubles: tuple[str, ...]


def _wrong_with(home: Path, version: places.Version) -> str:
    """Why a version has to be set aside, "" where it is good; raises FileTrouble where it is better left alone."""
    try:
        profile_from_bytes(places.read(version.path), version.stamp, home.name, cure="")
    except Refused as refused:
        return "\n".join(map(str, refused.faults))
    except FileTrouble as unreadable:
        if not is_there(version.path):
            return ""
        if version_or_trouble(version)[0] is None:
            raise
        return str(unreadable)
    return ""


def _set_aside(home: Path, version: places.Version, label: str, reason: str) -> MendedVersion:
    aside = places.move_into(version.path, home.parent / places.ASIDE, f"{home.name}-{version.path.name}")
    spare.restore_spare(version)
    says = f"version {label} of {home.name}, set aside on {now().isoformat(sep=' ')}:\n{reason}\n"
    write_whole(aside.with_suffix(".why.txt"), says.encode(), shared=True)
    left = places.versions(home)
    entry = entry_of(home, left) if left else None
    return MendedVersion(entry.name if entry else home.name, label, reason, aside, entry.good if entry else "")


def mend(folder: Path) -> Repair:
    """Bring back what was deleted by hand, set every damaged version of a store aside, each with its reason in a file
    beside it, and clear what broken-off saves left; goes on past any trouble.

    A version that can't even be read is moved where its second copy can be; what stays as it is, is told.
    """
    done: list[MendedVersion] = []
    troubles: list[str] = []
    left_over = 0
    for place in places.homes(folder):
        home = Path(place.path)
        try:
            for back in filter(spare.restore_spare, spare.missing(home)):
                number = str(back.number)
                done.append(MendedVersion(home.name, number, "somebody deleted its file by hand", back.path, number))
            among = places.versions(home)
            for version in among:
                try:
                    if reason := _wrong_with(home, version):
                        done.append(_set_aside(home, version, places.label(version, among), reason))
                except FileTrouble as trouble:
                    troubles.append(f"{home.name}: {trouble}")
            left_over += places.clear_left_overs(home)
        except FileTrouble as trouble:
            troubles.append(f"{home.name}: {trouble}")
    return Repair(tuple(done), left_over, tuple(troubles))
