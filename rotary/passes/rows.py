"""The order of passes and slices, their rhythm, and the rows that say so."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.layout import Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.item import Body, Item
from rotary.passes.beliefs import Draws, Metal
from rotary.passes.choosing import PAUSES_S, shortest_pause
from rotary.passes.heating import ROOM_C, Round
from rotary.passes.setting import Setting
from rotary.passes.timing import Timing

Floats = NDArray[np.float64]
Order = Literal["slice-by-slice", "all-round"]


def beat_of(
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


def _creep(share: float) -> str:
    """How far, where it is only believed; a full turn that was read has it in its scale already."""
    return f" (about {100 * share:.2g} % of a turn)" if share else ""


def in_order(
    drive: Chuck | Rollers,
    turning: ItemTurning,
    beat: Round,
    times: Timing,
    metal: Metal,
    draws: Draws,
    doses: Floats,
    bare: Floats,
    works: NDArray[np.bool_],
    pauses_s: Sequence[float] = PAUSES_S,
) -> tuple[Order, str, float, NDArray[np.bool_], Floats]:
    """The order of passes and slices, why, the pause, which draws stay cool, and the wall's rises."""
    total = len(doses)
    pause, cool, rises = shortest_pause(beat, times.slice_s, metal, draws, doses, bare, works, pauses_s)
    order: Order = "slice-by-slice"
    if isinstance(drive, Rollers):
        why = (
            f"on rollers the item may creep{_creep(turning.creep_share)}: passes all round would land beside each "
            "other, so every slice is finished first"
        )
    else:
        round_beat = replace(beat, all_round=True)
        other, other_cool, other_rises = shortest_pause(
            round_beat, times.slice_s, metal, draws, doses, bare, works, pauses_s
        )
        here, there = times.slice_by_slice(total, pause), times.all_round(total, other)
        why = "the quicker order here; nothing has to be found again between passes"
        if there < 0.95 * here:
            order, pause, cool, rises = "all-round", other, other_cool, other_rises
            why = "each slice cools while the others are marked: the pauses cost nothing"
    return order, why, pause, cool, rises


def row_of(
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
    """The fields of one row of the plan, without what to look for."""
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
    if len(values) == 1:
        return float(values[0])
    order = np.argsort(values)
    heap = np.cumsum(weight[order])
    return float(values[order[min(int(np.searchsorted(heap, share * heap[-1])), len(values) - 1)]])


def temperatures(peak_c: Floats, draws: Draws) -> dict[str, float]:
    """The wall's temperature at 5, 50 and 95 % of the draws, by field name."""
    return {f"wall_c_{at}": quantile(peak_c, draws.weight, at / 100) for at in (5, 50, 95)}
