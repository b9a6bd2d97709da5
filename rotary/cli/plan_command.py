"""The short answer of a job, the whole plan as JSON, and what would change it."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from rotary.cli import core
from rotary.cli.answers import deliver, refuse_file, refuse_paper_name, refuse_two_forms, verdict
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, Where
from rotary.cli.output import complain, json_text, quiet, say_json, text_of
from rotary.cli.values import JobName, Json, Plain, whole
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, Refused, brief


def plan(
    job: JobName,
    /,
    *,
    json: Json = False,
    error_budget: bool = False,
    suggestions: bool = False,
    plain: Plain = False,
    to: Path | None = None,
    seconds: Annotated[int, whole(1, 3600)] = 20,
    where: Where = HERE,
) -> int:
    """Say how a job stands, what to do next, what to type and what to do by hand.

    Example: rotary plan regatta-bottle

    :param error_budget: which input costs most at this job's seams
    :param suggestions: plan again with one thing changed each time, and say what it would bring
    :param to: the file to write, whole or not at all
    :param seconds: with --suggestions: stop trying after so long (20)
    """
    named = NamedJob(job, where)
    if error_budget and suggestions:
        raise BadArgument("--error-budget and --suggestions are two answers: ask for one at a time")
    refuse_two_forms(json, plain)
    refuse_paper_name(to, "end it with .txt or .json, or write rotary print setup")
    refuse_file(to, named.sources)
    if error_budget:
        causes = core.matters.matters(named.plan())
        text = json_text(causes) if json else text_of(core.matters.matters_lines(causes))
        return deliver(text, to, named.sources, json)
    if suggestions:
        with waiting("planning again with one thing changed"):
            tried = core.patches.suggestions_for(named.on_machine(), where.profiles, where.samples, float(seconds))
        data = [{"change": one.says, "chance": one.chance} for one in tried]
        text = json_text(data) if json else text_of(core.suggestion_lines(tried))
        return deliver(text, to, named.sources, json)
    return _answer(named, json, plain, to)


def _answer(named: NamedJob, json: bool, plain: bool, to: Path | None) -> int:
    repeat, system = named.repeat(), named.where.system
    if repeat is not None and repeat.run is not None and not json and not quiet.get():
        name = brief(repeat.found.profile.saved.name, 80)
        complain(f'this is a new plan; the numbers that were run are printed by: rotary profile repeat "{name}"')
    try:
        made = named.plan()
    except Refused as refused:
        if json and to is None:
            say_json({"actions": core.actions.actions_of_fault(refused)})
        raise
    if made.job.artwork.pieces:
        made = core.files.with_sizes(made, named.drawings)
    try:
        made = named.with_words(made)
        # In lines they are the numbers of a new plan, whatever was proven.
        runs = core.profiles.timed_runs(None if named.name == "-" else named.path, named.where.profiles)
        made, actions = _with_actions(named, made, repeat if json else None, runs, "mm" if json else system)
    except Refused as refused:
        actions = core.actions.actions_of_fault(refused, bool(made.safety.example))
    if json:
        text = core.plan_in_words(made, actions).model_dump_json(indent=2)
    else:
        text = "\n".join(core.actions.short_answer(made, actions, system, named.name, plain))
    deliver(text + "\n", to, named.sources, json)
    return verdict(made)


def _with_actions(
    named: NamedJob, made: "core.plan.Plan", repeat: "core.Repeat | None", runs: "Sequence[core.TimedRun]", system: str
) -> "tuple[core.plan.Plan, core.Actions]":
    """The plan and what a person does for it, zones of focus and words as their files are laid out."""
    if not made.job.is_inscribed:
        shown = core.actions.drawn_files(made, named.drawings)
        made = made.model_copy(update={"focus": shown[0].focus})
        return made, core.actions.actions_for(made, named.drawings, repeat, system, lambda *_: shown, runs)
    marks, drawn = core.drawn_marks(made, named.drawings)
    actions = core.actions.actions_for(made, named.drawings, repeat, system, lambda *_: (marks, drawn), runs)
    return marks.model_copy(update={"job": made.job}), actions
