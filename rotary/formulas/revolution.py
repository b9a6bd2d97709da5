"""A turned body: radius, slope and meridian length along the axis; the development of a cone."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray


class Curve(NamedTuple):
    """A meridian, piecewise cubic in s: on [s_mm[i], s_mm[i+1]] r = sum_k coefficients[k, i] (s - s_mm[i])^k.

    s_mm (n,) float, rising [mm]; coefficients (4, n-1) float; arc_mm (n,) float, meridian
    length from s_mm[0] to each knot [mm].
    """

    s_mm: NDArray[np.float64]
    coefficients: NDArray[np.float64]
    arc_mm: NDArray[np.float64]


def meridian_curve(s_mm: ArrayLike, radius_mm: ArrayLike, corner: ArrayLike | None = None) -> Curve:
    """Monotone curve through stations; a corner breaks the slope there (n,) bool."""
    raise NotImplementedError


def radius_mm(curve: Curve, s_mm: ArrayLike) -> NDArray[np.float64]:
    """Radius at heights; beyond the ends the end pieces go on straight."""
    raise NotImplementedError


def slope(curve: Curve, s_mm: ArrayLike) -> NDArray[np.float64]:
    """dr/ds at heights."""
    raise NotImplementedError


def arc_from_height_mm(curve: Curve, s_mm: ArrayLike) -> NDArray[np.float64]:
    """Meridian length from the first station to heights."""
    raise NotImplementedError


def height_from_arc_mm(curve: Curve, arc_mm: ArrayLike) -> NDArray[np.float64]:
    """The inverse of arc_from_height_mm."""
    raise NotImplementedError
