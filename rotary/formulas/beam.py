"""A focused pulsed beam: its spot, its Rayleigh length, what defocus and slant leave of its fluence.

::

        \\   |   /        defocus > 0: the focal plane stands above the surface
         \\  |  /
          )-|-(  ------  focal plane: spot d, peak fluence F
         /  |  \\
        /   |   \\        one Rayleigh length away the spot's area has doubled
    ---+----+----+-----  surface

All diameters are 1/e² diameters, all fluences peak fluences on the axis of a Gaussian beam
(twice the mean over the 1/e² disc). Derivations: docs/formulas/beam.md.
"""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats


def spot_diameter_um(
    wavelength_nm: ArrayLike, focal_length_mm: ArrayLike, beam_diameter_mm: ArrayLike, beam_quality: ArrayLike
) -> Floats:
    """Spot diameter in focus [µm], d = 4 M² λ f / (π D).

    `beam_diameter_mm` is the 1/e² diameter at the lens, not at the source. Positive floats
    that broadcast. Source: iso11146, part 1 (beam parameter product).

    >>> spot_diameter_um(1064, [160, 254], 7.0, beam_quality=1.5).round(2)
    array([46.45, 73.74])
    """
    wavelength_um = floats(wavelength_nm) / 1000
    return np.asarray(
        4 * floats(beam_quality) * wavelength_um * floats(focal_length_mm) / (np.pi * floats(beam_diameter_mm))
    )


def rayleigh_mm(spot_um: ArrayLike, wavelength_nm: ArrayLike, beam_quality: ArrayLike) -> Floats:
    """Rayleigh length [mm], z_R = π d² / (4 M² λ), of a beam whose spot in focus is `spot_um` wide.

    Positive floats that broadcast. µm²/nm is mm. Source: iso11146, part 1.

    >>> float(rayleigh_mm(46.44778, 1064, beam_quality=1.5).round(4))
    1.0617
    """
    d = floats(spot_um)
    return np.asarray(np.pi * d**2 / (4 * floats(beam_quality) * floats(wavelength_nm)))


def beam_quality_from_spot(spot_um: ArrayLike, rayleigh_mm: ArrayLike, wavelength_nm: ArrayLike) -> Floats:
    """M² of a beam with this measured spot and Rayleigh length; below 1 is not possible.

    Positive floats that broadcast. Source: iso11146, part 1.

    >>> float(beam_quality_from_spot(46.44778, 1.061664, 1064).round(4))
    1.5
    """
    return np.asarray(np.pi * floats(spot_um) ** 2 / (4 * floats(rayleigh_mm) * floats(wavelength_nm)))


def peak_fluence_factor(defocus_mm: ArrayLike, rayleigh_mm: ArrayLike) -> Floats:
    """Share of the peak fluence left at a distance from the focal plane, 1 / (1 + (z/z_R)²).

    Either sign of defocus; floats that broadcast. Source: iso11146, part 1 (hyperbola of the beam).

    >>> peak_fluence_factor([0.0, 2.0, -2.0], 1.061664).round(4)
    array([1.    , 0.2198, 0.2198])
    """
    return np.asarray(1 / (1 + (floats(defocus_mm) / floats(rayleigh_mm)) ** 2))


def spot_under_defocus_um(spot_um: ArrayLike, rayleigh_mm: ArrayLike, defocus_mm: ArrayLike) -> Floats:
    """Spot diameter at a distance from the focal plane [µm], d sqrt(1 + (z/z_R)²).

    Either sign of defocus; floats that broadcast. Source: iso11146, part 1.

    >>> float(spot_under_defocus_um(46.44778, 1.061664, 2.0).round(2))
    99.06
    """
    return np.asarray(floats(spot_um) * np.hypot(1, floats(defocus_mm) / floats(rayleigh_mm)))


def defocus_from_spot_mm(spot_um: ArrayLike, rayleigh_mm: ArrayLike, wanted_um: ArrayLike) -> Floats:
    """Distance from the focal plane at which the spot is `wanted_um` wide [mm], never negative.

    Floats that broadcast; nan where the wanted spot is smaller than the spot in focus.

    >>> defocus_from_spot_mm(46.44778, 1.061664, [46.44778, 99.06385, 40.0]).round(4)
    array([ 0.,  2., nan])
    """
    ratio = floats(wanted_um) / floats(spot_um)
    grown = (ratio - 1) * (ratio + 1)
    return np.asarray(floats(rayleigh_mm) * np.sqrt(np.where(grown < 0, np.nan, grown)))


def fluence_share(defocus_mm: ArrayLike, fall_mm: ArrayLike, rayleigh_mm: ArrayLike) -> Floats:
    """Peak fluence where the surface lies `fall_mm` lower, as a share of that at `defocus_mm`.

    Signed: with the focal plane above the surface (defocus > 0) a place that has fallen away
    is farther from it and gets less; with the plane below it gets more. Floats that broadcast.

    >>> fluence_share([6.0, -6.0], fall_mm=0.32, rayleigh_mm=1.061664).round(2)
    array([0.9 , 1.11])
    """
    z, fall, z_r = floats(defocus_mm), floats(fall_mm), floats(rayleigh_mm)
    return np.asarray((z_r**2 + z**2) / (z_r**2 + (z + fall) ** 2))


def peak_fluence_j_cm2(pulse_mj: ArrayLike, spot_um: ArrayLike) -> Floats:
    """Peak fluence of a Gaussian pulse [J/cm²], 2 E / (π w²) with w half the 1/e² diameter.

    Floats that broadcast, `spot_um` > 0.

    >>> float(peak_fluence_j_cm2(20 / 30, 46.44778).round(2))
    78.69
    """
    # From mJ and the spot's diameter in um: 1e-3 J and 4e8 for the square of half of it in cm.
    return np.asarray(8e5 / np.pi * floats(pulse_mj) / floats(spot_um) ** 2)


def pulse_energy_mj(power_w: ArrayLike, frequency_khz: ArrayLike, largest_pulse_mj: ArrayLike) -> Floats:
    """Energy of a pulse [mJ], P/f, never more than the source's largest.

    Below the rate P/E_max the energy stays at its largest and the average power falls.
    Floats that broadcast, `frequency_khz` > 0.

    >>> pulse_energy_mj(20.0, [10, 20, 40], largest_pulse_mj=1.0)
    array([1. , 1. , 0.5])
    """
    return np.asarray(np.minimum(floats(power_w) / floats(frequency_khz), floats(largest_pulse_mj)))


def pulse_density_mm2(frequency_khz: ArrayLike, speed_mm_s: ArrayLike, line_spacing_mm: ArrayLike) -> Floats:
    """Pulses on a square millimetre in one pass [1/mm²], ρ = f / (v h).

    Positive floats that broadcast.

    >>> float(pulse_density_mm2(30, 1000, 0.05))
    600.0
    """
    return np.asarray(1000 * floats(frequency_khz) / (floats(speed_mm_s) * floats(line_spacing_mm)))


def dose_j_mm2(pulse_mj: ArrayLike, density_mm2: ArrayLike) -> Floats:
    """Energy on a square millimetre in one pass [J/mm²], H = E ρ, which is P / (v h).

    Floats that broadcast.

    >>> float(dose_j_mm2(20 / 30, 600).round(6))
    0.4
    """
    return np.asarray(floats(pulse_mj) * floats(density_mm2) / 1000)


def pulses_per_place(density_mm2: ArrayLike, spot_um: ArrayLike) -> Floats:
    """Pulses that a place gets in one pass, N = ρ π w² / 2, each counted by its fluence over the peak.

    So F₀ N is the dose, whatever the spot. Below about 1.5 the place of a pulse matters more
    than the number. Floats that broadcast.

    >>> float(pulses_per_place(600, 99.06385).round(3))
    2.312
    """
    return np.asarray(np.pi / 8e6 * floats(density_mm2) * floats(spot_um) ** 2)
