"""A job that was stopped, or taken off the machine: what is left of it, as the item sits now."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

from cyclopts import Parameter

from rotary.cli.answers import typed
from rotary.cli.jobs import NamedJob
from rotary.cli.options import AS_DRAWN, HERE, JobName, Length, OtherArtwork, Paper, Where, whole
from rotary.cli.output import over, report, say_lines
from rotary.cli.pieces import Pieces

if TYPE_CHECKING:
    from rotary.papers.model import Paper as PaperModel
    from rotary.plan import Plan
    from rotary.rig.resume import Remainder
    from rotary.services.machines import MachineOfJob


@Parameter(name="*")
@dataclass(frozen=True, kw_only=True)
class MarksNow:
    """Where the witness marks are now, from where they were, and what was done before."""

    base_right: Annotated[Length, Parameter(help="the witness mark at the base: to the right of where it was")] = 0.0
    base_up: Annotated[Length, Parameter(help="the same mark, upwards")] = 0.0
    rim_right: Annotated[Length, Parameter(help="the witness mark at the rim, to the right")] = 0.0
    rim_up: Annotated[Length, Parameter(help="the same mark, upwards")] = 0.0
    done: Annotated[str, Parameter(help="slices ticked, and passes of one that was begun: 1-9,10=4")] = ""
    passes: Annotated[
        int | None, whole(1, 200), Parameter(help="on a coating: how many passes the first slice took")
    ] = None


WHERE_IT_WAS = MarksNow()


class Stopped(NamedTuple):
    """What is left of a job, its plan, and the machine."""

    left: "Remainder"
    made: "Plan"
    at: "MachineOfJob"

    @property
    def lines(self) -> list[str]:
        """What to do, for a person."""
        from rotary.rig.resume import witness_ticks

        first = [self.made.safety.example] if self.made.safety.example else []
        return [*first, *self.left.card, "", witness_ticks(self.made).says]

    def paper(self) -> "PaperModel":
        """The same as a paper."""
        from rotary.rig.papers import resume_paper

        return resume_paper(self.made, self.left)


def remaining(named: NamedJob, ticks: MarksNow) -> Stopped:
    """What is left of a stopped job, as the item sits now."""
    from rotary.rig.resume import TickReadings, done_from_text, remainder
    from rotary.services.machines import machine_of_job
    from rotary.services.planning import plan_for

    at = machine_of_job(named.job(), named.where.machine, named.where.folder)
    made = plan_for(at.corrected, named.where.folders, named.where.samples)
    readings = TickReadings(
        foot_right_mm=ticks.base_right,
        foot_up_mm=ticks.base_up,
        rim_right_mm=ticks.rim_right,
        rim_up_mm=ticks.rim_up,
    )
    with typed():
        return Stopped(remainder(made, readings, done_from_text(ticks.done), ticks.passes), made, at)


def resume(
    job: JobName,
    /,
    *,
    ticks: MarksNow = WHERE_IT_WAS,
    to: Path | None = None,
    card: Path | None = None,
    paper: Paper = None,
    other: OtherArtwork = AS_DRAWN,
    where: Where = HERE,
) -> int:
    """Lay out what is left of a stopped job, as the item sits now.

    Example: rotary resume regatta-bottle --base-right "0.4 mm" --rim-right "0.5 mm" --passes 6 --done 1-9,10=4

    :param to: the folder for the files of what is left, of the drawings after --art and the words after --text
    :param card: its sheet as a paper, as the name ends: .pdf …
    """
    from rotary.artwork.models import size_texts
    from rotary.artwork.outfiles import refuse_folder
    from rotary.cli.answers import refuse_paper, write_paper
    from rotary.rig.resume import remaining_files
    from rotary.services.files import write_drawings

    pieces = Pieces.of(NamedJob(job, where), other)
    if to is not None:
        refuse_folder(to)
    refuse_paper(card, pieces.job.sources)
    stopped = remaining(pieces.job, ticks)
    lines = stopped.lines
    if to is not None and (pieces.art or pieces.texts or stopped.made.job.artwork.pieces):
        made = pieces.named(stopped.made)
        ink = pieces.ink(made)
        place = 1 if stopped.made.safety.example else 0
        lines[place:place] = size_texts(ink.sizes, where.system)
        files = remaining_files(made, ink.composition.ink, stopped.left, stopped.at.drawn_with)
        wrote = write_drawings(made, files, to, pieces.sources(made.job), over())
        lines += [*(f"wrote {path}" for path in wrote.paths), *([wrote.instead] if wrote.instead else [])]
    if card is not None:
        lines += write_paper(lambda _: stopped.paper(), card, paper, pieces.job.sources)
    return report(lines) if to is not None else say_lines(lines)
