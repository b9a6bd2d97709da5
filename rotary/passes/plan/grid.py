"""Every setting worth trying on this laser, in its own controls and their steps."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.arrays import Floats
from rotary.formulas.beam import (
    defocus_from_spot_mm,
    dose_j_mm2,
    fluence_share,
    pulse_density_mm2,
    spot_under_defocus_um,
)
from rotary.formulas.estimate import HOLDS_95
from rotary.laser import LaserAndLens, Optics
from rotary.tolerances import Tolerances
from rotary.wishes import FREE, Wishes

# Spot radii worth trying [mm], from the narrowest that a lens makes to what a small source can still fill.
_SPOTS_MM: Final = np.array([0.0, 0.05, 0.075, 0.11, 0.15, 0.2, 0.26])
_FLUENCES_J_CM2: Final = np.geomspace(0.35, 9.0, 13)
_HATCH_OVER_SPOT: Final = np.array([0.25, 0.4, 0.6, 0.8])
_HATCHES_MM: Final = np.array([0.01, 0.015, 0.02, 0.025, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15, 0.2])

# Below about a tenth of its rated power a pulsed fibre source grows unsteady: common practice, no source.
LEAST_POWER_SHARE: Final = 0.1
# A ladder needs room above its start: at 57 % four rungs of 15 % fit under full power.
START_SHARE: Final = 0.57
DEFOCUS_STEP_MM: Final = 0.5
FARTHEST_DEFOCUS_MM: Final = 20.0


class Light(NamedTuple):
    """Least and most peak fluence over a slice as shares of the nominal one, for settings (m,), and how far the focus
    of a whole set-up usually is off [mm], one standard deviation."""

    low: Floats
    high: Floats
    off_mm: float = 0.0

    def take(self, which: Sequence[int] | NDArray[np.intp]) -> "Light":
        """That of some of the settings."""
        return self._replace(low=self.low[which], high=self.high[which])

    def spread(self, count: int) -> "Light":
        """That of the first setting, for so many."""
        return self._replace(low=np.repeat(self.low[:1], count), high=np.repeat(self.high[:1], count))


@dataclass(frozen=True, slots=True)
class Grid:
    """Settings, each field (m,) float: what is keyed in, with the nominal beam."""

    power_share: Floats
    frequency_khz: Floats
    pulse_mj: Floats
    speed_mm_s: Floats
    line_spacing_mm: Floats
    defocus_mm: Floats

    def take(self, which: Sequence[int] | NDArray[np.intp] | NDArray[np.bool_]) -> "Grid":
        """Some of the settings."""
        return Grid(*(getattr(self, name)[which] for name in self.__dataclass_fields__))

    def joined(self, other: "Grid") -> "Grid":
        """These settings and then others."""
        names = self.__dataclass_fields__
        return Grid(*(np.concatenate([getattr(self, name), getattr(other, name)]) for name in names))

    def scaled(self, factors: Floats) -> "Grid":
        """The first setting with its power and pulse energy times each factor."""
        return self.take(np.zeros(len(factors), np.intp)).times(factors)

    def times(self, factors: Floats) -> "Grid":
        """Each setting with its power and pulse energy times its factor."""
        return replace(self, power_share=self.power_share * factors, pulse_mj=self.pulse_mj * factors)

    @property
    def pitch_mm(self) -> Floats:
        """Distance between pulses along a line."""
        return self.speed_mm_s / (1e3 * self.frequency_khz)

    @property
    def spacing_mm(self) -> Floats:
        """Side of the square that has one pulse, on average."""
        return np.asarray(np.sqrt(self.pitch_mm * self.line_spacing_mm))

    @property
    def area_s(self) -> Floats:
        """Time of one pass over a square millimetre."""
        return 1 / (self.speed_mm_s * self.line_spacing_mm)

    @property
    def dose_j_mm2(self) -> Floats:
        """Energy on a square millimetre in one pass."""
        return dose_j_mm2(self.pulse_mj, pulse_density_mm2(self.frequency_khz, self.speed_mm_s, self.line_spacing_mm))


def round_rate(frequency_khz: Floats) -> Floats:
    """Down to a number that a person likes to key in."""
    step = np.where(frequency_khz >= 20, 5.0, np.where(frequency_khz >= 5, 1.0, 0.1))
    return np.asarray(np.floor(frequency_khz / step + 1e-9) * step)


@lru_cache(maxsize=16)
def grid(laser: LaserAndLens, optics: Optics, wishes: Wishes = FREE) -> Grid:
    """Every setting worth trying on this laser that keeps what `wishes` hold.

    The rate is the highest that the source, its rated power and the laser's top speed allow:
    the dose of a pass does not depend on it, its time does. Speed is rate x hatch, so that the
    pulses lie in a square lattice, which leaves the least between best and worst place; only
    a speed that is held, or a rate too high for its speed, makes the lattice longer one way.
    """
    defocus = _defocus(optics, wishes)
    spot = spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, defocus) / 2000
    if wishes.line_spacing_mm is None:
        nearest = np.abs(np.log(_HATCHES_MM / (_HATCH_OVER_SPOT[:, None, None] * spot[:, None]))).argmin(axis=-1)
        hatches = _HATCHES_MM[nearest]
    else:
        hatches = np.full((1, len(spot)), wishes.line_spacing_mm)
    fluence, hatch = (array.ravel() for array in np.broadcast_arrays(_FLUENCES_J_CM2[:, None, None], hatches[None]))
    shape = (len(_FLUENCES_J_CM2), *hatches.shape)
    z, w = (np.broadcast_to(value, shape).ravel() for value in (defocus, spot))
    share, rate, pulse, speed = _keyed(laser, 10 * fluence * np.pi * w**2 / 2, hatch, wishes)
    least = laser.power_step_share if wishes.power_share is not None else max(LEAST_POWER_SHARE, laser.power_step_share)
    can = (share >= least - 1e-9) & (share <= 1 + 1e-9) & (pulse <= laser.largest_pulse_mj * (1 + 1e-6))
    can &= (rate >= laser.lowest_frequency_khz * (1 - 1e-9)) & (rate <= laser.highest_frequency_khz * (1 + 1e-9))
    can &= speed <= laser.top_speed_mm_s * (1 + 1e-9)
    every = np.unique(np.stack([share, rate, pulse, speed, hatch, z])[:, can].round(12), axis=1)
    return Grid(*every)


def _defocus(optics: Optics, wishes: Wishes) -> Floats:
    """Focal planes worth trying, in steps, above the surface: below it sag runs towards the focus."""
    if wishes.defocus_mm is not None:
        return np.array([wishes.defocus_mm])
    away = defocus_from_spot_mm(optics.spot_um, optics.rayleigh_mm, np.maximum(_SPOTS_MM * 2000, optics.spot_um))
    defocus = np.unique(np.round(away / DEFOCUS_STEP_MM)) * DEFOCUS_STEP_MM
    return np.asarray(defocus[defocus <= FARTHEST_DEFOCUS_MM])


def _keyed(
    laser: LaserAndLens, wanted_mj: Floats, line_spacing_mm: Floats, wishes: Wishes
) -> tuple[Floats, Floats, Floats, Floats]:
    """Power share, rate, pulse energy and scan speed that come nearest to a pulse energy, (m,) each."""
    power, step, speed = wishes.power_share, laser.power_step_share, wishes.speed_mm_s
    fastest = (speed or laser.top_speed_mm_s) / line_spacing_mm / 1e3
    if wishes.frequency_khz is not None:
        rate = np.full_like(wanted_mj, wishes.frequency_khz)
    elif power is not None:
        # The power is held, so the rate sets the pulse energy, whatever the lattice then looks like.
        rate = np.round(power * laser.rated_power_w / wanted_mj, 1)
    else:
        rate = np.minimum(np.minimum(laser.rated_power_w / wanted_mj, fastest), laser.highest_frequency_khz)
        rate = np.maximum(round_rate(rate), laser.lowest_frequency_khz)
    if power is None:
        share = np.round(wanted_mj * rate / laser.rated_power_w / step) * step
    else:
        share = np.full_like(wanted_mj, power)
    with np.errstate(divide="ignore"):
        pulse = share * laser.rated_power_w / rate
    scan = (
        np.full_like(rate, speed)
        if speed is not None
        else np.minimum(1e3 * rate * line_spacing_mm, laser.top_speed_mm_s)
    )
    return share, rate, pulse, scan


def worst_places(defocus_mm: Floats, optics: Optics, tolerances: Tolerances, runout_mm: float) -> Light:
    """Least and most peak fluence as shares, over the slice and the focus budget, for each defocus (m,).

    The slice may use up what the tolerances grant; half the runout counts where it costs more. In focus, being off
    can only make the fluence less. The same on either side of the surface. The setting of the focus, of which the
    tolerances grant 95 %, moves all places of an item alike: the draws have it.
    """
    off, away = runout_mm / 2, np.abs(defocus_mm)
    far = fluence_share(away, off, optics.rayleigh_mm)
    near = fluence_share(away, -np.minimum(off, away), optics.rayleigh_mm)
    granted = np.where(away > 0, tolerances.fluence_high_share, 1.0)
    low, high = np.minimum(far, tolerances.fluence_low_share), np.maximum(near, granted)
    return Light(low, high, tolerances.focus_mm / HOLDS_95)
