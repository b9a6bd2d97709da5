"""Files for the marking program, and what a written file will do."""

from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.inscribe_command import write_words
from rotary.cli.jobs import NamedJob, Pieces
from rotary.cli.options import group, options, texts
from rotary.cli.output import (
    answer,
    refuse_file,
    refuse_svg,
    report,
    report_files,
    said_yes,
    typed,
    waiting,
    wish_of,
    wrote,
)
from rotary.cli.values import CHOICE, Face, File, Headings, Json, Typed
from rotary.errors import BadArgument, brief
from rotary.files import is_folder
from rotary.services import USUAL_DRAWS

DRAWINGS: Final = {"sliced": (".svg", ".dxf"), "flat": (".svg",), "": (".png",)}
"""In which kinds of file each way of drawing can be written alone."""
ARRANGED: Final[dict[bool, Literal["a-file-a-slice", "one-sheet"]]] = {True: "a-file-a-slice", False: "one-sheet"}
MOST_SIMULATED: Final = 2000
USUAL_SIMULATED: Final = 200
"""A simulation takes longer than a plan, and its figures change less with more samples."""


def _is_drawing(to: Path, method: str) -> bool:
    """Whether a drawing is asked for, and no folder of them."""
    return to.suffix.lower() in DRAWINGS[method] and not is_folder(to)


def _to_draw(pieces: Pieces, to: Path, method: str = "") -> "tuple[core.plan.Plan, core.drawing.DrawOrder]":
    """The plan to draw and where, once it is sure that it may be written where it was asked for."""
    alone = _is_drawing(to, method)
    if alone:
        refuse_file(to, pieces.sources)
    else:
        core.outfiles.refuse_folder(to, DRAWINGS[method])
        job = pieces.job()
        core.sets.refuse_earlier(to, job.artwork.name, said_yes.get(), pieces.drawings_of(job))
    plan = pieces.plan_to_draw(method)
    folder, stem = (to.parent, to.stem) if alone else (to, "")
    return plan, core.drawing.DrawOrder(folder, stem, pieces.drawings_of(plan.job), said_yes.get(), pieces.system)


@options
class SlicesAsked:
    """How the slices of a sliced file are drawn.

    :param marked_width: how wide one marked line is on the item, as you measured it, like "0.09 mm"
    :param overlap: how far to let neighbouring slices overlap, like "0.02 mm"
    :param more_slices: add two blank slices, so that rotary can move seams off the dark parts of the artwork
    :param unslid: don't move the seams, even if they cross dark parts of the artwork
    """

    marked_width: Typed = None
    overlap: Typed = None
    more_slices: bool = False
    unslid: bool = False


def slice_(job: Pieces, how: SlicesAsked, to: File, files: bool = False, dxf: bool = False) -> int:
    """Write the sliced file: rotary redraws the artwork slice by slice, so that it comes out undistorted.

    Example: rotary art slice bottle.toml --art crest.svg --to slices

    :param to: the folder to write into, or one drawing, like crest.svg or crest.dxf
    :param files: write a file for each slice, all with the same page size (not the --files of rotary open)
    :param dxf: write DXF instead of SVG, with a layer for each slice
    """
    if _is_drawing(to, "sliced") and (files or dxf):
        raise BadArgument("--files and --dxf need a folder: name a folder after --to, like --to slices")
    drawn = {"arrangement": ARRANGED[files], "more_columns": 2 * how.more_slices, "slide": not how.unslid}
    wish = wish_of(core.sheet.SheetWish, {"marked_width": how.marked_width, "overlap": how.overlap, **drawn})
    if job.job().is_inscribed:
        if dxf:
            raise BadArgument("rotary writes no DXF file of a job's words: leave --dxf out to get SVG")
        return write_words(job, to, "sliced", wish)
    plan, order = _to_draw(job, to, "sliced")
    ink = job.ink(plan)
    with waiting("drawing the slices"):
        return report_files(*core.drawing.sliced_files(plan, ink, order, wish, dxf))


def flat(job: Pieces, to: File) -> int:
    """Write the flat file: artwork corrected for the item. Your program divides the file into equal slices.

    Example: rotary art flat bottle.toml --art crest.svg --to flat

    :param to: the folder to write into, or one drawing, like crest.svg
    """
    if job.job().is_inscribed:
        return write_words(job, to, "flat")
    plan, order = _to_draw(job, to, "flat")
    ink = job.ink(plan)
    with waiting("drawing the artwork"):
        return report_files(*core.drawing.flat_files(plan, ink, order))


def dots(
    job: NamedJob,
    image: File,
    /,
    to: File,
    mark: Annotated[Literal["lighter", "darker"] | None, CHOICE] = None,
    greys: bool = False,
    files: bool = False,
) -> int:
    """Write a photograph or a grey picture as dots that your laser can mark.

    Example: rotary art dots bottle.toml heron.png --to slices --mark lighter

    :param to: the folder to write into, or one picture, like crest.png
    :param image: your picture: a PNG, JPEG or TIFF file
    :param mark: lighter or darker: how marks look beside the unmarked surface
    :param greys: write shades of grey instead of dots, if your program can mark them
    :param files: write a file for each slice
    """
    if _is_drawing(to, "") and files:
        raise BadArgument("--files needs a folder for its drawings: name one after --to, like --to slices")
    wish = core.exports.RasterWish(mark=mark, tone="greys" if greys else "dots", arrangement=ARRANGED[files])
    plan, order = _to_draw(Pieces(**vars(job), art=[image]), to)
    with waiting("drawing the dots") as tell, typed({"artwork.file": brief(image.name)}):
        return report_files(*core.drawing.dot_files(plan, image, order, wish, tell))


@options
@texts("column letters room least up font")
class NamesAsked:
    """How a list of names is read, and how the names are drawn.

    :param column: the heading of the column with the names, if the list has several columns
    :param letters: height of a capital letter, like "9 mm" (8 mm if left out)
    :param room: the greatest width of a name, like "60 mm" (if left out, the artwork's width)
    :param least: the smallest letters of a long name, in per cent of --letters, like "80 %" (60 % if left
        out)
    :param up: how far the middle of each name lies above the artwork's middle (towards the rim), like "5 mm" ("-5 mm"
        is below)
    :param face: outline (filled letters), or letters of single strokes: line-sans, line-roman or line-script
    :param font: the font for the names: a TTF or OTF file
    """

    headings: Headings = None
    face: Face = None


def names(job: NamedJob, table: Annotated[File, Parameter(name="CSV")], /, to: File, how: NamesAsked) -> int:
    """Write a sliced file for each name on a list, with the job's artwork. Names that don't fit are shown first.

    Example: rotary art names bottle.toml crew.csv --to crew --column name

    :param table: the file with your list: one name per line
    :param to: a new folder to write into
    """
    wish = wish_of(core.series.SeriesWish, vars(how), {"letters": "letter_height", "up": "v"})
    core.outfiles.refuse_folder(to)
    core.results.refuse_full(to, "names")
    of_line = {"column": "", "headings": "--headings", "table": brief(table.name), "font": "--font"}
    with waiting("drawing the names") as tell, typed(of_line):
        plan = job.plan_to_draw()
        crest, sizes = core.artwork.outlines_of(plan, job.drawings, job.system)
        result, paths = core.series.series(plan, table, to, wish, crest, progress=tell)
    misfits = [one for one in result.entries if one.state == "misfit"]
    high = core.sizes.Sizes(job.system).length(wish.letter_height_mm)
    return report([
        *core.results.misfit_lines(misfits),
        f"{len(result.entries) - len(misfits)} of {len(result.entries)} names fit",
        f"  wrote {len(paths)} files to {brief(to, 200)}. The list of all names is {result.table} in that folder",
        *(f"  - {line}" for line in sizes),
        f"  - Capital letters are at most {high} high. To change that, use --letters.",
        *(f"  - {line}" for line in result.notes),
    ])  # fmt: skip


def check(job: Pieces, file: File, /, to: File | None = None, json: Json = False) -> int:
    """Simulate a file, or a folder of slice files: see where the marks will land on this item.

    Example: rotary art check bottle.toml slices/crest-sliced.svg --to simulation.svg

    :param to: also draw the marks into this file: a name ending in .svg
    :param file: the file that rotary wrote, or the folder of slice files
    """
    refuse_svg(to, (file, *job.sources))
    words = job.job().is_inscribed and job.repeat() is None
    plan = job.plan_of_marks() if words else job.plan_to_draw()
    rings, sizes = job.marks(plan) if words or plan.job.artwork.pieces else (None, ())
    samples = min(job.samples, MOST_SIMULATED) if job.samples != USUAL_DRAWS else USUAL_SIMULATED
    with waiting("simulating the marks") as tell:
        if to is None:
            simulated = core.simulation.simulation_of_files(plan, file, rings, samples, tell)
        else:
            simulated = core.simulation.forecast_picture(plan, file, to, rings, samples, tell, said_yes.get())
    says = (*sizes, *core.sizes.Sizes(job.system).texts(simulated.says))
    lines = [f"  {line}" for line in (*wrote([to] if to else ()), *(f"- {line}" for line in says))]
    return answer(json, simulated, ["What will be marked", *lines])


app = group(slice_, flat, dots, names, check)
