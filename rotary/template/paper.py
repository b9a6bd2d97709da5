"""The paper that goes round the item, and where a place of the wall lies on it when it is flat again.

::

      on the item                       flat, a cone that narrows to the rim

        .-----.   rim                          . point
       /   |   \\                              /|\\
      /    |s   \\            ->              / | \\  rho = r / |k|,  k = sin(half angle)
     /_____|_____\\                       .--'  |  '--.
          foot                            \\    |y    /
                                            '-.+--x'    angle there = k theta

A paper label lies on a cylinder or cone without stretching. A bellied wall it can only touch: the cone
of paper that encloses the wall and stays nearest to it is taken, and how far it stands off is told.
Paper is bent about the middle of its thickness, half of it outside the wall.
Derivation: docs/formulas/template.md.
"""

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.artwork.back import unrolled_mm
from rotary.formulas.arrays import Floats
from rotary.formulas.prism import unrolled_from_angle_mm
from rotary.formulas.revolution import Curve, is_straight, radius_mm

LOOKS: Final = 1025  # heights at which a wall is compared with the paper
_ROUNDS: Final = 80  # of the search for the nearest cone: each shrinks its bracket by a third


class TapePaper(NamedTuple):
    """A cone of paper: radius at s = 0 [mm] and slope of its inner face, half its thickness [mm], the height
    whose ring passes through the flat paper's origin [mm]. `flats` 0 except on a faceted item."""

    radius_at_zero_mm: float
    slope: float
    half_thickness_mm: float
    centre_s_mm: float
    flats: int = 0


class Misfit(NamedTuple):
    """How far paper stands off the wall at most [mm], at which height, and how much longer a ring is on it there."""

    stands_off_mm: float
    at_mm: float
    longer_mm: float


def paper_round(
    curve: Curve, low_mm: float, high_mm: float, centre_mm: float, thickness_mm: float, flats: int = 0
) -> tuple[TapePaper, Misfit]:
    """The paper for a wall between two heights, and how it misses it.

    >>> from rotary.formulas.revolution import straight_curve
    >>> paper, misfit = paper_round(straight_curve(44.0, -0.06, 150.0), 0.0, 100.0, 50.0, 0.0)
    >>> paper.slope, misfit.stands_off_mm
    (-0.06, 0.0)
    """
    if is_straight(curve):
        at_zero = float(radius_mm(curve, 0.0))
        slope = float(curve.coefficients[1, 0])
        return TapePaper(at_zero, slope, thickness_mm / 2, centre_mm, flats), Misfit(0.0, centre_mm, 0.0)
    s = np.linspace(low_mm, high_mm, LOOKS)
    r = radius_mm(curve, s)
    slope = _nearest_slope(s, r)
    at_zero = float((r - slope * s).max())
    off = at_zero + slope * s - r
    worst = int(off.argmax())
    away = float(off[worst])
    return (
        TapePaper(at_zero, slope, thickness_mm / 2, centre_mm),
        Misfit(away / math.hypot(1.0, slope), float(s[worst]), 2 * math.pi * away),
    )


def _nearest_slope(s: Floats, r: Floats) -> float:
    """Slope of the two parallel lines nearest to each other that hold all radii between them.

    Their distance is convex in the slope, so a bracket that shrinks by thirds finds it.
    """

    def apart(slope: float) -> float:
        return float(np.ptp(r - slope * s))

    rises = np.diff(r) / np.diff(s)
    low, high = float(rises.min()), float(rises.max())
    for _ in range(_ROUNDS):
        a, b = low + (high - low) / 3, high - (high - low) / 3
        low, high = (low, b) if apart(a) <= apart(b) else (a, high)
    return (low + high) / 2


def flat_mm(paper: TapePaper, s_mm: ArrayLike, angle_rad: ArrayLike) -> tuple[Floats, Floats]:
    """Where places of the wall lie on the flat paper [mm], x to the right, y towards the rim.

    `angle_rad` is counted from the line through the paper's middle; floats (...) that broadcast.

    >>> x, y = flat_mm(TapePaper(40.0, 0.0, 0.0, 50.0), 60.0, [0.0, 0.5])
    >>> x.tolist(), y.tolist()
    ([0.0, 20.0], [10.0, 10.0])
    """
    s, theta = np.asarray(s_mm, float), np.asarray(angle_rad, float)
    if paper.flats:
        # Along the flats, one after the other: each corner folds the paper about its middle.
        from_axis_mm = paper.radius_at_zero_mm + paper.half_thickness_mm
        x, y = np.broadcast_arrays(unrolled_from_angle_mm(theta, from_axis_mm, paper.flats), s - paper.centre_s_mm)
        return x, y
    g = math.hypot(1.0, paper.slope)
    r = paper.radius_at_zero_mm + paper.slope * s + paper.half_thickness_mm / g
    return unrolled_mm(r, math.atan(paper.slope), (s - paper.centre_s_mm) * g, theta)
