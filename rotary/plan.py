"""The whole flow, one call a line; nothing else."""

from collections.abc import Sequence

from rotary.focus import Focus, focus
from rotary.job import Job
from rotary.passes.learning.coating import after_readings, learned
from rotary.passes.learning.depth import DepthReading
from rotary.passes.learning.depth_plan import after_gauge, gauged
from rotary.passes.learning.reading import Reading
from rotary.passes.plan.removal import Choice, Removal, choice, removal
from rotary.safety import Safety, safety
from rotary.setup import Setup, setup
from rotary.slices import Split, split


class Plan(Setup):
    """A setup, and all that is chosen for it."""

    choice: Choice
    split: Split
    focus: Focus
    removal: Removal
    safety: Safety


def plan(job: Job, draws: int = 1000, readings: Sequence[Reading] = (), depths: Sequence[DepthReading] = ()) -> Plan:
    """The plan of a job; `draws` 0 leaves out the chances, and with them what readings teach.

    `readings` may be of any coating and head; those of this coating teach. `depths` are what a gauge said of bare
    metal; those of this metal and head teach, also without draws. Raises Refused with what to put right.
    """
    ready = setup(job)
    shape, beam, turns, lies = ready.shape, ready.optics, ready.turning, ready.layout
    taught = learned(job.item, job.head, readings, draws)
    cut_before = gauged(job.item, job.head, beam, job.passes, depths, draws)
    wishes = cut_before.wishes if cut_before else job.passes
    believed = cut_before.draws if cut_before else taught.draws if taught else None
    chosen = choice(job.item, shape, lies, job.head, beam, job.tolerances, draws, wishes, believed)
    defocus_mm = chosen.setting.defocus_mm if chosen.setting else 0.0
    cut = split(job.tolerances, job.drive, turns, job.head, beam, job.item, shape, lies, defocus_mm)
    sharp = focus(job.tolerances, job.drive, turns, job.head, beam, job.item, shape, lies, cut, defocus_mm)
    steps = removal(
        chosen, job.artwork, job.item, shape, job.drive, turns, job.head, beam, lies, cut, sharp, wishes, believed
    )
    steps = after_gauge(after_readings(steps, taught), cut_before)
    warned = safety(job.head, job.item, steps, job.drive.kind, job.shop)
    parts = {name: getattr(ready, name) for name in Setup.model_fields}
    return Plan(**parts, choice=chosen, split=cut, focus=sharp, removal=steps, safety=warned)
