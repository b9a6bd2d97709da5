"""The search: every setting against a few draws, the best geometries with ladders, then heat and time.

A ladder is worth the chance that a person who looks after each pass sees the coating come off clean, less a price times
the chance that the metal is marked. Of ladders that are worth nearly the same the quickest is taken that keeps the wall
at its wish, and of those as quick the one with less power.
"""

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.head import LaserAndLens
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan.grid import Grid, Light, grid, worst_places
from rotary.passes.plan.ladder import HALF, HIGHEST, LOWEST, STEP, Climb, climbs, fates, ladders
from rotary.passes.plan.looking import MOST_LOOKED, stopping, unmarked
from rotary.passes.plan.pacing import (
    LadderStart,
    PacedLadder,
    Rhythm,
    is_free,
    keeps,
    least_share,
    quickest_cool,
    rates_of,
    unheated,
)
from rotary.passes.plan.window import PASSES, Passes, passes
from rotary.setup import Setup
from rotary.wishes import FREE, Wishes

# Enough draws to see which settings are worth a ladder, and to choose among ladders.
_FEW: Final = 160
_LADDER_DRAWS: Final = 200
# Settings that hardly differ in worth all get their ladders, for one may be quicker; so many at most.
_NEARLY: Final = 0.08
_GEOMETRIES: Final = 5
_PACED: Final = 4
NEAR_ENOUGH: Final = 0.03
"""What a quicker or cooler ladder may cost in worth."""
# So much slower still counts as quick: then less power decides.
_AS_QUICK: Final = 1.02
# What a doubling of the time costs where no chance is known.
_TIME_COST: Final = 0.03


class Terms(NamedTuple):
    """What a ladder is chosen by: what a marked item costs in clean ones, and whether the spot is measured or read."""

    price: float
    spot_is_known: bool


class Best(NamedTuple):
    """The best ladder, how it is run, and what it is worth; the wall's wish is kept or not."""

    candidate: LadderStart
    run: PacedLadder
    climb: Climb


@dataclass(frozen=True, slots=True)
class _Geometry:
    """A setting with all powers round its own: what the draws say of each level, (levels, n), and of its ladders."""

    one: Grid
    pulse_width_ns: float
    seen: Passes
    climbs: list[Climb]

    def least_s(self, climb: Climb, setup: Setup) -> float:
        """The time of a ladder on a square millimetre at its highest frequency."""
        times = STEP ** (climb.levels - climb.levels[0])
        start = self.one.scaled(np.array([STEP ** climb.levels[0]]))
        ladder = LadderStart(start, self.pulse_width_ns, times, climb.passes, times, times)
        rate = rates_of(ladder, setup.job.laser, setup.job.passes)
        return (climb.passes + 1) * float((start.frequency_khz * start.area_s)[0] / rate[0])

    def candidate(self, climb: Climb, draws: Draws) -> LadderStart:
        """The ladder as it starts."""
        times = STEP ** (climb.levels - climb.levels[0])
        heap = fates(self.seen, draws, climb.levels - LOWEST)
        start = self.one.scaled(np.array([STEP ** climb.levels[0]]))
        return LadderStart(start, self.pulse_width_ns, times, climb.passes, heap.bare_at, heap.stop, climb.least)


def durations_of(head: LaserAndLens, wishes: Wishes = FREE) -> list[float]:
    """Pulse durations worth trying: the one held, else all that the head has."""
    return [wishes.pulse_width_ns] if wishes.pulse_width_ns is not None else sorted(set(head.pulse_widths_ns))


def best(setup: Setup, material: Material, how: Rhythm, terms: Terms) -> Best | None:
    """The ladder that is taken; None where none is worth anything, or not one setting works in any draw.

    `how` is what a slice is likely to be: the real ones come later.
    """
    head, optics, wishes = setup.job.laser, setup.optics, setup.job.passes
    every = grid(head, optics, wishes)
    if not len(every.line_spacing_mm):
        return None
    light = worst_places(every.defocus_mm, optics, setup.job.tolerances, setup.job.item.runout_mm)
    durations = durations_of(head, wishes)
    few = material.first(_FEW)
    if not terms.spot_is_known and wishes.defocus_mm is None and (every.defocus_mm > 0).any():
        # In focus all hangs on the spot, which is known to a half where nobody measured it.
        away = np.flatnonzero(every.defocus_mm > 0)
        every, light = every.take(away), light.take(away)
    everything = np.arange(len(every.line_spacing_mm))
    by_width = [passes(every, few, ns, optics, light) for ns in durations]
    if len(material.draws.weight) == 1:
        picked = [_middle(every, by_width, material.draws, wishes)]
    else:
        worths = np.stack([_worths(seen, few.draws, wishes, terms.price) for seen in by_width])
        picked = _best_geometries(every, worths)
    some = material.first(_LADDER_DRAWS)
    geometries = [
        _with_ladders(every.take(everything[[at]]), light.take(everything[[at]]), durations[width], setup, some, terms)
        for width, at in picked
    ]
    return _quickest([one for one in geometries if one.climbs], setup, some, how)


def _worths(seen: Passes, draws: Draws, wishes: Wishes, price: float) -> Floats:
    """What each setting (m,) is worth by itself, without a ladder."""
    good, stop = stopping(seen, draws, wishes.passes or MOST_LOOKED)
    return np.asarray(good @ draws.weight - price * ((1 - unmarked(seen, draws, stop)) @ draws.weight))


def _best_geometries(every: Grid, worths: Floats) -> list[tuple[int, int]]:
    """Pulse width and setting of the best power in each geometry, the best geometry first; `worths` (widths, m)."""
    widths, order = worths.shape[1], np.argsort(-worths, axis=None, kind="stable")
    found: dict[tuple[int, float, float], tuple[int, int]] = {}
    floor = float(worths.max()) - _NEARLY
    for place in order:
        width, at = divmod(int(place), widths)
        if worths[width, at] < floor:
            break
        found.setdefault((width, float(every.defocus_mm[at]), float(every.line_spacing_mm[at])), (width, at))
        if len(found) == _GEOMETRIES:
            break
    return list(found.values())


def _with_ladders(one: Grid, light: Light, ns: float, setup: Setup, some: Material, terms: Terms) -> _Geometry:
    """A setting with the ladders round it that the head can do, each with its best end."""
    head, wishes = setup.job.laser, setup.job.passes
    factors = np.power(STEP, np.arange(LOWEST, HIGHEST + 1, dtype=np.float64))
    seen = passes(one.scaled(factors), some, ns, setup.optics, light.spread(len(factors)))
    low, high = _levels_within(one, head, wishes)
    tried = np.minimum(ladders(flat=low == high == 0), high)
    tried = tried[:, tried[0] >= low]
    # Cut at the highest level, some are the same.
    tried = tried[:, np.sort(np.unique(tried, axis=1, return_index=True)[1])]
    # Half the digits serve to choose, at a third of the time.
    found = climbs(seen.halved(), some.draws, terms.price, tried, wishes.passes) if tried.size else []
    return _Geometry(one, ns, seen, found)


def _levels_within(one: Grid, head: LaserAndLens, wishes: Wishes) -> tuple[int, int]:
    """The lowest level that a ladder may start at and the highest that it may reach."""
    if wishes.power_share is not None:
        return 0, 0
    fastest, slowest = head.highest_frequency_khz, head.lowest_frequency_khz
    if is_free(wishes):
        fastest = min(fastest, head.top_speed_mm_s / float(one.line_spacing_mm[0]) / 1e3)
    else:
        fastest = slowest = float(one.frequency_khz[0])
    least = least_share(head) * head.rated_power_w / fastest
    most = min(head.largest_pulse_mj, head.rated_power_w / slowest)
    pulse = float(one.pulse_mj[0])
    low = int(np.ceil(np.log(least / pulse) / np.log(STEP) - 1e-6))
    high = int(np.floor(np.log(most / pulse) / np.log(STEP) + 1e-6))
    return max(low, LOWEST), max(min(high, HIGHEST), 0)


def _quickest(every: list[_Geometry], setup: Setup, some: Material, how: Rhythm) -> Best | None:
    """Of the ladders that keep the wish and are worth nearly as much as the best of them, the quickest."""
    options = sorted(((climb, one) for one in every for climb in one.climbs), key=lambda pair: -pair[0].worth)
    nothing = options and options[0][0].worth <= 0 and not setup.job.passes.controls and len(some.draws.weight) > 1
    if not options or nothing:
        return None
    ready: dict[int, Best] = {}

    def paced(climb: Climb, one: _Geometry) -> Best:
        if id(climb) not in ready:
            candidate = one.candidate(climb, some.draws)
            ready[id(climb)] = _ended(Best(candidate, quickest_cool(candidate, setup, some, how), climb))
        return ready[id(climb)]

    if len(some.draws.weight) == 1:
        climb, one = options[0]
        candidate = one.candidate(climb, some.draws)
        return Best(candidate, unheated(candidate, setup), climb)
    # The best of each geometry shows how much a ladder that keeps the wish may be worth.
    leaders = [next(pair for pair in options if pair[1] is one) for one in every]
    leaders.sort(key=lambda pair: -pair[0].worth)
    found = [paced(*pair) for pair in leaders]
    # A cool wall may cost half of what a ladder is worth, not more.
    half = HALF * max(one.climb.worth for one in found)
    kept = [one for one in found if keeps(one.run, how) and one.climb.worth >= half]
    if not kept:
        # The best of a geometry is seldom its coolest ladder: the best of all that keep it, else the coolest is sought.
        for pair in options:
            if pair[0].worth < half or kept:
                break
            found.append(paced(*pair))
            kept = [one for one in found[-1:] if keeps(one.run, how) and one.climb.worth >= half]
    floor = max(one.climb.worth for one in kept or found) - NEAR_ENOUGH
    near = [pair for pair in options if pair[0].worth >= floor]
    for least_s, at in sorted((one.least_s(climb, setup), at) for at, (climb, one) in enumerate(near))[:_PACED]:
        cool = [one.run.time_s for one in found if keeps(one.run, how) and one.climb.worth >= floor]
        if cool and least_s * how.area_mm2 > min(cool):
            break
        found.append(paced(*near[at]))
    return _taken([one for one in found if one.climb.worth >= floor], how)


def _ended(best: Best) -> Best:
    """The same with the end that the wall lets the ladder have."""
    passes = len(best.run.levels)
    candidate = replace(best.candidate, times=best.candidate.times[:passes])
    return Best(candidate, best.run, replace(best.climb, end=passes))


def _taken(found: list[Best], how: Rhythm) -> Best:
    """The quickest that keeps the wish, with the least power of those; where none does, the coolest that isn't slow."""
    cool = [one for one in found if keeps(one.run, how)]
    if not cool:
        quick = 3 * min(one.run.time_s for one in found)
        return min((one for one in found if one.run.time_s <= quick), key=lambda one: one.run.wall_c)
    least = min(one.run.time_s for one in cool)
    return min(
        (one for one in cool if one.run.time_s <= _AS_QUICK * least),
        key=lambda one: float(one.run.rungs.power_share[0]),
    )


def _middle(every: Grid, by_width: list[Passes], draws: Draws, wishes: Wishes) -> tuple[int, int]:
    """Pulse width and setting whose central figures stand farthest from both edges; they know no chance."""
    counts = PASSES if wishes.passes is None else np.array([float(wishes.passes)])
    cost = _TIME_COST * np.log2(counts * every.area_s[:, None]) / 4
    scores = np.stack([_central(seen, draws, counts) - cost for seen in by_width])
    width, at, _ = np.unravel_index(int(scores.argmax()), scores.shape)
    return int(width), int(at)


def _central(seen: Passes, draws: Draws, passes_tried: Floats) -> Floats:
    """Distance of each setting from both edges at each number of passes, as a logarithm of the fluence: (m, passes)."""
    counts = passes_tried[None, :, None]
    needed, most = seen.needed[:, None, :], seen.most[:, None, :]
    with np.errstate(divide="ignore"):
        to_clear = np.log((counts + 0.5) / needed) / 2
        to_mark = np.log(most / counts) * np.maximum(1 - draws.incubation, 0.02)
        to_mark = np.where((seen.spare[:, None, :] < 0) & (counts > most), seen.spare[:, None, :], to_mark)
    return np.asarray(np.minimum(np.minimum(to_clear, to_mark), 0.5)[..., 0])
