"""A turned body: radius, slope and meridian length along the axis; the development of a cone.

::

      rim  s = length  +-------+   r          slope = dr/ds = tan(half angle)
                        \\      |              + where the body widens towards the rim
           meridian ->   \\     |
           length m(s)    \\    | axis         m(s) = integral of sqrt(1 + slope²) ds
                           \\   |
      foot s = 0            +--+

A meridian is piecewise cubic; `meridian` has the one through measured places. Beyond the ends it goes on straight.
Derivations: docs/formulas/revolution.md.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas.arrays import Floats

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
# On [0, 1]; sixteen points integrate a wall of up to 45 degrees to the last bit, one of 80 degrees to 1e-8.
_NODES, _WEIGHTS = (_NODES[:, None] + 1) / 2, _WEIGHTS / 2
_ROUNDS = 60  # of the safeguarded inverse: a bisection alone would reach the last bit in 53
_CELLS = 128  # of a piece in the table that artwork of many vertices is laid by
_FINE_MM = 1e-7  # what a table may err
_MANY = 1500  # places from which the table is quicker than solving for each
_STRAIGHT = 1e-12  # quadratic and cubic parts that change a slope by less than this are rounding


class Curve(NamedTuple):
    """A meridian, piecewise cubic in s: on [s_mm[i], s_mm[i+1]] r = sum_k coefficients[k, i] (s - s_mm[i])^k.

    s_mm (n,) float, rising [mm]; coefficients (4, n-1) float; arc_mm (n,) float, meridian
    length from s_mm[0] to each knot [mm].
    """

    s_mm: Floats
    coefficients: Floats
    arc_mm: Floats


def straight_curve(radius_at_zero_mm: float, slope: float, length_mm: float) -> Curve:
    """The meridian of a cone or cylinder from s = 0 to `length_mm`.

    >>> straight_curve(44.0, -0.06, 150.0).arc_mm.round(3)
    array([  0.  , 150.27])
    """
    knots = np.array([0.0, length_mm])
    arc = np.array([0.0, length_mm * float(np.hypot(1.0, slope))])
    return Curve(knots, np.array([[radius_at_zero_mm], [slope], [0.0], [0.0]]), arc)


def cubic_curve(s_mm: ArrayLike, radius_mm: ArrayLike, slope: ArrayLike) -> Curve:
    """The meridian through knots (n,) with the radii (2, n-1) [mm] and slopes (2, n-1) at both ends of each piece.

    Heights rise [mm]; the radii at both sides of a knot agree, the slopes need not.

    >>> curve = cubic_curve([0, 50, 100], [[40, 44], [44, 40]], [[0.16, 0], [0, -0.16]])
    >>> radius_mm(curve, [0, 25, 50, 100]).round(3)
    array([40., 43., 44., 40.])
    """
    s, (low, high), (left, right) = np.asarray(s_mm, float), np.asarray(radius_mm, float), np.asarray(slope, float)
    steps = np.diff(s)
    rises = (high - low) / steps
    second = (3 * rises - 2 * left - right) / steps
    third = (left + right - 2 * rises) / steps**2
    coefficients = np.stack([low, left, second, third])
    arc = np.concatenate([[0.0], np.cumsum(_arc_in_piece(coefficients, np.arange(len(rises)), steps))])
    return Curve(s, coefficients, arc)


def is_straight(curve: Curve) -> bool:
    """Whether the meridian is one straight line: a cone or a cylinder.

    >>> is_straight(straight_curve(44.0, -0.06, 150.0)), is_straight(cubic_curve([0, 9], [[3], [4]], [[0], [0]]))
    (True, False)
    """
    c = curve.coefficients
    if c.shape[1] == 1 and c[2, 0] == 0 and c[3, 0] == 0:
        return True
    steps = np.diff(curve.s_mm)
    bent = np.abs(c[2]) * steps + np.abs(c[3]) * steps**2
    return bool((bent <= _STRAIGHT).all() and np.ptp(c[1]) <= _STRAIGHT)


def radius_mm(curve: Curve, s_mm: ArrayLike) -> Floats:
    """Radius [mm] at heights (...) [mm]; beyond the ends the end pieces go on straight.

    >>> radius_mm(straight_curve(44.0, -0.06, 150.0), [0, 75, 150, 200])
    array([44. , 39.5, 35. , 32. ])
    """
    return radius_and_slope(curve, s_mm)[0]


def slope(curve: Curve, s_mm: ArrayLike) -> Floats:
    """dr/ds at heights (...) [mm], + where the body widens towards the rim. At a corner, that above it.

    >>> slope(straight_curve(44.0, -0.06, 150.0), [0, 150])
    array([-0.06, -0.06])
    """
    return radius_and_slope(curve, s_mm)[1]


def radius_and_slope(curve: Curve, s_mm: ArrayLike) -> tuple[Floats, Floats]:
    """Radius [mm] and dr/ds at heights (...) [mm] in one go.

    >>> r, slant = radius_and_slope(straight_curve(44.0, -0.06, 150.0), 75.0)
    >>> float(r), float(slant)
    (39.5, -0.06)
    """
    s, knots, c = np.asarray(s_mm, float), curve.s_mm, curve.coefficients
    if c.shape[1] == 1 and c[2, 0] == 0 and c[3, 0] == 0:
        return np.asarray(c[0, 0] + c[1, 0] * (s - knots[0])), np.full(s.shape, c[1, 0])
    inside = np.minimum(np.maximum(s, knots[0]), knots[-1])
    piece = _piece(knots, inside)
    x = inside - knots[piece]
    c0, c1, c2, c3 = c[:, piece]
    along = c1 + x * (2 * c2 + x * (3 * c3))
    return np.asarray(c0 + x * (c1 + x * (c2 + x * c3)) + along * (s - inside)), np.asarray(along)


def arc_from_height_mm(curve: Curve, s_mm: ArrayLike) -> Floats:
    """Meridian length [mm] from the first knot to heights (...) [mm]; negative below it.

    >>> arc_from_height_mm(straight_curve(0.0, 0.75, 100.0), [-4, 0, 80])
    array([ -5.,   0., 100.])
    """
    s, knots, c = np.asarray(s_mm, float), curve.s_mm, curve.coefficients
    if c.shape[1] == 1 and c[2, 0] == 0 and c[3, 0] == 0:
        return np.asarray((s - knots[0]) * np.hypot(1.0, c[1, 0]))
    inside = np.minimum(np.maximum(s, knots[0]), knots[-1])
    piece = _piece(knots, inside)
    arc = curve.arc_mm[piece] + _arc_in_piece(c, piece, inside - knots[piece])
    return np.asarray(arc + (s - inside) * np.hypot(1.0, slope(curve, inside)))


def height_from_arc_mm(curve: Curve, arc_mm: ArrayLike) -> Floats:
    """Heights [mm] at meridian lengths (...) [mm]: the inverse of `arc_from_height_mm`.

    Solved to the last digits; from 1500 places on read from a table instead, to about 0.1 nm.

    >>> height_from_arc_mm(straight_curve(0.0, 0.75, 100.0), [-5, 0, 100])
    array([-4.,  0., 80.])
    """
    arc, knots, c = np.asarray(arc_mm, float), curve.s_mm, curve.coefficients
    if c.shape[1] == 1 and c[2, 0] == 0 and c[3, 0] == 0:
        return np.asarray(knots[0] + arc / np.hypot(1.0, c[1, 0]))
    inside = np.minimum(np.maximum(arc, curve.arc_mm[0]), curve.arc_mm[-1])
    piece = _piece(curve.arc_mm, inside)
    wanted = inside - curve.arc_mm[piece]
    inner = _height_in_piece if wanted.size < _MANY else _height_by_table
    s = knots[piece] + inner(curve, piece, wanted)
    return np.asarray(s + (arc - inside) / np.hypot(1.0, slope(curve, s)))


def _piece(knots: Floats, place: Floats) -> NDArray[np.int64]:
    """Which piece each place lies in; a place on a knot belongs to the piece above it."""
    return np.asarray(np.minimum(np.searchsorted(knots[1:], place, side="right"), len(knots) - 2), np.int64)


def _arc_in_piece(c: Floats, piece: NDArray[np.int64], x: Floats) -> Floats:
    """Meridian length from a piece's lower knot to x above it, by Gauss-Legendre quadrature."""
    _, c1, c2, c3 = c[:, piece.ravel()]
    t = _NODES * x.ravel()
    along = c1 + t * (2 * c2 + t * (3 * c3))
    rows = np.sqrt(1 + along * along)
    rows *= _WEIGHTS[:, None]
    # Row by row: a matrix product would add up in an order that depends on the column's place and on the processor.
    mean = rows[0]
    for row in rows[1:]:
        mean += row
    return np.asarray(mean.reshape(x.shape) * x)


def _height_in_piece(curve: Curve, piece: NDArray[np.int64], wanted: Floats) -> Floats:
    """Newton's method inside a bracket that only ever shrinks: it can't leave its piece nor fail to end."""
    _, c1, c2, c3 = curve.coefficients[:, piece]
    low, high = np.zeros_like(wanted), np.diff(curve.s_mm)[piece]
    # A cubic through both ends with the right slopes there is a good first guess.
    share, top = wanted / np.diff(curve.arc_mm)[piece], c1 + high * (2 * c2 + high * (3 * c3))
    mean = np.diff(curve.arc_mm)[piece] / high
    rise0, rise1 = mean / np.sqrt(1 + c1 * c1), mean / np.sqrt(1 + top * top)
    guess = high * share * (rise0 + share * ((3 - 2 * rise0 - rise1) + share * (rise0 + rise1 - 2)))
    x = np.minimum(np.maximum(guess, low), high)
    fine = 1e-14 * float(curve.arc_mm[-1])
    for _ in range(_ROUNDS):
        short = wanted - _arc_in_piece(curve.coefficients, piece, x)
        if float(np.abs(short).max(initial=0.0)) <= fine:
            break
        low, high = np.where(short > 0, x, low), np.where(short < 0, x, high)
        along = c1 + x * (2 * c2 + x * (3 * c3))
        step = x + short / np.sqrt(1 + along * along)
        nearer = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        if np.array_equal(nearer, x):
            break
        x = nearer
    return np.asarray(x)


def _height_by_table(curve: Curve, piece: NDArray[np.int64], wanted: Floats) -> Floats:
    """The same from quintics through heights, slopes and bends at the borders of 128 cells of each piece."""
    table = _table(*(part.tobytes() for part in curve))
    if table is None:
        return _height_in_piece(curve, piece, wanted)
    return _read(table, np.diff(curve.arc_mm), piece, wanted)


def _read(table: Floats, whole: Floats, piece: NDArray[np.int64], wanted: Floats) -> Floats:
    place = wanted * (_CELLS / whole)[piece]
    cell = np.minimum(place.astype(np.int64), _CELLS - 1)
    t = place - cell
    c = table[:, piece * _CELLS + cell]
    return np.asarray(c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5])))))


@lru_cache(maxsize=16)
def _table(knots: bytes, coefficients: bytes, arcs: bytes) -> Floats | None:
    """Coefficients (6, pieces x cells) of height over meridian length in each cell, t from 0 to 1.

    None for walls that turn so sharply from ring to axis that half way between borders it errs by 0.1 nm.
    """
    curve = Curve(np.frombuffer(knots), np.frombuffer(coefficients).reshape(4, -1), np.frombuffer(arcs))
    whole = np.diff(curve.arc_mm)
    piece = np.repeat(np.arange(len(whole)), _CELLS + 1)
    x = _height_in_piece(curve, piece, np.outer(whole, np.linspace(0, 1, _CELLS + 1)).ravel())
    _, c1, c2, c3 = curve.coefficients[:, piece]
    along, bend = c1 + x * (2 * c2 + x * (3 * c3)), 2 * c2 + 6 * c3 * x
    step, square = whole[piece] / _CELLS, 1 + along * along
    # Height over length: its slope is 1/g and its bend -r' r''/g^4, with g² = 1 + r'².
    rows = np.stack([x, step / np.sqrt(square), -(step**2) * along * bend / square**2])
    (a, s0, b0), (z, s1, b1) = (rows.reshape(3, -1, _CELLS + 1)[..., cut].reshape(3, -1) for cut in _ENDS)
    rise, low, high = z - a - s0 - b0 / 2, s1 - s0 - b0, b1 - b0
    cubic, quartic, quintic = 10 * rise - 4 * low + high / 2, 7 * low - 15 * rise - high, 6 * rise - 3 * low + high / 2
    table = np.stack([a, s0, b0 / 2, cubic, quartic, quintic])
    between = np.outer(whole, (np.arange(_CELLS) + 0.5) / _CELLS).ravel()
    piece = np.repeat(np.arange(len(whole)), _CELLS)
    off_mm = np.abs(_read(table, whole, piece, between) - _height_in_piece(curve, piece, between)).max()
    return table if off_mm < _FINE_MM else None


_ENDS = (slice(None, -1), slice(1, None))  # lower and upper borders of the cells


class Cone(NamedTuple):
    """A straight wall through stations: r = radius_at_zero_mm + slope s; residuals of the radius (n,) [mm]."""

    radius_at_zero_mm: float
    slope: float
    residual_mm: Floats


def fitted_cone(s_mm: ArrayLike, radius_mm: ArrayLike) -> Cone:
    """The straight wall that comes nearest to the stations by least squares of the radius.

    s_mm, radius_mm (n,) float [mm], n >= 2, not all at one height (else the slope is nan).

    >>> cone = fitted_cone([0, 75, 150], [44.0, 39.5, 35.0])
    >>> round(cone.radius_at_zero_mm, 6), round(cone.slope, 6), bool(abs(cone.residual_mm).max() < 1e-9)
    (44.0, -0.06, True)
    """
    s, r = np.asarray(s_mm, float), np.asarray(radius_mm, float)
    off, rise = s - s.mean(), r - r.mean()
    tilt = float(off @ rise / (off @ off))
    return Cone(float(r.mean() - tilt * s.mean()), tilt, np.asarray(rise - tilt * off))
