"""Splines of a DXF file whose knots run on beyond their ends, as closed ones of some programs do.

The parser takes the first and the last knot for the ends. A spline of degree p ends p knots further in: the part
between is the same curve, with other points at its ends.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from rotary.formulas.arrays import Floats


def ended(spline: Any, degree: int, knots: Sequence[float]) -> tuple[Any, Sequence[float], Sequence[float]]:
    """Control points, knots and weights of a spline of the parser, or of a hatch's edge, that ends where they do."""
    from ezdxf.math import Vec3  # type: ignore[import-not-found, unused-ignore]

    points = np.array([(v.x, v.y, v.z) for v in map(Vec3, spline.control_points)]).reshape(-1, 3)
    weights = np.array(spline.weights, float)
    weighted = len(weights) == len(points)
    shares = weights[:, None] if weighted else np.ones((len(points), 1))
    moved, ends = clamped(np.hstack([points * shares, shares]), np.array(knots, float), degree)
    if (ends == knots).all() or not moved[:, 3].all():
        return spline.control_points, knots, spline.weights
    corners = [Vec3(point) for point in (moved[:, :3] / moved[:, 3:]).tolist()]
    return corners, ends.tolist(), moved[:, 3].tolist() if weighted else []


def clamped(points: Floats, knots: Floats, degree: int) -> tuple[Floats, Floats]:
    """Control points (n, any) and knots (n + degree + 1,) of the same curve, with its ends where its knots end.

    A spline that has its ends there already, or whose numbers don't fit each other, comes back as it is.

    >>> points, knots = clamped(np.array([[0.0], [2.0], [4.0]]), np.arange(5.0), 1)
    >>> knots.tolist(), points.ravel().tolist()
    ([1.0, 1.0, 2.0, 3.0, 3.0], [0.0, 2.0, 4.0])
    """
    count, p = len(points), degree
    if not 0 < p < count or len(knots) != count + p + 1 or (np.diff(knots) < 0).any() or knots[p] == knots[count]:
        return points, knots
    ends = np.concatenate([np.full(p, knots[p]), knots[p : count + 1], np.full(p, knots[count])])
    if (ends == knots).all():
        return points, knots
    moved = points.copy()
    for i in np.flatnonzero(
        [(ends[i + 1 : i + p + 1] != knots[i + 1 : i + p + 1]).any() for i in range(count)]
    ).tolist():
        spans = [k for k in range(max(p, i), min(count - 1, i + p) + 1) if knots[k] < knots[k + 1]]
        if spans:
            moved[i] = _blossom(points, knots, p, spans[0], ends[i + 1 : i + p + 1])
    return moved, ends


def _blossom(points: Floats, knots: Floats, degree: int, span: int, at: Sequence[float] | Floats) -> Floats:
    """De Boor's scheme on one span, each of its rounds at a place of its own: a control point for those knots."""
    near = points[span - degree : span + 1].copy()
    for turn, place in enumerate(at, 1):
        for j in range(degree, turn - 1, -1):
            low, high = knots[span - degree + j], knots[span + 1 + j - turn]
            share = (place - low) / (high - low)
            near[j] = (1 - share) * near[j - 1] + share * near[j]
    return np.asarray(near[degree])
