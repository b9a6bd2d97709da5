"""The process window: for settings and draws at once, how many passes clear the coating and how many mark the metal.

For each setting and each draw two numbers are enough: the passes that are *needed* until the
thickest, least-hit place is bare, and the *most* passes that the thinnest, most-hit place
stands. A plan of n passes works in the draws with needed <= n <= most.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import lattice_sums
from rotary.formulas.beam import spot_under_defocus_um
from rotary.formulas.heat import train_share
from rotary.head import Optics
from rotary.passes.beliefs.draws import Draws, Material, spot_radius_mm
from rotary.passes.plan.grid import Grid, Light

Floats = NDArray[np.float64]

PASSES: Final = np.array([1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20], float)

# A layer thicker than the published 60 um takes more to throw off, not at all (0) to in proportion (1): estimate.
_LIFTED_UM: Final = 60.0
_LIFTED_EXPONENT: Final = 0.5


@dataclass(frozen=True, slots=True)
class Passes:
    """For settings x draws, (m, n) float: passes needed until clear, passes until the first place is
    bare, the most passes before the metal is marked, the logarithm of the metal's threshold for a
    single pulse over the strongest peak, the logarithm of the pulses on the most-hit place in a pass, and
    that of the weakest fluence over what throws the coating off whole (infinite where it is ablated)."""

    needed: Floats
    bare_after: Floats
    most: Floats
    spare: Floats
    log_hits: Floats
    thrown: Floats

    def row(self, at: int) -> "Passes":
        """One setting, (n,) each."""
        return Passes(*(getattr(self, name)[at] for name in self.__dataclass_fields__))

    def first(self, count: int) -> "Passes":
        """The first draws alone."""
        return Passes(*(getattr(self, name)[..., :count] for name in self.__dataclass_fields__))

    def works(self, passes: float | Floats) -> NDArray[np.bool_]:
        """Where this many passes leave the coating gone and the metal unmarked (heat left out)."""
        return (self.needed <= passes) & (passes <= self.most)


def passes(settings: Grid, material: Material, pulse_ns: float, optics: Optics, light: Light) -> Passes:
    """Passes needed and passes stood, settings (m,) x draws (n,); the light (m,) each from `worst_places`.

    Nothing is counted that the model can't promise: every pass is taken to hit the same lattice.
    """
    draws, metal, (low, high) = material.draws, material.metal, light
    spacing = settings.spacing_mm[:, None]
    ratio = (settings.hatch_mm / settings.pitch_mm)[:, None].round(6)
    w = spot_radius_mm(optics, settings.defocus_mm[:, None], draws.spot_factor, draws.divergence_factor)
    log_peak = np.log(0.2 / np.pi * settings.pulse_mj[:, None] * draws.power_factor / w**2)
    log_low, log_high = log_peak + np.log(low)[:, None], log_peak + np.log(high)[:, None]
    # Less fluence by defocus is a wider spot: F w^2 is the pulse energy and stays.
    wide, narrow = w / (np.sqrt(low)[:, None] * spacing), w / (np.sqrt(high)[:, None] * spacing)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Two places: the weakest and the strongest peak. Far over the threshold the weaker, wider one digs faster.
        places = ((log_low, wide), (log_high, narrow))
        ablated = [_ablated(draws, settings, ratio, log_fluence, radius) for log_fluence, radius in places]
        needed = np.maximum(ablated[0][0], ablated[1][0])
        bare = np.minimum(ablated[0][1], ablated[1][1])
        thrown = np.full_like(needed, np.inf)
        if draws.lifts.any():
            needed, bare, thrown = _or_lifted(draws, ratio, pulse_ns / material.lift_off_at_ns, places, needed, bare)
        # The metal meets each pulse while the ones before it still warm it: worth that much more fluence.
        log_s = np.log(draws.metal_j_cm2) + 0.5 * np.log(pulse_ns / metal.known_at_ns) - log_high
        log_s = log_s - np.log1p(_train(settings, optics, pulse_ns))[:, None]
        hits = np.pi / 2 * wide**2
        stood = np.exp(np.minimum(log_s / np.maximum(1 - draws.incubation, 1e-3), 50.0))
        most = np.where(log_s >= 0, bare + stood / hits, bare)
        return Passes(needed, bare, most, log_s, np.log(hits), thrown)


def _train(settings: Grid, optics: Optics, pulse_ns: float) -> Floats:
    """What the pulses before add, as a share, at the nominal spot (m,)."""
    spot_mm = spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, settings.defocus_mm) / 2000
    return train_share(pulse_ns, settings.rate_khz, settings.pitch_mm, spot_mm)


def _ablated(draws: Draws, settings: Grid, ratio: Floats, log_fluence: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Passes until clear and until first bare where the coating goes pulse by pulse from the top."""
    over = np.maximum(log_fluence - np.log(draws.threshold_j_cm2), 0.0)
    reach = radius * np.sqrt(over / 2)
    deep = draws.depth_um * over
    # More than its energy pays for can't go, whatever the law says of a single pulse.
    paid_um = 1e3 * settings.dose_j_mm2[:, None] * draws.power_factor / draws.energy_j_mm3
    least, most = lattice_sums(reach, ratio)
    return draws.thickest_um / np.minimum(deep * least, paid_um), draws.thinnest_um / (deep * most)


def _or_lifted(
    draws: Draws,
    ratio: Floats,
    duration: float,
    places: tuple[tuple[Floats, Floats], ...],
    needed: Floats,
    bare: Floats,
) -> tuple[Floats, Floats, Floats]:
    """The same with the draws replaced in which the coating is thrown off whole, by the first pulse that can.

    And the logarithm of the weakest fluence over what that takes everywhere.
    """
    lifts = draws.lifts > 0
    log_l = np.log(draws.lift_off_j_cm2) + draws.lift_off_exponent * np.log(duration)
    thicker = log_l + _LIFTED_EXPONENT * np.log(np.maximum(draws.thickest_um, 1e-9) / _LIFTED_UM)
    thinner = log_l + _LIFTED_EXPONENT * np.log(np.maximum(draws.thinnest_um, 1e-9) / _LIFTED_UM)
    # A pulse clears a disc; the discs of a lattice close where their radius is half its cell's diagonal.
    half2 = (ratio + 1 / ratio) / 4
    over = [log - thicker - 2 * half2 / radius**2 for log, radius in places]
    thrown = np.where(lifts, np.minimum(over[0], over[1]), np.inf)
    never = np.full_like(needed, np.inf)
    needed = np.where(lifts, np.where(thrown >= 0, 1.0, never), needed)
    return needed, np.where(lifts, np.where(places[1][0] > thinner, 0.0, never), bare), thrown
