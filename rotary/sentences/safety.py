"""Cautions as the first section of every paper: each in short, what is done before the start first."""

from collections.abc import Sequence
from datetime import date

from rotary.actions.build import cautions_of
from rotary.actions.models import ActionCaution
from rotary.papers.model import Paper, Section, Sentences, filled
from rotary.plan import Plan
from rotary.safety import Safety
from rotary.sentences.actions import cautions_with_words
from rotary.sentences.cautions import cautions


def cautions_in_words(safety: Safety) -> tuple[ActionCaution, ...]:
    """The cautions of a job in words, eyewear first."""
    return cautions_with_words(cautions_of(safety), cautions(safety))


def stops_of(cautions: Sequence[ActionCaution]) -> tuple[str, ...]:
    """What forbids the start, in whole; the enclosure's is the first to tick."""
    return tuple(one.long for one in cautions if one.level == "stop" and one.id != "enclosure")


def safe_section(cautions: Sequence[ActionCaution]) -> Section:
    """Every caution in short: what is done before the start, then what is good to know."""
    eyes = [one.short for one in cautions if one.value is not None]
    enclosure = [one.short for one in cautions if one.id == "enclosure"]
    others = [one for one in cautions if one.level != "stop" and one.value is None]
    warns = tuple(capital(one.short) for one in others if one.level == "warn")
    notes = tuple(capital(one.short) for one in others if one.level == "note")
    first = Sentences((*enclosure, *eyes), "box", loud=True)
    return Section("SAFE", filled(first, Sentences(warns, "box", 2), Sentences(notes, "note")))


def paper_of(
    made: Plan, kind: str, lead: str, sections: Sequence[Section], day: date | None = None, stops: Sequence[str] = ()
) -> Paper:
    """A paper of a plan, on one page where that can be: the cautions first, `stops` before those of the plan."""
    cautions = cautions_in_words(made.safety)
    return Paper(
        kind, made.job.item.name, day or date.today(), (safe_section(cautions), *sections), made.safety.example,
        lead=lead, stops=(*stops, *stops_of(cautions)), one_page=True,
    )  # fmt: skip


def capital(text: str) -> str:
    """A sentence with a capital at its start."""
    return f"{text[:1].upper()}{text[1:]}"
