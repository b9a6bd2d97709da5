"""Every paper of the tool, made from a job and written where it was asked for: the same for command line and desk."""

import re
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple, get_args

from rotary.errors import FileTrouble, Refused, UnknownName, brief, counted, refuse
from rotary.files import is_folder
from rotary.printer import SheetName, usual_sheet
from rotary.services.artwork import ink_for
from rotary.services.patches import next_patch, window_after_readings
from rotary.services.profiles import timed_runs

if TYPE_CHECKING:
    from rotary.actions.files import FileFacts
    from rotary.artwork.rings import Rings
    from rotary.machine.correct import Correction
    from rotary.papers.drawing import PaperPicture
    from rotary.papers.model import PaperByHeight
    from rotary.pictures.scene import MarkedInk
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.store.record import AsRun
    from rotary.template import TemplateWish

PaperName = Literal["setup", "patch", "gap-ladder", "tests", "seam-test", "template", "front", "sliced-file"]
_WRITERS: Final = (".pdf", ".html", ".txt", ".json")
ENDINGS_OF: Final[dict[PaperName, tuple[str, ...]]] = dict.fromkeys(get_args(PaperName), _WRITERS) | {
    "template": (".pdf", ".svg"), "sliced-file": (".svg",), "front": (".png", ".pdf", ".svg"),
}  # fmt: skip
"""Every paper, and the kinds of files it is written as; the picture from the front is asked for like one."""

TITLES: Final[dict[PaperName, str]] = {name: name.replace("-", " ") for name in ENDINGS_OF} | {
    "setup": "setup sheet", "patch": "test patch", "tests": "machine tests", "template": "wrap template",
    "front": "picture from the front",
}  # fmt: skip
"""What people call it."""

NO_PLAN: Final = "this job can't be planned yet: correct the job first"
Progress = Callable[[float], None]


class PrintOrder(NamedTuple):
    """What is wanted: which paper, into which file, on which sheet of paper (None: the usual one here), in which
    units; files of the artwork lie in `beside`, readings in `folder`; `sources` are never written over. `forecast` is
    a written sheet, or a folder of slice files, whose forecast goes on the card. `patch` is the kept patch that is
    printed again, `new_patch` asks for another. `over` is what may be replaced that is not of the same kind. `repeat`
    is a kept profile that is run again: its card has the numbers that were run where they still count, else says
    before all what was changed. `drawn_by` draws what is marked where that is not the artwork, and
    `ink_by` gives its ink, and why where it can't be drawn. `says_why` is
    whether it is told why this sheet of paper was taken; `details` adds pages with reasons, figures and pictures to a
    setup sheet. A seam test is drawn for the machine with `drawn_with`, and for tape of `tape_mm`. `job_name` is what a
    person types for the job, where that is known."""

    paper: PaperName
    path: Path
    sheet: SheetName | None = None
    system: str = "mm"
    beside: Path = Path()
    folder: Path = Path()
    sources: tuple[Path, ...] = ()
    day: date | None = None
    forecast: Path | None = None
    patch: int | None = None
    new_patch: bool = False
    over: bool = False
    repeat: "Repeat | None" = None
    drawn_by: "Callable[[Plan, Path], tuple[Plan, FileFacts]] | None" = None
    ink_by: "Callable[[Plan, Path], tuple[MarkedInk, str]] | None" = None
    says_why: bool = True
    details: bool = False
    drawn_with: "Correction | None" = None
    tape_mm: float | None = None
    job_name: str | None = None

    @property
    def on(self) -> SheetName:
        """The sheet of paper that is printed on."""
        return self.sheet or usual_sheet(self.system)


class PaperFiles(NamedTuple):
    """Which files were written, and what is to be said of them."""

    paths: tuple[Path, ...]
    says: tuple[str, ...]


def print_paper(made: "Plan | None", order: PrintOrder, progress: Progress = lambda _: None) -> PaperFiles:
    """Make a paper of a plan and write it, whole or not at all. Raises Refused or FileTrouble.

    The card of a repeat needs no plan where numbers as run are printed.
    """
    ending = ready_for(order)
    progress(0.1)
    repeat = order.repeat
    if order.paper == "setup":
        return _setup_card(made, order, ending, progress)
    if repeat is not None and repeat.run is not None and order.paper == "sliced-file":
        from rotary.repeat.run_plan import DRAWS

        made = repeat.to_draw(DRAWS)
    if made is None:
        raise refuse("", NO_PLAN)
    return _MAKERS[order.paper](made, order, ending, progress)


def ready_for(order: PrintOrder) -> str:
    """The kind of file that is asked for; raises FileTrouble where it can't be written there, before any long work.

    Cells of a patch are kept as they are chosen, so its paper must be sure to come about.
    """
    from rotary.artwork.outfiles import refuse_file

    ending = kind_of(order)
    refuse_file(order.path, order.sources, order.over)
    return ending


def kind_of(order: PrintOrder) -> str:
    """The kind of file that the order's name asks for; raises UnknownName where this paper is not written so."""
    from rotary.papers.formats import ENDINGS, ending_of, listed

    allowed = ENDINGS_OF[order.paper]
    if not order.path.suffix:
        raise UnknownName(f"end the file's name with {listed(allowed)} for the {TITLES[order.paper]}")
    ending = ending_of(order.path, allowed, (*ENDINGS, ".svg"))
    if ending not in allowed:
        shown = brief(order.path.name, 80)
        raise UnknownName(f"{shown} can't be written: end its name with {listed(allowed)}")
    return ending


def usual_name(paper: str, item: str, ending: str) -> str:
    """A file name for a paper of an item.

    >>> usual_name("setup", "Regatta bottle 600 ml", ".pdf")
    'regatta-bottle-600-ml-setup.pdf'
    """
    stem = "-".join(re.findall(r"\w+", item.casefold()))[:60].strip("-") or "item"
    return f"{stem}-{paper}{ending}"


def outlines(made: "Plan", beside: Path) -> "tuple[Rings | None, str]":
    """The outlines of the job's own artwork where it names some that can be read, and why not where it can't be."""
    if not made.job.artwork.pieces:
        return None, ""
    try:
        return ink_for(made, beside).composition.ink, ""
    except (Refused, FileTrouble) as trouble:
        return None, f"the artwork is not drawn, only its frame: {trouble}"


def _finish(order: PrintOrder, ending: str, make: "PaperByHeight", says: Sequence[str] = ()) -> PaperFiles:
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import document

    done = document(make, ending, order.on)
    write_file(order.path, done.data, order.sources, order.over)
    told = list(says)
    if ending in (".pdf", ".html"):
        other = "Letter" if order.on == "A4" else "A4"
        why = (
            "as you asked)"
            if order.sheet
            else f"the usual size in your country). For {other} paper add --paper {other}"
        )
        pages = "" if done.pages is None else f"{counted(done.pages, 'page')}, "
        told.insert(0, f"{pages}for {order.on}{f' ({why}' if order.says_why else ''}")
    return PaperFiles((order.path,), tuple(told))


def setup_card_lines(made: "Plan | None", order: PrintOrder, plain: bool = False) -> list[str]:
    """The setup sheet in lines, `plain` for a screen reader: of the numbers that were run where they still count, else
    of a plan, with what its artwork beside the job will show. The job's own file is the first of the order's sources.
    Raises Refused where there is neither."""
    from rotary.papers.text import plain_lines, text_lines

    make, _ = _setup_sheet(made, order, lambda _: None)
    return (plain_lines if plain else text_lines)(make(0.0))


def forecast_of(
    made: "Plan", path: Path, rings: "Rings | None", system: str, size_mm: tuple[float, float], progress: Progress
) -> "PaperPicture":
    """What a written file will do, as a picture. Raises Refused where nothing lands on the item, or FileTrouble."""
    from rotary.papers.sizes import Sizes
    from rotary.pictures import forecast_chart
    from rotary.services.simulation import simulation

    found = simulation(made, path, rings, FORECAST_DRAWS, progress)
    return forecast_chart(made, found, Sizes(system), *size_mm)


FORECAST_DRAWS: Final = 200


def _run_today(repeat: "Repeat", run: "AsRun", beside: Path) -> "AsRun":
    """The numbers that were run, with the files of today's artwork."""
    from rotary.services.actions import actions_of_repeat

    return run.but(actions=actions_of_repeat(repeat, beside))


def _setup_card(made: "Plan | None", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    make, says = _setup_sheet(made, order, progress)
    progress(0.8)
    return _finish(order, ending, make, says)


def _setup_sheet(made: "Plan | None", order: PrintOrder, progress: Progress) -> "tuple[PaperByHeight, tuple[str, ...]]":
    """The setup sheet by the height of its picture, of what was run or of a plan, and what is to be said of it."""
    repeat = order.repeat
    runs = timed_runs(repeat.found.version.path if repeat else next(iter(order.sources), None), order.folder)
    if repeat is not None and repeat.run is not None:
        from rotary.repeat.paper import RepeatWish, repeat_sheet

        run = _run_today(repeat, repeat.run, order.beside)
        wish = RepeatWish(order.system, order.day, order.details, runs, lambda plan: _ink(plan, order)[0])
        return repeat_sheet(repeat, run, wish), ()
    if made is None:
        raise refuse("", NO_PLAN)
    from dataclasses import replace

    from rotary.card.plan_sheet import BEHIND_MM, plan_facts, with_details
    from rotary.card.sheet import sheet_by_height
    from rotary.repeat.lines import repeat_section
    from rotary.services.actions import actions_for, drawn_files
    from rotary.store.readings import readings_in

    first = (repeat_section(repeat, order.system),) if repeat else ()
    ink, trouble = _ink(made, order)
    shown, drawn = (order.drawn_by or drawn_files)(made, order.beside)
    actions = actions_for(made, order.beside, repeat, order.system, lambda *_: (shown, drawn), runs)
    ink = ink._replace(plan=shown)
    facts = plan_facts(shown, order.system, order.day, first, actions.time, ink)
    if repeat is not None:
        facts = replace(facts, verdict=repeat.verdict, lead=repeat.banner)
    told = (trouble,) if trouble else ()
    if not (order.details or order.forecast):
        return sheet_by_height(actions, facts), told
    progress(0.4)
    simulated = None
    if order.forecast is not None:
        step: Progress = lambda share: progress(0.4 + 0.4 * share)  # noqa: E731
        simulated = forecast_of(shown, order.forecast, ink.wall, order.system, BEHIND_MM, step)
    seen = window_after_readings(shown, readings_in(order.folder))
    facts = with_details(facts, shown, actions, ink, seen, simulated)
    return sheet_by_height(actions, facts), told


def _ink(made: "Plan", order: PrintOrder) -> "tuple[MarkedInk, str]":
    """What a picture of the item shows as marked, and why it is not drawn where it can't be."""
    from rotary.pictures.scene import MarkedInk

    if order.ink_by is not None:
        return order.ink_by(made, order.beside)
    rings, trouble = outlines(made, order.beside)
    return MarkedInk(made, rings), trouble


def _proof_patch(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.card.patch_paper import patch_paper
    from rotary.store.patch import PatchWish

    day = order.day or date.today()
    wish = PatchWish(again=order.patch, new=order.new_patch)
    to_mark = next_patch(made.job, order.folder, wish, day=day)
    progress(0.7)
    return _finish(order, ending, lambda _: patch_paper(to_mark, made, order.system, day), to_mark.says)


def _tapes(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.machine.papers import tapes_paper
    from rotary.machine.strip_papers import NAME_OF_JOB
    from rotary.machine.tapes import tapes

    found = tuple(tapes(made).values())
    if order.paper == "gap-ladder":
        found = tuple(tape for tape in found if tape.name == order.paper)
        if not found:
            raise refuse(
                "item.coating", "no passes are planned, so a gap ladder can't be marked: mark a test patch first."
            )
    progress(0.6)
    return _finish(order, ending, lambda _: tapes_paper(made, found, order.day, order.job_name or NAME_OF_JOB))


def _seam_test(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.machine.correct import NO_CORRECTION
    from rotary.machine.seam_paper import seam_paper
    from rotary.machine.strip import TAPE_MM, seam_strip
    from rotary.machine.strip_papers import NAME_OF_JOB

    drawn = seam_strip(made.job, order.drawn_with or NO_CORRECTION, order.tape_mm or TAPE_MM)
    progress(0.6)
    name = order.job_name or NAME_OF_JOB
    return _finish(order, ending, lambda _: seam_paper(drawn, made, order.system, order.day, name))


def _wrap_template(made: "Plan", order: PrintOrder, _: str, __: Progress) -> PaperFiles:
    from rotary.template import TemplateWish

    wish = TemplateWish(paper="a4" if order.on == "A4" else "letter")
    return template_files(made, wish, order)


def template_files(made: "Plan", wish: "TemplateWish", order: PrintOrder) -> PaperFiles:
    """Write the wrap template with what is marked: one file as its name ends, or all of them into a folder.

    Raises FileTrouble.
    """
    from rotary.artwork.outfiles import write_file
    from rotary.papers.sizes import Sizes
    from rotary.template import template, wrap_template

    ink, trouble = _ink(made, order)
    to, over = order.path, order.over
    if not to.suffix or is_folder(to):
        drawn, paths = wrap_template(made, to, wish, over, ink.wall)
    else:
        drawn, files = template(made, wish, ink.wall)
        ending = to.suffix.lower()
        write_file(to, next(data for name, data in files.items() if name.endswith(ending)), order.sources, over)
        paths = (to,)
    shape = {"rectangle": "a rectangle", "sector": "a curved strip", "flats": "a strip with a fold at each corner"}
    says = f"the whole template is {shape[drawn.kind]}: {drawn.wide_mm:.1f} × {drawn.high_mm:.1f} mm"
    # The first tells of the bars, which are always 100 mm.
    first, *others = drawn.notes
    sizes = Sizes(order.system)
    return PaperFiles(tuple(paths), (sizes.text(says), first, *sizes.texts(others), *([trouble] if trouble else [])))


def picture_file(made: "Plan", view: str, order: PrintOrder, progress: Progress = lambda _: None) -> list[str]:
    """Write one picture by itself, at true size; what it shows. Raises Refused, FileTrouble."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import PICTURE_ENDINGS, ending_of, picture_document
    from rotary.pictures import picture
    from rotary.store.readings import readings_in

    ending = ending_of(order.path, PICTURE_ENDINGS)
    ink, trouble = _ink(made, order) if view in ("unrolled", "simulation") else (None, "")
    rings = ink.wall if ink else None
    if order.forecast is not None:
        drawn = forecast_of(made, order.forecast, rings, order.system, (160.0, 110.0), progress)
    else:
        seen = window_after_readings(made, readings_in(order.folder)) if view == "window" else None
        drawn = picture(made, view, order.system, rings=rings, seen=seen)
    write_file(order.path, picture_document(drawn, ending).data, order.sources, order.over)
    return [f"{drawn.title}: {drawn.says}", *([trouble] if trouble else [])]


def _slice_sheet(made: "Plan", order: PrintOrder, _: str, progress: Progress) -> PaperFiles:
    from rotary.artwork.models import size_texts
    from rotary.sentences.files import focus_with, run_with
    from rotary.services.files import slice_sheet, with_file_facts

    job = made.job
    if not job.artwork.pieces:
        raise refuse("artwork.pieces", "the job names no artwork to draw: choose a drawing, or write a text.")
    ink = ink_for(made, order.beside)
    progress(0.5)
    drawn, paths = slice_sheet(
        made, ink.composition.ink, order.path.parent, None, order.sources, order.over, order.path.stem
    )
    sizes = size_texts(ink.sizes, order.system)
    size = f"Slices: {drawn.columns}, each {drawn.file_slice_mm:g} mm wide in the file."
    shown = with_file_facts(made, drawn, drawn.columns, drawn.middle_rad)
    run = (*focus_with(shown), *run_with(shown, drawn.trial))
    return PaperFiles(paths, (*sizes, size, *drawn.must_show, *run, *drawn.notes))


_MAKERS: Final[dict[str, Callable[["Plan", PrintOrder, str, Progress], PaperFiles]]] = {
    "patch": _proof_patch,
    "gap-ladder": _tapes,
    "tests": _tapes,
    "seam-test": _seam_test,
    "template": _wrap_template,
    "sliced-file": _slice_sheet,
}
