"""The removal plan: a setting chosen over all beliefs at once, its passes, its chance, its heat, its time."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.layout import Artwork, Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.focus import Focus
from rotary.formulas.focus_budget import fluence_range
from rotary.head import Head, Optics
from rotary.item import Item, Shape
from rotary.model import Values
from rotary.passes.beliefs.draws import Coating, Draws, Metal, RefusedCoating, draws_for, substances
from rotary.passes.plan import remarks
from rotary.passes.plan.choosing import best, grid_from
from rotary.passes.plan.cutting import bare_metal, cutting_setting
from rotary.passes.plan.edges import edges_of
from rotary.passes.plan.grid import LEAST_POWER_SHARE
from rotary.passes.plan.heating import ROOM_C, Round
from rotary.passes.plan.looking import cleared, each_pass, last_worth, stopping, unmarked
from rotary.passes.plan.pausing import hot_limit_c, pauses_of, reached_k
from rotary.passes.plan.rows import beat_of, finishing_hatch, in_order, row_of, temperatures
from rotary.passes.plan.setting import AFTER, BEFORE, FAIR, GOOD, Choice, PassRemark, PassRow, Removal, Setting
from rotary.passes.plan.timing import Timing, timing
from rotary.passes.plan.window import passes
from rotary.slices import Split
from rotary.tolerances import Tolerances
from rotary.wishes import FREE, Wishes, feasible

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


def choice(
    item: Item,
    body: Shape,
    layout: Layout,
    head: Head,
    optics: Optics,
    tolerances: Tolerances,
    draws: int = 1000,
    wishes: Wishes = FREE,
    believed: Draws | None = None,
) -> Choice:
    """The setting with the best joint chance of clear and unmarked, then the least time, round what is held.

    `believed` are the draws after readings; where None, those before any.
    """
    metal, coating = substances(item)
    feasible(wishes, head, bare=coating is None)
    if isinstance(coating, RefusedCoating):
        values: Values = {"coating": coating.says, "refused": coating.refused}
        why = PassRemark(id="coating_refused", values=values)
        return _no_choice(draws, (why,), (PassRemark(id="other_item"),))
    if coating is None:
        return Choice(
            setting=cutting_setting(head, optics, metal, wishes),
            chance_clear=0.0,
            chance_unmarked=0.0,
            chance=0.0,
            draws=draws,
            refused=(),
            would_change_it=(),
        )
    cloud = draws_for(item, metal, coating, head, draws) if believed is None else believed
    width = min(_LIKELY_SLICE_MM, layout.width_centre_mm)
    height = layout.band_to_mm - layout.band_from_mm
    slices = max(1, round(layout.width_centre_mm / width))
    beat = beat_of(item, body, layout, slices, width, height * _LIKELY_INK, _LIKELY_INDEX_S, all_round=False)
    found = best(
        head, optics, tolerances, item.runout_mm, metal, coating, cloud, beat, width * height * _LIKELY_INK, wishes
    )
    change = remarks.would_change(item, head.spot_um is not None, wishes)
    if found is None or (draws and max(found.both, found.with_looks) < FAIR):
        pulses = found.setting.pulses_per_place * found.setting.passes if found else 50.0
        hot = found is not None and found.too_hot
        return _no_choice(draws, remarks.why_no_window(metal, coating, cloud, pulses, hot), change)
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


def removal(
    choice: Choice,
    artwork: Artwork,
    item: Item,
    body: Shape,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    layout: Layout,
    split: Split,
    focus: Focus,
    wishes: Wishes = FREE,
    believed: Draws | None = None,
) -> Removal:
    """The passes that carry out the choice on this split, with what they do to the wall."""
    setting = choice.setting
    if setting is None:
        return _nothing(choice)
    metal, coating = substances(item)
    known = coating if isinstance(coating, Coating) else None
    cloud = draws_for(item, metal, known, head, choice.draws) if believed is None else believed
    times = timing(artwork, drive, head, layout, split, setting)
    block = (layout.band_to_mm - layout.band_from_mm) * artwork.ink_share
    beat = beat_of(item, body, layout, times.inked, split.slice_width_mm, block, times.index_s, all_round=False)
    if known is None:
        return bare_metal(choice, setting, metal, cloud, beat, times, drive, turning, pauses_of(wishes))
    return _lifted(
        choice,
        setting,
        metal,
        known,
        cloud,
        beat,
        times,
        drive,
        turning,
        head,
        optics,
        body,
        layout,
        split,
        focus,
        pauses_of(wishes),
    )


def _lifted(
    choice: Choice,
    setting: Setting,
    metal: Metal,
    coating: Coating,
    draws: Draws,
    beat: Round,
    times: Timing,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    body: Shape,
    layout: Layout,
    split: Split,
    focus: Focus,
    pauses_s: Sequence[float],
) -> Removal:
    """Removal passes, the last pass, pauses and looks for a coating."""
    light = usual_light(focus, optics, setting.defocus_mm)
    low, high = (np.array([share]) for share in light)
    found = passes(grid_from(setting), draws, metal, coating.lift_off_at_ns, setting.pulse_ns, optics, low, high)
    edges = edges_of(setting, draws, metal, coating, optics, low, high) if choice.draws else None
    seen, planned, weight = found.row(0), setting.passes, draws.weight
    most = max(choice.look_after[-1], planned)
    at_most = last_worth(seen, draws, planned, most) if choice.draws else planned
    looked, stop = stopping(seen, draws, at_most)
    last = finishing(setting, head)
    doses = np.append(np.full(at_most, setting.dose_j_mm2), last.dose_j_mm2)
    order, why, pause, cool, rises = in_order(
        drive, turning, beat, times, metal, draws, doses, seen.bare_after, looked, planned + 1, pauses_s, stop
    )
    some, clear = bool(choice.draws), cleared(seen, planned)
    reached = reached_k(rises[:planned])
    stands = unmarked(seen, draws, planned) * (reached < hot_limit_c(draws) - ROOM_C)
    both, with_looks = float(weight @ (clear * stands)), TRUSTED * float(weight @ (looked * cool))
    rows = [
        row_of(n, "lift", setting.power_share, setting, setting.scan_speed_mm_s, "around", pause, times, rise, draws)
        for n, rise in enumerate(rises[:planned], 1)
    ]
    direction, shift = finishing_hatch(body, layout, split.slice_width_mm, setting.hatch_mm)
    finish = row_of(
        planned + 1,
        "finish",
        last.power_share,
        setting,
        last.scan_speed_mm_s,
        direction,
        pause,
        times,
        rises[planned],
        draws,
    )
    rows.append(finish | {"line_shift_mm": shift})
    total = len(rows)
    return Removal(
        setting=setting.model_copy(update={"pause_s": pause}),
        rows=tuple(PassRow(**row) for row in rows),
        chance_clear=float(weight @ clear) if some else 0.0,
        chance_unmarked=float(weight @ stands) if some else 0.0,
        chance=both if some else 0.0,
        draws=choice.draws,
        **temperatures(ROOM_C + reached, draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=times.slice_by_slice(total, pause),
        time_all_round_s=times.all_round(total, pause) if isinstance(drive, Chuck) else None,
        refused=(),
        would_change_it=choice.would_change_it,
        before=BEFORE,
        after=AFTER,
        remarks=(
            *([PassRemark(id="edges")] if edges else []),
            *remarks.of_coating(setting, coating, metal, light, draws, cool),
        ),
        chance_with_looks=with_looks if some else 0.0,
        look_after=each_pass(at_most),
        typed_passes=1,
        passes_at_most=at_most,
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
