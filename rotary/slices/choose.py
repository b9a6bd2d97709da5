"""Among all whole-step splits that keep to the limits, the one with the least run time."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.errors import refuse
from rotary.formulas import keying, motion
from rotary.formulas.duration import turn_time_s
from rotary.setup import Setup
from rotary.slices.limits import WIDEST_INDEX_RAD, Bound, Method, WallSurvey, applicable
from rotary.slices.models import Candidate, LimitId
from rotary.turning.models import Chuck, Rollers

MOST_SLICES: Final = 4001
NARROWEST_SPOTS: Final = 2
"""A slice narrower than this many spots is all seam: no choice is made below it."""

MORE_STEPS: Final = 90
"""So many more steps an index are tried until the angle can be typed in its decimals."""

KEYED_MM: Final = 0.005
"""A column that can be typed this near to the width of its slice is as good as exact."""

EPS: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Splits:
    """Whole-step splits (n,): steps an index, inked slices, columns on the sheet, time of all turns [s].

    `off_mm` is how far the nearest column that can be typed is off the width of a slice of flat artwork; `flat_only`
    are splits that were added because theirs can be typed well, `whole` those of whole cycles of the motor.
    """

    steps: NDArray[np.int64]
    inked: NDArray[np.int64]
    slices: NDArray[np.int64]
    index_rad: NDArray[np.float64]
    time_s: NDArray[np.float64]
    closing_steps: NDArray[np.float64]
    off_mm: NDArray[np.float64]
    flat_only: NDArray[np.bool_]
    whole: NDArray[np.bool_]

    def wide_enough(self, least_rad: float) -> NDArray[np.bool_]:
        """Which are of at least this index, or of one slice; all where none is."""
        wide = (self.index_rad >= least_rad) | (self.inked == 1)
        return np.asarray(wide if wide.any() else ~wide)

    def suits(self, method: Method, among: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Of the splits `among`, those for a method: for flat artwork the ones whose columns can be typed best."""
        if method == "sliced" or not among.any():
            return among & ~self.flat_only
        off = np.where(self.inked > 1, self.off_mm, 0.0)
        return among & (off <= max(KEYED_MM, float(off[among].min()) + EPS))


@dataclass(frozen=True, slots=True)
class Pick:
    """A split that was chosen for one method; `widest_rad` is the widest index that keeps to every limit which a
    width can keep to, `unmet` are the limits that the choice breaks."""

    method: Method
    at: int
    widest_rad: float
    unmet: tuple[LimitId, ...]
    seen: WallSurvey

    def typed_mm(self, splits: Splits) -> float:
        """The worst that a seam may be off with columns as they can be typed; none where no slices meet."""
        if splits.inked[self.at] < 2:
            return 0.0
        worst = self.seen.worst_mm(self.method, float(splits.index_rad[self.at]))
        off = float(splits.off_mm[self.at]) if self.method == "flat" else 0.0
        return worst + (off if off > KEYED_MM else 0.0)


def all_splits(setup: Setup, flat_mm: Callable[[NDArray[np.float64]], NDArray[np.float64]]) -> Splits:
    """Every number of slices worth having, each with the fewest whole steps that cover the artwork.

    More steps for the same number of slices would only make them wider. Numbers of slices are odd, so that
    programs that divide from the left and from the middle agree; a full ring that needs an even one gets a
    blank column more. `flat_mm` gives how wide a slice of flat artwork is drawn for index angles.
    """
    tolerances, drive, turning, layout = setup.job.tolerances, setup.job.turning, setup.turning, setup.layout
    step, total_rad, reference_mm = turning.rad_per_step, layout.total_angle_rad, layout.reference_radius_mm
    least = math.ceil(total_rad / WIDEST_INDEX_RAD)
    if tolerances.slice_width_mm is not None:
        wanted = max(round(tolerances.slice_width_mm / (reference_mm * step)), 1)
        # One slice that covers the artwork is as wide as a slice gets.
        wanted = min(wanted, max(math.ceil(total_rad / step - EPS), 1))
        if wanted * step > WIDEST_INDEX_RAD:
            raise refuse(
                "tolerances.slice_width",
                "a slice this wide reaches further round the item than the beam can: write at most "
                f'"{math.floor(10 * WIDEST_INDEX_RAD * reference_mm) / 10:g} mm", or leave the slice width out.',
            )
        if layout.is_ring:
            _refuse_open_ring(wanted, setup)
        steps = np.array([wanted])
    elif layout.is_ring:
        count = np.arange(least, max(min(MOST_SLICES, int(turning.steps_per_turn)), least) + 1)
        steps = np.maximum(np.rint(turning.steps_per_turn / count), 1).astype(np.int64)
    else:
        most = max(min(MOST_SLICES, math.ceil(total_rad / step)), 1)
        count = np.arange(least + 1 - least % 2, max(most, least + 1) + 1, 2)
        steps = np.maximum(np.ceil(total_rad / (count * step) - EPS), 1).astype(np.int64)
        steps = np.append(steps, _whole_cycles(steps, turning.cycle_steps, step))
        whole = np.maximum(np.ceil(total_rad / (steps[len(count) :] * step) - EPS), 1).astype(np.int64)
        count = np.append(count, whole + 1 - whole % 2)
        if drive.controller_field == "degrees":
            steps = _typable_in_degrees(steps, count, drive, step)
    # What has the same steps is the same split.
    steps = np.unique(np.asarray(steps, np.int64))
    typed = steps if layout.is_ring else _typable_columns(steps, setup, flat_mm)
    # Wide ones first.
    found = splits_of(np.unique([*steps, *typed])[::-1], setup)
    return replace(
        found,
        off_mm=_off_mm(flat_mm(found.index_rad), drive.typed_decimals),
        flat_only=~np.isin(found.steps, steps),
    )


def _whole_cycles(steps: NDArray[np.int64], cycle: int | None, rad_per_step: float) -> NDArray[np.int64]:
    """The next whole cycles of the motor that cover as much as each of these steps."""
    if cycle is None:
        return steps[:0]
    cycles = np.unique(-(-steps // cycle)) * cycle
    return np.asarray(cycles[cycles * rad_per_step <= WIDEST_INDEX_RAD], np.int64)


def _refuse_open_ring(wanted: int, setup: Setup) -> None:
    """A width that was asked for has to close a ring, where any width does: refused with the nearest that does."""
    turning, arc_mm = setup.turning, setup.layout.reference_radius_mm * setup.turning.rad_per_step
    count = np.arange(2, min(MOST_SLICES, int(turning.steps_per_turn)) + 1)
    steps = np.append(np.maximum(np.rint(turning.steps_per_turn / count), 1).astype(np.int64), wanted)
    count = np.append(count, max(round(turning.steps_per_turn / wanted), 1))
    error_mm = arc_mm * np.abs(motion.closing_error_steps(steps, count, turning.steps_per_turn))
    closes = error_mm <= setup.job.tolerances.accepted_seam_mm
    if closes[-1] or not closes.any():
        return
    at = int(np.argmin(np.where(closes, np.abs(steps - wanted), np.inf)))
    raise refuse(
        "tolerances.slice_width",
        f"slices of {setup.job.tolerances.slice_width_mm:.4g} mm leave the ring open by {error_mm[-1]:.2g} mm. Write "
        f'"{steps[at] * arc_mm:.4g} mm", the nearest width that closes the ring ({count[at]} slices), or leave the '
        "slice width out.",
    )


def _off_mm(width_mm: NDArray[np.float64], decimals: int) -> NDArray[np.float64]:
    """How far the nearest width that can be typed is off each."""
    return np.asarray(np.abs(np.maximum(np.rint(width_mm * 10**decimals), 1) / 10**decimals - width_mm))


def _typable_columns(
    steps: NDArray[np.int64], setup: Setup, flat_mm: Callable[[NDArray[np.float64]], NDArray[np.float64]]
) -> NDArray[np.int64]:
    """Steps near these whose slice of flat artwork is as wide as a column that can be typed; these where all are."""
    drive, step, layout = setup.job.turning, setup.turning.rad_per_step, setup.layout
    grain, arc = 10.0**-drive.typed_decimals, step * layout.reference_radius_mm
    if grain / 2 <= KEYED_MM:
        return steps
    reach = np.arange(MORE_STEPS)
    if setup.job.tolerances.slice_width_mm is not None:
        # A width that was asked for is kept to as nearly as it can be typed.
        most = min(int(grain / 2 / arc), MORE_STEPS)
        reach = np.arange(-most, most + 1)[np.argsort(np.abs(np.arange(-most, most + 1)), kind="stable")]
    trials = steps[:, None] + reach
    angles = np.asarray(np.maximum(trials, 1) * step, np.float64)
    possible = (trials >= 1) & (angles <= WIDEST_INDEX_RAD)
    if drive.controller_field == "degrees":
        indexes = np.ceil(layout.total_angle_rad / angles)
        possible &= keying.degrees_fit(trials, indexes, _keyed_steps(drive), drive.typed_decimals)
    off = np.where(possible, _off_mm(flat_mm(angles), drive.typed_decimals), np.inf)
    fits = off <= KEYED_MM
    at = np.where(fits.any(axis=1), np.argmax(fits, axis=1), np.argmin(off, axis=1))
    return np.asarray(trials[np.arange(len(steps)), at], np.int64)


def _keyed_steps(drive: Chuck | Rollers) -> int:
    return max(round(motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)), 1)


def _typable_in_degrees(
    steps: NDArray[np.int64], count: NDArray[np.int64], drive: Chuck | Rollers, rad_per_step: float
) -> NDArray[np.int64]:
    """The next greater steps whose angle can be typed, where there are such near."""
    # Many counts of narrow slices have the same few steps; the least count is what they come to.
    steps, first = np.unique(steps, return_index=True)
    count = count[first]
    trials = steps[:, None] + np.arange(MORE_STEPS)
    fits = keying.degrees_fit(trials, count[:, None] - 1, _keyed_steps(drive), drive.typed_decimals)
    fits &= trials * rad_per_step <= WIDEST_INDEX_RAD
    return np.where(fits.any(axis=1), steps + np.argmax(fits, axis=1), steps)


def splits_of(steps: NDArray[np.int64], setup: Setup) -> Splits:
    """What follows from whole steps an index (n,)."""
    drive, turning, ring = setup.job.turning, setup.turning, setup.layout.is_ring
    index = steps * turning.rad_per_step
    if ring:
        inked = np.maximum(np.rint(turning.steps_per_turn / steps), 1).astype(np.int64)
    else:
        # A flat is one slice, however its steps are rounded.
        total = setup.layout.total_angle_rad if setup.shape.flats is None else 0.0
        inked = np.maximum(np.ceil(total / index - EPS), 1).astype(np.int64)
    slices = inked + 1 - inked % 2
    turns = inked - 1
    time = turns * turn_time_s(index, drive.top_speed_rad_s, drive.acceleration_rad_s2, drive.settling_s)
    back = turn_time_s(turns * index, drive.top_speed_rad_s, drive.acceleration_rad_s2, drive.settling_s)
    closing = motion.closing_error_steps(steps, inked, turning.steps_per_turn) if ring else np.zeros(len(steps))
    none = np.zeros(len(steps))
    cycle = turning.cycle_steps
    whole = steps % cycle == 0 if cycle else none > 0
    if drive.controller_field == "degrees":
        # What can't be typed comes out as other steps.
        whole = whole & keying.degrees_fit(steps, slices - 1, _keyed_steps(drive), drive.typed_decimals)
    return Splits(steps, inked, slices, np.asarray(index, np.float64), time + back, closing, none, none > 0, whole)


class ChoiceLimits(NamedTuple):
    """The narrowest index that a limit is obeyed to, the narrowest that its seams go with [rad], and by how many steps
    a ring may miss its own start."""

    floor_rad: float
    least_rad: float
    closing_steps: float


class IndexKind(NamedTuple):
    """One kind of indexes: what the wall looks like with their stops, and the limits that follow."""

    seen: WallSurvey
    bounds: list[Bound]


def pick_by_kind(splits: Splits, kinds: tuple[IndexKind, IndexKind], method: Method, limits: ChoiceLimits) -> Pick:
    """The choice of one method among free indexes and whole cycles of the motor (`kinds`, in this order).

    Whole cycles go first where they keep to every limit that free ones keep to: what repeats with the cycle drops
    out of every seam. Not where a test has read that they stop worse, and not where no slices meet.
    """
    wide = splits.wide_enough(limits.least_rad)
    some = [mask if splits.suits(method, mask).any() else None for mask in (~splits.whole & wide, splits.whole & wide)]
    picks = [
        None if mask is None else best_pick(splits, kind.bounds, method, limits, kind.seen, mask)
        for kind, mask in zip(kinds, some, strict=True)
    ]
    free, whole = picks
    if free is None or whole is None:
        return next(pick for pick in picks if pick is not None)
    if splits.inked[free.at] == 1 or set(whole.unmet) - set(free.unmet):
        return free
    if method == "flat" and splits.off_mm[whole.at] > max(KEYED_MM, float(splits.off_mm[free.at])):
        return free
    reach = max(free.widest_rad, float(splits.index_rad[free.at]))
    if splits.index_rad[whole.at] > reach * (1 + EPS) and not whole.widest_rad > free.widest_rad:
        return free
    stops = [float(kind.seen.stops_mm.max()) for kind in kinds]
    return free if stops[0] < stops[1] else whole


def best_pick(
    splits: Splits,
    found: list[Bound],
    method: Method,
    limits: "ChoiceLimits",
    seen: WallSurvey,
    among: NDArray[np.bool_],
) -> Pick:
    """The split with the least time among those that keep to every limit that a width can keep to."""
    floor_rad, _, closing_tolerance_steps = limits
    binding = [bound for bound in found if bound.binds(method) and bound.index_rad >= floor_rad]
    widest = min((bound.index_rad for bound in binding), default=math.inf)
    alone = min((bound.index_rad for bound in binding if not bound.at_seams_only), default=math.inf)
    narrow = splits.index_rad <= np.where(splits.inked == 1, alone, widest) * (1 + EPS)
    closes = np.abs(splits.closing_steps) <= closing_tolerance_steps
    fits = splits.suits(method, among & narrow & closes)
    unmet: list[LimitId] = []
    if not fits.any():
        fits = splits.suits(method, among & narrow)
        if not fits.any():
            own = splits.suits(method, among)
            fits = among & (splits.steps == splits.steps[own].min())
        # Of those that can't close, the nearest to closing; the rest of the choice goes by time.
        if not (among & closes).any():
            miss = np.where(fits, np.abs(splits.closing_steps), np.inf)
            fits = fits & (miss <= miss.min() + EPS)
    fits = _or_typed_better(splits, fits, method, seen, among)
    at = int(np.flatnonzero(fits)[np.argmin(splits.time_s[fits])])
    if abs(float(splits.closing_steps[at])) > closing_tolerance_steps:
        unmet.append("closing")
    index = float(splits.index_rad[at])
    unmet += [b.id for b in applicable(found, method, int(splits.inked[at])) if index > b.index_rad * (1 + 1e-6)]
    return Pick(method, at, widest, tuple(unmet), seen)


def _or_typed_better(
    splits: Splits, fits: NDArray[np.bool_], method: Method, seen: WallSurvey, among: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Where no column of these can be typed well, the split of flat artwork with the least error in all, if any is."""
    if method == "sliced" or float(splits.off_mm[fits].min()) <= KEYED_MM or splits.inked[fits].min() == 1:
        return fits
    worst = splits.off_mm + np.interp(splits.index_rad, seen.at.index_rad, seen.worst_plain)
    worst = np.where(np.isfinite(worst) & among, worst, np.inf)
    return worst <= worst.min() if worst.min() < worst[fits].min() else fits


def runners_up(
    splits: Splits,
    kinds: tuple[IndexKind, IndexKind],
    pick: Pick,
    reference_mm: float,
    least_mm: float,
    closing_tolerance_steps: float,
) -> tuple[Candidate, ...]:
    """The next wider splits and what they break, the next narrower and what they cost."""
    by_width = np.argsort(-splits.index_rad, kind="stable")
    place = int(np.flatnonzero(by_width == pick.at)[0])
    near = [*by_width[max(place - 2, 0) : place], *by_width[place + 1 : place + 3]]
    near = [at for at in near if splits.wide_enough(least_mm / reference_mm)[at]]

    def candidate(at: int) -> Candidate:
        index, time = float(splits.index_rad[at]), float(splits.time_s[at])
        seen, found = kinds[int(splits.whole[at])]
        bounds = applicable(found, pick.method, int(splits.inked[at]))
        broken = [b.id for b in bounds if b.obeyed and index > b.index_rad * (1 + 1e-6)]
        if abs(float(splits.closing_steps[at])) > closing_tolerance_steps:
            broken.append("closing")
        return Candidate(
            steps=int(splits.steps[at]),
            index_angle_rad=index,
            slice_width_mm=index * reference_mm,
            slices=int(splits.slices[at]),
            time_s=time,
            worst_95_mm=seen.worst_mm(pick.method, index),
            breaks=tuple(broken),
            longer_s=time - float(splits.time_s[pick.at]),
        )

    return tuple(candidate(int(at)) for at in near)
