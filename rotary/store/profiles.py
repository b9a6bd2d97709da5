"""Keep and open profiles: every save is a new version, and who saved beside whom is said."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Final

from rotary.errors import BadArgument, FileTrouble, Refused, UnknownName, brief, listing, refuse, unknown_name
from rotary.files import is_file, is_there, write_new
from rotary.job import Job
from rotary.store import places
from rotary.store.formats import profile_from_bytes, profile_of_version, version_or_trouble
from rotary.store.index import ProfileEntry, entries, entry_of
from rotary.store.places import SPARE, Version
from rotary.store.profile_names import checked_name, folder_name, id_of, same_name, token
from rotary.store.profile_text import profile_text
from rotary.store.record import ArtworkFile, AsRun, Profile, Record, author, now, without_paths
from rotary.store.spare import keep_spare, names_in_bin


class Damaged(FileTrouble):
    """A version can't be opened; `good` is the label of the last one that can, "" where there is none."""

    def __init__(self, says: str, home: Path, version: Version, good: str) -> None:
        super().__init__(says)
        self.home, self.version, self.good = home, version, good


@dataclass(frozen=True, slots=True)
class Saved:
    """A version that is on disk; `labels_side_by_side` are the labels of others that it does not follow, if any."""

    name: str
    id: str
    label: str
    stamp: str
    path: Path
    beside: tuple[str, ...] = ()

    @property
    def conflict(self) -> str:
        """What to say where two versions stand side by side; empty where none do."""
        if not self.beside:
            return ""
        others = " and ".join(self.beside)
        return (
            f'"{brief(self.name)}" was saved by somebody else meanwhile: versions {others} and {self.label} are '
            "both saved. Compare these versions, then choose one"
        )


@dataclass(frozen=True, slots=True)
class OpenedProfile:
    """A profile that was opened: from which version, and what to know of it."""

    profile: Profile
    home: Path
    version: Version
    label: str
    read_only: str
    doubt: str
    beside: tuple[str, ...]


KEPT: Final = "kept"


def located(name: str, folder: Path) -> ProfileEntry:
    """The profile that a name, an id or a folder's name means; raises FileTrouble or Refused."""
    if not name.strip():
        raise BadArgument(f'"{brief(name)}" has no letter or digit: write a name such as "regatta bottle"')
    everything = entries(folder)
    if (meant := _meant(name, everything)) is not None:
        return meant
    otherwise = "to see all saved jobs write rotary profile list"
    raise unknown_name("saved job", name, [entry.name for entry in everything], otherwise)


def is_name(name: str, folder: Path) -> bool:
    """Whether a profile bears this name."""
    wanted = same_name(name)
    return any(same_name(entry.name) == wanted for entry in entries(folder))


def _meant(name: str, everything: list[ProfileEntry]) -> ProfileEntry | None:
    """The profile that a name, else an id, else a folder's name means; raises Refused where several bear it."""
    wanted, text = same_name(name), name.strip()
    fits = [entry for entry in everything if same_name(entry.name) == wanted]
    fits = fits or [entry for entry in everything if text == entry.id]
    # The folder's name is nobody else's, even where a folder was copied by hand.
    fits = fits or [entry for entry in everything if text == entry.home]
    if len(fits) > 1:
        alone = len({entry.id for entry in fits}) == len(fits)
        ids = " or ".join(f'"{entry.id if alone else entry.home}"' for entry in fits)
        raise BadArgument(f'{len(fits)} saved jobs are named "{brief(name)}": write {ids} instead of the name')
    return fits[0] if fits else None


def load(name: str, folder: Path, version: str | None = None) -> OpenedProfile:
    """A profile, its newest version if none is asked for; raises Damaged, FileTrouble or Refused."""
    return load_from(folder / located(name, folder).home, version)


def load_from(home: Path, version: str | None = None) -> OpenedProfile:
    """A profile by its folder, its newest version if none is asked for; raises Damaged or FileTrouble."""
    among = places.versions(home)
    if not among:
        raise FileTrouble(
            f"there is no saved job in {brief(home, 80)}: to see all saved jobs write rotary profile list"
        )
    chosen = among[-1] if version is None else places.version_named(version, among)
    if chosen is None:
        labels = listing([places.label(other, among) for other in among[-20:]], "or")
        raise UnknownName(f"this job has no version {brief(version)}: in its place write {labels}")
    name = places.label(chosen, among)
    try:
        found = profile_of_version(chosen, f"version {name}", cure="")
    except Refused as refused:
        raise _damaged(home, among, chosen, refused) from None
    return OpenedProfile(
        found.profile, home, chosen, name, found.read_only, found.doubt, places.labels_side_by_side(among)
    )


def profile_in(path: Path) -> OpenedProfile | None:
    """The profile in a file, wherever it lies; None where the file is a job that nobody kept. Raises as `load_from`."""
    raw = places.read(path)
    if not _KEPT_HEADING.search(raw):
        return None
    found = profile_from_bytes(raw, path.name, path.parent.name)
    among = places.versions(path.parent)
    version = next((one for one in among if one.stamp == path.stem), None)
    label = places.label(version, among) if version else path.stem
    version = version or Version(0, path.stem, path)
    return OpenedProfile(found.profile, path.parent, version, label, found.read_only, found.doubt, ())


_KEPT_HEADING: Final = re.compile(rb"(?m)^\s*\[\s*(?:kept|saved)\s*\]")


def _damaged(home: Path, among: list[Version], chosen: Version, refused: Refused) -> Damaged:
    good = last_good([version for version in among if version < chosen])
    offer = places.label(good, among) if good else ""
    reasons = "; ".join(str(fault) for fault in refused.faults[:5])
    says = f"version {places.label(chosen, among)} in {brief(home, 80)} can't be opened: {reasons}"
    says += f". The last good version is {offer}" if offer else ". No older version of this job can be opened"
    return Damaged(says, home, chosen, offer)


def last_good(among: list[Version]) -> Version | None:
    """The newest of these versions that can be opened."""
    return next((version for version in reversed(among) if version_or_trouble(version)[0] is not None), None)


def keep(
    job: Job,
    name: str,
    folder: Path,
    plan: AsRun | None = None,
    based_on: str | None = None,
    drawings: tuple[ArtworkFile, ...] = (),
) -> Saved:
    """Keep a job as the newest version of a profile, or as a new one; raises FileTrouble or Refused.

    What was found out on the item before (proof, readings, notes) goes along. `based_on` is the
    stamp of the version that the job was opened from; where another was saved meanwhile, both stand.
    """
    clean, job = checked_name(name), without_paths(job)
    everything = entries(folder)
    meant = _meant(clean, everything)
    if meant is None:
        new_id = _new_id(clean, folder, everything)
        record = Record(id=new_id, name=clean, at=now(), plan=plan, drawings=drawings)
        return save_next(Profile.model_construct(job=job, saved=record), folder / folder_name(clean, new_id), (), KEPT)
    named = clean if same_name(clean) == same_name(meant.name) else meant.name
    news = {"name": named, "plan": plan} | ({"drawings": drawings} if drawings else {})
    return _next(folder / meant.home, job, news, based_on)


def _new_id(name: str, folder: Path, everything: list[ProfileEntry]) -> str:
    """An id that no other profile has: in the store by whatever name, in the bin, or among the spares."""
    for turn in count():
        profile_id = id_of(name, turn)
        home = folder / folder_name(name, profile_id)
        # In this order: who begins the same name at this moment makes the folder first, the spare last.
        gone = any(one.endswith(profile_id) for one in (*names_in_bin(folder), *places.names_in(folder / SPARE)))
        if is_there(home):
            among = places.versions(home)
            if not among or same_name(entry_of(home, among).name) == same_name(name):
                return profile_id
        elif not gone and all(entry.id != profile_id for entry in everything):
            return profile_id
    raise AssertionError("unreachable")


def _next(home: Path, job: Job, news: Mapping[str, object], based_on: str | None) -> Saved:
    among = places.versions(home)
    source = next((version for version in among if version.stamp == based_on), None) or last_good(among)
    if not among:
        raise FileTrouble(f"{brief(home, 80)} was deleted meanwhile: restore it from the bin, or save the job again")
    if source is None:
        raise FileTrouble(f"no version in {brief(home, 80)} can be opened: save the job under another name")
    before = profile_of_version(source)
    # A newest file of ours that was damaged, or is closed, is no reason to refuse a save: it stays where it is.
    newest = version_or_trouble(among[-1])[0] or version_or_trouble(last_good(among) or among[-1])[0]
    refuse_read_only(home, before.read_only or (newest.read_only if newest else ""))
    return save_next(before.profile.but(job=job), home, (source.stamp,), KEPT, **news)


def refuse_read_only(home: Path, says: str) -> None:
    """Raises FileTrouble where something is said against a new version."""
    if says:
        raise FileTrouble(f"{brief(home, 80)} can't take a new version: {says}. Or save the job under another name")


def save_next(profile: Profile, home: Path, follows: tuple[str, ...], why: str, **news: object) -> Saved:
    """Save a profile, now and by this tool, after the versions of these stamps; `news` is what else is noted."""
    told = {**news, "at": now(), "by": author(), "follows": follows, "why": why}
    record = profile.saved.but(**told)
    return save(Profile.model_construct(job=profile.job, saved=record), home)


def save(profile: Profile, home: Path) -> Saved:
    """Write a profile as the next version in its folder; when this returns, it is on disk whole."""
    data = profile_text(profile).encode()
    version = places.add_version(home, data)
    keep_spare(version, data)
    try:
        among = places.versions(home)
    except FileTrouble:
        # It is on disk; only what lies beside it can't be told.
        among = [version]
    kept, label = profile.saved, places.label(version, among)
    others = tuple(other for other in places.labels_side_by_side(among) if other != label)
    return Saved(kept.name, kept.id, label, version.stamp, version.path, others)


def add_as_it_is(home: Path, stamp: str, raw: bytes) -> bool:
    """Write a version that comes from elsewhere, and its spare; False where the same is here. Raises FileTrouble."""
    places.make(home)
    path = home / f"{stamp}.toml"
    while not write_new(path, raw):
        if is_here(path, raw):
            return False
        # The same stamp with other contents: somebody edited one of them. Both stand.
        path = home / f"{stamp.split('-')[0]}-{token(6)}.toml"
    keep_spare(Version(int(path.stem.split("-")[0]), path.stem, path), raw)
    return True


def is_here(path: Path, raw: bytes) -> bool:
    """Whether a version of this name holds the same bytes."""
    try:
        return is_file(path) and places.read(path) == raw
    except FileTrouble:
        return False


def change(home: Path, update: Callable[[Profile], Profile], why: str, version: str | None = None) -> Saved:
    """Save a profile anew with something changed; raises Damaged, FileTrouble or Refused."""
    found = load_from(home, version)
    refuse_read_only(home, found.read_only)
    return save_next(update(found.profile), home, (found.version.stamp,), why)


def copy(name: str, new_name: str, folder: Path, version: str | None = None) -> Saved:
    """Keep a profile under another name, as a new one of its own; raises Refused where the name is taken."""
    found = load(name, folder, version)
    everything = entries(folder)
    clean = _free(new_name, everything)
    new_id = _new_id(clean, folder, everything)
    why = f"copied from {brief(found.profile.saved.name, 60)}, version {found.label}"
    return save_next(found.profile, folder / folder_name(clean, new_id), (), why, id=new_id, name=clean)


def rename(name: str, new_name: str, folder: Path) -> Saved:
    """Give a profile another name; its versions, its id and its folder stay. Raises Refused where the name is taken."""
    entry = located(name, folder)
    clean = checked_name(new_name)
    if same_name(clean) != same_name(entry.name):
        clean = _free(new_name, entries(folder))

    def named(profile: Profile) -> Profile:
        return profile.but(saved=profile.saved.but(name=clean))

    return change(folder / entry.home, named, f"renamed from {brief(entry.name, 80)}")


def _free(name: str, everything: list[ProfileEntry]) -> str:
    clean = checked_name(name)
    if any(same_name(entry.name) == same_name(clean) for entry in everything):
        raise refuse("as", f'"{brief(clean)}" is already the name of another saved job: write a different name')
    return clean
