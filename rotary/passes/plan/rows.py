"""The order of passes and slices, their rhythm, and the rows that say so."""

from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from rotary.drive import Rollers
from rotary.focus import SlicedSetup
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan.heating import ROOM_C, Round
from rotary.passes.plan.pausing import Course, pauses_of, shortest_pause
from rotary.passes.plan.setting import Choice, Direction, OrderWhy, Setting
from rotary.passes.plan.timing import Timing
from rotary.setup import Setup

Floats = NDArray[np.float64]
Order = Literal["slice-by-slice", "all-round"]
PassKind = Literal["lift", "finish", "cut"]

# As the split has it: a wall that differs less is straight; a width that is a whole number of lines to a fiftieth.
_STRAIGHT_MM: Final = 0.001
_WHOLE_LINES: Final = 0.02


@dataclass(frozen=True, slots=True)
class Work:
    """What the passes of a job are reckoned by once its slices are known."""

    setup: SlicedSetup
    choice: Choice
    setting: Setting
    material: Material
    beat: Round
    times: Timing


def beat_of(setup: Setup, slices: int, width_mm: float, block_mm: float, index_s: float) -> Round:
    """The rhythm and the sizes that the heat needs; marking time and pause follow with the setting."""
    radius, item = setup.layout.reference_radius_mm, setup.job.item
    return Round(
        mark_s=1.0,
        pause_s=0.0,
        index_s=index_s,
        slices=slices,
        all_round=False,
        slice_mm=width_mm,
        block_mm=block_mm,
        girth_mm=2 * np.pi * radius,
        length_mm=setup.shape.length_mm,
        depth_mm=radius / 2 if item.solid else item.wall_mm or 0.5,
        thin=not item.solid,
    )


def in_order(work: Work, course: Course, total: int) -> tuple[Order, OrderWhy, float, NDArray[np.bool_], Floats]:
    """The order of passes and slices, why, the pause, which draws stay cool, and the wall's rises.

    `total` passes are planned; the course may go on beyond them, as far as each draw's `stop`.
    """
    setup, times, pauses_s = work.setup, work.times, pauses_of(work.setup.job.passes)
    pause, cool, rises = shortest_pause(work.beat, times.slice_s, work.material, course, pauses_s)
    order: Order = "slice-by-slice"
    if isinstance(setup.job.drive, Rollers):
        # A full turn that was read has the creep in its scale already.
        why: OrderWhy = "creep" if setup.turning.creep_share else "rollers"
    else:
        round_beat = replace(work.beat, all_round=True)
        other, other_cool, other_rises = shortest_pause(round_beat, times.slice_s, work.material, course, pauses_s)
        here, there = times.slice_by_slice(total, pause), times.all_round(total, other)
        why = "quicker"
        # Where the pause is held, only the order can keep the wall cool.
        cooler = len(pauses_s) == 1 and float(work.material.draws.weight @ other_cool) > float(
            work.material.draws.weight @ cool
        )
        if there < 0.95 * here or cooler:
            order, pause, cool, rises = "all-round", other, other_cool, other_rises
            why = "cooler"
    return order, why, pause, cool, rises


def row_of(
    work: Work,
    number: int,
    kind: Literal["lift", "finish", "cut"],
    setting: Setting,
    direction: Direction,
    rise: Floats,
) -> dict[str, Any]:
    """The fields of one row of the plan; `setting` is that pass's own."""
    return {
        "number": number,
        "kind": kind,
        "power_share": setting.power_share,
        "scan_speed_mm_s": setting.scan_speed_mm_s,
        "hatch_mm": setting.hatch_mm,
        "hatch_direction": direction,
        "pause_before_s": setting.pause_s if number > 1 else 0.0,
        "time_s": work.times.slice_s * work.times.inked,
        "wall_peak_c": ROOM_C + quantile(rise, work.material.draws.weight, 0.95),
    }


def finishing_hatch(setup: Setup, slice_mm: float, hatch_mm: float) -> tuple[Direction, float]:
    """Which way the lines of the last pass run, and how far they are shifted [mm].

    The rule of the split: lines along the axis fit a slice only on a straight wall and where its width is a
    whole number of them, else they beat at the joints. Where they don't, lines run around again, half
    a hatch on, and so between those of the removal passes.
    """
    radii = setup.shape.radius_mm(np.linspace(setup.layout.band_from_mm, setup.layout.band_to_mm, 9))
    lines = slice_mm / hatch_mm
    if float(np.ptp(radii)) < _STRAIGHT_MM and abs(lines - round(lines)) < _WHOLE_LINES:
        return "along", 0.0
    return "around", hatch_mm / 2


def temperatures(peak_c: Floats, draws: Draws) -> dict[str, float]:
    """The wall's temperature at 5, 50 and 95 % of the draws, by field name."""
    return {f"wall_c_{at}": quantile(peak_c, draws.weight, at / 100) for at in (5, 50, 95)}
