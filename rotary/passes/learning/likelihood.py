"""How likely each draw makes what was read: five outcomes over readings and draws at once.

A draw says how far a setting is from clearing and from marking, as a distance in the logarithm of
the fluence or of the passes. Focus, thickness from place to place and the eye blur that distance,
so an edge is a slope and not a step. One reading in twenty is taken to be plainly wrong: no
single reading can rule a draw out.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import lattice_sums
from rotary.formulas.heat import train_share
from rotary.passes.beliefs.belief import bell
from rotary.passes.beliefs.draws import Draws, Known, Metal, machine
from rotary.passes.learning.reading import OUTCOMES, Reading
from rotary.passes.plan.heating import ROOM_C, Round, heat_weights

Floats = NDArray[np.float64]

WRONG_SHARE: Final = 0.05
# Thickness from one place to another, as passes (logarithm); haze within so much of the edge: estimates.
_BLUR_PASSES: Final = 0.15
_BLUR_FLUENCE: Final = 0.12
_HAZE: Final = 0.15
_BLUR_TINT_K: Final = 40.0
_LIFTED_UM: Final = 60.0
_AT_ONCE: Final = 4
# Looks at one spot share its thickness and its focus: four of them tell as much as two spots would.
_SAME_PLACE: Final = 1.0
# Another head's power meter and spot: its fluence is known to about a quarter, and it counts for half.
_OTHER_HEAD_BLUR: Final = 0.25
_OTHER_HEAD_WEIGHT: Final = 0.5
_READ_IN: Final[dict[str, int]] = {outcome: place for place, outcome in enumerate(OUTCOMES)}


@dataclass(frozen=True)
class Evidence:
    """Readings as arrays (m, 1): what was keyed in, the beam it was made with, what was seen.

    `thicker` and `wider`: coating and wall there over those of this item, where both were measured.
    """

    outcome: NDArray[np.intp]
    same_head: NDArray[np.bool_]
    same_metal: NDArray[np.bool_]
    waist_mm: Floats
    spread: Floats
    pulse_mj: Floats
    pulse_ns: Floats
    spacing_mm: Floats
    ratio: Floats
    passes: Floats
    dose_j_mm2: Floats
    train: Floats
    blur: Floats
    thicker: Floats
    wider: Floats
    share: Floats
    heat: tuple[Floats, ...]

    def __len__(self) -> int:
        return len(self.outcome)

    def part(self, start: int, stop: int) -> "Evidence":
        """Some of the readings, one after the other."""
        return Evidence(*(getattr(self, name)[start:stop] for name in self.__dataclass_fields__))


def evidence(readings: Sequence[Reading], known: Known, head: str, solid_mm: float | None) -> Evidence:
    """Readings made ready for the draws of a job; `solid_mm` is the depth of a solid part, None for a wall."""

    def column(values: list[float]) -> Floats:
        return np.array(values, float).reshape(-1, 1)

    pitch = [r.scan_speed_mm_s / (1e3 * r.rate_khz) for r in readings]
    waist = [r.spot_um / 2000 for r in readings]
    slope = [2 * abs(r.defocus_mm) / (r.rayleigh_mm**2 + r.defocus_mm**2) for r in readings]
    other = [0.0 if r.head == head else _OTHER_HEAD_BLUR for r in readings]
    radius = [w * float(np.hypot(1, r.defocus_mm / r.rayleigh_mm)) for w, r in zip(waist, readings, strict=True)]
    trains = [
        float(train_share(r.duration_ns, r.rate_khz, p, w)) for r, p, w in zip(readings, pitch, radius, strict=True)
    ]
    mine = known.thickness_um
    return Evidence(
        outcome=np.array([_READ_IN[r.outcome] for r in readings], np.intp),
        same_head=column([float(r.head == head) for r in readings]) > 0,
        same_metal=column([float(known.metal is _metal_named(r.metal)) for r in readings]) > 0,
        waist_mm=column(waist),
        spread=column([r.defocus_mm / r.rayleigh_mm for r in readings]),
        pulse_mj=column([r.energy_mj for r in readings]),
        pulse_ns=column([r.duration_ns for r in readings]),
        spacing_mm=column([float(np.sqrt(p * r.hatch_mm)) for p, r in zip(pitch, readings, strict=True)]),
        ratio=column([round(r.hatch_mm / p, 6) for p, r in zip(pitch, readings, strict=True)]),
        passes=column([float(r.passes) for r in readings]),
        dose_j_mm2=column([r.energy_mj * 1e-3 / (p * r.hatch_mm) for p, r in zip(pitch, readings, strict=True)]),
        train=column(trains),
        # The focus is known to `focus_mm` (95 %): what that is worth in fluence at this defocus.
        blur=column(
            [
                float(np.sqrt(_BLUR_FLUENCE**2 + (s * r.focus_mm / 2) ** 2 + o**2))
                for s, r, o in zip(slope, readings, other, strict=True)
            ]
        ),
        thicker=column([r.thickness_um / mine if mine and r.thickness_um else 1.0 for r in readings]),
        wider=column([r.wall_mm / known.wall_mm if known.wall_mm and r.wall_mm else 1.0 for r in readings]),
        share=column([_SAME_PLACE / np.sqrt(looks) + 1 - _SAME_PLACE for looks in _looks_of(readings)]),
        heat=tuple(_heat_k(r, known.metal, solid_mm) for r in readings),
    )


def _looks_of(readings: Sequence[Reading]) -> list[int]:
    """How many of the readings are looks at the same spot, for each."""
    spots = [(r.day, r.source, r.patch, r.cell or -r.number) for r in readings]
    count = Counter(spots)
    return [count[spot] for spot in spots]


def _metal_named(name: str) -> Metal | None:
    from rotary.passes.beliefs.draws import metals

    return metals().get(name)


def _heat_k(reading: Reading, metal: Metal, solid_mm: float | None) -> Floats:
    """Rise [K] that passes 1..n have left at the end of the last one in 1 mm of wall for a share of 1, cumulated.

    Empty where no colour could come of it.
    """
    if metal.tints_at_c is None:
        return np.zeros(0)
    area = reading.inked_width_mm * reading.inked_height_mm
    mark_s = area / (reading.scan_speed_mm_s * reading.hatch_mm)
    depth = solid_mm or reading.wall_mm or 0.5
    across = (reading.inked_width_mm, reading.inked_height_mm)
    beat = Round(
        mark_s, reading.pause_s, 0.4, 1, False, *across, girth_mm=200.0, length_mm=150.0, depth_mm=depth, thin=True
    )
    kept = heat_weights(beat, metal, reading.passes, np.array([reading.pause_s]))[0, -1]
    dose = reading.energy_mj * reading.rate_khz / (reading.scan_speed_mm_s * reading.hatch_mm)
    rise = dose * kept / (metal.density_kg_m3 * metal.heat_j_kgk * 1e-9) / (solid_mm or 1.0)
    # What even a thin, dark wall would not reach is not worth computing.
    most = float(rise.sum()) * metal.absorptivity.high / (1.0 if solid_mm else 0.3)
    if most < (metal.tints_at_c.low - ROOM_C) / 2:
        return np.zeros(0)
    return np.concatenate(([0.0], np.cumsum(rise)))


def log_likelihoods(known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool) -> Floats:
    """Logarithm of how likely each draw makes each reading, (m, n).

    A few readings at a time, so that what is computed stays near the processor.
    """
    parts = (known.part(at, at + _AT_ONCE) for at in range(0, len(known), _AT_ONCE))
    return np.concatenate([_log_likelihoods(part, draws, metal, lift_off_at_ns, solid) for part in parts])


def _log_likelihoods(known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool) -> Floats:
    shares = outcome_shares(known, draws, metal, lift_off_at_ns, solid)
    read = shares[known.outcome, np.arange(len(known))]
    # On another metal tinted and cut say no more than that it is bare.
    read = np.where(known.same_metal | (known.outcome[:, None] <= 1), read, shares[2])
    log = np.log((1 - WRONG_SHARE) * read + WRONG_SHARE / len(OUTCOMES))
    return np.asarray(log * known.share * np.where(known.same_head, 1.0, _OTHER_HEAD_WEIGHT))


def outcome_shares(known: Evidence, draws: Draws, metal: Metal, lift_off_at_ns: float, solid: bool) -> Floats:
    """How likely each draw makes each of the five outcomes, (5, m, n); without wrong readings."""
    usual = machine()
    spot = np.where(known.same_head, draws.spot_factor, usual.spot_computed.central)
    diverges = np.where(known.same_head, draws.divergence_factor, usual.divergence.central)
    power = np.where(known.same_head, draws.power_factor, usual.power.central)
    radius = known.waist_mm * np.hypot(spot, known.spread * diverges)
    log_peak = np.log(0.2 / np.pi * known.pulse_mj * power / radius**2)
    wide2 = (radius / known.spacing_mm) ** 2
    thick = (draws.thickest_um + draws.thinnest_um) / 2 * known.thicker
    lifts = draws.lifts > 0

    over = np.maximum(log_peak - np.log(draws.threshold_j_cm2), 1e-6)
    deep = draws.depth_um * over
    least, most = lattice_sums(np.sqrt(wide2 * over / 2), known.ratio)
    paid = 1e3 * known.dose_j_mm2 * power / draws.energy_j_mm3
    with np.errstate(divide="ignore"):
        ablated = np.log(known.passes * np.minimum(deep * least, paid) / thick)
        bare_after = thick / (deep * most)
    # A change of the fluence moves the passes by as much over the logarithm that is left.
    blur = np.hypot(_BLUR_PASSES, known.blur * (1 + 1 / np.maximum(over, 0.25)))

    if lifts.any():
        log_lift = np.log(draws.lift_off_j_cm2) + draws.lift_off_exponent * np.log(known.pulse_ns / lift_off_at_ns)
        log_lift = log_lift + 0.5 * np.log(thick / _LIFTED_UM)
        half2 = (known.ratio + 1 / known.ratio) / 4 / np.sqrt(known.passes)
        thrown = log_peak - log_lift - 2 * half2 / wide2
        ablated, blur = np.where(lifts, thrown, ablated), np.where(lifts, known.blur, blur)
        bare_after = np.where(lifts, np.where(log_peak > log_lift, 0.0, np.inf), bare_after)
    covered = bell(-(ablated + _HAZE) / blur)
    clean = bell((ablated - _HAZE) / blur)

    after = np.maximum(known.passes - bare_after, 0.0)
    log_stood = np.log(draws.metal_j_cm2) + 0.5 * np.log(known.pulse_ns / metal.known_at_ns) - np.log1p(known.train)
    pulses = np.maximum(after * np.pi * wide2 / 2, 1.0)
    marked = bell((log_peak - log_stood + (1 - draws.incubation) * np.log(pulses)) / known.blur)
    # What another metal stands is not known here: there only what became of the coating is told.
    cut = np.where(known.same_metal, marked * np.minimum(after / 0.3, 1.0), 0.0)
    tint = np.where(known.same_metal, _tinted(known, draws, bare_after, power, solid), 0.0)
    rest = 1 - cut
    return np.stack(
        [
            rest * covered,
            rest * (1 - covered - clean) * (1 - tint),
            rest * clean * (1 - tint),
            rest * (1 - covered) * tint,
            cut,
        ]
    ).clip(0.0)


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
