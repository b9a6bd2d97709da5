"""Arcs of a circle and its neighbours: what a round, oval or faceted wall looks like from its end.

::

        A-------+-------B        sagitta: from the middle between A and B up to the arc,
         `.     |sagitta.'                which A and B have fallen below it
           `-.__|___.-'          arc:     from A to B along the wall

Derivations: docs/formulas/circle.md.
"""

from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats

Turned = TypeVar("Turned", float, Floats)


def within_half_turn(angle_rad: Turned) -> Turned:
    """An angle, or angles (...), brought to within half a turn of none [rad].

    >>> round(within_half_turn(1.5 * np.pi), 4)
    -1.5708
    """
    return (angle_rad + np.pi) % (2 * np.pi) - np.pi


def diameter_from_round_mm(round_mm: ArrayLike) -> Floats:
    """Diameter [mm] of a wall that a tape finds `round_mm` round [mm], d = C/π.

    (...) floats. Exact for a round wall and a tape without thickness.

    >>> diameter_from_round_mm([276.46, 100.0]).round(3)
    array([88.   , 31.831])
    """
    return np.asarray(np.asarray(round_mm, float) / np.pi)


def fall_mm(radius_mm: ArrayLike, angle_rad: ArrayLike) -> Floats:
    """How far a place of the wall lies below its apex [mm], from the angle between them, r (1 - cos a).

    (...) floats that broadcast. The form 2 r sin²(a/2) keeps its digits on narrow slices.

    >>> fall_mm(40.0, [0.1000375, np.pi / 2]).round(3)
    array([ 0.2, 40. ])
    """
    return np.asarray(2 * np.asarray(radius_mm, float) * np.sin(np.asarray(angle_rad, float) / 2) ** 2)


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
