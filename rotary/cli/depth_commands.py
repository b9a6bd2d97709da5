"""Depth in bare metal: the passes for it, and what gauge readings teach."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from rotary.cli.answers import typed
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, JobName, Json, Number, Store, Text, Where, group, store_of
from rotary.cli.output import report, say_json, say_lines
from rotary.errors import BadArgument, brief

if TYPE_CHECKING:
    from rotary.passes.learning.depth import DepthReading

Wanted = Annotated[Text | None, Parameter(help="the depth wanted (the job's own if left out)")]
Resolution = Annotated[str, Parameter(help="the finest step of the gauge (1 um)")]
Readings = Annotated[Path | None, Parameter(help="a file of readings of its own, in place of those in the store")]
Passes = Annotated[str, Parameter(name="PASSES=DEPTH", help='what a gauge said after some passes, "10 = 18 um"')]

app = group("depth", "Depth in bare metal, planned and measured.")


@app.command
def plan(
    job: JobName, /, *, wanted: Wanted = None, readings: Readings = None, json: Json = False, where: Where = HERE
) -> int:
    """Say how many passes a depth takes, and what to mark with.

    Example: rotary depth plan brass-nut --wanted "40 um"
    """
    return _planned(NamedJob(job, where), (), wanted, "1 um", readings, json)


@app.command
def record(
    job: JobName,
    /,
    *gauged: Passes,
    wanted: Wanted = None,
    resolution: Resolution = "1 um",
    readings: Readings = None,
    tries: bool = False,
    where: Where = HERE,
) -> int:
    """Record what a gauge said: every sheet and plan of this metal and laser goes by it.

    Example: rotary depth record brass-nut "10 = 18 um"

    :param tries: only say what it would teach, and save nothing
    """
    if not gauged:
        raise BadArgument('PASSES=DEPTH is missing: write what the gauge said, for example "10 = 18 um"')
    return _planned(NamedJob(job, where), gauged, wanted, resolution, readings, False, not tries)


def _planned(
    named: NamedJob, gauged: tuple[str, ...], wanted: str | None, resolution: str, readings: Path | None,
    json: bool, saves: bool = False,
) -> int:  # fmt: skip
    from rotary.inscription.card import depth_lines
    from rotary.inscription.depths import depth_of
    from rotary.store.depths import FILE_NAME, add_depths, depths_in, keep_depths

    job, folder = named.on_machine(), named.where.profiles
    new = [_reading(text, resolution) for text in gauged]
    path = readings or folder / FILE_NAME
    old = depths_in(path)
    words = job.inscription.depth_um if job.inscription is not None else None
    answer = depth_of(job, _wanted_um(wanted) or words, (*old, *new))
    if json:
        return say_json(answer.answer.model_dump(mode="json"))
    lines = depth_lines(answer.answer, answer.warmth, answer.time_s, answer.notes)
    stamped = [one.model_copy(update=answer.stamp) for one in new]
    if saves and readings:
        keep_depths((*old, *stamped), path)
        lines.append(f"  saved in {brief(path, 150)}")
    elif saves:
        many = len(add_depths(stamped, folder))
        lines.append(f"  saved in {brief(path, 150)}, {many} in all: sheets and plans go by them")
    elif new:
        lines.append("  not saved: leave --tries out, and every sheet and plan of this metal and laser goes by it")
    return say_lines(lines)


@app.command(name="list")
def list_(*, json: Json = False, store: Store = None) -> int:
    """List what a gauge said, with its numbers.

    Example: rotary depth list
    """
    from rotary.store.depths import depth_readings, depth_text

    readings = depth_readings(store_of(store))
    if json:
        return say_json([one.model_dump(mode="json") for one in readings])
    lines = [f"  {depth_text(number, one)}" for number, one in enumerate(readings, 1)]
    return say_lines(lines or ['  none is saved yet: rotary depth record JOB "10 = 18 um"'])


@app.command
def ignore(
    number: Annotated[Number, Parameter(name="N", help="its number, as rotary depth list says it")],
    /,
    *,
    store: Store = None,
) -> int:
    """Leave a reading out, or let one that was left out count again.

    Example: rotary depth ignore 2
    """
    from rotary.store.depths import depth_readings, depth_text, strike_depth

    folder = store_of(store)
    with typed():
        strike_depth(number, folder)
    return report(f"  {depth_text(at, one)}" for at, one in enumerate(depth_readings(folder), 1))


def _wanted_um(text: str | None) -> float | None:
    if text is None:
        return None
    from rotary.faults import model_from_texts
    from rotary.wishes import Wishes

    with typed():
        return model_from_texts(Wishes, {"depth": text}).depth_um


def _reading(text: str, resolution: str) -> "DepthReading":
    from rotary.faults import model_from_texts
    from rotary.passes.learning.depth import DepthReading

    passes, sign, deep = text.partition("=")
    if not sign:
        raise BadArgument(f'{brief(text)} is no reading; write passes and depth, for example "10 = 18 um"')
    count = passes.strip()
    given = {"passes": int(count) if count.isdecimal() and len(count) < 8 else count, "depth": deep.strip()}
    with typed():
        return model_from_texts(DepthReading, {**given, "resolution": resolution})
