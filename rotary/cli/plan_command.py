"""The short answer of a job, the whole plan as JSON, and what would change it."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from rotary.cli.answers import deliver, refuse_file_asked_for, verdict
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, JobName, Json, Plain, Where, whole
from rotary.cli.output import hint, say, say_json, say_lines
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, Refused, brief

if TYPE_CHECKING:
    from rotary.actions.duration import TimedRun
    from rotary.actions.models import Actions
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


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
    refuse_file_asked_for(to, named.sources)
    if error_budget:
        return _error_budget(named, json)
    if suggestions:
        return _suggestions(named, json, seconds)
    return _answer(named, json, plain, to)


def _answer(named: NamedJob, json: bool, plain: bool, to: Path | None) -> int:
    from rotary.services.actions import actions_of_fault
    from rotary.services.profiles import timed_runs

    repeat, system = named.repeat(), named.where.system
    if repeat is not None and repeat.run is not None and not json:
        name = brief(repeat.found.profile.kept.name, 80)
        hint(f'this is a new plan; the numbers that were run are printed by: rotary profile repeat "{name}"')
    try:
        answer = named.plan()
    except Refused as refused:
        if json and to is None:
            say_json({"actions": actions_of_fault(refused).model_dump(mode="json")})
        raise
    beside = named.drawings
    if answer.job.artwork.pieces:
        from rotary.services.files import with_sizes

        answer = with_sizes(answer, beside)
    try:
        answer = named.with_words(answer, named.where.samples)
        # In lines they are the numbers of a new plan, whatever was proven.
        runs = timed_runs(None if named.name == "-" else named.path)
        answer, actions = _with_actions(answer, beside, repeat if json else None, "mm" if json else system, runs)
    except Refused as refused:
        actions = actions_of_fault(refused, bool(answer.safety.example))
    if json:
        from rotary.sentences.plan import plan_in_words

        text = plan_in_words(answer, actions).model_dump_json(indent=2)
    else:
        from rotary.services.actions import short_answer

        text = "\n".join(short_answer(answer, actions, system, named.name, plain))
    deliver(text + "\n", to, named.sources, json)
    return verdict(answer)


def _with_actions(
    answer: "Plan", beside: Path, repeat: "Repeat | None", system: str, runs: "Sequence[TimedRun]"
) -> "tuple[Plan, Actions]":
    """The plan and what a person does for it, zones of focus and words as their files are laid out."""
    from rotary.services.actions import actions_for, drawn_files

    if not answer.job.is_inscribed:
        shown = drawn_files(answer, beside)
        answer = answer.model_copy(update={"focus": shown[0].focus})
        return answer, actions_for(answer, beside, repeat, system, lambda *_: shown, runs)
    from rotary.inscription.actions import drawn_marks

    whole_job, drawn = drawn_marks(answer, beside)
    actions = actions_for(answer, beside, repeat, system, lambda *_: (whole_job, drawn), runs)
    return whole_job.model_copy(update={"job": answer.job}), actions


def _error_budget(named: NamedJob, json: bool) -> int:
    from rotary.rig.matters import matters, matters_lines

    causes = matters(named.plan())
    if json:
        return say_json(causes.model_dump(mode="json"))
    return say_lines(matters_lines(causes))


def _suggestions(named: NamedJob, json: bool, seconds: int) -> int:
    from rotary.sentences.patches import suggestion_lines
    from rotary.services.patches import suggestions_for

    with waiting("planning again with one thing changed"):
        tried = suggestions_for(named.on_machine(), named.where.profiles, named.where.samples, float(seconds))
    if json:
        return say_json([{"change": one.says, "chance": one.chance} for one in tried])
    say("\n".join(suggestion_lines(tried)) + "\n")
    return 0
