"""Union, difference and intersection of areas that don't give up, and the clean region in the end.

The geometry library works on floats and very seldom finds that rounding has tied a knot; then the same
is done once more on a grid of a nanometre, where no knot can be.
"""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any, Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.reshape import reshaped
from rotary.artwork.rings import SAME_AREA_SHARE, Rings, chosen, following, ring_areas_mm2, rings_from_shapely

Shape = Any  # shapely's own types are not annotated

NOTHING: Final[Shape] = shapely.MultiPolygon()
GRID: Final = 1e-6  # [mm, or the drawing's unit]
_FEW: Final = 64  # areas that need no sorting; so many are looked at among more
_NEIGHBOURS: Final = 4  # of an area, it among them, where areas lie scattered
_OFF_BORDER: Final = 1e-6  # of the side of a square as large as a face
SLIVER_MM2: Final = 1e-9  # a ring that encloses less is what rounding leaves


def joined_areas(shapes: Sequence[Shape]) -> Shape:
    """The union of any number of areas.

    >>> joined_areas([shapely.box(0, 0, 2, 2), shapely.box(1, 0, 3, 2)]).area
    6.0
    """
    if len(shapes) == 1:
        return shapes[0]
    if lie_scattered(shapes):
        with suppress(shapely.errors.GEOSException):
            return _areas(shapely.disjoint_subset_union_all(list(shapes)))
    return _areas(_on_grid_if_need_be(shapely.union_all, list(shapes))) if len(shapes) else NOTHING


def lie_scattered(shapes: Sequence[Shape]) -> bool:
    """Whether few of many areas touch each other, by a sample: each heap of them is then joined by itself, which is
    seventy times as quick; where all lie on each other it is ten times as slow."""
    if len(shapes) <= _FEW:
        return False
    left, bottom, right, top = shapely.bounds(list(shapes)).T
    sample = np.linspace(0, len(left) - 1, _FEW).astype(int)[:, None]
    meet = (left <= right[sample]) & (right >= left[sample]) & (bottom <= top[sample]) & (top >= bottom[sample])
    return bool(meet.sum() <= _NEIGHBOURS * _FEW)


def without(shape: Shape, other: Shape) -> Shape:
    """What of an area lies outside another.

    >>> without(shapely.box(0, 0, 2, 2), shapely.box(1, 0, 3, 2)).area
    2.0
    """
    return _areas(_on_grid_if_need_be(shapely.difference, shape, other))


def common(shape: Shape, other: Shape) -> Shape:
    """What two areas share.

    >>> common(shapely.box(0, 0, 2, 2), shapely.box(2, 0, 3, 2)).area
    0.0
    """
    return _areas(_on_grid_if_need_be(shapely.intersection, shape, other))


def joined_faces(faces: Any) -> Shape:
    """The union of faces that one cutting has left: they share borders, and none lies on another.

    To join them by their borders is quick. Where rounding has left a border that two of them do not share to the last
    digit, the library refuses, or the area comes out another than the sum of theirs: they are joined as any areas are.

    >>> joined_faces([shapely.box(0, 0, 2, 2), shapely.box(2, 0, 3, 2)]).area
    6.0
    """
    if len(faces) == 0:
        return NOTHING
    try:
        whole = shapely.coverage_union_all(faces)
    except shapely.errors.GEOSException:
        return joined_areas(faces)
    area = float(shapely.area(faces).sum())
    # Not only the sum: a hole that is filled leaves a ring that turns the wrong way round.
    return whole if abs(whole.area - area) <= SAME_AREA_SHARE * area and whole.is_valid else joined_areas(faces)


def inner_points(faces: Any) -> Any:
    """A point inside each face, well away from its border.

    The library's own lies on a level line through the face; where corners lie on nearly that line it comes to lie on
    the border, to the last digit. There the middle of the largest circle in the face is taken.

    >>> shapely.contains(shapely.box(0, 0, 2, 2), inner_points(np.array([shapely.box(0, 0, 2, 2)]))).tolist()
    [True]
    """
    points = shapely.point_on_surface(faces)
    sizes = shapely.area(faces)
    doubtful = shapely.distance(points, shapely.boundary(faces)) < _OFF_BORDER * np.sqrt(sizes)
    for i in np.flatnonzero(doubtful & (sizes > SLIVER_MM2)).tolist():
        points[i] = shapely.get_point(shapely.maximum_inscribed_circle(faces[i]), 0)
    return points


def clean_rings(shape: Shape) -> Rings:
    """The region on a grid of a nanometre, without slivers: rings that neither cross nor enclose nothing.

    Putting each point on its nearest place of the grid nearly always leaves an area that crosses nothing, and to see
    that is quick; only where it does not is the area cut and cleaned, which takes a hundred times as long.

    >>> len(clean_rings(shapely.box(0, 0, 2, 2)).points_mm)
    4
    """
    parts = shapely.get_parts(reshaped(_areas(shape), lambda points: np.rint(points / GRID) * GRID))
    moved = shapely.multipolygons(parts[shapely.area(parts) > SLIVER_MM2])
    rings = rings_from_shapely(moved)
    if (rings.points_mm == rings.points_mm[following(rings.offsets)]).all(axis=1).any() or not shapely.is_valid(moved):
        rings = rings_from_shapely(_areas(shapely.set_precision(shape, GRID)))
    return chosen(rings, np.abs(ring_areas_mm2(rings)) > SLIVER_MM2)


def _on_grid_if_need_be(work: Callable[..., Shape], *shapes: Any) -> Shape:
    try:
        return work(*shapes)
    except shapely.errors.GEOSException:
        return work(*shapes, grid_size=GRID)


def _areas(shape: Shape) -> Shape:
    """Without the lines and points that cutting leaves where areas only touch."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    if shape.geom_type != "GeometryCollection":
        return NOTHING
    parts = [part for part in shapely.get_parts(shape) if part.geom_type in ("Polygon", "MultiPolygon")]
    return shapely.union_all(parts) if parts else NOTHING
