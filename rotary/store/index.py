"""The list of profiles, quickly: what was read of a file is remembered until the file changes.

The memory is one file in the store, ``.index.json``. It may be thrown away at any time, and a
wrong one does no harm: it only says what a list shows, and any file that changed is read anew.
"""

import json
import os
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from rotary.errors import FileTrouble, Refused, brief
from rotary.files import is_dry_run, regular_bytes, write_whole
from rotary.finishes import COATINGS, METALS
from rotary.store.places import INDEX, Version, homes, label, labels_side_by_side, versions
from rotary.store.profile_names import same_name

if TYPE_CHECKING:
    # What only reads a profile anew needs is loaded then: a list of what is remembered has to come at once.
    from rotary.model import Model
    from rotary.store.formats import ProfileReading

PLACES: Final = 9
"""At so many heights from foot to rim a wall is remembered, to find what is like it."""

LARGEST_INDEX_BYTES: Final = 400_000_000
_SETTLED_NS: Final = 2_000_000_000
"""A folder that changed less than this before it was read may change again without a newer time."""


@dataclass(frozen=True, slots=True)
class ProfileEntry:
    """A profile in the list: its newest good version, and what is wrong beyond it.

    `trouble` says what is wrong with the newest version where it can't be opened; all else is
    then of the last good one, whose label is `good` ("" where there is none). `labels_side_by_side` are the
    labels of the versions that stand side by side where two writers saved at once. `widths_mm`
    are diameters at equal steps from foot to rim.
    """

    home: str
    id: str
    name: str
    label: str = ""
    good: str = ""
    at: str = ""
    count: int = 0
    state: str = ""
    proven_on: str = ""
    says: str = ""
    item: str = ""
    coating: str = ""
    metal: str = ""
    head: str = ""
    drive: str = ""
    note: str = ""
    length_mm: float = 0.0
    widths_mm: tuple[float, ...] = ()
    flats: int = 0
    trouble: str = ""
    read_only: str = ""
    doubt: str = ""
    beside: tuple[str, ...] = ()
    words: str = ""

    def lines(self, folder: Path) -> list[str]:
        """The profile in a line, and what is to be known of it; `folder` is where it is stored."""
        state = self.says if self.at else "not readable"
        first = f"{self.name}  version {self.label or '-'}  {self.at[:10] or '-'}  {state}  {folder / self.home}"
        both = " and ".join(self.beside)
        twice = f"this job was saved twice from the same older version, as versions {both}"
        beside = f"{twice}: compare the two, then choose one with rotary profile resolve" if both else ""
        return [first, *(f"    ! {text}" for text in (self.trouble, self.read_only, self.doubt, beside) if text)]

    @property
    def low_mm(self) -> float:
        """The smallest diameter."""
        return min(self.widths_mm, default=0.0)

    @property
    def high_mm(self) -> float:
        """The largest diameter."""
        return max(self.widths_mm, default=0.0)


class _Row(NamedTuple):
    """What is remembered of a profile: when its folder changed, its newest file as it was then, the entry."""

    changed_ns: int
    newest: str
    size: int
    file_ns: int
    entry: ProfileEntry


_LAYOUT: Final = "layout 4"


def entries(folder: Path) -> list[ProfileEntry]:
    """Every profile of a store, those proven last first, then the newest; raises FileTrouble."""
    known = _remembered(folder)
    rows: dict[str, _Row] = {}
    found: list[ProfileEntry] = []
    for place in homes(folder):
        row = known.get(place.name)
        try:
            changed_ns = place.stat(follow_symlinks=False).st_mtime_ns
            if row is None or not _is_right(row, changed_ns, place.path):
                entry, row = _read_anew(Path(place.path), changed_ns)
            else:
                entry = row.entry
        except FileNotFoundError:
            # Thrown away since it was listed.
            continue
        except (OSError, FileTrouble) as trouble:
            says = trouble.strerror or "" if isinstance(trouble, OSError) else str(trouble)
            entry, row = _blank(Path(place.path), [], says), None
        if entry is None:
            continue
        if row is not None:
            rows[place.name] = row
        found.append(entry)
    if rows != known:
        _remember(folder, rows)
    return in_order(found)


def in_order(found: Iterable[ProfileEntry]) -> list[ProfileEntry]:
    """Those proven last first, then those saved last."""

    def rank(entry: ProfileEntry) -> tuple[bool, str, str]:
        proven = entry.state == "proven"
        return proven, entry.proven_on if proven else "", entry.at

    return sorted(found, key=rank, reverse=True)


def search(
    everything: Iterable[ProfileEntry],
    words: str = "",
    low_mm: float | None = None,
    high_mm: float | None = None,
    coating: str = "",
    head: str = "",
    proven: bool = False,
) -> list[ProfileEntry]:
    """The profiles in which every word occurs and whose diameters all lie in the range, in the order given."""
    wanted, film, lens = same_name(words).split(), same_name(coating), same_name(head)
    return [
        entry
        for entry in everything
        if all(word in entry.words or word in _finish(entry) for word in wanted)
        and (low_mm is None or (entry.low_mm >= low_mm and entry.high_mm > 0))
        and (high_mm is None or 0 < entry.high_mm <= high_mm)
        and (not film or film in same_name(entry.coating) or film in _finish(entry))
        and (not lens or lens in same_name(entry.head))
        and (not proven or entry.state == "proven")
    ]


def _finish(entry: ProfileEntry) -> str:
    """Its coating and metal as a person calls them."""
    return same_name(f"{COATINGS.get(entry.coating, '')} {METALS.get(entry.metal, '')}")


def _is_right(row: _Row, changed_ns: int, home: str) -> bool:
    """Whether neither the folder nor its newest file has changed since."""
    if row.changed_ns != changed_ns:
        return False
    try:
        stat = os.stat(f"{home}/{row.newest}")  # noqa: PTH116  (ten thousand paths take longer to build than to look up)
    except (OSError, ValueError):
        return False
    return (stat.st_size, stat.st_mtime_ns) == (row.size, row.file_ns)


def _read_anew(home: Path, changed_ns: int) -> tuple[ProfileEntry | None, _Row | None]:
    among = versions(home)
    if not among:
        return None, None
    entry = entry_of(home, among)
    if entry.trouble:
        # It may be over without a newer time, as when a file is opened to others.
        return entry, None
    try:
        stat = among[-1].path.stat()
    except OSError:
        return entry, None
    settled = time.time_ns() - max(changed_ns, stat.st_mtime_ns) > _SETTLED_NS
    return entry, _Row(changed_ns if settled else 0, among[-1].path.name, stat.st_size, stat.st_mtime_ns, entry)


def entry_of(home: Path, among: list[Version]) -> ProfileEntry:
    """What a list says of a profile, read from its files."""
    from rotary.store.formats import version_or_trouble

    trouble = ""
    for version in reversed(among):
        found, wrong = version_or_trouble(version, f"version {label(version, among)}")
        trouble = trouble or wrong
        if found is not None:
            return _entry(home, among, version, found, trouble)
    return _blank(home, among, trouble)


def _blank(home: Path, among: list[Version], trouble: str) -> ProfileEntry:
    """A profile of which nothing can be read; it is named by its folder."""
    name, newest = home.name, label(among[-1], among) if among else ""
    return ProfileEntry(name, name, name, label=newest, count=len(among), trouble=trouble, words=name)


def _entry(home: Path, among: list[Version], version: Version, found: "ProfileReading", trouble: str) -> ProfileEntry:
    from rotary.store.proof import standing

    profile, stands = found.profile, standing(found.profile)
    job, kept = profile.job, profile.saved
    length, widths, flats = wall_of(job.item)
    item, coating, head = job.item.name, job.item.coating or "none", job.laser.name
    said = (kept.name, item, coating, job.item.metal, head, job.turning.kind, job.note, job.artwork.name, stands.state)
    notes = [note.text for note in kept.notes]
    return ProfileEntry(
        home=home.name,
        id=kept.id,
        name=kept.name,
        label=label(among[-1], among),
        good=label(version, among),
        at=kept.at.isoformat(timespec="seconds"),
        count=len(among),
        state=stands.state,
        proven_on=stands.on,
        says=stands.summary,
        item=item,
        coating=coating,
        metal=job.item.metal,
        head=head,
        drive=job.turning.kind,
        note=brief(job.note, 200),
        length_mm=length,
        widths_mm=widths,
        flats=flats,
        trouble=trouble,
        read_only=found.read_only,
        doubt=found.doubt,
        beside=labels_side_by_side(among),
        words=same_name(" ".join((*said, *notes)))[:4000],
    )


def wall_of(item: "Model") -> tuple[float, tuple[float, ...], int]:
    """Length, diameters at equal steps from foot to rim, and number of flats of an item; nothing where it has none."""
    from rotary.item import fitted_shape

    try:
        shape = fitted_shape(item)
    except Refused:
        return 0.0, (), 0
    heights = [shape.length_mm * place / (PLACES - 1) for place in range(PLACES)]
    widths = tuple(round(2 * float(radius), 4) for radius in shape.radius_mm(heights))
    return round(shape.length_mm, 3), widths, shape.flats or 0


def _remembered(folder: Path) -> dict[str, _Row]:
    """What was remembered, or nothing where there is no memory or none that makes sense."""
    try:
        rows = json.loads(regular_bytes(folder / INDEX, LARGEST_INDEX_BYTES))[_LAYOUT]
        return {name: _row(*row) for name, row in rows.items()}
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return {}


_NUMBERS: Final = ("count", "length_mm", "flats")
_TEXTS: Final = tuple(one.name for one in fields(ProfileEntry) if one.name not in (*_NUMBERS, "widths_mm", "beside"))


def _row(changed_ns: int, newest: str, size: int, file_ns: int, entry: dict[str, Any]) -> _Row:
    """A row as it was remembered; raises TypeError where a value is of another kind."""
    lists = {name: tuple(entry[name]) for name in ("widths_mm", "beside")}
    row = _Row(changed_ns, newest, size, file_ns, ProfileEntry(**(entry | lists)))
    texts = [newest, *lists["beside"], *(entry[name] for name in _TEXTS if name in entry)]
    numbers = [changed_ns, size, file_ns, *lists["widths_mm"], *(entry[name] for name in _NUMBERS if name in entry)]
    if not all(isinstance(one, str) for one in texts) or not all(isinstance(one, int | float) for one in numbers):
        raise TypeError
    return row


def _remember(folder: Path, rows: dict[str, _Row]) -> None:
    if is_dry_run():
        return
    data = json.dumps({_LAYOUT: {name: (*row[:4], asdict(row.entry)) for name, row in rows.items()}})
    # A store that can only be read is listed all the same.
    with suppress(FileTrouble):
        write_whole(folder / INDEX, data.encode(), shared=True)
