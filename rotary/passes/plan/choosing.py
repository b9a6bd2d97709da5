"""The search: every setting against a few draws, the best geometries with ladders, then heat and time.

A ladder is worth the chance that a person who looks after each pass sees the coating come off clean, less a price times
the chance that the metal is marked. Of ladders that are worth nearly the same the quickest is taken that keeps the wall
at its wish, and of those as quick the one with less power.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens, Optics
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan.grid import Grid, Light, grid, worst_places
from rotary.passes.plan.ladder import ENOUGH, HIGHEST, LOWEST, STEP, Climb, climb_of, climbs, fates, ladders
from rotary.passes.plan.looking import MOST_LOOKED, stop_shares, unmarked_share
from rotary.passes.plan.pacing import (
    LadderStart,
    PacedLadder,
    Rhythm,
    at_full_rate,
    highest_frequency,
    is_free,
    keeps_wish,
    least_share,
    quickest_cool,
)
from rotary.passes.plan.window import PASSES, Passes, passes
from rotary.setup import Setup
from rotary.tolerances import Tolerances
from rotary.wishes import FREE, Wishes

# Enough draws to see which settings are worth a ladder, which ladders are worth a closer look, and for that.
_FEW: Final = 160
_LADDER_DRAWS: Final = 120
_CLOSE_DRAWS: Final = 400
# Settings that hardly differ in worth all get their ladders, for one may be quicker; so many at most.
_NEARLY: Final = 0.1
_GEOMETRIES: Final = 10
_PACED: Final = 8
# The share of what ever comes clean that is clean at the pass that is counted.
_COUNTED_SHARE: Final = 0.6
NEAR_ENOUGH: Final = 0.03
"""What a quicker or cooler ladder may cost in worth."""
# So much slower still counts as quick: then less power decides.
_AS_QUICK: Final = 1.02
_POWERS: Final = np.power(STEP, np.arange(LOWEST, HIGHEST + 1, dtype=np.float64))
# So much nearer to an edge, as a logarithm of the fluence, half the time is worth where no chance is known.
_TIME_COST: Final = 0.0075


class Terms(NamedTuple):
    """What a ladder is chosen by: what a marked item costs in clean ones, and whether the spot is measured or read."""

    price: float
    spot_is_known: bool


class Best(NamedTuple):
    """The best ladder, how it is run, and what it is worth; the wall's wish is kept or not. It `is_whole` where it ends
    where it is worth most, and not sooner for the wall."""

    candidate: LadderStart
    run: PacedLadder
    climb: Climb
    is_whole: bool = True


@dataclass(frozen=True, slots=True)
class _Geometry:
    """A setting with all powers round its own, its light, and the ladders that are made of them."""

    one: Grid
    light: Light
    pulse_width_ns: float
    climbs: list[Climb]

    def options(self, head: LaserAndLens) -> list["_Option"]:
        """Its ladders, with what each costs."""
        pulse, hatch = float(self.one.pulse_mj[0]), float(self.one.line_spacing_mm[0])
        dose, work = float(self.one.dose_j_mm2[0]), float(self.one.frequency_khz[0] * self.one.area_s[0])

        def option(climb: Climb) -> _Option:
            powers = _POWERS[climb.levels - LOWEST]
            counted = int(np.argmax(climb.cleaned >= _COUNTED_SHARE * climb.clean)) + 1
            most = highest_frequency(pulse * float(powers[0]), pulse * float(powers[-1]), hatch, head)
            least_s = climb.passes * work / max(most, head.lowest_frequency_khz)
            return _Option(climb, self, climb.worth, dose * float(powers[:counted].sum()), least_s)

        return [option(climb) for climb in self.climbs]


class _Option(NamedTuple):
    """A ladder of a geometry, its worth, energy on a square millimetre by the pass after which most slices are clean,
    and its time there at its highest frequency."""

    climb: Climb
    one: _Geometry
    worth: float
    heat_j_mm2: float
    least_s: float


def durations_of(head: LaserAndLens, wishes: Wishes = FREE) -> list[float]:
    """Pulse durations worth trying: the one held, else all that the head has."""
    return [wishes.pulse_width_ns] if wishes.pulse_width_ns is not None else sorted(set(head.pulse_widths_ns))


class _Asked(NamedTuple):
    """All that ladders come of: nothing of it changes with the item's size, which has a say in heat and time alone."""

    head: LaserAndLens
    optics: Optics
    wishes: Wishes
    tolerances: Tolerances
    runout_mm: float
    material: Material
    terms: Terms


def best(setup: Setup, material: Material, how: Rhythm, terms: Terms) -> Best | None:
    """The ladder that is taken; None where none is worth anything, or not one setting works in any draw.

    `how` is what a slice is likely to be: the real ones come later.
    """
    job = setup.job
    asked = _Asked(job.laser, setup.optics, job.passes, job.tolerances, job.item.runout_mm, material, terms)
    prospects = _prospects(asked)
    return None if prospects is None else _quickest(prospects, setup, how)


@lru_cache(maxsize=8)
def _prospects(asked: _Asked) -> "_Prospects | None":
    """The ladders of the geometries that are worth most, for all items that they are asked for."""
    head, optics, wishes, material, terms = asked.head, asked.optics, asked.wishes, asked.material, asked.terms
    every = grid(head, optics, wishes)
    if not len(every.line_spacing_mm):
        return None
    light = worst_places(every.defocus_mm, optics, asked.tolerances, asked.runout_mm)
    durations = durations_of(head, wishes)
    few = material.first(_FEW)
    if not terms.spot_is_known and wishes.defocus_mm is None and (every.defocus_mm > 0).any():
        # In focus all hangs on the spot, which is known to a half where nobody measured it.
        away = np.flatnonzero(every.defocus_mm > 0)
        every, light = every.take(away), light.take(away)
    by_width = [passes(every, few, ns, optics, light) for ns in durations]
    if len(material.draws.weight) == 1:
        picked = [_middle(every, by_width, material.draws, wishes)]
    else:
        worths = np.stack([_worths(seen, few.draws, wishes, terms.price) for seen in by_width])
        picked = _best_geometries(every, worths)
    some = material.first(_LADDER_DRAWS)
    places = [(at, durations[width]) for width, at in picked]
    options = [option for one in _with_ladders(every, light, places, asked, some) for option in one.options(head)]
    return _Prospects(asked, material.first(_CLOSE_DRAWS), some, sorted(options, key=lambda option: -option.worth), {})


def _worths(seen: Passes, draws: Draws, wishes: Wishes, price: float) -> Floats:
    """What each setting (m,) is worth by itself, without a ladder."""
    good, stop = stop_shares(seen, draws, wishes.passes or MOST_LOOKED)
    weight = draws.weight.astype(good.dtype)
    return np.asarray(good @ weight - price * ((1 - unmarked_share(seen, draws, stop)) @ weight))


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


def _with_ladders(
    every: Grid, light: Light, picked: list[tuple[int, float]], asked: _Asked, some: Material
) -> list[_Geometry]:
    """Settings, by place and pulse width, with the ladders round each that the head can do, each with its best end."""
    head, wishes = asked.head, asked.wishes
    # All at once: so few numbers at a time would cost more in calls.
    places, widths = (np.repeat(each, len(_POWERS)) for each in zip(*picked, strict=True))
    scaled = every.take(places).times(np.tile(_POWERS, len(picked)))
    seen, found = passes(scaled, some, widths[:, None], asked.optics, light.take(places)), []
    for number, (at, ns) in enumerate(picked):
        one = every.take([at])
        low, high = _levels_within(one, head, wishes)
        tried = ladders(low, high)
        if tried.size:
            here = seen.row(slice(number * len(_POWERS), (number + 1) * len(_POWERS)))
            climbed = climbs(here, some.draws, asked.terms.price, tried, wishes.passes)
            found.append(_Geometry(one, light.take([at]), ns, climbed))
    return found


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


class _Prospects(NamedTuple):
    """Ladders, the best first, and what they are compared by: many draws for their chances, some of them for the heat.
    Those that were looked at are `known`."""

    asked: _Asked
    many: Material
    some: Material
    options: list[_Option]
    known: dict[int, tuple[LadderStart, Climb]]

    @property
    def has_chances(self) -> bool:
        """Whether there are draws, and not the central figures alone."""
        return len(self.some.draws.weight) > 1

    def ladder(self, option: _Option) -> tuple[LadderStart, Climb]:
        """The ladder as it starts, with what more draws say of it."""
        if (known := self.known.get(id(option))) is None:
            known = self.known[id(option)] = self._closer(option)
        return known

    def _closer(self, option: _Option) -> tuple[LadderStart, Climb]:
        climb, one = option[:2]
        levels, rung = np.unique(climb.path, return_inverse=True)
        scaled, many = one.one.scaled(STEP ** levels.astype(float)), self.many.draws
        seen = passes(scaled, self.many, one.pulse_width_ns, self.asked.optics, one.light.spread(len(levels)))
        tale, terms = fates(seen, many, rung), self.asked.terms
        closer = climb_of(climb.path, *tale.story.chances(many.weight), terms.price, self.asked.wishes.passes)
        times = STEP ** (closer.levels - closer.levels[0])
        few, start = len(self.some.draws.weight), one.one.scaled(np.array([STEP ** closer.levels[0]]))
        ends = tale.bare_at[:few], tale.stop[:few]
        return LadderStart(start, one.pulse_width_ns, times, closer.passes, *ends, closer.least), closer

    def paced(self, option: _Option, setup: Setup, how: Rhythm) -> Best:
        """The ladder as it is run, with the end that the wall lets it have."""
        candidate, closer = self.ladder(option)
        if not self.has_chances:
            return Best(candidate, at_full_rate(candidate, setup), closer)
        run = quickest_cool(candidate, setup, self.some, how)
        end = len(run.levels)
        return Best(replace(candidate, times=candidate.times[:end]), run, replace(closer, end=end), end == closer.end)


def _quickest(prospects: _Prospects, setup: Setup, how: Rhythm) -> Best | None:
    """Of the ladders that keep the wish and are worth nearly as much as the best of them, the quickest."""
    options = prospects.options
    if not options or (options[0].worth <= 0 and not setup.job.passes.controls and prospects.has_chances):
        return None
    if not prospects.has_chances:
        return prospects.paced(options[0], setup, how)
    ready: dict[int, Best] = {}

    def kept() -> list[Best]:
        # A cool wall may cost three quarters of what a ladder is worth, not more.
        least = _least_worth(max(best.climb.worth for best in ready.values()))
        return [best for best in ready.values() if keeps_wish(best.run, how) and best.climb.worth >= least]

    # How much a ladder that keeps the wish may be worth: the first that keeps it up to its own end, of those that are
    # worth more than all which bring less heat.
    for option in _cooler_and_cooler(options):
        best = ready[id(option)] = prospects.paced(option, setup, how)
        if keeps_wish(best.run, how) and best.is_whole:
            break
    most = max(best.climb.worth for best in kept() or ready.values())
    for floor in (most, most - NEAR_ENOUGH / 2, most - NEAR_ENOUGH):
        for option in _undominated([option for option in options if option.worth >= floor]):
            if id(option) not in ready and len(ready) < _PACED:
                ready[id(option)] = prospects.paced(option, setup, how)
    return _taken(kept() or list(ready.values()), how)


def _least_worth(most: float) -> float:
    """What a ladder must be worth, by the most that one is; with settings held even that may be less than 0."""
    return min(ENOUGH * most, most)


def _cooler_and_cooler(options: list[_Option]) -> list[_Option]:
    """The ladders, best first, that bring less heat than all before; none that is worth less than a quarter."""
    front, least = [], np.inf
    for option in options:
        if option.worth >= _least_worth(options[0].worth) and option.heat_j_mm2 < least:
            least = option.heat_j_mm2
            front.append(option)
    return front


def _undominated(near: list[_Option]) -> list[_Option]:
    """The ladders than which none is both quicker and less heat, the least heat first: nothing else can be quickest."""
    front, quickest = [], np.inf
    for option in sorted(near, key=lambda option: (option.heat_j_mm2, option.least_s)):
        if option.least_s < quickest:
            quickest = option.least_s
            front.append(option)
    return front


def _taken(every: list[Best], how: Rhythm) -> Best:
    """Of those worth nearly as much as the best the quickest, with the least power of those as quick; where none keeps
    the wish, the coolest that isn't slow."""
    floor = max(one.climb.worth for one in every) - NEAR_ENOUGH
    near = [one for one in every if one.climb.worth >= floor]
    least = min(one.run.time_s for one in near)
    if not all(keeps_wish(one.run, how) for one in near):
        return min((one for one in near if one.run.time_s <= 3 * least), key=lambda one: one.run.wall_c)
    quick = [one for one in near if one.run.time_s <= _AS_QUICK * least]
    return min(quick, key=lambda one: float(one.run.rungs.power_share[0]))


def _middle(every: Grid, by_width: list[Passes], draws: Draws, wishes: Wishes) -> tuple[int, int]:
    """Pulse width and setting whose central figures stand farthest from both edges; they know no chance."""
    counts = PASSES if wishes.passes is None else np.array([float(wishes.passes)])
    cost = _TIME_COST * np.log2(counts * every.area_s[:, None])
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
