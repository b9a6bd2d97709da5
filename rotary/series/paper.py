"""The sheet of a list of names: the setup sheet, and on the next page every name with its file and its start."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import radians
from pathlib import Path
from typing import Final

from rotary.actions.files import file_facts
from rotary.actions.models import Actions, Files
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.errors import FileTrouble, brief
from rotary.item import Item
from rotary.papers.model import Block, Paper, Section, Sentences, Table
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan
from rotary.sentences.plan import actions_in_words
from rotary.sentences.safety import paper_of
from rotary.sentences.standing import front_of
from rotary.series.results import Outcome, outcomes_in
from rotary.sheet.reread import drawing_from_file

SAME_DEG: Final = 0.05
"""Starts that differ by less are one: nobody turns an item by hand to less."""

SAME_PAGE_MM: Final = 0.02
"""A page is so exactly as wide as its slices together: each is typed to a micrometre."""

PARTS: Final = ("first", "second", "rest")
OWN_FILE: Final = "each item's own file (see NAMES)"
TURN: Final = "Turn every item until {} lies under the middle of the field."
TURN_EACH: Final = (
    "Turn each item to its start angle: the place that many degrees to the right of its front ({front}- is to the "
    "left), seen with {rim} up, must lie under the middle of the field."
)
ANYWHERE: Final = " (If nothing shows where its front is, begin anywhere.)"


def names_sheet(made: Plan, folder: Path, system: str = "mm", ink: MarkedInk | None = None) -> Callable[[float], Paper]:
    """The sheet of the list whose files lie in a folder, by the height of its picture; `made` is the plan of them all,
    `ink` what is on each of them.

    Words on small parts have a card for all that are alike: of those only the names are printed. Raises FileTrouble.
    """
    entries = outcomes_in(folder)
    table = names_section(entries, made.job.item)
    done = [one for one in entries if one.files]
    if not done:
        raise FileTrouble(f"no name of {brief(folder, 80)} has a file: write the names again with rotary art names")
    if done[0].card:
        lead = "Beside each name stands the file of its setup sheet: print that sheet, and do what it says."
        names = paper_of(made, "names sheet", lead, (table,))
        return lambda _: names
    facts = replace(plan_facts(made, system, ink=ink), kind="names sheet")
    actions = _actions(made, folder, done[0], system)
    if _starts(done)[1]:
        # It stands beside each name.
        actions = actions.without("start_angle")
    first = sheet_by_height(actions, facts)

    def paper(picture_mm: float) -> Paper:
        sheet = first(picture_mm)
        return replace(sheet, tables=(*sheet.tables, table), counting=None)

    return paper


def _actions(made: Plan, folder: Path, first: Outcome, system: str) -> Actions:
    """What is done with the first name's files, on the page that they were drawn on."""
    page = drawing_from_file(folder / first.files[0])
    names = {name: file for file in first.files for name in PARTS if Path(file).stem.endswith(f"-{name}")}
    files = Files(**names, whole=OWN_FILE) if names else Files(whole=first.files[0])
    across = page.width_mm if made.job.laser.field_axis == "y" else page.height_mm
    slices = round(across / made.split.file_slice_mm)
    if abs(across - slices * made.split.file_slice_mm) > SAME_PAGE_MM:
        again = f"write {brief(folder, 60)} again with rotary art names"
        says = f"was drawn for other slices than this job's plan has now: {again}"
        raise FileTrouble(f"{first.files[0]} {says}, or name their job")
    drawn = file_facts(made)._replace(
        files=files, slices=slices, wide_mm=page.width_mm, high_mm=page.height_mm,
        middle_rad=radians(first.start_deg or 0.0), is_final=True, is_written=True,
    )  # fmt: skip
    return actions_in_words(made, drawn, system=system)


def _starts(done: Sequence[Outcome]) -> tuple[list[float], bool]:
    """The angles that items start at, as far as they are known [°], and whether they differ."""
    starts = [one.start_deg for one in done if one.start_deg is not None]
    return starts, bool(starts) and max(starts) - min(starts) > SAME_DEG


def _to_import(files: Sequence[str]) -> str:
    """The files of one name: all of them, or of the first name all at once or part by part."""
    parts = [name for name in files if Path(name).stem.endswith(tuple(f"-{part}" for part in PARTS))]
    whole = ", ".join(name for name in files if name not in parts)
    return f"{whole} if you found power and passes on scrap. If not: {', '.join(parts)}" if parts else whole


def names_section(entries: Sequence[Outcome], item: Item) -> Section:
    """Every name to tick, with its files; the start of each, or one for all; what does not fit is said first.

    How items with sheets of their own are turned is ordered there, and the angles always stand here.
    """
    done = [one for one in entries if one.files]
    starts, differ = _starts(done)
    has_cards = any(one.card for one in done)
    misfits = tuple(f"Line {one.line}{one.name and f', {one.name}'}: {one.why}" for one in entries if not one.files)
    columns = (
        ("line", [f"{one.line}" for one in done]),
        ("name", [one.name for one in done]),
        ("start angle", [f"{one.start_deg or 0.0:.1f}°" for one in done] if differ or (has_cards and starts) else []),
        ("sheet", [one.card for one in done] if has_cards else []),
        ("file", [_to_import(one.files) for one in done]),
    )
    head = tuple(name for name, cells in columns if cells)
    rows = tuple(zip(*(cells for _, cells in columns if cells), strict=True))
    blocks: list[Block] = [Sentences(misfits, "warn")] if misfits else []
    if starts and not has_cards:
        rim, front = item.end_words("rim"), front_of(item)
        side = f"the place {abs(starts[0]):.1f}° to the {'left' if starts[0] < 0 else 'right'} of its front"
        place = side if abs(starts[0]) > SAME_DEG else "its front"
        turn = TURN_EACH.format(rim=rim, front=front and f"{front}; ") if differ else ""
        turn = turn or TURN.format(f"{place} ({front and f'{front}; '}seen with {rim} up)")
        blocks.append(Sentences((turn if front else f"{turn}{ANYWHERE}",), "box", loud=True))
    says = "Tick each name once its item is marked. The number before a name is its line in your list."
    blocks.append(Table(head, rows, says, True, len(head) - 1))
    return Section("NAMES", tuple(blocks))
