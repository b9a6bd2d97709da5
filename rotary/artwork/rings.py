"""The ink as rings: the one shape in which artwork travels from its reader to the file that is written.

::

        outer ring, anticlockwise          a hole in it, clockwise
        +-------<-------+                      +--->---+
        |   +--->---+   |                      |       |
        v   ^       v   ^                      ^       v
        |   +---<---+   |                      +---<---+
        +------->-------+

Rings are closed without repeating their first point and do not cross; they may touch. So the
even-odd and the non-zero rule give the same region, and areas simply add up with their signs.
x is to the right, y up, towards the rim.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry  # type: ignore[import-untyped, unused-ignore]


class Rings(NamedTuple):
    """`points_mm` (m, 2) float, all rings one after the other [mm]; `offsets` (n + 1,) int: ring i is
    points_mm[offsets[i]:offsets[i + 1]], at least three points each."""

    points_mm: NDArray[np.float64]
    offsets: NDArray[np.int64]


SAME_AREA_SHARE = 1e-9  # what sums of areas may differ by and be one region

NO_INK = Rings(np.zeros((0, 2)), np.zeros(1, np.int64))


def rings_from_list(rings: Iterable[ArrayLike]) -> Rings:
    """One region from single rings, (k, 2) floats each; rings of fewer than three points enclose nothing and go.

    >>> rings_from_list([[(0, 0), (2, 0), (2, 1)], [(5, 5), (6, 6)]]).offsets
    array([0, 3])
    """
    kept = [a for a in (np.asarray(r, float).reshape(-1, 2) for r in rings) if len(a) >= 3]
    if not kept:
        return NO_INK
    return Rings(np.concatenate(kept), np.concatenate([[0], np.cumsum([len(a) for a in kept])]).astype(np.int64))


def list_from_rings(rings: Rings) -> list[NDArray[np.float64]]:
    """The single rings, views (k, 2) into the points.

    >>> len(list_from_rings(rings_from_list([[(0, 0), (2, 0), (2, 1)]])))
    1
    """
    return [rings.points_mm[a:b] for a, b in zip(rings.offsets[:-1], rings.offsets[1:], strict=True)]


def joined(parts: Iterable[Rings]) -> Rings:
    """Several regions that do not overlap, as one.

    >>> one = rings_from_list([[(0, 0), (2, 0), (2, 1)]])
    >>> joined([one, moved(one, 5, 0)]).offsets
    array([0, 3, 6])
    """
    kept = [p for p in parts if len(p.offsets) > 1]
    if not kept:
        return NO_INK
    counts = np.concatenate([np.diff(p.offsets) for p in kept])
    return Rings(np.concatenate([p.points_mm for p in kept]), np.concatenate([[0], np.cumsum(counts)]).astype(np.int64))


def moved(rings: Rings, right_mm: float, up_mm: float) -> Rings:
    """The same region elsewhere.

    >>> moved(rings_from_list([[(0, 0), (2, 0), (2, 1)]]), 1, 0).points_mm[0].tolist()
    [1.0, 0.0]
    """
    return Rings(rings.points_mm + np.array([right_mm, up_mm]), rings.offsets)


def scaled(rings: Rings, scale_x: float, scale_y: float) -> Rings:
    """The region stretched about the origin; a mirrored one (one factor negative) is turned round again.

    >>> ring_areas_mm2(scaled(rings_from_list([[(0, 0), (2, 0), (2, 1)]]), -2, 1)).tolist()
    [2.0]
    """
    if scale_x == 0 or scale_y == 0:
        raise ValueError("artwork can't be scaled to nothing")
    points = rings.points_mm * np.array([scale_x, scale_y])
    if scale_x * scale_y < 0:
        turned = np.repeat(rings.offsets[:-1] + rings.offsets[1:] - 1, np.diff(rings.offsets)) - np.arange(len(points))
        points = points[turned]
    return Rings(points, rings.offsets)


def turned(points: NDArray[np.float64], angle_rad: float) -> NDArray[np.float64]:
    """Points (n, 2) turned anticlockwise about the origin; equal ones stay equal, as in a matrix product they may not.

    >>> turned(np.array([[2.0, 0.0]]), np.pi / 2).round(9).tolist()
    [[0.0, 2.0]]
    """
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    x, y = points[:, 0], points[:, 1]
    return np.stack([x * cosine - y * sine, x * sine + y * cosine], axis=1)


def turned_about(rings: Rings, angle_rad: float, right_mm: float) -> Rings:
    """The same region turned anticlockwise about a place to the right of the origin.

    >>> turned_about(rings_from_list([[(1, 0), (3, 0), (3, 1)]]), np.pi / 2, 1).points_mm[1].round(9).tolist()
    [1.0, 2.0]
    """
    middle = np.array([right_mm, 0.0])
    return Rings(turned(rings.points_mm - middle, angle_rad) + middle, rings.offsets)


def ring_areas_mm2(rings: Rings) -> NDArray[np.float64]:
    """Signed area of each ring (n,) [mm²]: outer rings positive, holes negative.

    >>> ring_areas_mm2(rings_from_list([[(0, 0), (2, 0), (2, 1)]])).tolist()
    [1.0]
    """
    if len(rings.offsets) < 2:
        return np.zeros(0)
    starts = rings.offsets[:-1]
    # Relative to each ring's first point, so that digits are not lost far from the origin.
    at = rings.points_mm - np.repeat(rings.points_mm[starts], np.diff(rings.offsets), axis=0)
    after = at[following(rings.offsets)]
    twice = at[:, 0] * after[:, 1] - after[:, 0] * at[:, 1]
    return np.asarray(np.add.reduceat(twice, starts) / 2)


def area_mm2(rings: Rings) -> float:
    """Inked area [mm²].

    >>> area_mm2(rings_from_list([[(0, 0), (2, 0), (2, 1)]]))
    1.0
    """
    return float(ring_areas_mm2(rings).sum())


def bounds_mm(rings: Rings) -> tuple[float, float, float, float]:
    """Left, bottom, right, top [mm]; raises ValueError where there is no ink.

    >>> bounds_mm(rings_from_list([[(0, 0), (2, 0), (2, 1)]]))
    (0.0, 0.0, 2.0, 1.0)
    """
    if len(rings.points_mm) == 0:
        raise ValueError("artwork without ink has no size")
    (left, bottom), (right, top) = rings.points_mm.min(0).tolist(), rings.points_mm.max(0).tolist()
    return left, bottom, right, top


def following(offsets: NDArray[np.int64]) -> NDArray[np.int64]:
    """Index (m,) of the point that follows each point on its ring.

    >>> following(np.array([0, 3, 6])).tolist()
    [1, 2, 0, 4, 5, 3]
    """
    after = np.arange(1, int(offsets[-1]) + 1, dtype=np.int64)
    after[offsets[1:] - 1] = offsets[:-1]
    return after


def chosen(rings: Rings, keep: NDArray[np.bool_], turn_round: NDArray[np.bool_] | None = None) -> Rings:
    """The rings that are kept (n,) bool; those to be turned round run the other way.

    >>> chosen(rings_from_list([[(0, 0), (2, 0), (2, 1)]]), np.array([False])).offsets.tolist()
    [0]
    """
    if keep.all() and turn_round is None:
        return rings
    counts = np.diff(rings.offsets)
    ring = np.repeat(np.arange(len(counts)), counts)
    index = np.arange(len(ring))
    if turn_round is not None:
        index = np.where(turn_round[ring], (rings.offsets[:-1] + rings.offsets[1:] - 1)[ring] - index, index)
    offsets = np.concatenate([[0], np.cumsum(counts[keep])]).astype(np.int64)
    return Rings(rings.points_mm[index[keep[ring]]], offsets)


def linear_rings(rings: Rings) -> NDArray[np.object_]:
    """The geometry library's rings (n,), each closed by its first point, all built in one call."""
    import shapely  # type: ignore[import-untyped, unused-ignore]

    counts = np.diff(rings.offsets)
    ring = np.repeat(np.arange(len(counts)), counts + 1)
    index = np.arange(len(ring)) - ring
    index[rings.offsets[1:] + np.arange(len(counts))] = rings.offsets[:-1]
    return np.asarray(shapely.linearrings(rings.points_mm[index], indices=ring), object)


def rings_from_shapely(shape: "BaseGeometry") -> Rings:
    """The region of a valid polygon, multipolygon or collection; lines and points have no area and go.

    >>> from shapely import box
    >>> area_mm2(rings_from_shapely(box(0, 0, 4, 4) - box(1, 1, 2, 2)))
    15.0
    """
    import shapely  # type: ignore[import-untyped, unused-ignore]

    parts = shapely.get_parts(shape)
    while any(shapely.get_type_id(parts) > 5):
        parts = shapely.get_parts(parts)
    parts = shapely.get_parts(parts[np.isin(shapely.get_type_id(parts), (3, 6))])
    edges, owner = shapely.get_rings(parts, return_index=True)
    if len(edges) == 0:
        return NO_INK
    points, ring = shapely.get_coordinates(edges, return_index=True)
    last = np.concatenate([ring[1:] != ring[:-1], [True]])
    points, ring = points[~last], ring[~last]
    offsets = np.concatenate([[0], np.cumsum(np.bincount(ring, minlength=len(edges)))]).astype(np.int64)
    outer = np.concatenate([[True], owner[1:] != owner[:-1]])
    rings = Rings(points, offsets)
    wrong = (ring_areas_mm2(rings) > 0) != outer
    return chosen(rings, np.ones(len(edges), bool), wrong)


def shapely_from_rings(rings: Rings) -> "BaseGeometry":
    """A multipolygon: each hole goes to the smallest outer ring around it.

    Rings that touch along an edge, as a cut through a corner leaves them, are put together by the even-odd rule.
    Raises ValueError where the rings enclose no region.

    >>> shapely_from_rings(rings_from_list([[(0, 0), (2, 0), (2, 1)]])).area
    1.0
    """
    import shapely  # type: ignore[import-untyped, unused-ignore]

    areas = ring_areas_mm2(rings)
    if len(areas) == 0:
        return shapely.MultiPolygon()
    loops = linear_rings(rings)
    owner = _owners(loops, areas)
    if owner is not None:
        outer = np.flatnonzero(areas > 0)
        holes_of: dict[int, list[object]] = {o: [] for o in outer.tolist()}
        for hole, o in owner.items():
            holes_of[o].append(loops[hole])
        made = shapely.multipolygons([shapely.polygons(loops[o], holes=h or None) for o, h in holes_of.items()])
        if shapely.is_valid(made):
            return made
    whole = _even_odd(shapely.make_valid(shapely.polygons(loops)).tolist())
    if abs(whole.area - areas.sum()) > SAME_AREA_SHARE * np.abs(areas).sum():
        raise ValueError("a hole lies outside every outline, or outlines cross")
    return whole


def _owners(loops: NDArray[np.object_], areas: NDArray[np.float64]) -> dict[int, int] | None:
    """The outer ring of each hole; None where some hole has none that could be found."""
    import shapely

    outer, hole = np.flatnonzero(areas > 0), np.flatnonzero(areas < 0)
    inside = shapely.point_on_surface(shapely.polygons(loops[hole]))
    of_hole, of_disc = shapely.STRtree(shapely.polygons(loops[outer])).query(inside, predicate="within")
    # A ring inside the hole may hold that point too, but it is smaller than the hole.
    around = areas[outer][of_disc] > -areas[hole][of_hole]
    of_hole, of_disc = of_hole[around], of_disc[around]
    order = np.lexsort((areas[outer][of_disc], of_hole))
    found, first = np.unique(of_hole[order], return_index=True)
    if len(found) < len(hole):
        return None
    return dict(zip(hole[found].tolist(), outer[of_disc[order][first]].tolist(), strict=True))


def _even_odd(shapes: list["BaseGeometry"]) -> "BaseGeometry":
    """Regions taken away from one another by turns, halves first so that large ones meet only once."""
    while len(shapes) > 1:
        pairs = zip(shapes[::2], shapes[1::2], strict=False)
        shapes = [a.symmetric_difference(b) for a, b in pairs] + (shapes[-1:] if len(shapes) % 2 else [])
    return shapes[0]
