"""Settings as they are typed: from the arrays of the search and back, and the weaker last pass."""

from typing import Final

import numpy as np

from rotary.formulas.beam import peak_fluence_j_cm2, pulses_per_place, spot_under_defocus_um
from rotary.laser import LaserAndLens, Optics
from rotary.passes.plan.grid import LEAST_POWER_SHARE, Grid
from rotary.passes.plan.setting import Setting

_LAST_SHARE: Final = 0.65


def setting_from(
    one: Grid, pulse_width_ns: float, count: int, pause_s: float, laser: LaserAndLens, optics: Optics
) -> Setting:
    """The setting of a grid of one, with what the surface sees of it at its nominal beam."""
    pulse, defocus, hatch = float(one.pulse_mj[0]), float(one.defocus_mm[0]), float(one.line_spacing_mm[0])
    density = 1 / float(one.spacing_mm[0]) ** 2
    spot = float(spot_under_defocus_um(optics.spot_um, optics.rayleigh_mm, defocus))
    return Setting(
        power_share=round(float(one.power_share[0]), 6),
        power_w=float(one.power_share[0]) * laser.rated_power_w,
        frequency_khz=float(one.frequency_khz[0]),
        pulse_width_ns=pulse_width_ns,
        pulse_mj=pulse,
        speed_mm_s=round(float(one.speed_mm_s[0]), 6),
        line_spacing_mm=hatch,
        defocus_mm=defocus,
        passes=count,
        pause_s=pause_s,
        spot_at_surface_um=spot,
        peak_fluence_j_cm2=float(peak_fluence_j_cm2(pulse, spot)),
        pulses_per_place=float(pulses_per_place(density, spot)),
        dose_j_mm2=float(one.dose_j_mm2[0]),
    )


def grid_from(setting: Setting) -> Grid:
    """A grid of one from a setting."""
    keyed = (setting.power_share, setting.frequency_khz, setting.pulse_mj, setting.speed_mm_s, setting.line_spacing_mm)
    return Grid(*(np.array([value]) for value in (*keyed, setting.defocus_mm)))


def last_typed(power_share: float, speed_mm_s: float, laser: LaserAndLens) -> tuple[float, float]:
    """Power and speed of the last pass: weaker pulses, or fewer where the source can't go lower."""
    step = laser.power_step_share
    share = round(power_share * _LAST_SHARE / step) * step
    if share < max(LEAST_POWER_SHARE, step) - 1e-9:
        return power_share, min(1.5 * speed_mm_s, laser.top_speed_mm_s)
    return share, speed_mm_s


def finishing(setting: Setting, laser: LaserAndLens) -> Setting:
    """The last pass, after a ladder that starts with this setting."""
    share, speed = last_typed(setting.power_share, setting.speed_mm_s, laser)
    less = share / setting.power_share
    return setting.but(
        power_share=round(share, 6),
        power_w=setting.power_w * less,
        pulse_mj=setting.pulse_mj * less,
        speed_mm_s=speed,
        peak_fluence_j_cm2=setting.peak_fluence_j_cm2 * less,
        pulses_per_place=setting.pulses_per_place * setting.speed_mm_s / speed,
        dose_j_mm2=setting.dose_j_mm2 * less * setting.speed_mm_s / speed,
        passes=1,
    )
