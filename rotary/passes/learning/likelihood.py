"""How likely each draw makes what was read: five outcomes over readings and draws at once.

A draw says how far a setting is from clearing and from marking, as a distance in the logarithm of
the fluence or of the passes. Focus, thickness from place to place and the eye blur that distance,
so an edge is a slope and not a step. What is off by as much for a whole set-up is drawn with it, for
however many cells agree, they don't tell it from another threshold. One reading in twenty is taken to
be plainly wrong: no single reading can rule a draw out.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import log_threshold_after_pulses, over_to_close
from rotary.formulas.arrays import Floats
from rotary.formulas.beam import dose_j_mm2, pulse_density_mm2
from rotary.formulas.estimate import HOLDS_95
from rotary.passes.beliefs.belief import bell
from rotary.passes.beliefs.draws import Draws, Known, Metal, machine, metals
from rotary.passes.learning.reading import ABOUT_THE_LOOK, OUTCOMES, Reading
from rotary.passes.plan import effect
from rotary.passes.plan.grid import Grid
from rotary.passes.plan.heat import Round, heat_weights
from rotary.passes.plan.setting import ROOM_C

WRONG_SHARE: Final = 0.05
# Thickness from one place to another, as passes (logarithm); haze within so much of the edge: estimates.
BLUR_PASSES: Final = 0.15
_BLUR_FLUENCE: Final = 0.12
_HAZE: Final = 0.15
_BLUR_TINT_K: Final = 40.0
# Half the variance of both is one set-up's (a thicker scrap; power and lens of that day): estimate.
_SHARED: Final = 0.5**0.5
SHARED_ERRORS: Final = 3
"""What all readings of a set-up share: how far the focus is off, the fluence, and the thickness."""
_AT_ONCE: Final = 8
# Looks at one spot share its thickness and its focus: four of them tell as much as two spots would.
_SAME_PLACE: Final = 1.0
# Another head's power meter and spot: its fluence is known to about a quarter, and it counts for half.
_OTHER_LASER_BLUR: Final = 0.25
_OTHER_LASER_WEIGHT: Final = 0.5
# What may differ between looks at one spot.
_OF_A_LOOK: Final = {*ABOUT_THE_LOOK, "passes"}
_NAMES: Final = tuple(OUTCOMES)
_READ_IN: Final[dict[str, int]] = {outcome: place for place, outcome in enumerate(OUTCOMES)}


@dataclass(frozen=True)
class Evidence:
    """Readings as arrays (m, 1): what was keyed in, the beam it was made with, what was seen.

    `spot` (m,) counts the spots, so that several looks at one share its number, `set_up` (m,) the set-ups. The focus is
    known to `focus_mm` (95 %). `thicker` and `wider`: coating and wall there over those of this item, where both were
    measured.
    """

    outcome: NDArray[np.intp]
    spot: NDArray[np.intp]
    set_up: NDArray[np.intp]
    same_laser: NDArray[np.bool_]
    same_metal: NDArray[np.bool_]
    settings: Grid
    spot_um: Floats
    rayleigh_mm: Floats
    pulse_width_ns: Floats
    passes: Floats
    earlier: Floats
    focus_mm: Floats
    blur: Floats
    thicker: Floats
    wider: Floats
    share: Floats
    heat: tuple[Floats, ...]

    def __len__(self) -> int:
        return len(self.outcome)

    def part(self, start: int, stop: int) -> "Evidence":
        """Some of the readings, one after the other."""
        return self.take(np.arange(start, min(stop, len(self))))

    def take(self, which: NDArray[np.intp]) -> "Evidence":
        """Some of the readings."""
        names = [name for name in self.__dataclass_fields__ if name not in ("settings", "heat")]
        some = {name: getattr(self, name)[which] for name in names}
        return Evidence(settings=self.settings.take(which), heat=tuple(self.heat[at] for at in which), **some)


def evidence(readings: Sequence[Reading], known: Known, head: str, solid_mm: float | None) -> Evidence:
    """Readings made ready for the draws of a job; `solid_mm` is the depth of a solid part, None for a wall."""

    def column(name: str) -> Floats:
        return np.array([getattr(r, name) for r in readings], float).reshape(-1, 1)

    def compared(name: str, mine: float | None) -> Floats:
        each = (getattr(r, name) for r in readings)
        return np.array([theirs / mine if mine and theirs else 1.0 for theirs in each]).reshape(-1, 1)

    keyed = ("power_share", "frequency_khz", "energy_mj", "speed_mm_s", "line_spacing_mm", "defocus_mm")
    settings, spot_um, rayleigh_mm = Grid(*map(column, keyed)), column("spot_um"), column("rayleigh_mm")
    pulse_width_ns = column("pulse_width_ns")
    same_laser = np.array([[r.laser == head] for r in readings])
    other = np.where(same_laser, 0.0, _OTHER_LASER_BLUR)
    looks = np.array(_looks_of(readings), float).reshape(-1, 1)
    set_ups = [*dict.fromkeys(map(set_up_of, readings))]
    set_up = [set_ups.index(set_up_of(r)) for r in readings]
    marked_with = [(at, r.model_dump(exclude=_OF_A_LOOK)) for at, r in zip(set_up, readings, strict=True)]
    return Evidence(
        outcome=np.array([_READ_IN[r.outcome] for r in readings], np.intp),
        spot=np.array([marked_with.index(each) for each in marked_with], np.intp),
        set_up=np.array(set_up, np.intp),
        same_laser=same_laser,
        same_metal=np.array([[known.metal is metals().get(r.metal)] for r in readings]),
        settings=settings,
        spot_um=spot_um,
        rayleigh_mm=rayleigh_mm,
        pulse_width_ns=pulse_width_ns,
        passes=column("passes"),
        earlier=effect.earlier_pulses_share(settings, spot_um, rayleigh_mm, pulse_width_ns),
        focus_mm=column("focus_mm"),
        blur=np.hypot(_SHARED * _BLUR_FLUENCE, other),
        thicker=compared("thickness_um", known.thickness_um),
        wider=compared("wall_mm", known.wall_mm),
        share=_SAME_PLACE / np.sqrt(looks) + 1 - _SAME_PLACE,
        heat=tuple(_heat_k(r, known.metal, solid_mm) for r in readings),
    )


def set_up_of(reading: Reading) -> tuple[str, ...]:
    """The set-up in which a reading was made: a patch, or the job of a day."""
    return reading.day, reading.patch, reading.source


def fluence_blur(defocus_mm: float | Floats, rayleigh_mm: float | Floats, focus_mm: float | Floats) -> Floats:
    """How far an edge is blurred from one set-up to another, as one standard deviation of the logarithm of the fluence.

    The focus is known to `focus_mm` (95 %): what that is worth in fluence at this defocus.
    """
    away = np.abs(defocus_mm)
    slope = 2 * away / (rayleigh_mm**2 + away**2)
    return np.asarray(np.hypot(_BLUR_FLUENCE, slope * focus_mm / 2))


def _looks_of(readings: Sequence[Reading]) -> list[int]:
    """How many of the readings are looks at the same spot, for each."""
    spots = [(r.day, r.source, r.patch, r.cell or -r.number) for r in readings]
    count = Counter(spots)
    return [count[spot] for spot in spots]


def _heat_k(reading: Reading, metal: Metal, solid_mm: float | None) -> Floats:
    """Rise [K] that passes 1..n have left at the end of the last one in 1 mm of wall for a share of 1, cumulated.

    Empty where no colour could come of it.
    """
    if metal.tints_at_c is None:
        return np.zeros(0)
    area = reading.inked_width_mm * reading.inked_height_mm
    mark_s = area / (reading.speed_mm_s * reading.line_spacing_mm)
    depth = solid_mm or reading.wall_mm or 0.5
    across = (reading.inked_width_mm, reading.inked_height_mm)
    beat = Round(
        mark_s, reading.pause_s, 0.4, 1, False, *across, girth_mm=200.0, length_mm=150.0, depth_mm=depth, thin=True
    )
    kept = heat_weights(beat, metal, reading.passes, np.array([reading.pause_s]))[0, -1]
    dose = dose_j_mm2(
        reading.energy_mj, pulse_density_mm2(reading.frequency_khz, reading.speed_mm_s, reading.line_spacing_mm)
    )
    rise = dose * kept / (metal.density_kg_m3 * metal.heat_j_kgk * 1e-9) / (solid_mm or 1.0)
    # What even a thin, dark wall would not reach is not worth computing.
    most = float(rise.sum()) * metal.absorptivity.high / (1.0 if solid_mm else 0.3)
    if most < (metal.tints_at_c.low - ROOM_C) / 2:
        return np.zeros(0)
    return np.concatenate(([0.0], np.cumsum(rise)))


def log_likelihoods(
    known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool, shared: Floats | None = None
) -> Floats:
    """Logarithm of how likely each draw makes each reading, (m, n).

    `shared` (SHARED_ERRORS, set-ups, n) are the errors of each set-up in standard deviations; where None, it has none.
    A few readings at a time, so that what is computed stays near the processor.
    """
    parts = (known.part(at, at + _AT_ONCE) for at in range(0, len(known), _AT_ONCE))
    errors = _errors(known, shared)
    return np.concatenate([_log_likelihoods(part, draws, metal, lift_off_at_ns, solid, errors) for part in parts])


def _errors(known: Evidence, shared: Floats | None) -> Floats:
    """Of each set-up by how much of the granted focus it is off, and the factors of its energy and its thickness."""
    if shared is None:
        shared = np.zeros((SHARED_ERRORS, int(known.set_up.max()) + 1, 1))
    blurs = np.array([_BLUR_FLUENCE, BLUR_PASSES]).reshape(-1, 1, 1)
    return np.concatenate([shared[:1] / HOLDS_95, np.exp(_SHARED * blurs * shared[1:])])


def _log_likelihoods(
    known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool, errors: Floats
) -> Floats:
    ways = _ways(known, draws, metal, lift_off_at_ns, solid, errors)
    # On another metal tinted and cut say no more than that it is bare.
    outcomes = np.where(known.same_metal[:, 0], known.outcome, np.minimum(known.outcome, _READ_IN["clear"]))
    read = np.empty_like(ways[0])
    for outcome in np.unique(outcomes):
        rows = outcomes == outcome
        read[rows] = _share(int(outcome), *(way[rows] for way in ways))
    log = np.log((1 - WRONG_SHARE) * np.maximum(read, 0) + WRONG_SHARE / len(OUTCOMES))
    return np.asarray(log * known.share * np.where(known.same_laser, 1.0, _OTHER_LASER_WEIGHT))


def _share(outcome: int, covered: Floats, clean: Floats, tint: Floats, cut: Floats) -> Floats:
    """How likely each of OUTCOMES is, by how likely coating is left, all is clean, the wall coloured, the metal cut."""
    name = _NAMES[outcome]
    if name == "cut":
        return cut
    seen = covered
    if name == "haze":
        seen = (1 - covered - clean) * (1 - tint)
    elif name == "clear":
        seen = clean * (1 - tint)
    elif name == "tinted":
        seen = (1 - covered) * tint
    return np.asarray((1 - cut) * seen)


def outcome_shares(known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool) -> Floats:
    """How likely each draw makes each of the five outcomes, (5, m, n); without wrong readings."""
    ways = _ways(known, draws, metal, lift_off_at_ns, solid, _errors(known, None))
    return np.stack([_share(outcome, *ways) for outcome in range(len(OUTCOMES))]).clip(0.0)


class _Spots(NamedTuple):
    """What a pass does at each spot, (spots, n), as logarithms but for `over` and `bare_after`: what it takes off the
    layer at the least-hit place, the fluence left over the threshold, that over what throws the coating off, less the
    `gap` between the pulses' discs, passes until bare, pulses on a place, and what the metal has to spare."""

    log_share: Floats
    over: Floats
    thrown: Floats
    gap: Floats
    bare_after: Floats
    log_hits: Floats
    margin: Floats

    def looked_at(self, which: NDArray[np.intp]) -> "_Spots":
        """The spot of each look, in half the digits: they are of a slope's places."""
        return _Spots(*(getattr(self, name).astype(np.float32)[which] for name in self._fields))


def _spots(known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, power: Floats, off: Floats) -> _Spots:
    usual, shape = machine(), (len(known), len(draws.weight))
    spot = np.where(known.same_laser, draws.spot_factor, usual.spot_computed.central)
    diverges = np.where(known.same_laser, draws.divergence_factor, usual.divergence.central)
    beam = effect.Beam(known.spot_um, known.rayleigh_mm, spot, diverges, power, known.focus_mm * off[0])
    at, lifts = effect.exposure(known.settings, beam), draws.lifts > 0
    thick = (draws.thickest_um + draws.thinnest_um) / 2 * known.thicker * off[2]
    with np.errstate(divide="ignore"):
        most_um = effect.energy_depth_um(draws, known.settings, power)
        each = effect.pass_depth(draws, at, effect.log_threshold(draws, known.pulse_width_ns), most_um)
        log_share, bare_after, thrown = np.log(each.least_um / thick), thick / each.most_um, np.zeros(shape)
    if lifts.any():
        thrown = at.log_peak - effect.log_lift_off(draws, thick, lift_off_at_ns, known.pulse_width_ns)
        bare_after = np.where(lifts, np.where(thrown > 0, 0.0, np.inf), bare_after)
    gap = over_to_close(at.spot, at.ratio)
    margin = effect.metal_margin(draws, metal, at, known.pulse_width_ns, known.earlier)
    return _Spots(log_share, each.over, thrown, gap, bare_after, np.log(at.hits), margin)


def _ways(
    known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool, errors: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """How likely coating is left, all is clean, the wall is coloured, and the metal cut, in each draw, (m, n) each."""
    off = errors[:, known.set_up]
    power = off[1] * np.where(known.same_laser, draws.power_factor, machine().power.central)
    # Looks at one spot differ in their passes alone.
    _, firsts, which = np.unique(known.spot, return_index=True, return_inverse=True)
    there = _spots(known.take(firsts), draws, metal, lift_off_at_ns, power[firsts], off[:, firsts])
    marked_at = there.looked_at(which)
    lifts, bare_after = draws.lifts > 0, marked_at.bare_after
    passes, own_blur, haze = (np.asarray(each, np.float32) for each in (known.passes, known.blur, _HAZE))
    cleared = np.log(passes) + marked_at.log_share
    # A change of the fluence moves the passes by as much over the logarithm that is left.
    own_passes = np.float32(_SHARED * BLUR_PASSES)
    blur = np.hypot(own_passes, own_blur * (1 + 1 / np.maximum(marked_at.over, np.float32(0.25))))
    if lifts.any():
        # Passes lie a little beside each other, so that many of them close gaps which one leaves.
        cleared = np.where(lifts, marked_at.thrown - marked_at.gap / np.sqrt(passes), cleared)
        blur = np.where(lifts, own_blur, blur)
    after = np.maximum(passes - bare_after, 0)
    with np.errstate(divide="ignore"):
        pulses = np.log(after) + marked_at.log_hits
    stands = log_threshold_after_pulses(marked_at.margin, pulses, draws.incubation.astype(np.float32))
    # What another metal stands is not known here: there only what became of the coating is told.
    cut = np.where(known.same_metal, bell(-stands / own_blur) * np.minimum(after / np.float32(0.3), 1), 0)
    tint = np.where(known.same_metal, _tinted(known, draws, bare_after, power, solid), 0)
    return bell(-(cleared + haze) / blur), bell((cleared - haze) / blur), tint, cut


def _tinted(known: Evidence, draws: Draws, bare_after: Floats, power: Floats, solid: bool) -> Floats:
    """How likely the wall is hot enough to colour, (m, n)."""
    tint = np.zeros_like(bare_after)
    wall = 1.0 if solid else draws.wall_mm
    for row, heat in enumerate(known.heat):
        if not len(heat):
            continue
        coated = np.interp(bare_after[row], np.arange(len(heat)), heat)
        laid = draws.residual_share * coated + draws.absorptivity * (heat[-1] - coated)
        rise = laid * np.broadcast_to(power, bare_after.shape)[row] / (wall * known.wider[row])
        tint[row] = bell((ROOM_C + rise - draws.tints_at_c) / _BLUR_TINT_K)
    return tint
