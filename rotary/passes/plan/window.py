"""The process window: for settings and draws at once, how many passes clear the coating and how many mark the metal.

For each setting and each draw two numbers are enough: the passes that are *needed* until the
thickest, least-hit place is bare, and the *most* passes that the thinnest, most-hit place
stands. A plan of n passes works in the draws with needed <= n <= most.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import pulses_stood
from rotary.formulas.arrays import Floats
from rotary.laser import Optics
from rotary.passes.beliefs.draws import Material
from rotary.passes.plan import effect
from rotary.passes.plan.grid import Grid, Light

PASSES: Final = np.array([1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20], float)


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

    def row(self, at: int | slice) -> "Passes":
        """One setting, (n,) each, or some, (m, n)."""
        return Passes(*(getattr(self, name)[at] for name in self.__dataclass_fields__))

    def of_draws(self, which: NDArray[np.bool_]) -> "Passes":
        """Some of the draws."""
        return Passes(*(getattr(self, name)[..., which] for name in self.__dataclass_fields__))

    def works(self, passes: float | Floats) -> NDArray[np.bool_]:
        """Where this many passes leave the coating gone and the metal unmarked (heat left out)."""
        return (self.needed <= passes) & (passes <= self.most)


def passes(settings: Grid, material: Material, pulse_width_ns: float | Floats, optics: Optics, light: Light) -> Passes:
    """Passes needed and passes stood, settings (m,) x draws (n,); the light (m,) each from `worst_places`, the pulse
    width one or (m, 1).

    Nothing is counted that the model can't promise: every pass is taken to hit the same lattice. Half the digits serve,
    at a third of the time.
    """
    draws, metal = material.draws.halved(), material.metal
    low, high = (share[:, None].astype(draws.weight.dtype) for share in light[:2])
    each = settings.take(np.arange(len(low))[:, None])
    factors = draws.spot_factor, draws.divergence_factor, draws.power_factor
    beam = effect.Beam(optics.spot_um, optics.rayleigh_mm, *factors, light.off_mm * draws.focus_off)
    nominal, paid = effect.exposure(each, beam), effect.energy_depth_um(draws, each, draws.power_factor)
    # Two places: the weakest and the strongest peak. Far over the threshold the weaker, wider one digs faster.
    weak, strong = nominal.share(low), nominal.share(high)
    with np.errstate(divide="ignore", invalid="ignore"):
        starts = effect.log_threshold(draws, pulse_width_ns)
        slow, fast = effect.pass_depth(draws, weak, starts, paid), effect.pass_depth(draws, strong, starts, paid)
        needed = np.maximum(draws.thickest_um / slow.least_um, draws.thickest_um / fast.least_um)
        bare = np.minimum(draws.thinnest_um / slow.most_um, draws.thinnest_um / fast.most_um)
        thrown = np.full_like(needed, np.inf)
        if draws.lifts.any():
            # Thrown off whole by the first pulse that can, or never.
            lifts, lift_ns = draws.lifts > 0, (material.lift_off_at_ns, pulse_width_ns)
            thick, thin = (effect.log_lift_off(draws, um, *lift_ns) for um in (draws.thickest_um, draws.thinnest_um))
            never = np.full_like(needed, np.inf)
            thrown = np.where(
                lifts, np.minimum(effect.lift_off_margin(weak, thick), effect.lift_off_margin(strong, thick)), never
            )
            needed = np.where(lifts, np.where(thrown >= 0, 1.0, never), needed)
            bare = np.where(lifts, np.where(strong.log_peak > thin, 0.0, never), bare)
        earlier = effect.earlier_pulses_share(each, optics.spot_um, optics.rayleigh_mm, pulse_width_ns)
        spare, hits = effect.metal_margin(draws, metal, strong, pulse_width_ns, earlier), weak.hits
        most = np.where(spare >= 0, bare + pulses_stood(spare, draws.incubation) / hits, bare)
        return Passes(needed, bare, most, spare, np.log(hits), thrown)
