"""What a pulse takes away: depth, volume, coverage of a lattice of pulses, thresholds.

A Gaussian pulse of peak fluence F0 and spot radius w (at 1/e^2) has the fluence
F(r) = F0 exp(-2 r^2 / w^2). Where F exceeds a threshold F_c the depth is l ln(F / F_c):
zero at the rim of a disc of radius R = w sqrt(ln(F0 / F_c) / 2), falling with r^2 from its middle.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats


def over_threshold(log_fluence: ArrayLike, log_threshold: ArrayLike) -> Floats:
    """ln(F / F_c) from both logarithms, 0 below the threshold: a pulse too weak to remove anything adds nothing back.

    (...) floats that broadcast; fluences of which the logarithms are taken in [J/cm^2].

    >>> over_threshold(np.log([0.5, 1.0, 2.0]), 0.0).round(3)
    array([0.   , 0.   , 0.693])
    """
    return np.asarray(np.maximum(floats(log_fluence) - floats(log_threshold), 0.0))


def depth_per_pulse_um(over: ArrayLike, depth_um: ArrayLike) -> Floats:
    """Depth that one pulse removes at a place, l ln(F / F_c), nothing below the threshold.

    (...) floats that broadcast; `over` from `over_threshold`, `depth_um` is l, the depth per e-fold over the
    threshold. Source: raciukaitis2009, neuenschwander2010.

    >>> depth_per_pulse_um([0.0, 1.0], 3.0)
    array([0., 3.])
    """
    return np.asarray(floats(depth_um) * floats(over))


def cleared_radius_mm(over: ArrayLike, spot_radius_mm: ArrayLike) -> Floats:
    """Radius of the disc in which one pulse exceeds the threshold, w sqrt(ln(F0 / F_c) / 2).

    (...) floats that broadcast, result in [mm], 0 where the pulse stays below; `over` from `over_threshold`.
    In a unit of length of its own where the spot radius is. Source: liu1982.

    >>> (2e3 * cleared_radius_mm(np.log(20.0 / 2.0), 0.025)).round(3).item()
    53.649
    """
    return np.asarray(floats(spot_radius_mm) * np.sqrt(floats(over) / 2))


def over_to_close(spot_over_spacing: ArrayLike, ratio: ArrayLike = 1.0) -> Floats:
    """ln(F0 / F_c) from which the discs of a lattice leave no gap: their radius reaches the middle of the cell.

    (...) floats that broadcast: the spot's radius in units of sqrt(pitch x hatch), and hatch over pitch.

    >>> reach = cleared_radius_mm(over_to_close(1.5), 1.5)
    >>> reach.round(6).item()     # half the diagonal of a square
    0.707107
    """
    r = floats(ratio)
    return np.asarray((r + 1 / r) / 2 / np.square(floats(spot_over_spacing)))


def lattice_sum(
    radius_mm: ArrayLike, pitch_mm: float, line_spacing_mm: float, along: float = 0.5, across: float = 0.5
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
    reach2 = np.square(floats(radius_mm))
    farthest = float(np.sqrt(reach2.max(initial=0.0)))
    x = (np.arange(-int(farthest / pitch_mm) - 2, int(farthest / pitch_mm) + 2) + along) * pitch_mm
    y = (
        np.arange(-int(farthest / line_spacing_mm) - 2, int(farthest / line_spacing_mm) + 2) + across
    ) * line_spacing_mm
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
    x = floats(radius_over_spacing)
    steps = np.minimum(np.ceil(_RATIO_STEPS * np.abs(np.log2(floats(ratio))) - 1e-6), _MOST_STEPS)
    row = np.minimum(x * _PER_SPACING, _FAR * _PER_SPACING).astype(np.intp)
    different = np.unique(steps) if steps.any() else np.zeros(1)
    least, most = (table.astype(x.dtype).take(row) for table in _tables(int(different[0])))
    for step in different[1:]:
        here = np.broadcast_to(steps == step, x.shape)
        for found, table in zip((least, most), _tables(int(step)), strict=True):
            found[here] = table.take(row[here])
    if x.size and x.max() >= _FAR:
        mean = np.pi * x**2 / 2
        return np.where(x < _FAR, least, mean), np.where(x < _FAR, most, mean)
    return least, most


def log_threshold_after_pulses(
    log_threshold: ArrayLike, log_pulses: ArrayLike, incubation: ArrayLike, out: Floats | None = None
) -> Floats:
    """Logarithm of the threshold after N pulses on one place, F(1) N^(S - 1); fewer than one pulse count as one.

    (...) floats that broadcast; S = 1 means that pulses don't add up. It is written into `out`, where that is given.
    Source: jee1988.

    >>> np.exp(log_threshold_after_pulses(np.log(0.272), np.log(100), 0.8589)).round(3).item()
    0.142
    """
    n = np.maximum(np.asarray(log_pulses), 0.0, out=out)
    fallen = np.multiply(n, np.asarray(incubation) - 1.0, out=out)
    return np.asarray(np.add(fallen, np.asarray(log_threshold), out=out))


def pulses_stood(spare: ArrayLike, incubation: ArrayLike) -> Floats:
    """Pulses on one place until the threshold has fallen to the fluence: `log_threshold_after_pulses` solved for N.

    (...) floats that broadcast; `spare` is ln(F(1) / F). At most e^50, also where pulses hardly add up.

    >>> pulses_stood(np.log(0.272 / 0.142), 0.8589).round(1).item()
    100.1
    """
    exponent = floats(spare) / np.maximum(1 - floats(incubation), 1e-12)
    return np.asarray(np.exp(np.minimum(exponent, 50.0)))


def log_threshold_at_duration(
    log_threshold: ArrayLike, known_at_ns: ArrayLike, pulse_width_ns: ArrayLike, exponent: ArrayLike = 0.5
) -> Floats:
    """Logarithm of the threshold at another pulse duration, F (tau / tau0)^p.

    (...) floats that broadcast. p = 1/2 where heat flows away during the pulse (metals,
    nanoseconds; carslaw1959), less where light goes deeper than heat does (coatings: brygo2006 has a dependence).

    >>> np.exp(log_threshold_at_duration(np.log(2.5), 100.0, 25.0)).round(6).item()
    1.25
    """
    longer, log = np.log(floats(pulse_width_ns) / floats(known_at_ns)), floats(log_threshold)
    return np.asarray(log + floats(exponent) * longer, log.dtype)
