"""The short answer of a job, the whole plan as JSON, and what would change it."""

import shlex
from typing import Annotated

from rotary.cli import core, output
from rotary.cli.jobs import NamedJob
from rotary.cli.options import with_job
from rotary.cli.values import File, Json, Plain, whole
from rotary.errors import BadArgument, Refused, brief


def plan(
    job: NamedJob,
    json: Json = False,
    error_budget: bool = False,
    suggestions: bool = False,
    plain: Plain = False,
    to: File | None = None,
    seconds: Annotated[int | None, whole(1, 3600)] = None,
) -> int:
    """Say whether a job is ready to run, what to do next, what to type and what to do by hand.

    Example: rotary plan regatta-bottle

    :param error_budget: show which measurement or setting opens this job's seams most
    :param suggestions: try one change of the job at a time, and show the odds of a clean item with each change
    :param to: the file to write, like plan.txt or plan.json
    :param seconds: with --suggestions: stop after this many seconds (20 if left out)
    """
    if error_budget and suggestions:
        raise BadArgument("--error-budget and --suggestions can't be used together: leave one out")
    if seconds and not suggestions:
        raise BadArgument("--seconds is only for --suggestions: write both, or leave --seconds out")
    json = json or (to is not None and to.suffix.lower() == ".json")
    output.refuse_two_forms(json, plain)
    output.refuse_paper_name(to, "end the name in .txt or .json, or print the paper with rotary print setup")
    output.refuse_file(to, job.sources)
    if error_budget:
        causes = core.error_budget.error_budget(job.plan_of_marks())
        table = core.error_budget.error_budget_lines(causes, job.system)
        tests = f"To see the tests: rotary machine tests {shlex.quote(job.name)}"
        return output.answer(json, causes, [*table, tests], to, job.sources)
    if suggestions:
        with output.waiting("planning again with one thing changed"):
            tried = core.patches.suggestions_for(job.on_machine(), job.profiles, job.samples, float(seconds or 20))
        changes = [{"change": one.says, "chance": one.chance} for one in tried]
        return output.answer(json, changes, core.patch_words.suggestion_lines(tried, job.system), to, job.sources)
    repeat, made = job.repeat(), None
    if repeat is not None and repeat.run is not None and not json and not output.quiet.get():
        name = brief(repeat.found.profile.saved.name, 80)
        output.complain(f'this is a new plan. To print the numbers you ran: rotary profile repeat "{name}"')
    try:
        made = job.plan()
        runs = core.profiles.timed_runs(None if job.name == "-" else job.path, job.profiles)
        # In lines they are the numbers of a new plan, whatever was proven.
        wanted = (repeat, "mm") if json else (None, job.system)
        made, actions = core.marking.actions_of_marks(made, job.planned, job.drawings, *wanted, runs)
    except Refused as refused:
        if made is None and json and to is None:
            output.answer(True, {"actions": core.actions.actions_of_fault(refused)}, ())
        if made is None:
            raise
        actions = core.actions.actions_of_fault(refused, bool(made.safety.example))
    data = core.plan_words.plan_in_words(made, actions) if json else None
    lines = () if json else core.actions.short_answer(made, actions, job.system, job.name, plain)
    output.answer(json, data, lines, to, job.sources)
    return output.verdict(made)


app = with_job(plan)
