"""The setup sheet of a plan."""

from dataclasses import replace
from datetime import date
from typing import Final

from rotary.actions.duration import job_time
from rotary.actions.models import Actions, JobTime
from rotary.card.details import details
from rotary.card.sheet import SheetFacts
from rotary.papers.drawing import PaperPicture
from rotary.papers.model import Section
from rotary.papers.sizes import Sizes
from rotary.passes.learning.window_map import WindowMap
from rotary.pictures import pictures
from rotary.pictures.front_page import sheet_picture
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan
from rotary.sentences.item import questions
from rotary.sentences.passes import remarks

BEHIND_MM: Final = (91.0, 56.0)
LONGEST_NOTE: Final = 160


def plan_facts(
    plan: Plan,
    system: str = "mm",
    day: date | None = None,
    first: tuple[Section, ...] = (),
    time: JobTime | None = None,
    ink: MarkedInk | None = None,
) -> SheetFacts:
    """What the sheet of a plan says beside its actions; `time` is how long it takes after what was run, `ink` what is
    marked, where it can be drawn."""
    time = time or job_time(plan)
    return SheetFacts(
        name=plan.job.item.name,
        day=day or date.today(),
        system=system,
        banner=plan.safety.example,
        slices=plan.split.slices,
        facts=_facts(plan, Sizes(system)),
        time=time,
        first=first,
        picture=sheet_picture(ink or MarkedInk(plan), Sizes(system)),
    )


def with_details(
    facts: SheetFacts,
    plan: Plan,
    actions: Actions,
    ink: MarkedInk | None = None,
    seen: WindowMap | None = None,
    simulated: PaperPicture | None = None,
) -> SheetFacts:
    """The same with reasons, figures and every picture on further pages; `seen` is the process window as learned."""
    every = pictures(ink or MarkedInk(plan), facts.system, *BEHIND_MM, seen)
    shown = (*every, simulated) if simulated else every
    return replace(facts, details=(*facts.details, *details(plan, actions, shown, facts.system)))


def _facts(plan: Plan, sizes: Sizes) -> tuple[str, ...]:
    note = " ".join(plan.job.note.split())
    short = note if len(note) <= LONGEST_NOTE else f"{note[: LONGEST_NOTE - 1].rstrip()}…"
    within, accepted = (
        f"{sizes.fine(mm, signed=False)} {sizes.fine_unit}"
        for mm in (plan.seams.within_mm, plan.job.tolerances.accepted_seam_mm)
    )
    seams = f"Seams off by up to {within} on 19 of 20 items (you accept {accepted})."
    several = plan.split.slices > 1 and plan.removal.setting is not None
    none_offered = (
        "" if plan.removal.setting else f"No passes are planned. {' '.join(remarks(plan, plan.removal.refused))}"
    )
    doubts = (f"Please check: {sizes.text(doubt)}" for doubt in questions(plan.doubts, plan.job.item))
    return tuple(text for text in (none_offered, seams if several else "", short, *doubts) if text)
