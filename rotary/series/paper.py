"""The sheet of a list of names: the setup sheet, and on the next page every name with its file and its start."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from rotary.card.plan_sheet import actions_in_words, plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.papers.model import Block, Paper, Section, Sentences, Table
from rotary.plan import Plan
from rotary.series.results import Outcome

SAME_DEG: Final = 0.05
"""Starts that differ by less are one: nobody turns an item by hand to less."""


def names_sheet(
    made: Plan, entries: Sequence[Outcome], system: str = "mm", day: date | None = None
) -> Callable[[float], Paper]:
    """The sheet of a list, by the height of its picture; `made` is the plan of its first item."""
    facts = replace(plan_facts(made, system, day), kind="names sheet")
    first = sheet_by_height(actions_in_words(made, system), facts)
    table = names_section(entries)

    def paper(picture_mm: float) -> Paper:
        sheet = first(picture_mm)
        return replace(sheet, tables=(*sheet.tables, table), counting=None)

    return paper


def names_section(entries: Sequence[Outcome]) -> Section:
    """Every name to tick, with its files; the start of each, or one for all; what does not fit is said first."""
    done = [one for one in entries if one.files]
    starts = [one.start_deg for one in done if one.start_deg is not None]
    differ = bool(starts) and max(starts) - min(starts) > SAME_DEG
    misfits = tuple(f"Line {one.line}, {one.name}: {one.why}" for one in entries if not one.files)
    head = ("line", "name", *(("start",) if differ else ()), "file")
    rows = tuple(
        (f"{one.line}", one.name, *((f"{one.start_deg or 0.0:g}°",) if differ else ()), ", ".join(one.files))
        for one in done
    )
    blocks: list[Block] = [Sentences(misfits, "warn")] if misfits else []
    if starts and not differ:
        blocks.append(
            Sentences((f"One start for all: {starts[0]:g}° under the middle of the field.",), "box", loud=True)
        )
    blocks.append(Table(head, rows, "tick each name once it is marked", True, len(head) - 1))
    return Section("NAMES", tuple(blocks))
