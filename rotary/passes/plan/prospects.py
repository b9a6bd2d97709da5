"""Ladders worth a look: every setting against a few draws, then the best geometries with all their ladders.

They come of the machine, the coating and the wishes. The item's size has no say: they are kept while it changes.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens, Optics
from rotary.passes.beliefs.draws import Draws, Geometry, Material
from rotary.passes.plan.grid import Grid, Light, grid, worst_places
from rotary.passes.plan.ladder import HIGHEST, LOWEST, STEP, Climb, climb_of, climbs, fates, ladders
from rotary.passes.plan.looks import MOST_LOOKED, stop_shares, unmarked_share
from rotary.passes.plan.pace import LadderStart, highest_frequency, is_free, least_share
from rotary.passes.plan.window import PASSES, Passes, passes
from rotary.tolerances import Tolerances
from rotary.wishes import FREE, Wishes

# Enough draws to see which settings are worth a ladder, which ladders are worth a closer look, and for that.
_FEW: Final = 160
_LADDER_DRAWS: Final = 120
_CLOSE_DRAWS: Final = 400
# Settings that hardly differ in worth all get their ladders, for one may be quicker; so many at most.
_NEARLY: Final = 0.1
_GEOMETRIES: Final = 10
# Those that readings are of get theirs from farther below.
_NEARLY_MARKED: Final = 0.18
# The share of what ever comes clean that is clean at the pass that is counted.
_COUNTED_SHARE: Final = 0.6
_POWERS: Final = np.power(STEP, np.arange(LOWEST, HIGHEST + 1, dtype=np.float64))
# So much nearer to an edge, as a logarithm of the fluence, half the time is worth where no chance is known.
_TIME_COST: Final = 0.0075


def geometry_of(one: Grid, pulse_width_ns: float) -> Geometry:
    """What a setting is, its power apart."""
    return Geometry(pulse_width_ns, float(one.defocus_mm[0]), float(one.line_spacing_mm[0]))


class Terms(NamedTuple):
    """What a ladder is chosen by: what a marked item costs in clean ones, and whether the spot is measured or read."""

    price: float
    spot_is_known: bool


@dataclass(frozen=True, slots=True)
class _Geometry:
    """A setting with all powers round its own, its light, and the ladders that are made of them."""

    one: Grid
    light: Light
    pulse_width_ns: float
    climbs: list[Climb]

    def options(self, laser: LaserAndLens) -> list["Option"]:
        """Its ladders, with what each costs."""
        pulse, hatch = float(self.one.pulse_mj[0]), float(self.one.line_spacing_mm[0])
        dose, work = float(self.one.dose_j_mm2[0]), float(self.one.frequency_khz[0] * self.one.area_s[0])

        def option(climb: Climb) -> Option:
            powers = _POWERS[climb.levels - LOWEST]
            counted = int(np.argmax(climb.cleaned >= _COUNTED_SHARE * climb.clean)) + 1
            most = highest_frequency(pulse * float(powers[0]), pulse * float(powers[-1]), hatch, laser)
            least_s = climb.passes * work / max(most, laser.lowest_frequency_khz)
            return Option(climb, self, climb.worth, dose * float(powers[:counted].sum()), least_s)

        return [option(climb) for climb in self.climbs]


class Option(NamedTuple):
    """A ladder of a geometry, its worth, energy on a square millimetre by the pass after which most slices are clean,
    and its time there at its highest frequency."""

    climb: Climb
    one: _Geometry
    worth: float
    heat_j_mm2: float
    least_s: float


def durations_of(laser: LaserAndLens, wishes: Wishes = FREE) -> list[float]:
    """Pulse durations worth trying: the one held, else all that the laser has."""
    return [wishes.pulse_width_ns] if wishes.pulse_width_ns is not None else sorted(set(laser.pulse_widths_ns))


class Grounds(NamedTuple):
    """All that ladders come of: nothing of it changes with the item's size, which has a say in heat and time alone."""

    laser: LaserAndLens
    optics: Optics
    wishes: Wishes
    tolerances: Tolerances
    runout_mm: float
    material: Material
    terms: Terms


@lru_cache(maxsize=8)
def prospects_of(grounds: Grounds) -> "Prospects | None":
    """The ladders of the geometries that are worth most, for every item of these grounds."""
    laser, optics, wishes, tolerances, runout_mm, material, terms = grounds
    every = grid(laser, optics, wishes)
    if not len(every.line_spacing_mm):
        return None
    light = worst_places(every.defocus_mm, optics, tolerances, runout_mm)
    durations = durations_of(laser, wishes)
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
        picked = _best_geometries(every, worths, durations, material.draws.marked)
    some = material.first(_LADDER_DRAWS)
    places = [(at, durations[width]) for width, at in picked]
    options = [option for one in _with_ladders(every, light, places, grounds, some) for option in one.options(laser)]
    return Prospects(grounds, material.first(_CLOSE_DRAWS), some, sorted(options, key=lambda option: -option.worth), {})


def _worths(seen: Passes, draws: Draws, wishes: Wishes, price: float) -> Floats:
    """What each setting (m,) is worth by itself, without a ladder."""
    good, stop = stop_shares(seen, draws, wishes.passes or MOST_LOOKED)
    weight = draws.weight.astype(good.dtype)
    return np.asarray(good @ weight - price * ((1 - unmarked_share(seen, draws, stop)) @ weight))


def _best_geometries(
    every: Grid, worths: Floats, durations: list[float], marked: frozenset[Geometry]
) -> list[tuple[int, int]]:
    """Pulse width and setting of the best power in each geometry, the best geometry first; `worths` (widths, m).

    One that readings are of may be worth somewhat less.
    """
    widths, order = worths.shape[1], np.argsort(-worths, axis=None, kind="stable")
    found: dict[Geometry, tuple[int, int]] = {}
    most = float(worths.max())
    for place in order:
        width, at = divmod(int(place), widths)
        if worths[width, at] < most - _NEARLY_MARKED:
            break
        geometry = geometry_of(every.take([at]), durations[width])
        if geometry in marked or (worths[width, at] >= most - _NEARLY and len(found) < _GEOMETRIES):
            found.setdefault(geometry, (width, at))
    return list(found.values())


def _with_ladders(
    every: Grid, light: Light, picked: list[tuple[int, float]], grounds: Grounds, some: Material
) -> list[_Geometry]:
    """Settings, by place and pulse width, with the ladders round each that the laser can do, each with its best end."""
    laser, wishes = grounds.laser, grounds.wishes
    # All at once: so few numbers at a time would cost more in calls.
    places, widths = (np.repeat(each, len(_POWERS)) for each in zip(*picked, strict=True))
    scaled = every.take(places).times(np.tile(_POWERS, len(picked)))
    seen, found = passes(scaled, some, widths[:, None], grounds.optics, light.take(places)), []
    for number, (at, ns) in enumerate(picked):
        one = every.take([at])
        low, high = _levels_within(one, laser, wishes)
        tried = ladders(low, high, max(MOST_LOOKED, wishes.passes or 0))
        if tried.size:
            here = seen.row(slice(number * len(_POWERS), (number + 1) * len(_POWERS)))
            climbed = climbs(here, some.draws, grounds.terms.price, tried, wishes.passes)
            found.append(_Geometry(one, light.take([at]), ns, climbed))
    return found


def _levels_within(one: Grid, laser: LaserAndLens, wishes: Wishes) -> tuple[int, int]:
    """The lowest level that a ladder may start at and the highest that it may reach."""
    if wishes.power_share is not None:
        return 0, 0
    fastest, slowest = laser.highest_frequency_khz, laser.lowest_frequency_khz
    if is_free(wishes):
        fastest = min(fastest, laser.top_speed_mm_s / float(one.line_spacing_mm[0]) / 1e3)
    else:
        fastest = slowest = float(one.frequency_khz[0])
    least = least_share(laser) * laser.rated_power_w / fastest
    most = min(laser.largest_pulse_mj, laser.rated_power_w / slowest)
    pulse = float(one.pulse_mj[0])
    low = int(np.ceil(np.log(least / pulse) / np.log(STEP) - 1e-6))
    high = int(np.floor(np.log(most / pulse) / np.log(STEP) + 1e-6))
    return max(low, LOWEST), max(min(high, HIGHEST), 0)


class Prospects(NamedTuple):
    """Ladders, the best first, and what they are compared by: many draws for their chances, some of them for the heat.
    Those that were looked at are `known`."""

    grounds: Grounds
    many: Material
    some: Material
    options: list[Option]
    known: dict[int, tuple[LadderStart, Climb]]

    @property
    def has_chances(self) -> bool:
        """Whether there are draws, and not the central figures alone."""
        return len(self.some.draws.weight) > 1

    def ladder(self, option: Option) -> tuple[LadderStart, Climb]:
        """The ladder as it starts, with what more draws say of it."""
        if (known := self.known.get(id(option))) is None:
            known = self.known[id(option)] = self._closer(option)
        return known

    def _closer(self, option: Option) -> tuple[LadderStart, Climb]:
        climb, one = option[:2]
        levels, rung = np.unique(climb.path, return_inverse=True)
        scaled, many = one.one.scaled(STEP ** levels.astype(float)), self.many.draws
        seen = passes(scaled, self.many, one.pulse_width_ns, self.grounds.optics, one.light.spread(len(levels)))
        tale, terms = fates(seen, many, rung), self.grounds.terms
        closer = climb_of(climb.path, *tale.story.chances(many.weight), terms.price, self.grounds.wishes.passes)
        times = STEP ** (closer.levels - closer.levels[0])
        few, start = len(self.some.draws.weight), one.one.scaled(np.array([STEP ** closer.levels[0]]))
        ends = tale.bare_at[:few], tale.stop[:few]
        return LadderStart(start, one.pulse_width_ns, times, closer.passes, *ends, closer.least), closer


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
