"""Radii of the outline that comes with a plan: enough for a picture, the core computes with the fitted shape."""

from bisect import bisect_right
from collections.abc import Sequence


def radius_at(points: Sequence[tuple[float, float]], s: float) -> float:
    """The radius at a height, straight between its points.

    >>> radius_at([(0.0, 44.0), (150.0, 35.0)], 75.0)
    39.5
    """
    place = min(max(bisect_right([at for at, _ in points], s), 1), len(points) - 1)
    (s0, r0), (s1, r1) = points[place - 1], points[place]
    return r0 if s1 == s0 else r0 + (r1 - r0) * (s - s0) / (s1 - s0)
