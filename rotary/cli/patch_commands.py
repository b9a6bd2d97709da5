"""Test patches, and their readings."""

from datetime import date, datetime
from typing import Annotated, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import JobIfAny, NamedJob
from rotary.cli.options import Where, group, options
from rotary.cli.output import OK, json_text, refuse_svg, report, say, typed, write
from rotary.cli.values import CHOICE, JOB, File, Json, Note, Number, whole
from rotary.errors import BadArgument
from rotary.services import USUAL_DRAWS


@options
class WhichPatch:
    """A saved patch, or a new one.

    :param patch: the number of a saved patch, to print it again
    :param another: make one more patch, although you have not recorded the last one
    """

    patch: Number | None = None
    another: bool = False


def new(
    job: NamedJob,
    which: WhichPatch,
    cells: Annotated[int | None, whole(4, 16)] = None,
    on: Annotated[Literal["scrap", "item"] | None, CHOICE] = None,
    to: File | None = None,
    json: Json = False,
) -> int:
    """Make a test patch: rotary chooses its cells, saves them and prints what to mark.

    Example: rotary patch new regatta-bottle --to patch.svg

    :param cells: how many cells, 4 to 16 (9 if left out)
    :param on: where you mark the patch: scrap (a flat one; you get this if you leave --on out) or item (a hidden place
        on the item)
    :param to: also draw the cells at true size into this file: a name ending in .svg
    """
    if which.patch is not None and (cells or on):
        raise BadArgument(
            f"the cells of patch {which.patch} are saved already: leave out --cells and --on, or leave out --patch"
        )
    refuse_svg(to, job.sources)
    part, wish = job.on_machine(), core.patch.PatchWish(cells, on, again=which.patch, new=which.another)
    with typed({"patch": "patch", "surface": "--on"}):
        to_mark = core.patches.next_patch(part, job.profiles, wish, max(job.samples, USUAL_DRAWS))
    axis = part.laser.field_axis
    drawn = write(to, core.patch_drawing.patch_svg(to_mark.record, axis), job.sources) if to is not None else []
    if json:
        return say(json_text(to_mark.data))
    say(core.text.text_lines(core.cells_paper.patch_paper(to_mark, job.planned(part, 0), job.system, date.today())))
    number = to_mark.record.name.removeprefix("patch ")
    says = [f"  - {text}" for text in to_mark.says]
    how = f"rotary patch record {job.name} --patch {number} 1=coating-left,clean 2=residue"
    means = "In this example cell 1 showed coating left at the first look and clean at the second, cell 2 residue."
    return report([*says, "", *drawn, f"To enter what you see, type for example: {how}", means])


def record(
    job: NamedJob,
    /,
    *seen: Annotated[str, Parameter(name="CELL=SEEN")],
    patch: Number | None = None,
    gap: Annotated[int | None, whole(0, 99)] = None,
    note: Note = "",
) -> int:
    """Record what you saw in the cells of a patch, and show how the plan changes.

    Use the words coating-left, residue, clean, heat-tint and engraved. To take back what you recorded for cell 3, type
    3=not-read.

    Example: rotary patch record regatta-bottle 1=coating-left,clean 2=clean 3=residue,engraved

    :param seen: the number of a cell, then =, then what you saw at each look, with commas between
    :param patch: the number of the patch (if left out, the patch that you have not recorded yet)
    :param gap: instead of cells, for a gap ladder: the number of the widest gap that closed
    """
    if gap is not None:
        if seen or patch or note:
            raise BadArgument("--gap is only for a gap ladder: leave out cells, --patch and --note")
        return _gap(job, gap)
    if not seen:
        raise BadArgument(
            "CELL=SEEN is missing: write what you saw in each cell, for example 1=coating-left,clean 2=clean"
        )
    part = job.on_machine()
    with typed():
        say([*core.cells.record_cells(part, job.profiles, seen, patch, note), ""])
    return say_taught(taught(job))


def _gap(job: NamedJob, closed: int) -> int:
    """Record which gap of the ladder was the widest that closed."""
    at = job.measured(begins=job.machine is None)
    plan, name = job.planned(at.corrected), at.machine.name
    if not plan.seams.seams:
        raise BadArgument("no slices meet on this item, so it needs no gap ladder")
    with typed({"reading.closed": "--gap"}):
        core.machines.record_gap_ladder(plan, closed, name, datetime.now().astimezone(), at.folder)
    lines = core.seams.notes(job.planned(job.measured().corrected))
    return report([*lines, f"saved gap {closed} in {core.machine_files.machine_path(name, at.folder)}"])


def taught(
    job: NamedJob, earlier: "tuple[str, tuple[core.reading.Reading, ...]] | None" = None
) -> "core.cells.TeachingResult":
    """What the readings teach of a job's coating."""
    return core.cells.teaching_result(job.on_machine(), core.readings.readings_in(job.profiles), job.samples, earlier)


def say_taught(what: "core.cells.TeachingResult", estimates: bool = False) -> int:
    """The plan without readings and with them; then, if asked for, what rotary assumes before and after."""
    say(line for name, line in what.lines for line in core.lines.wrapped(f"{name}: {line}"))
    if estimates and what.learned is not None:
        say(["", *core.patch_words.belief_change_lines(what.rows, what.learned.readings)])
    return OK


def list_(job: JobIfAny, window: File | None = None, assumptions: File | None = None, json: Json = False) -> int:
    """List the readings of test patches. Name a job to compare its plan without these readings and with them.

    Example: rotary patch list regatta-bottle --window window.svg

    :param window: with a job: the .svg file into which to draw which settings work
    :param assumptions: with a job: the .svg file into which to draw rotary's estimates before and after your readings
    """
    if job.name:
        job.job()
    readings = core.readings.readings_in(job.profiles)
    if json:
        return say(json_text([one.model_dump(mode="json", by_alias=False) for one in readings]))
    if not job.name and (window or assumptions):
        raise BadArgument("a picture needs a job: write rotary patch list JOB --window window.svg")
    for picture in (window, assumptions):
        refuse_svg(picture, job.sources)
    if not readings:
        return say([f"you have saved no readings in {job.profiles} yet. To make a test patch: rotary patch new JOB"])
    say(core.patch_words.reading_lines(readings))
    if not job.name:
        return OK
    what = taught(job)
    if assumptions and what.learned is None:
        raise BadArgument(
            "there is no reading yet for this coating and laser: mark a test patch, then write rotary patch record"
        )
    say("\n")
    say_taught(what, estimates=True)
    pictures = {}
    if window:
        pictures[window] = core.patches.window_picture(job.plan(), readings)
    if assumptions and what.learned is not None:
        pictures[assumptions] = core.belief_changes.belief_change_picture(what.rows, what.learned.readings)
    lines = [line for to, drawing in pictures.items() for line in write(to, core.svg.svg_text(drawing), job.sources)]
    return report(["", *lines]) if lines else OK


def ignore(
    number: Annotated[Number | None, Parameter(name="N")] = None,
    job: Annotated[str | None, JOB] = None,
    /,
    *,
    where: Where,
    patch: Number | None = None,
    undo: bool = False,
) -> int:
    """Ignore a reading: plans no longer use it, but it stays saved.

    Example: rotary patch ignore 3

    :param number: the number of the reading, from rotary patch list
    :param job: also show the plan of this job with the reading and without it
    :param patch: instead of a reading: the number of a patch that you won't record any further
    :param undo: use the reading again
    """
    if (number is None) == (patch is None):
        raise BadArgument("write what to ignore: the number of a reading, or --patch and the number of a patch")
    shown = None if job is None else NamedJob(**{**vars(where), "name": job})
    if shown is not None:
        shown.job()
    earlier = core.readings.readings_in(where.profiles)
    with typed():
        if patch is not None:
            core.readings.close_patch(f"patch {patch}", where.profiles)
        if number is not None:
            core.readings.strike(number, where.profiles, ignored=not undo)
    done = f"plans use reading {number} again" if undo else f"plans no longer use reading {number}"
    done = done if patch is None else f"patch {patch} is closed: rotary asks for no more of its cells"
    report([done, *([""] if job else [])])
    return OK if shown is None else say_taught(taught(shown, ("plan before", earlier)))


app = group(new, record, list_, ignore)
