"""Outlines: lines and Bézier curves as they stand in files and fonts, and their flattening to polylines.

An outline is a string of commands and the points that they take::

    M  move      1 point        Q  quadratic curve   2 points: control, end
    L  line      1 point        C  cubic curve       3 points: control, control, end
                                Z  close             none

After a Z comes an M, or nothing.
"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.arrays import Floats

Affine = tuple[float, float, float, float, float, float]

MOST_PIECES: Final = 10_000  # of one curve
_TAKES: Final = np.zeros(256, np.int64)
for _letter, _count in ((b"M", 1), (b"L", 1), (b"Q", 2), (b"C", 3)):
    _TAKES[_letter[0]] = _count
_MOVE, _QUADRATIC, _CUBIC, _CLOSE = b"MQCZ"


class Outline(NamedTuple):
    """`commands` as above, `points` (m, 2) float, in the unit of the file or font."""

    commands: bytes
    points: Floats


class Polylines(NamedTuple):
    """Polylines one after the other: `points` (m, 2), `offsets` (n + 1,), and which are `closed` (n,) bool."""

    points: Floats
    offsets: NDArray[np.int64]
    closed: NDArray[np.bool_]


EMPTY: Final = Outline(b"", np.zeros((0, 2)))


def outline_from(commands: str, numbers: Sequence[float]) -> Outline:
    """An outline from its commands and the coordinates in a row.

    >>> outline_from("ML", [0, 0, 1, 2]).points.tolist()
    [[0.0, 0.0], [1.0, 2.0]]
    """
    return Outline(commands.encode("ascii"), np.array(numbers, float).reshape(-1, 2))


def mapped(points: Floats, m: Affine | Floats) -> Floats:
    """Points (n, 2) under a transform, or each under its own (6, n); what overflows becomes infinite without a word.

    >>> mapped(np.array([[1.0, 2.0]]), (2, 0, 0, 2, 1, 0)).tolist()
    [[3.0, 4.0]]
    """
    a, b, c, d, e, f = m
    x, y = points[:, 0], points[:, 1]
    out = np.empty((len(points), 2))
    with np.errstate(over="ignore", invalid="ignore"):
        out[:, 0] = a * x + c * y + e
        out[:, 1] = b * x + d * y + f
    return out


def segments(outline: Outline) -> Iterator[tuple[str, list[tuple[float, float]]]]:
    """The commands one by one with their points.

    >>> list(segments(outline_from("MZ", [3, 4])))
    [('M', [(3.0, 4.0)]), ('Z', [])]
    """
    at = 0
    points = [(x, y) for x, y in outline.points.tolist()]
    for code in outline.commands:
        count = int(_TAKES[code])
        yield chr(code), points[at : at + count]
        at += count


def flattened(outline: Outline, m: Affine, tolerance: float) -> Polylines:
    """The outline under the transform `m`, curves as chords that stay within `tolerance` of them.

    The bound is exact: a chord over a step h strays by no more than h² max|B″| / 8, and |B″| is bounded by
    the second differences of the control points.

    >>> flattened(outline_from("MQ", [0, 0, 1, 1, 2, 0]), (1, 0, 0, 1, 0, 0), 0.2).points.tolist()
    [[0.0, 0.0], [1.0, 0.5], [2.0, 0.0]]
    """
    return _chords(outline.commands, mapped(outline.points, m), tolerance)


def flattened_together(outlines: Sequence[Outline], affines: Sequence[Affine], tolerance: float) -> Polylines:
    """As `flattened`, of many outlines in one go, each under its own transform, one after the other.

    >>> line = outline_from("ML", [0, 0, 1, 1])
    >>> flattened_together([line, line], [(1, 0, 0, 1, 0, 0), (2, 0, 0, 2, 0, 0)], 0.2).points[:, 0].tolist()
    [0.0, 1.0, 0.0, 2.0]
    """
    counts = [len(outline.points) for outline in outlines]
    of_points = np.repeat(np.array(affines, float).reshape(-1, 6), counts, axis=0).T
    points = np.concatenate([outline.points for outline in outlines] or [EMPTY.points])
    return _chords(b"".join(outline.commands for outline in outlines), mapped(points, of_points), tolerance)


def _chords(commands: bytes, points: Floats, tolerance: float) -> Polylines:
    codes = np.frombuffer(commands, np.uint8)
    takes = _TAKES[codes]
    first = np.cumsum(takes) - takes
    pieces = np.minimum(takes, 1)
    curved = np.flatnonzero(takes > 1)
    if len(curved):
        control = _as_cubics(points, codes[curved], first[curved])
        pieces[curved] = _pieces(control, tolerance)
    begin = np.cumsum(pieces) - pieces
    out = np.empty((int(pieces.sum()), 2))
    straight = np.flatnonzero(takes == 1)
    out[begin[straight]] = points[first[straight]]
    if len(curved):
        _place_curves(out, control, pieces[curved], begin[curved])
    moves = codes == _MOVE
    closed = np.zeros(int(moves.sum()), bool)
    closed[np.cumsum(moves)[codes == _CLOSE] - 1] = True
    return Polylines(out, np.append(begin[moves], len(out)), closed)


def _as_cubics(points: Floats, codes: NDArray[np.uint8], first: NDArray[np.int64]) -> Floats:
    """Control points (8, n) of all curves, x of four points, then y; quadratics raised by a degree."""
    index = np.stack([first - 1, first, first + 1, np.minimum(first + 2, len(points) - 1)])
    p = points[index]
    lower = codes == _QUADRATIC
    if lower.any():
        start, middle, end = p[0, lower], p[1, lower], p[2, lower]
        p[1, lower], p[2, lower], p[3, lower] = (start + 2 * middle) / 3, (end + 2 * middle) / 3, end
    return np.concatenate([p[..., 0], p[..., 1]])


def _pieces(control: Floats, tolerance: float) -> NDArray[np.int64]:
    x, y = control[:4], control[4:]
    bend_x, bend_y = np.diff(x, 2, axis=0), np.diff(y, 2, axis=0)
    bend = np.sqrt((bend_x * bend_x + bend_y * bend_y).max(0))
    count = np.ceil(np.sqrt(0.75 * bend / tolerance))
    return np.asarray(np.clip(np.nan_to_num(count, nan=1.0, posinf=MOST_PIECES), 1, MOST_PIECES), np.int64)


def _place_curves(out: Floats, control: Floats, pieces: NDArray[np.int64], begin: NDArray[np.int64]) -> None:
    """Curves of the same number of pieces at once, by the Bernstein basis. Not as a matrix product: what two shapes
    share has to come out the same in both, wherever it stands in its array."""
    order = np.argsort(pieces, kind="stable")
    sizes, starts = np.unique(pieces[order], return_index=True)
    for size, group in zip(sizes.tolist(), np.split(order, starts[1:]), strict=True):
        t = np.arange(1, size + 1) / size
        u = 1 - t
        basis = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
        index = begin[group][:, None] + np.arange(size)
        for side in (0, 1):
            four = control[4 * side : 4 * side + 4, group]
            out[index, side] = sum(place[:, None] * share for place, share in zip(four, basis, strict=True))


def bounds(outline: Outline, m: Affine) -> tuple[float, float, float, float] | None:
    """Left, top, right, bottom of an outline under a transform, to a part in ten thousand of its size.

    >>> [round(side, 3) for side in bounds(outline_from("MQ", [0, 0, 1, 2, 2, 0]), (1, 0, 0, 1, 0, 0))]
    [0.0, 0.0, 2.0, 1.0]
    """
    if len(outline.points) == 0:
        return None
    corners = mapped(outline.points, m)
    size = float(np.ptp(corners, axis=0).max())
    if not np.isfinite(size):
        return None
    points = flattened(outline, m, size / 10_000).points if size > 0 else corners
    (left, top), (right, bottom) = points.min(0).tolist(), points.max(0).tolist()
    return left, top, right, bottom
