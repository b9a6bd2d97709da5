"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, get_args

from rotary.cli import core, machine_commands
from rotary.cli.jobs import NamedJob
from rotary.cli.options import CHOICE, TO_OUTPUT, Paper, PaperTo, Plain, Tape, group, options, texts
from rotary.cli.output import (
    OK,
    deliver,
    over,
    refuse_file,
    report,
    report_files,
    say,
    typed,
    verdict,
    wish_of,
    write_paper,
)
from rotary.cli.patch_commands import THE_NEXT, WhichPatch, patch_in_lines
from rotary.cli.resume_command import WHERE_IT_WAS, MarksNow, remaining
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


def setup(
    job: NamedJob, sheet: PaperTo = TO_OUTPUT, plain: Plain = False, details: bool = False, from_: Path | None = None
) -> int:
    """Print the setup sheet: everything to type and do, with tick boxes and cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: more pages: cautions in full, reasons, figures, every picture
    :param from_: a written file or folder of slices: its simulation goes on the sheet
    """
    to = sheet.to
    if to is None or plain or to.suffix.lower() == LINES:
        if from_ is not None:
            raise BadArgument("--from adds a picture, and plain lines have none: write --to setup.pdf")
        refuse_lines(to, plain)
        refuse_file(to, job.sources)
    else:
        _refuse(job, to, "setup")
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
    own, plan = (repeat.found.version.path,), None if repeat.run is not None else repeat.today()
    return _sheet(named, plan, sheet, plain, own, repeat=repeat, details=details)


def _sheet(
    named: NamedJob, plan: "core.plan.Plan | None", sheet: PaperTo, plain: bool, own: tuple[Path, ...] = (), **more: Any
) -> int:
    """A setup sheet as lines, to the output or a file, or as a paper."""
    order = _order(named, plan, "setup", PaperTo(to=sheet.to or SHOWN, paper=sheet.paper), own, **more)
    if order.path.suffix.lower() != LINES:
        return _put_on_paper(named, plan, order)
    with waiting("laying out the artwork"):
        lines = core.papers.setup_card_lines(plan, order, plain)
    deliver("\n".join(lines) + "\n", sheet.to, named.sources)
    return verdict(plan) if plan else OK


def patch(job: NamedJob, sheet: PaperTo = TO_OUTPUT, which: WhichPatch = THE_NEXT) -> int:
    """Print the test patch: the settings of every cell, and a place for what you see.

    Example: rotary print patch bottle.toml --to patch.pdf
    """
    if sheet.to is None:
        return patch_in_lines(job, core.PatchWish(again=which.patch, new=which.another))
    return _paper(job, "patch", sheet, patch=which.patch, new_patch=which.another)


def tape_tests(job: NamedJob, sheet: PaperTo = TO_OUTPUT) -> int:
    """Print the tests on paper tape, with their drawings and a place for every reading.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    return machine_commands.tape_tests(job) if sheet.to is None else _paper(job, "tests", sheet)


def gap_ladder(job: NamedJob, to: Path, paper: Paper = None) -> int:
    """Print the gap ladder. Mark it on scrap to see how wide a gap still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf

    :param to: the file to write, .pdf, .html, .txt or .json
    """
    return _paper(job, "gap-ladder", PaperTo(to=to, paper=paper))


def seam_test(job: NamedJob, to: Path | None = None, paper: Paper = None, tape: Tape = 0.12) -> int:
    """Print the seam test. --to a folder: drawing, form and steps. --to a file: only the paper.

    Example: rotary print seam-test bottle.toml --to seams

    :param to: a folder for everything, or a file for the paper: .pdf …
    """
    if to is not None and to.suffix:
        return _paper(job, "seam-test", PaperTo(to=to, paper=paper))
    return machine_commands.seam_test(job, to=to, tape=tape)


@options
@texts("bar_short bar_long")
class TemplateAsked:
    """How a wrap template is printed.

    :param paper: A4, Letter or both (the usual one where you are)
    :param bar_short: measured length of the bar along the short side on a first print, "99.6 mm"
    :param bar_long: the same for the bar along the long side
    :param reach: how much of the item the paper covers: from its end, only the artwork's heights, or all
    """

    paper: Annotated[Literal["A4", "Letter", "both"] | None, CHOICE] = None
    reach: Annotated[Literal["end", "artwork", "whole"] | None, CHOICE] = None


USUAL_TEMPLATE: Final = TemplateAsked()


def template(job: NamedJob, to: Path, how: TemplateAsked = USUAL_TEMPLATE) -> int:
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
    wish = wish_of(core.template.TemplateWish, {**vars(how), "paper": on})
    plan = job.plan_of_marks()
    with typed({"bar_short": "--bar-short", "bar_long": "--bar-long"}):
        return report_files("", *core.papers.template_files(plan, wish, _order(job, plan, "template", PaperTo(to=to))))


def resume(job: NamedJob, sheet: PaperTo = TO_OUTPUT, ticks: MarksNow = WHERE_IT_WAS) -> int:
    """Print the sheet of a stopped job: the passes still to do, as the item sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    return _paper_of(job, sheet, lambda: remaining(job, ticks)[0])


def names(job: NamedJob, folder: Path, /, sheet: PaperTo = TO_OUTPUT) -> int:
    """Print the sheet of a list of names: the setup sheet, then every name with its file and where it starts.

    Example: rotary print names bottle.toml crew --to crew.pdf

    :param folder: the folder that rotary art names, or rotary inscribe with a list, wrote
    """

    def make() -> "Callable[[float], core.Paper]":
        plan = job.plan_to_draw()
        return core.names_sheet(plan, folder, job.system, core.front.marked_ink(plan, job.drawings)[0])

    return _paper_of(job, sheet, make)


def _paper_of(job: NamedJob, sheet: PaperTo, make: "Callable[[], Callable[[float], core.Paper]]") -> int:
    """A paper as lines, or in a file where one is asked for, which is looked at before the paper is made."""
    refuse_file(sheet.to, job.sources, core.formats.ending_of)
    paper = make()
    if sheet.to is None:
        return say(core.text.text_lines(paper(0.0)))
    return report(write_paper(paper, sheet.to, sheet.paper, job.sources))


def picture(
    job: NamedJob, view: Annotated[View, CHOICE] = "unrolled", /, *, to: Path, from_: Path | None = None
) -> int:
    """Draw one picture. front shows how the item will look: send it to the customer first.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param to: the file to write, .svg, .pdf or .png
    :param view: front (seen from 400 mm), front-far, end-view, side-view, unrolled, seams, budget, window, heat,
        or simulation (unrolled)
    :param from_: for the simulation: the written file, or folder of slices
    """
    refuse_file(to, job.sources, lambda path: core.formats.ending_of(path, core.formats.PICTURE_ENDINGS))
    if (view == "simulation") != (from_ is not None):
        raise BadArgument("--from goes with the simulation, which needs a file: write simulation --from sliced.svg")
    looks = view in core.front.LOOKS
    # Nothing of what it looks like hangs on samples.
    plan = job.plan_of_marks(0 if looks else None)
    with waiting("drawing the picture") as tell:
        order = _order(job, plan, "setup", PaperTo(to=to), forecast=from_)
        says = core.front.front_file(plan, view, order) if looks else core.papers.picture_file(plan, view, order, tell)
    report_files("", [to], says)
    return verdict(plan)


def _refuse(named: NamedJob, to: Path, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    refuse_file(to, named.sources, lambda path: core.papers.kind_of(core.papers.PrintOrder(name, path)))


def _paper(named: NamedJob, name: "PaperName", sheet: PaperTo, **more: Any) -> int:
    """Write a paper of the job's plan."""
    assert sheet.to is not None
    _refuse(named, sheet.to, name)
    plan = named.plan_of_marks()
    return _put_on_paper(named, plan, _order(named, plan, name, sheet, **more))


def _order(
    named: NamedJob,
    plan: "core.plan.Plan | None",
    name: "PaperName",
    sheet: PaperTo,
    own: tuple[Path, ...] = (),
    **more: Any,
) -> "core.papers.PrintOrder":
    """The order of a paper, with where the job's things are, and what is never written over."""
    assert sheet.to is not None
    return core.papers.PrintOrder(
        name, sheet.to, sheet.paper, named.system, named.drawings, named.profiles, over=over(),
        sources=(*own, *(named.drawings_of(plan.job) if plan else ())),
        drawn_by=core.drawn_marks, ink_by=core.front.marked_ink, **more,
    )  # fmt: skip


def _put_on_paper(named: NamedJob, plan: "core.plan.Plan | None", order: "core.papers.PrintOrder") -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    refuse_file(order.path, named.sources)
    with waiting("laying out the paper") as tell, typed({"patch": "--patch"}):
        done = core.papers.print_paper(plan, order, tell)
    report_files("", *done)
    return verdict(plan) if plan and not (order.repeat and order.repeat.run) else OK


app = group(
    "print", "Papers: setup sheet, test patch, machine tests, template, pictures.",
    setup, patch, tape_tests, gap_ladder, seam_test, template, names, resume, picture,
)  # fmt: skip
