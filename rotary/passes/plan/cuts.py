"""Passes that mark bare metal: how deep, from how much energy; known within a factor of several."""

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens, Optics, pulse_energy_mj
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Draws, Metal, machine
from rotary.passes.plan.grid import Grid
from rotary.passes.plan.pauses import Course
from rotary.passes.plan.remarks import of_cut
from rotary.passes.plan.rows import Work, in_order, is_file_per_slice, row_of, temperatures
from rotary.passes.plan.setting import AFTER, Direction, PassRow, Removal, Setting
from rotary.passes.plan.typed_settings import setting_from
from rotary.turning.models import Chuck
from rotary.wishes import FREE, MOST_PASSES, Wishes

# Enough power to cut, enough left for a second try that is stronger: common practice, no source.
_POWER_SHARE = 0.8
_HATCH_OVER_SPOT = 0.6
_DOSE_J_MM2 = 1.0
_PASSES = 10


def cutting_setting(laser: LaserAndLens, optics: Optics, metal: Metal, wishes: Wishes = FREE) -> Setting:
    """A middling setting in round numbers, about one joule a square millimetre and pass, round what is held.

    The passes are those of the wanted depth, by the metal's central figure, or ten.
    """
    step = laser.power_step_share
    share = wishes.power_share or min(max(round(_POWER_SHARE / step), 1) * step, 1.0)
    power = share * laser.rated_power_w
    slowest = power / laser.largest_pulse_mj
    rate = wishes.frequency_khz or min(
        max(np.ceil(slowest / 5) * 5, np.ceil(laser.lowest_frequency_khz)), laser.highest_frequency_khz
    )
    pulse = float(pulse_energy_mj(laser, share, rate))
    hatch = wishes.line_spacing_mm or max(round(_HATCH_OVER_SPOT * optics.spot_um / 1000, 2), 0.01)
    wanted = pulse * rate / (_DOSE_J_MM2 * hatch)
    fastest = laser.top_speed_mm_s
    speed = wishes.speed_mm_s or float(np.clip(np.round(wanted / 50) * 50, min(50.0, fastest), fastest))
    keyed = (share, rate, pulse, speed, hatch, wishes.defocus_mm or 0.0)
    one = Grid(*(np.array([value], float) for value in keyed))
    count = wishes.passes or _PASSES
    if wishes.cut_um is not None:
        each_um = 1e3 * metal.removal_mm3_j.central * float(one.dose_j_mm2[0]) * machine().power.central
        count = int(np.clip(np.round(wishes.cut_um / each_um), 1, MOST_PASSES))
    return setting_from(one, wishes.pulse_width_ns or laser.pulse_widths_ns[0], count, 0.0, laser, optics)


def depth_per_pass_um(setting: Setting, draws: Draws) -> Floats:
    """Depth of one pass over the draws (n,): removal per energy times energy per area."""
    return 1e3 * draws.removal_mm3_j * setting.dose_j_mm2 * draws.power_factor


def bare_metal(work: Work) -> Removal:
    """Passes that cut into bare metal, with the depth that may come of them."""
    choice, setting, times = work.choice, work.setting, work.times
    draws = work.material.draws
    doses, bare = np.full(setting.passes, setting.dose_j_mm2), np.zeros_like(draws.weight)
    order, why, pause, rises = in_order(work, Course(doses, bare, np.ones_like(bare, bool)))
    setting = setting.but(pause_s=pause)
    each = depth_per_pass_um(setting, draws)
    deep = {at: quantile(each, draws.weight, at / 100) for at in (5, 50, 95)}
    count, by_hand = setting.passes, is_file_per_slice(work.setup)
    rows = [row_of(work, n + 1, "cut", setting, _turned(n), rises[n]) for n in range(count)]
    return Removal(
        setting=setting,
        rows=tuple(PassRow(**row) for row in rows),
        samples=choice.samples,
        **temperatures(rises, draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=times.slice_by_slice(count, pause),
        time_all_round_s=times.all_round(count, pause) if isinstance(work.setup.job.turning, Chuck) else None,
        before=("clean",),
        after=AFTER,
        remarks=of_cut(work.beat, draws, deep[95] * count, work.setup.job.passes),
        typed_passes=1 if by_hand else count,
        passes_at_most=count,
        file_per_slice=by_hand,
        depth_um_5=deep[5] * count,
        depth_um_50=deep[50] * count,
        depth_um_95=deep[95] * count,
    )


def _turned(number: int) -> Direction:
    return "around" if number % 2 == 0 else "along"
