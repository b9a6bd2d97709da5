"""Depth on a job's own part: its setting, its belief, the readings of its metal and laser, time and warmth."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from rotary.errors import counted, refuse
from rotary.item import fitted_shape
from rotary.job import Job
from rotary.laser import optics
from rotary.passes.beliefs.draws import substances
from rotary.passes.learning import depth
from rotary.passes.learning.reading_text import controls_text
from rotary.passes.plan.cuts import cutting_setting
from rotary.plan import plan


class DepthResult(NamedTuple):
    """The answer, the warmth of a solid part, the time, what a reading is kept with, and that in words."""

    answer: depth.DepthAnswer
    warmth: depth.PartWarmth | None
    time_s: float
    notes: tuple[str, ...]
    stamp: dict[str, Any]
    marked_so: str


def depth_of(
    job: Job, wanted_um: float | None, readings: Sequence[depth.DepthReading] = (), face_ink_mm2: float | None = None
) -> DepthResult:
    """Passes for a depth in this job's metal; raises Refused where it is coated, or no depth is wanted.

    Time and warmth are those of the job's own artwork; with `face_ink_mm2` those of so much ink on a face that is
    not turned, hatched without a stop.
    """
    metal, coating = substances(job.item)
    if coating is not None or job.item.coating is not None:
        says = "rotary plans a depth only for bare metal, and this item has a coating: choose no coating"
        raise refuse("item.coating", says)
    wanted = job.passes.but(depth_um=wanted_um or job.passes.depth_um).cut_um
    if wanted is None:
        raise refuse("passes.depth", "you have not entered how deep to cut: type a depth, for example 40 um or 0.04 mm")
    free = job.passes.but(depth_um=None)
    setting = cutting_setting(job.laser, optics(job.laser), metal, free)
    own = depth.relevant_readings(readings, job.item.metal, job.laser.name)
    found = depth.depth_answer(depth.posterior(depth.prior(metal), own, setting.dose_j_mm2), wanted, setting.dose_j_mm2)
    shape, art = fitted_shape(job.item), job.artwork
    if face_ink_mm2 is None:
        # The plan's own passes are bounded; its time is in proportion to them, so more are a matter of scale.
        count = min(found.passes, 100)
        whole = plan(job.but(passes=free.but(passes=count)), 0)
        time = whole.removal.time_slice_by_slice_s * found.passes / count
        ink = art.width_mm * art.height_mm * art.ink_share
    else:
        ink = face_ink_mm2
        time = found.passes * ink / (setting.speed_mm_s * setting.line_spacing_mm)
    used = setting.but(passes=found.passes)
    warmth = depth.part_warmth(shape, metal, used, ink, time) if job.item.solid and shape.flats is None else None
    stamp = {"dose_j_mm2": setting.dose_j_mm2, "metal": job.item.metal, "laser": job.laser.name}
    notes = []
    if job.passes.polish_um:
        notes.append(f"Measure the depth before you sand or polish: that takes off {job.passes.polish_um:g} µm.")
    if others := sum(not one.ignored for one in readings) - len(own):
        notes.append(f"rotary left out {counted(others, 'depth reading')} of another metal, laser or lens.")
    so = (
        f"Mark the trial with these settings: {controls_text(setting)}. rotary saves them with your reading, so other "
        "settings would mislead the plan."
    )
    return DepthResult(found, warmth, time, (so, *notes, *depth.finishing_notes(wanted)), stamp, so)
