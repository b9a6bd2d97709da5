"""The process window as a picture needs it: the chance over peak fluence and pulses, with the readings in it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.beam import peak_fluence_j_cm2, pulse_density_mm2, pulses_per_place, spot_under_defocus_um
from rotary.passes.beliefs.draws import Material
from rotary.passes.learning.reading import NOT_READ, Outcome, Reading
from rotary.passes.plan.grid import worst_places
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import passes
from rotary.setup import Setup

COUNTS: Final = np.array([1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 25, 30], float)


@dataclass(frozen=True)
class PlacedReading:
    """One reading at its place in the picture; pulses are on a place, over all passes."""

    fluence_j_cm2: float
    pulses: float
    outcome: Outcome
    number: int


@dataclass(frozen=True)
class WindowMap:
    """Chance (counts, fluences) of clear and unmarked at the plan's focus and lattice; heat is left out.

    `pulses` (counts,) are on a place over all passes, rising; `chosen` is the plan's fluence and pulses.
    """

    fluences_j_cm2: Floats
    passes: Floats
    pulses: Floats
    chance: Floats
    chosen: tuple[float, float]
    readings: tuple[PlacedReading, ...]


def window_map(
    setup: Setup, setting: Setting, material: Material, readings: Sequence[Reading] = (), columns: int = 41
) -> WindowMap:
    """The window round a setting: its pulse energy from a fifth to five times, one to thirty passes."""
    factors, optics, job = np.geomspace(0.2, 5.0, columns), setup.optics, setup.job
    light = worst_places(np.array([setting.defocus_mm]), optics, job.tolerances, job.item.runout_mm)
    scaled = grid_from(setting).scaled(factors)
    seen = passes(scaled, material, setting.pulse_width_ns, optics, light.spread(columns))
    chance = np.stack([seen.works(count).astype(float) @ material.draws.weight for count in COUNTS])
    return WindowMap(
        fluences_j_cm2=setting.peak_fluence_j_cm2 * factors,
        passes=COUNTS,
        pulses=setting.pulses_per_place * COUNTS,
        chance=chance,
        chosen=(setting.peak_fluence_j_cm2, setting.pulses_per_place * setting.passes),
        readings=tuple(_placed(r) for r in readings if r.outcome != NOT_READ and not r.ignored),
    )


def _placed(reading: Reading) -> PlacedReading:
    spot = float(spot_under_defocus_um(reading.spot_um, reading.rayleigh_mm, reading.defocus_mm))
    density = pulse_density_mm2(reading.frequency_khz, reading.speed_mm_s, reading.line_spacing_mm)
    return PlacedReading(
        fluence_j_cm2=float(peak_fluence_j_cm2(reading.energy_mj, spot)),
        pulses=float(pulses_per_place(density, spot)) * reading.passes,
        outcome=reading.outcome,
        number=reading.number,
    )
