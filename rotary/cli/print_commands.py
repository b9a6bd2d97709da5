"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from typing import Annotated, Literal

from rotary.cli import core, machine_commands, output, patch_commands
from rotary.cli.jobs import NamedJob, Pieces, no_artwork
from rotary.cli.options import PaperTo, SheetTo, group, options, texts, with_job
from rotary.cli.papers import LINES, order_of, print_paper, put, refuse_lines, refuse_paper, setup_sheet, write_paper
from rotary.cli.values import CHOICE, File, Length, Paper, Plain, Tape, whole
from rotary.errors import BadArgument

View = Literal[
    "front", "front-far", "end-view", "side-view", "unrolled", "seams", "budget", "window", "heat", "simulation"
]


def setup(job: NamedJob, sheet: PaperTo, plain: Plain = False, details: bool = False, from_: File | None = None) -> int:
    """Print the setup sheet: everything to type and do, with tick boxes and cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: add pages with all cautions in full, the reasons, all figures and every picture
    :param from_: a file (or folder of slices) that rotary wrote: the sheet then also shows where the marks of that file
        will land
    """
    if from_ is not None and (sheet.to is None or sheet.to.suffix.lower() == LINES):
        raise BadArgument("--from adds a picture, which plain lines can't show: name a PDF file, like --to setup.pdf")
    refuse_lines(sheet.to, plain)
    refuse_paper(job, sheet.to, "setup")
    return setup_sheet(job, sheet, plain, None if from_ else job.repeat(), forecast=from_, details=details)


def patch(job: NamedJob, sheet: PaperTo, which: patch_commands.WhichPatch) -> int:
    """Print the test patch: the settings of every cell, and room to write what you see.

    Example: rotary print patch bottle.toml --to patch.pdf
    """
    if sheet.to is None:
        return patch_commands.new(job, which)
    return print_paper(job, "patch", sheet, patch=which.patch, new_patch=which.another)


def tape_tests(job: NamedJob, sheet: PaperTo) -> int:
    """Print all tests that you mark on paper tape: their drawings, and room to write your readings.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    return machine_commands.tape_tests(job, sheet=sheet)


def gap_ladder(job: NamedJob, to: File, paper: Paper = None) -> int:
    """Print the gap ladder, a test to mark on scrap: it shows how wide a gap between two marked areas still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf

    :param to: the file to write: a name ending in .pdf, .html, .txt or .json
    """
    return print_paper(job, "gap-ladder", PaperTo(to=to, paper=paper))


def seam_test(job: NamedJob, sheet: PaperTo, tape: Tape = 0.12) -> int:
    """Print the seam test: a folder with drawing, form and steps, or one paper (the same as rotary machine seam-test).

    Example: rotary print seam-test bottle.toml --to seams

    :param to: a folder for the drawing to mark, the form and the steps; or a name ending in .pdf, .html, .txt or .json
        for a page with the steps alone
    """
    return machine_commands.seam_test(job, sheet, tape=tape)


@options
@texts("bar_short bar_long")
class TemplateAsked:
    """How a wrap template is printed.

    :param paper: paper size: A4, Letter or both (if left out, the usual one in your country)
    :param bar_short: print once, measure the 100 mm bar along the paper's short side, and give what you measured, like
        "99.6 mm": rotary corrects the next print
    :param bar_long: the same for the 100 mm bar along the paper's long side, like "99.6 mm"
    :param reach: what the paper covers: end (from the end where heights begin to just beyond the artwork), artwork
        (only the artwork's heights) or whole (the whole item)
    """

    paper: Annotated[Literal["A4", "Letter", "both"] | None, CHOICE] = None
    reach: Annotated[Literal["end", "artwork", "whole"] | None, CHOICE] = None


def template(job: NamedJob, how: TemplateAsked, to: File) -> int:
    """Print the wrap template: a full-size paper pattern that you tape round the item.

    Example: rotary print template bottle.toml --to template.pdf

    :param to: one file with a name ending in .pdf or .svg, or a folder for all files
    """
    if not PaperTo(to=to).is_file:
        output.refuse_folder(to)
    else:
        refuse_paper(job, to, "template")
        if how.paper == "both":
            raise BadArgument("--paper both writes several files: name a folder after --to")
    on = (how.paper or core.printer.usual_sheet(job.system)).lower()
    wish = output.wish_of(core.template.TemplateWish, {**vars(how), "paper": on})
    plan = job.plan_of_marks()
    with output.typed({"bar_short": "--bar-short", "bar_long": "--bar-long"}):
        order = order_of(job, plan, "template", PaperTo(to=to))
        return output.report_files("", *core.papers.template_files(plan, wish, order))


@options
class MarksNow:
    """Where the witness marks are now, from where they were, and what was done before.

    :param base_right: how far the witness cross at the base has moved to the right, seen with the rim away from you,
        like "0.5 mm" ("-0.5 mm" is left)
    :param base_up: how far the witness cross at the base has moved towards the rim, like "0.5 mm"
    :param rim_right: how far the witness cross at the rim has moved to the right, seen with the rim away from you, like
        "0.5 mm" ("-0.5 mm" is left)
    :param rim_up: how far the witness cross at the rim has moved towards the rim, like "0.5 mm"
    :param done: what you have marked: 1-9,10=4 says slices 1 to 9 are finished, and slice 10 has had 4 passes
    :param passes: on a coating: how many passes each slice gets (as you counted on the second slice)
    """

    base_right: Length = 0.0
    base_up: Length = 0.0
    rim_right: Length = 0.0
    rim_up: Length = 0.0
    done: str = ""
    passes: Annotated[int | None, whole(1, 200)] = None


def _remaining(
    job: NamedJob, marks: MarksNow
) -> "tuple[core.paper.PaperByHeight, core.plan.Plan, core.resume.Remainder, core.machines.MachineOfJob]":
    """What is left of a stopped job, as the item sits now: its sheet, its plan, what it is, and the machine."""
    at = job.measured()
    repeat = job.repeat()
    as_run = repeat is not None and repeat.run is not None
    plan = core.marking.numbered(job.plan_to_draw() if as_run else job.marked(at.corrected), job.drawings)
    read = {name.replace("base", "foot") + "_mm": one for name, one in vars(marks).items() if isinstance(one, float)}
    with output.typed({name.replace("base", "foot"): f"--{name.replace('_', '-')}" for name in vars(marks)}):
        done = core.resume.done_from_text(marks.done)
        left = core.resume.remainder(plan, core.resume.TickReadings(**read), done, marks.passes, job.system)
    return lambda _: core.machine_papers.resume_paper(plan, left, job.system), plan, left, at


def resume(job: NamedJob, sheet: PaperTo, ticks: MarksNow) -> int:
    """Print the sheet to finish a stopped job: the passes still to do, with the item as it sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    output.refuse_file(sheet.to, job.sources, core.formats.ending_of)
    return put(_remaining(job, ticks)[0], sheet, job.sources)


def names(job: NamedJob, folder: File, /, sheet: PaperTo) -> int:
    """Print the sheet for a list of names: the setup sheet, then every name with its file and start angle.

    Example: rotary print names bottle.toml crew --to crew.pdf

    :param folder: the folder that rotary art names wrote, or rotary inscribe with a list
    """

    output.refuse_file(sheet.to, job.sources, core.formats.ending_of)
    plan = job.plan_to_draw()
    ink = core.front.marked_ink(plan, job.drawings)[0]
    return put(core.names_paper.names_sheet(plan, folder, job.system, ink), sheet, job.sources)


def picture(
    job: NamedJob, view: Annotated[View, CHOICE] = "unrolled", /, *, to: File, from_: File | None = None
) -> int:
    """Draw one picture, for example the item from the front, to show your customer.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param to: the file to write: a name ending in .svg, .pdf or .png
    :param view: what to draw: front (the item from 400 mm away), front-far (from far away), end-view, side-view,
        unrolled (the wall laid flat; you get this if you name no view), seams (gaps and overlaps), budget (how far the
        surface can be out of focus), window (settings that work), heat (how hot the wall gets), or simulation (where
        the marks of a file will land)
    :param from_: with simulation: the file, or the folder of slices, that rotary wrote
    """
    output.refuse_file(to, job.sources, lambda path: core.formats.ending_of(path, core.formats.PICTURE_ENDINGS))
    if (view == "simulation") != (from_ is not None):
        fault = (
            "--from is only for the view simulation: leave --from out, or write simulation --from crest-sliced.svg"
            if from_ is not None
            else "the view simulation needs a file that rotary wrote: write simulation --from crest-sliced.svg"
        )
        raise BadArgument(fault)
    looks = view in core.front.LOOKS
    # Nothing of what it looks like hangs on samples.
    plan = job.plan_of_marks(0 if looks else None)
    with output.waiting("drawing the picture") as tell:
        order = order_of(job, plan, "setup", PaperTo(to=to), forecast=from_)
        lines = core.front.front_file(plan, view, order) if looks else core.papers.picture_file(plan, view, order, tell)
    output.report_files("", [to], lines)
    return output.verdict(plan)


def resume_files(job: Pieces, ticks: MarksNow, sheet: SheetTo, to: File | None = None) -> int:
    """Show the passes still to do on a stopped job, with the item as it sits now.

    Example: rotary resume regatta-bottle --base-right "0.4 mm" --rim-right "0.5 mm" --passes 6 --done 1-9,10=4

    :param to: the folder for the files of the slices still to mark (of --art, of --text, or of the job's artwork)
    """
    output.refuse_folder(to)
    output.refuse_file(sheet.to, job.sources, core.formats.ending_of)
    make, plan, left, at = _remaining(job, ticks)
    lines = core.text.text_lines(make(0.0))
    if to is not None:
        rings, sizes = job.marks(plan)
        if rings is None:
            raise no_artwork()
        files = core.resume.remaining_files(plan, rings, left, at.drawn_with)
        done = core.files.write_drawings(plan, files, to, job.drawings_of(plan.job), output.said_yes.get())
        lines += [*sizes, *output.wrote(done.paths), *([done.instead] if done.instead else [])]
    lines += write_paper(make, sheet, job.sources)
    return output.report(lines) if to is not None else output.say(lines)


app = group(setup, patch, tape_tests, gap_ladder, seam_test, template, names, resume, picture)
resume_app = with_job(resume_files)
