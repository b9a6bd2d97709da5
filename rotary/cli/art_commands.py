"""Files for the marking program, and what a written file will do."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli.answers import wish_of
from rotary.cli.jobs import NamedJob
from rotary.cli.options import (
    AS_DRAWN,
    CHOICE,
    HERE,
    Face,
    Headings,
    JobName,
    Json,
    OtherArtwork,
    Typed,
    Where,
    group,
)
from rotary.cli.output import over, report, report_files, say_json, say_lines
from rotary.cli.pieces import Pieces
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, brief
from rotary.services.drawing import DrawOrder

if TYPE_CHECKING:
    from rotary.plan import Plan

DRAWINGS: Final = {"sheet": (".svg", ".dxf"), "plain": (".svg",), "": (".png",)}
"""In which kinds of file each way of drawing can be written alone."""
MOST_SIMULATED: Final = 2000
USUAL_SIMULATED: Final = 200
"""A simulation takes longer than a plan, and its figures change less with more samples."""

ToFlat = Annotated[Path, Parameter(help="the folder to write into, or one drawing: crest.svg")]

app = group("art", "Files for the marking program, and what they will do.")


def _plan(pieces: Pieces, to: Path, method: str = "") -> "Plan":
    """The plan to draw, once it is sure that it may be written where it was asked for."""
    from rotary.artwork.outfiles import refuse_file, refuse_folder
    from rotary.artwork.sets import refuse_earlier

    if is_drawing(to, method):
        refuse_file(to, pieces.job.sources, over() != "no")
    else:
        refuse_folder(to)
        job = pieces.job.job()
        refuse_earlier(to, pieces.name(job.artwork), over(), pieces.sources(job))
    return pieces.job.plan_to_draw(method)


def is_drawing(to: Path, method: str) -> bool:
    """Whether a drawing is asked for, and no folder of them."""
    return to.suffix.lower() in DRAWINGS[method] and not to.is_dir()


def _order(pieces: Pieces, made: "Plan", to: Path, method: str) -> DrawOrder:
    folder, stem = (to.parent, to.stem) if is_drawing(to, method) else (to, "")
    return DrawOrder(folder, stem, pieces.sources(made.job), over(), pieces.job.where.system)


@app.command(name="slice")
def slice_(
    job: JobName,
    /,
    *,
    to: Annotated[Path, Parameter(help="the folder to write into, or one drawing: crest.svg, crest.dxf")],
    other: OtherArtwork = AS_DRAWN,
    files: bool = False,
    dxf: bool = False,
    marked_width: Typed = None,
    overlap: Typed = None,
    more_slices: bool = False,
    unslid: bool = False,
    where: Where = HERE,
) -> int:
    """Write the sliced file: the artwork redrawn slice by slice so that it lands true.

    Example: rotary art slice bottle.toml --art crest.svg --to slices

    :param files: a file for each slice, all with the same border
    :param dxf: DXF in place of SVG, a layer for each slice
    :param marked_width: width of one marked line as measured, "0.09 mm"
    :param overlap: how far neighbouring slices overlap, "0.02 mm"
    :param more_slices: two blank slices more for the seams to slide in
    :param unslid: leave the seams where they fall, even across ink
    """
    from rotary.services.drawing import sliced_files
    from rotary.sheet import SheetWish

    pieces = Pieces.of(NamedJob(job, where), other)
    if is_drawing(to, "sheet") and (files or dxf):
        raise BadArgument("--files and --dxf write several drawings: name a folder after --to")
    given = {"arrangement": "a-file-a-slice" if files else "one-sheet", "more_columns": 2 if more_slices else 0}
    wish = wish_of(SheetWish, given | {"marked_width": marked_width, "overlap": overlap, "slide": not unslid})
    made = _plan(pieces, to, "sheet")
    ink = pieces.ink(made)
    with waiting("drawing the slices"):
        drawn = sliced_files(pieces.named(made), ink, _order(pieces, made, to, "sheet"), wish, dxf)
    return report_files(*drawn[:2], drawn.says)


@app.command
def flat(job: JobName, /, *, to: ToFlat, other: OtherArtwork = AS_DRAWN, where: Where = HERE) -> int:
    """Write the artwork flat, corrected for the item alone, for equal slices.

    Example: rotary art flat bottle.toml --art crest.svg --to flat
    """
    from rotary.services.drawing import flat_files

    pieces = Pieces.of(NamedJob(job, where), other)
    made = _plan(pieces, to, "plain")
    ink = pieces.ink(made)
    with waiting("drawing the artwork"):
        drawn = flat_files(pieces.named(made), ink, _order(pieces, made, to, "plain"))
    return report_files(*drawn[:2], drawn.says)


@app.command
def dots(
    job: JobName,
    image: Path,
    /,
    *,
    to: Annotated[Path, Parameter(help="the folder to write into, or one picture: crest.png")],
    mark: Annotated[Literal["lighter", "darker"] | None, CHOICE] = None,
    greys: bool = False,
    files: bool = False,
    where: Where = HERE,
) -> int:
    """Write a photograph or a grey picture as a sheet of dots.

    Example: rotary art dots bottle.toml heron.png --to slices --mark lighter

    :param image: a PNG, JPEG or TIFF file
    :param mark: whether a marked place is lighter or darker
    :param greys: greys in place of dots
    :param files: a file for each slice
    """
    from rotary.exports import RasterWish
    from rotary.services.drawing import dot_files

    pieces = Pieces(NamedJob(job, where), art=(image,))
    arrangement: Literal["a-file-a-slice", "one-sheet"] = "a-file-a-slice" if files else "one-sheet"
    wish = RasterWish(mark=mark, tone="greys" if greys else "dots", arrangement=arrangement)
    if is_drawing(to, "") and files:
        raise BadArgument("--files writes several drawings: name a folder after --to")
    made = _plan(pieces, to)
    with waiting("drawing the dots") as tell:
        drawn = dot_files(made, image, _order(pieces, made, to, ""), wish, tell)
    return report_files(*drawn[:2], drawn.says)


@app.command
def names(
    job: JobName,
    table: Annotated[Path, Parameter(name="CSV", help="the list, with a line of headings")],
    /,
    *,
    to: Annotated[Path, Parameter(help="a new folder to write into")],
    column: str | None = None,
    headings: Headings = None,
    letters: Typed = None,
    room: Typed = None,
    least: Typed = None,
    up: Typed = None,
    face: Face | None = None,
    font: str | None = None,
    where: Where = HERE,
) -> int:
    """Write a sliced file for each name of a list, under the artwork that the job has; misfits come first.

    Example: rotary art names bottle.toml crew.csv --to crew --column name

    :param column: the heading of the column of names, where there are several
    :param letters: height of a capital (8 mm), "9 mm"
    :param room: how wide a name may be (the artwork's width)
    :param least: how far a long name may be set smaller (60 %), "80 %"
    :param up: height of a name's middle over the artwork's middle, signed
    :param face: outlines or single strokes: outline, line-sans, line-roman, line-script
    :param font: a TTF or OTF file
    """
    from rotary.artwork.outfiles import refuse_folder
    from rotary.cli.name_lists import series_lines
    from rotary.series import SeriesWish
    from rotary.series.results import refuse_full

    given = {"column": column, "headings": headings, "letters": letters, "room": room, "least": least, "up": up}
    wish = wish_of(SeriesWish, given | {"face": face, "font": font}, {"letters": "letter_height", "up": "v"})
    refuse_folder(to)
    refuse_full(to, "series")
    with waiting("drawing the names") as tell:
        return report(series_lines(NamedJob(job, where), table, to, wish, tell))


@app.command
def check(
    job: JobName,
    file: Path,
    /,
    *,
    to: Annotated[Path | None, Parameter(help="draw it too, as SVG")] = None,
    other: OtherArtwork = AS_DRAWN,
    json: Json = False,
    where: Annotated[Where, Parameter(name="*")] = HERE,
) -> int:
    """Say what a written file, or a folder of slice files, will do on this item.

    Example: rotary art check bottle.toml slices/crest-sliced.svg --to forecast.svg

    :param file: the written file, or the folder of slice files
    """
    from rotary.artwork.models import size_texts
    from rotary.artwork.outfiles import refuse_file
    from rotary.services.simulation import forecast_picture, simulation_of_files

    pieces = Pieces.of(NamedJob(job, where), other)
    if to is not None:
        refuse_file(to, (file, *pieces.job.sources), over() != "no")
    made = pieces.job.plan_to_draw()
    rings = None
    sizes: tuple[str, ...] = ()
    if pieces.art or pieces.texts or made.job.artwork.pieces:
        ink = pieces.ink(made)
        rings, sizes = ink.composition.ink, size_texts(ink.sizes, where.system)
    samples = min(where.samples, MOST_SIMULATED) if where.samples != HERE.samples else USUAL_SIMULATED
    with waiting("sending it through the machine") as tell:
        if to is None:
            simulated = simulation_of_files(made, file, rings, samples, tell)
        else:
            simulated = forecast_picture(made, file, to, rings, samples, tell, over() != "no")
    if json:
        return say_json(simulated.model_dump(mode="json"))
    wrote = [f"  wrote {brief(to, 200)}"] if to else []
    return say_lines(["What will happen", *wrote, *(f"  - {line}" for line in (*sizes, *simulated.says))])
