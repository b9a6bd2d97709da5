"""The item's outline, as its stations give it: enough for a picture, the core computes with the fitted body."""

from bisect import bisect_right
from typing import Any


def outline(item: Any) -> list[tuple[float, float]]:
    """Heights from the foot and radii [mm], from foot to rim."""
    if item.flats:
        return [(0.0, item.across_flats_mm / 2), (item.length_mm, item.across_flats_mm / 2)]
    found = sorted((station.at_mm, station.diameter_mm / 2) for station in item.stations)
    if item.datum == "rim":
        end = max(at for at, _ in found)
        found = [(end - at, radius) for at, radius in reversed(found)]
    return found


def radius_at(points: list[tuple[float, float]], s: float) -> float:
    """The radius at a height, straight between stations.

    >>> radius_at([(0.0, 44.0), (150.0, 35.0)], 75.0)
    39.5
    """
    place = min(max(bisect_right([at for at, _ in points], s), 1), len(points) - 1)
    (s0, r0), (s1, r1) = points[place - 1], points[place]
    return r0 if s1 == s0 else r0 + (r1 - r0) * (s - s0) / (s1 - s0)
