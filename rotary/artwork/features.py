"""What a spot can't show: strokes thinner than it, gaps narrower than it.

A disc as wide as the spot is rolled about inside the ink; where it can't go is lost (a morphological
opening). Rolled about outside, where it can't go is a gap that fills up (a closing)::

    ########             ########
    ############   ->    ########        the thin arm is lost
    ########             ########
"""

from typing import Any, Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import Rings, shapely_from_rings

QUARTER: Final = 8  # chords a quarter of the disc: its edge errs by half a per cent of the spot
SLACK: Final = 0.01  # of the spot: what rounding a corner of the rolled disc's chords would leave
MOST_PLACES: Final = 50


class FeaturePlace(NamedTuple):
    """One place: its middle, how far it reaches, and its area."""

    x_mm: float
    y_mm: float
    reach_mm: float
    area_mm2: float


class Features(NamedTuple):
    """What is lost and what fills up at a spot of `spot_mm`.

    `lost_share` of the ink is thinner than the spot, and `filled_share` of it (as much again) would be
    added in gaps. `thin` and `narrow` are the places, largest first.
    """

    spot_mm: float
    lost_share: float
    filled_share: float
    thin: tuple[FeaturePlace, ...]
    narrow: tuple[FeaturePlace, ...]


def features(ink: Rings, spot_mm: float) -> Features:
    """Where the ink, or the white in it, is narrower than the spot. Raises ValueError for a spot of no width.

    Corners, which any round spot rounds, are not counted: only places longer than the spot is wide.

    >>> from rotary.artwork.rings import rings_from_list
    >>> found = features(rings_from_list([[(0, 0), (9, 0), (9, 5), (8.9, 5), (8.9, 1), (0, 1)]]), spot_mm=0.2)
    >>> len(found.thin), round(found.lost_share * 9.4, 1)
    (1, 0.4)
    """
    if not spot_mm > 0:
        raise ValueError("the spot must have a width")
    shape = shapely_from_rings(ink)
    if shape.is_empty:
        return Features(spot_mm, 0.0, 0.0, (), ())
    half = spot_mm / 2
    opened = _grown(_grown(shape, -half), half * (1 + SLACK))
    closed = _grown(_grown(shape, half * (1 + SLACK)), -half * (1 + SLACK))
    lost = _long(shapely.difference(shape, opened), spot_mm)
    filled = _long(shapely.difference(closed, _grown(shape, SLACK * half)), spot_mm)
    return Features(
        spot_mm, float(lost.area / shape.area), float(filled.area / shape.area), _places(lost), _places(filled)
    )


def _grown(shape: Any, by_mm: float) -> Any:
    return shapely.buffer(shape, by_mm, quad_segs=QUARTER)


def _long(shape: Any, spot_mm: float) -> Any:
    """The parts that reach further than the spot is wide: the rest are corners that any round spot rounds."""
    parts = shapely.get_parts(shape)
    parts = parts[np.isin(shapely.get_type_id(parts), (3, 6))]
    return shapely.multipolygons(shapely.get_parts(parts[_reach_mm(parts) > spot_mm]))


def _reach_mm(parts: Any) -> Any:
    """Diameter of the smallest circle round each part."""
    return 2 * shapely.minimum_bounding_radius(parts)


def _places(shape: Any) -> tuple[FeaturePlace, ...]:
    parts = shapely.get_parts(shape)
    if len(parts) == 0:
        return ()
    areas, reach = shapely.area(parts), _reach_mm(parts)
    middle = shapely.get_coordinates(shapely.point_on_surface(parts))
    order = np.argsort(-areas)[:MOST_PLACES]
    return tuple(
        FeaturePlace(float(middle[i, 0]), float(middle[i, 1]), float(reach[i]), float(areas[i])) for i in order.tolist()
    )
