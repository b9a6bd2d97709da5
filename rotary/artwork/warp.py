"""Artwork through a map, with straight edges divided until the result is as close to the truth as asked.

A straight edge of flat artwork is a curve on the item. It is divided into as many pieces as the
square law of a chord's sag asks for; then each new piece is looked at again, at three places
between its ends, and divided further where it still strays::

                 .--x--.
              .-'   |   `-.        x  looked at: a quarter, a half, three quarters of the way
            x'      |sag    `x     o  kept
         .-'________|__________`-.
        o                         o
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import NO_INK, Rings
from rotary.formulas.arrays import Floats

Place = Callable[[Floats, Floats], tuple[Floats, Floats]]

BLOCK = 16_384  # edges at a time: all that is in the air stays in a core's own cache
LOOKED_AT = (0.25, 0.5, 0.75)  # shares of an edge at which its course is compared with its chord
ROUNDS = 12  # each at least halves a piece: 4096 pieces an edge, far past any smooth map
MOST_AT_ONCE = 4096  # pieces that one edge is divided into in one round
MOST_PIECES = 4_000_000  # of one block: what asks for more has no course that could be followed


def warped(rings: Rings, place: Place, tolerance: float, weight: tuple[float, float] = (1.0, 1.0)) -> Rings:
    """The region where `place` puts it, its edges within `tolerance` of their true course.

    `place` takes x and y (...) float and gives two arrays of that shape; it has to keep the sense of
    turning. `weight` makes the result's two coordinates lengths for the measuring of the error: 40 for
    an angle on a wall of radius 40. Raises ValueError where the map gives no number, or is too rough
    to be followed.

    >>> from rotary.artwork.rings import area_mm2, rings_from_list
    >>> square = rings_from_list([[(1, 0), (2, 0), (2, 1), (1, 1)]])
    >>> fan = warped(square, lambda x, y: (x * np.cos(y), x * np.sin(y)), 1e-6)
    >>> round(area_mm2(fan), 5)
    1.5
    """
    many = len(rings.points_mm)
    if many == 0:
        return NO_INK
    there = np.empty((2, many))
    blocks = [slice(a, min(a + BLOCK, many)) for a in range(0, many, BLOCK)]
    for here in blocks:
        there[:, here] = place(*np.ascontiguousarray(rings.points_mm[here].T))
        if not np.isfinite(there[:, here]).all():
            raise ValueError("part of the artwork would miss the item: make the artwork smaller, or move its middle")
    parts, counts = [], np.ones(many, np.int64)
    for here in blocks:
        ends = _ends(rings, there, here)
        doubtful = np.flatnonzero(_at_most(ends, place, weight) > tolerance**2)
        if len(doubtful):
            points, counts[here] = _divided(ends, doubtful, place, tolerance, weight)
            parts.append(points)
        else:
            parts.append(there[:, here])
    begin = np.concatenate([[0], np.cumsum(counts)])
    out = np.empty((int(begin[-1]), 2))
    for here, part in zip(blocks, parts, strict=True):
        out[begin[here.start] : begin[here.stop]] = part.T
    return Rings(out, begin[rings.offsets].astype(np.int64))


def _ends(rings: Rings, there: Floats, here: slice) -> Floats:
    """Of the edges that start at these points: start and end, each before and after the map (8, n)."""
    ends = np.empty((8, here.stop - here.start))
    ends[0:2], ends[2:4] = rings.points_mm[here].T, there[:, here]
    ends[4:8, :-1] = ends[0:4, 1:]
    beyond = min(here.stop, len(rings.points_mm) - 1)
    ends[4:6, -1], ends[6:8, -1] = rings.points_mm[beyond], there[:, beyond]
    # The last edge of a ring leads back to its first point.
    first, last = np.searchsorted(rings.offsets[1:], [here.start + 1, here.stop + 1])
    back, start = rings.offsets[first + 1 : last + 1] - 1 - here.start, rings.offsets[first:last]
    ends[4:6, back], ends[6:8, back] = rings.points_mm[start].T, there[:, start]
    return ends


def _divided(
    ends: Floats, doubtful: NDArray[np.int64], place: Place, tolerance: float, weight: tuple[float, float]
) -> tuple[Floats, NDArray[np.int64]]:
    """Starts (2, m) of all pieces of the edges `ends` (8, n), in order, and the number of pieces of each edge.

    Only the `doubtful` edges are looked at.
    """
    edge = np.arange(ends.shape[1])
    for _ in range(ROUNDS):
        strays = _strays(ends[:, doubtful], place, weight)
        pieces = np.ceil(np.sqrt(strays * (1.02 / tolerance))).astype(np.int64)
        pieces = np.where(strays > tolerance, np.clip(pieces, 2, MOST_AT_ONCE), 1)
        worse = pieces > 1
        if not worse.any():
            return ends[2:4].copy(), np.bincount(edge, minlength=int(edge[-1]) + 1)
        many = np.ones(ends.shape[1], np.int64)
        many[doubtful] = pieces
        if int(many.sum()) > MOST_PIECES:
            break
        ends, edge, doubtful = _with_more_pieces(ends, edge, many, place)
    raise ValueError("the artwork bends too sharply to be drawn on this wall")


def _at_most(ends: Floats, place: Place, weight: tuple[float, float]) -> Floats:
    """Square of what `_strays` can give at most, in a fraction of the time (n,).

    No point lies farther from a chord than from that chord's own point at the same share of the way.
    """
    x, y, tx, ty = ends[0:4]
    steps = ends[4:8] - ends[0:4]
    worst = np.zeros(ends.shape[1])
    for share in LOOKED_AT:
        dx, dy, away_x, away_y = share * steps
        dx += x
        dy += y
        away_x += tx
        away_y += ty
        px, py = place(dx, dy)
        away_x -= px
        away_y -= py
        away_x *= weight[0]
        away_y *= weight[1]
        away_x *= away_x
        away_y *= away_y
        away_x += away_y
        np.maximum(worst, away_x, out=worst)
    if not np.isfinite(worst).all():
        raise ValueError("part of the artwork would miss the item: make the artwork smaller, or move its middle")
    return worst


def _strays(ends: Floats, place: Place, weight: tuple[float, float]) -> Floats:
    """How far each edge's true course lies from its chord, at worst of three places between (n,)."""
    x, y, tx, ty, x1, y1, tx1, ty1 = ends
    run, rise = (tx1 - tx) * weight[0], (ty1 - ty) * weight[1]
    square = run * run + rise * rise
    worst = np.zeros(len(x))
    for share in LOOKED_AT:
        px, py = place(x + share * (x1 - x), y + share * (y1 - y))
        dx, dy = (px - tx) * weight[0], (py - ty) * weight[1]
        with np.errstate(divide="ignore", invalid="ignore"):
            along = np.clip((dx * run + dy * rise) / square, 0.0, 1.0)
        along = np.where(square > 0, along, 0.0)
        dx -= along * run
        dy -= along * rise
        np.maximum(worst, dx * dx + dy * dy, out=worst)
    if not np.isfinite(worst).all():
        raise ValueError("part of the artwork would miss the item: make the artwork smaller, or move its middle")
    return np.sqrt(worst)


def _with_more_pieces(
    ends: Floats, edge: NDArray[np.int64], many: NDArray[np.int64], place: Place
) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
    total = int(many.sum())
    begin = np.cumsum(many) - many
    source = np.repeat(np.arange(len(many)), many)
    turn = np.arange(total) - begin[source]
    out = ends[:, source]
    fresh = np.flatnonzero(turn)
    share = turn[fresh] / many[source[fresh]]
    start, stop = ends[:, source[fresh]][:2], ends[:, source[fresh]][4:6]
    out[0:2, fresh] = start + share * (stop - start)
    out[2:4, fresh] = place(out[0, fresh], out[1, fresh])
    out[4:8, fresh - 1] = out[0:4, fresh]
    return out, edge[source], np.flatnonzero(many[source] > 1)
