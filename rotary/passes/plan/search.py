"""The search: of the ladders worth a look the one that is taken, by its heat and its time.

A ladder is worth the chance that a person who looks after each pass sees the coating come off clean, less a price times
the chance that the metal is marked. Of ladders that are worth nearly the same the quickest is taken that keeps the wall
at its wish, and of those as quick the one with less power.
"""

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from rotary.passes.beliefs.draws import Material
from rotary.passes.plan import pace
from rotary.passes.plan.ladder import ENOUGH, Climb
from rotary.passes.plan.prospects import Grounds, Option, Prospects, Terms, geometry_of, prospects_of
from rotary.setup import Setup

# So many ladders at most are run before one is taken.
_PACED: Final = 8
NEAR_ENOUGH: Final = 0.03
"""What a quicker or cooler ladder may cost in worth."""
# To stay at settings that readings are of, which saves a patch, may cost a tenth of the worth and twice the time:
# estimates, from the bench.
_WORTH_SHARE: Final = 0.9
_LONGER: Final = 2.0
# So much slower still counts as quick: then less power decides.
_AS_QUICK: Final = 1.02


class Best(NamedTuple):
    """The best ladder, how it is run, and what it is worth; the wall's wish is kept or not. It `is_whole` where it ends
    where it is worth most, and not sooner for the wall."""

    candidate: pace.LadderStart
    run: pace.PacedLadder
    climb: Climb
    is_whole: bool = True


def best(setup: Setup, material: Material, how: pace.Rhythm, terms: Terms) -> Best | None:
    """The ladder that is taken; None where none is worth anything, or not one setting works in any draw.

    `how` is what a slice is likely to be: the real ones come later.
    """
    job = setup.job
    grounds = Grounds(job.laser, setup.optics, job.passes, job.tolerances, job.item.runout_mm, material, terms)
    prospects = prospects_of(grounds)
    if prospects is None or (found := _quickest(prospects, prospects.options, setup, how)) is None:
        return None
    marked = material.draws.marked
    if not marked or geometry_of(found.candidate.one, found.candidate.pulse_width_ns) in marked:
        return found
    near = [option for option in prospects.options if geometry_of(option.one.one, option.one.pulse_width_ns) in marked]
    stays = _quickest(prospects, near, setup, how)
    return stays if stays and _may_stay(stays, found, how) else found


def _may_stay(stays: Best, found: Best, how: pace.Rhythm) -> bool:
    """Whether a ladder at settings that readings are of is taken for the best of all: they show what it does.

    The wall comes first: its wish is kept, or it gets no hotter.
    """
    is_cool = stays.run.wall_c <= max(found.run.wall_c, how.wish_c)
    is_worth_it = stays.climb.worth >= _WORTH_SHARE * found.climb.worth
    return is_cool and is_worth_it and stays.run.time_s <= _LONGER * found.run.time_s


def _paced(prospects: Prospects, option: Option, setup: Setup, how: pace.Rhythm) -> Best:
    """The ladder as it is run, with the end that the wall lets it have."""
    candidate, closer = prospects.ladder(option)
    if not prospects.has_chances:
        return Best(candidate, pace.at_full_rate(candidate, setup), closer)
    run = pace.quickest_cool(candidate, setup, prospects.some, how)
    end = len(run.levels)
    return Best(replace(candidate, times=candidate.times[:end]), run, replace(closer, end=end), end == closer.end)


def _quickest(prospects: Prospects, options: list[Option], setup: Setup, how: pace.Rhythm) -> Best | None:
    """Of some ladders that keep the wish and are worth nearly as much as the best of them, the quickest."""
    if not options or (options[0].worth <= 0 and not setup.job.passes.controls and prospects.has_chances):
        return None
    if not prospects.has_chances:
        return _paced(prospects, options[0], setup, how)
    ready: dict[int, Best] = {}

    def kept() -> list[Best]:
        # A cool wall may cost three quarters of what a ladder is worth, not more.
        least = _least_worth(max(best.climb.worth for best in ready.values()))
        return [best for best in ready.values() if pace.keeps_wish(best.run, how) and best.climb.worth >= least]

    # How much a ladder that keeps the wish may be worth: the first that keeps it up to its own end, of those that are
    # worth more than all which bring less heat.
    for option in _cooler_and_cooler(options):
        best = ready[id(option)] = _paced(prospects, option, setup, how)
        if pace.keeps_wish(best.run, how) and best.is_whole:
            break
    most = max(best.climb.worth for best in kept() or ready.values())
    for floor in (most, most - NEAR_ENOUGH / 2, most - NEAR_ENOUGH):
        for option in _undominated([option for option in options if option.worth >= floor]):
            if id(option) not in ready and len(ready) < _PACED:
                ready[id(option)] = _paced(prospects, option, setup, how)
    return _taken(kept() or list(ready.values()), how)


def _least_worth(most: float) -> float:
    """What a ladder must be worth, by the most that one is; with settings held even that may be less than 0."""
    return min(ENOUGH * most, most)


def _cooler_and_cooler(options: list[Option]) -> list[Option]:
    """The ladders, best first, that bring less heat than all before; none that is worth less than a quarter."""
    front, least = [], np.inf
    for option in options:
        if option.worth >= _least_worth(options[0].worth) and option.heat_j_mm2 < least:
            least = option.heat_j_mm2
            front.append(option)
    return front


def _undominated(near: list[Option]) -> list[Option]:
    """The ladders than which none is both quicker and less heat, the least heat first: nothing else can be quickest."""
    front, quickest = [], np.inf
    for option in sorted(near, key=lambda option: (option.heat_j_mm2, option.least_s)):
        if option.least_s < quickest:
            quickest = option.least_s
            front.append(option)
    return front


def _taken(every: list[Best], how: pace.Rhythm) -> Best:
    """Of those worth nearly as much as the best the quickest, with the least power of those as quick; where none keeps
    the wish, the coolest that isn't slow."""
    floor = max(one.climb.worth for one in every) - NEAR_ENOUGH
    near = [one for one in every if one.climb.worth >= floor]
    least = min(one.run.time_s for one in near)
    if not all(pace.keeps_wish(one.run, how) for one in near):
        return min((one for one in near if one.run.time_s <= 3 * least), key=lambda one: one.run.wall_c)
    quick = [one for one in near if one.run.time_s <= _AS_QUICK * least]
    return min(quick, key=lambda one: float(one.run.rungs.power_share[0]))
