"""The search: every setting of the grid against a few draws, the best few against all, then heat and time."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.beam import peak_fluence_j_cm2, pulses_per_place, spot_under_defocus_um
from rotary.head import Head, Optics
from rotary.passes import heating
from rotary.passes.beliefs import Coating, Draws, Metal
from rotary.passes.grid import LEAST_POWER_SHARE, Grid, grid, worst_places
from rotary.passes.setting import Setting
from rotary.passes.window import PASSES, Passes, passes
from rotary.passes.wishes import FREE, Wishes
from rotary.slices import Tolerances

Floats = NDArray[np.float64]

# Enough draws to see which settings are worth all of them.
_FEW: Final = 72
_FINALISTS: Final = 14
_HEATED: Final = 4
_REFINED: Final = 2
# Powers between two of the grid's, a third apart.
_NEAR: Final = np.array([0.84, 0.92, 1.09, 1.19])
# What a doubling of the time has to bring to be worth waiting for, as a share of the chance.
_WORTH: Final = 0.07
PAUSES_S: Final = (0.0, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0)


@dataclass(frozen=True, slots=True)
class Found:
    """The best setting and what the draws say of it."""

    setting: Setting
    clear: float
    unmarked: float
    both: float
    with_looks: float
    too_hot: bool


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


def _scores(found: Passes, draws: Draws, passes_tried: Floats) -> Floats:
    """How good each setting is at each number of passes: (m, passes) float.

    With draws the mean of the chance run blind and the chance with looks. With the central
    figures alone the distance from both edges, as a logarithm of the fluence.
    """
    counts = passes_tried[None, :, None]
    needed, most = found.needed[:, None, :], found.most[:, None, :]
    if needed.shape[-1] > 1:
        enough = needed <= counts
        works = (enough & (counts <= most)).astype(np.float32) + (enough & (np.ceil(needed) <= most))
        return np.asarray(works @ draws.weight / 2)
    with np.errstate(divide="ignore"):
        to_clear = np.log((counts + 0.5) / needed) / 2
        to_mark = np.log(most / counts) * np.maximum(1 - draws.incubation, 0.02)
        to_mark = np.where((found.spare[:, None, :] < 0) & (counts > most), found.spare[:, None, :], to_mark)
    return np.asarray(np.minimum(np.minimum(to_clear, to_mark), 0.5)[..., 0])


def _worth(scores: Floats, cost: Floats, draws: Draws) -> Floats:
    """Scores less what their time costs: chances weigh by their ratio, distances from the edges as they are."""
    if len(draws.weight) == 1:
        return np.asarray(scores - cost / 4)
    return np.asarray(np.where(scores > 0, np.log(np.maximum(scores, 1e-9)) - cost, -np.inf))


def hot_limit_c(draws: Draws) -> Floats:
    """Wall temperature at which the metal tints or the coating beside the mark suffers, (n,)."""
    return np.minimum(draws.tints_at_c, draws.scorches_at_c)


def durations_of(head: Head, wishes: Wishes = FREE) -> list[float]:
    """Pulse durations worth trying: the one held, else the head's first, its shortest and its longest."""
    if wishes.pulse_ns is not None:
        return [wishes.pulse_ns]
    return sorted({head.pulse_durations_ns[0], min(head.pulse_durations_ns), max(head.pulse_durations_ns)})


def pauses_of(wishes: Wishes = FREE) -> tuple[float, ...]:
    """Pauses between passes worth trying: the one held, or all."""
    return PAUSES_S if wishes.pause_s is None else (wishes.pause_s,)


def best(
    head: Head,
    optics: Optics,
    tolerances: Tolerances,
    runout_mm: float,
    metal: Metal,
    coating: Coating,
    draws: Draws,
    beat: heating.Round,
    slice_mm2: float,
    wishes: Wishes = FREE,
) -> Found | None:
    """The setting with the best joint chance, then the least time; None where not one works in any draw.

    `beat` and `slice_mm2` are what a slice is likely to be: the real ones come later.
    """
    every = grid(head, optics, wishes)
    if not len(every.hatch_mm):
        return None
    low, high = worst_places(every.defocus_mm, optics, tolerances, runout_mm)
    durations = durations_of(head, wishes)
    counts = PASSES if wishes.passes is None else np.array([float(wishes.passes)])

    def of(which: NDArray[np.intp], some: Draws, ns: float) -> Passes:
        return passes(every.take(which), some, metal, coating.lift_off_at_ns, ns, optics, low[which], high[which])

    everything = np.arange(len(low))
    area_s = counts / (every.scan_speed_mm_s * every.hatch_mm)[:, None]
    cost = _WORTH * np.log2(area_s)
    few = draws.first(_FEW)
    first = np.concatenate(
        [_worth(_scores(of(everything, few, ns), few, counts), cost, draws).max(axis=1) for ns in durations]
    )
    # With the central figures alone the first look was the whole look: its best is the best.
    finalists = np.argsort(-first, kind="stable")[: _FINALISTS if len(draws.weight) > 1 else 1]
    options: list[_Option] = []
    for at, ns in enumerate(durations):
        which = finalists[finalists // len(low) == at] % len(low)
        if len(which):
            options += _options(every.take(which), low[which], high[which], ns, of(which, draws, ns), draws, counts)
    options = sorted(options, key=lambda option: -option.worth)[: _HEATED if len(draws.weight) > 1 else 1]
    if len(draws.weight) > 1 and wishes.power_share is None:
        for option in options[:_REFINED]:
            near, low_near, high_near = _powers_near(option, head)
            if len(low_near):
                lift_ns, ns = coating.lift_off_at_ns, option.pulse_ns
                seen = passes(near, draws, metal, lift_ns, ns, optics, low_near, high_near)
                options += _options(near, low_near, high_near, ns, seen, draws, counts)
        options = sorted(options, key=lambda option: -option.worth)[:_HEATED]
    pauses = pauses_of(wishes)
    heated = [_with_heat(option, head, optics, metal, draws, beat, slice_mm2, pauses) for option in options]
    return max(heated, key=lambda entry: entry[0])[1] if heated else None


@dataclass(frozen=True, slots=True)
class _Option:
    """A setting with its best number of passes, and what the draws say of it."""

    worth: float
    one: Grid
    low: Floats
    high: Floats
    count: int
    pulse_ns: float
    seen: Passes


def _options(
    settings: Grid, low: Floats, high: Floats, ns: float, found: Passes, draws: Draws, counts: Floats
) -> list[_Option]:
    """Each setting with the number of passes that is worth most; none where not one works in any draw."""
    cost = _WORTH * np.log2(counts / (settings.scan_speed_mm_s * settings.hatch_mm)[:, None])
    worth = _worth(_scores(found, draws, counts), cost, draws)
    options = []
    for row in range(len(low)):
        column, here = int(worth[row].argmax()), np.array([row])
        if np.isfinite(worth[row, column]):
            seen = Passes(found.needed[row], found.bare_after[row], found.most[row], found.spare[row])
            one = settings.take(here)
            options.append(
                _Option(float(worth[row, column]), one, low[here], high[here], int(counts[column]), ns, seen)
            )
    return options


def _powers_near(option: _Option, head: Head) -> tuple[Grid, Floats, Floats]:
    """The same setting at powers between those of the grid, in the head's steps."""
    share, step = float(option.one.power_share[0]), head.power_step_share
    tried = np.unique(np.round(share * _NEAR / step) * step)
    pulse = tried * head.rated_power_w / float(option.one.rate_khz[0])
    can = (np.abs(tried - share) > step / 2) & (tried >= max(LEAST_POWER_SHARE, step) - 1e-9) & (tried <= 1 + 1e-9)
    can &= pulse <= head.largest_pulse_mj * (1 + 1e-9)
    near = option.one.scaled(tried[can] / share)
    return near, np.repeat(option.low, can.sum()), np.repeat(option.high, can.sum())


def _with_heat(
    option: _Option,
    head: Head,
    optics: Optics,
    metal: Metal,
    draws: Draws,
    beat: heating.Round,
    slice_mm2: float,
    pauses_s: Sequence[float],
) -> tuple[float, Found]:
    """Worth with the shortest pause that keeps the wall from costing the plan its chance."""
    one, count, seen = option.one, option.count, option.seen
    clear, stands = seen.needed <= count, seen.most >= count
    looks = clear & (np.ceil(seen.needed) <= seen.most)
    works = (clear & stands) | looks
    mark_s = slice_mm2 / float(one.scan_speed_mm_s[0] * one.hatch_mm[0])
    doses = np.repeat(one.dose_j_mm2, count)
    pause, cool, _ = shortest_pause(beat, mark_s, metal, draws, doses, seen.bare_after, works, pauses_s)
    weight = draws.weight
    lost = float(weight @ (works & ~cool)) / max(float(weight @ works), 1e-9)
    found = Found(
        setting_from(one, option.pulse_ns, count, pause, head, optics),
        clear=float(weight @ clear),
        unmarked=float(weight @ (stands & cool)),
        both=float(weight @ (clear & stands & cool)),
        with_looks=float(weight @ (looks & cool)),
        too_hot=lost > 0.5,
    )
    return option.worth - lost - _WORTH * np.log2(1 + pause * (count - 1) / (count * mark_s)), found


def shortest_pause(
    beat: heating.Round,
    mark_s: float,
    metal: Metal,
    draws: Draws,
    doses: Floats,
    bare_after: Floats,
    works: NDArray[np.bool_],
    pauses_s: Sequence[float] = PAUSES_S,
) -> tuple[float, NDArray[np.bool_], Floats]:
    """The shortest pause that costs at most one in a hundred of the draws that work; which draws then stay
    cool; the wall's rises (passes, n).

    Where no pause does, the shortest that costs hardly more than the longest. A longer pause never heats
    more, so the pauses are halved and not tried in turn.
    """
    limit = hot_limit_c(draws) - heating.ROOM_C
    paced = beat.with_pause(mark_s, 0.0)
    laid = heating.laid_k(paced, metal, draws, doses, bare_after)

    # Most plans need no pause: the others are looked at together, and only where it isn't enough.
    weights = [*heating.kept_weights(paced, metal, len(doses), np.array(pauses_s[:1]))]

    def tried(at: int) -> tuple[float, float, NDArray[np.bool_], Floats]:
        if at >= len(weights):
            weights.extend(heating.kept_weights(paced, metal, len(doses), np.array(pauses_s[1:])))
        rises = weights[at] @ laid
        cool = rises.max(axis=0) < limit
        return float(draws.weight @ (works & cool)), pauses_s[at], cool, rises

    best = tried(0)
    enough = float(draws.weight @ works) - 0.01
    if best[0] < enough and len(pauses_s) > 1:
        longest = tried(len(pauses_s) - 1)
        enough = min(enough, longest[0] - 0.01)
        short, long, found = 0, len(pauses_s) - 1, longest
        while best[0] < enough and long - short > 1:
            middle = tried((short + long) // 2)
            if middle[0] >= enough:
                long, found = (short + long) // 2, middle
            else:
                short = (short + long) // 2
        best = best if best[0] >= enough else found
    return best[1], best[2], best[3]
