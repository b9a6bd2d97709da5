"""Depth in bare metal: the passes for it, and what gauge readings teach."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import group, options, store_of
from rotary.cli.output import answer, report, say, typed
from rotary.cli.values import File, Json, Number, Store, Typed
from rotary.errors import BadArgument, Refused, brief


@options
class DepthJob(NamedJob):
    """A job in bare metal, and after which readings it is planned.

    :param wanted: the depth you want (the job's own if left out)
    :param readings: a file of readings to use instead of your saved ones
    """

    wanted: Typed = None
    readings: File | None = None

    @property
    def file(self) -> Path:
        """Where the readings are."""
        return self.readings or self.profiles / core.depths.FILE_NAME

    def result(self, new: "Sequence[core.depth_beliefs.DepthReading]" = ()) -> "core.depth_results.DepthResult":
        """The passes for the depth, after the readings that are saved and new ones."""
        job = self.on_machine()
        depth_um = job.inscription.depth_um if job.inscription is not None else None
        if self.wanted is not None:
            with typed({"depth": "--wanted"}):
                depth_um = core.faults.model_from_texts(core.wishes.Wishes, {"depth": self.wanted}).depth_um
        try:
            old = core.depths.depths_in(self.file)
        except Refused as refused:
            if self.readings is None:
                raise
            says = f"is not a list of depth readings: {refused.faults[0]}"
            raise BadArgument(f"{brief(self.readings, 80)} {says}") from None
        return core.depth_results.depth_of(job, depth_um, (*old, *new))


def plan(job: DepthJob, json: Json = False) -> int:
    """Plan the passes for a depth, and the settings to mark with.

    Example: rotary depth plan brass-nut --wanted "40 um"
    """
    found = job.result()
    return answer(json, found.answer, core.card.depth_lines(found))


def record(
    job: DepthJob,
    /,
    *depths: Annotated[str, Parameter(name="PASSES=DEPTH")],
    resolution: str = "1 um",
    tries: bool = False,
) -> int:
    """Record a measured depth, for all later plans of this metal and laser.

    Example: rotary depth record brass-nut "10 = 18 um"

    :param depths: how many passes, and the depth you measured after them, "10 = 18 um"
    :param resolution: the finest step of your depth gauge (1 um if left out)
    :param tries: only show what the plan would learn, save nothing
    """
    if not depths:
        raise BadArgument('PASSES=DEPTH is missing: write passes and measured depth, for example "10 = 18 um"')
    new = [_reading(text, resolution) for text in depths]
    found = job.result(new)
    stamped, saved = [one.model_copy(update=found.stamp) for one in new], f"saved in {brief(job.file, 150)}"
    if tries:
        how = "To save the reading for all plans of this metal and laser, leave --tries out"
        saved = f"the reading was not saved, because you wrote --tries. {how}"
    elif job.readings:
        core.depths.keep_depths((*core.depths.depths_in(job.readings), *stamped), job.readings)
    else:
        saved += f", {len(core.depths.add_depths(stamped, job.profiles))} readings in all: plans now use them"
    return say([*core.card.depth_lines(found), f"  {saved}"])


def _reading(text: str, resolution: str) -> "core.depth_beliefs.DepthReading":
    passes, sign, deep = text.partition("=")
    if not sign:
        says = 'is not a reading: write passes and depth, for example "10 = 18 um"'
        raise BadArgument(f"{brief(text) or 'an empty text'} {says}")
    count = passes.strip()
    given = {"passes": int(count) if count.isdecimal() and len(count) < 8 else count, "depth": deep.strip()}
    with typed({"passes": brief(text), "depth": brief(text), "resolution": "--resolution"}):
        return core.faults.model_from_texts(core.depth_beliefs.DepthReading, {**given, "resolution": resolution})


def list_(json: Json = False, store: Store = None) -> int:
    """List the depth readings, with their numbers.

    Example: rotary depth list
    """
    readings = core.depths.depth_readings(store_of(store))
    none = '  no reading is saved yet. To save one: rotary depth record JOB "10 = 18 um"'
    return answer(json, readings, _listed(readings) or [none])


def ignore(number: Annotated[Number, Parameter(name="N")], /, store: Store = None) -> int:
    """Ignore a depth reading, or use it again.

    Example: rotary depth ignore 2

    :param number: the reading's number in rotary depth list
    """
    with typed({"strike": ""}):
        core.depths.strike_depth(number, store_of(store))
    return report(_listed(core.depths.depth_readings(store_of(store))))


def _listed(readings: "tuple[core.depth_beliefs.DepthReading, ...]") -> list[str]:
    return [f"  {core.depths.depth_text(number, one)}" for number, one in enumerate(readings, 1)]


app = group(plan, record, list_, ignore)
