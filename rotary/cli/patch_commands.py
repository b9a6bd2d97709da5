"""Test patches, and what they teach of a coating."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter

from rotary.cli.answers import typed
from rotary.cli.jobs import NamedJob
from rotary.cli.options import CHOICE, HERE, JOB, JobName, Json, Number, Text, Where, group, whole
from rotary.cli.output import OK, over, report, say, say_json, say_lines
from rotary.errors import BadArgument, refuse
from rotary.services import USUAL_DRAWS

if TYPE_CHECKING:
    from rotary.papers.drawing import PaperPicture
    from rotary.passes.learning.reading import Reading
    from rotary.passes.patch.cells import PatchToMark
    from rotary.services.cells import TaughtPlan
    from rotary.store.patch import PatchWish

Note = Annotated[Text, Parameter(help="a remark that is stored with it")]
OnWhat = Literal["scrap", "item"]

app = group("patch", "Test patches, and what they teach of a coating.")


@app.command
def new(
    job: JobName,
    /,
    *,
    cells: Annotated[int | None, whole(4, 16)] = None,
    on: Annotated[OnWhat | None, CHOICE] = None,
    patch: Number | None = None,
    another: bool = False,
    to: Path | None = None,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """Choose the cells of a test patch and save them to be read; print what to mark.

    Example: rotary patch new regatta-bottle --to patch.svg

    :param cells: how many cells, 4 to 16 (9)
    :param on: a flat scrap (if left out), or a slice of the item
    :param patch: print this patch again, as it is stored
    :param another: another patch, even where the same one is still to be read
    :param to: the drawing at true size, as SVG
    """
    from rotary.artwork.outfiles import refuse_file
    from rotary.store.patch import PatchWish

    if patch is not None and (cells or on):
        raise BadArgument(f"patch {patch} has its cells already: leave --cells and --on out, or --patch")
    named = NamedJob(job, where)
    if to is not None:
        refuse_file(to, named.sources, over() != "no")
    return patch_in_lines(named, PatchWish(cells, on, again=patch, new=another), to, json)


def patch_in_lines(named: NamedJob, wish: "PatchWish", to: Path | None = None, json: bool = False) -> int:
    """A patch with its settings, to the output; its drawing to a file where asked for."""
    from datetime import date

    from rotary.artwork.outfiles import write_file
    from rotary.card.patch_paper import patch_paper
    from rotary.papers.text import text_lines
    from rotary.passes.patch.cells import named_patch
    from rotary.passes.patch.drawing import patch_svg
    from rotary.services.patches import next_patch
    from rotary.services.planning import plan_for
    from rotary.store.readings import readings_in

    job, where = named.on_machine(), named.where
    if wish.again is not None:
        with typed():
            named_patch(wish.again, readings_in(where.profiles), job.item, job.head)
    to_mark = next_patch(job, where.profiles, wish, max(where.samples, USUAL_DRAWS))
    if to is not None:
        write_file(to, patch_svg(to_mark.record).encode("utf-8"), named.sources, over() != "no")
    if json:
        return say_json(patch_data(to_mark))
    made = plan_for(job, where.folders, 0)
    say("\n".join(text_lines(patch_paper(to_mark, made, where.system, date.today()))) + "\n")
    number = to_mark.record.name.removeprefix("patch ")
    how = f"rotary patch record {named.name} --patch {number} 1=coating-left,clean 2=residue ..."
    report(f"  - {text}" for text in to_mark.says)
    return report(["", f"The cells are saved. When they are marked: {how}"])


def patch_data(to_mark: "PatchToMark") -> dict[str, Any]:
    """A patch with every look at every cell as it is stored: the unit of each number stands in its name."""
    looks = [look.model_dump(mode="json", by_alias=False) for look in to_mark.record.looks]
    rest = {name: value for name, value in to_mark._asdict().items() if name != "record"}
    return {"patch": to_mark.record.name, **rest, "readings": looks}


@app.command
def record(
    job: JobName,
    /,
    *seen: Annotated[str, Parameter(name="CELL=SEEN", help="a cell and what was seen at each look, with commas")],
    patch: Number | None = None,
    note: Note = "",
    where: Where = HERE,
) -> int:
    """Record what was seen in the cells of a patch, and say what it taught.

    The words are coating-left, residue, clean, heat-tint, engraved; not-read takes one back.

    Example: rotary patch record regatta-bottle 1=coating-left,clean 2=clean 3=residue,engraved

    :param patch: which patch (if left out, the one that is still to be read)
    """
    from rotary.services.cells import cells_recorded, taught
    from rotary.store.readings import readings_in

    if not seen:
        raise BadArgument("CELL=SEEN is missing: write what was seen, for example 1=coating-left,clean 2=clean")
    named = NamedJob(job, where)
    part = named.on_machine()
    with typed():
        say_lines([*cells_recorded(part, where.profiles, seen, patch, note), ""])
    return say_taught(taught(part, readings_in(where.profiles), where.samples))


def say_taught(what: "TaughtPlan") -> int:
    """Assumptions before and after, and the plan without readings and with them."""
    from rotary.papers.lines import wrapped
    from rotary.passes.learning.coating import taught_rows
    from rotary.sentences.patches import taught_lines

    if what.learned is not None:
        say("\n".join(taught_lines(taught_rows(what.learned), what.learned.readings)) + "\n\n")
    for name, line in what.lines:
        say("\n".join(wrapped(f"{name}: {line}")) + "\n")
    return OK


@app.command(name="list")
def list_(
    job: Annotated[
        str | None, JOB, Parameter(name="JOB", help="a job whose plan is told with and without them")
    ] = None,
    /,
    *,
    window: Path | None = None,
    assumptions: Path | None = None,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """List what was read in test patches; with a job, what it teaches.

    Example: rotary patch list regatta-bottle --window window.svg

    :param window: with a job: draw what works and what does not with the readings, as SVG
    :param assumptions: with a job: draw the assumptions before and after, as SVG
    """
    from rotary.sentences.patches import reading_lines
    from rotary.services.cells import taught
    from rotary.store.readings import readings_in

    readings = readings_in(where.profiles)
    if json:
        return say_json([one.model_dump(mode="json", by_alias=False) for one in readings])
    if job is None and (window or assumptions):
        raise BadArgument("a picture is drawn for a job: write rotary patch list JOB --window FILE")
    if not readings:
        return say_lines([f"no readings are saved in {where.profiles} yet; mark a patch with: rotary patch new JOB"])
    say("\n".join(reading_lines(readings)) + "\n")
    if job is None:
        return OK
    named = NamedJob(job, where)
    what = taught(named.on_machine(), readings, where.samples)
    say("\n")
    say_taught(what)
    return _drawn(named, readings, what, window, assumptions)


def _drawn(
    named: NamedJob, readings: "tuple[Reading, ...]", what: "TaughtPlan", window: Path | None, assumptions: Path | None
) -> int:
    """The pictures asked for: what works with the readings in it, the assumptions before and after."""
    from rotary.passes.learning.coating import taught_rows
    from rotary.pictures import picture
    from rotary.pictures.taught import taught_picture
    from rotary.services.patches import window_taught

    if window:
        made = named.plan()
        drawing = picture(made, "window", wide=160.0, high=100.0, seen=window_taught(made, readings))
        _write(drawing, window, named)
    if assumptions:
        if what.learned is None:
            raise refuse("", "no reading of this coating teaches anything yet: read a patch first.")
        _write(taught_picture(taught_rows(what.learned), what.learned.readings), assumptions, named)
    return OK


def _write(drawing: "PaperPicture", to: Path, named: NamedJob) -> None:
    from rotary.artwork.outfiles import write_file
    from rotary.papers.svg import svg_text

    write_file(to, svg_text(drawing).encode("utf-8"), named.sources, over() != "no")


@app.command
def ignore(
    number: Annotated[
        Number | None, Parameter(name="N", help="the reading's number, as rotary patch list says")
    ] = None,
    job: Annotated[str | None, JOB, Parameter(name="JOB", help="a job whose plan is told before and after")] = None,
    /,
    *,
    patch: Number | None = None,
    undo: bool = False,
    where: Where = HERE,
) -> int:
    """Leave a reading out: it teaches nothing more, and stays on file.

    Example: rotary patch ignore 3

    :param patch: in place of a reading: nothing more will be read of this patch
    :param undo: let the reading count again
    """
    from rotary.sentences.patches import reading_lines
    from rotary.services.cells import taught
    from rotary.store.readings import close_patch, readings_in, strike

    if (number is None) == (patch is None):
        raise BadArgument("say which: the number of a reading, or a patch after --patch")
    earlier = readings_in(where.profiles)
    with typed():
        if patch is not None:
            close_patch(f"patch {patch}", where.profiles)
        if number is not None:
            strike(number, where.profiles, struck=not undo)
    now = readings_in(where.profiles)
    report(reading_lines(now))
    if job is None:
        return OK
    report([""])
    return say_taught(taught(NamedJob(job, where).on_machine(), now, where.samples, ("before that", earlier)))
