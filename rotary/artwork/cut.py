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

from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.artwork.rings import NO_INK, Rings, following
from rotary.formulas.arrays import Floats, Ints


class _Crossings(NamedTuple):
    """Where edges pass cut lines, in ring order: edge, cut line, sense (+1 to the right), height, ring."""

    edge: Ints
    cut: Ints
    sense: Ints
    x: Floats
    y: Floats
    ring: Ints


class _Pieces(NamedTuple):
    """New rings as runs of points: run j is `run_count[j]` points from `run_start[j]` on, or the crossing
    `run_crossing[j]` where that is not -1; ring i has the next `runs[i]` of them and lies in strip `strip[i]`."""

    run_start: Ints
    run_count: Ints
    run_crossing: Ints
    runs: Ints
    strip: Ints


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
        raise ValueError("the lines to cut at must rise")
    if len(rings.points_mm) == 0:
        return [NO_INK] * (len(lines) + 1)
    strip = np.searchsorted(lines, rings.points_mm[:, 0], side="right")
    found = _crossings(rings, lines, strip)
    whole = np.ones(len(rings.offsets) - 1, bool)
    whole[found.ring] = False
    pieces = _whole_rings(rings, strip, whole)
    if len(found.edge):
        pieces = _both(pieces, _cut_rings(rings, found))
    return _by_strip(rings, found, pieces, len(lines) + 1)


def turned_upright(rings: Rings) -> Rings:
    """Turned by a quarter, so that a cut at a height is upright.

    >>> turned_upright(Rings(np.array([[1.0, 2.0]]), np.array([0, 1]))).points_mm.tolist()
    [[2.0, -1.0]]
    """
    return Rings(np.stack([rings.points_mm[:, 1], -rings.points_mm[:, 0]], axis=1), rings.offsets)


def between_heights(rings: Rings, low_mm: float, high_mm: float) -> Rings:
    """What of a region lies between two heights."""
    middle = slices_between(turned_upright(rings), [low_mm, high_mm])[1]
    return Rings(np.stack([-middle.points_mm[:, 1], middle.points_mm[:, 0]], axis=1), middle.offsets)


def _crossings(rings: Rings, lines: Floats, strip: Ints) -> _Crossings:
    after = following(rings.offsets)
    passed = strip[after] - strip
    edges = np.flatnonzero(passed)
    times = np.abs(passed[edges])
    edge = np.repeat(edges, times)
    turn = _counted_on(np.zeros(len(times), np.int64), times)
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
        raise ValueError("an outline is not closed")
    # Every cut line ends at level 0, so the running sum needs no fresh start. A bracket opens the level
    # that it enters and closes the one that it leaves.
    bracket = np.where(sense > 0, level, level + 1)
    pairs = order[np.lexsort((np.arange(total), bracket, cut))].reshape(-1, 2)
    partner = np.empty(total, np.int64)
    partner[pairs[:, 0]], partner[pairs[:, 1]] = pairs[:, 1], pairs[:, 0]
    return partner


def _cut_rings(rings: Rings, found: _Crossings) -> _Pieces:
    """The rings that the cut makes.

    A fragment starts at a crossing and runs along its ring to the next one; from there the cut line
    leads to the partner, where the next fragment of the same new ring starts.
    """
    total = len(found.edge)
    last = np.flatnonzero(np.concatenate([found.ring[1:] != found.ring[:-1], [True]]))
    end = np.arange(1, total + 1)
    end[last] = np.concatenate([[0], last[:-1] + 1])
    order, fragments = _cycles(_partners(found)[end])
    first, beyond = rings.offsets[:-1][found.ring], rings.offsets[1:][found.ring]
    inner = found.edge[end] - found.edge
    inner = np.where(end > np.arange(total), inner, inner + beyond - first)
    # Of each fragment: its first crossing, the points up to its ring's last, the rest from the first on, the next one.
    before = np.minimum(inner, beyond - 1 - found.edge)
    one, none = np.ones(total, np.int64), np.zeros(total, np.int64)
    start = np.stack([none, found.edge + 1, first, none], axis=1)[order]
    count = np.stack([one, before, inner - before, one], axis=1)[order]
    crossing = np.stack([np.arange(total), none - 1, none - 1, end], axis=1)[order]
    head = np.cumsum(fragments) - fragments
    strip = np.where(found.sense > 0, found.cut + 1, found.cut)[order[head]]
    return _Pieces(start.ravel(), count.ravel(), crossing.ravel(), 4 * fragments, strip)


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


def _whole_rings(rings: Rings, strip: Ints, whole: NDArray[np.bool_]) -> _Pieces:
    first, count = rings.offsets[:-1][whole], np.diff(rings.offsets)[whole]
    one = np.ones(len(first), np.int64)
    return _Pieces(first, count, -one, one, strip[first])


def _both(one: _Pieces, other: _Pieces) -> _Pieces:
    return _Pieces(*(np.concatenate(pair) for pair in zip(one, other, strict=True)))


def _by_strip(rings: Rings, found: _Crossings, pieces: _Pieces, strips: int) -> list[Rings]:
    of_strip = np.argsort(pieces.strip, kind="stable")
    runs = pieces.runs[of_strip]
    order = _counted_on((np.cumsum(pieces.runs) - pieces.runs)[of_strip], runs)
    count, crossing = pieces.run_count[order], pieces.run_crossing[order]
    points = rings.points_mm.take(_counted_on(pieces.run_start[order], count), axis=0)
    begin = np.concatenate([[0], np.cumsum(count)])
    here, which = begin[:-1][crossing >= 0], crossing[crossing >= 0]
    points[here, 0], points[here, 1] = found.x[which], found.y[which]
    ring = begin[np.concatenate([[0], np.cumsum(runs)])]
    borders = np.searchsorted(pieces.strip[of_strip], np.arange(strips + 1)).tolist()
    return [_without_slivers(points[ring[a] : ring[b]], ring[a : b + 1] - ring[a]) for a, b in pairwise(borders)]


def _counted_on(starts: Ints, counts: Ints) -> Ints:
    """From each start on as many whole numbers as are counted, one run after the other."""
    begin = np.cumsum(counts) - counts
    return np.asarray(np.arange(int(counts.sum())) + np.repeat(starts - begin, counts), np.int64)


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
