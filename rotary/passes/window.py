"""The process window: for settings and draws at once, how many passes clear the coating and how many mark the metal.

For each setting and each draw two numbers are enough: the passes that are *needed* until the
thickest, least-hit place is bare, and the *most* passes that the thinnest, most-hit place
stands. A plan of n passes works in the draws with needed <= n <= most.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import square_lattice_sums
from rotary.formulas.beam import fluence_share, spot_under_defocus_um
from rotary.formulas.heat import train_share
from rotary.head import Head, Optics
from rotary.passes.beliefs import Draws, Metal, spot_radius_mm
from rotary.slices import Tolerances

Floats = NDArray[np.float64]

PASSES: Final = np.array([1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20], float)

# Spot radii worth trying [mm], from the narrowest that a lens makes to what a small source can still fill.
_SPOTS_MM: Final = np.array([0.0, 0.05, 0.075, 0.11, 0.15, 0.2, 0.26])
_FLUENCES_J_CM2: Final = np.geomspace(0.35, 9.0, 13)
_HATCH_OVER_SPOT: Final = np.array([0.25, 0.4, 0.6, 0.8])
_HATCHES_MM: Final = np.array([0.01, 0.015, 0.02, 0.025, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15, 0.2])

# Below about a tenth of its rated power a pulsed fibre source grows unsteady: common practice, no source.
LEAST_POWER_SHARE: Final = 0.1
DEFOCUS_STEP_MM: Final = 0.5
FARTHEST_DEFOCUS_MM: Final = 20.0
# A layer thicker than the published 60 um takes more to throw off, not at all (0) to in proportion (1): estimate.
_LIFTED_UM: Final = 60.0
_LIFTED_EXPONENT: Final = 0.5


@dataclass(frozen=True, slots=True)
class Grid:
    """Settings, each field (m,) float: what is keyed in, with the nominal beam. Pulse pitch equals hatch spacing."""

    power_share: Floats
    rate_khz: Floats
    pulse_mj: Floats
    scan_speed_mm_s: Floats
    hatch_mm: Floats
    defocus_mm: Floats

    def take(self, which: NDArray[np.intp] | NDArray[np.bool_]) -> "Grid":
        """Some of the settings."""
        return Grid(*(getattr(self, name)[which] for name in self.__dataclass_fields__))

    @property
    def dose_j_mm2(self) -> Floats:
        """Energy on a square millimetre in one pass."""
        return self.pulse_mj * 1e-3 / self.hatch_mm**2


def _round_rate(rate_khz: Floats) -> Floats:
    """Down to a number that a person likes to key in."""
    step = np.where(rate_khz >= 20, 5.0, np.where(rate_khz >= 5, 1.0, 0.1))
    return np.asarray(np.floor(rate_khz / step + 1e-9) * step)


def grid(head: Head, optics: Optics) -> Grid:
    """Every setting worth trying on this head, in its own controls and their steps.

    The rate is the highest that the source, its rated power and the head's top speed allow:
    the dose of a pass does not depend on it, its time does. Speed is rate x hatch, so that the
    pulses lie in a square lattice, which leaves the least between best and worst place.
    """
    ratio = np.maximum(_SPOTS_MM * 2000 / optics.spot_um, 1.0)
    defocus = np.unique(np.round(optics.rayleigh_mm * np.sqrt(ratio**2 - 1) / DEFOCUS_STEP_MM)) * DEFOCUS_STEP_MM
    defocus = defocus[defocus <= FARTHEST_DEFOCUS_MM]
    spot = optics.spot_um / 2000 * np.hypot(1, defocus / optics.rayleigh_mm)
    nearest = np.abs(np.log(_HATCHES_MM / (_HATCH_OVER_SPOT[:, None, None] * spot[:, None]))).argmin(axis=-1)
    fluence, hatch = np.broadcast_arrays(_FLUENCES_J_CM2[:, None, None], _HATCHES_MM[nearest][None])
    z, w = np.broadcast_to(defocus, hatch.shape), np.broadcast_to(spot, hatch.shape)
    wanted_mj = 10 * fluence * np.pi * w**2 / 2
    rate = np.minimum(head.rated_power_w / wanted_mj, head.top_speed_mm_s / hatch / 1e3)
    rate = np.minimum(rate, head.highest_rate_khz)
    rate = np.maximum(_round_rate(rate), head.lowest_rate_khz)
    step = head.power_step_share
    share = np.round(wanted_mj * rate / head.rated_power_w / step) * step
    least = max(LEAST_POWER_SHARE, step)
    pulse = share * head.rated_power_w / rate
    can = (share >= least - 1e-9) & (share <= 1 + 1e-9) & (pulse <= head.largest_pulse_mj * (1 + 1e-9))
    can &= (rate <= head.highest_rate_khz) & (1e3 * rate * hatch <= head.top_speed_mm_s * (1 + 1e-9))
    return Grid(share[can], rate[can], pulse[can], 1e3 * rate[can] * hatch[can], hatch[can], z[can])


def worst_places(defocus_mm: Floats, optics: Optics, tolerances: Tolerances, runout_mm: float) -> tuple[Floats, Floats]:
    """Least and most peak fluence as shares, over the slice and the focus budget, for each defocus (m,).

    The slice may use up what the tolerances grant; the focus setting and half the runout come
    on top where they cost more: at a few millimetres of defocus a millimetre is a third. In
    focus, being off can only make the fluence less.
    """
    off = float(np.hypot(tolerances.focus_mm, runout_mm / 2))
    far = fluence_share(defocus_mm, off, optics.rayleigh_mm)
    near = fluence_share(defocus_mm, -np.minimum(off, defocus_mm), optics.rayleigh_mm)
    granted = np.where(defocus_mm > 0, tolerances.fluence_high_share, 1.0)
    return np.minimum(far, tolerances.fluence_low_share), np.maximum(near, granted)


@dataclass(frozen=True, slots=True)
class Passes:
    """For settings x draws, (m, n) float: passes needed until clear, passes until the first place is
    bare, the most passes before the metal is marked, and the logarithm of the metal's threshold for a
    single pulse over the strongest peak."""

    needed: Floats
    bare_after: Floats
    most: Floats
    spare: Floats

    def works(self, passes: float | Floats) -> NDArray[np.bool_]:
        """Where this many passes leave the coating gone and the metal unmarked (heat left out)."""
        return (self.needed <= passes) & (passes <= self.most)

    def works_with_looks(self, passes: float | Floats) -> NDArray[np.bool_]:
        """The same for a person who looks after every pass and stops as soon as it is clear."""
        return (self.needed <= passes) & (np.ceil(self.needed) <= self.most)


def passes(
    settings: Grid,
    draws: Draws,
    metal: Metal,
    lift_off_at_ns: float,
    pulse_ns: float,
    optics: Optics,
    low: Floats,
    high: Floats,
) -> Passes:
    """Passes needed and passes stood, settings (m,) x draws (n,); `low` and `high` (m,) from `worst_places`.

    Nothing is counted that the model can't promise: every pass is taken to hit the same lattice.
    """
    hatch = settings.hatch_mm[:, None]
    w = spot_radius_mm(optics, settings.defocus_mm[:, None], draws.spot_factor, draws.divergence_factor)
    log_peak = np.log(0.2 / np.pi * settings.pulse_mj[:, None] * draws.power_factor / w**2)
    log_low, log_high = log_peak + np.log(low)[:, None], log_peak + np.log(high)[:, None]
    # Less fluence by defocus is a wider spot: F w^2 is the pulse energy and stays.
    wide, narrow = w / (np.sqrt(low)[:, None] * hatch), w / (np.sqrt(high)[:, None] * hatch)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Two places: the weakest and the strongest peak. Far over the threshold the weaker, wider one digs faster.
        places = ((log_low, wide), (log_high, narrow))
        ablated = [_ablated(draws, settings, log_fluence, radius) for log_fluence, radius in places]
        needed = np.maximum(ablated[0][0], ablated[1][0])
        bare = np.minimum(ablated[0][1], ablated[1][1])
        if draws.lifts.any():
            needed, bare = _or_lifted(draws, pulse_ns / lift_off_at_ns, places, needed, bare)
        # The metal meets each pulse while the ones before it still warm it: worth that much more fluence.
        log_s = np.log(draws.metal_j_cm2) + 0.5 * np.log(pulse_ns / metal.known_at_ns) - log_high
        log_s = log_s - np.log1p(_train(settings, optics, pulse_ns))[:, None]
        stood = np.exp(np.minimum(log_s / np.maximum(1 - draws.incubation, 1e-3), 50.0))
        most = np.where(log_s >= 0, bare + stood / (np.pi * wide**2 / 2), bare)
    return Passes(needed, bare, most, log_s)


def _train(settings: Grid, optics: Optics, pulse_ns: float) -> Floats:
    """What the pulses before add, as a share, at the nominal spot (m,)."""
    spot_mm = spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, settings.defocus_mm) / 2000
    return train_share(pulse_ns, settings.rate_khz, settings.hatch_mm, spot_mm)


def _ablated(draws: Draws, settings: Grid, log_fluence: Floats, radius: Floats) -> tuple[Floats, Floats]:
    """Passes until clear and until first bare where the coating goes pulse by pulse from the top."""
    over = np.maximum(log_fluence - np.log(draws.threshold_j_cm2), 0.0)
    reach = radius * np.sqrt(over / 2)
    deep = draws.depth_um * over
    # More than its energy pays for can't go, whatever the law says of a single pulse.
    paid_um = 1e3 * settings.dose_j_mm2[:, None] * draws.power_factor / draws.energy_j_mm3
    least, most = square_lattice_sums(reach)
    return draws.thickest_um / np.minimum(deep * least, paid_um), draws.thinnest_um / (deep * most)


def _or_lifted(
    draws: Draws, duration: float, places: tuple[tuple[Floats, Floats], ...], needed: Floats, bare: Floats
) -> tuple[Floats, Floats]:
    """The same with the draws replaced in which the coating is thrown off whole, by the first pulse that can."""
    lifts = draws.lifts > 0
    log_l = np.log(draws.lift_off_j_cm2) + draws.lift_off_exponent * np.log(duration)
    thicker = log_l + _LIFTED_EXPONENT * np.log(np.maximum(draws.thickest_um, 1e-9) / _LIFTED_UM)
    thinner = log_l + _LIFTED_EXPONENT * np.log(np.maximum(draws.thinnest_um, 1e-9) / _LIFTED_UM)
    # A pulse clears a disc; the discs of a square lattice close where their radius is half its diagonal.
    closed = [radius * np.sqrt(np.maximum(log - thicker, 0) / 2) >= np.sqrt(0.5) for log, radius in places]
    never = np.full_like(needed, np.inf)
    needed = np.where(lifts, np.where(closed[0] & closed[1], 1.0, never), needed)
    return needed, np.where(lifts, np.where(places[1][0] > thinner, 0.0, never), bare)
