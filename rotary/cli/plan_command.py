"""The short answer of a job, the whole plan as JSON, and what would change it."""

from typing import Annotated

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import with_job
from rotary.cli.output import (
    answer,
    complain,
    deliver,
    json_text,
    quiet,
    refuse_file,
    refuse_paper_name,
    refuse_two_forms,
    verdict,
)
from rotary.cli.values import File, Json, Plain, whole
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, Refused, brief


def plan(
    job: NamedJob,
    json: Json = False,
    error_budget: bool = False,
    suggestions: bool = False,
    plain: Plain = False,
    to: File | None = None,
    seconds: Annotated[int, whole(1, 3600)] = 20,
) -> int:
    """Say how a job stands, what to do next, what to type and what to do by hand.

    Example: rotary plan regatta-bottle

    :param error_budget: which measurement or setting adds most error at this job's seams
    :param suggestions: plan again with one thing changed each time, and say what it would bring
    :param to: the file to write
    :param seconds: with --suggestions: stop after this many seconds (20)
    """
    if error_budget and suggestions:
        raise BadArgument("--error-budget and --suggestions don't go together: ask for one at a time")
    refuse_two_forms(json, plain)
    refuse_paper_name(to, "end it with .txt or .json, or write rotary print setup")
    refuse_file(to, job.sources)
    if error_budget:
        causes = core.error_budget.error_budget(job.plan_of_marks())
        return deliver(
            json_text(causes) if json else core.error_budget.error_budget_lines(causes), to, job.sources, json
        )
    if suggestions:
        with waiting("planning again with one thing changed"):
            tried = core.patches.suggestions_for(job.on_machine(), job.profiles, job.samples, float(seconds))
        data = [{"change": one.says, "chance": one.chance} for one in tried]
        return deliver(json_text(data) if json else core.patch_words.suggestion_lines(tried), to, job.sources, json)
    repeat, made = job.repeat(), None
    if repeat is not None and repeat.run is not None and not json and not quiet.get():
        name = brief(repeat.found.profile.saved.name, 80)
        complain(f'this is a new plan. To print the numbers you ran: rotary profile repeat "{name}"')
    try:
        made = job.plan()
        made, actions = _with_actions(job, made, repeat if json else None, "mm" if json else job.system)
    except Refused as refused:
        actions = core.actions.actions_of_fault(refused, made is not None and bool(made.safety.example))
        if made is None:
            if json and to is None:
                answer(True, {"actions": actions}, ())
            raise
    if json:
        text = core.plan_words.plan_in_words(made, actions).model_dump_json(indent=2)
    else:
        text = "\n".join(core.actions.short_answer(made, actions, job.system, job.name, plain))
    deliver(text + "\n", to, job.sources, json)
    return verdict(made)


def _with_actions(
    job: NamedJob, made: "core.plan.Plan", repeat: "core.standing.Repeat | None", system: str
) -> "tuple[core.plan.Plan, core.action_rows.Actions]":
    """The plan and what a person does for it, zones of focus and words as their files are laid out.

    In lines they are the numbers of a new plan, whatever was proven.
    """
    made = job.with_words(core.files.with_sizes(made, job.drawings) if made.job.artwork.pieces else made)
    runs = core.profiles.timed_runs(None if job.name == "-" else job.path, job.profiles)
    marks, drawn = (core.marking.drawn_marks if made.job.is_inscribed else core.actions.drawn_files)(made, job.drawings)
    actions = core.actions.actions_for(made, job.drawings, repeat, system, lambda *_: (marks, drawn), runs)
    if made.job.is_inscribed:
        return marks.model_copy(update={"job": made.job}), actions
    return made.model_copy(update={"focus": marks.focus}), actions


app = with_job(plan)
