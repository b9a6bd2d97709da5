"""Where the white is: the inked length on every upright line, exactly, and seams slid to where it is least."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.artwork.rings import Rings, following
from rotary.formulas.arrays import Floats

SAME_LENGTH = 1e-6  # [mm] inked lengths that differ by less are one: sums of a million terms err by less


class InkProfile(NamedTuple):
    """Inked length of every upright line, exact: on [x[i], x[i + 1]] it is length[i] + slope[i] (x - x[i]).

    All (n,) floats, x rising; left of the first and right of the last there is no ink.
    """

    x: Floats
    length: Floats
    slope: Floats


def ink_profile(rings: Rings) -> InkProfile:
    """Inked length of every upright line through the region.

    >>> from rotary.artwork.rings import rings_from_list
    >>> ink_profile(rings_from_list([[(0, 0), (4, 0), (4, 4)]]))
    InkProfile(x=array([0., 4.]), length=array([0., 0.]), slope=array([1., 0.]))
    """
    if len(rings.points_mm) == 0:
        return InkProfile(np.zeros(1), np.zeros(1), np.zeros(1))
    x, y = rings.points_mm[:, 0], rings.points_mm[:, 1]
    after = following(rings.offsets)
    run = x[after] - x
    leaning = run != 0.0
    # An edge that runs left bounds ink from above, one that runs right from below. So at each point the
    # length's slope changes by that of the edge that arrives less that of the edge that leaves; it
    # jumps only where one of the two is upright.
    slant = np.divide(y[after] - y, run, out=run, where=leaning)
    bend, jump = -slant, np.where(leaning, -y, 0.0)
    bend[after] += slant
    jump[after] += np.where(leaning, y[after], 0.0)
    del after, run, slant, leaning
    order = np.argsort(x, kind="stable")
    at, bend, jump = x[order], bend[order], jump[order]
    first = np.flatnonzero(np.concatenate([[True], at[1:] != at[:-1]]))
    at, slope = at[first], np.cumsum(np.add.reduceat(bend, first))
    slope[-1] = 0.0
    length = np.cumsum(np.add.reduceat(jump, first))
    length[1:] += np.cumsum(slope[:-1] * np.diff(at))
    length[-1] = 0.0
    return InkProfile(at, np.maximum(length, 0.0), slope)


def inked_length(profile: InkProfile, x: ArrayLike) -> Floats:
    """Inked length on the upright lines at x (...) float.

    >>> from rotary.artwork.rings import rings_from_list
    >>> inked_length(ink_profile(rings_from_list([[(0, 0), (4, 0), (4, 4)]])), [-1.0, 1.0, 3.0]).tolist()
    [0.0, 1.0, 3.0]
    """
    at = np.asarray(x, float)
    i = np.searchsorted(profile.x, at, side="right") - 1
    inside = i >= 0
    i = np.maximum(i, 0)
    return np.where(inside, np.maximum(profile.length[i] + profile.slope[i] * (at - profile.x[i]), 0.0), 0.0)


class Slide(NamedTuple):
    """Where the seams go: `shift` added to every cut line, inked length that they then cross, and at shift 0."""

    shift: float
    crossed: float
    crossed_before: float


def slide_into_white(profile: InkProfile, cuts: ArrayLike, least: float, most: float) -> Slide:
    """The common shift in [least, most] of all cut lines (n,) that crosses the least ink; 0 must lie inside.

    The crossed length as a function of the shift is the sum of the profile seen from each line, so it is
    piecewise linear and its least value lies at a bend or beside a jump. Where a whole run of shifts is as
    good, its middle is taken, farthest from ink: of the widest run, of equal ones the nearest to 0.

    >>> from rotary.artwork.rings import rings_from_list
    >>> ink = ink_profile(rings_from_list([[(0, 0), (4, 0), (4, 4), (0, 4)], [(6, 0), (9, 0), (9, 4), (6, 4)]]))
    >>> slide_into_white(ink, [3.0], -1.0, 3.0)
    Slide(shift=2.0, crossed=0.0, crossed_before=4.0)
    """
    lines = np.asarray(cuts, float)
    if not least <= 0 <= most:
        raise ValueError("the range of shifts must include 0")
    before = float(inked_length(profile, lines).sum())
    if before == 0.0 or least == most:
        return Slide(0.0, before, before)
    left, right, at_left, at_right = _crossed_by_shift(profile, lines, least, most)
    low = float(min(at_left.min(), at_right.min()))
    if low >= before - SAME_LENGTH:
        return Slide(0.0, before, before)
    low = max(low, 0.0)
    flat = (at_left <= low + SAME_LENGTH) & (at_right <= low + SAME_LENGTH)
    if flat.any():
        edges = np.flatnonzero(np.diff(np.concatenate([[False], flat, [False]]).astype(np.int8)))
        start, stop = left[edges[::2]], right[edges[1::2] - 1]
    else:
        start = stop = np.concatenate([left[at_left <= low + SAME_LENGTH], right[at_right <= low + SAME_LENGTH]])
    middle = (start + stop) / 2
    best = middle[np.lexsort((np.abs(middle), -(stop - start).round(6)))[0]]
    return Slide(float(best), low, before)


def _crossed_by_shift(
    profile: InkProfile, lines: Floats, least: float, most: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """Intervals of the shift, and the crossed length at both ends of each, seen from inside."""
    width = np.diff(profile.x)
    jump = profile.length - np.concatenate([[0.0], profile.length[:-1] + profile.slope[:-1] * width])
    bend = np.diff(profile.slope, prepend=0.0)
    first = np.searchsorted(profile.x, lines + least, side="right")
    after = np.searchsorted(profile.x, lines + most, side="left")
    meets = [
        (profile.x[a:b] - line, jump[a:b], bend[a:b])
        for line, a, b in zip(lines.tolist(), first.tolist(), after.tolist(), strict=True)
        if b > a
    ]
    shift, jumps, bends = (
        (np.concatenate(column) for column in zip(*meets, strict=True)) if meets else (np.zeros(0),) * 3
    )
    order = np.argsort(shift, kind="stable")
    left = np.concatenate([[least], shift[order]])
    right = np.concatenate([shift[order], [most]])
    inside = np.where(first > 0, profile.slope[first - 1], 0.0)
    slope = float(inside.sum()) + np.concatenate([[0.0], np.cumsum(bends[order])])
    gain = slope * (right - left)
    start = float(inked_length(profile, lines + least).sum())
    at_left = start + np.concatenate([[0.0], np.cumsum(jumps[order] + gain[:-1])])
    return left, right, at_left, at_left + gain
