"""Flat artwork on the real wall: the surface maps, edge by edge, to a micrometre."""

from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import NO_INK, Rings
from rotary.artwork.warp import Place, warped
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import (
    Curve,
    arc_from_height_mm,
    height_from_arc_mm,
    is_straight,
    radius_and_slope,
    radius_mm,
)

Floats = NDArray[np.float64]

WALL_TOLERANCE_MM: Final = 0.001  # half of the 2 µm that the way from artwork to command may cost
TABLE_TOLERANCE_MM: Final = 2e-5  # a fiftieth of that: tables of a bellied wall must not be seen
FEW_POINTS: Final = 20_000  # below this a table costs more than it saves


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
    v = rings.points_mm[:, 1]
    low, high = float(v.min()), float(v.max())
    heights = height_from_arc_mm(curve, arc_from_height_mm(curve, centre_mm) + np.linspace(low, high, 257))
    r, slant = radius_and_slope(curve, heights)
    # The radius and slope at worst make the measured error an upper bound of the true one.
    weight = (float(r.max()), float(np.hypot(1.0, slant).max()))
    return warped(rings, _place(surface_map, curve, centre_mm, low, high, len(v)), tolerance_mm, weight)


def _place(surface_map: str, curve: Curve, centre_mm: float, low: float, high: float, points: int) -> Place:
    if surface_map in {"true-width", "with-taper"} and points > FEW_POINTS and not is_straight(curve):
        height_and_radius = _tables(curve, centre_mm, low, high)
        fixed = float(radius_mm(curve, centre_mm)) if surface_map == "with-taper" else None

        def by_table(u: Floats, v: Floats) -> tuple[Floats, Floats]:
            s, radius = height_and_radius(v)
            return u / (fixed or radius), s

        return by_table
    formula = MAPS[surface_map][0]

    def exactly(u: Floats, v: Floats) -> tuple[Floats, Floats]:
        place = formula(curve, centre_mm, u, v)
        return place.angle_rad, place.s_mm

    return exactly


def _tables(curve: Curve, centre_mm: float, low: float, high: float) -> Callable[[Floats], tuple[Floats, Floats]]:
    """Height and radius along the meridian by cubic pieces, checked against the exact ones between their ends.

    Pieces end at the curve's own knots, so that a shoulder stays sharp; within a piece they are equal, so
    that a place is found by one multiplication.
    """
    base = float(arc_from_height_mm(curve, centre_mm))
    knots = curve.arc_mm[(curve.arc_mm > base + low) & (curve.arc_mm < base + high)] - base
    knots = np.concatenate([[low - 1e-9], knots, [high + 1e-9]])
    cells = np.maximum(np.ceil(np.diff(knots) / 0.5).astype(np.int64), 1)
    while True:
        starts, widths = _cells(knots, cells)
        cubic = _hermite(curve, base, starts, widths)
        middle = starts + 0.5 * widths
        exact = height_from_arc_mm(curve, base + middle)
        off = np.abs(_value(cubic[:4], 0.5) - exact) + np.abs(_value(cubic[4:], 0.5) - radius_mm(curve, exact))
        if float(off.max()) <= TABLE_TOLERANCE_MM or len(starts) > 1_000_000:
            break
        cells = cells * 2
    first = np.cumsum(cells) - cells
    per_mm = cells / np.diff(knots)

    def height_and_radius(v: Floats) -> tuple[Floats, Floats]:
        piece = np.searchsorted(knots[1:-1], v, side="right") if len(knots) > 2 else 0
        place = (v - knots[piece]) * per_mm[piece]
        cell = np.minimum(np.maximum(place.astype(np.int64), 0), cells[piece] - 1)
        c = cubic[:, first[piece] + cell]
        share = place - cell
        return _value(c[:4], share), _value(c[4:], share)

    return height_and_radius


def _cells(knots: Floats, cells: NDArray[np.int64]) -> tuple[Floats, Floats]:
    widths = np.repeat(np.diff(knots) / cells, cells)
    turn = np.arange(int(cells.sum())) - np.repeat(np.cumsum(cells) - cells, cells)
    return np.repeat(knots[:-1], cells) + turn * widths, widths


def _hermite(curve: Curve, base: float, starts: Floats, widths: Floats) -> Floats:
    """Cubic coefficients (8, n) of height and radius over each cell, from values and slopes at its ends."""
    # A hair inside the cell: at a shoulder each side has its own slope.
    ends = [height_from_arc_mm(curve, base + at) for at in (starts + 1e-9 * widths, starts + (1 - 1e-9) * widths)]
    rows = []
    for of_height in (True, False):
        values, rates = [], []
        for s in ends:
            radius, slant = radius_and_slope(curve, s)
            along = 1 / np.hypot(1.0, slant)
            values.append(s if of_height else radius)
            rates.append(widths * (along if of_height else slant * along))
        rise = values[1] - values[0]
        rows += [values[0], rates[0], 3 * rise - 2 * rates[0] - rates[1], rates[0] + rates[1] - 2 * rise]
    return np.stack(rows)


def _value(cubic: Floats, share: Floats | float) -> Floats:
    return np.asarray(cubic[0] + share * (cubic[1] + share * (cubic[2] + share * cubic[3])))
