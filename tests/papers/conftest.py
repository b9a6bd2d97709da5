"""Setup sheets for papers: those of the jobs that ship, and ten that are harder to print than most."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import BytesIO
from typing import NamedTuple

import numpy as np
import pytest
from pypdf import PdfReader

from rotary.actions.models import ActionRow, Actions, Rung
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import SheetFacts, sheet_by_height
from rotary.job import job_from_file, job_from_text
from rotary.papers.model import Paper
from rotary.plan import Plan, plan
from rotary.sentences.actions import with_words
from rotary.sentences.plan import actions_in_words
from rotary.shipped import FIRST, examples

DAY = date(2026, 5, 1)


class Sheet(NamedTuple):
    """What a sheet is written from."""

    actions: Actions
    facts: SheetFacts

    def make(self, picture_mm: float = 0.0) -> Paper:
        return sheet_by_height(self.actions, self.facts)(picture_mm)


def sheet_of(made: Plan, system: str = "mm") -> Sheet:
    return Sheet(actions_in_words(made, system=system), plan_facts(made, system, DAY))


def _rows(actions: Actions, change: Callable[[ActionRow], ActionRow]) -> Actions:
    return with_words(actions.with_each(change), ())


def _sliced(sheet: Sheet, slices: int) -> Sheet:
    def more(row: ActionRow) -> ActionRow:
        return row.model_copy(update={"value": slices}) if row.id == "slices_shown" else row

    return Sheet(_rows(sheet.actions, more), replace(sheet.facts, slices=slices))


def _zoned(sheet: Sheet, zones: int) -> Sheet:
    """A long taper in parts, each with its own file and focus."""
    lens = next(row for row in sheet.actions.by_hand if row.id == "focus")
    rows = tuple(
        lens.model_copy(update={"id": "focus" if at == 1 else f"focus_{at}", "value": 4.5 + at, "from_at": 20.0 * at,
                                "rim_at": 20.0 * at + 20, "end": "base", "about": f"zone-{at}"})
        for at in range(1, zones + 1)
    )  # fmt: skip
    files = tuple(f"regatta-zone-{at}-sliced.svg" for at in range(1, zones + 1))
    run = sheet.actions.run
    run = run.model_copy(update={"files": run.files.model_copy(update={"zones": files, "whole": files[0]})})
    others = tuple(row for row in sheet.actions.by_hand if row.id != "focus")
    return Sheet(
        with_words(sheet.actions.model_copy(update={"by_hand": (*others, *rows), "run": run}), ()), sheet.facts
    )


def _laddered(sheet: Sheet) -> Sheet:
    rungs = tuple(Rung(power=power, passes=4, look_after=1) for power in (20.0, 23.0, 26.0, 30.0))
    return Sheet(
        with_words(sheet.actions.model_copy(update={"run": sheet.actions.run.model_copy(update={"rungs": rungs})}), ()),
        sheet.facts,
    )


def _named(sheet: Sheet, name: str) -> Sheet:
    return Sheet(sheet.actions, replace(sheet.facts, name=name))


def _proven(sheet: Sheet) -> Sheet:
    return Sheet(
        sheet.actions,
        replace(sheet.facts, verdict="PROVEN", lead="29 October 2026: 12 of 13 items good, 25 min."),
    )


def _yours(sheet: Sheet) -> Sheet:
    typed = {row.id for row in sheet.actions.type}
    return Sheet(
        _rows(sheet.actions, lambda row: row.model_copy(update={"yours": "their own word"} if row.id in typed else {})),
        sheet.facts,
    )


@pytest.fixture(scope="session")
def shipped() -> dict[str, Plan]:
    """The plans of all examples."""
    return {name: plan(job_from_file(path), 100) for name, path in examples().items()}


@pytest.fixture(scope="session")
def sheets(shipped: dict[str, Plan]) -> dict[str, Sheet]:
    """Sheets by name, the hard ones too."""
    of = {name: sheet_of(made) for name, made in shipped.items()}
    first = of[FIRST]
    degrees = examples()[FIRST].read_text("utf-8").replace('"item-diameter"', '"degrees"')
    of["degrees to type"] = sheet_of(plan(job_from_text(degrees), 100))
    of["inches"] = sheet_of(shipped[FIRST], "in")
    of["another script"] = _named(first, "Фляга «Цапля», Ποτήρι, bình nước 鷺の水筒")
    of["right to left"] = _named(first, "בקבוק 600 אנפה, قارورة مالك الحزين ٦٠٠")
    of["97 slices"] = _sliced(first, 97)
    of["nine zones"] = _zoned(first, 9)
    of["three zones"] = _zoned(first, 3)
    of["four rungs"] = _laddered(first)
    of["a repeat"] = _proven(first)
    of["names of their own"] = _yours(of["boathouse-mug"])
    of["all at once"] = _laddered(
        _zoned(_sliced(_named(of["inches"], "A bottle with a name that " + "goes on " * 9), 97), 9)
    )
    return of


CASES = (
    *examples(), "degrees to type", "inches", "another script", "right to left", "97 slices", "nine zones",
    "three zones", "four rungs", "a repeat", "names of their own", "all at once",
)  # fmt: skip


class Run(NamedTuple):
    """A run of letters as a PDF sets it, and how large [points]."""

    text: str
    size_pt: float


def runs_of(data: bytes, page: int = 0) -> list[Run]:
    """Every run of letters of a page with the size that reaches the paper."""
    found: list[Run] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            whole = np.array(tm).reshape(3, 2)[:2] @ np.array(cm).reshape(3, 2)[:2]
            found.append(Run(text.strip(), float(size * np.sqrt(abs(np.linalg.det(whole))))))

    PdfReader(BytesIO(data)).pages[page].extract_text(visitor_text=visit)
    return found


def flat(text: str) -> str:
    """A text without its blanks, which break otherwise in each form."""
    return "".join(text.split())
