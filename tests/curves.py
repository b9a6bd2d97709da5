"""Bent walls for tests, by scipy's monotone interpolator: no code of the project draws them."""

from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from rotary.formulas.revolution import Curve, cubic_curve


def bent_curve(s: list[float], r: list[float], corner: list[bool] | None = None) -> Curve:
    """A monotone curve through places (n,) that breaks at corners (n,)."""
    breaks = [k for k in range(1, len(s) - 1) if corner and corner[k]]
    slopes = []
    for a, b in pairwise([0, *breaks, len(s) - 1]):
        part = s[a : b + 1], r[a : b + 1]
        wall = (
            PchipInterpolator(*part).derivative()(part[0])
            if b - a > 1
            else np.full(2, np.diff(part[1]) / np.diff(part[0]))
        )
        slopes.append(np.stack([wall[:-1], wall[1:]]))
    return cubic_curve(s, [r[:-1], r[1:]], np.concatenate(slopes, axis=1))
