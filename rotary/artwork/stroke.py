"""Lines with a width as areas: caps, joins, dashes.

Joins and caps are a buffer's. Only a mitre that is longer than the limit is not: SVG bevels it, and a buffer would
clip it. So the corners of such a line are bevelled, and the wedge of each mitre within the limit is added::

            /\\  <- wedge
           /__\\ <- bevel
          / /\\ \\
"""

from math import acos, ceil, pi
from typing import Any, Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.fill import meetings, tangled
from rotary.artwork.outline import Polylines
from rotary.artwork.overlay import Shape, joined_areas
from rotary.artwork.work import MOST_DASHES, refused
from rotary.formulas.arrays import Floats

_FEW: Final = 2_000  # points of a line: fewer can't pass each other often enough to matter
_CROWDED: Final = 10  # neighbours within a line's width, for each of its points
_ROUNDING: Final = 1e-6
_STRETCH: Final = 40  # points widened at a time where a line is crowded
MOST_NEAR: Final = 8_000_000  # some ten seconds
_CAPS: Final = {"butt": "flat", "round": "round", "square": "square"}


class Pen(NamedTuple):
    """How a line is drawn; lengths in the unit of the line. `dashes` alternate on and off."""

    width: float
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0
    dashes: tuple[float, ...] = ()
    dash_offset: float = 0.0

    def scaled(self, by: float, dashes_by: float) -> "Pen":
        """A pen that much wider, its dashes that much longer."""
        dashes = tuple(dash * dashes_by for dash in self.dashes)
        return self._replace(width=self.width * by, dashes=dashes, dash_offset=self.dash_offset * dashes_by)


def stroked(lines: Polylines, pen: Pen, tolerance: float) -> Shape:
    """The area of polylines drawn with a pen, its round parts within `tolerance` of the truth.

    >>> line = Polylines(np.array([[0.0, 0.0], [4.0, 0.0]]), np.array([0, 2]), np.array([False]))
    >>> stroked(line, Pen(2.0), 0.01).area
    8.0
    """
    quarter = _arcs_a_quarter(pen.width / 2, tolerance)
    parts: list[Any] = []
    dashes = 0
    for a, b, closed in zip(lines.offsets[:-1], lines.offsets[1:], lines.closed, strict=True):
        points = _without_repeats(lines.points[a:b])
        closed = bool(closed) and len(points) > 1
        if closed and np.any(points[0] != points[-1]):
            points = np.concatenate([points, points[:1]])
        if len(points) > _FEW:
            points = _thinned(points, tolerance / 4)
        pieces = [(points, closed)] if not pen.dashes else [(piece, False) for piece in dashed(points, pen, closed)]
        dashes += len(pieces) if pen.dashes else 0
        if dashes > MOST_DASHES:
            raise refused("has far too many dashes: draw unbroken lines")
        for piece, whole in pieces:
            parts += _one(piece, whole, pen, quarter)
    return joined_areas(parts)


def _arcs_a_quarter(radius: float, tolerance: float) -> int:
    """Chords for a quarter circle: one of angle a strays by r (1 - cos(a / 2))."""
    return max(4, ceil(pi / 4 / acos(1 - min(1.0, tolerance / radius)))) if tolerance < radius else 4


def _without_repeats(points: Floats) -> Floats:
    fresh = np.concatenate([[True], np.any(points[1:] != points[:-1], axis=1)])
    return np.asarray(points[fresh])


def _thinned(points: Floats, tolerance: float) -> Floats:
    """Without the points that lie between their neighbours, to within a part of the tolerance."""
    line = shapely.simplify(shapely.linestrings(points), tolerance, preserve_topology=False)
    return np.asarray(shapely.get_coordinates(line))


def _one(points: Floats, closed: bool, pen: Pen, quarter: int) -> list[Any]:
    half = pen.width / 2
    points = _without_repeats(points)
    if len(points) < 2:
        if pen.cap not in ("round", "square"):
            return []
        return [shapely.buffer(shapely.Point(points[0]), half, quad_segs=quarter, cap_style=pen.cap)]
    ring = closed and len(points) > 3
    line = shapely.linearrings(points) if ring else shapely.linestrings(points)
    corners = _Corners(points, ring) if pen.join not in ("round", "bevel") else None
    # A buffer clips a mitre beyond the limit, which SVG bevels: there each mitre within it is added to a bevel.
    clean = corners is not None and corners.all_within(pen.miter_limit)
    join = "round" if pen.join == "round" else "mitre" if clean else "bevel"
    cap = _CAPS.get(pen.cap, "flat")
    # A line that ends where it began has two caps there, which a buffer would leave out.
    meets = not ring and len(points) > 3 and bool((points[0] == points[-1]).all())
    if meets or _is_dense(points, half):
        parts = _in_stretches(points, ring, half, quarter, join, pen.miter_limit)
        if not ring and cap != "flat":
            parts += [
                shapely.buffer(shapely.linestrings(end), half, quad_segs=quarter, cap_style=cap)
                for end in _ends(points)
            ]
    else:
        limit = pen.miter_limit
        parts = [shapely.buffer(line, half, quad_segs=quarter, cap_style=cap, join_style=join, mitre_limit=limit)]
    return parts if corners is None or clean else parts + corners.wedges(half, pen.miter_limit)


def _is_dense(points: Floats, half: float) -> bool:
    """Whether a line comes so often within its own width of itself that it can't be widened in one go."""
    if len(points) < _FEW:
        return False
    near = meetings(points[:-1], points[1:], half)
    if near > MOST_NEAR:
        raise tangled()
    return near > _CROWDED * len(points)


def _in_stretches(points: Floats, ring: bool, half: float, quarter: int, join: str, limit: float) -> list[Any]:
    """Widened stretch by stretch, each with the first piece of the next, so that every corner has its join."""
    if ring:
        points = np.concatenate([points, points[1:2]])
    step = min(_STRETCH, (len(points) - 1) // 2)
    stretches = [points[i : i + step + 2] for i in range(0, len(points) - 2, step)]
    lines = [shapely.linestrings(stretch) for stretch in stretches]
    return list(shapely.buffer(lines, half, quad_segs=quarter, cap_style="flat", join_style=join, mitre_limit=limit))


def _ends(points: Floats) -> tuple[Floats, Floats]:
    return points[:2], points[-2:]


class _Corners:
    """The corners of a line: where they are, the directions into them and out of them, half their turn's cosine."""

    def __init__(self, points: Floats, ring: bool) -> None:
        before = np.concatenate([points[-2:-1], points[:-2]]) if ring else points[:-2]
        self.at, following = (points[:-1], points[1:]) if ring else (points[1:-1], points[2:])
        into, out = self.at - before, following - self.at
        self.into = into / np.hypot(into[:, 0], into[:, 1])[:, None]
        self.out = out / np.hypot(out[:, 0], out[:, 1])[:, None]
        self.cross = self.into[:, 0] * self.out[:, 1] - self.into[:, 1] * self.out[:, 0]
        # Its inverse is the mitre's length over the width.
        self.cosine = np.sqrt(np.maximum(0.0, (1 + (self.into * self.out).sum(1)) / 2))

    def all_within(self, limit: float) -> bool:
        """Whether no mitre is longer than the limit."""
        return bool((self.cosine * limit >= 1 + _ROUNDING).all())

    def wedges(self, half: float, limit: float) -> list[Any]:
        """The mitres that stand within the limit, as quadrilaterals over each bevelled corner."""
        sharp = (np.abs(self.cross) > 1e-6) & (self.cosine * limit >= 1)
        if not sharp.any():
            return []
        at, into, out, cosine = self.at[sharp], self.into[sharp], self.out[sharp], self.cosine[sharp]
        side = np.where(self.cross[sharp] > 0, -half, half)[:, None]
        one = np.stack([-into[:, 1], into[:, 0]], 1) * side
        other = np.stack([-out[:, 1], out[:, 0]], 1) * side
        tip = (one + other) / (2 * cosine * cosine)[:, None]
        return list(shapely.polygons(np.stack([at, at + one, at + tip, at + other], axis=1)))


def dashed(points: Floats, pen: Pen, closed: bool = False) -> list[Floats]:
    """The pieces of a line that are drawn, by its length along the way.

    >>> line = np.array([[0.0, 0.0], [10.0, 0.0]])
    >>> [piece[:, 0].tolist() for piece in dashed(line, Pen(1.0, dashes=(4.0, 2.0)))]
    [[0.0, 4.0], [6.0, 10.0]]
    """
    if len(points) < 2:
        return [points]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    length, period = float(along[-1]), float(sum(pen.dashes))
    if length / period * len(pen.dashes) > MOST_DASHES:
        raise refused("has far too many dashes: draw unbroken lines")
    edges = np.concatenate([[0.0], np.cumsum(pen.dashes)])
    starts = np.arange(ceil(length / period) + 2) * period - pen.dash_offset % period
    out = []
    for start in starts.tolist():
        for low, high in zip(edges[0:-1:2].tolist(), edges[1::2].tolist(), strict=True):
            a, b = max(start + low, 0.0), min(start + high, length)
            # A dash without a length is a dot, at the very start too.
            if a < length and b >= a and (start + high > 0 or start + low == 0):
                inner = along[np.searchsorted(along, a, "right") : np.searchsorted(along, b, "left")]
                t = np.concatenate([[a], inner, [b]])
                out.append(np.stack([np.interp(t, along, points[:, 0]), np.interp(t, along, points[:, 1])], axis=1))
    if closed and len(out) > 1 and (out[0][0] == out[-1][-1]).all():
        # A ring's last dash goes on into its first one.
        out[0] = np.concatenate([out.pop(), out[0][1:]])
    return out
