"""The order of passes and slices, their rhythm, and the rows that say so."""

from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import numpy as np

from rotary.focus import SlicedSetup
from rotary.formulas.arrays import Floats
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan.heat import Round
from rotary.passes.plan.pace import LadderStart, PacedLadder, Rhythm, quickest_cool
from rotary.passes.plan.pauses import Course, pauses_of, shortest_pause
from rotary.passes.plan.setting import ROOM_C, Choice, Direction, OrderWhy, Setting
from rotary.passes.plan.timing import Timing, timing
from rotary.setup import Setup
from rotary.slices import needs_single_files
from rotary.slices.limits import STRAIGHT_MM
from rotary.turning.models import Rollers

Order = Literal["slice-by-slice", "all-round"]

_WHOLE_LINES: Final = 0.02
"""A width is a whole number of lines where it is within this of one."""


@dataclass(frozen=True, slots=True)
class Work:
    """What the passes of a job are reckoned by once its slices are known."""

    setup: SlicedSetup
    choice: Choice
    setting: Setting
    material: Material
    beat: Round
    times: Timing

    def at(self, setting: Setting) -> "Work":
        """The same at another setting."""
        return replace(self, setting=setting, times=timing(self.setup, setting))


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


def turns_between(setup: SlicedSetup) -> bool:
    """Whether the program turns from slice to slice, so that it has to run several passes or settings on one."""
    return setup.split.slices > 1


def has_last_pass(setup: SlicedSetup) -> bool:
    """Whether a coating gets the weaker last pass: on rollers only where the program runs two settings on a slice."""
    on_rollers = isinstance(setup.job.turning, Rollers)
    return not (on_rollers and turns_between(setup) and setup.job.program.can_change_setting is False)


def is_file_per_slice(setup: SlicedSetup) -> bool:
    """Whether each slice has a file of its own: on rollers, where the program can't run several passes on a slice."""
    return turns_between(setup) and needs_single_files(setup)


def is_last_after_all(setup: SlicedSetup) -> bool:
    """Whether the last pass goes round once all slices have had theirs, since the program has one setting a slice."""
    return turns_between(setup) and setup.job.program.can_change_setting is False


def in_order(work: Work, course: Course) -> tuple[Order, OrderWhy, float, Floats]:
    """The order of passes and slices in bare metal, why, the pause, and the wall's rises."""
    setup, times, pauses_s = work.setup, work.times, pauses_of(work.setup.job.passes, work.setup.job.program)
    pause, cool, rises = shortest_pause(work.beat, times.slice_s, work.material, course, pauses_s)
    if isinstance(setup.job.turning, Rollers):
        # A full turn that was read has the creep in its scale already.
        return "slice-by-slice", "creep" if setup.turning.slip_share else "rollers", pause, rises
    round_beat = replace(work.beat, all_round=True)
    other, other_cool, other_rises = shortest_pause(round_beat, times.slice_s, work.material, course, pauses_s)
    if turns_between(setup) and setup.job.program.can_repeat_slice is False:
        return "all-round", "program", other, other_rises
    passes = work.setting.passes
    # Where the pause can't be changed, only the order can keep the wall cool.
    weight = work.material.draws.weight
    cooler = len(pauses_s) == 1 and float(weight @ other_cool) > float(weight @ cool)
    if times.all_round(passes, other) < 0.95 * times.slice_by_slice(passes, pause) or cooler:
        return "all-round", "cooler", other, other_rises
    return "slice-by-slice", "quicker", pause, rises


def laddered(candidate: LadderStart, work: Work, how: Rhythm) -> tuple[Order, OrderWhy, PacedLadder]:
    """The order of passes and slices for a ladder, why, and how it is run."""
    setup, run = work.setup, quickest_cool(candidate, work.setup, work.material, how)
    if isinstance(setup.job.turning, Rollers):
        # A full turn that was read has the creep in its scale already.
        return "slice-by-slice", "creep" if setup.turning.slip_share else "rollers", run
    if run.all_round:
        return "all-round", "cooler" if how.may_go_round else "program", run
    # What is quicker and was not taken heats the wall more.
    total, times = len(run.levels) + how.has_last, work.times
    rests = how.may_go_round and times.all_round(total, run.pause_s) < times.slice_by_slice(total, run.pause_s)
    return "slice-by-slice", "rests" if rests else "quicker", run


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
        "speed_mm_s": setting.speed_mm_s,
        "line_spacing_mm": setting.line_spacing_mm,
        "fill_direction": direction,
        "pause_before_s": setting.pause_s if number > 1 else 0.0,
        "time_s": work.times.slice_s * work.times.inked,
        "wall_peak_c": ROOM_C + quantile(rise, work.material.draws.weight, 0.95),
    }


def finishing_hatch(setup: Setup, slice_mm: float, line_spacing_mm: float) -> tuple[Direction, float]:
    """Which way the lines of the last pass run, and how far they are shifted [mm].

    The rule of the split: lines along the axis fit a slice only on a straight wall and where its width is a
    whole number of them, else they beat at the seams. Where they don't, lines run around again, half
    a hatch on, and so between those of the removal passes.
    """
    radii = setup.shape.radius_mm(np.linspace(setup.layout.artwork_from_mm, setup.layout.artwork_to_mm, 9))
    lines = slice_mm / line_spacing_mm
    if float(np.ptp(radii)) < STRAIGHT_MM and abs(lines - round(lines)) < _WHOLE_LINES:
        return "along", 0.0
    return "around", line_spacing_mm / 2


def temperatures(rises: Floats, draws: Draws) -> dict[str, float]:
    """The wall's highest temperature at 5, 50 and 95 % of the draws, by field name; of its rises over the passes."""
    highest_c = ROOM_C + rises.max(axis=0)
    return {f"wall_c_{at}": quantile(highest_c, draws.weight, at / 100) for at in (5, 50, 95)}
