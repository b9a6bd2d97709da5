r"""The wall between few measured places: the likeliest radius at each height, and how well it is known.

::

     r |      x---__                x  measured: a diameter at a height
       |   x /      \__x            -  the likeliest wall between them
       |   |::        ::\           :  where it may run (95 %): narrow at a place, wide between two
       +------------------ s

Between two corners the radius is a Gaussian process [rasmussen2006]: a straight line that nothing is known of, plus a
bend of Matérn's covariance with 5/2 (twice differentiable, as drawn and turned walls are). How far its bends reach and
how deep they go is not known: lengths and depths are averaged, each weighed by the restricted likelihood of what was
measured. Derivation: docs/formulas/revolution.md. Source: rasmussen2006, eqs. 2.23-2.24, 2.42, 4.17 (from memory,
not seen).
"""

from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.revolution import Curve, cubic_curve, fitted_cone

LENGTHS: Final = np.array([0.5, 1.0, 2.0, 4.0])
"""How far a bend reaches, as shares of the part between two corners."""

LENGTH_CHANCES: Final = np.array([0.1, 0.3, 0.4, 0.2])
"""What is believed of those before anything is measured; settled on invented walls (estimate)."""

DEPTHS: Final = np.geomspace(0.0003, 1.0, 8)
"""How deep bends go, as shares of the part; each is as likely as any other."""

KNOTS: Final = 8
"""Pieces of the wall between two places: so many cubics follow the likeliest wall to well under a micrometre."""

BOW_SHARE: Final = 0.02
"""How far a part with no place between its corners may bow, as a share of its length (95 %, estimate)."""

STRAIGHT_BOW_SHARE: Final = 0.0005
"""How far a wall that is taken for straight may bow between two places, as a share of their distance (95 %): what
light under a straightedge shows at a glance. Estimate, no source."""

EDGE_CHANCE: Final = 0.5
"""Bends that are likelier than this to be the shortest: an edge may have been left unmarked."""


SAME_HEIGHT_MM: Final = 1e-6
"""Heights nearer to each other than this are one."""


class Spread(NamedTuple):
    """How well a radius is known: standard uncertainties sd_mm (m,) at heights s_mm (m,), rising."""

    s_mm: Floats
    sd_mm: Floats


class Meridian(NamedTuple):
    """The likeliest wall, how well it is known, and where an edge may have been left unmarked (nan: nowhere)."""

    curve: Curve
    spread: Spread
    edge_mm: float


class _Part(NamedTuple):
    """A part between two corners at heights s (m,): radius, slope and standard uncertainty; a doubtful edge or nan."""

    s_mm: Floats
    radius_mm: Floats
    slope: Floats
    sd_mm: Floats
    edge_mm: float


class MeasuredPlaces(NamedTuple):
    """Measured places, rising: heights and radii (n,) [mm], standard uncertainties of both, and which are corners.

    u_radius_mm (n,) float > 0 [mm]; u_height_mm float [mm]; corner (n,) bool, the slope breaks there.
    """

    s_mm: Floats
    radius_mm: Floats
    u_radius_mm: Floats
    u_height_mm: float
    corner: NDArray[np.bool_]


def meridian(places: MeasuredPlaces, length_mm: float) -> Meridian:
    """The likeliest wall through two measured places or more, from s = 0 to `length_mm`.

    Raises ValueError where heights don't rise or an uncertainty is 0.

    >>> s = np.linspace(0, 110, 6)
    >>> places = MeasuredPlaces(s, 30 + 13 * np.sin(np.pi * s / 110), np.full(6, 0.025), 0.0, np.zeros(6, bool))
    >>> wall = meridian(places, 110.0)
    >>> bool(abs(np.interp(55, wall.curve.s_mm[:-1], wall.curve.coefficients[0]) - 43) < 0.01)
    True
    """
    s, r, u, u_height, corner = places
    if len(s) < 2 or not (np.diff(s) > 0).all() or not (u > 0).all():
        raise ValueError("give at least two places, rising, each with an error above zero")
    borders = [0, *(int(i) for i in np.flatnonzero(corner) if 0 < i < len(s) - 1), len(s) - 1]
    ends = [min(0.0, s[0]), *s[borders[1:-1]], max(length_mm, s[-1])]
    parts = [
        _part(MeasuredPlaces(s[a : b + 1], r[a : b + 1], u[a : b + 1], u_height, corner), from_mm, to_mm)
        for (a, b), (from_mm, to_mm) in zip(pairwise(borders), pairwise(ends), strict=True)
    ]
    parts = _joined(parts)
    curve = cubic_curve(
        np.concatenate([part.s_mm[:-1] for part in parts] + [parts[-1].s_mm[-1:]]),
        np.concatenate([np.stack([part.radius_mm[:-1], part.radius_mm[1:]]) for part in parts], axis=1),
        np.concatenate([np.stack([part.slope[:-1], part.slope[1:]]) for part in parts], axis=1),
    )
    edges = [part.edge_mm for part in parts if np.isfinite(part.edge_mm)]
    # At a corner the part that knows it less is believed.
    heights = np.concatenate([part.s_mm for part in parts])
    sd = np.concatenate([part.sd_mm for part in parts])
    knots, place = np.unique(heights, return_inverse=True)
    widest = np.zeros(len(knots))
    np.maximum.at(widest, place, sd)
    return Meridian(curve, Spread(knots, widest), edges[0] if edges else np.nan)


def straight_spread(s_mm: ArrayLike, u_radius_mm: ArrayLike, length_mm: float) -> Spread:
    """How well a straight wall is known that goes through places (n,) with standard uncertainties (n,) [mm], n >= 2.

    Least squares of the line, and between two places a bow of `STRAIGHT_BOW_SHARE`, greatest half way.

    >>> known = straight_spread([0.0, 100.0], [0.025, 0.025], 100.0)
    >>> (1.96 * np.interp([0.0, 50.0], *known)).round(3).tolist()
    [0.049, 0.061]
    """
    s, u = np.asarray(s_mm, float), np.asarray(u_radius_mm, float)
    t = _knots(s, min(0.0, s[0]), max(length_mm, s[-1]))
    return Spread(t, _straight_sd(s, u, t, STRAIGHT_BOW_SHARE))


def _straight_sd(s: Floats, u: Floats, t: Floats, bow_share: float) -> Floats:
    weight = u**-2.0
    middle = np.sum(weight * s) / np.sum(weight)
    variance = 1 / np.sum(weight) + (t - middle) ** 2 / np.sum(weight * (s - middle) ** 2)
    gap = np.minimum(np.maximum(np.searchsorted(s, t, side="right") - 1, 0), len(s) - 2)
    wide = np.diff(s)[gap]
    x = (t - s[gap]) / wide
    # A parabola over each gap, which goes on beyond the ends.
    return np.asarray(np.sqrt(variance + (bow_share / HOLDS_95 * wide * 4 * x * (1 - x)) ** 2))


def _knots(s: Floats, from_mm: float, to_mm: float) -> Floats:
    """Eight to a gap between places, and between them and the part's ends."""
    ends = [end for end in (from_mm, to_mm) if min(abs(s - end)) > SAME_HEIGHT_MM]
    borders = np.sort([*s, *ends])
    shares = np.arange(KNOTS) / KNOTS
    return np.append((borders[:-1, None] + np.diff(borders)[:, None] * shares).ravel(), borders[-1])


def _part(places: MeasuredPlaces, from_mm: float, to_mm: float) -> _Part:
    s, r, u, u_height, _ = places
    t = _knots(s, from_mm, to_mm)
    known = np.hypot(u, np.gradient(r, s) * u_height)
    zero, slope, off = fitted_cone(s, r)
    if len(s) > 2 and (np.abs(off) > HOLDS_95 * u).any():
        return _bent(s, r, known, t)
    # Two places say nothing of a bow; more of them on a line, as nearly as they were measured, do.
    sd = _straight_sd(s, known, t, BOW_SHARE if len(s) == 2 else STRAIGHT_BOW_SHARE)
    return _Part(t, zero + slope * t, np.full(len(t), slope), sd, np.nan)


def _matern(apart: Floats) -> tuple[Floats, Floats]:
    """Matérn's correlation with 5/2 at distances in lengths (signed), and its slope."""
    far = np.sqrt(5.0) * np.abs(apart)
    fall = np.exp(-far)
    return (1 + far + far * far / 3) * fall, -5 / 3 * apart * (1 + far) * fall


def _bent(s: Floats, r: Floats, u: Floats, t: Floats) -> _Part:
    """A part of three places or more, all lengths (4) and depths (8) of its bends at once."""
    long = s[-1] - s[0]
    x, y = (s - s[0]) / long - 0.5, (t - s[0]) / long - 0.5
    line = np.stack([np.ones(len(x)), x], axis=1)
    start = np.linalg.lstsq(line, r, rcond=None)[0]
    off = (r - line @ start) / long
    reach, deep = LENGTHS[:, None, None, None], (DEPTHS**2)[:, None, None]
    among = deep * _matern((x[:, None] - x) / reach)[0] + np.diag((u / long) ** 2)
    inverse = np.linalg.inv(among)
    on_line = inverse @ line
    known = line.T @ on_line
    spread = np.linalg.inv(known)
    trend = spread @ (np.swapaxes(on_line, -1, -2) @ off)[..., None]
    rest = off[:, None] - line @ trend
    pull = inverse @ rest
    fit = -0.5 * (np.linalg.slogdet(among)[1] + np.linalg.slogdet(known)[1] + (off @ pull)[..., 0])
    fit += np.log(LENGTH_CHANCES)[:, None]
    chance = np.exp(fit - fit.max())
    chance /= chance.sum()
    level, rise = _matern((y[:, None] - x) / reach)
    level, rise = deep * level, deep * rise / reach
    there = np.stack([np.ones(len(y)), y], axis=1)
    mean = (there @ trend + level @ pull)[..., 0]
    slope = trend[:, :, 1] + (rise @ pull)[..., 0]
    gain = level @ inverse
    left = there - gain @ line
    variance = deep[..., 0] - np.sum(gain * level, axis=-1) + np.sum(left @ spread * left, axis=-1)
    weight = chance[..., None]
    best = np.sum(weight * mean, axis=(0, 1))
    within = np.sum(weight * (np.maximum(variance, 0.0) + (mean - best) ** 2), axis=(0, 1))
    return _Part(
        t,
        long * best + start[0] + start[1] * y,
        np.sum(weight * slope, axis=(0, 1)) + start[1] / long,
        long * np.sqrt(within),
        _doubtful_edge(s, r) if chance[0].sum() > EDGE_CHANCE else np.nan,
    )


def _doubtful_edge(s: Floats, r: Floats) -> float:
    """The place between its neighbours at which the wall turns most."""
    return float(s[1 + int(np.argmax(np.abs(np.diff(np.arctan(np.diff(r) / np.diff(s))))))])


def _joined(parts: list[_Part]) -> list[_Part]:
    """The parts with one radius at each corner, half way between theirs; what that takes is shared out along them."""
    ends = np.array([(part.radius_mm[0], part.radius_mm[-1]) for part in parts])
    shift = np.zeros_like(ends)
    shift[1:, 0] = (ends[:-1, 1] - ends[1:, 0]) / 2
    shift[:-1, 1] = -shift[1:, 0]
    joined = []
    for part, (low, high) in zip(parts, shift.tolist(), strict=True):
        long = part.s_mm[-1] - part.s_mm[0]
        added = low + (high - low) * (part.s_mm - part.s_mm[0]) / long
        joined.append(part._replace(radius_mm=part.radius_mm + added, slope=part.slope + (high - low) / long))
    return joined
