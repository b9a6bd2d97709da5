"""Runs: what you ran, and how it came out."""

from typing import Annotated, Any, ClassVar, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import RunJob
from rotary.cli.options import group, options, store_of
from rotary.cli.output import OK, answer, complain, json_text, report, say
from rotary.cli.patch_commands import say_taught, taught
from rotary.cli.values import CHOICE, JOB, Day, Inches, Json, Store, whole
from rotary.errors import BadArgument, brief

Outcome = Annotated[
    Literal["good", "coating-left", "engraved", "seams-show", "stopped", "spoiled", "residue", "heat-tint"], CHOICE
]
LOGGED: Final = {"good": "clear", "engraved": "metal-marked", "residue": "coating-left", "heat-tint": "metal-marked"}
"""What is logged of a word where it is another: the logbook tells less apart than a reading does."""


@options
class LoggedJob(RunJob):
    """What was run, how many, and how long it took.

    :param items: how many items you ran (1 if left out)
    :param spoiled: how many of these items were spoiled
    :param took: how long the run took, like "25 min"
    """

    CALLED: ClassVar[Any] = Annotated[
        str, JOB, Parameter(name="NAME", help="the name of the saved job that you ran (with --teach, of any job)")
    ]
    items: Annotated[int, whole(1, 100_000)] = 1
    spoiled: Annotated[int, whole(0, 100_000)] = 0
    took: str | None = None


def add(job: LoggedJob, /, outcome: Outcome, *, teach: bool = False, unlogged: bool = False, json: Json = False) -> int:
    """Log a run of a saved job. With --teach, later plans for the same coating learn from the run.

    If you write residue, rotary logs coating-left. If you write heat-tint, rotary logs engraved.

    Example: rotary log add "regatta bottle" good --items 12 --spoiled 1 --took "25 min"

    :param outcome: how the run came out: good, coating-left, engraved, seams-show, stopped or spoiled
    :param teach: let later plans learn from this run (only if you ran the settings of today's plan)
    :param unlogged: with --teach: let plans learn, but don't log the run
    """
    if unlogged and not teach:
        raise BadArgument("--unlogged needs --teach: write both, or leave --unlogged out")
    # What can't be taught is refused before anything is logged.
    with job.said():
        run = core.cells.run_to_teach(job.on_machine(), job.plan(), outcome, job.came, job.note) if teach else None
    if run is not None and (unlogged or not job.is_profile):
        return _taught(job, run)
    repeat = job.repeat_of(job.opened(alone=False))
    texts = job.texts(LOGGED.get(outcome, outcome))
    with job.said():
        done = core.profiles.log_run(repeat, texts, job.numbers or "", files=job.files)
    if json:
        say(json_text({"logged": str(done.path), "steps": done.steps}))
    else:
        says = [f"run logged: {done.path}", *(f"next: {step.text}" for step in done.steps)]
        if outcome == "good" and repeat.run is None:
            count = f" --passes {job.passes or 'N'}" if repeat.job.item.coating else ""
            count += f' --power "{brief(job.power)}"' if job.power else ""
            says.append(f'next: to repeat these numbers: rotary profile proven "{brief(job.name, 60)}"{count}')
        report(says)
    return OK if run is None else _taught(job, run)


def _taught(job: RunJob, run: "core.reading.Reading") -> int:
    """Take the run as a reading, and say what it taught."""
    saved = core.cells.run_as_reading(run, job.profiles)
    say([*core.lines.wrapped(saved, "", ""), ""])
    return say_taught(taught(job))


def list_(
    name: str | None = None,
    /,
    since: Day | None = None,
    settings: bool = False,
    inches: Inches = False,
    json: Json = False,
    store: Store = None,
) -> int:
    """List the runs that you logged, with totals.

    Example: rotary log list --since 2026-01-01

    :param name: only the runs of this saved job
    :param since: only runs from this day on, like 2026-01-31
    :param settings: also show the settings of each run
    """
    folder, system = store_of(store), "in" if inches else "mm"
    book = core.logbook.logbook(
        folder, core.stored_profiles.located(name, folder).id if name is not None else "", since
    )
    for trouble in book.troubles:
        complain(trouble)
    lines = []
    for run in book.runs:
        lines.append(run.summary)
        if settings and run.plan is not None:
            values = core.changes.run_values(run.plan, system)
            lines += [f"    {label}: {text.removeprefix(label.lower()).lstrip(' ,')}" for label, text in values]
    none = not book.runs and (name is not None or since is not None)
    last = "no logged run fits: leave out NAME or --since" if none else core.logbook.totals(book.runs).summary()
    return answer(json, book.runs, [*lines, last])


app = group(add, list_)
