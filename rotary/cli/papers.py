"""Papers as commands print them: to the output as lines, or in the kind of file that the name after --to ends with."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from rotary.cli import core, output
from rotary.cli.jobs import NamedJob
from rotary.cli.options import PaperTo, SheetTo
from rotary.errors import BadArgument

if TYPE_CHECKING:
    from rotary.services.papers import PaperName

LINES: Final = ".txt"
SHOWN: Final = Path("sheet.txt")
"""Stands for the output where no file is named."""


def refuse_lines(to: Path | None, plain: bool) -> None:
    """Raise BadArgument where plain lines are asked for in a file of another kind."""
    if plain and to is not None and to.suffix.lower() != LINES:
        raise BadArgument(f"with --plain the file's name must end in {LINES}: change the name, or leave --plain out")


def setup_sheet(
    named: NamedJob, sheet: PaperTo, plain: bool, repeat: "core.standing.Repeat | None" = None, **more: Any
) -> int:
    """A setup sheet as lines, to the output or a file, or as a paper: the numbers that were run, or of a plan."""
    plan: core.plan.Plan | None = None
    if repeat is None:
        plan = named.plan_of_marks()
    elif repeat.run is None:
        # Where there is none it is refused again, with every fault.
        plan = repeat.made or core.planning.plan_for(repeat.machine.corrected(repeat.job), draws=0)
    order = order_of(named, plan, "setup", PaperTo(to=sheet.to or SHOWN, paper=sheet.paper), repeat=repeat, **more)
    if order.path.suffix.lower() != LINES:
        return _put_on_paper(plan, order)
    with output.waiting("laying out the artwork"):
        lines = core.papers.setup_card_lines(plan, order, plain)
    output.answer(False, None, lines, sheet.to, named.sources)
    return output.verdict(plan) if plan else output.OK


def put(make: "core.paper.PaperByHeight", sheet: PaperTo, sources: Iterable[Path]) -> int:
    """A paper as lines, or in a file where one is asked for."""
    if sheet.to is None:
        return output.say(core.text.text_lines(make(0.0)))
    return output.report(write_paper(make, sheet, sources))


def refuse_paper(named: NamedJob, to: Path | None, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    output.refuse_file(to, named.sources, lambda path: core.papers.kind_of(core.papers.PrintOrder(name, path)))


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
        name, sheet.to, sheet.paper, named.system, named.drawings, named.profiles, sources, over=output.said_yes.get(),
        drawn_by=core.marking.drawn_marks, ink_by=core.front.marked_ink, job_name=named.typed_name, **more,
    )  # fmt: skip


def _put_on_paper(plan: "core.plan.Plan | None", order: "core.papers.PrintOrder") -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    with output.waiting("laying out the paper") as tell, output.typed({"patch": "--patch"}):
        output.report_files("", *core.papers.print_paper(plan, order, tell))
    return output.verdict(plan) if plan else output.OK


def write_paper(make: "core.paper.PaperByHeight", sheet: PaperTo | SheetTo, sources: Iterable[Path]) -> list[str]:
    """Write a paper where one is asked for, never over the job; the lines that say so."""
    if sheet.to is None:
        return []
    on = sheet.paper or core.printer.usual_sheet()
    (line,) = output.write(sheet.to, core.formats.document(make, core.formats.ending_of(sheet.to), on).data, sources)
    return [f"{line}, for {on}"]
