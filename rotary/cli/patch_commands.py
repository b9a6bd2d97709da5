"""Test patches, and what they teach of a coating."""

from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.answers import refuse_file, typed, write
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, Where, group, options
from rotary.cli.output import OK, report, say, say_json, say_lines
from rotary.cli.values import CHOICE, JOB, JobName, Json, Note, Number, whole
from rotary.errors import BadArgument
from rotary.services import USUAL_DRAWS


@options
class WhichPatch:
    """A patch that is stored, or another.

    :param patch: print this patch again, as it is stored
    :param another: another patch, even where the same one is still to be read
    """

    patch: Number | None = None
    another: bool = False


THE_NEXT: Final = WhichPatch()


def new(
    job: JobName,
    /,
    *,
    cells: Annotated[int | None, whole(4, 16)] = None,
    on: Annotated[Literal["scrap", "item"] | None, CHOICE] = None,
    which: WhichPatch = THE_NEXT,
    to: Path | None = None,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """Choose the cells of a test patch and save them to be read; print what to mark.

    Example: rotary patch new regatta-bottle --to patch.svg

    :param cells: how many cells, 4 to 16 (9)
    :param on: a flat scrap (if left out), or a slice of the item
    :param to: the drawing at true size, as SVG
    """
    if which.patch is not None and (cells or on):
        raise BadArgument(f"patch {which.patch} has its cells already: leave --cells and --on out, or --patch")
    named = NamedJob(job, where)
    refuse_file(to, named.sources)
    return patch_in_lines(named, core.PatchWish(cells, on, again=which.patch, new=which.another), to, json)


def patch_in_lines(named: NamedJob, wish: "core.PatchWish", to: Path | None = None, json: bool = False) -> int:
    """A patch with its settings, to the output; its drawing to a file where asked for."""
    job, where = named.on_machine(), named.where
    if wish.again is not None:
        with typed():
            core.named_patch(wish.again, core.readings.readings_in(where.profiles), job.item, job.laser)
    to_mark = core.patches.next_patch(job, where.profiles, wish, max(where.samples, USUAL_DRAWS))
    drawn = write(to, core.patch_svg(to_mark.record), named.sources) if to is not None else []
    if json:
        return say_json(patch_data(to_mark))
    paper = core.patch_paper(to_mark, named.planned(job, 0), where.system, date.today())
    say("\n".join(core.text.text_lines(paper)) + "\n")
    number = to_mark.record.name.removeprefix("patch ")
    how = f"rotary patch record {named.name} --patch {number} 1=coating-left,clean 2=residue ..."
    report([*(f"  - {text}" for text in to_mark.says), "", *drawn])
    return report([f"The cells are saved. When they are marked: {how}"])


def patch_data(to_mark: "core.PatchToMark") -> dict[str, Any]:
    """A patch with every look at every cell as it is stored: the unit of each number stands in its name."""
    looks = [look.model_dump(mode="json", by_alias=False) for look in to_mark.record.looks]
    rest = {name: value for name, value in to_mark._asdict().items() if name != "record"}
    return {"patch": to_mark.record.name, **rest, "readings": looks}


def record(
    job: JobName,
    /,
    *seen: Annotated[str, Parameter(name="CELL=SEEN")],
    patch: Number | None = None,
    gap: Annotated[int | None, whole(0, 99)] = None,
    note: Note = "",
    where: Where = HERE,
) -> int:
    """Record what was seen in the cells of a patch, and say what it taught.

    The words are coating-left, residue, clean, heat-tint, engraved; not-read takes one back.

    Example: rotary patch record regatta-bottle 1=coating-left,clean 2=clean 3=residue,engraved

    :param seen: a cell and what was seen at each look, with commas
    :param patch: which patch (if left out, the one that is still to be read)
    :param gap: of the gap ladder: the number of the widest gap that closed; it belongs to the machine
    """
    named = NamedJob(job, where)
    if gap is not None:
        return _gap(named, gap, bool(seen or patch or note))
    if not seen:
        raise BadArgument("CELL=SEEN is missing: write what was seen, for example 1=coating-left,clean 2=clean")
    part = named.on_machine()
    with typed():
        say_lines([*core.cells.cells_recorded(part, where.profiles, seen, patch, note), ""])
    return say_taught(core.cells.taught(part, core.readings.readings_in(where.profiles), where.samples))


def _gap(named: NamedJob, closed: int, more: bool) -> int:
    """Record which gap of the ladder was the widest that closed."""
    if more:
        raise BadArgument("--gap is what a gap ladder shows, not a patch: leave cells, --patch and --note out")
    at = named.measured(begins=named.where.machine is None)
    with typed({"reading.closed": "--gap"}):
        plan = named.planned(at.corrected)
        if not plan.seams.seams:
            raise BadArgument("no slices meet on this item: a gap ladder shows nothing of it")
        core.machines.record_gap_ladder(plan, closed, at.machine.name, datetime.now().astimezone(), at.folder)
    lines = core.seam_notes(named.planned(named.measured().corrected))
    return report([*lines, f"saved in {core.rig_path(at.machine.name, at.folder)}"])


def say_taught(what: "core.cells.TaughtPlan") -> int:
    """Assumptions before and after, and the plan without readings and with them."""
    if what.learned is not None:
        say("\n".join(core.taught_lines(core.taught_rows(what.learned), what.learned.readings)) + "\n\n")
    return say("".join("\n".join(core.lines.wrapped(f"{name}: {line}")) + "\n" for name, line in what.lines))


def list_(
    job: Annotated[str | None, JOB] = None,
    /,
    *,
    window: Path | None = None,
    assumptions: Path | None = None,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """List what was read in test patches; with a job, what it teaches.

    Example: rotary patch list regatta-bottle --window window.svg

    :param job: a job whose plan is shown with and without them
    :param window: with a job: draw what works and what does not with the readings, as SVG
    :param assumptions: with a job: draw the assumptions before and after, as SVG
    """
    readings = core.readings.readings_in(where.profiles)
    if json:
        return say_json([one.model_dump(mode="json", by_alias=False) for one in readings])
    if job is None and (window or assumptions):
        raise BadArgument("a picture is drawn for a job: write rotary patch list JOB --window FILE")
    named = NamedJob(job or "-", where)
    part = None if job is None else named.on_machine()
    for picture in (window, assumptions):
        refuse_file(picture, named.sources)
    if not readings:
        return say_lines([f"no readings are saved in {where.profiles} yet; mark a patch with: rotary patch new JOB"])
    say("\n".join(core.reading_lines(readings)) + "\n")
    if part is None:
        return OK
    what = core.cells.taught(part, readings, where.samples)
    if assumptions and what.learned is None:
        raise BadArgument("no reading of this coating teaches anything yet: read a patch first")
    say("\n")
    say_taught(what)
    lines = []
    if window:
        plan = named.plan()
        seen = core.patches.window_taught(plan, readings)
        lines += _write(core.picture(plan, "window", wide=160.0, high=100.0, seen=seen), window, named)
    if assumptions and what.learned is not None:
        drawing = core.taught_picture(core.taught_rows(what.learned), what.learned.readings)
        lines += _write(drawing, assumptions, named)
    return report(["", *lines]) if lines else OK


def _write(drawing: "core.PaperPicture", to: Path, named: NamedJob) -> list[str]:
    return write(to, core.svg.svg_text(drawing), named.sources)


def ignore(
    number: Annotated[Number | None, Parameter(name="N")] = None,
    job: Annotated[str | None, JOB] = None,
    /,
    *,
    patch: Number | None = None,
    undo: bool = False,
    where: Where = HERE,
) -> int:
    """Leave a reading out: it teaches nothing more, and stays on file.

    Example: rotary patch ignore 3

    :param number: the reading's number, as rotary patch list says
    :param job: a job whose plan is shown before and after
    :param patch: in place of a reading: nothing more will be read of this patch
    :param undo: let the reading count again
    """
    if (number is None) == (patch is None):
        raise BadArgument("say which: the number of a reading, or a patch after --patch")
    earlier = core.readings.readings_in(where.profiles)
    with typed():
        if patch is not None:
            core.readings.close_patch(f"patch {patch}", where.profiles)
        if number is not None:
            core.readings.strike(number, where.profiles, ignored=not undo)
    now = core.readings.readings_in(where.profiles)
    report(core.reading_lines(now))
    if job is None:
        return OK
    report([""])
    return say_taught(
        core.cells.taught(NamedJob(job, where).on_machine(), now, where.samples, ("before that", earlier))
    )


app = group("patch", "Test patches, and what they teach of a coating.", new, record, list_, ignore)
