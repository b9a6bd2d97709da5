"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal, get_args

from rotary.cli import core, machine_commands
from rotary.cli.answers import deliver, over, refuse_file, typed, verdict, wish_of, write_paper, wrote
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, TO_OUTPUT, PaperTo, Where, group, options
from rotary.cli.output import OK, report, say_lines
from rotary.cli.patch_commands import THE_NEXT, WhichPatch, patch_in_lines
from rotary.cli.resume_command import WHERE_IT_WAS, MarksNow, remaining
from rotary.cli.values import CHOICE, JobName, Paper, Plain, Tape, Typed
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument

if TYPE_CHECKING:
    from rotary.services.papers import PaperName

View = Literal[
    "front", "front-far", "end-view", "side-view", "unrolled", "seams", "budget", "window", "heat", "simulation"
]
VIEWS: Final = get_args(View)
LINES: Final = ".txt"
SHOWN: Final = Path("sheet.txt")
"""Stands for the output where no file is named."""


def setup(
    job: JobName,
    /,
    *,
    sheet: PaperTo = TO_OUTPUT,
    plain: Plain = False,
    details: bool = False,
    from_: Path | None = None,
    where: Where = HERE,
) -> int:
    """Print the setup sheet: all that is typed and done, with boxes to tick and the cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: more pages: cautions in whole, reasons, figures, every picture
    :param from_: a written file or folder of slices: what it will do goes on the sheet
    """
    named, to = NamedJob(job, where), sheet.to
    if to is None or plain or to.suffix.lower() == LINES:
        if from_ is not None:
            raise BadArgument("--from puts a picture on the sheet, which plain lines have not: write --to setup.pdf")
        refuse_lines(to, plain)
        refuse_file(to, named.sources)
    else:
        _refuse(named, to, "setup")
    repeat = None if from_ else named.repeat()
    if repeat is not None:
        return printed_repeat(named, repeat, sheet, plain, details)
    order = core.papers.PrintOrder("setup", to or SHOWN, sheet.paper, forecast=from_, details=details)
    return _printed(named, named.plan_of_marks(), order, plain)


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
    order = core.papers.PrintOrder("setup", sheet.to or SHOWN, sheet.paper, repeat=repeat, sources=own, details=details)
    return _printed(named, plan, order, plain)


def _printed(named: NamedJob, plan: "core.plan.Plan | None", order: "core.papers.PrintOrder", plain: bool) -> int:
    """A setup sheet as lines, to the output or a file, or as a paper."""
    if order.path.suffix.lower() != LINES:
        return _put_on_paper(named, plan, order)
    with waiting("laying out the artwork"):
        lines = core.papers.setup_card_lines(plan, _filled(named, plan, order), plain)
    deliver("\n".join(lines) + "\n", None if order.path is SHOWN else order.path, named.sources)
    return verdict(plan) if plan else OK


def patch(job: JobName, /, *, sheet: PaperTo = TO_OUTPUT, which: WhichPatch = THE_NEXT, where: Where = HERE) -> int:
    """Print the test patch: what to mark in every cell, and where to write what was seen.

    Example: rotary print patch bottle.toml --to patch.pdf
    """
    if sheet.to is None:
        return patch_in_lines(NamedJob(job, where), core.PatchWish(again=which.patch, new=which.another))
    return _paper(NamedJob(job, where), "patch", sheet, which)


def tape_tests(job: JobName, /, *, sheet: PaperTo = TO_OUTPUT, where: Where = HERE) -> int:
    """Print the tests on paper tape, with their drawings and a place for every reading.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    if sheet.to is None:
        return machine_commands.tape_tests(job, where=where)
    return _paper(NamedJob(job, where), "tests", sheet)


def gap_ladder(job: JobName, /, *, to: Path, paper: Paper = None, where: Where = HERE) -> int:
    """Print the gap ladder: marked on scrap, it shows how wide a gap still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf

    :param to: the file to write, .pdf, .html, .txt or .json
    """
    return _paper(NamedJob(job, where), "gap-ladder", PaperTo(to=to, paper=paper))


def seam_test(
    job: JobName, /, *, to: Path | None = None, paper: Paper = None, tape: Tape = 0.12, where: Where = HERE
) -> int:
    """Print the seam test: with a folder its drawing, its form, and what to do; with a file its paper.

    Example: rotary print seam-test bottle.toml --to seams

    :param to: the folder for all of it, or the file of the paper: .pdf …
    :param tape: how thick the tape is, "0.12 mm"
    """
    if to is not None and to.suffix:
        return _paper(NamedJob(job, where), "seam-test", PaperTo(to=to, paper=paper))
    return machine_commands.seam_test(job, to=to, tape=tape, where=where)


@options
class TemplateAsked:
    """How a wrap template is printed."""

    paper: Annotated[Literal["A4", "Letter", "both"] | None, CHOICE] = None
    bar_short: Typed = None
    bar_long: Typed = None
    reach: Annotated[Literal["end", "artwork", "whole"] | None, CHOICE] = None


USUAL_TEMPLATE: Final = TemplateAsked()


def template(job: JobName, /, *, to: Path, how: TemplateAsked = USUAL_TEMPLATE, where: Where = HERE) -> int:
    """Print the wrap template: a paper pattern at full size to tape round the item.

    Example: rotary print template bottle.toml --to template.pdf

    :param to: one file, .pdf or .svg, or a folder for all of them
    :param paper: A4, Letter or both (what is usual where you are)
    :param bar_short: what the bar along the short side measured on a first print, "99.6 mm"
    :param bar_long: what the bar along the long side measured
    :param reach: how much of the item the paper covers: from its end, the artwork's heights, or the whole of it
    """
    named = NamedJob(job, where)
    if not to.suffix:
        core.outfiles.refuse_folder(to)
    else:
        _refuse(named, to, "template")
        if how.paper == "both":
            raise BadArgument("--paper both writes several files: name a folder after --to")
    on = (how.paper or core.printer.usual_sheet(where.system)).lower()
    wish = wish_of(core.template.TemplateWish, {**vars(how), "paper": on})
    plan = named.plan_of_marks()
    with typed({"bar_short": "--bar-short", "bar_long": "--bar-long"}):
        drawn = core.papers.template_files(plan, wish, _filled(named, plan, core.papers.PrintOrder("template", to)))
    return report([*wrote(drawn.paths), *(f"  - {text}" for text in drawn.says)])


def resume(job: JobName, /, *, sheet: PaperTo = TO_OUTPUT, ticks: MarksNow = WHERE_IT_WAS, where: Where = HERE) -> int:
    """Print the sheet of a stopped job: what is left of it, as the item sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    named = NamedJob(job, where)
    refuse_file(sheet.to, named.sources, core.formats.ending_of)
    stopped = remaining(named, ticks)
    if sheet.to is None:
        return say_lines(stopped.lines)
    return report(write_paper(stopped.paper, sheet.to, sheet.paper, named.sources))


def names(job: JobName, folder: Path, /, *, sheet: PaperTo = TO_OUTPUT, where: Where = HERE) -> int:
    """Print the sheet of a list of names: the setup sheet, then every name with its file and where it starts.

    Example: rotary print names bottle.toml crew --to crew.pdf

    :param folder: what rotary art names, or rotary inscribe with a list, has written
    """
    named = NamedJob(job, where)
    refuse_file(sheet.to, named.sources, core.formats.ending_of)
    plan = named.plan_to_draw()
    make = core.names_sheet(plan, folder, where.system, core.front.marked_ink(plan, named.drawings)[0])
    if sheet.to is None:
        return say_lines(core.text.text_lines(make(0.0)))
    return report(write_paper(make, sheet.to, sheet.paper, named.sources))


def picture(
    job: JobName,
    view: Annotated[View, CHOICE] = "unrolled",
    /,
    *,
    to: Path,
    from_: Path | None = None,
    where: Where = HERE,
) -> int:
    """Draw one picture alone: front is what the item will look like, to send before it is marked.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param to: the file to write, .svg, .pdf or .png
    :param view: front (seen from 400 mm), front-far, end-view, side-view, unrolled, seams, budget, window, heat,
        or simulation (unrolled)
    :param from_: for the simulation: the written file, or folder of slices
    """
    named = NamedJob(job, where)
    refuse_file(to, named.sources, lambda path: core.formats.ending_of(path, core.formats.PICTURE_ENDINGS))
    if (view == "simulation") != (from_ is not None):
        raise BadArgument("only a simulation is drawn from a file, and needs one: write simulation --from sliced.svg")
    # Nothing of what it looks like hangs on samples.
    plan = named.plan_of_marks(0 if view in core.front.LOOKS else None)
    with waiting("drawing the picture") as tell:
        order = _filled(named, plan, core.papers.PrintOrder("setup", to, forecast=from_))
        looks = view in core.front.LOOKS
        says = core.front.front_file(plan, view, order) if looks else core.papers.picture_file(plan, view, order, tell)
    report([*wrote([to]), *(f"  - {text}" for text in says)])
    return verdict(plan)


def _refuse(named: NamedJob, to: Path, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    refuse_file(to, named.sources, lambda path: core.papers.kind_of(core.papers.PrintOrder(name, path)))


def _paper(named: NamedJob, name: "PaperName", sheet: PaperTo, which: WhichPatch = THE_NEXT) -> int:
    """Write a paper of the job's plan."""
    assert sheet.to is not None
    _refuse(named, sheet.to, name)
    order = core.papers.PrintOrder(name, sheet.to, sheet.paper, patch=which.patch, new_patch=which.another)
    return _put_on_paper(named, named.plan(), order)


def _filled(
    named: NamedJob, plan: "core.plan.Plan | None", order: "core.papers.PrintOrder"
) -> "core.papers.PrintOrder":
    """The order with where the job's things are, and what is never written over."""
    sources = (*order.sources, *(named.sources_of(plan) if plan else ()))
    where = named.where
    return order._replace(
        system=where.system, beside=named.drawings, folder=where.profiles, sources=sources, over=over(),
        drawn_by=core.drawn_marks, ink_by=core.front.marked_ink,
    )  # fmt: skip


def _put_on_paper(named: NamedJob, plan: "core.plan.Plan | None", order: "core.papers.PrintOrder") -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    refuse_file(order.path, named.sources)
    with waiting("setting the paper") as tell, typed({"patch": "--patch"}):
        done = core.papers.print_paper(plan, _filled(named, plan, order), tell)
    report([*wrote(done.paths), *(f"  - {text}" for text in done.says)])
    return verdict(plan) if plan and not (order.repeat and order.repeat.run) else OK


app = group(
    "print", "Papers: setup sheet, test patch, machine tests, template, pictures.",
    setup, patch, tape_tests, gap_ladder, seam_test, template, names, resume, picture,
)  # fmt: skip
