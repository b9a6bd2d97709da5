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
from rotary.errors import BadArgument, Refused, brief, counted


@options
class DepthJob(NamedJob):
    """A job in bare metal, and after which readings it is planned.

    :param wanted: the depth that you want, like "40 um" (if left out, the depth in the job)
    :param readings: use the depth readings in this file instead of your saved ones
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
            raise BadArgument(f"{refused.faults[0]}") from None
        with typed({"passes.depth": "--wanted"}):
            return core.depth_results.depth_of(job, depth_um, (*old, *new))


def plan(job: DepthJob, json: Json = False) -> int:
    """Show how many passes cut bare metal to the depth that you want, and with which settings.

    Example: rotary depth plan brass-nut --wanted "40 um"
    """
    found = job.result()
    return answer(json, found.answer, core.card.depth_lines(found, job.system))


def record(
    job: DepthJob,
    /,
    *depths: Annotated[str, Parameter(name="PASSES=DEPTH")],
    resolution: str = "1 um",
    tries: bool = False,
) -> int:
    """Record a depth that you measured: later plans for this metal and laser use it.

    Example: rotary depth record brass-nut "10 = 18 um"

    :param depths: how many passes you marked, and the depth that you then measured, like "10 = 18 um"
    :param resolution: the finest step of your depth gauge, like "2 um" (1 um if left out)
    :param tries: the same as --dry-run: show how the plan would change, save nothing
    """
    if not depths:
        raise BadArgument('PASSES=DEPTH is missing: write passes and depth in quotes, for example "10 = 18 um"')
    new = [_reading(text, resolution) for text in depths]
    found = job.result(new)
    stamped, saved = [one.model_copy(update=found.stamp) for one in new], f"saved in {brief(job.file, 150)}"
    if tries:
        saved = "rotary saved nothing, because you wrote --tries: to save, leave --tries out"
    elif job.readings:
        core.depths.keep_depths((*core.depths.depths_in(job.readings), *stamped), job.readings)
    else:
        every = counted(len(core.depths.add_depths(stamped, job.profiles)), "depth reading")
        saved += f" ({every} in all): later plans for this metal and laser use them"
    return say([*core.card.depth_lines(found, job.system), f"  {saved}"])


def _reading(text: str, resolution: str) -> "core.depth_beliefs.DepthReading":
    passes, sign, deep = text.partition("=")
    if not sign:
        says = 'is not a depth reading: write how many passes and the depth in quotes, for example "10 = 18 um"'
        raise BadArgument(f"{brief(text) or 'an empty text'} {says}")
    count = passes.strip()
    given = {"passes": int(count) if count.isdecimal() and len(count) < 8 else count, "depth": deep.strip()}
    with typed({"passes": brief(text), "depth": brief(text), "resolution": "--resolution"}):
        return core.faults.model_from_texts(core.depth_beliefs.DepthReading, {**given, "resolution": resolution})


def list_(json: Json = False, store: Store = None) -> int:
    """List your depth readings, each with its number.

    Example: rotary depth list
    """
    readings = core.depths.depth_readings(store_of(store))
    none = '  You have saved no depth reading yet. To save one: rotary depth record JOB "10 = 18 um"'
    return answer(json, readings, _listed(readings) or [none])


def ignore(number: Annotated[Number, Parameter(name="N")], /, store: Store = None) -> int:
    """Ignore a depth reading. The same command again brings the reading back.

    Example: rotary depth ignore 2

    :param number: the number of the reading, from rotary depth list
    """
    with typed({"strike": ""}):
        ignored = core.depths.strike_depth(number, store_of(store)).ignored
    done = f"plans no longer use reading {number}" if ignored else f"plans use reading {number} again"
    return report([*_listed(core.depths.depth_readings(store_of(store))), done])


def _listed(readings: "tuple[core.depth_beliefs.DepthReading, ...]") -> list[str]:
    return [f"  {core.depths.depth_text(number, one)}" for number, one in enumerate(readings, 1)]


app = group(plan, record, list_, ignore)
