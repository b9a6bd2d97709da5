"""A job that was stopped, or an item that was re-mounted: what is left of it, as the item sits now."""

from pathlib import Path
from typing import Annotated, Final, NamedTuple

from rotary.cli import core
from rotary.cli.answers import over, refuse_file, typed, write_paper, wrote
from rotary.cli.jobs import NamedJob, Pieces
from rotary.cli.options import AS_DRAWN, HERE, OtherArtwork, Where, options
from rotary.cli.output import report, say_lines
from rotary.cli.values import JobName, Length, Paper, whole


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


WHERE_IT_WAS: Final = MarksNow()


class Stopped(NamedTuple):
    """What is left of a job, its plan, and the machine."""

    left: "core.resume.Remainder"
    plan: "core.plan.Plan"
    at: "core.machines.MachineOfJob"
    system: str

    @property
    def lines(self) -> list[str]:
        """What to do, for a person."""
        return core.text.text_lines(self.paper(0.0))

    def paper(self, _: float) -> "core.Paper":
        """The same as a paper."""
        return core.resume_paper(self.plan, self.left, self.system)


def remaining(named: NamedJob, marks: MarksNow) -> Stopped:
    """What is left of a stopped job, as the item sits now."""
    at = named.measured()
    plan = named.planned(at.corrected)
    readings = core.resume.TickReadings(
        foot_right_mm=marks.base_right, foot_up_mm=marks.base_up, rim_right_mm=marks.rim_right, rim_up_mm=marks.rim_up
    )
    of_marks = {name.replace("base", "foot"): f"--{name.replace('_', '-')}" for name in vars(marks)}
    with typed(of_marks):
        done, system = core.resume.done_from_text(marks.done), named.where.system
        left = core.resume.remainder(plan, readings, done, marks.passes, system)
    return Stopped(left, plan, at, system)


def resume(
    job: JobName,
    /,
    *,
    ticks: MarksNow = WHERE_IT_WAS,
    to: Path | None = None,
    sheet: Path | None = None,
    paper: Paper = None,
    other: OtherArtwork = AS_DRAWN,
    where: Where = HERE,
) -> int:
    """Lay out what is left of a stopped job, as the item sits now.

    Example: rotary resume regatta-bottle --base-right "0.4 mm" --rim-right "0.5 mm" --passes 6 --done 1-9,10=4

    :param to: the folder for the files of what is left, of the drawings after --art and the words after --text
    :param sheet: its sheet as a paper, as the name ends: .pdf …
    """
    pieces = Pieces.of(NamedJob(job, where), other)
    if to is not None:
        core.outfiles.refuse_folder(to)
    refuse_file(sheet, pieces.job.sources, core.formats.ending_of)
    stopped = remaining(pieces.job, ticks)
    lines = stopped.lines
    if to is not None and pieces.has_some(stopped.plan):
        plan = pieces.named(stopped.plan)
        ink = pieces.ink(plan)
        lines += core.models.size_texts(ink.sizes, where.system)
        files = core.resume.remaining_files(plan, ink.composition.ink, stopped.left, stopped.at.drawn_with)
        done = core.files.write_drawings(plan, files, to, pieces.sources(plan.job), over())
        lines += [*wrote(done.paths), *([done.instead] if done.instead else [])]
    if sheet is not None:
        lines += write_paper(stopped.paper, sheet, paper, pieces.job.sources)
    return report(lines) if to is not None else say_lines(lines)
