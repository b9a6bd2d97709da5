"""Kept depth readings in the plan of a bare-metal job: what they teach sets its passes and the range of its depth.

::

    depths that were gauged ──> belief of this metal and laser ──> passes for the wanted depth ──┐
                                          │                                                     ├──> the plan, the card
                                          └──> draws of the removal, at its quantiles ──────────┘
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from rotary.errors import Refused
from rotary.formulas.arrays import Floats
from rotary.passes.beliefs.belief import Belief
from rotary.passes.beliefs.draws import Draws, Metal, draws_for, machine, substances
from rotary.passes.learning import depth
from rotary.passes.plan.cuts import cutting_setting
from rotary.passes.plan.setting import PassRemark, Removal
from rotary.setup import Setup
from rotary.wishes import MOST_PASSES, Wishes


class DepthPlan(NamedTuple):
    """What depth readings change in a plan: the wishes with their passes, the draws; what is to be said, if anything.

    `readings` is how many taught; 0 where none of them can be true, and then nothing else is changed. `safe_passes` are
    those after which hardly a part is too deep already, where a depth is wanted.
    """

    wishes: Wishes
    draws: Draws | None
    readings: int
    notes: tuple[str, ...] = ()
    safe_passes: int | None = None


def depth_plan_for(setup: Setup, depths: Sequence[depth.DepthReading], draws: int) -> DepthPlan | None:
    """What the kept readings of this metal and laser teach; None where the item is coated."""
    item, laser, wishes = setup.job.item, setup.job.laser, setup.job.passes
    metal, coating = substances(item)
    own = depth.relevant_readings(depths, item.metal, laser.name)
    if coating is not None or item.coating is not None:
        return None
    free = wishes.but(depth_um=None)
    setting = cutting_setting(laser, setup.optics, metal, free)
    dose, count, safe = setting.dose_j_mm2, setting.passes, None
    try:
        belief = _taught(metal, machine().power, own, dose)
        if wishes.cut_um is not None:
            answer = depth.depth_answer(belief, wishes.cut_um, dose)
            count, safe = min(answer.passes, MOST_PASSES), answer.safe_passes
            free = free.but(passes=count)
    except Refused as refused:
        if not own:
            return None
        says = "; ".join(fault.says for fault in refused.faults)
        return DepthPlan(
            wishes, None, 0, (f"The plan leaves out the saved depth readings, because one of them {says}.",)
        )
    if not own:
        return DepthPlan(wishes, None, 0, (), safe)
    parts = depth.depth_of_parts_um(belief, count, dose) / (1e3 * dose * count)
    return DepthPlan(free, _draws_of(parts, draws_for(item, metal, None, laser, draws)), len(own), belief.notes, safe)


@lru_cache(maxsize=16)
def _taught(metal: Metal, power: Belief, own: tuple[depth.DepthReading, ...], dose_j_mm2: float) -> depth.DepthBelief:
    """Weighed once for the same readings: a plan is made anew at every key."""
    return depth.posterior(depth.prior(metal, power), own, dose_j_mm2)


def _draws_of(parts: Floats, before: Draws) -> Draws:
    """The draws with the removal of the next parts [mm³/J], in the order it had before.

    Power and removal come as one figure from a gauge, so that the removal is divided by each draw's own power.
    """
    count = len(before.weight)
    rank = np.argsort(np.argsort(before.removal_mm3_j * before.power_factor))
    each = np.quantile(parts, (np.arange(count) + 0.5) / count)[rank]
    return replace(before, removal_mm3_j=each / before.power_factor)


def with_depth_readings(steps: Removal, found: DepthPlan | None) -> Removal:
    """The passes with what is to be said of the readings they rest on."""
    if found is None:
        return steps
    gauged = (PassRemark(id="gauged", values={"says": note}) for note in found.notes)
    remarks = (*steps.remarks, *gauged)
    return steps.but(depth_readings=found.readings, safe_passes=found.safe_passes, remarks=remarks)
