"""Depth in bare metal: the passes for it, and what gauge readings teach."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import group, store_of
from rotary.cli.output import answer, report, say, typed
from rotary.cli.values import File, Json, Number, Store, Text
from rotary.errors import BadArgument, Refused, brief

Wanted = Annotated[Text | None, Parameter(help="the depth wanted (the job's own if left out)")]
Readings = Annotated[File | None, Parameter(help="a separate file of readings, instead of those in the store")]


def plan(job: NamedJob, wanted: Wanted = None, readings: Readings = None, json: Json = False) -> int:
    """Plan the passes for a depth, and the settings to mark with.

    Example: rotary depth plan brass-nut --wanted "40 um"
    """
    found = _result(job, wanted, readings)
    return answer(json, found.answer, _lines(found))


def record(
    job: NamedJob,
    /,
    *depths: Annotated[str, Parameter(name="PASSES=DEPTH")],
    wanted: Wanted = None,
    resolution: str = "1 um",
    readings: Readings = None,
    tries: bool = False,
) -> int:
    """Record a measured depth: every plan of this metal and laser then uses it.

    Example: rotary depth record brass-nut "10 = 18 um"

    :param depths: the depth measured after some passes, "10 = 18 um"
    :param resolution: the finest step of the gauge (1 um)
    :param tries: only show what the plan would learn, save nothing
    """
    if not depths:
        raise BadArgument('PASSES=DEPTH is missing: write passes and measured depth, for example "10 = 18 um"')
    new = [_reading(text, resolution) for text in depths]
    found = _result(job, wanted, readings, new)
    stamped, saved = [one.model_copy(update=found.stamp) for one in new], f"saved in {brief(_file(job, readings), 150)}"
    if tries:
        saved = "not saved: without --tries it is saved, and every plan of this metal and laser uses it"
    elif readings:
        core.depths.keep_depths((*core.depths.depths_in(readings), *stamped), readings)
    else:
        saved += f", {len(core.depths.add_depths(stamped, job.profiles))} in all: plans now use them"
    return say([*_lines(found), f"  {saved}"])


def _file(job: NamedJob, readings: Path | None) -> Path:
    return readings or job.profiles / core.depths.FILE_NAME


def _result(
    named: NamedJob, wanted: str | None, readings: Path | None, new: "Sequence[core.depth_beliefs.DepthReading]" = ()
) -> "core.depth_results.DepthResult":
    """The passes for a depth, after the readings that are saved and new ones."""
    job = named.on_machine()
    depth_um = job.inscription.depth_um if job.inscription is not None else None
    if wanted is not None:
        with typed({"depth": "--wanted"}):
            depth_um = core.faults.model_from_texts(core.wishes.Wishes, {"depth": wanted}).depth_um
    try:
        old = core.depths.depths_in(_file(named, readings))
    except Refused as refused:
        if readings is None:
            raise
        raise BadArgument(f"{brief(readings, 80)} is not a list of depth readings: {refused.faults[0]}") from None
    return core.depth_results.depth_of(job, depth_um, (*old, *new))


def _lines(found: "core.depth_results.DepthResult") -> list[str]:
    return [*core.card.depth_lines(found.answer, found.warmth, found.time_s, found.notes)]


def _reading(text: str, resolution: str) -> "core.depth_beliefs.DepthReading":
    passes, sign, deep = text.partition("=")
    if not sign:
        raise BadArgument(
            f'{brief(text) or "an empty text"} is not a reading: write passes and depth, for example "10 = 18 um"'
        )
    count = passes.strip()
    given = {"passes": int(count) if count.isdecimal() and len(count) < 8 else count, "depth": deep.strip()}
    with typed({"passes": brief(text), "depth": brief(text), "resolution": "--resolution"}):
        return core.faults.model_from_texts(core.depth_beliefs.DepthReading, {**given, "resolution": resolution})


def list_(json: Json = False, store: Store = None) -> int:
    """List the depth readings, with their numbers.

    Example: rotary depth list
    """
    readings = core.depths.depth_readings(store_of(store))
    return answer(json, readings, _listed(readings) or ['  none is saved yet: rotary depth record JOB "10 = 18 um"'])


def ignore(number: Annotated[Number, Parameter(name="N")], /, store: Store = None) -> int:
    """Ignore a depth reading, or use it again.

    Example: rotary depth ignore 2

    :param number: its number in rotary depth list
    """
    with typed({"strike": ""}):
        core.depths.strike_depth(number, store_of(store))
    return report(_listed(core.depths.depth_readings(store_of(store))))


def _listed(readings: "tuple[core.depth_beliefs.DepthReading, ...]") -> list[str]:
    return [f"  {core.depths.depth_text(number, one)}" for number, one in enumerate(readings, 1)]


app = group(plan, record, list_, ignore)
