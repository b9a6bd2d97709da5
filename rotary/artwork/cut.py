"""Cutting a region at upright lines.

All cut lines are taken in one pass. Each edge is cut wherever it passes a line; on each line the
crossings are then paired like brackets, by the level of winding that they enter and leave::

      cut line
         |      y
    -----+----> ^   level 1 ends here     ]
         |      |                             the two inner ones are a pair (level 2),
    <----+----- |   level 2 ends         ]    the two outer ones another (level 1)
    -----+----> |   level 2 begins       [
         |      |
    <----+----- |   level 1 begins        [

so that touching rings and slivers can't lead it astray as long as rings are closed.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.artwork.rings import NO_INK, Rings, following

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class _Crossings(NamedTuple):
    """Where edges pass cut lines, in ring order: edge, cut line, sense (+1 to the right), height, ring."""

    edge: Ints
    cut: Ints
    sense: Ints
    x: Floats
    y: Floats
    ring: Ints


def slices_between(rings: Rings, cuts: ArrayLike) -> list[Rings]:
    """The region in strips: strip k lies between cuts[k - 1] and cuts[k] (n,) float, rising; n + 1 strips.

    A point on a cut line belongs to the strip on its right. Raises ValueError where cuts do not rise.

    >>> from rotary.artwork.rings import area_mm2, rings_from_list
    >>> square = rings_from_list([[(0, 0), (4, 0), (4, 4), (0, 4)]])
    >>> [area_mm2(part) for part in slices_between(square, [1.0, 3.0])]
    [4.0, 8.0, 4.0]
    """
    lines = np.asarray(cuts, float)
    if np.any(np.diff(lines) <= 0):
        raise ValueError("cut lines have to rise")
    if len(rings.points_mm) == 0:
        return [NO_INK] * (len(lines) + 1)
    strip = np.searchsorted(lines, rings.points_mm[:, 0], side="right")
    found = _crossings(rings, lines, strip)
    whole = np.ones(len(rings.offsets) - 1, bool)
    whole[found.ring] = False
    pieces = [_whole_rings(rings, strip, whole)]
    if len(found.edge):
        pieces.append(_cut_rings(rings, found))
    return _by_strip(pieces, len(lines) + 1)


def _crossings(rings: Rings, lines: Floats, strip: Ints) -> _Crossings:
    after = following(rings.offsets)
    passed = strip[after] - strip
    edges = np.flatnonzero(passed)
    times = np.abs(passed[edges])
    edge = np.repeat(edges, times)
    turn = np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times)
    sense = np.sign(passed[edge])
    cut = np.where(sense > 0, strip[edge] + turn, strip[edge] - 1 - turn)
    start, end = rings.points_mm[edge], rings.points_mm[after[edge]]
    x = lines[cut]
    share = (x - start[:, 0]) / (end[:, 0] - start[:, 0])
    y = start[:, 1] + share * (end[:, 1] - start[:, 1])
    ring = np.searchsorted(rings.offsets, edge, side="right") - 1
    return _Crossings(edge, cut, sense, x, y, ring)


def _partners(found: _Crossings) -> Ints:
    """For each crossing the other end of the piece of cut line that bounds the same ink."""
    total = len(found.edge)
    order = np.lexsort((-found.sense, found.y, found.cut))
    sense, cut = found.sense[order], found.cut[order]
    level = np.cumsum(sense)
    starts = np.flatnonzero(np.concatenate([[True], cut[1:] != cut[:-1]]))
    ends = np.concatenate([starts[1:], [total]])
    if level[ends - 1].any():
        raise ValueError("a ring is not closed")
    # Every cut line ends at level 0, so the running sum needs no fresh start. A bracket opens the level
    # that it enters and closes the one that it leaves.
    bracket = np.where(sense > 0, level, level + 1)
    pairs = order[np.lexsort((np.arange(total), bracket, cut))].reshape(-1, 2)
    partner = np.empty(total, np.int64)
    partner[pairs[:, 0]], partner[pairs[:, 1]] = pairs[:, 1], pairs[:, 0]
    return partner


def _cut_rings(rings: Rings, found: _Crossings) -> tuple[Floats, Ints, Ints]:
    """Points, ring lengths and strip of the rings that the cut makes.

    A fragment starts at a crossing and runs along its ring to the next one; from there the cut line
    leads to the partner, where the next fragment of the same new ring starts.
    """
    total = len(found.edge)
    last = np.flatnonzero(np.concatenate([found.ring[1:] != found.ring[:-1], [True]]))
    end = np.arange(1, total + 1)
    end[last] = np.concatenate([[0], last[:-1] + 1])
    order, lengths = _cycles(_partners(found)[end])
    # Of each fragment: its first crossing, the ring points up to the next, that crossing.
    count_of = np.diff(rings.offsets)[found.ring]
    inner = found.edge[end] - found.edge
    inner = np.where(end > np.arange(total), inner, inner + count_of)
    size = inner[order] + 2
    begin = np.cumsum(size) - size
    points = np.empty((int(size.sum()), 2))
    points[begin, 0], points[begin, 1] = found.x[order], found.y[order]
    close = begin + size - 1
    points[close, 0], points[close, 1] = found.x[end[order]], found.y[end[order]]
    many = inner[order]
    step = np.arange(int(many.sum())) - np.repeat(np.cumsum(many) - many, many)
    first = rings.offsets[found.ring[order]]
    source = np.repeat(found.edge[order] + 1, many) + step
    wrap = np.repeat(count_of[order], many)
    source = np.where(source >= np.repeat(first + count_of[order], many), source - wrap, source)
    points[np.repeat(begin + 1, many) + step] = rings.points_mm[source]
    head = np.cumsum(lengths) - lengths
    strip = np.where(found.sense > 0, found.cut + 1, found.cut)[order[head]]
    return points, np.add.reduceat(size, head), strip


def _cycles(leads_to: Ints) -> tuple[Ints, Ints]:
    """The cycles of a permutation (n,): all members, cycle after cycle, and each cycle's length."""
    following_of = leads_to.tolist()
    seen = bytearray(len(following_of))
    order: list[int] = []
    lengths: list[int] = []
    for start in range(len(following_of)):
        if seen[start]:
            continue
        before, at = len(order), start
        while not seen[at]:
            seen[at] = 1
            order.append(at)
            at = following_of[at]
        lengths.append(len(order) - before)
    return np.array(order, np.int64), np.array(lengths, np.int64)


def _whole_rings(rings: Rings, strip: Ints, whole: NDArray[np.bool_]) -> tuple[Floats, Ints, Ints]:
    counts = np.diff(rings.offsets)
    points = rings.points_mm if whole.all() else rings.points_mm[np.repeat(whole, counts)]
    return points, counts[whole], strip[rings.offsets[:-1]][whole]


def _by_strip(pieces: Sequence[tuple[Floats, Ints, Ints]], strips: int) -> list[Rings]:
    points = np.concatenate([p[0] for p in pieces])
    lengths = np.concatenate([p[1] for p in pieces])
    strip = np.concatenate([p[2] for p in pieces])
    offsets = np.concatenate([[0], np.cumsum(lengths)])
    of_strip = np.argsort(strip, kind="stable")
    borders = np.searchsorted(strip[of_strip], np.arange(strips + 1))
    out = []
    for a, b in zip(borders[:-1].tolist(), borders[1:].tolist(), strict=True):
        mine = of_strip[a:b]
        size = lengths[mine]
        begin = np.cumsum(size) - size
        index = np.arange(int(size.sum())) + np.repeat(offsets[mine] - begin, size)
        out.append(_without_slivers(points[index], np.concatenate([begin, [len(index)]]).astype(np.int64)))
    return out


def _without_slivers(points: Floats, offsets: Ints) -> Rings:
    """Repeated points go, and rings with no width or no height: they enclose nothing."""
    if len(points) == 0:
        return NO_INK
    x, y = points[:, 0], points[:, 1]
    first, last = offsets[:-1], offsets[1:] - 1
    fresh = np.empty(len(points), bool)
    fresh[:-1] = (x[1:] != x[:-1]) | (y[1:] != y[:-1])
    fresh[last] = (x[last] != x[first]) | (y[last] != y[first])
    width = np.minimum(
        np.maximum.reduceat(x, first) - np.minimum.reduceat(x, first),
        np.maximum.reduceat(y, first) - np.minimum.reduceat(y, first),
    )
    counts = np.add.reduceat(fresh.astype(np.int64), first)
    keep = (width > 0) & (counts >= 3)
    if fresh.all() and keep.all():
        return Rings(points, offsets)
    kept = points[fresh & np.repeat(keep, np.diff(offsets))]
    return Rings(kept, np.concatenate([[0], np.cumsum(counts[keep])]).astype(np.int64)) if len(kept) else NO_INK
