"""How far a surface may lie from where it should before the fluence leaves its two limits.

::

     fluence                 with the focal plane above the surface a place that has fallen
        |   .-.              away gets less, with the plane below it more
     high- /   \\----+
        | /     \\   |        |defocus + fall| has to stay between H (fluence too high, nearer
     low-/       \\--|--+      to focus) and L (too low, farther from it)
        |________ \\_|__|___
        0          H d  L    distance from the focal plane
"""

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.formulas.beam import fluence_share

LEAST_APART_MM: Final = 0.3
"""Focal planes nearer than this are one: a lens is hardly set more finely by hand (estimate)."""

MOST_ZONES: Final = 24
"""More heights than this nobody sets by hand; then the budget says what so many cost."""

TINY_MM: Final = 1e-6
FINE_MM: Final = 1e-3
"""To what a zone's height is sought."""


def allowed_mm(defocus_mm: float, rayleigh_mm: float, low_share: float, high_share: float) -> tuple[float, float]:
    """How far the surface may lie below (-) and above (+) its place [mm], two floats.

    `defocus_mm` is signed, + where the focal plane stands above the surface; the shares are of the peak
    fluence at that defocus, 0 < low < 1 < high. Exact, from F ~ 1/(1 + (z/z_R)²). Where the beam's best focus
    does not reach the upper share, only the lower one binds, on both sides of the focus.

    >>> [round(x, 4) for x in allowed_mm(6.0, 1.061664, 0.85, 1.15)]
    [-0.5232, 0.4181]
    >>> [round(x, 4) for x in allowed_mm(0.0, 1.0, 0.8, 1.2)]
    [-0.5, 0.5]
    """
    square, away = rayleigh_mm**2, abs(defocus_mm)
    here = square + away**2
    far = (here / low_share - square) ** 0.5
    near = max(here / high_share - square, 0.0) ** 0.5
    # Distances from the focal plane, on the side of the wanted defocus; -far where the focus may be passed.
    from_mm, to_mm = (near, far) if near > 0 else (-far, far)
    farther, nearer = away - to_mm, away - from_mm
    return (farther, nearer) if defocus_mm >= 0 else (-nearer, -farther)


def balance_mm(low_mm: ArrayLike, high_mm: ArrayLike, allowed_low_mm: float, allowed_high_mm: float) -> Floats:
    """How far to shift the focal plane so that a surface from `low_mm` to `high_mm` of the apex is balanced [mm].

    Its middle gets the wanted fluence; where that would pass one limit while the other has room, the plane
    gives way; where the surface is too uneven for both, what is too much is shared.

    Floats that broadcast.

    >>> balance_mm([-0.32, -1.2], 0.0, -0.8, 0.5).round(3)
    array([-0.16, -0.5 ])
    """
    low, high = np.asarray(low_mm, float), np.asarray(high_mm, float)
    least, most = high - allowed_high_mm, low - allowed_low_mm
    kept = np.minimum(np.maximum((low + high) / 2, least), most)
    return np.asarray(np.where(least > most, (least + most) / 2, kept))


def fluence_range(defocus_mm: float, rayleigh_mm: float, low_mm: float, high_mm: float) -> tuple[float, float]:
    """Least and most peak fluence over a surface from `low_mm` below (-) to `high_mm` above (+) its place, as shares.

    Of the peak fluence at `defocus_mm`; the focus itself counts where the surface passes through it.

    >>> [round(x, 2) for x in fluence_range(6.0, 1.061664, -0.32, 0.0)]
    [0.9, 1.0]
    >>> [round(x, 2) for x in fluence_range(0.5, 1.0, -0.2, 1.0)]
    [0.84, 1.25]
    """
    at = [float(fluence_share(defocus_mm, -height, rayleigh_mm)) for height in (low_mm, high_mm)]
    if low_mm <= defocus_mm <= high_mm:
        at.append(float(fluence_share(defocus_mm, -defocus_mm, rayleigh_mm)))
    return min(at), max(at)


def window_mm(room_mm: float, runout_mm: float, setting_mm: float, drop_mm: float) -> float:
    """From highest apex to lowest slice edge, how much may be marked at one height [mm].

    What runout (total) and setting (±) leave of the room; no less than one setting beside the largest drop at a
    slice's edge, as finer steps can't be set.

    >>> round(window_mm(1.9, 0.2, 0.5, 0.1), 9), round(window_mm(1.0, 0.2, 0.5, 0.1), 9)
    (0.7, 0.6)
    """
    return max(room_mm - runout_mm - 2 * setting_mm, setting_mm + drop_mm)


def zones(apex_mm: ArrayLike, edge_mm: ArrayLike, window: float, fine_mm: float = FINE_MM) -> tuple[int, ...]:
    """The band in the fewest parts that keep highest apex and lowest slice edge within `window` [mm] each.

    Heights of apex and edge (n,) at places up the band, edge <= apex; the result are the places of all borders, ends
    included. A part of a good zone is good, so going up as far as it goes is exact. Of all divisions in so many the one
    is given whose widest zone is least wide, to `fine_mm`. Planes in the middle of neighbours lie `LEAST_APART_MM`
    apart, or there are fewer zones; never more than `MOST_ZONES`.

    >>> zones(np.linspace(0, 3, 7), np.linspace(0, 3, 7), 1.2), zones([0.0, 0.1], [0.0, 0.1], 1.0)
    ((0, 2, 4, 6), (0, 1))
    """
    apex, edge = np.asarray(apex_mm, float), np.asarray(edge_mm, float)
    needed, whole_mm = len(_upward(apex, edge, window, MOST_ZONES)) - 1, float(apex.max() - edge.min())
    # From middle to middle the planes go no farther than apex and edge themselves go up and down.
    way_mm = float(np.abs(np.diff(apex)).sum() + np.abs(np.diff(edge)).sum()) / 2
    count = min(needed, MOST_ZONES, 1 + int(way_mm / max(LEAST_APART_MM, TINY_MM)))
    while count > 1:
        borders = _least_wide(apex, edge, count, window if count == needed else whole_mm, fine_mm)
        middles = [float(apex[a : b + 1].max() + edge[a : b + 1].min()) / 2 for a, b in pairwise(borders)]
        if min(np.abs(np.diff(middles)), default=np.inf) >= LEAST_APART_MM:
            return borders
        count = len(borders) - 2
    return 0, len(apex) - 1


def _upward(apex: Floats, edge: Floats, window: float, most: int) -> tuple[int, ...]:
    """Borders by going up from the lowest place, each zone as far as the window lets it, one step at least.

    Given up after `most` zones, and one more says so.
    """
    borders, last = [0], len(apex) - 1
    while borders[-1] < last and len(borders) <= most + 1:
        start = borders[-1]
        range_mm = np.maximum.accumulate(apex[start:]) - np.minimum.accumulate(edge[start:])
        borders.append(start + max(int(np.searchsorted(range_mm, window * (1 + 1e-12), side="right")) - 1, 1))
    return tuple(borders)


def _least_wide(apex: Floats, edge: Floats, count: int, window: float, fine_mm: float) -> tuple[int, ...]:
    """The borders at the least window that needs no more than `count` zones, as `window` does."""
    # All zones together reach from the lowest edge to the highest apex.
    low, high = max(float((apex - edge).max()), float(apex.max() - edge.min()) / count), window
    best = _upward(apex, edge, high, count)
    while high - low > fine_mm:
        middle = (low + high) / 2
        borders = _upward(apex, edge, middle, count)
        if len(borders) - 1 <= count:
            best, high = borders, middle
        else:
            low = middle
    return best
