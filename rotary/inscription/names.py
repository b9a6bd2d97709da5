"""A list of names or numbers on parts that are all alike: each sized the same or each to fit, misfits first.

::

      names.csv ──┐                            ┌─> misfits, told before anything is written
      1 to 250  ──┴─> words ──> sized ──> same ┤
                                               └─> one plan ──> 001-heron-sheet.svg … and one table, names.csv
"""

import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import date
from math import fsum
from pathlib import Path
from typing import Final, Literal, NamedTuple
from uuid import uuid4

from pydantic import Field

from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import area_mm2
from rotary.errors import FileTrouble, Refused, brief, refuse
from rotary.files import is_folder, is_there, told, write_whole
from rotary.inscription.drawn import ink_on_wall
from rotary.inscription.legibility import Mark
from rotary.inscription.models import InscriptionWish
from rotary.inscription.sizing import Sized, sized
from rotary.inscription.work import Planner, job_for, mark_of
from rotary.job import Job
from rotary.model import Model
from rotary.plan import Plan, plan
from rotary.series.table import csv_bytes, table_from_file
from rotary.written import plain_export, slice_sheet, slice_times_s

Progress = Callable[[float], None]

TABLE: Final = "names.csv"
LONGEST: Final = 30  # letters of a name in the name of its file
MOST_ENTRIES: Final = 100_000
PLACE: Final = "{name}"
TODAY: Final = "{date}"


class Wanted(NamedTuple):
    """One entry of a list: its line, the name as it stands there, the whole text as it is cut."""

    line: int
    name: str
    text: str


class NameEntry(Model):
    """One entry as it came out: `cut`, its files are written, or a `misfit`, and `why` says what to do."""

    line: int
    name: str
    state: Literal["cut", "misfit"]
    why: str
    letter_height_mm: float
    ink_mm2: float
    marking_s: float | None
    files: tuple[str, ...]


class Names(Model):
    """All entries, misfits first; `height_mm` is the one height of all, None where each is sized to fit."""

    entries: tuple[NameEntry, ...]
    misfits: int = Field(ge=0)
    height_mm: float | None
    table: str
    notes: tuple[str, ...]


def words_of(name: str, text: str, today: date | None = None) -> str:
    """The text of one entry: the name put into the words around it, or alone.

    >>> words_of("17", "No. {name}", None), words_of("Heron", ""), words_of("Heron", "{name} {date}", date(2026, 5, 2))
    ('No. 17', 'Heron', 'Heron 2026-05-02')
    """
    if PLACE not in text:
        return name
    return text.replace(TODAY, (today or date.today()).isoformat()).replace(PLACE, name)


def from_list(table: Path, column: str | None, text: str) -> tuple[tuple[Wanted, ...], tuple[str, ...], str]:
    """The entries of a CSV file, notes on how it was read, and the sign between its columns; raises Refused."""
    read = table_from_file(table, column)
    return tuple(Wanted(row.line, row.name, words_of(row.name, text)) for row in read.rows), read.notes, read.sign


def from_numbers(first: int, last: int, digits: int, text: str) -> tuple[Wanted, ...]:
    """Serial numbers, with leading noughts up to `digits`; raises Refused for none or too many.

    >>> [one.text for one in from_numbers(9, 10, 3, "No. {name}")]
    ['No. 009', 'No. 010']
    """
    if not 0 <= first <= last or last - first >= MOST_ENTRIES:
        says = f"go from {first} to {last}; write for example 1-250, at most {MOST_ENTRIES} of them"
        raise refuse("numbers", says)
    return tuple(
        Wanted(place, name, words_of(name, text))
        for place, name in enumerate((f"{number:0{digits}d}" for number in range(first, last + 1)), 1)
    )


def looked_at(
    job: Job, wish: InscriptionWish, wanted: Iterable[Wanted], mark: Mark
) -> Iterator[tuple[Wanted, Sized | str]]:
    """Each entry as sized by itself, or why it can't be."""
    for one in wanted:
        if not one.name.strip():
            yield one, "the line has no name in its column; write one, or take the line out"
            continue
        try:
            yield one, _without_checks(job, wish.model_copy(update={"text": one.text}), mark)
        except Refused as refused:
            yield one, "; ".join(fault.says if fault.where == "text" else str(fault) for fault in refused.faults)


def _without_checks(job: Job, wish: InscriptionWish, mark: Mark) -> Sized:
    """Sized with the least height that can be read, the checks left for one that is looked at."""
    made = sized(wish, job.item, mark)
    return made._replace(texts=())  # only the size is kept: letters are set again when the entry is drawn


def names(
    job: Job,
    wish: InscriptionWish,
    wanted: tuple[Wanted, ...],
    folder: Path,
    each_to_fit: bool = False,
    sign: str = ",",
    notes: tuple[str, ...] = (),
    tell_misfits: Callable[[tuple[NameEntry, ...]], None] | None = None,
    progress: Progress | None = None,
    made_by: Planner = plan,
) -> Names:
    """Size a whole list, tell the misfits, then write all files into `folder`, which must be new or empty.

    All letters are as high as those of the longest entry that can be read, or `each_to_fit` as high as its own room
    lets them. The folder appears when all is in it; whatever `progress` or `tell_misfits` raises stops the work and
    leaves nothing. `made_by` plans each size. Raises Refused where no entry fits, FileTrouble.
    """
    if wish.around in ("flats", "end"):
        raise refuse("around", 'a list is for turned parts so far; write around = "ring", "arc" or "axis"')
    if not wanted:
        raise refuse("table", "the list is empty; write names below its heading")
    if is_there(folder) and (not is_folder(folder) or any(folder.iterdir())):
        raise FileTrouble(f"{brief(str(folder), 80)} is there already and not empty; name a new folder for the list")
    tell, mark = progress or (lambda _: None), mark_of(job.head, job.item)
    heights: dict[int, float] = {}
    misfits: list[NameEntry] = []
    for place, (one, found) in enumerate(looked_at(job, wish, wanted, mark)):
        if isinstance(found, str):
            misfits.append(_misfit(one, found))
        else:
            heights[place] = found.facts.letter_height_mm
        tell(0.2 * (place + 1) / len(wanted))
    if tell_misfits is not None and misfits:
        tell_misfits(tuple(misfits))
    if not heights:
        why = misfits[0]
        raise refuse("table", f'no entry can be cut: "{brief(why.name, 30)}" in line {why.line}: {why.why}')
    same = None if each_to_fit else min(heights.values())
    beside = folder.parent / f".{uuid4().hex}.part"
    with told(folder, "made", "name a folder where you may write"):
        beside.mkdir(parents=True)
    try:
        entries = list(_written(job, wish, wanted, heights, same, beside, tell, made_by))
        ordered = (*misfits, *(one for one in entries if one.state == "misfit"))
        cut = tuple(one for one in entries if one.state == "cut")
        made = Names(
            entries=(*ordered, *cut),
            misfits=len(ordered),
            height_mm=same,
            table=TABLE,
            notes=(*notes, *_notes(ordered, wanted, same)),
        )
        write_whole(beside / TABLE, _table(made, sign))
        with told(folder, "made", "name a folder where you may write"), suppress(FileNotFoundError):
            folder.rmdir()
        with told(folder, "made", "name a folder where you may write"):
            beside.replace(folder)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return made


def _written(
    job: Job,
    wish: InscriptionWish,
    wanted: tuple[Wanted, ...],
    heights: Mapping[int, float],
    same: float | None,
    folder: Path,
    tell: Progress,
    made_by: Planner,
) -> Iterator[NameEntry]:
    """Draw and write each entry that fits; plans are shared by entries whose artwork is of one size."""
    plans: dict[tuple[float, ...], Plan] = {}
    digits = max(3, len(str(len(wanted))))
    for done, (place, own) in enumerate(heights.items(), 1):
        one = wanted[place]
        asked = wish.model_copy(update={"text": one.text, "letter_height_mm": same or own})
        label = f"{place + 1:0{digits}d} {file_stem(one.name)[:LONGEST]}"
        try:
            yield _one(job, asked, one, label, plans, folder, made_by)
        except Refused as refused:
            yield _misfit(one, "; ".join(map(str, refused.faults)))
        tell(0.2 + 0.8 * done / len(heights))


def _one(
    part: Job,
    asked: InscriptionWish,
    one: Wanted,
    label: str,
    plans: dict[tuple[float, ...], Plan],
    folder: Path,
    made_by: Planner,
) -> NameEntry:
    made = sized(asked, part.item)
    ink = ink_on_wall(made, asked)
    wanted = job_for(part, asked, made, ink.rings, ink.begin_mm)
    whole = _plan(wanted, plans, made_by)
    art = wanted.artwork.model_copy(
        update={"name": label, "width_mm": whole.job.artwork.width_mm, "height_mm": whole.job.artwork.height_mm}
    )
    # How far round the middle of a ring's ink lies is its own; nothing in the plan hangs on it.
    layout = whole.layout.model_copy(update={"centre_angle_rad": art.centre_angle_rad})
    job = whole.job.model_copy(update={"artwork": art})
    named = whole.model_copy(update={"job": job, "layout": layout})
    marking_s: float | None = None
    if whole.split.method == "plain":
        _, path = plain_export(named, ink.rings, folder)
        paths: tuple[Path, ...] = (path,)
    else:
        drawn, paths = slice_sheet(named, ink.rings, folder)
        times = slice_times_s(named, drawn)
        marking_s = fsum(times) if times else None
    return NameEntry(
        line=one.line,
        name=one.name,
        state="cut",
        why="",
        letter_height_mm=made.facts.letter_height_mm,
        ink_mm2=area_mm2(ink.rings),
        marking_s=marking_s,
        files=tuple(path.name for path in paths),
    )


def _plan(wanted: Job, plans: dict[tuple[float, ...], Plan], made_by: Planner) -> Plan:
    """The plan of an entry's artwork, its size rounded up so that like entries share one."""
    art = wanted.artwork
    wide = art.width_mm if art.full_wrap else _up(art.width_mm)
    high = _up(art.height_mm, 0.25)
    key = (wide, high)
    if key not in plans:
        if len(plans) > 64:
            plans.clear()
        sizes = {"width_mm": wide, "height_mm": high, "ink_share": min(art.ink_share, 1.0)}
        try:
            plans[key] = made_by(wanted.model_copy(update={"artwork": art.model_copy(update=sizes)}))
        except Refused:
            # Rounded up it may not go on the part any more.
            plans[key] = made_by(wanted)
    return plans[key]


def _up(size_mm: float, step_mm: float = 1.0) -> float:
    return -(-size_mm // step_mm) * step_mm


def _misfit(one: Wanted, why: str) -> NameEntry:
    return NameEntry(
        line=one.line, name=one.name, state="misfit", why=why, letter_height_mm=0.0, ink_mm2=0.0, marking_s=None,
        files=(),
    )  # fmt: skip


def _notes(misfits: tuple[NameEntry, ...], wanted: tuple[Wanted, ...], same: float | None) -> list[str]:
    notes = []
    if misfits:
        notes.append(
            f"{len(misfits)} of {len(wanted)} can't be cut; they stand first in {TABLE}, each with its reason."
        )
    if same is not None:
        notes.append(f"All letters are {same:.2f} mm high, as the longest that fits lets them.")
    twice = len(wanted) - len({one.text for one in wanted})
    if twice:
        notes.append(f"{twice} stand in the list more than once; each line has its own file.")
    return notes


def _table(made: Names, sign: str) -> bytes:
    headings = ["line", "name", "state", "why", "letter height mm", "ink mm2", "marking s", "files"]
    rows = [
        [
            str(entry.line),
            entry.name,
            entry.state,
            entry.why,
            f"{entry.letter_height_mm:.2f}" if entry.files else "",
            f"{entry.ink_mm2:.2f}" if entry.files else "",
            "" if entry.marking_s is None else f"{entry.marking_s:.1f}",
            " ".join(entry.files),
        ]
        for entry in made.entries
    ]
    return csv_bytes(headings, rows, sign)
