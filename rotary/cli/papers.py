"""Papers as commands print them: to the output as lines, or in the kind of file that the name after --to ends with."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import PaperTo
from rotary.cli.output import OK, deliver, over, refuse_file, report, report_files, say, typed, verdict, write
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument

if TYPE_CHECKING:
    from rotary.services.papers import PaperName

LINES: Final = ".txt"
SHOWN: Final = Path("sheet.txt")
"""Stands for the output where no file is named."""


def refuse_lines(to: Path | None, plain: bool) -> None:
    """Raise BadArgument where plain lines are asked for in a file of another kind."""
    if plain and to is not None and to.suffix.lower() != LINES:
        raise BadArgument(f"plain lines are written as {LINES}: end the name so, or leave --plain out")


def printed_repeat(
    named: NamedJob, repeat: "core.standing.Repeat", sheet: PaperTo, plain: bool = False, details: bool = False
) -> int:
    """The numbers that were run, or today's plan: to the output or a file of lines, or as a paper."""
    if repeat.run is None and repeat.made is None:
        # It is refused again, with every fault.
        core.planning.plan_for(repeat.machine.corrected(repeat.job), draws=0)
    plan = None if repeat.run is not None else repeat.today()
    return setup_sheet(named, plan, sheet, plain, repeat=repeat, details=details)


def setup_sheet(named: NamedJob, plan: "core.plan.Plan | None", sheet: PaperTo, plain: bool, **more: Any) -> int:
    """A setup sheet as lines, to the output or a file, or as a paper."""
    order = order_of(named, plan, "setup", PaperTo(to=sheet.to or SHOWN, paper=sheet.paper), **more)
    if order.path.suffix.lower() != LINES:
        return _put_on_paper(plan, order)
    with waiting("laying out the artwork"):
        lines = core.papers.setup_card_lines(plan, order, plain)
    deliver("\n".join(lines) + "\n", sheet.to, named.sources)
    return verdict(plan) if plan else OK


def paper_of(job: NamedJob, sheet: PaperTo, make: "Callable[[], Callable[[float], core.paper.Paper]]") -> int:
    """A paper as lines, or in a file where one is asked for, which is looked at before the paper is made."""
    refuse_file(sheet.to, job.sources, core.formats.ending_of)
    paper = make()
    if sheet.to is None:
        return say(core.text.text_lines(paper(0.0)))
    return report(write_paper(paper, sheet.to, sheet.paper, job.sources))


def refuse_paper(named: NamedJob, to: Path | None, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    refuse_file(to, named.sources, lambda path: core.papers.kind_of(core.papers.PrintOrder(name, path)))


def print_paper(
    named: NamedJob, name: "PaperName", sheet: PaperTo, plan: "core.plan.Plan | None" = None, **more: Any
) -> int:
    """Write a paper of the job's plan, or of one that is there already."""
    refuse_paper(named, sheet.to, name)
    plan = plan or named.plan_of_marks()
    return _put_on_paper(plan, order_of(named, plan, name, sheet, **more))


def order_of(
    named: NamedJob, plan: "core.plan.Plan | None", name: "PaperName", sheet: PaperTo, **more: Any
) -> "core.papers.PrintOrder":
    """The order of a paper, with where the job's things are, and what is never written over."""
    assert sheet.to is not None
    sources = named.drawings_of(plan.job) if plan else named.sources
    if repeat := more.get("repeat"):
        sources = (*sources, repeat.found.version.path)
    return core.papers.PrintOrder(
        name, sheet.to, sheet.paper, named.system, named.drawings, named.profiles, sources, over=over(),
        drawn_by=core.marking.drawn_marks, ink_by=core.front.marked_ink, **more,
    )  # fmt: skip


def _put_on_paper(plan: "core.plan.Plan | None", order: "core.papers.PrintOrder") -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    with waiting("laying out the paper") as tell, typed({"patch": "--patch"}):
        report_files("", *core.papers.print_paper(plan, order, tell))
    return verdict(plan) if plan else OK


def write_paper(
    make: "Callable[[float], core.paper.Paper]",
    to: Path,
    paper: "core.printer.SheetName | None",
    sources: Iterable[Path],
) -> list[str]:
    """Write a paper, never over the job; the lines that say so."""
    sheet = paper or core.printer.usual_sheet()
    (line,) = write(to, core.formats.document(make, core.formats.ending_of(to), sheet).data, sources)
    return [f"{line}, for {sheet}"]
