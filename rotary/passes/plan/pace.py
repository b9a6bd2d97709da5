"""How fast a ladder is run: frequency and pause, so that the wall keeps its wish at the least time.

Pulse energy, spot and lattice make a ladder's chances; frequency and speed, lowered alike, leave them and make it
slower and cooler. So the highest frequency is taken that keeps the wish without a pause. A pause is the last means,
since at one cycle time slower marking is cooler.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Material
from rotary.passes.plan import heat
from rotary.passes.plan.grid import LEAST_POWER_SHARE, START_SHARE, Grid, round_rate
from rotary.passes.plan.pauses import pauses_of
from rotary.passes.plan.setting import ROOM_C
from rotary.passes.plan.typed_settings import last_typed
from rotary.setup import Setup
from rotary.wishes import Wishes

# Frequencies, as shares of the highest.
_SLOWER: Final = np.array([1.0, 0.71, 0.5, 0.35, 0.25])
# Of pauses that don't reach the wish, the shortest within so many degrees of the coolest [K].
NEARLY_K: Final = 10.0
_TYPED_SHARE: Final = 0.6
# Of pauses that reach the wish for part of a ladder only, the shortest that brings it nearly as far as any.
_NEARLY_ALL: Final = 0.9
# All round has to be so much quicker before passes leave their slice.
_CLEARLY_QUICKER: Final = 0.95


@dataclass(frozen=True, slots=True)
class LadderStart:
    """A ladder in its geometry: its first rung as a Grid of one, the pulse width, and how many times as strong each
    pass is, (passes,); `expected` passes, and the passes after which each sample is bare and stops, (n,). An end before
    `least` passes leaves too little of what the ladder is worth."""

    one: Grid
    pulse_width_ns: float
    times: Floats
    expected: float
    bare_at: Floats
    stop: Floats
    least: int = 1

    def typed_at_most(self, weight: Floats) -> int:
        """The number of passes that is typed for all slices three times in five, or fewer."""
        return int(min(np.ceil(quantile(self.stop, weight, _TYPED_SHARE)), len(self.times)))

    def ended(self, passes: int) -> "LadderStart":
        """The same with an end so far up."""
        return replace(self, times=self.times[:passes], stop=np.minimum(self.stop, passes))


class Rhythm(NamedTuple):
    """What heat and time go by: the beat of the slices, the time of a pass over one by its speed and line spacing [s],
    whether a last pass follows, the hottest that the wall may get [degC], and whether passes may go all round too."""

    beat: heat.Round
    slice_s: Callable[[float, float], float]
    has_last: bool
    wish_c: float
    may_go_round: bool = False

    @property
    def orders(self) -> list["Rhythm"]:
        """Its own order of passes and slices, and all round where that may be."""
        if not self.may_go_round:
            return [self]
        return [self, self._replace(beat=replace(self.beat, all_round=True), may_go_round=False)]


class PacedLadder(NamedTuple):
    """A ladder as typed: power of each rung with its passes, (rungs,), the pause, what it does to the wall.

    `rises` (passes, n) [K], the last pass among them; `time_s` is what a slice is expected to take, `all_round` that
    every slice gets a pass before any gets the next.
    """

    rungs: Grid
    counts: tuple[int, ...]
    pause_s: float
    rises: Floats
    wall_c: float
    time_s: float
    all_round: bool = False

    @property
    def levels(self) -> np.ndarray:
        """The rung of each pass."""
        return np.repeat(np.arange(len(self.counts)), self.counts)


def is_free(wishes: Wishes) -> bool:
    """Whether frequency and speed may be lowered alike."""
    return wishes.frequency_khz is None and wishes.speed_mm_s is None and wishes.power_share is None


def rates_of(candidate: LadderStart, laser: LaserAndLens, wishes: Wishes) -> Floats:
    """Frequencies worth trying for a ladder, the highest first: its start stands low enough to leave it headroom."""
    one = candidate.one
    if not is_free(wishes):
        return one.frequency_khz
    start = float(one.pulse_mj[0])
    most = highest_frequency(start, start * float(candidate.times[-1]), float(one.line_spacing_mm[0]), laser)
    least = max(laser.lowest_frequency_khz, least_share(laser) * laser.rated_power_w / start)
    rates = np.maximum(round_rate(max(most, laser.lowest_frequency_khz) * _SLOWER), laser.lowest_frequency_khz)
    rates = np.unique(rates[rates >= least * (1 - 1e-3)])[::-1]
    return rates if len(rates) else np.array([max(most, laser.lowest_frequency_khz)])


def highest_frequency(start_mj: float, top_mj: float, line_spacing_mm: float, laser: LaserAndLens) -> float:
    """The highest frequency [kHz] for a ladder from one pulse energy to another."""
    room = min(START_SHARE * laser.rated_power_w / start_mj, laser.rated_power_w / top_mj)
    return float(min(room, laser.top_speed_mm_s / line_spacing_mm / 1e3, laser.highest_frequency_khz))


def least_share(laser: LaserAndLens) -> float:
    """The least share of its power at which the source is steady."""
    return float(max(LEAST_POWER_SHARE, laser.power_step_share))


def rungs_at(
    candidate: LadderStart, frequency_khz: float, laser: LaserAndLens, wishes: Wishes
) -> tuple[Grid, tuple[int, ...]]:
    """The rungs of a ladder in whole steps of the power at a frequency, each once, with their passes."""
    one, step = candidate.one, laser.power_step_share
    slower = frequency_khz / float(one.frequency_khz[0])
    share = float(one.power_share[0]) * slower * candidate.times
    if wishes.power_share is None:
        most = np.floor(min(1.0, laser.largest_pulse_mj * frequency_khz / laser.rated_power_w) / step + 1e-6) * step
        share = np.clip(np.round(share / step) * step, step, max(most, step))
    counts = Counter(share.round(9).tolist())
    powers = np.array(list(counts))
    rungs = Grid(
        power_share=powers,
        frequency_khz=np.full_like(powers, frequency_khz),
        pulse_mj=powers * laser.rated_power_w / frequency_khz,
        speed_mm_s=np.full_like(powers, one.speed_mm_s[0] * slower),
        line_spacing_mm=np.full_like(powers, one.line_spacing_mm[0]),
        defocus_mm=np.full_like(powers, one.defocus_mm[0]),
    )
    return rungs, tuple(counts.values())


def run_at(
    candidate: LadderStart,
    frequency_khz: float,
    pauses_s: tuple[float, ...],
    setup: Setup,
    material: Material,
    how: Rhythm,
) -> list[PacedLadder]:
    """A ladder at one frequency with each of some pauses."""
    laser = setup.job.laser
    rungs, counts = rungs_at(candidate, frequency_khz, laser, setup.job.passes)
    doses = np.repeat(rungs.dose_j_mm2, counts)[: candidate.typed_at_most(material.draws.weight)]
    speed, hatch = float(rungs.speed_mm_s[0]), float(rungs.line_spacing_mm[0])
    mark_s = how.slice_s(speed, hatch)
    if how.has_last:
        power = float(rungs.power_share[0])
        share, last_speed = last_typed(power, speed, laser)
        doses = np.append(doses, doses[0] * share / power * speed / last_speed)
    paced = how.beat.with_pause(mark_s, 0.0)
    laid = heat.laid_k(paced, material.metal, material.draws, doses, candidate.bare_at)
    weights = heat.heat_weights(paced, material.metal, len(doses), np.array(pauses_s))
    passed = candidate.expected + how.has_last
    found, round_s = [], mark_s + how.beat.index_s
    for pause_s, weight in zip(pauses_s, weights, strict=True):
        # So small a product is done sooner in one go than shared out over a busy processor's cores.
        rises = np.einsum("kj,jn->kn", weight, laid)
        wall = ROOM_C + quantile(rises.max(axis=0), material.draws.weight, 0.95)
        # What goes on beyond is a slice alone.
        rises = np.concatenate([rises, np.repeat(rises[-1:], len(candidate.times) + how.has_last - len(rises), axis=0)])
        if how.beat.all_round:
            time_s = passed * max(round_s, (mark_s + pause_s) / how.beat.slices)
        else:
            time_s = passed * mark_s + (passed - 1) * pause_s
        found.append(PacedLadder(rungs, counts, pause_s, rises, wall, time_s, how.beat.all_round))
    return found


def keeps_wish(run: PacedLadder, how: Rhythm) -> bool:
    """Whether a run keeps the wall at its wish."""
    return run.wall_c <= how.wish_c


def at_full_rate(candidate: LadderStart, setup: Setup) -> PacedLadder:
    """A ladder at its highest frequency, where nothing is asked of the heat yet."""
    rate = float(rates_of(candidate, setup.job.laser, setup.job.passes)[0])
    rungs, counts = rungs_at(candidate, rate, setup.job.laser, setup.job.passes)
    pause_s = pauses_of(setup.job.passes, setup.job.program)[0]
    return PacedLadder(rungs, counts, pause_s, np.zeros((1, 1)), ROOM_C, 0.0)


def fastest(candidate: LadderStart, setup: Setup, material: Material, how: Rhythm) -> PacedLadder:
    """A ladder at its highest frequency without a pause, or with the one that is held."""
    rates = rates_of(candidate, setup.job.laser, setup.job.passes)
    pauses = pauses_of(setup.job.passes, setup.job.program)
    return run_at(candidate, float(rates[0]), pauses[:1], setup, material, how)[0]


def quickest_cool(candidate: LadderStart, setup: Setup, material: Material, how: Rhythm) -> PacedLadder:
    """A ladder at the highest frequency that keeps the wish, slice by slice or all round, else with the shortest pause
    that does, whichever order is clearly quicker, else the coolest it can be."""
    wishes, program = setup.job.passes, setup.job.program
    rates, pauses = rates_of(candidate, setup.job.laser, wishes), pauses_of(wishes, program)
    cool: list[PacedLadder] = []
    for order in how.orders:
        run = _without_pause(candidate, rates, pauses[:1], setup, material, order)
        if keeps_wish(run, how):
            cool.append(run)
            if run.rungs.frequency_khz[0] == rates[0] and not run.pause_s:
                break
    slowest, runs = float(rates[-1]), list[PacedLadder]()
    if not cool:
        tried = [run_at(candidate, slowest, pauses, setup, material, order) for order in how.orders]
        runs = [run for one in tried for run in one]
        # Of each order the shortest pause that keeps the wish.
        cool = [first for one in tried if (first := next((run for run in one if keeps_wish(run, how)), None))]
    if cool:
        return min(cool, key=_time)
    if wishes.passes is None:
        sooner = (_sooner_ended(candidate, slowest, pauses, setup, material, order) for order in how.orders)
        if ended := max(filter(None, sooner), key=lambda run: (len(run.levels), -_time(run)), default=None):
            return ended
    return _nearly_coolest(runs)


def _without_pause(
    candidate: LadderStart, rates: Floats, pauses_s: tuple[float, ...], setup: Setup, material: Material, how: Rhythm
) -> PacedLadder:
    """A ladder at the highest of some frequencies that keeps the wish without a pause, else at the lowest."""

    def tried(at: int) -> PacedLadder:
        return run_at(candidate, float(rates[at]), pauses_s, setup, material, how)[0]

    best = tried(0)
    if keeps_wish(best, how) or len(rates) == 1:
        return best
    fast, slow, best = 0, len(rates) - 1, tried(len(rates) - 1)
    while keeps_wish(best, how) and slow - fast > 1:
        middle = (fast + slow) // 2
        if keeps_wish(run := tried(middle), how):
            slow, best = middle, run
        else:
            fast = middle
    return best


def _nearly_coolest(runs: list[PacedLadder]) -> PacedLadder:
    """The quickest run that is nearly as cool as any."""
    coolest = min(run.wall_c for run in runs)
    return min((run for run in runs if run.wall_c <= coolest + NEARLY_K), key=_time)


def _time(run: PacedLadder) -> float:
    """What a run takes [s], where all round has to be clearly quicker."""
    return run.time_s if run.all_round else _CLEARLY_QUICKER * run.time_s


def _sooner_ended(
    candidate: LadderStart,
    frequency_khz: float,
    pauses_s: tuple[float, ...],
    setup: Setup,
    material: Material,
    how: Rhythm,
) -> PacedLadder | None:
    """The ladder with an end before the wall gets too hot, as late as the longest pause allows; None if too soon."""

    def run(passes: int, pauses: tuple[float, ...]) -> list[PacedLadder]:
        return run_at(candidate.ended(passes), frequency_khz, pauses, setup, material, how)

    # Beyond what is typed for all slices an end changes nothing of the heat.
    cool, hot = 0, candidate.typed_at_most(material.draws.weight)
    while hot - cool > 1:
        middle = (cool + hot) // 2
        if keeps_wish(run(middle, pauses_s[-1:])[0], how):
            cool = middle
        else:
            hot = middle
    # Nearly as far up with a shorter pause is better.
    passes = max(int(_NEARLY_ALL * cool), 1)
    ends = run(passes, pauses_s) if cool and passes >= candidate.least else []
    return next((one for one in ends if keeps_wish(one, how)), None)
