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

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas.arrays import Floats
from rotary.formulas.beam import fluence_share

SHARE_FOR_SLOPE: Final = 0.25
"""At least this share of the focus room is left to the slope of the apex line when the band is divided."""

MOST_ZONES: Final = 24
"""More heights than this nobody sets by hand; then the last division stands and the budget says what it costs."""


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


def room_for_slope_mm(allowed_mm: tuple[float, float], sag_mm: ArrayLike) -> Floats:
    """What the sag leaves of the focus room to the slope of the apex line [mm], at least `SHARE_FOR_SLOPE` of it.

    Floats (...) [mm].

    >>> room_for_slope_mm((-1.0, 1.0), [0.5, 1.9]).tolist()
    [1.5, 0.5]
    """
    room = allowed_mm[1] - allowed_mm[0]
    return np.asarray(np.maximum(room - np.asarray(sag_mm, float), SHARE_FOR_SLOPE * room))


def zone_count(climb_mm: ArrayLike, room_mm: ArrayLike) -> NDArray[np.int64]:
    """Equal parts of a band that keep a straight apex line, which climbs `climb_mm` over it, within `room_mm` each.

    Floats that broadcast, `room_mm` > 0; never more than `MOST_ZONES`.

    >>> zone_count([0.0, 1.9, 2.0, 2.1, 900.0], 1.0).tolist()
    [1, 2, 2, 3, 24]
    """
    share = np.asarray(climb_mm, float) / np.asarray(room_mm, float)
    return np.asarray(np.minimum(np.maximum(np.ceil(share * (1 - 1e-9)), 1), MOST_ZONES), np.int64)
