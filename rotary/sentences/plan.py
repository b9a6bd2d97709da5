"""A plan with its sentences, as other programs get it."""

from typing import Any

from rotary.model import Model
from rotary.plan import Plan
from rotary.sentences import focus, passes, running, slices
from rotary.sentences.cautions import cautions


class Sentences(Model):
    """What a plan says: cautions by their ids, limits by theirs with what relaxes them; nothing to be read back."""

    first_line: str
    cautions: tuple[tuple[str, str], ...]
    limits: dict[str, tuple[str, str]]
    split: tuple[str, ...]
    focus: tuple[str, ...]
    passes: tuple[str, ...]
    would_change_it: tuple[str, ...]
    run: tuple[str, ...]


class WordedPlan(Plan):
    """A plan, and what it says in sentences."""

    sentences: Sentences


def worded(plan: Plan) -> WordedPlan:
    """The plan with its sentences, all lengths in mm."""
    limits = {limit.id: slices.limit_text(limit) for limit in plan.split.limits}
    sentences = Sentences(
        first_line=passes.first_line(plan),
        cautions=tuple((one.id, one.says) for one in cautions(plan.safety)),
        limits={name: (text.why, text.relax) for name, text in limits.items()},
        split=slices.notes(plan.split),
        focus=focus.notes(plan),
        passes=passes.notes(plan),
        would_change_it=passes.remarks(plan, plan.removal.would_change_it),
        run=running.run(plan),
    )
    return WordedPlan(**{name: getattr(plan, name) for name in Plan.model_fields}, sentences=sentences)


def plan_schema() -> dict[str, Any]:
    """The JSON schema of a plan, as published in docs/plan.schema.json; numbers in the unit that a name ends with."""
    schema = WordedPlan.model_json_schema(by_alias=False, mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Plan of rotary"}
