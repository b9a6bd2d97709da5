"""A plan with its sentences, as the screen and other programs get it: each is made once."""

from typing import Any

from rotary.actions.build import actions_of
from rotary.actions.files import FileFacts
from rotary.actions.models import Actions
from rotary.actions.verdict import ProofStanding
from rotary.focus import BudgetId
from rotary.model import Model
from rotary.plan import Plan
from rotary.sentences import artwork, focus, item, laser, passes, seams, slices, turning
from rotary.sentences.actions import with_words
from rotary.sentences.cautions import CautionText, cautions
from rotary.slices.models import LimitId


class PlanSentences(Model):
    """What a plan says, limits and lines of the focus budget by their ids; nothing to be read back.

    `looks` are what to look for after each pass, in their order.
    """

    first_line: str
    item: str
    steps: str
    beam: str
    doubts: tuple[str, ...] = ()
    turning: tuple[str, ...] = ()
    optics: tuple[str, ...] = ()
    layout: tuple[str, ...] = ()
    cautions: tuple[CautionText, ...]
    limits: dict[LimitId, slices.LimitText]
    split: tuple[str, ...]
    seams: tuple[str, ...]
    budget: dict[BudgetId, str]
    focus: tuple[str, ...]
    refused: tuple[str, ...]
    would_change_it: tuple[str, ...]
    before: tuple[str, ...]
    run: tuple[str, ...]
    looks: tuple[str, ...]
    order_why: str
    after: tuple[str, ...]
    passes: tuple[str, ...]


class PlanInWords(Plan):
    """A plan, what a person does with it, and what else it says in sentences."""

    actions: Actions
    sentences: PlanSentences


def actions_in_words(
    plan: Plan,
    drawn: FileFacts | None = None,
    proof: ProofStanding | None = None,
    newer: bool = False,
    system: str = "mm",
) -> Actions:
    """What a person does with a plan, in words; see `actions.build.actions_of`."""
    return with_words(actions_of(plan, drawn, proof, newer), cautions(plan.safety), system)


def plan_in_words(plan: Plan, actions: Actions | None = None) -> PlanInWords:
    """The plan with its sentences, all lengths in mm; `actions` where more is known than the plan itself says."""
    steps, warned = plan.removal, cautions(plan.safety)
    before, after = passes.before_and_after(steps)
    done = with_words(actions or actions_of(plan), warned)
    sentences = PlanSentences(
        first_line=passes.first_line(plan),
        item=item.summary(plan.shape),
        steps=turning.summary(plan.turning),
        beam=laser.summary(plan.optics),
        doubts=item.questions(plan.doubts, plan.job.item),
        turning=turning.notes(plan.turning, plan.job.item),
        optics=laser.notes(plan.job.laser, plan.optics),
        layout=artwork.notes(plan.layout),
        cautions=warned,
        limits={limit.id: slices.limit_text(limit, plan.split.remarks) for limit in plan.split.limits},
        split=slices.notes(plan.split, plan.seams.within_mm),
        seams=seams.notes(plan),
        budget={row.id: focus.BUDGET[row.id][0] for row in plan.focus.budget},
        focus=focus.notes(plan),
        refused=passes.remarks(plan, steps.refused),
        would_change_it=passes.remarks(plan, steps.would_change_it),
        before=before,
        run=done.run.texts,
        looks=tuple(passes.look(steps, row) for row in steps.rows),
        order_why=passes.order_why(plan),
        after=after,
        passes=passes.notes(plan),
    )
    return PlanInWords(**{name: getattr(plan, name) for name in Plan.model_fields}, actions=done, sentences=sentences)


def plan_schema() -> dict[str, Any]:
    """The JSON schema of a plan, as published in docs/plan.schema.json; numbers in the unit that a name ends with."""
    schema = PlanInWords.model_json_schema(by_alias=False, mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Plan of rotary"}
