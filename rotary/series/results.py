"""What all lists have in common: a folder that appears whole or not at all, and a table of what became of each line."""

import shutil
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from csv import Error
from math import degrees, fsum
from pathlib import Path
from typing import Final, NamedTuple
from uuid import uuid4

from rotary.actions.duration import job_time
from rotary.artwork.rings import Rings
from rotary.errors import FileTrouble, Refused, brief, listing
from rotary.files import about_to_write, file_trouble, flushed_together, is_folder, is_there, settle
from rotary.model import Model
from rotary.passes.plan.setting import Removal
from rotary.plan import Plan
from rotary.sentences.run_texts import NEVER_ROUND, others_text, rungs_text, stop_text
from rotary.sentences.times import time_text
from rotary.series.table import cells_from_file, csv_bytes
from rotary.services.files import flat_file, slice_sheet, slice_times_s
from rotary.sheet import SheetWish

TABLE: Final = "names.csv"
NO_NAME: Final = "the line has no name: write a name, or take the line out"
START: Final = "start °"
LONGEST: Final = 30  # letters of a name in the name of its file
_WRITABLE: Final = "name a folder where you can write"


class ListWish(NamedTuple):
    """How a list is written: letters all alike or each as high as its room, what parts the table's columns, notes.

    `beside` is the place for what is not whole yet, `system` the units of the cards.
    """

    each_to_fit: bool = False
    sign: str = ","
    notes: tuple[str, ...] = ()
    beside: Path | None = None
    system: str = "mm"


class Outcome(Model):
    """What became of one line of a list; `files` is empty for a misfit, and `why` then says what to do.

    `marking_s` is the time of marking it once, `start_deg` the angle of the item under the field's middle at the start
    [°, + to the right]; None where it isn't known, or nothing is turned.
    """

    line: int
    name: str
    state: str
    why: str = ""
    letter_height_mm: float = 0.0
    ink_mm2: float = 0.0
    marking_s: float | None = None
    start_deg: float | None = None
    files: tuple[str, ...] = ()
    card: str = ""


MOST_NAMED: Final = 50
"""So many misfits are named; all of them stand in the table."""


def misfit_lines(misfits: Sequence[Outcome]) -> list[str]:
    """Those that can't be done, by name as far as a person reads; none where all can."""
    lines = [f"  line {one.line}{one.name and f', {brief(one.name, 30)}'}: {one.why}" for one in misfits]
    more = [f"  and {len(lines) - MOST_NAMED} more: {TABLE} lists all of them"] if len(lines) > MOST_NAMED else []
    many = "1 name does" if len(lines) == 1 else f"{len(lines)} names do"
    return [f"{many} not fit:", *lines[:MOST_NAMED], *more] if lines else []


@contextmanager
def whole_folder(folder: Path, what: str, beside: Path | None = None) -> Iterator[Path]:
    """A folder to write into that takes the place of `folder`, which must be new or empty, once the block is done.

    Whatever the block raises leaves nothing. Who may be ended from outside gives the place `beside`, and clears it.
    """
    refuse_full(folder, what)
    about_to_write(folder)
    made = beside or folder.parent / f".{uuid4().hex}.part"
    with file_trouble(folder, "made", _WRITABLE):
        made.mkdir(parents=True)
    try:
        with flushed_together(made):
            yield made
        with file_trouble(folder, "made", _WRITABLE), suppress(FileNotFoundError):
            folder.rmdir()
        with file_trouble(folder, "made", _WRITABLE):
            made.replace(folder)
            settle(folder.resolve().parent)
    finally:
        shutil.rmtree(made, ignore_errors=True)


def refuse_full(folder: Path, what: str) -> None:
    """Raises FileTrouble where something stands in the folder already."""
    if is_there(folder) and (not is_folder(folder) or _holds_something(folder)):
        raise FileTrouble(f"{brief(folder, 80)} is there already and not empty: name a new folder for the {what}")


def _holds_something(folder: Path) -> bool:
    with file_trouble(folder, "listed", _WRITABLE):
        return any(folder.iterdir())


def labelled(number: int, digits: int, stem: str) -> str:
    """What the files of an entry are called.

    >>> labelled(7, 3, "heron")
    '007 heron'
    """
    return f"{number:0{digits}d} {stem[:LONGEST]}"


def digits_for(count: int) -> int:
    """How many digits number the files of a list."""
    return max(3, len(str(count)))


def files_of(made: Plan, ink: Rings, folder: Path, sheets: SheetWish) -> tuple[Plan, tuple[Path, ...], float | None]:
    """Write the files of one entry: the plan as it was drawn, the paths, the time of marking it once [s], if known."""
    if made.split.method == "flat":
        return *flat_file(made, ink, folder, trial=sheets.trial), None
    drawn, paths = slice_sheet(made, ink, folder, sheets)
    times = slice_times_s(made, drawn)
    focus = made.focus_between(drawn.zone_borders_mm)
    made = made.but(trial=drawn.trial, start_rad=drawn.middle_rad, focus=focus)
    return made, paths, fsum(times) if times else None


def start_deg(made: Plan) -> float:
    """The angle of the item under the field's middle at the start [°], once its files are drawn."""
    return round(degrees(made.layout.centre_angle_rad if made.start_rad is None else made.start_rad), 3) + 0.0


def files_to_try(made: Plan, paths: Sequence[Path]) -> tuple[str, ...]:
    """The files of an entry in the order in which a coating is tried with them."""
    return made.trial.parts if made.trial else tuple(path.name for path in paths)


def why_not(refused: Refused, field: str = "") -> str:
    """Why an entry can't be made: every fault, without the name of the field that all of a list stand in."""
    return "; ".join(fault.says if fault.where == field else str(fault) for fault in refused.faults)


def table_bytes(
    entries: Sequence[Outcome], sign: str, heading: str = "name", more: Mapping[str, Sequence[str]] | None = None
) -> bytes:
    """The table of entries; `more` are columns of its own, one text for each entry."""
    extra = dict(more or {})
    headings = [
        "line",
        heading,
        "state",
        "why",
        "letter height mm",
        *extra,
        "marked area mm2",
        "marking time s",
        START,
        "files",
    ]
    rows = []
    for place, entry in enumerate(entries):
        done = bool(entry.files)
        rows.append(
            [
                str(entry.line),
                entry.name,
                entry.state,
                entry.why,
                f"{entry.letter_height_mm:.2f}" if done else "",
                *(column[place] if done else "" for column in extra.values()),
                f"{entry.ink_mm2:.2f}" if done else "",
                "" if entry.marking_s is None else f"{entry.marking_s:.1f}",
                "" if entry.start_deg is None else f"{entry.start_deg:.3f}",
                " ".join(entry.files),
            ]
        )
    return csv_bytes(headings, rows, sign)


def outcomes_in(folder: Path) -> tuple[Outcome, ...]:
    """What became of each line of a list, by the table that stands in its folder; raises FileTrouble."""
    no_table = f"{brief(folder, 80)} holds no {TABLE} from rotary: name the folder that a list was written to"
    if not is_there(folder / TABLE):
        raise FileTrouble(no_table)
    try:
        head, *rows = cells_from_file(folder / TABLE)
        line, name, state, why = range(4)
        place = {title: at for at, title in enumerate(head)}
        start, files, card = place[START], place["files"], place.get("sheet", place.get("card"))
        return tuple(
            Outcome(
                line=int(row[line]), name=row[name].removeprefix("'"), state=row[state], why=row[why],
                start_deg=float(row[start]) if row[start] else None, files=tuple(row[files].split()),
                card=row[card] if card is not None else "",
            )
            for row in rows
        )  # fmt: skip
    except (Error, KeyError, ValueError, IndexError, Refused):
        raise FileTrouble(no_table) from None


def first_notes(files: Sequence[str], steps: Removal, rollers: bool, faces: bool = False) -> list[str]:
    """On a coating the number of passes is found on one slice, of the first item of a list or of a scrap item.

    `files` are those of the first item, in the order in which it is tried with them; `faces` whether it has more.
    """
    if not steps.removes_coating or not files:
        return []
    stops = [*([NEVER_ROUND] if rollers else []), stop_text(any(one.id == "bleached" for one in steps.remarks))]
    if steps.is_counted:
        return [f"Every item: {others_text(steps, len(files) > 1)}.", *stops]
    tried, *others = files
    several, last = len(steps.rungs) > 1, ", then mark the last pass" if steps.last_when else ""
    how = others_text(steps, len(files) > 1)
    found = [
        f"First, on a scrap item or the first item of the list: import {tried}. Mark one pass, look, and repeat until "
        f"the mark is clean: {rungs_text(steps)}. Write down {'the power and ' * several}the number of passes{last}."
    ]
    if others:
        # The first slice had weaker passes, too.
        second, *rest = others
        count = "Type that power, count" if several else "Count"
        found.append(
            f"If you used the list's first item, import {second} next. {count} the passes again, and write this number "
            f"down instead{last}.{''.join(f' Then import {one}, {how}.' for one in rest)}"
        )
    every = "Other faces and all other items: import each one's" if faces else "All other items: import each item's"
    found.append(f"{every} own file, {how}.")
    return [*found, *stops]


def list_time(made: Plan | None, entries: Sequence[Outcome]) -> list[str]:
    """How long all files of a list take, one item each, from each file's own lines; of flat files from its ink."""
    setting = made.choice.setting if made is not None else None
    done = [one for one in entries if one.files]
    if made is None or setting is None or not done:
        return []
    per_s = setting.speed_mm_s * setting.line_spacing_mm
    time = job_time(made, marking_s=[one.marking_s or one.ink_mm2 / per_s for one in done])
    return [f"Time: {time_text(time)}"] if time else []


def twice_note(names: Sequence[str]) -> list[str]:
    """That names stand in a list more than once, where they do."""
    twice = [f'"{brief(name, 30)}"' for name, times in Counter(names).items() if times > 1]
    shown = listing([*twice[:3], f"{len(twice) - 3} more"] if len(twice) > 4 else twice)
    stands = "is" if len(twice) == 1 else "are"
    return [f"{shown} {stands} in the list more than once: each line has its own file."] if twice else []
