"""The order of passes and slices, their rhythm, and the rows that say so."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.layout import Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.item import Item, Shape
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Draws, Metal
from rotary.passes.plan.heating import ROOM_C, Round
from rotary.passes.plan.pausing import PAUSES_S, shortest_pause
from rotary.passes.plan.setting import Direction, OrderWhy, Setting
from rotary.passes.plan.timing import Timing

Floats = NDArray[np.float64]
Order = Literal["slice-by-slice", "all-round"]

# As the split has it: a wall that differs less is straight; a width that is a whole number of lines to a fiftieth.
_STRAIGHT_MM: Final = 0.001
_WHOLE_LINES: Final = 0.02


def beat_of(
    item: Item,
    body: Shape,
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


def in_order(
    drive: Chuck | Rollers,
    turning: ItemTurning,
    beat: Round,
    times: Timing,
    metal: Metal,
    draws: Draws,
    doses: Floats,
    bare: Floats,
    works: Floats | NDArray[np.bool_],
    total: int,
    pauses_s: Sequence[float] = PAUSES_S,
    stop: Floats | None = None,
) -> tuple[Order, OrderWhy, float, NDArray[np.bool_], Floats]:
    """The order of passes and slices, why, the pause, which draws stay cool, and the wall's rises.

    `total` passes are planned; `doses` may go on beyond them, as far as each draw's `stop`.
    """
    pause, cool, rises = shortest_pause(beat, times.slice_s, metal, draws, doses, bare, works, pauses_s, stop)
    order: Order = "slice-by-slice"
    if isinstance(drive, Rollers):
        # A full turn that was read has the creep in its scale already.
        why: OrderWhy = "creep" if turning.creep_share else "rollers"
    else:
        round_beat = replace(beat, all_round=True)
        other, other_cool, other_rises = shortest_pause(
            round_beat, times.slice_s, metal, draws, doses, bare, works, pauses_s, stop
        )
        here, there = times.slice_by_slice(total, pause), times.all_round(total, other)
        why = "quicker"
        if there < 0.95 * here:
            order, pause, cool, rises = "all-round", other, other_cool, other_rises
            why = "cooler"
    return order, why, pause, cool, rises


def row_of(
    number: int,
    kind: Literal["lift", "finish", "cut"],
    share: float,
    setting: Setting,
    speed_mm_s: float,
    direction: Direction,
    pause_s: float,
    times: Timing,
    rise: Floats,
    draws: Draws,
) -> dict[str, Any]:
    """The fields of one row of the plan."""
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
    }


def finishing_hatch(body: Shape, layout: Layout, slice_mm: float, hatch_mm: float) -> tuple[Direction, float]:
    """Which way the lines of the last pass run, and how far they are shifted [mm].

    The rule of the split: lines along the axis fit a slice only on a straight wall and where its width is a
    whole number of them, else they beat at the joints. Where they don't, lines run around again, half
    a hatch on, and so between those of the removal passes.
    """
    radii = body.radius_mm(np.linspace(layout.band_from_mm, layout.band_to_mm, 9))
    lines = slice_mm / hatch_mm
    if float(np.ptp(radii)) < _STRAIGHT_MM and abs(lines - round(lines)) < _WHOLE_LINES:
        return "along", 0.0
    return "around", hatch_mm / 2


def temperatures(peak_c: Floats, draws: Draws) -> dict[str, float]:
    """The wall's temperature at 5, 50 and 95 % of the draws, by field name."""
    return {f"wall_c_{at}": quantile(peak_c, draws.weight, at / 100) for at in (5, 50, 95)}
