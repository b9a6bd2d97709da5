"""The search: every setting of the grid against a few draws, the best few against all, then heat and time.

A setting is worth what it is to a person who looks: the chance that there is a number of passes at which the
coating is gone everywhere and the metal unmarked, stopping at the first clear look.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.beam import peak_fluence_j_cm2, pulses_per_place, spot_under_defocus_um
from rotary.head import Head, Optics
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan import heating
from rotary.passes.plan.grid import LEAST_POWER_SHARE, Grid, Light, grid, worst_places
from rotary.passes.plan.looking import MOST_LOOKED, blind, cleared, each_pass, last_worth, stopping, unmarked
from rotary.passes.plan.pausing import Course, hot_limit_c, pauses_of, reached_k, shortest_pause
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.window import PASSES, Passes, passes
from rotary.setup import Setup
from rotary.wishes import FREE, Wishes

Floats = NDArray[np.float64]

# Enough draws to see which settings are worth all of them.
_FEW: Final = 160
_FINALISTS: Final = 20
_HEATED: Final = 4
_REFINED: Final = 2
# Enough to find the number of passes that is planned.
_COUNTED: Final = 250
# Powers between two of the grid's, a third apart.
_NEAR: Final = np.array([0.84, 0.92, 1.09, 1.19])
# What a doubling of the time has to bring to be worth waiting for, as a share of the chance.
_WORTH: Final = 0.03


@dataclass(frozen=True, slots=True)
class BestSetting:
    """The best setting and what the draws say of it."""

    setting: Setting
    clear: float
    unmarked: float
    both: float
    with_looks: float
    too_hot: bool
    looks: tuple[int, ...]


def setting_from(one: Grid, pulse_ns: float, count: int, pause_s: float, head: Head, optics: Optics) -> Setting:
    """The setting of a grid of one, with what the surface sees of it at its nominal beam."""
    pulse, defocus, hatch = float(one.pulse_mj[0]), float(one.defocus_mm[0]), float(one.hatch_mm[0])
    density = 1 / float(one.spacing_mm[0]) ** 2
    spot = float(spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, defocus))
    return Setting(
        power_share=round(float(one.power_share[0]), 6),
        power_w=float(one.power_share[0]) * head.rated_power_w,
        rate_khz=float(one.rate_khz[0]),
        pulse_ns=pulse_ns,
        pulse_mj=pulse,
        scan_speed_mm_s=round(float(one.scan_speed_mm_s[0]), 6),
        hatch_mm=hatch,
        defocus_mm=defocus,
        passes=count,
        pause_s=pause_s,
        spot_at_surface_um=spot,
        peak_fluence_j_cm2=float(peak_fluence_j_cm2(pulse, spot)),
        pulses_per_place=float(pulses_per_place(density, spot)),
        dose_j_mm2=float(one.dose_j_mm2[0]),
    )


def grid_from(setting: Setting) -> Grid:
    """A grid of one from a setting."""
    keyed = (setting.power_share, setting.rate_khz, setting.pulse_mj, setting.scan_speed_mm_s, setting.hatch_mm)
    return Grid(*(np.array([value]) for value in (*keyed, setting.defocus_mm)))


def _central(found: Passes, draws: Draws, passes_tried: Floats) -> Floats:
    """Distance of each setting from both edges at each number of passes, as a logarithm of the fluence: (m, passes).

    For the central figures alone, which know no chance.
    """
    counts = passes_tried[None, :, None]
    needed, most = found.needed[:, None, :], found.most[:, None, :]
    with np.errstate(divide="ignore"):
        to_clear = np.log((counts + 0.5) / needed) / 2
        to_mark = np.log(most / counts) * np.maximum(1 - draws.incubation, 0.02)
        to_mark = np.where((found.spare[:, None, :] < 0) & (counts > most), found.spare[:, None, :], to_mark)
    return np.asarray(np.minimum(np.minimum(to_clear, to_mark), 0.5)[..., 0])


def _worths(found: Passes, area_s: Floats, draws: Draws, most: int) -> Floats:
    """What each setting (m,) is worth to a person who looks after each pass, less what its time costs.

    `area_s` (m,) is the time of one pass over a square millimetre.
    """
    good, stop = stopping(found, draws, most)
    chance = good @ draws.weight
    cost = _WORTH * np.log2(area_s * (stop @ draws.weight))
    return np.asarray(np.where(chance > 1e-9, np.log(np.maximum(chance, 1e-9)) - cost, -np.inf))


def durations_of(head: Head, wishes: Wishes = FREE) -> list[float]:
    """Pulse durations worth trying: the one held, else the head's first, its shortest and its longest."""
    if wishes.pulse_ns is not None:
        return [wishes.pulse_ns]
    return sorted({head.pulse_durations_ns[0], min(head.pulse_durations_ns), max(head.pulse_durations_ns)})


def best(setup: Setup, material: Material, beat: heating.Round, slice_mm2: float) -> BestSetting | None:
    """The setting with the best joint chance, then the least time; None where not one works in any draw.

    `beat` and `slice_mm2` are what a slice is likely to be: the real ones come later.
    """
    head, optics, wishes, draws = setup.job.head, setup.optics, setup.job.passes, material.draws
    every = grid(head, optics, wishes)
    if not len(every.hatch_mm):
        return None
    light = worst_places(every.defocus_mm, optics, setup.job.tolerances, setup.job.item.runout_mm)
    durations = durations_of(head, wishes)
    most = wishes.passes or MOST_LOOKED

    def of(which: NDArray[np.intp], some: Material, ns: float) -> Passes:
        return passes(every.take(which), some, ns, optics, light.take(which))

    everything = np.arange(len(every.hatch_mm))
    if len(draws.weight) == 1:
        seen = [of(everything, material, ns) for ns in durations]
        option = _middle(every, light, durations, seen, draws, wishes)
        return _with_heat(option, setup, material, beat, slice_mm2)[1]
    few = material.first(_FEW)
    first = np.concatenate([_worths(of(everything, few, ns), every.area_s, few.draws, most) for ns in durations])
    finalists = np.argsort(-first, kind="stable")[:_FINALISTS]
    options: list[_Option] = []
    for at, ns in enumerate(durations):
        which = finalists[finalists // len(everything) == at] % len(everything)
        if len(which):
            options += _options(every.take(which), light.take(which), ns, of(which, material, ns), draws, most)
    options = sorted(options, key=lambda option: -option.worth)[:_HEATED]
    if wishes.power_share is None:
        for option in options[:_REFINED]:
            near, near_light = _powers_near(option, head)
            if len(near.hatch_mm):
                found = passes(near, material, option.pulse_ns, optics, near_light)
                options += _options(near, near_light, option.pulse_ns, found, draws, most)
        options = sorted(options, key=lambda option: -option.worth)[:_HEATED]
    options = [_with_count(option, draws, wishes) for option in options]
    heated = [_with_heat(option, setup, material, beat, slice_mm2) for option in options]
    return max(heated, key=lambda entry: entry[0])[1] if heated else None


@dataclass(frozen=True, slots=True)
class _Option:
    """A setting with its planned number of passes, and what the draws say of it."""

    worth: float
    one: Grid
    light: Light
    pulse_ns: float
    seen: Passes
    count: int = 1
    last: int = 1


def _options(settings: Grid, light: Light, ns: float, found: Passes, draws: Draws, most: int) -> list[_Option]:
    """Each setting with what it is worth; none where not one works in any draw."""
    worth = _worths(found, settings.area_s, draws, most)
    rows = (np.array([row]) for row in np.flatnonzero(np.isfinite(worth)))
    return [
        _Option(float(worth[row][0]), settings.take(row), light.take(row), ns, found.row(int(row[0]))) for row in rows
    ]


def _with_count(option: _Option, draws: Draws, wishes: Wishes) -> _Option:
    """The option with the number of passes that does best unseen, and the last that is worth it."""
    if wishes.passes is not None:
        return replace(option, count=wishes.passes, last=wishes.passes)
    some, seen = draws.first(_COUNTED), option.seen
    few = seen.first(_COUNTED)
    chances = blind(few, some, PASSES[:, None]) @ some.weight
    # Of numbers that do as well the least.
    count = int(PASSES[int(np.argmax(chances >= chances.max() - 0.005))])
    return replace(option, count=count, last=last_worth(seen, draws, count, MOST_LOOKED))


def _middle(
    every: Grid, light: Light, durations: list[float], seen: list[Passes], draws: Draws, wishes: Wishes
) -> _Option:
    """The setting whose central figures stand farthest from both edges."""
    counts = PASSES if wishes.passes is None else np.array([float(wishes.passes)])
    cost = _WORTH * np.log2(counts * every.area_s[:, None]) / 4
    scores = np.stack([_central(found, draws, counts) - cost for found in seen])
    at, row, column = (int(i) for i in np.unravel_index(int(scores.argmax()), scores.shape))
    here, count = np.array([row]), int(counts[column])
    found = seen[at].row(row)
    one, worth = every.take(here), float(scores[at, row, column])
    return _Option(worth, one, light.take(here), durations[at], found, count, count)


def _powers_near(option: _Option, head: Head) -> tuple[Grid, Light]:
    """The same setting at powers between those of the grid, in the head's steps."""
    share, step = float(option.one.power_share[0]), head.power_step_share
    tried = np.unique(np.round(share * _NEAR / step) * step)
    pulse = tried * head.rated_power_w / float(option.one.rate_khz[0])
    can = (np.abs(tried - share) > step / 2) & (tried >= max(LEAST_POWER_SHARE, step) - 1e-9) & (tried <= 1 + 1e-9)
    can &= pulse <= head.largest_pulse_mj * (1 + 1e-9)
    return option.one.scaled(tried[can] / share), option.light.spread(int(can.sum()))


def _with_heat(
    option: _Option, setup: Setup, material: Material, beat: heating.Round, slice_mm2: float
) -> tuple[float, BestSetting]:
    """Worth with the shortest pause that keeps the wall from costing the plan its chance."""
    one, count, seen, draws = option.one, option.count, option.seen, material.draws
    looked, stop = stopping(seen, draws, option.last)
    mark_s = slice_mm2 / float(one.scan_speed_mm_s[0] * one.hatch_mm[0])
    course = Course(np.repeat(one.dose_j_mm2, option.last), seen.bare_after, looked, stop)
    pause, cool, rises = shortest_pause(beat, mark_s, material, course, pauses_of(setup.job.passes, setup.job.program))
    weight = draws.weight
    lost = float(weight @ (looked * ~cool)) / max(float(weight @ looked), 1e-9)
    cool_blind = reached_k(rises[:count]) < hot_limit_c(draws) - heating.ROOM_C
    stands = unmarked(seen, draws, count) * cool_blind
    found = BestSetting(
        setting_from(one, option.pulse_ns, count, pause, setup.job.head, setup.optics),
        clear=float(weight @ cleared(seen, count)),
        unmarked=float(weight @ stands),
        both=float(weight @ (cleared(seen, count) * stands)),
        with_looks=float(weight @ (looked * cool)),
        too_hot=lost > 0.5,
        looks=each_pass(option.last),
    )
    passed = float(weight @ stop)
    return option.worth - lost - _WORTH * np.log2(1 + pause * max(passed - 1, 0) / (passed * mark_s)), found
