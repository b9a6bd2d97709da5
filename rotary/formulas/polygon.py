"""Faceted parts whose corners are not sharp: what is left of a flat.

::

            ____
          .'    `.  <- corner, rounded with radius q or turned down to a diameter e
         /        \\
        |   s      |      s: across flats
         \\        /       e: across corners
          `.____.'
          flat

Derivations: docs/formulas/letters.md. Sharp corners: `rotary.formulas.circle`.
"""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats


def rounded_flat_mm(across_flats_mm: ArrayLike, flats: ArrayLike, corner_radius_mm: ArrayLike = 0.0) -> Floats:
    """Width [mm] of what is flat between corners rounded with a radius: (s - 2q) tan(π/n).

    (...) floats that broadcast, 0 <= q <= s/2.

    >>> rounded_flat_mm(16.0, 6, [0.0, 2.0]).round(3)
    array([9.238, 6.928])
    """
    s, q = np.asarray(across_flats_mm, float), np.asarray(corner_radius_mm, float)
    return np.asarray((s - 2 * q) * np.tan(np.pi / np.asarray(flats, float)))


def turned_flat_mm(across_flats_mm: ArrayLike, across_corners_mm: ArrayLike) -> Floats:
    """Width [mm] of a flat whose corners were turned down to a diameter: sqrt(e² - s²).

    (...) floats that broadcast, e >= s; nan where e < s. Holds for any number of flats, up to sharp corners.

    >>> turned_flat_mm(16.0, [16.0, 17.77]).round(3)
    array([0.   , 7.731])
    """
    s, e = np.asarray(across_flats_mm, float), np.asarray(across_corners_mm, float)
    with np.errstate(invalid="ignore"):
        return np.asarray(np.sqrt((e - s) * (e + s)))
