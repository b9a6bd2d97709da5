"""Outlines with as few points as a picture in characters needs."""

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from rotary.artwork.rings import Rings

MOST_POINTS: Final = 5000
"""A picture in characters shows no more than this."""


FINEST_MM: Final = 0.03


Outline = tuple[tuple[tuple[float, float], ...], ...]


def thinned(rings: "Rings", weight: tuple[float, float] = (1.0, 1.0)) -> Outline:
    """The rings with as few points as a picture in characters needs."""
    import numpy as np
    import shapely  # type: ignore[import-untyped, unused-ignore]

    from rotary.artwork.rings import list_from_rings

    by = np.array(weight)
    lines = [shapely.LinearRing(points * by) for points in list_from_rings(rings) if len(points) > 2]
    tolerance = FINEST_MM
    while True:
        thin = [line for line in shapely.simplify(lines, tolerance, preserve_topology=False) if not line.is_empty]
        if sum(len(line.coords) for line in thin) <= MOST_POINTS or tolerance > 100:
            break
        tolerance *= 1.6
    return tuple(tuple((x / weight[0], y / weight[1]) for x, y in line.coords) for line in thin)
