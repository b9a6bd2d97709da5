"""Papers: set in the kind of file that the name after --to ends with, or as plain lines without it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal, get_args

from cyclopts import Parameter

from rotary.cli.answers import deliver, refuse_blank, refuse_file_asked_for, refuse_paper, verdict, wish_of, write_paper
from rotary.cli.jobs import NamedJob
from rotary.cli.options import (
    CHOICE,
    HERE,
    JobName,
    Length,
    Number,
    Paper,
    Plain,
    ToFile,
    Typed,
    Where,
    group,
)
from rotary.cli.output import OK, over, report, say_lines
from rotary.cli.resume_command import WHERE_IT_WAS, MarksNow, remaining
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, brief
from rotary.services.papers import PrintOrder, kind_of, print_paper

if TYPE_CHECKING:
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.services.papers import PaperName

View = Literal[
    "front", "front-far", "end-view", "side-view", "unrolled", "joints", "budget", "window", "heat", "forecast"
]
VIEWS: Final = get_args(View)
LINES: Final = ".txt"

app = group("print", "Papers: setup sheet, test patch, machine tests, template, pictures.")


@app.command
def setup(
    job: JobName,
    /,
    *,
    to: ToFile = None,
    paper: Paper = None,
    plain: Plain = False,
    details: bool = False,
    from_: Annotated[Path | None, Parameter(name="--from")] = None,
    where: Where = HERE,
) -> int:
    """Print the setup sheet: all that is typed and done, with boxes to tick and the cautions.

    Example: rotary print setup bottle.toml --to setup.pdf --paper A4

    :param details: more pages: cautions in whole, reasons, figures, every picture
    :param from_: a written file or folder of slices: what it will do goes on the sheet
    """
    named = NamedJob(job, where)
    if to is None or plain or to.suffix.lower() == LINES:
        if from_ is not None:
            raise BadArgument("--from puts a picture on the sheet, which plain lines have not: write --to setup.pdf")
        return setup_in_lines(named, to, plain)
    _refuse(named, to, "setup")
    repeat = None if from_ else named.repeat()
    if repeat is not None:
        return printed_repeat(named, repeat, to, paper, plain, details)
    return _put_on_paper(named, named.plan(), to, PrintOrder("setup", to, paper, forecast=from_, details=details))


def setup_in_lines(named: NamedJob, to: Path | None = None, plain: bool = False) -> int:
    """The setup sheet as lines, to the output or a file."""
    refuse_lines(to, plain)
    refuse_file_asked_for(to, named.sources)
    repeat = named.repeat()
    if repeat is not None:
        return printed_repeat(named, repeat, to, None, plain)
    answer = named.plan()
    deliver(_lines(named, answer, None, plain), to, named.sources)
    return verdict(answer)


def refuse_lines(to: Path | None, plain: bool) -> None:
    """Raise BadArgument where plain lines are asked for in a file of another kind."""
    if plain and to is not None and to.suffix.lower() != LINES:
        raise BadArgument(f"plain lines are written as {LINES}: end the name so, or leave --plain out")


def _lines(named: NamedJob, made: "Plan | None", repeat: "Repeat | None", plain: bool) -> str:
    from rotary.services.papers import setup_card_lines

    with waiting("laying out the artwork"):
        lines = setup_card_lines(made, repeat, named.drawings, named.where.system, plain, named.sources)
    return "\n".join(lines) + "\n"


def printed_repeat(
    named: NamedJob, repeat: "Repeat", to: Path | None, paper: Paper = None, plain: bool = False, details: bool = False
) -> int:
    """The numbers that were run, or today's plan: to the output or a file of lines, or as a paper."""
    if repeat.run is None and repeat.made is None:
        from rotary.services.planning import plan_for

        # It is refused again, with every fault.
        plan_for(repeat.machine.corrected(repeat.job), draws=0)
    if to is not None and to.suffix.lower() != LINES:
        order = PrintOrder("setup", to, paper, repeat=repeat, sources=(repeat.found.version.path,), details=details)
        return _put_on_paper(named, repeat.made, to, order)
    answer = None if repeat.run is not None else repeat.today()
    deliver(_lines(named, answer, repeat, plain), to, named.sources)
    return OK if answer is None else verdict(answer)


@app.command
def patch(
    job: JobName,
    /,
    *,
    to: ToFile = None,
    paper: Paper = None,
    patch: Number | None = None,
    another: bool = False,
    where: Where = HERE,
) -> int:
    """Print the test patch: what to mark in every cell, and where to write what was seen.

    Example: rotary print patch bottle.toml --to patch.pdf

    :param patch: print this patch again, as it is stored
    :param another: another patch, even where the same one is still to be read
    """
    named = NamedJob(job, where)
    if to is None:
        from rotary.cli.patch_commands import patch_in_lines
        from rotary.store.patch import PatchWish

        return patch_in_lines(named, PatchWish(again=patch, new=another))
    _refuse(named, to, "patch")
    order = PrintOrder("patch", to, paper, patch=patch, new_patch=another)
    return _put_on_paper(named, named.plan(), to, order)


@app.command(name="tests")
def tape_tests(job: JobName, /, *, to: ToFile = None, paper: Paper = None, where: Where = HERE) -> int:
    """Print the tests on paper tape, with their drawings and a place for every reading.

    Example: rotary print tests bottle.toml --to tests.pdf
    """
    named = NamedJob(job, where)
    if to is None:
        from rotary.cli.machine_commands import tape_tests as tests_in_lines

        return tests_in_lines(job, where=where)
    _refuse(named, to, "tests")
    return _put_on_paper(named, named.plan(), to, PrintOrder("tests", to, paper))


@app.command(name="gap-ladder")
def gap_ladder(
    job: JobName,
    /,
    *,
    to: Annotated[Path, Parameter(help="the file to write, .pdf, .html, .txt or .json")],
    paper: Paper = None,
    where: Where = HERE,
) -> int:
    """Print the gap ladder: marked on scrap, it shows how wide a gap still closes.

    Example: rotary print gap-ladder bottle.toml --to ladder.pdf
    """
    named = NamedJob(job, where)
    _refuse(named, to, "gap-ladder")
    return _put_on_paper(named, named.plan(), to, PrintOrder("gap-ladder", to, paper))


@app.command(name="seam-test")
def seam_test(
    job: JobName,
    /,
    *,
    to: Annotated[Path | None, Parameter(help="the folder for all of it, or the file of the paper: .pdf …")] = None,
    paper: Paper = None,
    tape: Length = 0.12,
    where: Where = HERE,
) -> int:
    """Print the seam test: with a folder its drawing, its form, and what to do; with a file its paper.

    Example: rotary print seam-test bottle.toml --to seams

    :param tape: how thick the tape is, "0.12 mm"
    """
    from rotary.cli.machine_commands import seam_test as seam_test_drawn

    if to is not None and to.suffix:
        named = NamedJob(job, where)
        _refuse(named, to, "seam-test")
        return _put_on_paper(named, named.plan(), to, PrintOrder("seam-test", to, paper))
    return seam_test_drawn(job, to=to, tape=tape, where=where)


@app.command
def template(
    job: JobName,
    /,
    *,
    to: Annotated[Path, Parameter(help="one file, .pdf or .svg, or a folder for all of them")],
    paper: Annotated[Literal["A4", "Letter", "both"] | None, CHOICE] = None,
    bar_short: Typed = None,
    bar_long: Typed = None,
    reach: Annotated[Literal["datum", "band", "whole"] | None, CHOICE] = None,
    where: Where = HERE,
) -> int:
    """Print the wrap template: a paper pattern at full size to tape round the item.

    Example: rotary print template bottle.toml --to template.pdf

    :param paper: A4, Letter or both (what is usual where you are)
    :param bar_short: what the bar along the short side measured on a first print, "99.6 mm"
    :param bar_long: what the bar along the long side measured
    :param reach: how much of the item the paper covers: from its end, the artwork's heights, or the whole of it
    """
    from rotary.artwork.outfiles import refuse_folder
    from rotary.printer import usual_sheet
    from rotary.services.papers import template_files
    from rotary.template import TemplateWish

    named = NamedJob(job, where)
    if to.suffix:
        _refuse(named, to, "template")
        if paper == "both":
            raise BadArgument("--paper both writes several files: name a folder after --to")
    else:
        refuse_folder(to)
    on = (paper or usual_sheet(where.system)).lower()
    wish = wish_of(TemplateWish, {"paper": on, "bar_short": bar_short, "bar_long": bar_long, "reach": reach})
    drawn = template_files(named.plan(), to, wish, named.drawings, named.sources, over() != "no")
    return report([*(f"wrote {brief(path, 200)}" for path in drawn.paths), *(f"  - {text}" for text in drawn.says)])


@app.command
def resume(
    job: JobName,
    /,
    *,
    to: ToFile = None,
    paper: Paper = None,
    ticks: MarksNow = WHERE_IT_WAS,
    where: Where = HERE,
) -> int:
    """Print the sheet of a stopped job: what is left of it, as the item sits now.

    Example: rotary print resume bottle.toml --rim-right "0.5 mm" --done 1-9,10=4 --passes 6 --to resume.pdf
    """
    named = NamedJob(job, where)
    refuse_paper(to, named.sources)
    stopped = remaining(named, ticks)
    if to is None:
        return say_lines(stopped.lines)
    return report(write_paper(lambda _: stopped.paper(), to, paper, named.sources))


@app.command
def picture(
    job: JobName,
    view: Annotated[View, CHOICE] = "unrolled",
    /,
    *,
    to: Annotated[Path, Parameter(help="the file to write, .svg, .pdf or .png")],
    from_: Annotated[Path | None, Parameter(name="--from")] = None,
    where: Where = HERE,
) -> int:
    """Draw one picture alone: front is what the item will look like, to send before it is marked.

    Example: rotary print picture bottle.toml front --to bottle.png

    :param view: front (seen from 400 mm), front-far, end-view, side-view, unrolled, joints, budget, window, heat,
        or forecast (unrolled)
    :param from_: for the forecast: the written file, or folder of slices
    """
    from rotary.inscription.front import LOOKS, front_file
    from rotary.papers.formats import PICTURE_ENDINGS, ending_of
    from rotary.services.papers import picture_file

    named = NamedJob(job, where)
    refuse_file_asked_for(to, named.sources)
    if (view == "forecast") != (from_ is not None):
        raise BadArgument("a forecast needs its file, and only a forecast does: write forecast with --from sheet.svg")
    ending_of(to, PICTURE_ENDINGS)
    # Nothing of what it looks like hangs on samples.
    made = named.plan(0 if view in LOOKS else None)
    with waiting("drawing the picture") as tell:
        order = PrintOrder(
            "setup", to, system=where.system, beside=named.drawings, folder=where.profiles,
            sources=_sources(named, made), over=over(), forecast=from_,
        )  # fmt: skip
        says = front_file(made, view, order) if view in LOOKS else picture_file(made, view, order, tell)
    report([f"wrote {brief(to, 200)}", *(f"  - {text}" for text in says)])
    return verdict(made)


def _refuse(named: NamedJob, to: Path, name: "PaperName") -> None:
    """Raise where the file can't be written, or not as that paper, before anything is planned."""
    refuse_blank(to)
    kind_of(PrintOrder(name, to))
    refuse_file_asked_for(to, named.sources)


def _sources(named: NamedJob, made: "Plan") -> tuple[Path, ...]:
    """What a paper is made from: the job file and the artwork that it names."""
    from rotary.services.artwork import drawing_files

    return (*named.sources, *drawing_files(made.job, named.drawings))


def _put_on_paper(named: NamedJob, made: "Plan | None", to: Path, order: PrintOrder) -> int:
    """Write a paper of a plan, or of a profile that is run again, never over what it is made from."""
    refuse_file_asked_for(to, named.sources)
    order = order._replace(
        system=named.where.system,
        beside=named.drawings,
        folder=named.where.profiles,
        sources=(*order.sources, *(_sources(named, made) if made else ())),
        over=over(),
    )
    with waiting("setting the paper") as tell:
        done = print_paper(made, order, tell)
    report([*(f"wrote {brief(path, 200)}" for path in done.paths), *(f"  - {text}" for text in done.says)])
    return verdict(made) if made and not (order.repeat and order.repeat.run) else OK
