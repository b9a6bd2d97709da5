"""From polylines to the area that they fill, by either fill rule.

Rings that neither cross nor touch are sorted by how deep they lie in each other. All others are cut
where they cross; of each face that comes out, one inner point says how often the rings wind round it::

         +-------------+
         | 1   +-------+----+       even-odd: 1 is ink, 2 is not
         |     |   2   |  1 |       non-zero: both are (turning the same way)
         +-----+-------+    |
               +------------+
"""

from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray

from rotary.artwork.outline import Polylines
from rotary.artwork.overlay import GRID, NOTHING, Shape, inner_points, joined_faces
from rotary.artwork.rings import Rings, chosen, following, linear_rings, ring_areas_mm2, shapely_from_rings
from rotary.artwork.work import MOST_CROSSINGS, refused
from rotary.errors import Refused
from rotary.formulas.arrays import Floats, Ints

_PAIRS: Final = 200_000  # edge and point at a time: few enough for the cache
_SAMPLE: Final = 64
_FEW: Final = 2_000  # edges of a ring that is looked at by itself
_UNCOUNTED: Final = 64  # edges: fewer can't cross often enough to matter
_PAIRS_A_SEGMENT: Final = 50  # edges held against a point at their height, for what one segment is worth
_NODED_COST: Final = 4  # what a point of lines that are cut, joined to faces and looked at is worth in segments
_CROSSING_COST: Final = 20  # of lines that cross this often for each of their points, before they are cut
_OFTEN: Final = 2

Pay = Callable[[int], None]


def _free(_amount: int) -> None:
    pass


def filled(lines: Polylines, rule: str, pay: Pay = _free) -> Shape:
    """The area that closed (or to be closed) polylines fill; `rule` is "nonzero" or "evenodd".

    `pay` is told what the work is worth in segments before it is done; it may stop it by raising an error.

    >>> import numpy as np
    >>> star = np.array([(0, 3), (2, -3), (-3, 1), (3, 1), (-2, -3)], float)
    >>> five = Polylines(star, np.array([0, 5]), np.array([True]))
    >>> bool(filled(five, "nonzero").area > filled(five, "evenodd").area)
    True
    """
    rings = _rings(lines)
    if len(rings.offsets) < 2:
        return NOTHING
    points = rings.points_mm
    after = points[following(rings.offsets)]
    if len(points) >= _FEW:
        _refuse_tangles(crossings(points, after))
    loops = linear_rings(rings)
    if len(loops) == 1 and bool(shapely.is_simple(loops[0])):
        return shapely.polygons(loops[0])
    if bool(shapely.is_simple(shapely.multilinestrings(loops))):
        return _nested(rings, rule, pay)
    if len(points) >= _UNCOUNTED and (often := crossings(points, after)) > _OFTEN * len(points):
        # Most of the work lies in the crossings: it is paid before it is done.
        _refuse_tangles(often)
        pay(int(_CROSSING_COST * often))
    return _noded(rings, loops, rule, pay)


def crossings(start: Floats, end: Floats) -> float:
    """About how often edges cross; those that only touch, or lie on each other, don't."""
    return meetings(start, end, 0.0)


def _refuse_tangles(often: float) -> None:
    if often > MOST_CROSSINGS:
        raise tangled()


def filled_each(lines: Polylines, counts: Ints, rules: Sequence[str], pay: Pay = _free) -> list[Shape]:
    """As `filled`, of many shapes: the first fills `counts[0]` of the polylines, and so on.

    Nearly every shape is one ring that does not cross itself: all of those are filled in one go.

    >>> square = np.array([(0, 0), (2, 0), (2, 2), (0, 2)], float)
    >>> two = Polylines(np.concatenate([square, square + 5]), np.array([0, 4, 8]), np.array([True, True]))
    >>> [shape.bounds for shape in filled_each(two, np.array([1, 1]), ["nonzero", "evenodd"])]
    [(0.0, 0.0, 2.0, 2.0), (5.0, 5.0, 7.0, 7.0)]
    """
    first = np.cumsum(counts) - counts
    shapes = np.full(len(counts), None, object)
    single = np.flatnonzero(counts == 1)
    if len(single):
        ring, sizes = first[single], np.diff(lines.offsets)
        mine = np.repeat(np.isin(np.arange(len(sizes)), ring), sizes)
        rings = Rings(lines.points[mine], np.concatenate([[0], np.cumsum(sizes[ring])]))
        fresh = np.any(rings.points_mm != rings.points_mm[following(rings.offsets)], axis=1)
        left = np.add.reduceat(fresh.astype(np.int64), rings.offsets[:-1])
        whole = (left >= 3) & (left < _FEW)
        fresh &= np.repeat(whole, sizes[ring])
        loops = linear_rings(Rings(rings.points_mm[fresh], np.concatenate([[0], np.cumsum(left[whole])])))
        plain = shapely.is_simple(loops)
        shapes[single[whole][plain]] = shapely.polygons(loops[plain])
    for i in np.flatnonzero(shapely.is_missing(shapes)).tolist():
        shapes[i] = filled(_some(lines, int(first[i]), int(first[i] + counts[i])), rules[i], pay)
    return list(shapes)


def _some(lines: Polylines, first: int, end: int) -> Polylines:
    """The polylines from one on, up to another."""
    offsets = lines.offsets[first : end + 1]
    return Polylines(lines.points[offsets[0] : offsets[-1]], offsets - offsets[0], lines.closed[first:end])


def _rings(lines: Polylines) -> Rings:
    """Without repeated points and without rings of fewer than three."""
    if len(lines.points) == 0:
        return Rings(lines.points, np.zeros(1, np.int64))
    points, offsets = lines.points, lines.offsets
    filled_up = np.diff(offsets) > 0
    offsets = np.append(offsets[:-1][filled_up], offsets[-1])
    fresh = np.any(points != points[following(offsets)], axis=1)
    counts = np.add.reduceat(fresh.astype(np.int64), offsets[:-1])
    keep = counts >= 3
    if not keep.all():
        fresh &= np.repeat(keep, np.diff(offsets))
    return Rings(points[fresh], np.concatenate([[0], np.cumsum(counts[keep])]).astype(np.int64))


def meetings(start: Floats, end: Floats, reach: float) -> float:
    """About how many pairs of edges cross, or have boxes within twice `reach`; from a sample of the edges.

    >>> cross = np.array([[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]])
    >>> meetings(cross[:-1], cross[1:], 0.0)
    1.0
    """
    count = len(start)
    sample = np.random.default_rng(0).choice(count, min(_SAMPLE, count), replace=False)
    left, bottom = np.ascontiguousarray((np.minimum(start, end) - reach).T)
    right, top = np.ascontiguousarray((np.maximum(start, end) + reach).T)
    found = 0
    for edge in sample.tolist():
        near = left <= right[edge]
        near &= right >= left[edge]
        near &= bottom <= top[edge]
        near &= top >= bottom[edge]
        close = np.flatnonzero(near)
        if reach == 0.0:
            close = close[_straddles(start[close], end[close], start[edge], end[edge])]
        found += len(close)
    return found / len(sample) * count / 2


def tangled() -> Refused:
    """A refusal of lines that cross each other so often that cutting them would never end."""
    return refused("crosses itself too often to be filled: simplify it, or draw it again")


def _straddles(start: Floats, end: Floats, a: Floats, b: Floats) -> NDArray[np.bool_]:
    """Whether edges have their ends on both sides of the line through a and b."""
    way = b - a
    one = way[0] * (start[:, 1] - a[1]) - way[1] * (start[:, 0] - a[0])
    other = way[0] * (end[:, 1] - a[1]) - way[1] * (end[:, 0] - a[0])
    return np.asarray(one * other < 0)


def _nested(rings: Rings, rule: str, pay: Pay) -> Shape:
    """Rings that don't touch: keep those with ink on one side only, ink to their left."""
    turns = np.where(ring_areas_mm2(rings) > 0, 1, -1)
    starts = rings.points_mm[rings.offsets[:-1]]
    outside = windings(rings, starts, np.arange(len(turns)), pay)
    inside = outside + turns
    dark_in, dark_out = (inside % 2 != 0, outside % 2 != 0) if rule == "evenodd" else (inside != 0, outside != 0)
    border = dark_in != dark_out
    return shapely_from_rings(chosen(rings, border, border & (dark_in != (turns > 0))))


def _noded(rings: Rings, loops: Any, rule: str, pay: Pay) -> Shape:
    """Rings that cross or touch: cut at every crossing, keep the faces with ink, join them."""
    try:
        return _of_faces(rings, shapely.union_all(loops), rule, pay)
    except shapely.errors.GEOSException:
        # Rounding has left a crossing uncut: on a grid none is left.
        return _of_faces(rings, shapely.union_all(loops, grid_size=GRID), rule, pay)


def _of_faces(rings: Rings, cut: Any, rule: str, pay: Pay) -> Shape:
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(cut)))
    if len(faces) == 0:
        return NOTHING
    pay(_NODED_COST * shapely.get_num_coordinates(cut))
    inner = shapely.get_coordinates(inner_points(faces))
    wound = windings(rings, inner, pay=pay)
    return joined_faces(faces[(wound % 2 != 0) if rule == "evenodd" else (wound != 0)])


def windings(rings: Rings, points: Floats, own: Ints | None = None, pay: Pay = _free) -> Ints:
    """How often the rings wind anticlockwise round each point (n,); ring `own[i]` is left out for point i.

    Each edge is held against the points at its height only, so the cost is that of a few upright cuts.

    >>> from rotary.artwork.rings import rings_from_list
    >>> windings(rings_from_list([[(0, 0), (4, 0), (4, 4), (0, 4)]]), np.array([[1.0, 1.0], [5.0, 1.0]])).tolist()
    [1, 0]
    """
    order = np.argsort(points[:, 1], kind="stable")
    x, y = points[order, 0], points[order, 1]
    start, end = rings.points_mm, rings.points_mm[following(rings.offsets)]
    first = np.searchsorted(y, np.minimum(start[:, 1], end[:, 1]), side="left")
    last = np.searchsorted(y, np.maximum(start[:, 1], end[:, 1]), side="left")
    counts = last - first
    ring_of = np.repeat(np.arange(len(rings.offsets) - 1), np.diff(rings.offsets))
    total = np.zeros(len(points), np.int64)
    passed = np.cumsum(counts)
    pay(int(counts.sum()) // _PAIRS_A_SEGMENT)
    begin = 0
    while begin < len(counts):
        stop = max(begin + 1, int(np.searchsorted(passed, (passed[begin - 1] if begin else 0) + _PAIRS, side="right")))
        part = slice(begin, stop)
        edge = np.repeat(np.arange(begin, stop), counts[part])
        at = np.arange(len(edge)) - np.repeat(np.cumsum(counts[part]) - counts[part], counts[part]) + first[edge]
        share = (y[at] - start[edge, 1]) / (end[edge, 1] - start[edge, 1])
        right = start[edge, 0] + share * (end[edge, 0] - start[edge, 0]) > x[at]
        if own is not None:
            right &= ring_of[edge] != own[order][at]
        sense = np.where(end[edge, 1] > start[edge, 1], 1, -1)
        total += np.bincount(at[right], sense[right], minlength=len(points)).astype(np.int64)
        begin = stop
    out = np.empty(len(points), np.int64)
    out[order] = total
    return out
