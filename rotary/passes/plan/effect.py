"""What a pass does to coating and metal: one model for the window that decides and the likelihood that learns.

::

    setting, beam as drawn  ->  light at a place  ->  dug from the top   l ln(F/F_c), summed over the lattice
                                                  ->  thrown off whole   where F is above F_l all over the cell
                                                  ->  the metal stands   so many pulses, warm from those before

All is over settings and draws at once, (m, n) float; logarithms are of fluences in [J/cm^2].
"""

from typing import Final, NamedTuple

import numpy as np

from rotary.formulas import ablation, heat
from rotary.formulas.arrays import Floats
from rotary.formulas.beam import peak_fluence_j_cm2, pulses_per_place, spot_under_defocus_um
from rotary.passes.beliefs.draws import Draws, Metal
from rotary.passes.plan.grid import Grid

# The pulse duration for which the thresholds of ablation stand in the tables.
_THRESHOLD_AT_NS: Final = 100.0
# A layer thicker than the published 60 um takes more to throw off, not at all (0) to in proportion (1): estimate.
_LIFTED_UM: Final = 60.0
_LIFTED_EXPONENT: Final = 0.5


class Beam(NamedTuple):
    """The nominal beam in focus, by what factors it is off, and by how much its focus is set too high [mm]: floats that
    broadcast to (m, n)."""

    spot_um: float | Floats
    rayleigh_mm: float | Floats
    spot_factor: Floats
    divergence_factor: Floats
    power_factor: Floats
    off_mm: float | Floats = 0.0


class Exposure(NamedTuple):
    """How the pulses of a pass meet a place: the logarithm of their peak fluence and the spot's radius in units of
    the lattice's spacing, (m, n); `ratio` (m, 1) is hatch over pitch."""

    log_peak: Floats
    spot: Floats
    ratio: Floats

    def share(self, share: Floats) -> "Exposure":
        """Where defocus leaves so much of the peak, (m, 1): a wider spot, since F w^2 is the pulse energy and stays."""
        return Exposure(self.log_peak + np.log(share), self.spot / np.sqrt(share), self.ratio)

    @property
    def hits(self) -> Floats:
        """Pulses on a place in one pass, each counted by its share of the peak: one on each square of the spacing."""
        return pulses_per_place(np.ones((), self.spot.dtype), 2000 * self.spot)


def exposure(settings: Grid, beam: Beam) -> Exposure:
    """The exposure of settings whose fields are (m, 1).

    Far from focus the spot is set by beam diameter and focal length, hardly by the waist: a
    poor beam makes the waist uncertain by half, the defocused spot by a tenth.
    """
    digits = beam.power_factor.dtype
    defocus, pulse, spacing = (
        each.astype(digits) for each in (settings.defocus_mm, settings.pulse_mj, 2000 * settings.spacing_mm)
    )
    rayleigh_mm = beam.rayleigh_mm * beam.spot_factor / beam.divergence_factor
    spot_um = spot_under_defocus_um(beam.spot_um * beam.spot_factor, rayleigh_mm, defocus + beam.off_mm)
    log_peak = np.log(peak_fluence_j_cm2(pulse, spot_um) * beam.power_factor)
    ratio = (settings.line_spacing_mm / settings.pitch_mm).round(6).astype(digits)
    return Exposure(log_peak, spot_um / spacing, ratio)


def earlier_pulses_share(
    settings: Grid, spot_um: float | Floats, rayleigh_mm: float | Floats, pulse_width_ns: float | Floats
) -> Floats:
    """What the pulses before add to one's own warmth, as a share, at the nominal spot; in the settings' shape."""
    spot_mm = spot_under_defocus_um(spot_um, rayleigh_mm, settings.defocus_mm) / 2000
    return heat.train_share(pulse_width_ns, settings.frequency_khz, settings.pitch_mm, spot_mm)


class PassDepth(NamedTuple):
    """Depth of a pass at the least- and at the most-hit place of the lattice [um]; `over` is ln(F / F_c)."""

    least_um: Floats
    most_um: Floats
    over: Floats


def energy_depth_um(draws: Draws, settings: Grid, power_factor: Floats) -> Floats:
    """Depth that the energy of one pass pays for: more can't go, whatever the law says of a single pulse."""
    paid = power_factor / draws.energy_j_mm3
    return np.asarray(1e3 * settings.dose_j_mm2.astype(paid.dtype) * paid)


def log_threshold(draws: Draws, pulse_width_ns: float | Floats) -> Floats:
    """Logarithm of the fluence at which the coating starts to go from the top."""
    return ablation.log_threshold_at_duration(
        np.log(draws.threshold_j_cm2), _THRESHOLD_AT_NS, pulse_width_ns, draws.threshold_exponent
    )


def pass_depth(draws: Draws, at: Exposure, log_starts: Floats, most_um: Floats) -> PassDepth:
    """What one pass takes off where the coating goes pulse by pulse from the top: from `log_threshold` on and
    `energy_depth_um` at most."""
    over = ablation.over_threshold(at.log_peak, log_starts)
    each = ablation.depth_per_pulse_um(over, draws.depth_um)
    least, most = ablation.lattice_sums(ablation.cleared_radius_mm(over, at.spot), at.ratio)
    least *= each
    most *= each
    return PassDepth(np.minimum(least, most_um, out=least), most, over)


def log_lift_off(draws: Draws, thickness_um: Floats, known_at_ns: float, pulse_width_ns: float | Floats) -> Floats:
    """Logarithm of the fluence that throws so thick a coating off whole."""
    log = ablation.log_threshold_at_duration(
        np.log(draws.lift_off_j_cm2), known_at_ns, pulse_width_ns, draws.lift_off_exponent
    )
    return np.asarray(log + _LIFTED_EXPONENT * np.log(np.maximum(thickness_um, 1e-9) / _LIFTED_UM))


def lift_off_margin(at: Exposure, log_lift: Floats, fills: float | Floats = 1.0) -> Floats:
    """ln of the peak over what throws the coating off everywhere in the cell; thrown off where positive.

    A pulse clears a disc, and the discs have to close; `fills` is how many times as dense passes that don't lie on
    each other make the lattice along either side.
    """
    return np.asarray(at.log_peak - log_lift - ablation.over_to_close(at.spot, at.ratio) / fills)


def metal_margin(
    draws: Draws, metal: Metal, at: Exposure, pulse_width_ns: float | Floats, earlier_share: Floats
) -> Floats:
    """ln of the metal's threshold for a first pulse over the peak; marked at once where negative.

    The metal meets each pulse while the ones before it still warm it: worth that much more fluence.
    """
    log = ablation.log_threshold_at_duration(np.log(draws.metal_j_cm2), metal.known_at_ns, pulse_width_ns)
    return np.asarray(log - at.log_peak - np.log1p(earlier_share).astype(at.log_peak.dtype))
