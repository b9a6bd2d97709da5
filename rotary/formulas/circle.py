"""Arcs of a circle and its neighbours: what a round, oval or faceted wall looks like from its end.

::

              chord
        A-------+-------B        sagitta: from the chord's middle up to the arc
         `.     |sagitta.'       arc:     from A to B along the wall
           `-.__|___.-'          r:       radius of the wall

Derivations: docs/formulas/circle.md.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def diameter_from_round_mm(round_mm: ArrayLike) -> Floats:
    """Diameter [mm] of a wall that a tape finds `round_mm` round [mm], d = C/π.

    (...) floats. Exact for a round wall and a tape without thickness.

    >>> diameter_from_round_mm([276.46, 100.0]).round(3)
    array([88.   , 31.831])
    """
    return np.asarray(np.asarray(round_mm, float) / np.pi)


def sagitta_mm(radius_mm: ArrayLike, chord_mm: ArrayLike) -> Floats:
    """How far the middle of an arc stands over its chord [mm].

    0 <= chord_mm <= 2 radius_mm; (...) floats that broadcast; nan outside. The usual
    r - sqrt(r² - c²/4) loses digits on narrow chords; c²/4 over (r + sqrt(r² - c²/4)) does not.

    >>> sagitta_mm([40.0, 12.5], [20.0, 10.0]).round(6)
    array([1.270167, 1.043561])
    """
    r, half = np.asarray(radius_mm, float), np.asarray(chord_mm, float) / 2
    with np.errstate(invalid="ignore"):
        return np.asarray(half**2 / (r + np.sqrt((r - half) * (r + half))))


def arc_sagitta_mm(radius_mm: ArrayLike, arc_mm: ArrayLike) -> Floats:
    """How far the middle of an arc stands over its two ends [mm], from the length along the wall.

    (...) floats that broadcast, exact up to a whole turn: r (1 - cos(a/2r)) = 2 r sin²(a/4r).

    >>> arc_sagitta_mm(40.0, [8.003, 125.664]).round(3)
    array([ 0.2, 40. ])
    """
    r = np.asarray(radius_mm, float)
    return np.asarray(2 * r * np.sin(np.asarray(arc_mm, float) / (4 * r)) ** 2)


def widest_arc_mm(radius_mm: ArrayLike, sagitta_mm: ArrayLike) -> Floats:
    """Longest arc [mm] whose middle stands at most `sagitta_mm` over its two ends.

    0 <= sagitta_mm <= 2 radius_mm; (...) floats that broadcast; nan outside. The usual
    2 r acos(1 - s/r) loses digits as s/r falls; the half angle does not.

    >>> widest_arc_mm(40.0, [0.2, 40.0]).round(3)
    array([  8.003, 125.664])
    """
    r, s = np.asarray(radius_mm, float), np.asarray(sagitta_mm, float)
    with np.errstate(invalid="ignore"):
        return np.asarray(4 * r * np.arcsin(np.sqrt(s / (2 * r))))


def chord_from_arc_mm(radius_mm: ArrayLike, arc_mm: ArrayLike) -> Floats:
    """Straight distance [mm] between the ends of an arc up to a whole turn; (...) floats that broadcast.

    >>> chord_from_arc_mm(50.0, [10.0, 157.0796]).round(3)
    array([  9.983, 100.   ])
    """
    r = np.asarray(radius_mm, float)
    return np.asarray(2 * r * np.sin(np.asarray(arc_mm, float) / (2 * r)))


def arc_from_chord_mm(radius_mm: ArrayLike, chord_mm: ArrayLike) -> Floats:
    """Length along the wall [mm] of the shorter arc over a chord; nan where chord_mm > 2 radius_mm.

    >>> arc_from_chord_mm(50.0, [9.98334, 100.0]).round(3)
    array([ 10.  , 157.08])
    """
    r = np.asarray(radius_mm, float)
    with np.errstate(invalid="ignore"):
        return np.asarray(2 * r * np.arcsin(np.asarray(chord_mm, float) / (2 * r)))


def across_corners_mm(across_flats_mm: ArrayLike, flats: ArrayLike) -> Floats:
    """Across sharp corners [mm] of a regular prism: s / cos(π/n) for even n.

    For odd n it is the diameter through the corners, twice their distance from the axis. Real
    corners are rounded: ISO 4032 lets a hexagon's be as small as 1.11 s (M10: 17.77 over 16),
    where the formula gives 1.155 s.

    >>> across_corners_mm(16.0, [4, 6]).round(3)
    array([22.627, 18.475])
    """
    return np.asarray(np.asarray(across_flats_mm, float) / np.cos(np.pi / np.asarray(flats, float)))


def flat_width_mm(across_flats_mm: ArrayLike, flats: ArrayLike) -> Floats:
    """Width [mm] of one flat of a regular prism between sharp corners, s tan(π/n).

    For odd n `across_flats_mm` is twice the distance of a flat from the axis.

    >>> flat_width_mm(16.0, [4, 6]).round(3)
    array([16.   ,  9.238])
    """
    return np.asarray(np.asarray(across_flats_mm, float) * np.tan(np.pi / np.asarray(flats, float)))


def flat_panel_width_mm(wide_mm: ArrayLike, narrow_mm: ArrayLike, sagitta_mm: ArrayLike) -> Floats:
    """Width [mm] on the flatter side of an ellipse that stays within `sagitta_mm` of its middle.

    `wide_mm` and `narrow_mm` are the two diameters, 0 < narrow_mm <= wide_mm; (...) floats that
    broadcast. The whole width where the sagitta is no less than half the narrow diameter.

    >>> flat_panel_width_mm(80.0, [80.0, 40.0], 0.2).round(2)
    array([ 7.99, 11.29])
    """
    share = np.minimum(np.asarray(sagitta_mm, float) / (np.asarray(narrow_mm, float) / 2), 1)
    return np.asarray(np.asarray(wide_mm, float) * np.sqrt(share * (2 - share)))
