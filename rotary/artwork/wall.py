"""Flat artwork on the real wall: the surface maps, edge by edge, to a micrometre."""

from collections.abc import Callable
from typing import Final

import numpy as np

from rotary.artwork.rings import NO_INK, Rings
from rotary.artwork.warp import Place, warped
from rotary.formulas.arrays import Floats
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import (
    Curve,
    arc_from_height_mm,
    height_from_arc_mm,
    is_straight,
    radius_and_slope,
    radius_mm,
)

WALL_TOLERANCE_MM: Final = 0.001  # half of the 2 µm that the way from artwork to command may cost
TABLE_TOLERANCE_MM: Final = 2e-5  # a fiftieth of that: tables of a bellied wall must not be seen
FEW_POINTS: Final = 20_000  # below this a table costs more than it saves
TABLED: Final = frozenset({"true-width", "with-taper", "front-view"})
SURELY_SEEN: Final = 0.99  # of the radius
MARGIN_MM: Final = 1e-6  # no rounding leads out of the table
MOST_CELLS: Final = 1 << 18


def on_wall(
    rings: Rings, surface_map: str, curve: Curve, centre_mm: float, tolerance_mm: float = WALL_TOLERANCE_MM
) -> Rings:
    """The artwork on the wall: angle from its middle [rad] by height s [mm], edges within `tolerance_mm`.

    `rings` lie with their middle at (0, 0); `surface_map` is a name of `MAPS`. Raises ValueError where the
    map gives no place: past a cone's point, wider than what is seen from the front, a decal on a belly.

    >>> from rotary.artwork.rings import area_mm2, rings_from_list
    >>> from rotary.formulas.revolution import straight_curve
    >>> square = rings_from_list([[(0, 0), (40, 0), (40, 1), (0, 1)]])
    >>> area_mm2(on_wall(square, "true-width", straight_curve(40.0, 0.0, 100.0), 50.0))
    1.0
    """
    if len(rings.points_mm) == 0:
        return NO_INK
    u, v = rings.points_mm.T
    low, high = float(v.min()), float(v.max())
    heights = height_from_arc_mm(curve, arc_from_height_mm(curve, centre_mm) + np.linspace(low, high, 257))
    r, slant = radius_and_slope(curve, heights)
    # The radius and slope at worst make the measured error an upper bound of the true one.
    weight = (float(r.max()), float(np.hypot(1.0, slant).max()))
    if len(v) > FEW_POINTS and surface_map in TABLED and not is_straight(curve):
        reach = max(float(u.max()), -float(u.min()))
        place = _by_table(surface_map, curve, centre_mm, low, high, reach * weight[0])
    else:
        place = _exactly(surface_map, curve, centre_mm)
    return warped(rings, place, tolerance_mm, weight)


def _exactly(surface_map: str, curve: Curve, centre_mm: float) -> Place:
    formula = MAPS[surface_map][0]

    def place(u: Floats, v: Floats) -> tuple[Floats, Floats]:
        found = formula(curve, centre_mm, u, v)
        return found.angle_rad, found.s_mm

    return place


def _by_table(surface_map: str, curve: Curve, centre_mm: float, low: float, high: float, reach: float) -> Place:
    """The map of a bellied wall with height and radius from a table; `reach` is the largest |u| times radius."""
    exactly = _exactly(surface_map, curve, centre_mm)
    if surface_map == "front-view":
        _, bend = _table(lambda v: (v, 1 / radius_mm(curve, centre_mm + v)), low, high, reach)

        def seen(u: Floats, v: Floats) -> tuple[Floats, Floats]:
            share = u * bend(v)
            # Near the rim of what is seen the angle makes much of a small error.
            if not np.abs(share).max() < SURELY_SEEN:
                return exactly(u, v)
            return np.asarray(np.arcsin(share)), centre_mm + v

        return seen
    base = float(arc_from_height_mm(curve, centre_mm))

    def along(v: Floats) -> tuple[Floats, Floats]:
        s = height_from_arc_mm(curve, base + v)
        return s, 1 / radius_mm(curve, s)

    height, bend = _table(along, low, high, reach)
    if surface_map == "with-taper":
        fixed = 1 / float(radius_mm(curve, centre_mm))
        return lambda u, v: (u * fixed, height(v))
    return lambda u, v: (u * bend(v), height(v))


def _table(
    along: Callable[[Floats], tuple[Floats, Floats]], low: float, high: float, reach: float
) -> tuple[Callable[[Floats], Floats], Callable[[Floats], Floats]]:
    """Height and curvature 1/r over a place's v, each straight within cells of one size.

    A cell is found by one multiplication, and is compared with the truth at three places. The cells are made
    smaller until all but those that hold a corner of the wall are true; in those every place is worked out.
    """
    low, high = low - MARGIN_MM, high + MARGIN_MM
    cells = 256
    while True:
        borders = along(np.linspace(low, high, cells + 1))
        rises = [np.diff(row) for row in borders]
        off = np.zeros(cells)
        for share in (0.25, 0.5, 0.75):
            places = np.asarray(low + (np.arange(cells) + share) * ((high - low) / cells), float)
            true = along(places)
            gaps = [np.abs(b[:-1] + share * d - t) for b, d, t in zip(borders, rises, true, strict=True)]
            off = np.maximum(off, gaps[0] + reach * gaps[1])
        odd = off > TABLE_TOLERANCE_MM
        if int(odd.sum()) <= cells // 512 or cells >= MOST_CELLS:
            break
        cells *= 2
    per_mm, some = cells / (high - low), bool(odd.any())

    def reader(which: int) -> Callable[[Floats], Floats]:
        start, rise = borders[which], rises[which]

        def read(v: Floats) -> Floats:
            at = (v - low) * per_mm
            cell = at.astype(np.intp)
            at -= cell
            at *= rise.take(cell, mode="clip")
            at += start.take(cell, mode="clip")
            if some:
                worked_out = np.flatnonzero(odd.take(cell, mode="clip"))
                if len(worked_out):
                    at[worked_out] = along(v[worked_out])[which]
            return at

        return read

    return reader(0), reader(1)
