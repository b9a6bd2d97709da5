"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, get_args

from rotary.cli import core, machine_commands, output
from rotary.cli.jobs import NamedJob
from rotary.cli.options import PaperTo, group, options, texts
from rotary.cli.patch_commands import WhichPatch, patch_in_lines
from rotary.cli.resume_command import MarksNow, remaining
from rotary.cli.values import CHOICE, File, Paper, Plain, Tape
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Callable

    from rotary.services.papers import PaperName

View = Literal[
    "front", "front-far", "end-view", "side-view", "unrolled", "seams", "budget", "window", "heat", "simulation"
]
VIEWS: Final = get_args(View)
LINES: Final = ".txt"
SHOWN: Final = Path("sheet.txt")
"""Stands for the output where no file is named."""


def setup(job: NamedJob, sheet: PaperTo, plain: Plain = False, details: bool = False, from_: File | None = None) -> int:
    """Print the setup sheet: everything to type and do, with tick boxes and cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: more pages: cautions in whole, reasons, figures, every picture
    :param from_: a written file or folder of slices: what it will do goes on the sheet
    """
    if from_ is not None and (sheet.to is None or sheet.to.suffix.lower() == LINES):
        raise BadArgument("--from puts a picture on the sheet, which plain lines have not: write --to setup.pdf")
    refuse_lines(sheet.to, plain)
    _refuse(job, sheet.to, "setup")
    repeat = None if from_ else job.repeat()
    if repeat is not None:
        return printed_repeat(job, repeat, sheet, plain, details)
    return _sheet(job, job.plan_of_marks(), sheet, plain, forecast=from_, details=details)


def refuse_lines(to: Path | None, plain: bool) -> None:
    """Raise BadArgument where plain lines are asked for in a file of another kind."""
    if plain and to is not None and to.suffix.lower() != LINES:
        raise BadArgument(f"plain lines are written as {LINES}: end the name so, or leave --plain out")


def printed_repeat(
    named: NamedJob, repeat: "core.Repeat", sheet: PaperTo, plain: bool = False, details: bool = False
) -> int:
    """The numbers that were run, or today's plan: to the output or a file of lines, or as a paper."""
    if repeat.run is None and repeat.made is None:
        # It is refused again, with every fault.
        core.planning.plan_for(repeat.machine.corrected(repeat.job), draws=0)
    plan = None if repeat.run is not None else repeat.today()
    return _sheet(named, plan, sheet, plain, repeat=repeat, details=details)


def _sheet(named: NamedJob, plan: "core.plan.Plan | None", sheet: PaperTo, plain: bool, **more: Any) -> int:
    """A setup sheet as lines, to the output or a file, or as a paper."""
    order = _order(named, plan, "setup", PaperTo(to=sheet.to or SHOWN, paper=sheet.paper), **more)
    if order.path.suffix.lower() != LINES:
        return _put_on_paper(plan, order)
    with waiting("laying out the artwork"):
        lines = core.papers.setup_card_lines(plan, order, plain)
    output.deliver("\n".join(lines) + "\n", sheet.to, named.sources)
    return output.verdict(plan) if plan else output.OK


def patch(job: NamedJob, sheet: PaperTo, which: WhichPatch) -> int:
    """Print the test patch: what to mark in every cell, and where to write what was seen.

    Example: rotary print patch bottle.toml --to patch.pdf
    """
    if sheet.to is None:
        return patch_in_lines(job, core.PatchWish(again=which.patch, new=which.another))
    return _paper(job, "patch", sheet, patch=which.patch, new_patch=which.another)


def tape_tests(job: NamedJob, sheet: PaperTo) -> int:
    """Print the tests on paper tape, with their drawings and a place for every reading.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    return machine_commands.tape_tests(job) if sheet.to is None else _paper(job, "tests", sheet)


def gap_ladder(job: NamedJob, to: File, paper: Paper = None) -> int:
    """Print the gap ladder: marked on scrap, it shows how wide a gap still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf

    :param to: the file to write, .pdf, .html, .txt or .json
    """
    return _paper(job, "gap-ladder", PaperTo(to=to, paper=paper))


def seam_test(job: NamedJob, to: File | None = None, paper: Paper = None, tape: Tape = 0.12) -> int:
    """Print the seam test: with a folder its drawing, its form, and what to do; with a file its paper.

    Example: rotary print seam-test bottle.toml --to seams

    :param to: the folder for all of it, or the file of the paper: .pdf …
    """
    if to is not None and to.suffix:
        return _paper(job, "seam-test", PaperTo(to=to, paper=paper))
    return machine_commands.seam_test(job, to=to, tape=tape)


@options
@texts("bar_short bar_long")
class TemplateAsked:
    """How a wrap template is printed.

    :param paper: A4, Letter or both (what is usual where you are)
    :param bar_short: what the bar along the short side measured on a first print, "99.6 mm"
    :param bar_long: what the bar along the long side measured
    :param reach: how much of the item the paper covers: from its end, the artwork's heights, or the whole of it
    """

    paper: Annotated[Literal["A4", "Letter", "both"] | None, CHOICE] = None
    reach: Annotated[Literal["end", "artwork", "whole"] | None, CHOICE] = None


def template(job: NamedJob, how: TemplateAsked, to: File) -> int:
    """Print the wrap template: a paper pattern at full size to tape round the item.

    Example: rotary print template bottle.toml --to template.pdf

    :param to: one file, .pdf or .svg, or a folder for all of them
    """
    if not to.suffix:
        core.outfiles.refuse_folder(to)
    else:
        _refuse(job, to, "template")
        if how.paper == "both":
            raise BadArgument("--paper both writes several files: name a folder after --to")
    on = (how.paper or core.printer.usual_sheet(job.system)).lower()
    wish = output.wish_of(core.template.TemplateWish, {**vars(how), "paper": on})
    plan = job.plan_of_marks()
    with output.typed({"bar_short": "--bar-short", "bar_long": "--bar-long"}):
        return output.report_files(
            "", *core.papers.template_files(plan, wish, _order(job, plan, "template", PaperTo(to=to)))
        )


def resume(job: NamedJob, sheet: PaperTo, ticks: MarksNow) -> int:
    """Print the sheet of a stopped job: what is left of it, as the item sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    return _paper_of(job, sheet, lambda: remaining(job, ticks)[0])


def names(job: NamedJob, folder: File, /, sheet: PaperTo) -> int:
    """Print the sheet of a list of names: the setup sheet, then every name with its file and where it starts.

    Example: rotary print names bottle.toml crew --to crew.pdf

    :param folder: what rotary art names, or rotary inscribe with a list, has written
    """

    def make() -> "Callable[[float], core.Paper]":
        plan = job.plan_to_draw()
        return core.names_sheet(plan, folder, job.system, core.front.marked_ink(plan, job.drawings)[0])

    return _paper_of(job, sheet, make)


def _paper_of(job: NamedJob, sheet: PaperTo, make: "Callable[[], Callable[[float], core.Paper]]") -> int:
    """A paper as lines, or in a file where one is asked for, which is looked at before the paper is made."""
    output.refuse_file(sheet.to, job.sources, core.formats.ending_of)
    paper = make()
    if sheet.to is None:
        return output.say(core.text.text_lines(paper(0.0)))
    return output.report(output.write_paper(paper, sheet.to, sheet.paper, job.sources))


def picture(
    job: NamedJob, view: Annotated[View, CHOICE] = "unrolled", /, *, to: File, from_: File | None = None
) -> int:
    """Draw one picture alone. front shows how the item will look: send it to the customer first.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param to: the file to write, .svg, .pdf or .png
    :param view: front (seen from 400 mm), front-far, end-view, side-view, unrolled, seams, budget, window, heat,
        or simulation (unrolled)
    :param from_: for the simulation: the written file, or folder of slices
    """
    output.refuse_file(to, job.sources, lambda path: core.formats.ending_of(path, core.formats.PICTURE_ENDINGS))
    if (view == "simulation") != (from_ is not None):
        raise BadArgument("only a simulation is drawn from a file, and needs one: write simulation --from sliced.svg")
    looks = view in core.front.LOOKS
    # Nothing of what it looks like hangs on samples.
    plan = job.plan_of_marks(0 if looks else None)
    with waiting("drawing the picture") as tell:
        order = _order(job, plan, "setup", PaperTo(to=to), forecast=from_)
        says = core.front.front_file(plan, view, order) if looks else core.papers.picture_file(plan, view, order, tell)
    output.report_files("", [to], says)
    return output.verdict(plan)


def _refuse(named: NamedJob, to: Path | None, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    output.refuse_file(to, named.sources, lambda path: core.papers.kind_of(core.papers.PrintOrder(name, path)))


def _paper(named: NamedJob, name: "PaperName", sheet: PaperTo, **more: Any) -> int:
    """Write a paper of the job's plan."""
    _refuse(named, sheet.to, name)
    plan = named.plan()
    return _put_on_paper(plan, _order(named, plan, name, sheet, **more))


def _order(
    named: NamedJob, plan: "core.plan.Plan | None", name: "PaperName", sheet: PaperTo, **more: Any
) -> "core.papers.PrintOrder":
    """The order of a paper, with where the job's things are, and what is never written over."""
    assert sheet.to is not None
    sources = named.drawings_of(plan.job) if plan else named.sources
    if repeat := more.get("repeat"):
        sources = (*sources, repeat.found.version.path)
    return core.papers.PrintOrder(
        name, sheet.to, sheet.paper, named.system, named.drawings, named.profiles, sources, over=output.over(),
        drawn_by=core.drawn_marks, ink_by=core.front.marked_ink, **more,
    )  # fmt: skip


def _put_on_paper(plan: "core.plan.Plan | None", order: "core.papers.PrintOrder") -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    with waiting("setting the paper") as tell, output.typed({"patch": "--patch"}):
        output.report_files("", *core.papers.print_paper(plan, order, tell))
    return output.verdict(plan) if plan else output.OK


app = group(
    "print", "Papers: setup sheet, test patch, machine tests, template, pictures.",
    setup, patch, tape_tests, gap_ladder, seam_test, template, names, resume, picture,
)  # fmt: skip
