"""What laser eyewear must stand by EN 207: scale numbers D for steady beams, R, I and M for pulses.

A scale number n also means that at most 10^-n of the beam comes through. Where a number can't be
settled from what was seen, the higher one is given: `en207`, `dguv203042` in the references say what
was seen and what is from memory. Symbols: E irradiance [W/m^2], H radiant exposure [J/m^2].

A figure from here is a check. The laser safety officer and the marking on the eyewear decide.
"""

import math
from typing import Final

from rotary.formulas.exposure import times_together_s

GLASS: Final = "glass"
PLASTIC: Final = "plastic"

WIDTH_POWERS: Final = {PLASTIC: 1.26, GLASS: 1.7}
"""F(d) = d^so much, d in mm: a wide beam heats a material more than a narrow one of the same irradiance."""

NARROW_MM: Final = 1.0
WIDE_MM: Final = 15.0
STRONG_W: Final = 10.0
STRONG_W_M2: Final = 1e5
"""F counts from 1 to 15 mm, above 10 W or above 10^5 W/m^2."""

COUNTED_S: Final = 5.0
"""Eyewear has to stand pulses for five seconds."""


def width_factor(beam_mm: float, irradiance_w_m2: float, material: str = GLASS) -> float:
    """F(d): how many times more a beam of this diameter counts than one of 1 mm. Glass gives the higher number.

    1 up to 1 mm, and where the beam has at most 10 W and at most 10^5 W/m^2. Sources: dguv203042
    for the rule, its powers 1.26 and 1.7 from memory, not seen.

    >>> round(width_factor(7.0, 8e5), 2), round(width_factor(7.0, 8e5, PLASTIC), 2), width_factor(7.0, 5e4)
    (27.33, 11.61, 1.0)
    """
    power_w = irradiance_w_m2 * math.pi / 4 * (1e-3 * beam_mm) ** 2
    if power_w <= STRONG_W and irradiance_w_m2 <= STRONG_W_M2:
        return 1.0
    return float(min(max(beam_mm, NARROW_MM), WIDE_MM) ** WIDTH_POWERS[material])


def steady_scale_number(
    irradiance_w_m2: float, wavelength_nm: float, beam_mm: float = NARROW_MM, material: str = GLASS
) -> int:
    """Scale number D: the material must stand a steady beam of this diameter.

    The least n with 10^(n+1) W/m^2 from 315 to 1400 nm (en207, seen second hand), 10^(n-3)
    below, 10^(n+3) above (from memory, not seen), for the irradiance times F(d).

    >>> steady_scale_number(25_984.0, 1064.0), steady_scale_number(779_534.0, 1064.0, 7.0)
    (4, 7)
    """
    counted = irradiance_w_m2 * width_factor(beam_mm, irradiance_w_m2, material)
    shift = -1 if 315 <= wavelength_nm <= 1400 else 3 if wavelength_nm < 315 else -3
    return _least(math.log10(counted) + shift)


def pulse_letter(pulse_width_ns: float) -> str:
    """The letter of the standard for a pulse: M under 1 ns, R to 1 us, I for longer ones (from memory, not seen).

    >>> pulse_letter(0.01), pulse_letter(100.0), pulse_letter(5000.0)
    ('M', 'R', 'I')
    """
    return "M" if pulse_width_ns < 1 else "R" if pulse_width_ns <= 1000 else "I"


def counted_pulse_j_m2(pulse_j_m2: float, frequency_khz: float, wavelength_nm: float) -> float:
    """A pulse of a train as it counts against eyewear [J/m^2]: H N^(1/4) over five seconds.

    From a rate of 1/T_i on all that falls within T_i is one pulse, and there are 5 s / T_i of them
    (dguv203042). The longer T_i gives the higher figure, and that is taken.

    >>> round(counted_pulse_j_m2(1.0, 0.001, 1064.0), 3), round(counted_pulse_j_m2(1.0, 100.0, 1064.0), 2)
    (1.495, 88.91)
    """
    rate_hz = 1e3 * frequency_khz
    one_by_one = max(rate_hz * COUNTED_S, 1.0) ** 0.25
    in_groups = (
        rate_hz * together_s * (COUNTED_S / together_s) ** 0.25
        for together_s in times_together_s(wavelength_nm)
        if rate_hz * together_s >= 1
    )
    return pulse_j_m2 * float(max((one_by_one, *in_groups)))


def pulsed_scale_number(pulse_j_m2: float, frequency_khz: float, pulse_width_ns: float, wavelength_nm: float) -> int:
    """Scale number for a train of pulses: R or I, and M under a nanosecond, as `pulse_letter` says.

    R and I: the least n with 5 x 10^(n-3) J/m^2 from 315 to 1400 nm, 3 x 10^(n+1) below, 10^(n+2)
    above. M: 1.5 x 10^(n-4) J/m^2, and 3 x 10^(n+10) and 10^(n+11) W/m^2. Source: en207, from memory, not seen.

    >>> pulsed_scale_number(17.3, 30.0, 100.0, 1064.0), pulsed_scale_number(17.3, 30.0, 0.01, 1064.0)
    (5, 7)
    """
    counted = counted_pulse_j_m2(pulse_j_m2, frequency_khz, wavelength_nm)
    middle = 315 <= wavelength_nm <= 1400
    if pulse_letter(pulse_width_ns) != "M":
        scale, shift = (5.0, 3) if middle else (3.0, -1) if wavelength_nm < 315 else (1.0, -2)
    elif middle:
        scale, shift = 1.5, 4
    else:
        counted /= pulse_width_ns * 1e-9
        scale, shift = (3.0, -10) if wavelength_nm < 315 else (1.0, -11)
    return _least(math.log10(counted / scale) + shift)


def _least(log: float) -> int:
    """The least whole number from 1 on that is not below."""
    return max(math.ceil(round(log, 9)), 1)


def rates_that_count_khz(
    lowest_khz: float, highest_khz: float, power_w: float, largest_pulse_mj: float, wavelength_nm: float
) -> tuple[float, ...]:
    """The rates among which the worst one of a source is [kHz].

    Up to power over largest pulse a pulse stays as large and more of them come; beyond, the mean
    stays and pulses get smaller. So the worst is at that knee, or at the end of the range that is
    nearest; where pulses begin to count as one, and the ends themselves, are looked at as well.

    >>> [round(rate, 3) for rate in rates_that_count_khz(20.0, 100.0, 30.0, 1.0, 1064.0)]
    [20.0, 30.0, 76.923, 100.0]
    """
    knees = (power_w / largest_pulse_mj, *(1e-3 / together_s for together_s in times_together_s(wavelength_nm)))
    inside = (knee for knee in knees if lowest_khz < knee < highest_khz)
    return tuple(sorted({lowest_khz, highest_khz, *inside}))
