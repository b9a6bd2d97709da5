"""The short answer: how a job stands, what comes next, what is typed and done; cautions and boxes are on the sheet."""

from dataclasses import replace
from typing import Final

from rotary.actions.models import Actions
from rotary.card.plan_sheet import actions_in_words, plan_sheet
from rotary.papers.model import Notes, Paper, Section, Sentences, Ticks
from rotary.papers.text import plain_lines, text_lines
from rotary.plan import Plan

SAFE: Final = Section("SAFE", (Sentences(("Cautions are on the setup sheet: read them before you start.",), "warn"),))


def answer_paper(plan: Plan, system: str = "mm", actions: Actions | None = None) -> Paper:
    """The sheet with the next steps in place of its small lines, and without what is ticked and written on it."""
    actions = actions or actions_in_words(plan, system)
    sheet = plan_sheet(plan, system, actions=actions)(0.0)
    shown = [SAFE if part.title == "SAFE" else part for part in sheet.sections]
    sections = tuple(
        replace(part, blocks=tuple(one for one in part.blocks if not isinstance(one, Ticks | Notes))) for part in shown
    )
    return replace(
        sheet,
        kind="plan",
        facts=(*(f"Next: {step.text}" for step in actions.steps), *sheet.facts),
        lead=sheet.lead,
        sections=tuple(part for part in sections if part.blocks),
        tables=tuple(part for part in sheet.tables if part.title != "SLICES"),
    )


def answer_lines(plan: Plan, system: str = "mm", actions: Actions | None = None, plain: bool = False) -> list[str]:
    """The short answer in lines, `plain` for a screen reader."""
    return (plain_lines if plain else text_lines)(answer_paper(plan, system, actions))
