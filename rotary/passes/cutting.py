"""Passes that mark bare metal: how deep, from how much energy; known within a factor of several."""

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.beam import peak_fluence_j_cm2, pulses_per_place
from rotary.head import Head, Optics
from rotary.passes.beliefs import Draws
from rotary.passes.setting import Setting

Floats = NDArray[np.float64]

# Enough power to cut, enough left for a second try that is stronger: common practice, no source.
_POWER_SHARE = 0.8
_HATCH_OVER_SPOT = 0.6
_DOSE_J_MM2 = 1.0
_PASSES = 10


def cutting_setting(head: Head, optics: Optics) -> Setting:
    """A middling setting in focus, in round numbers: about one joule a square millimetre and pass."""
    step = head.power_step_share
    share = min(round(_POWER_SHARE / step) * step, 1.0)
    power = share * head.rated_power_w
    slowest = power / head.largest_pulse_mj
    rate = min(max(np.ceil(slowest / 5) * 5, np.ceil(head.lowest_rate_khz)), head.highest_rate_khz)
    pulse = min(power / rate, head.largest_pulse_mj)
    hatch = max(round(_HATCH_OVER_SPOT * optics.spot_um / 1000, 2), 0.01)
    wanted = pulse * rate / (_DOSE_J_MM2 * hatch)
    speed = float(np.clip(np.round(wanted / 50) * 50, 50, head.top_speed_mm_s))
    density = 1e3 * rate / (speed * hatch)
    return Setting(
        power_share=round(share, 6),
        power_w=power,
        rate_khz=float(rate),
        pulse_ns=head.pulse_durations_ns[0],
        pulse_mj=float(pulse),
        scan_speed_mm_s=speed,
        hatch_mm=hatch,
        defocus_mm=0.0,
        passes=_PASSES,
        pause_s=0.0,
        spot_at_surface_um=optics.spot_um,
        peak_fluence_j_cm2=float(peak_fluence_j_cm2(pulse, optics.spot_um)),
        pulses_per_place=float(pulses_per_place(density, optics.spot_um)),
        dose_j_mm2=float(pulse * 1e-3 * density),
    )


def depth_per_pass_um(setting: Setting, draws: Draws) -> Floats:
    """Depth of one pass over the draws (n,): removal per energy times energy per area."""
    return 1e3 * draws.removal_mm3_j * setting.dose_j_mm2 * draws.power_factor
