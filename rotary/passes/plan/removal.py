"""The removal plan: a setting chosen over all beliefs at once, its passes, its chance, its heat, its time."""

import math
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.drive import Chuck
from rotary.focus import Focus, SlicedSetup
from rotary.formulas.focus_budget import fluence_range
from rotary.head import Head, Optics
from rotary.model import Values
from rotary.passes.beliefs.draws import Coating, Draws, RefusedCoating, material_for, substances
from rotary.passes.plan import remarks
from rotary.passes.plan.choosing import best, grid_from
from rotary.passes.plan.cutting import bare_metal, cutting_setting
from rotary.passes.plan.edges import edges_of
from rotary.passes.plan.grid import LEAST_POWER_SHARE, Light
from rotary.passes.plan.heating import ROOM_C
from rotary.passes.plan.looking import cleared, each_pass, last_worth, stopping, unmarked
from rotary.passes.plan.pausing import Course, hot_limit_c, pauses_of, reached_k
from rotary.passes.plan.rows import (
    Work,
    beat_of,
    finishing_hatch,
    has_last_pass,
    in_order,
    is_file_per_slice,
    is_last_after_all,
    row_of,
    temperatures,
)
from rotary.passes.plan.setting import AFTER, BEFORE, FAIR, GOOD, Choice, HotWall, PassRemark, PassRow, Removal, Setting
from rotary.passes.plan.timing import timing
from rotary.passes.plan.window import passes
from rotary.setup import Setup
from rotary.wishes import feasible

__all__ = ["Choice", "PassRow", "Removal", "Setting", "choice", "removal"]

Floats = NDArray[np.float64]

# What a slice is likely to be, before the split is known: the plan is computed again with the real one.
_LIKELY_SLICE_MM: Final = 6.0
_LIKELY_INK: Final = 0.35
_LIKELY_INDEX_S: Final = 0.4
_FINISH_SHARE: Final = 0.65
# Lines of the focus budget that are off otherwise each time, and how much of what the budget grants is usual.
_OTHER_EACH_TIME: Final = {"runout": 1.0, "setting": 0.5}
# The world is not the model, and a look may be wrong: however well the draws agree, no plan is stated surer.
TRUSTED: Final = 0.97


def choice(setup: Setup, draws: int = 1000, believed: Draws | None = None) -> Choice:
    """The setting with the best joint chance of clear and unmarked, then the least time, round what is held.

    `believed` are the draws after readings; where None, those before any.
    """
    item, head, wishes, layout = setup.job.item, setup.job.head, setup.job.passes, setup.layout
    metal, coating = substances(item)
    program = setup.job.program
    feasible(wishes, head, coating is None, program)
    if isinstance(coating, RefusedCoating):
        values: Values = {"coating": coating.says, "refused": coating.refused}
        why = PassRemark(id="coating_refused", values=values)
        return _no_choice(draws, (why,), (PassRemark(id="other_item"),))
    if coating is None:
        return Choice(
            setting=cutting_setting(head, setup.optics, metal, wishes),
            chance_clear=0.0,
            chance_unmarked=0.0,
            chance=0.0,
            draws=draws,
            refused=(),
            would_change_it=(),
        )
    material = material_for(item, head, draws, believed)
    width = min(_LIKELY_SLICE_MM, layout.width_centre_mm)
    height = layout.band_to_mm - layout.band_from_mm
    slices = max(1, round(layout.width_centre_mm / width))
    # In a chuck the passes may go all round, where a pause that is held short is no pause for a slice.
    round_helps = len(pauses_of(wishes, program)) == 1 or program.can_repeat_slice is False
    all_round = isinstance(setup.job.drive, Chuck) and round_helps
    beat = replace(beat_of(setup, slices, width, height * _LIKELY_INK, _LIKELY_INDEX_S), all_round=all_round)
    found = best(setup, material, beat, width * height * _LIKELY_INK)
    change = remarks.would_change(item, head.spot_um is not None, wishes)
    if found is None or (draws and max(found.both, found.with_looks) < FAIR):
        pulses = found.setting.pulses_per_place * found.setting.passes if found else 50.0
        hot: HotWall | None = None
        if found is not None and found.too_hot:
            hot = "wall_unpaused" if program.can_pause is False else "wall_too_thin"
        return _no_choice(draws, remarks.why_no_window(metal, coating, material.draws, pulses, hot), change)
    return Choice(
        setting=found.setting,
        chance_clear=found.clear if draws else 0.0,
        chance_unmarked=found.unmarked if draws else 0.0,
        chance=found.both if draws else 0.0,
        draws=draws,
        refused=(),
        would_change_it=change if found.with_looks < GOOD else (),
        chance_with_looks=TRUSTED * found.with_looks if draws else 0.0,
        look_after=found.looks,
    )


def _no_choice(draws: int, refused: tuple[PassRemark, ...], would_change_it: tuple[PassRemark, ...]) -> Choice:
    return Choice(
        setting=None,
        chance_clear=0.0,
        chance_unmarked=0.0,
        chance=0.0,
        draws=draws,
        refused=refused,
        would_change_it=would_change_it,
    )


def removal(setup: SlicedSetup, choice: Choice, believed: Draws | None = None) -> Removal:
    """The passes that carry out the choice on this split, with what they do to the wall."""
    setting = choice.setting
    if setting is None:
        return _nothing(choice)
    item, layout, split = setup.job.item, setup.layout, setup.split
    material = material_for(item, setup.job.head, choice.draws, believed)
    times = timing(setup, setting)
    block = (layout.band_to_mm - layout.band_from_mm) * setup.job.artwork.ink_share
    beat = beat_of(setup, times.inked, split.slice_width_mm, block, times.index_s)
    work = Work(setup, choice, setting, material, beat, times)
    if material.coating is None:
        return bare_metal(work)
    return _lifted(work, material.coating)


def _lifted(work: Work, coating: Coating) -> Removal:
    """Removal passes, the last pass, pauses and looks for a coating."""
    setup, choice, setting, material, times = work.setup, work.choice, work.setting, work.material, work.times
    draws, optics = material.draws, setup.optics
    light = usual_light(setup.focus, optics, setting.defocus_mm)
    shares = Light(*(np.array([share]) for share in light))
    found = passes(grid_from(setting), material, setting.pulse_ns, optics, shares)
    edges = edges_of(setting, material, optics, shares) if choice.draws else None
    seen, planned, weight = found.row(0), setting.passes, draws.weight
    most = max(choice.look_after[-1], planned)
    at_most = last_worth(seen, draws, planned, most) if choice.draws else planned
    looked, stop = stopping(seen, draws, at_most)
    has_last, last = has_last_pass(setup), finishing(setting, setup.job.head)
    doses = np.append(np.full(at_most, setting.dose_j_mm2), [last.dose_j_mm2] * has_last)
    course = Course(doses, seen.bare_after, looked, stop)
    order, why, pause, cool, rises = in_order(work, course, planned, has_last)
    setting, last = (one.model_copy(update={"pause_s": pause}) for one in (setting, last))
    some, clear = bool(choice.draws), cleared(seen, planned)
    reached = reached_k(rises[:planned])
    stands = unmarked(seen, draws, planned) * (reached < hot_limit_c(draws) - ROOM_C)
    both, right = float(weight @ (clear * stands)), float(weight @ (looked * cool))
    # What the draws are not trusted with goes either way.
    left_coated = float(weight @ (unmarked(seen, draws, stop) - looked)) + (1 - TRUSTED) / 2 * right
    rows = [row_of(work, n, "lift", setting, "around", rise) for n, rise in enumerate(rises[:planned], 1)]
    if has_last:
        direction, shift = finishing_hatch(setup, setup.split.slice_width_mm, setting.hatch_mm)
        finish = row_of(work, planned + 1, "finish", last, direction, rises[planned])
        rows.append(finish | {"line_shift_mm": shift})
    total, after_all = len(rows), has_last and is_last_after_all(setup)
    return Removal(
        setting=setting,
        rows=tuple(PassRow(**row) for row in rows),
        chance_clear=float(weight @ clear) if some else 0.0,
        chance_unmarked=float(weight @ stands) if some else 0.0,
        chance=both if some else 0.0,
        draws=choice.draws,
        **temperatures(ROOM_C + reached, draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=times.slice_by_slice(total, pause, after_all),
        time_all_round_s=times.all_round(total, pause) if isinstance(setup.job.drive, Chuck) else None,
        refused=(),
        would_change_it=choice.would_change_it,
        before=BEFORE,
        after=AFTER,
        remarks=(
            *([PassRemark(id="edges")] if edges else []),
            *remarks.of_coating(setting, coating, material.metal, light, draws, cool),
        ),
        chance_with_looks=TRUSTED * right if some else 0.0,
        chance_left_coated=left_coated if some else 0.0,
        look_after=each_pass(at_most),
        typed_passes=1,
        passes_at_most=at_most,
        last_when=("after all" if after_all or order == "all-round" else "each slice") if has_last else None,
        file_per_slice=is_file_per_slice(setup),
        edges=edges,
    )


def usual_light(focus: Focus, optics: Optics, defocus_mm: float) -> tuple[float, float]:
    """Least and most peak fluence over a slice as shares, as the choice reckons them too.

    What is the same on every item (sag, slope, where the plane stands) in full; what is off otherwise each time (the
    setting of the focus, of which the budget holds 95 %, and the runout) as it usually is: half of the first and the
    second, as squares. All of it at once would be the worst of a hundred jobs, and a chance counts all of them.
    """
    if not focus.budget:
        return focus.fluence_low, max(focus.fluence_high, 1e-6)
    same = [row for row in focus.budget if row.id not in _OTHER_EACH_TIME]
    off = math.hypot(*(row.high_mm * _OTHER_EACH_TIME.get(row.id, 0.0) for row in focus.budget))
    low, high = sum(row.low_mm for row in same) - off, sum(row.high_mm for row in same) + off
    least, most = fluence_range(defocus_mm, optics.rayleigh_mm, low, high)
    return least, max(most, 1e-6)


def finishing(setting: Setting, head: Head) -> Setting:
    """The last pass: weaker pulses, or fewer where the source can't go lower."""
    step = head.power_step_share
    share = round(setting.power_share * _FINISH_SHARE / step) * step
    speed = setting.scan_speed_mm_s
    if share < max(LEAST_POWER_SHARE, step) - 1e-9:
        share, speed = setting.power_share, min(1.5 * speed, head.top_speed_mm_s)
    less = share / setting.power_share
    return setting.model_copy(
        update={
            "power_share": round(share, 6),
            "power_w": setting.power_w * less,
            "pulse_mj": setting.pulse_mj * less,
            "scan_speed_mm_s": speed,
            "peak_fluence_j_cm2": setting.peak_fluence_j_cm2 * less,
            "pulses_per_place": setting.pulses_per_place * setting.scan_speed_mm_s / speed,
            "dose_j_mm2": setting.dose_j_mm2 * less * setting.scan_speed_mm_s / speed,
            "passes": 1,
        }
    )


def _nothing(choice: Choice) -> Removal:
    """No plan, and why."""
    return Removal(
        setting=None,
        rows=(),
        chance_clear=0.0,
        chance_unmarked=0.0,
        chance=0.0,
        draws=choice.draws,
        wall_c_5=ROOM_C,
        wall_c_50=ROOM_C,
        wall_c_95=ROOM_C,
        order="slice-by-slice",
        order_why="nothing",
        time_slice_by_slice_s=0.0,
        time_all_round_s=None,
        refused=choice.refused,
        would_change_it=choice.would_change_it,
        before=(),
        after=(),
        remarks=(),
    )
