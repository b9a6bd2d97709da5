"""How long the items of a job take: by the machine from the plan, by hand from beliefs and the runs that were timed."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from rotary.actions.models import JobTime
from rotary.formulas.batch import Guess, TimedRuns, batch_time, guesses_from_runs
from rotary.passes.plan.setting import Removal
from rotary.passes.plan.timing import timing
from rotary.plan import Plan

ONCE: Final = Guess(200.0, 1.2)
"""Mounting the rotary's stop, focus, import, typing [s]: an estimate, no source."""

LOOK_S: Final = 20.0
"""Letting a slice cool, wiping it, looking at it: an estimate, no source."""

BY_HAND: Final = Guess(80.0, 1.0)
"""Taking an item off and the next one on, wiping it, looking at its seams: an estimate, no source."""

LOOKING_SHARE: Final = 0.3
"""Of what is done by hand for each item (estimate)."""

COUNTED: Final = Guess(1.0, 0.15)
UNCOUNTED: Final = Guess(0.9, 0.4)
"""How many times as long as planned the machine takes; on a coating nobody knows yet how many passes it wants."""

SAME_POWER: Final = 1e-6
DUST_S: Final = 1e-6
"""Less is rounding."""

LEARNED_FROM: Final = 2
"""With fewer timed runs it is an estimate."""


class TimedRun(NamedTuple):
    """A run that was timed: items, how long [s], and how many passes before the last one, where that was counted.

    Of another job's run `machine_s` says what the machine needed for one item [s].
    """

    items: int
    took_s: float
    passes: int | None = None
    machine_s: float | None = None


class MachineTime(NamedTuple):
    """What the machine needs for one item [s]."""

    marking_s: float
    turning_s: float
    pauses_s: float

    @property
    def whole_s(self) -> float:
        """All of it."""
        return self.marking_s + self.turning_s + self.pauses_s


def machine_time(plan: Plan, passes: int | None = None, once_s: float | None = None) -> MachineTime | None:
    """What the machine needs for one item, with other `passes` than planned before the last one where they were
    counted, and `once_s` for marking all its slices once where that is known from its own lines; None where the plan
    offers no passes."""
    steps = plan.removal
    if steps.setting is None:
        return None
    times, pause = timing(plan, steps.setting), max((row.pause_before_s for row in steps.rows), default=0.0)
    has_last = steps.last_when is not None
    count = (_passes_each(steps) if passes is None else passes) + has_last
    each_s = sum(row.time_s for row in steps.rows) / max(len(steps.rows), 1)
    turns = (times.inked - 1) * times.index_s
    if steps.order == "all-round":
        whole = times.all_round(count, pause)
        turning = count * turns + (count - 1) * times.back_s + times.blank_s
    else:
        last_after_all = steps.last_when == "after all"
        whole = times.slice_by_slice(count, pause, last_after_all)
        turning = turns * (1 + last_after_all) + times.back_s * last_after_all + times.blank_s * (1 + last_after_all)
    # What is left of the whole beside marking and turning is waited.
    pauses = whole - count * times.slice_s * times.inked - turning
    return MachineTime(count * (each_s if once_s is None else once_s), turning, pauses if pauses > DUST_S else 0.0)


def _passes_each(steps: Removal) -> int:
    """Passes of a slice before the last one. On a coating nobody counted yet they are those of the rung at which it is
    expected to come clean: only the first slices climb the whole ladder."""
    rows = [row for row in steps.rows if row.kind != "finish"]
    if not steps.rungs or steps.counted_passes:
        return len(rows)
    at_power = [rung.passes for rung in steps.rungs if abs(rung.power_share - rows[-1].power_share) < SAME_POWER]
    return min(len(rows), *at_power) if at_power else len(rows)


def job_time(plan: Plan, runs: Sequence[TimedRun] = (), marking_s: Sequence[float] = ()) -> JobTime | None:
    """How long one item takes and all that are wanted, after the runs that were timed, the latest first. Runs of other
    jobs teach how long hands take; with them alone it stays an estimate.

    `marking_s` is how long each file of a list takes to be marked once: then they all are wanted, one of each. None
    where no passes are offered.
    """
    # Each pass of each file counts, so that the mean of all files stands for one of them.
    machine = machine_time(plan, once_s=sum(marking_s) / len(marking_s) if marking_s else None)
    if machine is None:
        return None
    steps, pieces = plan.removal, len(marking_s) or plan.job.order.pieces
    own, others = [run for run in runs if run.machine_s is None], [run for run in runs if run.machine_s is not None]
    is_known = not steps.removes_coating or bool(steps.counted_passes)
    # Whoever ran it knows how many passes it takes.
    looks = 0 if is_known or own else len(steps.rows)
    once, by_hand = ONCE, BY_HAND
    if others:
        once, by_hand = guesses_from_runs(_columns(others, machine, plan), ONCE, BY_HAND, UNCOUNTED)
    once = Guess(once.median + looks * LOOK_S, once.spread)
    rate = COUNTED if is_known else UNCOUNTED
    found = batch_time(pieces or 1, machine.whole_s, _columns(own, machine, plan), once, by_hand, rate)
    pace = found.machine_s / machine.whole_s
    return JobTime(
        marking=round(pace * machine.marking_s, 1),
        turning=round(pace * machine.turning_s, 1),
        pauses=round(pace * machine.pauses_s, 1),
        looking=round(LOOKING_SHARE * found.by_hand_s, 1),
        handling=round((1 - LOOKING_SHARE) * found.by_hand_s, 1),
        piece=round(found.machine_s + found.by_hand_s, 1),
        once=round(found.once_s, 1),
        pieces=pieces,
        total=round(found.total_s, 1),
        low=round(found.low_s, 1),
        high=round(found.high_s, 1),
        runs=len(own),
        others=len(others),
        estimate=len(own) < LEARNED_FROM,
    )


def _columns(runs: Sequence[TimedRun], machine: MachineTime, plan: Plan) -> TimedRuns:
    each = [run.machine_s or (machine_time(plan, run.passes) or machine).whole_s for run in runs]
    return TimedRuns(
        np.array([float(run.items) for run in runs]), np.array([run.took_s for run in runs]), np.array(each)
    )
