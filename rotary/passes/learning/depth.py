"""Depth in bare metal: passes for a wanted depth with its range, and what a person's own gauge teaches.

::

    belief about the depth of a pass      readings (passes, depth by gauge)        what is known then
         . - ' ' - .                 x        |||                            =          A
      .'             ' .                                                               / \\

Three figures are learned together: the depth of a pass where ten are marked, over its energy per area; how much parts
and places scatter; and the exponent of the passes, depth ~ n^p (near enough 1: common practice, no source). They are
held on a grid; every reading weighs each place of it by how likely a gauge of that resolution would have shown it. So
readings that agree narrow the range, and readings that contradict each other widen it.
"""

from collections.abc import Iterator, Sequence
from math import ceil, floor, log
from typing import Final, NamedTuple

import numpy as np
from pydantic import Field

from rotary.errors import Predicate, refuse
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import BELOW_95
from rotary.formulas.heat import diffusivity_mm2_s
from rotary.formulas.lumped import half_space_rise_k, lumped_rise_k, solid_volume_mm3
from rotary.model import Model, Thin
from rotary.passes.beliefs.belief import Belief
from rotary.passes.beliefs.draws import Metal, latent, machine
from rotary.passes.plan.setting import Setting
from rotary.shape import Shape

PLACES: Final = 601
REACH: Final = 5.0  # standard deviations to either side

SCATTERS: Final = np.array([0.07, 0.10, 0.14, 0.20, 0.27, 0.35, 0.50])
_SCATTER_WEIGHTS: Final = np.array([0.06, 0.11, 0.13, 0.18, 0.20, 0.19, 0.13])
"""Standard deviation of the depth's logarithm from place to place and part to part, and what is believed of it: mostly
0.2 to 0.35 until readings narrow it (estimate)."""

EXPONENTS: Final = np.array([0.80, 0.85, 0.90, 0.95, 1.0, 1.05, 1.1])
_EXPONENT_WEIGHTS: Final = np.array([0.04, 0.12, 0.2, 0.25, 0.25, 0.1, 0.04])
"""The exponent of the passes: an assumption; melt that is left in the groove and focus that is left behind lower it."""

TEN: Final = 10.0
"""The passes for which the depth of a pass is held."""

_PARTS: Final = 4000
# Six standard deviations off whatever is believed: no reading, but a slip.
_IMPOSSIBLE: Final = -20.0
_USUAL_SCATTER: Final = 0.15

RARE: Final = 1e-3
"""What was believed with less than this chance is told when readings say it."""

ODD: Final = 3.5
"""Readings farther from each other than this many standard deviations contradict each other."""

AIR_W_MM2_K: Final = 10e-6
"""Loss to still air: the least that is usual (estimate)."""

MOST_PASSES: Final = 100_000


class DepthReading(Model):
    """What a gauge said after some passes. `resolution_um` is the finest step that it shows.

    `dose_j_mm2` is the energy over the area of one pass; where not given, that of the setting it is used with.
    `metal` and `head` are names; readings of another metal or laser don't teach, nor does one that is `ignored` out.
    """

    passes: int = Field(ge=1, le=MOST_PASSES)
    depth_um: Thin = Field(ge=0, le=20_000)
    resolution_um: Thin = Field(default=1.0, gt=0, le=1000)
    dose_j_mm2: float | None = Field(default=None, gt=0)
    metal: str | None = None
    laser: str | None = None
    ignored: bool = False


class DepthBelief(NamedTuple):
    """What is believed: `per_j_mm3` (n,) rising, the removal of a pass of ten [mm³/J as keyed in], and `weight`
    (n, scatters, exponents), which sums to 1."""

    per_j_mm3: Floats
    weight: Floats
    readings: int
    notes: tuple[str, ...] = ()

    def at(self, share: float) -> float:
        """The removal that is not exceeded with this chance."""
        heap = self.weight.sum(axis=(1, 2))
        return float(np.interp(share, np.cumsum(heap) - heap / 2, self.per_j_mm3))

    def next_parts(self) -> tuple[Floats, Floats]:
        """Removal of a pass of ten on parts to come, and the exponent of their passes, (parts,) each: a fair sample of
        what is believed, with the scatter of parts."""
        heap = np.cumsum(self.weight.ravel())
        at = np.searchsorted(heap, (np.arange(_PARTS) + 0.5) / _PARTS * heap[-1])
        place, scatter, exponent = np.unravel_index(at, self.weight.shape)
        each = self.per_j_mm3[place] * np.exp(SCATTERS[scatter] * latent(_PARTS)[0])
        return np.asarray(each), EXPONENTS[exponent]


def depth_of_parts_um(belief: DepthBelief, passes: int, dose_j_mm2: float) -> Floats:
    """Depth of parts to come after so many passes of an energy per area, (parts,)."""
    each, exponent = belief.next_parts()
    return np.asarray(1e3 * dose_j_mm2 * each * TEN * (passes / TEN) ** exponent)


class DepthAnswer(Model):
    """Passes for a wanted depth and what may come of them.

    `passes` is the central answer; `safe_passes` goes too deep with a chance of 5 % only, so that one can gauge and go
    on; `sure_passes` are enough with 95 %. `depth_um_*` is what `passes` may give, 5, 50 and 95 %.
    """

    wanted_um: float
    passes: int
    safe_passes: int
    sure_passes: int
    per_pass_um_5: float
    per_pass_um_50: float
    per_pass_um_95: float
    depth_um_5: float
    depth_um_50: float
    depth_um_95: float
    readings: int
    notes: tuple[str, ...]


def prior(metal: Metal, power: Belief | None = None) -> DepthBelief:
    """The belief before any reading: the metal's removal and the power that arrives, as half bells of the logarithm.

    `power` is that of `machine()` where not given.
    """
    power = machine().power if power is None else power
    low, middle, high = metal.removal_mm3_j.low, metal.removal_mm3_j.central, metal.removal_mm3_j.high
    below = np.hypot(log(middle / low), log(power.central / power.low)) / BELOW_95
    above = np.hypot(log(high / middle), log(power.high / power.central)) / BELOW_95
    z = np.linspace(-REACH, REACH, PLACES)
    # Two half bells that meet in the central figure hold a half each, whatever their widths.
    values = middle * power.central * np.exp(z * np.where(z < 0, below, above))
    weight = np.exp(-(z**2) / 2)[:, None, None] * _SCATTER_WEIGHTS[:, None] * _EXPONENT_WEIGHTS
    return DepthBelief(values, weight / weight.sum(), 0)


def posterior(belief: DepthBelief, readings: Sequence[DepthReading], dose_j_mm2: float) -> DepthBelief:
    """The belief after readings; raises Refused where none of them can be true.

    >>> from rotary.passes.beliefs.draws import metals
    >>> start = prior(metals()["brass-c26000"])
    >>> after = posterior(start, [DepthReading(passes=20, depth_um=40.0)], dose_j_mm2=1.0)
    >>> round(1e3 * after.at(0.5), 2), after.at(0.95) / after.at(0.05) < start.at(0.95) / start.at(0.05)
    (2.13, True)
    """
    if not readings:
        return belief
    each = [_log_likelihood(belief.per_j_mm3, reading, dose_j_mm2) for reading in readings]
    if min(float(one.max()) for one in each) < _IMPOSSIBLE:
        says = Predicate("can't be right for this metal and setting: check passes, depth and unit")
        raise refuse("readings", says)
    score = np.log(np.maximum(belief.weight, 1e-300)) + sum(each)
    weight = np.exp(score - score.max())
    weight /= weight.sum()
    after = DepthBelief(belief.per_j_mm3, weight, len(readings))
    return after._replace(notes=(*_surprise(belief, after), *_doubts(readings, dose_j_mm2)))


def _surprise(before: DepthBelief, after: DepthBelief) -> tuple[str, ...]:
    """That readings say something which was thought all but impossible: more likely a slip than a strange part."""
    now = after.at(0.5)
    if before.at(RARE) <= now <= before.at(1 - RARE):
        return ()
    times = now / before.at(0.5)
    word = f"{times:.0f} times" if times > 1 else f"1/{1 / times:.0f} of"
    return (
        f"Your readings show {word} the depth that the plan assumed for this metal: check the passes, the depth, its "
        "unit, and the focus.",
    )


def relevant_readings(readings: Sequence[DepthReading], metal: str, head: str) -> tuple[DepthReading, ...]:
    """The readings of this metal and laser that are not struck out; one that names neither is taken to be of both."""
    fit = (one for one in readings if one.metal in (None, metal) and one.laser in (None, head))
    return tuple(one for one in fit if not one.ignored)


def depth_answer(belief: DepthBelief, wanted_um: float, dose_j_mm2: float) -> DepthAnswer:
    """Passes for a depth at an energy per area of each; the next part scatters as parts do."""
    each, exponent = belief.next_parts()
    # The passes that each part would take: d = d_10 (n / 10)^p, solved for n.
    takes = TEN * (wanted_um / (1e3 * dose_j_mm2 * TEN * each)) ** (1 / exponent)
    few, usual, many = np.quantile(takes, _SHARES)
    count = _whole(float(usual))
    deep = np.quantile(depth_of_parts_um(belief, count, dose_j_mm2), _SHARES)
    notes = list(belief.notes)
    if belief.readings == 0:
        notes.append(
            "No depth measured yet, so the estimate may be several times off: cut a trial, measure its depth, and "
            "enter the reading."
        )
    if wanted_um < deep[1] / count / 2:
        notes.append("One pass goes deeper than you want: use less power or more speed.")
    names = [f"{name}_{share}" for name in ("per_pass_um", "depth_um") for share in (5, 50, 95)]
    ranges = dict(zip(names, [*(deep / count).tolist(), *deep.tolist()], strict=True))
    return DepthAnswer(
        wanted_um=wanted_um,
        passes=count,
        safe_passes=min(max(1, floor(few)), count),
        sure_passes=max(ceil(min(many, float(MOST_PASSES))), count),
        **ranges,
        readings=belief.readings,
        notes=tuple(notes),
    )


def _whole(passes: float) -> int:
    if passes > MOST_PASSES:
        says = Predicate(f"would take {passes:.0f} passes: enter less depth, or use more power")
        raise refuse("passes.depth", says)
    return max(1, round(passes))


_SHARES: Final = (0.05, 0.5, 0.95)


def _log_likelihood(per_j_mm3: Floats, reading: DepthReading, dose_j_mm2: float) -> Floats:
    """How likely a gauge would have shown this, as a logarithm, (n, scatters, exponents)."""
    grown = (reading.passes / TEN) ** EXPONENTS
    true_um = 1e3 * (reading.dose_j_mm2 or dose_j_mm2) * TEN * per_j_mm3[:, None, None] * grown
    half = reading.resolution_um / 2
    shown = max(reading.depth_um, half)
    # A gauge is read to its resolution, evenly: a standard deviation of so much over the square root of twelve.
    spread = np.hypot(SCATTERS[:, None], reading.resolution_um / 12**0.5 / shown)
    off = np.log(true_um / shown) / spread
    if reading.depth_um < half:
        # Nothing to be seen: any depth that the gauge doesn't show will do.
        off = np.maximum(off, 0.0)
    return np.asarray(-(off**2) / 2 - np.log(spread))


def _doubts(readings: Sequence[DepthReading], dose_j_mm2: float) -> Iterator[str]:
    """What readings say against each other, and against the law that depth is in proportion to passes."""
    each = np.array([one.depth_um / (one.passes * (one.dose_j_mm2 or dose_j_mm2)) for one in readings])
    spread = np.array([_spread_um(one) / (one.passes * (one.dose_j_mm2 or dose_j_mm2)) for one in readings])
    if len(each) > 1:
        mean = np.sum(each / spread**2) / np.sum(1 / spread**2)
        worst = int(np.argmax(np.abs(each - mean) / spread))
        if abs(each[worst] - mean) > ODD * spread[worst]:
            one = readings[worst]
            yield (
                f"{one.depth_um:g} µm after {one.passes} passes does not fit the other readings: measure this depth "
                "again."
            )
        counts = np.array([one.passes for one in readings])
        few, many = each[counts == counts.min()].mean(), each[counts == counts.max()].mean()
        if counts.max() >= 2 * counts.min() and many < 0.7 * few:
            yield (
                f"A pass took off {few:.2f} µm at first and {many:.2f} µm later: deep grooves cut more slowly (melt "
                "stays in, the floor leaves the focus). Trust the reading nearest to your depth. Lower the focus as "
                "the groove gets deeper."
            )


def _spread_um(reading: DepthReading) -> float:
    return float(
        np.hypot(_USUAL_SCATTER * max(reading.depth_um, reading.resolution_um), reading.resolution_um / 12**0.5)
    )


class PartWarmth(NamedTuple):
    """Rise of a solid part [K] by the end of the work: of the marked face as if endless, and of the whole as a lump.

    `even_s` is the time from which the lump is the better picture; `mass_g` the part's mass.
    """

    face_k: float
    lump_k: float
    lump_high_k: float
    even_s: float
    mass_g: float


def part_warmth(body: Shape, metal: Metal, setting: Setting, ink_mm2: float, time_s: float) -> PartWarmth:
    """How warm a solid part gets: energy of all passes over the ink, spread over the time of the work.

    The lump loses nothing but to still air; a chuck takes more away. High is with the highest absorptivity.
    """
    volume = solid_volume_mm3(body.curve)
    radius = float(body.radius_mm(body.length_mm / 2))
    mass = volume * metal.density_kg_m3 * 1e-6
    energy = setting.dose_j_mm2 * ink_mm2 * setting.passes
    area = 2 * np.pi * radius * (body.length_mm + radius)
    seconds = max(time_s, 1e-9)

    def lump(share: float) -> float:
        return float(lumped_rise_k(share * energy / seconds, seconds, mass, metal.heat_j_kgk, AIR_W_MM2_K * area))

    share = metal.absorptivity.central
    flux = share * energy / seconds / max(ink_mm2, 1e-9)
    face = half_space_rise_k(flux, seconds, metal.conductivity_w_mk, metal.density_kg_m3, metal.heat_j_kgk)
    even = radius**2 / float(diffusivity_mm2_s(metal.conductivity_w_mk, metal.density_kg_m3, metal.heat_j_kgk))
    return PartWarmth(float(face), lump(share), lump(metal.absorptivity.high), even, mass)


def finishing_notes(depth_um: float) -> tuple[str, ...]:
    """The finishing pass, the mark's tone, burr and clean-up, in sentences; common practice, no source."""
    notes = [
        "When the part is deep enough, mark one last pass with about a third of the power, twice the speed, and the "
        "smallest line spacing. It smooths the floor and adds little depth (common practice, no source).",
        "If you want dark letters in steel or titanium, mark the last pass slowly and slightly out of focus. For "
        "bright letters mark it fast and in focus. Brass and aluminium darken little. Try both on a spare part "
        "(estimate, no source).",
    ]
    if depth_um > 20:
        notes.append(
            "At the edges molten metal can stand up by a tenth of the depth (a burr; estimate, no source). Brush it "
            "off with a brass or nylon brush, then mark one light pass over the outline."
        )
    notes.append(
        "Wear gloves: the dust is fine and the burr is sharp. Let the part cool, brush it, then wipe it with isopropyl."
    )
    return tuple(notes)
