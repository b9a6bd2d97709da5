"""The removal plan: a setting chosen over all beliefs at once, its passes, its chance, its heat, its time."""

from dataclasses import replace
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.layout import Artwork, Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.focus import Focus
from rotary.head import Head, Optics
from rotary.item import Body, Item
from rotary.passes import wording
from rotary.passes.beliefs import Coating, Draws, Metal, RefusedCoating, draws_for, substances
from rotary.passes.choosing import best, grid_from, hot_limit_c, shortest_pause
from rotary.passes.cutting import cutting_setting, depth_per_pass_um
from rotary.passes.heating import ROOM_C, Round, rises_k
from rotary.passes.setting import Choice, PassRow, Removal, Seen, Setting
from rotary.passes.timing import Timing, timing
from rotary.passes.window import LEAST_POWER_SHARE, passes
from rotary.slices import Split, Tolerances

__all__ = ["Choice", "PassRow", "Removal", "Seen", "Setting", "choice", "removal"]

Floats = NDArray[np.float64]

# What a slice is likely to be, before the split is known: the plan is computed again with the real one.
_LIKELY_SLICE_MM: Final = 6.0
_LIKELY_INK: Final = 0.35
_LIKELY_INDEX_S: Final = 0.4
_FINISH_SHARE: Final = 0.65

Order = Literal["slice-by-slice", "all-round"]


def choice(
    item: Item, body: Body, layout: Layout, head: Head, optics: Optics, tolerances: Tolerances, draws: int = 1000
) -> Choice:
    """The setting with the best joint chance of clear and unmarked, then the least time."""
    metal, coating = substances(item)
    if isinstance(coating, RefusedCoating):
        says = f"{coating.says}: {coating.refused}"
        return _no_choice(0, (says,), ("an item with a coating that may be lifted",))
    if coating is None:
        return Choice(
            setting=cutting_setting(head, optics),
            chance_clear=0.0,
            chance_unmarked=0.0,
            chance=0.0,
            draws=draws,
            refused=(),
            would_change_it=(),
        )
    cloud = draws_for(item, metal, coating, head, draws)
    width = min(_LIKELY_SLICE_MM, layout.width_centre_mm)
    height = layout.band_to_mm - layout.band_from_mm
    slices = max(1, round(layout.width_centre_mm / width))
    beat = _round(item, body, layout, slices, width, height * _LIKELY_INK, _LIKELY_INDEX_S, all_round=False)
    found = best(head, optics, tolerances, item.runout_mm, metal, coating, cloud, beat, width * height * _LIKELY_INK)
    change = wording.would_change(item, coating, head.spot_um is not None, head.focal_length_mm, tolerances.focus_mm)
    if found is None or (draws and max(found.both, found.with_looks) < wording.FAIR):
        pulses = found.setting.pulses_per_place * found.setting.passes if found else 50.0
        return _no_choice(draws, wording.why_no_window(metal, coating, cloud, pulses, hot=False), change)
    return Choice(
        setting=found.setting,
        chance_clear=found.clear if draws else 0.0,
        chance_unmarked=found.unmarked if draws else 0.0,
        chance=found.both if draws else 0.0,
        draws=draws,
        refused=(),
        would_change_it=change if found.both < wording.GOOD else (),
        chance_with_looks=found.with_looks if draws else 0.0,
    )


def _no_choice(draws: int, refused: tuple[str, ...], would_change_it: tuple[str, ...]) -> Choice:
    return Choice(
        setting=None,
        chance_clear=0.0,
        chance_unmarked=0.0,
        chance=0.0,
        draws=draws,
        refused=refused,
        would_change_it=would_change_it,
    )


def _round(
    item: Item,
    body: Body,
    layout: Layout,
    slices: int,
    width_mm: float,
    block_mm: float,
    index_s: float,
    all_round: bool,
) -> Round:
    """The rhythm and the sizes that the heat needs; marking time and pause follow with the setting."""
    radius = layout.reference_radius_mm
    return Round(
        mark_s=1.0,
        pause_s=0.0,
        index_s=index_s,
        slices=slices,
        all_round=all_round,
        slice_mm=width_mm,
        block_mm=block_mm,
        girth_mm=2 * np.pi * radius,
        length_mm=body.length_mm,
        depth_mm=radius / 2 if item.solid else item.wall_mm or 0.5,
        thin=not item.solid,
    )


def removal(
    choice: Choice,
    artwork: Artwork,
    item: Item,
    body: Body,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    layout: Layout,
    split: Split,
    focus: Focus,
) -> Removal:
    """The passes that carry out the choice on this split, with what they do to the wall."""
    setting = choice.setting
    if setting is None:
        return _nothing(choice)
    metal, coating = substances(item)
    known = coating if isinstance(coating, Coating) else None
    cloud = draws_for(item, metal, known, head, choice.draws)
    times = timing(artwork, drive, head, layout, split, setting)
    block = (layout.band_to_mm - layout.band_from_mm) * artwork.ink_share
    beat = _round(item, body, layout, times.inked, split.slice_width_mm, block, times.index_s, all_round=False)
    if known is None:
        return _bare_metal(choice, setting, metal, cloud, beat, times, drive)
    return _lifted(choice, setting, metal, known, cloud, beat, times, drive, head, optics, focus)


def _lifted(
    choice: Choice,
    setting: Setting,
    metal: Metal,
    coating: Coating,
    draws: Draws,
    beat: Round,
    times: Timing,
    drive: Chuck | Rollers,
    head: Head,
    optics: Optics,
    focus: Focus,
) -> Removal:
    """Lifting passes, the finishing pass, pauses and looks for a coating."""
    low, high = np.array([focus.fluence_low]), np.array([max(focus.fluence_high, 1e-6)])
    seen = passes(grid_from(setting), draws, metal, coating.lift_off_at_ns, setting.pulse_ns, optics, low, high)
    needed, bare, most = seen.needed[0], seen.bare_after[0], seen.most[0]
    clear, stands = needed <= setting.passes, most >= setting.passes
    looks = clear & (np.ceil(needed) <= most)
    finish_share, finish_speed = _finishing(setting, head)
    last = setting.dose_j_mm2 * finish_share / setting.power_share * setting.scan_speed_mm_s / finish_speed
    doses = np.append(np.full(setting.passes, setting.dose_j_mm2), last)
    order, why, pause, cool, rises = _in_order(drive, beat, times, metal, draws, doses, bare, (clear & stands) | looks)
    weight, some = draws.weight, bool(choice.draws)
    both, with_looks = float(weight @ (clear & stands & cool)), float(weight @ (looks & cool))
    peak = ROOM_C + rises.max(axis=0)
    first, sure = _first_and_sure(needed, weight, setting.passes)
    rows = [
        _row(
            n + 1,
            "lift",
            setting.power_share,
            setting,
            setting.scan_speed_mm_s,
            "around",
            pause,
            times,
            rises[n],
            draws,
        )
        | {"look": wording.look(n + 1, first, sure)}
        for n in range(setting.passes)
    ]
    finish = _row(
        len(rows) + 1, "finish", finish_share, setting, finish_speed, "along the axis", pause, times, rises[-1], draws
    )
    rows.append(finish | {"look": "look once more under a slanting light, then the next slice"})
    total = len(rows)
    return Removal(
        setting=setting.model_copy(update={"pause_s": pause}),
        first_line=wording.first_line(both, with_looks, choice.draws, setting.passes),
        rows=tuple(PassRow(**row) for row in rows),
        chance_clear=float(weight @ clear) if some else 0.0,
        chance_unmarked=float(weight @ (stands & cool)) if some else 0.0,
        chance=both if some else 0.0,
        draws=choice.draws,
        **_temperatures(peak, draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=times.slice_by_slice(total, pause),
        time_all_round_s=times.all_round(total, pause) if isinstance(drive, Chuck) else None,
        refused=(),
        would_change_it=choice.would_change_it,
        before=wording.BEFORE,
        after=wording.AFTER,
        notes=_notes(setting, coating, metal, focus, draws, cool),
        chance_with_looks=with_looks if some else 0.0,
        looks=wording.LOOKS,
    )


def _finishing(setting: Setting, head: Head) -> tuple[float, float]:
    """Power share and speed of the finishing pass: weaker pulses, or fewer where the source can't go lower."""
    step = head.power_step_share
    share = round(setting.power_share * _FINISH_SHARE / step) * step
    if share >= max(LEAST_POWER_SHARE, step):
        return round(share, 6), setting.scan_speed_mm_s
    return setting.power_share, min(1.5 * setting.scan_speed_mm_s, head.top_speed_mm_s)


def _first_and_sure(needed: Floats, weight: Floats, count: int) -> tuple[int, int]:
    """The pass that clears in one of twenty draws, and the one by which all have cleared that ever will by `count`."""
    able = np.where(np.isfinite(needed) & (needed <= count), np.ceil(needed), count)
    return max(int(quantile(able, weight, 0.05)), 1), count


def _in_order(
    drive: Chuck | Rollers,
    beat: Round,
    times: Timing,
    metal: Metal,
    draws: Draws,
    doses: Floats,
    bare: Floats,
    works: NDArray[np.bool_],
) -> tuple[Order, str, float, NDArray[np.bool_], Floats]:
    """The order of passes and slices, why, the pause, which draws stay cool, and the wall's rises."""
    total = len(doses)
    pause, cool = shortest_pause(beat, times.slice_s, metal, draws, doses, bare, works)
    order: Order = "slice-by-slice"
    if isinstance(drive, Rollers):
        why = "on rollers the item creeps: passes all round would land beside each other, so every slice is finished first"
    else:
        round_beat = replace(beat, all_round=True)
        other, other_cool = shortest_pause(round_beat, times.slice_s, metal, draws, doses, bare, works)
        here, there = times.slice_by_slice(total, pause), times.all_round(total, other)
        why = "the quicker order here; nothing has to be found again between passes"
        if there < 0.95 * here:
            order, beat, pause, cool = "all-round", round_beat, other, other_cool
            why = "each slice cools while the others are marked: the pauses cost nothing"
    rises = rises_k(beat.with_pause(times.slice_s, pause), metal, draws, doses, bare)
    return order, why, pause, cool, rises


def _row(
    number: int,
    kind: Literal["lift", "finish", "cut"],
    share: float,
    setting: Setting,
    speed_mm_s: float,
    direction: str,
    pause_s: float,
    times: Timing,
    rise: Floats,
    draws: Draws,
) -> dict[str, Any]:
    return {
        "number": number,
        "kind": kind,
        "power_share": share,
        "scan_speed_mm_s": speed_mm_s,
        "hatch_mm": setting.hatch_mm,
        "hatch_direction": direction,
        "pause_before_s": pause_s if number > 1 else 0.0,
        "time_s": times.slice_s * times.inked,
        "wall_peak_c": ROOM_C + quantile(rise, draws.weight, 0.95),
        "look": "",
    }


def quantile(values: Floats, weight: Floats, share: float) -> float:
    """The value below which this share of the weight lies."""
    order = np.argsort(values)
    heap = np.cumsum(weight[order])
    return float(values[order[min(int(np.searchsorted(heap, share * heap[-1])), len(values) - 1)]])


def _temperatures(peak_c: Floats, draws: Draws) -> dict[str, float]:
    return {f"wall_c_{at}": quantile(peak_c, draws.weight, at / 100) for at in (5, 50, 95)}


def _notes(
    setting: Setting, coating: Coating, metal: Metal, focus: Focus, draws: Draws, cool: NDArray[np.bool_]
) -> tuple[str, ...]:
    """What else the person should know about these passes."""
    notes = []
    if setting.defocus_mm > 0:
        notes.append(
            f"The focal plane stands {setting.defocus_mm:g} mm above the surface on purpose: the spot is "
            f"{setting.spot_at_surface_um:.0f} µm wide there and its peak {setting.peak_fluence_j_cm2:.1f} J/cm², which the "
            "metal can stand; in focus it could not."
        )
    notes.append(
        f"Chances hold for the worst places: fluence from {focus.fluence_low:.2f} to {focus.fluence_high:.2f} of the nominal, "
        "the thickest and the thinnest coating, the least- and the most-hit place between the pulses."
    )
    limit = quantile(hot_limit_c(draws), draws.weight, 0.05)
    notes.append(f"The wall should stay below about {limit:.0f} °C (tint, scorched edge; 1 in 20 are touchier).")
    if float(draws.weight @ ~cool) > 0.05:
        notes.append(
            f"The wall gets too hot {wording.in_ten(float(draws.weight @ ~cool))} times, even with these pauses."
        )
    notes.append(f"Coating: {coating.says}. Metal: {metal.says}. Beliefs are estimates where no source was found.")
    return tuple(notes)


def _bare_metal(
    choice: Choice, setting: Setting, metal: Metal, draws: Draws, beat: Round, times: Timing, drive: Chuck | Rollers
) -> Removal:
    """Passes that cut into bare metal, with the depth that may come of them."""
    doses, bare = np.full(setting.passes, setting.dose_j_mm2), np.zeros_like(draws.weight)
    order, why, pause, _, rises = _in_order(drive, beat, times, metal, draws, doses, bare, np.ones_like(bare, bool))
    each = depth_per_pass_um(setting, draws)
    deep = {at: quantile(each, draws.weight, at / 100) for at in (5, 50, 95)}
    count = setting.passes
    rows = [
        _row(
            n + 1,
            "cut",
            setting.power_share,
            setting,
            setting.scan_speed_mm_s,
            _turned(n),
            pause,
            times,
            rises[n],
            draws,
        )
        | {"look": f"about {deep[50] * (n + 1):.1f} µm deep ({deep[5] * (n + 1):.1f} to {deep[95] * (n + 1):.1f})"}
        for n in range(count)
    ]
    return Removal(
        setting=setting.model_copy(update={"pause_s": pause}),
        first_line=(
            f"{count} passes into bare {metal.says}: about {deep[50] * count:.0f} µm deep, anything from "
            f"{deep[5] * count:.0f} to {deep[95] * count:.0f} µm; measure the first and scale the passes."
        ),
        rows=tuple(PassRow(**row) for row in rows),
        chance_clear=0.0,
        chance_unmarked=0.0,
        chance=0.0,
        draws=choice.draws,
        **_temperatures(ROOM_C + rises.max(axis=0), draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=times.slice_by_slice(count, pause),
        time_all_round_s=times.all_round(count, pause) if isinstance(drive, Chuck) else None,
        refused=(),
        would_change_it=(),
        before=wording.BEFORE[:1],
        after=wording.AFTER,
        notes=(
            "Depth is near enough linear in passes: common practice, no source. A range of several is honest here: "
            "gauge the depth of a trial and scale.",
        ),
        depth_um_5=deep[5] * count,
        depth_um_50=deep[50] * count,
        depth_um_95=deep[95] * count,
    )


def _turned(number: int) -> str:
    return "around" if number % 2 == 0 else "along the axis"


def _nothing(choice: Choice) -> Removal:
    """No plan: the reasons stand on the first line."""
    return Removal(
        setting=None,
        first_line="No removal plan: " + " ".join(choice.refused),
        rows=(),
        chance_clear=0.0,
        chance_unmarked=0.0,
        chance=0.0,
        draws=choice.draws,
        wall_c_5=ROOM_C,
        wall_c_50=ROOM_C,
        wall_c_95=ROOM_C,
        order="slice-by-slice",
        order_why="nothing to mark",
        time_slice_by_slice_s=0.0,
        time_all_round_s=None,
        refused=choice.refused,
        would_change_it=choice.would_change_it,
        before=(),
        after=(),
        notes=(),
    )
