"""What a pulse takes away: depth, volume, coverage of a lattice of pulses, thresholds.

A Gaussian pulse of peak fluence F0 and spot radius w (at 1/e^2) has the fluence
F(r) = F0 exp(-2 r^2 / w^2). Where F exceeds a threshold F_c the depth is l ln(F / F_c):
zero at the rim of a disc of radius R = w sqrt(ln(F0 / F_c) / 2), falling with r^2 from its middle.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def _log_ratio(fluence: ArrayLike, threshold: ArrayLike) -> Floats:
    """ln(F / F_c), clamped to 0 below the threshold: a pulse too weak to remove anything adds nothing back."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.maximum(np.log(np.asarray(fluence, float) / np.asarray(threshold, float)), 0.0))


def depth_per_pulse_um(fluence_j_cm2: ArrayLike, threshold_j_cm2: ArrayLike, depth_um: ArrayLike) -> Floats:
    """Depth that one pulse removes at a place, l ln(F / F_c), nothing below the threshold.

    (...) floats that broadcast; `depth_um` is l, the depth per e-fold over the threshold.
    Source: raciukaitis2009, neuenschwander2010.

    >>> depth_per_pulse_um([0.5, 1.0, 2.718281828], 1.0, 3.0).round(6)
    array([0., 0., 3.])
    """
    return np.asarray(depth_um, float) * _log_ratio(fluence_j_cm2, threshold_j_cm2)


def cleared_radius_mm(peak_fluence_j_cm2: ArrayLike, threshold_j_cm2: ArrayLike, spot_radius_mm: ArrayLike) -> Floats:
    """Radius of the disc in which one pulse exceeds the threshold, w sqrt(ln(F0 / F_c) / 2).

    (...) floats that broadcast, result in [mm], 0 where the pulse stays below. Source: liu1982.

    >>> (2e3 * cleared_radius_mm(20.0, 2.0, 0.025)).round(3).item()
    53.649
    """
    return np.asarray(spot_radius_mm, float) * np.sqrt(_log_ratio(peak_fluence_j_cm2, threshold_j_cm2) / 2)


def volume_per_pulse_mm3(
    peak_fluence_j_cm2: ArrayLike, threshold_j_cm2: ArrayLike, depth_um: ArrayLike, spot_radius_mm: ArrayLike
) -> Floats:
    """Volume that one Gaussian pulse ablates, l (pi w^2 / 4) ln^2(F0 / F_c).

    (...) floats that broadcast, result in [mm^3]. For a given energy it is largest at
    F0 = e^2 F_c. Source: raciukaitis2009, neuenschwander2010.

    >>> volume_per_pulse_mm3(7.389056, 1.0, 1.0, 0.1).round(9).item()
    3.1416e-05
    """
    w, log = np.asarray(spot_radius_mm, float), _log_ratio(peak_fluence_j_cm2, threshold_j_cm2)
    return np.asarray(1e-3 * np.asarray(depth_um, float) * np.pi * w**2 / 4 * log**2)


def lifted_area_mm2(peak_fluence_j_cm2: ArrayLike, threshold_j_cm2: ArrayLike, spot_radius_mm: ArrayLike) -> Floats:
    """Area from which one pulse throws a translucent layer off, (pi w^2 / 2) ln(F0 / F_l).

    (...) floats that broadcast, result in [mm^2]; times the layer's thickness it is the volume.

    >>> lifted_area_mm2(2.718281828, 1.0, 1.0).round(6).item()
    1.570796
    """
    w = np.asarray(spot_radius_mm, float)
    return np.asarray(np.pi * w**2 / 2 * _log_ratio(peak_fluence_j_cm2, threshold_j_cm2))


def lattice_sum(
    radius_mm: ArrayLike, pitch_mm: float, hatch_mm: float, along: float = 0.5, across: float = 0.5
) -> Floats:
    """Sum over a rectangular lattice of pulses of (1 - r^2 / R^2) where positive, at one place of its cell.

    radius_mm (...) float is R of `cleared_radius_mm`; times ln(F0 / F_c) and l it is the depth of
    one pass there. `along` and `across` in spacings from a pulse's centre: (0, 0) on a pulse,
    (1/2, 1/2) in the middle of a cell. Exact: the lattice's distances are sorted and summed once.

    ::

        o     o     o        o  pulse (0, 0)
           x                 x  middle of a cell (1/2, 1/2)
        o     o     o

    >>> lattice_sum([0.3, 0.8], 1.0, 1.0).round(4)     # the first leaves gaps
    array([0.   , 0.875])
    >>> (lattice_sum(40.0, 1.0, 1.0) / (np.pi * 40.0**2 / 2)).round(4).item()     # many: the mean
    1.0
    """
    reach2 = np.square(np.asarray(radius_mm, float))
    farthest = float(np.sqrt(reach2.max(initial=0.0)))
    x = (np.arange(-int(farthest / pitch_mm) - 2, int(farthest / pitch_mm) + 2) + along) * pitch_mm
    y = (np.arange(-int(farthest / hatch_mm) - 2, int(farthest / hatch_mm) + 2) + across) * hatch_mm
    r2 = np.sort(np.add.outer(x**2, y**2).ravel())
    inside = np.searchsorted(r2, reach2)
    total = np.concatenate(([0.0], np.cumsum(r2)))[inside]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(inside > 0, inside - total / reach2, 0.0)


# Beyond this many spacings the lattice's ripple is under 0.3 per mille: the mean serves.
_FAR = 24.0
_PER_SPACING = 400
# Places of an eighth of the cell that are tried: where the discs just meet, the middle of a cell may be hit most.
_PLACES = tuple((i / 8, j / 8) for i in range(5) for j in range(5))
# Tables for lattices that are longer one way, in quarters of a doubling, up to 32 to 1.
_RATIO_STEPS = 4
_MOST_STEPS = 20


@lru_cache(maxsize=_MOST_STEPS + 1)
def _tables(step: int) -> tuple[Floats, Floats]:
    longer = 2 ** (step / _RATIO_STEPS / 2)
    radii = np.arange(int(_FAR * _PER_SPACING) + 1) / _PER_SPACING
    # A square lattice is the same across its diagonal: half the places serve.
    places = [place for place in _PLACES if step or place[1] <= place[0]]
    everywhere = np.stack([lattice_sum(radii, 1 / longer, longer, *place) for place in places])
    return everywhere.min(axis=0), everywhere.max(axis=0)


def lattice_sums(radius_over_spacing: ArrayLike, ratio: ArrayLike = 1.0) -> tuple[Floats, Floats]:
    """`lattice_sum` at the least- and the most-hit place of a lattice, from tables; radii rounded down to 1/400.

    radius_over_spacing (...) float, finite, >= 0, in units of sqrt(pitch x hatch); `ratio` is hatch over
    pitch or the other way round, broadcast, rounded up to a quarter of a doubling, 32 at most.

    >>> least, most = lattice_sums([0.5, 0.8, 3.0])
    >>> least.round(2), most.round(2)
    (array([ 0.  ,  0.78, 13.89]), array([ 1.  ,  1.22, 14.25]))
    >>> lattice_sums(0.8, 2.0)[0].round(2).item()     # a longer cell leaves its middle bare
    0.09
    """
    x = np.asarray(radius_over_spacing, float)
    steps = np.minimum(np.ceil(_RATIO_STEPS * np.abs(np.log2(np.asarray(ratio, float))) - 1e-6), _MOST_STEPS)
    row = np.minimum(x * _PER_SPACING, _FAR * _PER_SPACING).astype(np.intp)
    different = np.unique(steps) if steps.any() else np.zeros(1)
    least, most = (table.take(row) for table in _tables(int(different[0])))
    for step in different[1:]:
        here = np.broadcast_to(steps == step, x.shape)
        for found, table in zip((least, most), _tables(int(step)), strict=True):
            found[here] = table.take(row[here])
    if x.size and x.max() >= _FAR:
        mean = np.pi * x**2 / 2
        return np.where(x < _FAR, least, mean), np.where(x < _FAR, most, mean)
    return least, most


def threshold_after_pulses_j_cm2(threshold_j_cm2: ArrayLike, pulses: ArrayLike, incubation: ArrayLike) -> Floats:
    """Threshold after N pulses on one place, F(1) N^(S - 1); fewer than one pulse count as one.

    (...) floats that broadcast; S = 1 means that pulses don't add up. Source: jee1988.

    >>> threshold_after_pulses_j_cm2(0.272, 100, 0.8589).round(3).item()
    0.142
    """
    n = np.maximum(np.asarray(pulses, float), 1.0)
    return np.asarray(np.asarray(threshold_j_cm2, float) * n ** (np.asarray(incubation, float) - 1.0))


def threshold_at_duration_j_cm2(
    threshold_j_cm2: ArrayLike, known_at_ns: ArrayLike, pulse_ns: ArrayLike, exponent: ArrayLike = 0.5
) -> Floats:
    """Threshold at another pulse duration, F (tau / tau0)^p.

    (...) floats that broadcast. p = 1/2 where heat flows away during the pulse (metals,
    nanoseconds; carslaw1959), 0 where light goes deeper than heat does (dark coatings).

    >>> threshold_at_duration_j_cm2(2.5, 100.0, 25.0).item()
    1.25
    """
    longer = np.asarray(pulse_ns, float) / np.asarray(known_at_ns, float)
    return np.asarray(np.asarray(threshold_j_cm2, float) * longer ** np.asarray(exponent, float))


def spot_and_threshold_from_craters(pulse_mj: ArrayLike, diameter_um: ArrayLike) -> tuple[float, float]:
    """Spot radius [mm] and threshold [J/cm^2] from the diameters of craters at several pulse energies.

    (n,) floats, n >= 2 energies that differ. D^2 = 2 w^2 ln(E / E_th) is a straight line
    over ln E. ValueError where the craters don't grow with energy. Source: liu1982.

    >>> energy = 20e-2 * np.pi * 0.025**2 / 2 * 1e3 * np.array([0.2, 0.5, 1.0])     # mJ, F0 = 4, 10, 20 J/cm^2
    >>> crater = 2e3 * cleared_radius_mm([4.0, 10.0, 20.0], 2.0, 0.025)
    >>> np.round(spot_and_threshold_from_craters(energy, crater), 6)
    array([0.025, 2.   ])
    """
    log_energy, squared = np.log(np.asarray(pulse_mj, float)), np.square(np.asarray(diameter_um, float) * 1e-3)
    gain, start = np.polyfit(log_energy, squared, 1)
    if not gain > 0:
        raise ValueError("the craters must grow with the pulse energy: give at least two energies that differ")
    radius = float(np.sqrt(gain / 2))
    threshold_mj = float(np.exp(-start / gain))
    return radius, 2 * threshold_mj * 1e-3 / (np.pi * radius**2) * 100
