"""Each slice redrawn where the head must be told to draw it, the beam's lean and the item's tilt included.

::

      on the wall, unrolled                 in the sheet

      |    |    |    |    |              |  / \\  |  / \\  |   white wedges between the slices:
      |    |    |    |    |              | |   | | |   | |   a slice is wider where the item is
      |    |    |    |    |              |/     \\|/     \\|
       seams at equal angles             columns of one width

The wall is given as angle [rad] by height s [mm]; a seam lies at one angle over all heights.
Derivation: docs/formulas/drawings.md.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, joined, moved, rings_from_shapely, shapely_from_rings
from rotary.artwork.warp import BLOCK, warped
from rotary.formulas.revolution import Curve, radius_mm
from rotary.formulas.scan import command_mm, place_mm

Floats = NDArray[np.float64]
Command = Callable[[Floats, Floats], tuple[Floats, Floats]]

REDRAW_TOLERANCE_MM = 0.001  # half of the 2 µm that a whole way may cost; the map before it has the other half
SAME_RAD = 1e-9  # angles that differ by less are one: a millionth of a millimetre on any item


class Stance(NamedTuple):
    """How the item is believed to stand under the head. Lengths in [mm], heights over the apex at `centre_s_mm`.

    `tilt_rad` of the axis, + where the rim is higher; `plane_mm` the focal plane's height; the two
    pupils' heights over that plane across and along the item's axis, ``math.inf`` where telecentric.
    """

    curve: Curve
    centre_s_mm: float
    tilt_rad: float
    plane_mm: float
    pupil_across_mm: float
    pupil_along_mm: float


def command_to_hit_mm(
    stance: Stance, angle_rad: Floats, s_mm: Floats, from_axis_mm: Floats | None = None
) -> tuple[Floats, Floats]:
    """The commands across and along [mm] that hit places of the wall: angle from the apex, height (...).

    `from_axis_mm` is how far the places lie from the axis, on the wall where not given.

    >>> import math
    >>> from rotary.formulas.revolution import straight_curve
    >>> stance = Stance(straight_curve(40.0, 0.0, 100.0), 50.0, 0.0, 0.0, math.inf, math.inf)
    >>> x, y = command_to_hit_mm(stance, np.array([math.pi / 6]), np.array([53.0]))
    >>> float(x[0].round(6)), float(y[0].round(6))
    (20.0, 3.0)
    """
    from_axis = radius_mm(stance.curve, s_mm) if from_axis_mm is None else from_axis_mm
    x, y, z = place_mm(s_mm, from_axis, angle_rad, stance.tilt_rad)
    _, middle_y, middle_z = place_mm(
        stance.centre_s_mm, radius_mm(stance.curve, stance.centre_s_mm), 0.0, stance.tilt_rad
    )
    over_plane = z - middle_z - stance.plane_mm
    across = command_mm(x, over_plane, stance.pupil_across_mm)
    return across, command_mm(y - middle_y, over_plane, stance.pupil_along_mm)


class Slice(NamedTuple):
    """A slice's ink, angle from its middle by height; its seams lie at `left_rad` (< 0) and `right_rad` of its
    middle, infinitely far where there is no neighbour and the ink ends by itself."""

    ink: Rings
    left_rad: float
    right_rad: float


def wall_slices(wall: Rings, first_border_rad: float, index_rad: float, slices: int, closed: bool) -> list[Slice]:
    """The wall's ink slice by slice. Slice k begins at first border + k index.

    `closed`: the slices go once round, so what lies past either end belongs to the other, and the last
    slice ends where the first begins even if that is a little more or less than an index. Otherwise the
    outermost slices take all that lies outside.
    """
    half = index_rad / 2
    starts = np.asarray(first_border_rad + index_rad * np.arange(slices), float)
    if not closed:
        strips = slices_between(wall, starts[1:])
        ink = [moved(strip, -(start + half), 0.0) for strip, start in zip(strips, starts.tolist(), strict=True)]
        left, right = [-math.inf] + [-half] * (slices - 1), [half] * (slices - 1) + [math.inf]
    else:
        ink = _round_slices(wall, starts, index_rad)
        left, right = [-half] * slices, [half] * (slices - 1) + [2 * np.pi - (slices - 0.5) * index_rad]
    return [Slice(*one) for one in zip(ink, left, right, strict=True)]


def _round_slices(wall: Rings, starts: Floats, index_rad: float) -> list[Rings]:
    """Once round, each slice's ink gathered from every turn that it lies in."""
    parts: list[list[Rings]] = [[] for _ in starts]
    if len(wall.points_mm):
        low, high = float(wall.points_mm[:, 0].min()), float(wall.points_mm[:, 0].max())
        borders = (2 * np.pi * np.arange(-2, 3)[:, None] + starts).ravel()
        inner = (borders > low + SAME_RAD) & (borders < high - SAME_RAD)
        begin = int(np.searchsorted(borders, low + SAME_RAD, side="right")) - 1
        for place, strip in enumerate(slices_between(wall, borders[inner]), begin):
            parts[place % len(starts)].append(moved(strip, -float(borders[place] + index_rad / 2), 0.0))
    return [_merged(found) for found in parts]


def _merged(parts: list[Rings]) -> Rings:
    """Parts of one slice from both ends of the artwork, which meet in it: one region without a line where they meet."""
    kept = [part for part in parts if len(part.points_mm)]
    if len(kept) < 2:
        return joined(kept)
    import shapely  # type: ignore[import-untyped, unused-ignore]

    try:
        shapes = [shapely_from_rings(part) for part in kept]
    except ValueError:
        # Artwork with corners exactly on a seam and edges along it: the two parts are drawn side by side.
        return joined(kept)
    return rings_from_shapely(shapely.union_all(shapes, grid_size=SAME_RAD))


def redrawn(stance: Stance, pieces: Sequence[Slice], inset_mm: float) -> list[Rings]:
    """The slices' ink as commands [mm] from the field's middle.

    A slice ends `inset_mm` before its seams, measured on the wall, because the spot has a width.
    Edges are within a micrometre of their true course.
    """
    inset = None if inset_mm == 0 else lambda s: np.full_like(s, inset_mm)
    return drawn_as(stance.curve, pieces, inset, lambda angle, s: command_to_hit_mm(stance, angle, s))


def drawn_as(
    curve: Curve, pieces: Sequence[Slice], inset: Callable[[Floats], Floats] | None, place: Command
) -> list[Rings]:
    """The slices' ink drawn at `place` of angle from a slice's middle and height; each ends so far before its seams
    on the wall as `inset` gives at heights (...) [mm], or on them."""
    out = [NO_INK] * len(pieces)
    for batch in _batches(pieces):
        first = pieces[batch[0]]
        inks = [pieces[k].ink for k in batch]
        done = _drawn_as(curve, inks, (first.left_rad, first.right_rad), inset, place)
        for k, rings in zip(batch, done, strict=True):
            out[k] = rings
    return out


def _batches(pieces: Sequence[Slice]) -> list[list[int]]:
    """Slices with the same borders go together, as many as the cache holds: small ones cost little more than one."""
    out: list[list[int]] = []
    points, borders = BLOCK, (0.0, 0.0)
    for k, piece in enumerate(pieces):
        size = len(piece.ink.points_mm)
        if size == 0:
            continue
        if borders != piece[1:] or points + size > BLOCK:
            out.append([])
            points, borders = 0, piece[1:]
        out[-1].append(k)
        points += size
    return out


def _drawn_as(
    curve: Curve,
    inks: list[Rings],
    borders_rad: tuple[float, float],
    inset: Callable[[Floats], Floats] | None,
    place: Command,
) -> list[Rings]:
    if inset is None:
        return _apart(warped(joined(inks), place, REDRAW_TOLERANCE_MM), inks)
    left, right = borders_rad

    def share(angle: Floats, s_mm: Floats) -> Floats:
        return np.asarray(1 - inset(s_mm) / (np.where(angle < 0, -left, right) * radius_mm(curve, s_mm)))

    # The inset is a length, so its angle changes with the radius: in a coordinate in which the
    # pulled-back border is upright the slice is cut again.
    ink = joined(inks)
    radius = float(radius_mm(curve, ink.points_mm[:, 1]).max())
    upright = warped(ink, lambda a, s: (a / share(a, s), s), REDRAW_TOLERANCE_MM / 4, (radius, 1.0))
    inks = _cut_each(_apart(upright, inks), left, right)
    return _apart(warped(joined(inks), lambda a, s: place(a * share(a, s), s), REDRAW_TOLERANCE_MM), inks)


def _apart(rings: Rings, like: list[Rings]) -> list[Rings]:
    """Joined regions as single ones again, ring for ring as they were."""
    ends = np.cumsum([0, *(len(one.offsets) - 1 for one in like)]).tolist()
    offsets = rings.offsets
    return [Rings(rings.points_mm[offsets[a] : offsets[b]], offsets[a : b + 1] - offsets[a]) for a, b in pairwise(ends)]


def _cut_each(inks: list[Rings], left_rad: float, right_rad: float) -> list[Rings]:
    """What of each region lies between the same two lines: all cut in one go, laid side by side."""
    if len(inks) == 1:
        return slices_between(inks[0], [left_rad, right_rad])[1:2]
    angles = [one.points_mm[:, 0] for one in inks]
    pitch = max(float(a.max()) for a in angles) - min(float(a.min()) for a in angles) + (right_rad - left_rad)
    away = pitch * np.arange(len(inks))
    spread = joined(moved(one, by, 0.0) for one, by in zip(inks, away.tolist(), strict=True))
    cuts = (away[:, None] + np.array([left_rad, right_rad])).ravel()
    return [moved(part, -by, 0.0) for part, by in zip(slices_between(spread, cuts)[1::2], away.tolist(), strict=True)]
