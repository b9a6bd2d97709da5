r"""Seams of neighbouring slices: the gap between two filled areas that just closes, and the worst of all seams.

::

     filled area   |<-- c -->|   filled area      drawn; c is the widest gap that marking closes
    ===============|         |===============
    ===================|===|=================     marked: each side reaches beyond what is drawn

Lengths in [mm], fluences as logarithms of peak over threshold; floats or arrays that broadcast.
Derivations: docs/formulas/seams.md.
"""

from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats
from rotary.formulas.estimate import BELOW_95, HOLDS_95

STEADY_NODES = 16
STRAIGHT_STEPS = 6
STRAIGHT_WITHIN = 1e-3
EXTREME_NODES = 16

LEAST_READ_MM = 0.005
"""No ladder tells the gap that closes better than this (1 sigma)."""

RECTANGLE_TO_SIGMA = 1 / 12**0.5


FARTHEST = 8.0
STEPS_A_SIGMA = 500


@lru_cache(maxsize=1)
def _normal() -> tuple[Floats, Floats]:
    z = np.linspace(-FARTHEST, FARTHEST, round(2 * FARTHEST * STEPS_A_SIGMA) + 1)
    return z, np.array([NormalDist().cdf(float(one)) for one in z])


def normal_share(z: ArrayLike) -> Floats:
    """Share of a normal law below z, from a table that is right to 1e-6.

    >>> normal_share([-1.96, 0.0]).round(4)
    array([0.025, 0.5  ])
    """
    below = _normal()[1]
    place = np.minimum(np.maximum((floats(z) + FARTHEST) * STEPS_A_SIGMA, 0.0), len(below) - 1.001)
    row = place.astype(np.intp)
    return np.asarray(below[row] + (place - row) * (below[row + 1] - below[row]))


@lru_cache(maxsize=1)
def _steady() -> tuple[Floats, Floats]:
    nodes, weights = np.polynomial.hermite_e.hermegauss(STEADY_NODES)
    return nodes, weights / weights.sum()


def normal_place(share: ArrayLike) -> Floats:
    """Where a normal law has this share below it, from the same table.

    >>> normal_place([0.025, 0.5]).round(3)
    array([-1.96,  0.  ])
    """
    z, below = _normal()
    return np.asarray(np.interp(floats(share), below, z))


@lru_cache(maxsize=1)
def _ranks() -> tuple[Floats, Floats]:
    """Shares of a law, and the weight of each: between them they are all of it."""
    nodes, weights = np.polynomial.legendre.leggauss(EXTREME_NODES)
    return (nodes + 1) / 2, weights / 2


def two_sided(seams: ArrayLike, share: float = 0.95) -> Floats:
    """How many standard deviations all of so many independent normal values stay within, in a share of cases.

    >>> two_sided([1, 14]).round(2)
    array([1.96, 2.91])
    """
    return normal_place((1 + share ** (1 / floats(seams))) / 2)


def all_within_share(
    within_mm: ArrayLike, common_mm: ArrayLike, own_mm: ArrayLike, seams: ArrayLike, mean_mm: ArrayLike = 0.0
) -> Floats:
    """The chance that every one of `seams` seams is off by no more than `within_mm`.

    A seam is off by mean + common + its own part, both normal with these standard deviations (1 sigma); the common
    part is one and the same for all seams. Floats that broadcast.

    ::

        sum over nodes b of w [Phi((X - m - common b)/own) - Phi((-X - m - common b)/own)]^N

    over Gauss-Hermite nodes b; where a seam's own part is small against the common one, and that sum would be coarse,
    over the law of the largest own part instead, its two ends taken one by one.

    >>> float(all_within_share(1.96, 0.0, 1.0, seams=2).round(4))
    0.9025
    """
    given = np.broadcast_arrays(*map(floats, (within_mm, mean_mm, common_mm, own_mm, seams)))
    by_own = given[3] >= given[2]
    chance = np.empty(by_own.shape)
    for which, share in ((by_own, _by_common), (~by_own, _by_largest)):
        if which.any():
            chance[which] = share(*(one[which][:, None] for one in given))
    return chance


def _by_common(x: Floats, m: Floats, common: Floats, own: Floats, count: Floats) -> Floats:
    b, weight = _steady()
    at = m + common * b
    over, under = normal_share(np.stack((x - at, -x - at)) / np.maximum(own, 1e-12))
    return np.asarray(((over - under) ** count) @ weight)


def _by_largest(x: Floats, m: Floats, common: Floats, own: Floats, count: Floats) -> Floats:
    ranks, weight = _ranks()
    largest, wide = own * normal_place(ranks ** (1 / count)), np.maximum(common, 1e-12)
    over, under = normal_share(np.stack((x - m - largest, x + m - largest)) / wide) @ weight
    return np.asarray(np.maximum(over + under - 1, 0.0))


def all_within_mm(
    common_mm: ArrayLike, own_mm: ArrayLike, seams: ArrayLike, mean_mm: ArrayLike = 0.0, share: float = 0.95
) -> Floats:
    """X such that all of `seams` seams are off by no more than X in 19 of 20 items (`all_within_share` solved for X).

    Standard deviations (1 sigma) of what all seams have in common and of each seam's own. Floats that broadcast.
    Summing both as squares would hold in only 86 to 90 % of items.

    >>> float(all_within_mm(1.0, 0.0, seams=14).round(3)), float(all_within_mm(0.0, 1.0, seams=14).round(3))
    (1.96, 2.906)
    """
    m, common, own, count = np.broadcast_arrays(np.abs(floats(mean_mm)), *map(floats, (common_mm, own_mm, seams)))
    low = np.maximum(m, np.maximum(two_sided(1, share) * common, two_sided(count, share) * own))
    # No more than both parts at their own limit, each at half of what may be left out.
    left = (1 + share) / 2
    high = m + common * two_sided(1, left) + own * two_sided(count, left)
    wanted, x = float(normal_place(share)), high
    rise, far = normal_place(all_within_share(np.stack((low, high)), common, own, count, m)) - wanted
    for _ in range(STRAIGHT_STEPS):
        # Put on a normal scale the chance is nearly straight over x: the line between both ends is followed.
        with np.errstate(divide="ignore", invalid="ignore"):
            part = np.clip(-rise / (far - rise), 0.02, 0.98)
        x = np.where(np.isfinite(part), low + part * (high - low), high)
        here = normal_place(all_within_share(x, common, own, count, m)) - wanted
        enough = here >= 0
        low, rise = np.where(enough, low, x), np.where(enough, rise, here)
        high, far = np.where(enough, x, high), np.where(enough, here, far)
        if (np.abs(here) < STRAIGHT_WITHIN).all():
            break
    return np.asarray(x)


def wanted_overlap_mm(own_mm: ArrayLike, closing_mm: ArrayLike, u_closing_mm: ArrayLike) -> Floats:
    """How far slices should overlap so that 19 of 20 seams close, at most a quarter of the low end of what closes.

    1.645 sqrt(own² + u²); `closing_mm` is the gap that closes and `u_closing_mm` its standard deviation, whose low end
    (97.5 %) bounds it: a seam marked more than double may mark what lies beneath.

    >>> float(wanted_overlap_mm(0.010, 0.1, 0.005).round(4)), float(wanted_overlap_mm(0.01, 0.1, 0.04).round(4))
    (0.0184, 0.0054)
    """
    u = floats(u_closing_mm)
    low = np.maximum(floats(closing_mm) - HOLDS_95 * u, 0.0)
    return np.asarray(np.minimum(BELOW_95 * np.hypot(floats(own_mm), u), low / 4))


def closing_from_ladder(widest_closed_mm: float, next_mm: float) -> tuple[float, float]:
    """The gap that just closes and its standard uncertainty, from a ladder of gaps.

    It lies anywhere between the widest gap that closed and the next that did not: a rectangle. Source: [gum] 4.3.7.

    >>> [round(one, 4) for one in closing_from_ladder(0.24, 0.28)]
    [0.26, 0.0115]
    """
    step = next_mm - widest_closed_mm
    return widest_closed_mm + step / 2, max(step * RECTANGLE_TO_SIGMA, LEAST_READ_MM)


def closing_lifted_mm(over: ArrayLike, spot_radius_mm: ArrayLike, line_mm: ArrayLike) -> Floats:
    """The gap that closes all along where a pulse throws the coating off: nan where it doesn't.

    Each line of pulses clears discs of radius R = w sqrt(over/2) up to the end that is drawn, lines lie `line_mm`
    apart, and half way between two lines the discs reach least: 2 sqrt(R² - (h/2)²). `over` is ln(F0/F_l).
    Source: liu1982 for the disc.

    >>> closing_lifted_mm(np.log(4.0), 0.1, [0.0, 0.05]).round(4)
    array([0.1665, 0.1588])
    """
    square = 2 * floats(spot_radius_mm) ** 2 * np.maximum(floats(over), 0.0) - floats(line_mm) ** 2
    return np.where(square > 0, np.sqrt(np.maximum(square, 0.0)), np.nan)


@lru_cache(maxsize=1)
def _edge() -> tuple[Floats, Floats]:
    """Depth beyond the edge of a filled area: places -1 … 1 in reaches, and the integral of (1 - s²)^1.5 beyond."""
    angle = np.linspace(-np.pi / 2, np.pi / 2, 4001)
    # With s = sin t the integral of cos^4 t from t to π/2.
    below = 3 * angle / 8 + np.sin(2 * angle) / 4 + np.sin(4 * angle) / 32
    return np.sin(angle), np.asarray(below[-1] - below)


def closing_ablated_mm(
    over: ArrayLike, spot_radius_mm: ArrayLike, thick_over_depth: ArrayLike, cell_mm2: ArrayLike
) -> Floats:
    """The gap that closes where pulses dig, each l ln(F/F_c) deep: nan where the fill itself does not clear.

    A filled area digs beyond its edge by the tails of its outermost pulses. At the distance x from it the depth is
    n l/(p h) (2/3) w² L² G(x/X), with L = ln(F0/F_c), X = w sqrt(L/2) and G(q) the integral of (1 - s²)^1.5 from q
    to 1. In the middle of the gap c both sides add up, so 2 depth(c/2) has to be the thickness t.
    `thick_over_depth` is t/(n l), `cell_mm2` p h, the area that a pulse has for itself. Negative where the two areas
    have to overlap. Source of the law of one pulse: raciukaitis2009, neuenschwander2010.

    >>> closing_ablated_mm(np.log(4.0), 0.1, thick_over_depth=[1e-6, 5.0], cell_mm2=0.001).round(3)
    array([0.166, 0.072])
    """
    deep, w = np.maximum(floats(over), 1e-12), floats(spot_radius_mm)
    needed = floats(thick_over_depth) * floats(cell_mm2) * 0.75 / (w * deep) ** 2
    places, left = _edge()
    reach = np.interp(needed, left[::-1], places[::-1])
    # Twice the edge digs what is needed only where the fill itself digs it.
    clears = (floats(over) > 0) & (2 * needed <= left[0])
    return np.where(clears, 2 * w * np.sqrt(deep / 2) * reach, np.nan)
