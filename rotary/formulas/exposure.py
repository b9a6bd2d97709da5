"""How much laser light an eye may meet, and the optical density that brings a beam down to it.

Exposure limits at the cornea for a small source straight in the beam (the worst case), after
the 2013 guidelines (icnirp2013); the product standard of 2014 has the same figures (iec60825,
from memory, not seen). The EU directive of 2006 (eu200625, from memory, not seen) is law and asks
more of some trains: the lower limit of both is taken. Symbols: H radiant exposure [J/m^2], E irradiance [W/m^2].

A figure from here is a check. The laser safety officer and the marking on the eyewear decide.
"""

import math

# Limiting apertures [mm]: the pupil where the retina is at risk; elsewhere the cornea or skin.
PUPIL_MM = 7.0
CORNEA_MM = 1.0
CORNEA_LONG_MM = 3.5

SHORTEST_S = 1e-9
SHORT_S = 1e-11
# Somebody who looks into an invisible beam doesn't blink; after ten seconds eye and head have moved.
LOOK_S = 10.0


def wavelength_factor(wavelength_nm: float) -> float:
    """C_A of the guidelines: the pigment at the back of the eye absorbs less in the infrared.

    1 below 700 nm, 5 from 1050 to 1400 nm. Source: icnirp2013.

    >>> wavelength_factor(650.0), round(wavelength_factor(850.0), 3), wavelength_factor(1064.0)
    (1.0, 1.995, 5.0)
    """
    if wavelength_nm <= 700:
        return 1.0
    return float(min(10 ** (0.002 * (wavelength_nm - 700)), 5.0))


def water_factor(wavelength_nm: float) -> float:
    """C_C of the guidelines: water in the eye absorbs before the retina, from 1150 to 1400 nm.

    Source: icnirp2013. From 1200 nm on it lets more through, but asks for the cornea's limit besides; the
    directive's 8 (eu200625) is taken there, the stricter one (both from memory, not seen).

    >>> water_factor(1064.0), round(water_factor(1180.0), 3), water_factor(1300.0)
    (1.0, 3.467, 8.0)
    """
    if wavelength_nm <= 1150:
        return 1.0
    return float(min(10 ** (0.018 * (wavelength_nm - 1150)), 8.0))


def times_together_s(wavelength_nm: float) -> tuple[float, ...]:
    """T_i: within so long pulses count as one [s], by the laser standard's edition of 2007, then by that of 2014.

    Nothing outside 400 to 1400 nm. From memory, not seen.

    >>> times_together_s(1064.0), times_together_s(355.0)
    ((5e-05, 1.3e-05), ())
    """
    if not 400 <= wavelength_nm <= 1400:
        return ()
    return (50e-6, 13e-6) if wavelength_nm >= 1050 else (18e-6, 5e-6)


def longest_single_s(wavelength_nm: float) -> float:
    """T_i of the guidelines: pulses within this time act as one on the retina [s].

    >>> longest_single_s(532.0), longest_single_s(1064.0)
    (5e-06, 1.3e-05)
    """
    return min(times_together_s(wavelength_nm))


def single_limit_j_m2(wavelength_nm: float, seconds: float) -> float:
    """Limit of one exposure that lasts `seconds` [J/m^2], 180 nm to 1 mm, 1 ns to 30 000 s.

    ValueError outside. The retina's band (400 to 1400 nm): icnirp2013; ultraviolet and far
    infrared after the same guidelines from memory, not seen.

    >>> round(single_limit_j_m2(1064.0, 100e-9), 6), round(single_limit_j_m2(1064.0, 10.0), 1)
    (0.02, 500.0)
    >>> round(single_limit_j_m2(532.0, 0.25) / 0.25, 3)
    25.456
    """
    if not SHORTEST_S <= seconds <= 3e4:
        raise ValueError(f"the eye limits cover exposures from 1 ns to 30 000 s, not {seconds:g} s")
    if not 180 <= wavelength_nm <= 1e6:
        raise ValueError(f"the eye limits cover 180 nm to 1 mm, not {wavelength_nm:g} nm")
    if wavelength_nm < 400:
        return _ultraviolet(wavelength_nm, seconds)
    if wavelength_nm <= 1400:
        return _retinal(wavelength_nm, seconds)
    return _infrared(wavelength_nm, seconds)


def pulse_limit_j_m2(wavelength_nm: float, pulse_width_ns: float) -> float:
    """Limit of one pulse [J/m^2], also of pulses under a nanosecond, which `single_limit_j_m2` refuses.

    Up to 10 ps half of the retina's limit for longer pulses, without C_A; outside of its band the
    power of a pulse of 1 ns. All of that from memory, not seen. ValueError as `single_limit_j_m2`.

    >>> pulse_limit_j_m2(1064.0, 0.01), pulse_limit_j_m2(1064.0, 0.5), pulse_limit_j_m2(532.0, 100.0)
    (0.01, 0.02, 0.002)
    """
    seconds = pulse_width_ns * 1e-9
    at_least = single_limit_j_m2(wavelength_nm, max(seconds, SHORTEST_S))
    if seconds >= SHORTEST_S:
        return at_least
    if not 400 <= wavelength_nm <= 1400:
        return at_least * seconds / SHORTEST_S
    if pulse_width_ns > 1e9 * SHORT_S * (1 + 1e-9):
        return at_least
    return 1e-2 * water_factor(wavelength_nm) if wavelength_nm >= 1050 else 1e-3


def _retinal(wavelength_nm: float, seconds: float) -> float:
    water = water_factor(wavelength_nm)
    near = wavelength_nm >= 1050
    factor = 5 * water if near else wavelength_factor(wavelength_nm)
    if seconds <= longest_single_s(wavelength_nm):
        return (4e-3 if near else 2e-3) * factor
    if seconds < LOOK_S:
        return float(18 * factor * seconds**0.75)
    thermal = 10 * factor * seconds
    if wavelength_nm >= 600:
        return thermal
    # Blue light also wears on the retina by its chemistry: 100 C_B J/m^2 in 100 s, then C_B W/m^2.
    blue = 1.0 if wavelength_nm < 450 else 10 ** (0.02 * (wavelength_nm - 450))
    return float(min(thermal, blue * max(seconds, 100.0)))


def _ultraviolet(wavelength_nm: float, seconds: float) -> float:
    chemical = 30.0 if wavelength_nm <= 302.5 else min(10 ** (0.2 * (wavelength_nm - 295)), 1e4)
    return float(min(chemical, 5.6e3 * seconds**0.25))


def _infrared(wavelength_nm: float, seconds: float) -> float:
    if seconds >= LOOK_S:
        return 1e3 * seconds
    slow = 5.6e3 * seconds**0.25
    if 1500 < wavelength_nm <= 1800:
        return 1e4
    return float(max(slow, 1e3 if wavelength_nm <= 2600 else 100.0))


def train_factor(wavelength_nm: float, pulses: float, seconds: float) -> float:
    """C_P of the guidelines: how much less each pulse of a train may carry than a single one.

    1 up to 600 pulses or a quarter of a second, then 5 N^(-1/4), never below 0.4; outside the
    retina's band always 1. Source: icnirp2013.

    >>> train_factor(1064.0, 1e4, 10.0), train_factor(1064.0, 3e5, 10.0), train_factor(1064.0, 500, 10.0)
    (0.5, 0.4, 1.0)
    """
    if not 400 <= wavelength_nm <= 1400 or seconds <= 0.25 or pulses <= 600:
        return 1.0
    return float(max(round(5 * pulses**-0.25, 12), 0.4))


def directive_pulse_j_m2(wavelength_nm: float, pulse_width_ns: float) -> float:
    """Limit of one pulse by the EU directive [J/m^2], 400 to 1400 nm, up to ten seconds.

    Source: eu200625, from memory, not seen. Pulses under a nanosecond may carry much less than longer ones.

    >>> directive_pulse_j_m2(1064.0, 100.0), directive_pulse_j_m2(532.0, 100.0), directive_pulse_j_m2(1064.0, 0.001)
    (0.05, 0.005, 0.0015)
    """
    seconds = pulse_width_ns * 1e-9
    if wavelength_nm >= 1050:
        factor, short, early, late = water_factor(wavelength_nm), 5e-2, 2.7e5, 90.0
    else:
        factor, short, early, late = wavelength_factor(wavelength_nm), 5e-3, 2.7e4, 18.0
    if seconds < SHORTEST_S:
        return float(factor * max(early * seconds**0.75, 0.03 * short))
    return float(factor * max(short, late * seconds**0.75))


def directive_train_j_m2(wavelength_nm: float, pulse_width_ns: float, frequency_khz: float) -> float:
    """Limit of each pulse of a train by the EU directive [J/m^2], looked into for `LOOK_S`: the single limit times
    N^(-1/4).

    All pulses within the longer T_i count as one. Source: eu200625, from memory, not seen.

    >>> [round(1e3 * directive_train_j_m2(1064.0, 100.0, rate), 3) for rate in (1.0, 30.0)]
    [5.0, 1.576]
    """
    together_s = max(times_together_s(wavelength_nm))
    rate_hz = 1e3 * frequency_khz
    alike = max(rate_hz * together_s, 1.0)
    counted = max(rate_hz * LOOK_S / alike, 1.0)
    return directive_pulse_j_m2(wavelength_nm, pulse_width_ns) * float(counted**-0.25) / alike


def train_limit_j_m2(wavelength_nm: float, pulse_width_ns: float, frequency_khz: float) -> float:
    """Limit of each pulse of a train [J/m^2] that is looked into for `LOOK_S`: the strictest of four rules.

    Each pulse alone; the mean over the whole exposure; each pulse (all within T_i as one) times
    C_P; the directive's rule for trains. In the ultraviolet the day's dose of 30 000 s is held
    against the mean. ValueError as `pulse_limit_j_m2`. Sources: icnirp2013, eu200625.

    >>> [round(1e3 * train_limit_j_m2(1064.0, 100.0, rate), 3) for rate in (0.05, 1.0, 10.0, 30.0)]
    [10.574, 5.0, 2.812, 1.576]
    """
    single = pulse_limit_j_m2(wavelength_nm, pulse_width_ns)
    rate_hz = 1e3 * frequency_khz
    mean = mean_limit_w_m2(wavelength_nm) / rate_hz
    if not 400 <= wavelength_nm <= 1400:
        return min(single, mean)
    alike = max(1.0, rate_hz * longest_single_s(wavelength_nm))
    factor = train_factor(wavelength_nm, rate_hz * LOOK_S / alike, LOOK_S)
    older = directive_train_j_m2(wavelength_nm, pulse_width_ns, frequency_khz)
    return min(single, mean, factor * single / alike, older)


def mean_limit_w_m2(wavelength_nm: float, seconds: float = LOOK_S) -> float:
    """Limit of a steady beam, or of a train's mean, that is looked into for so long [W/m^2].

    >>> round(mean_limit_w_m2(1064.0)), round(mean_limit_w_m2(650.0, 0.25), 3), round(mean_limit_w_m2(355.0), 3)
    (50, 25.456, 0.333)
    """
    if wavelength_nm < 400:
        return min(single_limit_j_m2(wavelength_nm, 3e4) / 3e4, single_limit_j_m2(wavelength_nm, seconds) / seconds)
    return single_limit_j_m2(wavelength_nm, seconds) / seconds


def aperture_mm(wavelength_nm: float) -> float:
    """Diameter of the aperture into which a beam is taken to go as a whole, for long exposures [mm].

    7 where the retina is at risk, 1 in the ultraviolet, 3.5 in the far infrared. Source:
    icnirp2013; outside 400 to 1400 nm from memory, not seen.

    >>> aperture_mm(355.0), aperture_mm(1064.0), aperture_mm(10600.0)
    (1.0, 7.0, 3.5)
    """
    if wavelength_nm < 400:
        return CORNEA_MM
    return PUPIL_MM if wavelength_nm <= 1400 else CORNEA_LONG_MM


def into_aperture(amount: float, diameter_mm: float) -> float:
    """A power [W] or energy [J] over an aperture: [W/m^2] or [J/m^2].

    >>> round(into_aperture(20.0, 7.0))
    519690
    """
    return amount / (math.pi / 4 * (diameter_mm * 1e-3) ** 2)


def optical_density(exposure: float, limit: float) -> float:
    """log10 of exposure over limit, which eyewear must reach at the wavelength; 0 where the limit is kept.

    >>> round(optical_density(519690.0, 50.0), 3)
    4.017
    """
    return max(math.log10(exposure / limit), 0.0) if exposure > 0 else 0.0
