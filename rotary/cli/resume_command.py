"""A job that was stopped, or an item that was re-mounted: what is left of it, as the item sits now."""

from collections.abc import Callable
from typing import Annotated

from rotary.cli import core
from rotary.cli.jobs import NamedJob, Pieces
from rotary.cli.options import options, with_job
from rotary.cli.output import over, refuse_file, report, say, typed, wrote
from rotary.cli.papers import write_paper
from rotary.cli.values import File, Length, Paper, whole


@options
class MarksNow:
    """Where the witness marks are now, from where they were, and what was done before.

    :param base_right: the witness mark at the base: to the right of where it was
    :param base_up: the same mark, upwards
    :param rim_right: the witness mark at the rim, to the right
    :param rim_up: the same mark, upwards
    :param done: slices ticked, and passes of one that was begun: 1-9,10=4
    :param passes: on a coating: how many passes the first slice took
    """

    base_right: Length = 0.0
    base_up: Length = 0.0
    rim_right: Length = 0.0
    rim_up: Length = 0.0
    done: str = ""
    passes: Annotated[int | None, whole(1, 200)] = None


def remaining(
    job: NamedJob, marks: MarksNow
) -> "tuple[Callable[[float], core.paper.Paper], core.plan.Plan, core.resume.Remainder, core.machines.MachineOfJob]":
    """What is left of a stopped job, as the item sits now: its sheet, its plan, what it is, and the machine."""
    at = job.measured()
    plan = job.planned(at.corrected)
    # Artwork that is named on the command line is marked in place of the job's words.
    plan = job.with_words(plan) if not isinstance(job, Pieces) or job.are_words else plan
    read = {name.replace("base", "foot") + "_mm": one for name, one in vars(marks).items() if isinstance(one, float)}
    with typed({name.replace("base", "foot"): f"--{name.replace('_', '-')}" for name in vars(marks)}):
        done = core.resume.done_from_text(marks.done)
        left = core.resume.remainder(plan, core.resume.TickReadings(**read), done, marks.passes, job.system)
    return lambda _: core.machine_papers.resume_paper(plan, left, job.system), plan, left, at


def resume(job: Pieces, ticks: MarksNow, to: File | None = None, sheet: File | None = None, paper: Paper = None) -> int:
    """Lay out what is left of a stopped job, as the item sits now.

    Example: rotary resume regatta-bottle --base-right "0.4 mm" --rim-right "0.5 mm" --passes 6 --done 1-9,10=4

    :param to: the folder for the files of what is left, of the drawings after --art and the words after --text
    :param sheet: its sheet as a paper, as the name ends: .pdf …
    """
    if to is not None:
        core.outfiles.refuse_folder(to)
    refuse_file(sheet, job.sources, core.formats.ending_of)
    make, plan, left, at = remaining(job, ticks)
    lines = core.text.text_lines(make(0.0))
    if to is not None and (job.are_words or job.has_some(plan)):
        if job.are_words:
            rings = core.marking.words_on_wall(plan.job, lambda _: plan, job.drawings)[1]
        else:
            plan = job.named(plan)
            ink = job.ink(plan)
            rings = ink.composition.ink
            lines += core.models.size_texts(ink.sizes, job.system)
        files = core.resume.remaining_files(plan, rings, left, at.drawn_with)
        done = core.files.write_drawings(plan, files, to, job.drawings_of(plan.job), over())
        lines += [*wrote(done.paths), *([done.instead] if done.instead else [])]
    if sheet is not None:
        lines += write_paper(make, sheet, paper, job.sources)
    return report(lines) if to is not None else say(lines)


app = with_job(resume)
