"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from typing import TYPE_CHECKING, Annotated, Final, Literal, get_args

from rotary.cli import core, machine_commands, output, patch_commands
from rotary.cli.jobs import NamedJob
from rotary.cli.options import PaperTo, group, options, texts
from rotary.cli.papers import (
    LINES,
    order_of,
    paper_of,
    print_paper,
    printed_repeat,
    refuse_lines,
    refuse_paper,
    setup_sheet,
)
from rotary.cli.resume_command import MarksNow, remaining
from rotary.cli.values import CHOICE, File, Paper, Plain, Tape
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Callable


View = Literal[
    "front", "front-far", "end-view", "side-view", "unrolled", "seams", "budget", "window", "heat", "simulation"
]
VIEWS: Final = get_args(View)


def setup(job: NamedJob, sheet: PaperTo, plain: Plain = False, details: bool = False, from_: File | None = None) -> int:
    """Print the setup sheet: everything to type and do, with tick boxes and cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: more pages: cautions in full, reasons, figures, every picture
    :param from_: a written file or folder of slices: its simulation goes on the sheet
    """
    if from_ is not None and (sheet.to is None or sheet.to.suffix.lower() == LINES):
        raise BadArgument("--from adds a picture, and plain lines have none: write --to setup.pdf")
    refuse_lines(sheet.to, plain)
    refuse_paper(job, sheet.to, "setup")
    repeat = None if from_ else job.repeat()
    if repeat is not None:
        return printed_repeat(job, repeat, sheet, plain, details)
    return setup_sheet(job, job.plan_of_marks(), sheet, plain, forecast=from_, details=details)


def patch(job: NamedJob, sheet: PaperTo, which: patch_commands.WhichPatch) -> int:
    """Print the test patch: the settings of every cell, and a place for what you see.

    Example: rotary print patch bottle.toml --to patch.pdf
    """
    if sheet.to is None:
        return patch_commands.new(job, which)
    return print_paper(job, "patch", sheet, patch=which.patch, new_patch=which.another)


def tape_tests(job: NamedJob, sheet: PaperTo) -> int:
    """Print the tests on paper tape, with their drawings and a place for every reading.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    return machine_commands.tape_tests(job, sheet=sheet)


def gap_ladder(job: NamedJob, to: File, paper: Paper = None) -> int:
    """Print the gap ladder. Mark it on scrap to see how wide a gap still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf

    :param to: the file to write, .pdf, .html, .txt or .json
    """
    return print_paper(job, "gap-ladder", PaperTo(to=to, paper=paper))


def seam_test(job: NamedJob, sheet: PaperTo, tape: Tape = 0.12) -> int:
    """Print the seam test. --to a folder: drawing, form and steps. --to a file: only the paper.

    Example: rotary print seam-test bottle.toml --to seams

    :param to: a folder for everything, or a file for the paper: .pdf …
    """
    return machine_commands.seam_test(job, sheet, tape=tape)


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


def template(job: NamedJob, how: TemplateAsked, to: File) -> int:
    """Print the wrap template: a paper pattern at full size to tape round the item.

    Example: rotary print template bottle.toml --to template.pdf

    :param to: one file, .pdf or .svg, or a folder for all of them
    """
    if not to.suffix:
        core.outfiles.refuse_folder(to)
    else:
        refuse_paper(job, to, "template")
        if how.paper == "both":
            raise BadArgument("--paper both writes several files: name a folder after --to")
    on = (how.paper or core.printer.usual_sheet(job.system)).lower()
    wish = output.wish_of(core.template.TemplateWish, {**vars(how), "paper": on})
    plan = job.plan_of_marks()
    with output.typed({"bar_short": "--bar-short", "bar_long": "--bar-long"}):
        return output.report_files(
            "", *core.papers.template_files(plan, wish, order_of(job, plan, "template", PaperTo(to=to)))
        )


def resume(job: NamedJob, sheet: PaperTo, ticks: MarksNow) -> int:
    """Print the sheet of a stopped job: the passes still to do, as the item sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    return paper_of(job, sheet, lambda: remaining(job, ticks)[0])


def names(job: NamedJob, folder: File, /, sheet: PaperTo) -> int:
    """Print the sheet of a list of names: the setup sheet, then every name with its file and where it starts.

    Example: rotary print names bottle.toml crew --to crew.pdf

    :param folder: the folder that rotary art names, or rotary inscribe with a list, wrote
    """

    def make() -> "Callable[[float], core.paper.Paper]":
        plan = job.plan_to_draw()
        return core.names_paper.names_sheet(plan, folder, job.system, core.front.marked_ink(plan, job.drawings)[0])

    return paper_of(job, sheet, make)


def picture(
    job: NamedJob, view: Annotated[View, CHOICE] = "unrolled", /, *, to: File, from_: File | None = None
) -> int:
    """Draw one picture. front shows how the item will look: send it to the customer first.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param to: the file to write, .svg, .pdf or .png
    :param view: front (seen from 400 mm), front-far, end-view, side-view, unrolled, seams, budget, window, heat,
        or simulation (unrolled)
    :param from_: for the simulation: the written file, or folder of slices
    """
    output.refuse_file(to, job.sources, lambda path: core.formats.ending_of(path, core.formats.PICTURE_ENDINGS))
    if (view == "simulation") != (from_ is not None):
        fault = "--from goes with the simulation" if from_ is not None else "the simulation needs a written file"
        raise BadArgument(f"{fault}: write simulation --from sliced.svg")
    looks = view in core.front.LOOKS
    # Nothing of what it looks like hangs on samples.
    plan = job.plan_of_marks(0 if looks else None)
    with waiting("drawing the picture") as tell:
        order = order_of(job, plan, "setup", PaperTo(to=to), forecast=from_)
        says = core.front.front_file(plan, view, order) if looks else core.papers.picture_file(plan, view, order, tell)
    output.report_files("", [to], says)
    return output.verdict(plan)


app = group(setup, patch, tape_tests, gap_ladder, seam_test, template, names, resume, picture)
