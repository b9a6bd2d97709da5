"""Every paper of the tool, made from a job and written where it was asked for: the same for command line and desk."""

import re
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rotary.errors import FileTrouble, Refused, UnknownName, refuse
from rotary.printer import SheetName, usual_sheet
from rotary.services.artwork import ink_for
from rotary.services.patches import next_patch, window_taught

if TYPE_CHECKING:
    from rotary.artwork.rings import Rings
    from rotary.artwork.sets import Over
    from rotary.papers.drawing import PaperPicture
    from rotary.papers.model import Paper
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.store.record import AsRun
    from rotary.template import TemplateWish

PaperName = Literal["setup-card", "proof-patch", "tapes", "wrap-template", "slice-sheet"]
ENDINGS_OF: Final[dict[PaperName, tuple[str, ...]]] = {
    "setup-card": (".pdf", ".html", ".txt", ".svg"),
    "proof-patch": (".pdf", ".html", ".txt", ".svg"),
    "tapes": (".pdf", ".html", ".txt", ".svg"),
    "wrap-template": (".pdf", ".svg"),
    "slice-sheet": (".svg",),
}
"""Every paper, and the kinds of files it is written as."""

NO_PLAN: Final = "there is no plan of this job: put it right first"
Progress = Callable[[float], None]


class PrintOrder(NamedTuple):
    """What is wanted: which paper, into which file, on which sheet of paper (None: the usual one here), in which
    units; files of the artwork lie in `beside`, readings in `folder`; `sources` are never written over. `forecast` is
    a written sheet, or a folder of slice files, whose forecast goes on the card. `patch` is the kept patch that is
    printed again, `new_patch` asks for another. `over` is what may be replaced that is not of the same kind. `repeat`
    is a kept profile that is run again: its card has the numbers that were run where they still count, else says
    before all what was changed. `says_why` is whether it is told why this sheet of paper was taken."""

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
    over: "Over" = "no"
    repeat: "Repeat | None" = None
    says_why: bool = True

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
    if repeat is not None and repeat.run is not None:
        if order.paper == "setup-card":
            return _repeat_card(repeat, repeat.run, order, ending)
        if order.paper == "slice-sheet":
            from rotary.repeat.holding import DRAWS

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
    refuse_file(order.path, order.sources, order.over != "no")
    return ending


def kind_of(order: PrintOrder) -> str:
    """The kind of file that the order's name asks for; raises UnknownName where this paper is not written so."""
    from rotary.papers.formats import ending_of

    allowed = ENDINGS_OF[order.paper]
    name = order.paper.replace("-", " ")
    listed = f"{', '.join(allowed[:-1])} or {allowed[-1]}" if len(allowed) > 1 else allowed[0]
    if not order.path.suffix:
        raise UnknownName(f"the file's name tells what is written: end it with {listed} for a {name}")
    ending = ending_of(order.path)
    if ending not in allowed:
        raise UnknownName(f"a {name} is not written as {ending}: end the name with {listed}")
    return ending


def usual_name(paper: str, item: str, ending: str) -> str:
    """A file name for a paper of an item.

    >>> usual_name("setup-card", "Regatta bottle 600 ml", ".pdf")
    'regatta-bottle-600-ml-setup-card.pdf'
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


def _finish(
    order: PrintOrder,
    ending: str,
    make: "Callable[[float], Paper]",
    lines: Callable[[], Sequence[str]] | None = None,
    one_page: bool = False,
    says: Sequence[str] = (),
) -> PaperFiles:
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import document

    done = document(make, ending, order.on, one_page, lines)
    write_file(order.path, done.data, order.sources, order.over != "no")
    told = list(says)
    if ending in (".pdf", ".svg", ".html"):
        other = "Letter" if order.on == "A4" else "A4"
        why = "as asked" if order.sheet else f"this computer's locale or units say so; --paper {other} for the other"
        pages = "" if done.pages is None else f", {done.pages} page{'s' if done.pages != 1 else ''}"
        first = ": the first holds all that is done at the machine" if one_page and (done.pages or 0) > 1 else ""
        told.insert(0, f"for {order.on}{f' ({why})' if order.says_why else ''}{pages}{first}")
    return PaperFiles((order.path,), tuple(told))


def setup_card_lines(
    made: "Plan | None", repeat: "Repeat | None", beside: Path, system: str = "mm", plain: bool = False
) -> list[str]:
    """The setup card in lines, `plain` for a screen reader: of the numbers that were run where they still count, else
    of a plan, with what its artwork `beside` the job will show. Raises Refused where there is neither."""
    if repeat is not None and repeat.run is not None:
        from rotary.papers.plain import plain_lines
        from rotary.papers.text import text_lines
        from rotary.repeat.paper import repeat_paper

        run = _run_today(repeat, repeat.run, beside)
        return (plain_lines if plain else text_lines)(repeat_paper(repeat, run, system))
    from rotary.card import before_the_card, card_lines
    from rotary.card.plain import plain_card
    from rotary.papers.plain import plain_section
    from rotary.repeat.telling import section_before_card
    from rotary.services.files import with_real_sheet

    if made is None:
        raise refuse("", NO_PLAN)
    first, shown = section_before_card(repeat, system) if repeat else None, with_real_sheet(made, beside)
    if plain:
        return [*(plain_section(first) if first else ()), *plain_card(shown, system)]
    return [*(before_the_card(first) if first else ()), *card_lines(shown, system)]


def forecast_of(
    made: "Plan", path: Path, rings: "Rings | None", system: str, size_mm: tuple[float, float], progress: Progress
) -> "PaperPicture":
    """What a written file will do, as a picture. Raises Refused where nothing lands on the item, or FileTrouble."""
    from rotary.papers.sizes import Sizes
    from rotary.pictures import foretold
    from rotary.services.simulation import simulation

    found = simulation(made, path, rings, FORECAST_DRAWS, progress)
    try:
        return foretold(made, found, Sizes(system), *size_mm)
    except ValueError as trouble:
        raise refuse("", f"{trouble}; check that the file was drawn for this item.") from None


FORECAST_DRAWS: Final = 200


def _run_today(repeat: "Repeat", run: "AsRun", beside: Path) -> "AsRun":
    """The numbers that were run, with the files of today's artwork."""
    from rotary.services.actions import actions_of_repeat

    return run.model_copy(update={"actions": actions_of_repeat(repeat, beside)})


def _repeat_card(repeat: "Repeat", run: "AsRun", order: PrintOrder, ending: str) -> PaperFiles:
    from rotary.repeat.paper import repeat_paper

    run = _run_today(repeat, run, order.beside)
    return _finish(order, ending, lambda high: repeat_paper(repeat, run, order.system, order.day, high), one_page=True)


def _setup_card(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.card import before_the_card, card_lines
    from rotary.card.paper import BEHIND_MM, PICTURE_MM, card_by_height
    from rotary.repeat.telling import banner_over, section_before_card
    from rotary.services.files import with_real_sheet
    from rotary.store.readings import readings_in

    first = section_before_card(order.repeat, order.system) if order.repeat else None
    made = with_real_sheet(made, order.beside)
    rings, trouble = outlines(made, order.beside)
    progress(0.4)
    seen = window_taught(made, readings_in(order.folder))
    told = None
    if order.forecast is not None:
        size = (PICTURE_MM[1], BEHIND_MM)
        told = forecast_of(made, order.forecast, rings, order.system, size, lambda share: progress(0.4 + 0.4 * share))
    progress(0.8)

    card_of = card_by_height(made, order.system, order.day, rings, (), seen, told, first)

    def paper(high: float) -> "Paper":
        card = card_of(high)
        return card if order.repeat is None else banner_over(card, order.repeat)

    return _finish(
        order,
        ending,
        paper,
        lambda: [*before_the_card(first), *card_lines(made, order.system, order.day)],
        one_page=True,
        says=(trouble,) if trouble else (),
    )


def _proof_patch(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.card.patch_paper import patch_paper
    from rotary.store.patch import PatchWish

    day = order.day or date.today()
    wish = PatchWish(again=order.patch, new=order.new_patch)
    to_mark = next_patch(made.job, order.folder, wish, day=day)
    progress(0.7)
    return _finish(
        order, ending, lambda _: patch_paper(to_mark, made, order.system, day), one_page=True, says=to_mark.says
    )


def _tapes(made: "Plan", order: PrintOrder, ending: str, progress: Progress) -> PaperFiles:
    from rotary.rig.papers import tapes_paper
    from rotary.rig.tapes import tapes

    found = tuple(tapes(made).values())
    progress(0.6)
    return _finish(order, ending, lambda _: tapes_paper(made, found, order.day))


def _wrap_template(made: "Plan", order: PrintOrder, ending: str, _: Progress) -> PaperFiles:
    from rotary.artwork.outfiles import write_file
    from rotary.template import TemplateWish, template

    on: Literal["a4", "letter"] = "a4" if order.on == "A4" else "letter"
    drawn, files = template(made, TemplateWish(paper=on))
    data = next(data for name, data in files.items() if name.endswith(ending))
    write_file(order.path, data, order.sources, order.over != "no")
    sheets = f", {drawn.sheets[on]} sheets of {order.on}" if ending == ".pdf" else ", in one piece"
    says = f"{drawn.kind}, {drawn.wide_mm:.1f} by {drawn.high_mm:.1f} mm{sheets}; print it without scaling"
    return PaperFiles((order.path,), (says, *drawn.notes))


def template_files(
    made: "Plan", to: Path, wish: "TemplateWish", sources: Sequence[Path] = (), over: bool = False
) -> PaperFiles:
    """Write the wrap template: one file as its name ends, or all of them into a folder. Raises FileTrouble."""
    from rotary.artwork.outfiles import write_file
    from rotary.template import template, wrap_template

    if not to.suffix:
        drawn, paths = wrap_template(made, to, wish, over)
    else:
        drawn, files = template(made, wish)
        data = next(data for name, data in files.items() if name.endswith(to.suffix.lower()))
        write_file(to, data, sources, over)
        paths = (to,)
    says = f"{drawn.kind}, {drawn.wide_mm:.1f} by {drawn.high_mm:.1f} mm; print it without scaling"
    return PaperFiles(tuple(paths), (says, *drawn.notes))


def picture_file(made: "Plan", view: str, order: PrintOrder, progress: Progress = lambda _: None) -> list[str]:
    """Write one picture by itself, at true size; what it shows. Raises Refused, FileTrouble."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import ending_of, picture_document
    from rotary.pictures import picture
    from rotary.store.readings import readings_in

    ending = ending_of(order.path)
    rings, trouble = outlines(made, order.beside) if view in ("unrolled", "forecast") else (None, "")
    if order.forecast is not None:
        drawn = forecast_of(made, order.forecast, rings, order.system, (160.0, 110.0), progress)
    else:
        seen = window_taught(made, readings_in(order.folder)) if view == "window" else None
        drawn = picture(made, view, order.system, rings=rings, seen=seen)
    write_file(order.path, picture_document(drawn, ending).data, order.sources, order.over != "no")
    return [f"{drawn.title}: {drawn.says}", *([trouble] if trouble else [])]


def _slice_sheet(made: "Plan", order: PrintOrder, _: str, progress: Progress) -> PaperFiles:
    from rotary.artwork.models import size_texts
    from rotary.sentences.files import run_with
    from rotary.services.files import slice_sheet

    job = made.job
    if not job.artwork.pieces:
        raise refuse("artwork.pieces", "the job names no artwork to draw: choose a drawing, or write a text.")
    ink = ink_for(made, order.beside)
    progress(0.5)
    drawn, paths = slice_sheet(
        made, ink.composition.ink, order.path.parent, None, order.sources, order.over, order.path.stem
    )
    sizes = size_texts(ink.sizes, order.system)
    size = f"{drawn.columns} columns of {drawn.column_mm:g} mm, {drawn.wide_mm:.3f} by {drawn.high_mm:.3f} mm"
    run = run_with(made, drawn.trial, drawn.columns)
    return PaperFiles(paths, (*sizes, size, *drawn.must_show, *run, *drawn.notes))


_MAKERS: Final[dict[PaperName, Callable[["Plan", PrintOrder, str, Progress], PaperFiles]]] = {
    "setup-card": _setup_card,
    "proof-patch": _proof_patch,
    "tapes": _tapes,
    "wrap-template": _wrap_template,
    "slice-sheet": _slice_sheet,
}
