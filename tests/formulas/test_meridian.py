"""The wall between few places: against scipy's splines, kriging by its textbook system, and blind walls."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pytest
from scipy.integrate import quad_vec
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.special import gamma, kv

from rotary.formulas import meridian as few
from rotary.formulas.meridian import MeasuredPlaces, Meridian, meridian
from rotary.formulas.revolution import radius_mm, slope

CALIPERS_MM = 0.1
RULE_MM = 0.3


def walled(s: list[float], r: list[float], within: float = CALIPERS_MM, corner: tuple[int, ...] = ()) -> Meridian:
    """The wall through places whose diameters are known within so much (95 %)."""
    n = len(s)
    corners = np.isin(np.arange(n), corner)
    return meridian(
        MeasuredPlaces(np.array(s, float), np.array(r, float), np.full(n, within / 3.92), 0.0, corners), s[-1]
    )


def matern(apart: np.ndarray) -> np.ndarray:
    """Matérn's covariance as it is defined, by the modified Bessel function [rasmussen2006, 4.14, memory], for 5/2."""
    x = np.sqrt(5.0) * np.maximum(np.abs(apart), 1e-9)
    return np.asarray(2**-1.5 / gamma(2.5) * x**2.5 * kv(2.5, x))


def test_the_likeliest_wall_is_the_average_of_universal_kriging() -> None:
    """Mean and spread agree with one dense solve for each length and depth, trend and bends in one system of equations,
    weighed by the density of the residual contrasts (restricted likelihood by its definition)."""
    s, r, u = np.array([0.0, 25, 60, 80, 120]), np.array([30.0, 34, 36.5, 35, 28]), np.full(5, 0.03)
    at, x, y = np.linspace(5, 115, 12), s / 120 - 0.5, np.linspace(5, 115, 12) / 120 - 0.5
    line, there = np.stack([np.ones(5), x]).T, np.stack([np.ones(12), y]).T
    contrast = np.linalg.svd(line)[0][:, 2:]
    means, spreads, logs = [], [], []
    for reach, chance in zip((0.5, 1.0, 2.0, 4.0), (0.1, 0.3, 0.4, 0.2), strict=True):
        for deep in np.geomspace(0.0003, 1.0, 8):
            k = (120 * deep) ** 2 * matern((x[:, None] - x) / reach) + np.diag(u**2)
            cross = (120 * deep) ** 2 * matern((y[:, None] - x) / reach)
            system = np.block([[k, line], [line.T, np.zeros((2, 2))]])
            weights = np.linalg.solve(system, np.hstack([cross, there]).T)
            means.append(weights[:5].T @ r)
            spreads.append((120 * deep) ** 2 - np.sum(weights * np.hstack([cross, there]).T, axis=0))
            seen, rest = contrast.T @ k @ contrast, contrast.T @ r
            logs.append(np.log(chance) - 0.5 * (np.linalg.slogdet(seen)[1] + rest @ np.linalg.solve(seen, rest)))
    share = np.exp(np.array(logs) - max(logs))[:, None]
    share /= share.sum()
    mean = np.sum(share * means, axis=0)
    sd = np.sqrt(np.sum(share * (np.array(spreads) + (np.array(means) - mean) ** 2), axis=0))
    wall = meridian(MeasuredPlaces(s, r, u, 0.0, np.zeros(5, bool)), 120.0)
    # The wall is kept as cubics, its spread as lines between eighths of each gap.
    assert radius_mm(wall.curve, at) == pytest.approx(mean, abs=1e-3)
    assert np.interp(at, *wall.spread) == pytest.approx(sd, rel=0.06)


def test_slopes_are_those_of_a_spline_through_the_wall() -> None:
    """The pieces follow the likeliest wall so closely that scipy's spline through their knots has the same slopes."""
    wall = walled([0, 22, 44, 66, 88, 110], [30, 37.64, 42.365, 42.365, 37.64, 30])
    knots = wall.curve.s_mm
    spline = CubicSpline(knots, radius_mm(wall.curve, knots))
    inner = slice(4, -4)
    assert slope(wall.curve, knots)[inner] == pytest.approx(spline(knots, 1)[inner], abs=2e-4)
    between = np.linspace(15, 95, 333)
    assert radius_mm(wall.curve, between) == pytest.approx(spline(between), abs=2e-4)


def test_a_belly_from_six_places_is_ten_times_nearer_than_the_monotone_curve() -> None:
    """A sine of 13 mm: monotone interpolation flattens its middle by 0.64 mm, the likeliest wall stays within 0.05."""
    s = np.linspace(0, 110, 6)
    belly = 30 + 13 * np.sin(np.pi * s / 110)
    at = np.linspace(25, 85, 121)
    true = 30 + 13 * np.sin(np.pi * at / 110)
    assert np.abs(PchipInterpolator(s, belly)(at) - true).max() > 0.6
    wall = walled(list(s), list(belly))
    assert np.abs(radius_mm(wall.curve, at) - true).max() < 0.05
    random = np.random.default_rng(11)
    held = []
    for _ in range(40):
        noisy = walled(list(s), list(belly + random.normal(0, CALIPERS_MM / 3.92, 6)))
        off = np.abs(radius_mm(noisy.curve, at) - true)
        held.append((off <= 1.96 * np.interp(at, *noisy.spread)).mean())
    assert np.mean(held) > 0.9


def test_a_straight_wall_stays_straight_and_well_known() -> None:
    """MeasuredPlaces on a line give that line; where they were measured they are known as well as the calipers say."""
    wall = walled([0, 40, 75, 110, 150], [44, 41.6, 39.5, 37.4, 35])
    at = np.linspace(0, 150, 61)
    assert radius_mm(wall.curve, at) == pytest.approx(44 - 0.06 * at, abs=1e-9)
    assert (1.96 * wall.spread.sd_mm).max() < 0.06


def test_a_corner_parts_the_wall() -> None:
    """Beyond a corner the wall is what it would be alone but for its end; two corners with none between are joined by
    a straight line that may bow by 2 % of its length."""
    s, r = [0.0, 40, 80, 120, 160, 200, 230], [36.5, 36.5, 36.5, 36.5, 36.5, 22.5, 22.5]
    wall = walled(s, r, corner=(4, 5))
    assert radius_mm(wall.curve, [20, 100, 150]) == pytest.approx([36.5] * 3, abs=1e-6)
    assert radius_mm(wall.curve, [170, 180, 190]) == pytest.approx([33, 29.5, 26], abs=1e-6)
    assert 1.96 * np.interp(180, *wall.spread) == pytest.approx(0.8, rel=0.01)
    assert np.isnan(wall.edge_mm)
    bent = walled([0.0, 30, 60, 90, 120, 150], [30, 36, 38, 39, 30, 20], corner=(3,))
    low, high = bent.curve.coefficients[0], radius_mm(bent.curve, bent.curve.s_mm[1:] - 1e-9)
    assert high[:-1] == pytest.approx(low[1:], abs=1e-6)
    assert abs(slope(bent.curve, 90.0) - slope(bent.curve, 90.0 - 1e-6)) > 0.1


def test_an_unmarked_edge_is_asked_about() -> None:
    """A bottle's shoulder that nobody called a corner: the places alone suggest an edge, at the shoulder."""
    assert walled([0, 40, 80, 120, 160, 200, 230], [36.5, 36.5, 36.5, 36.5, 36.5, 22.5, 22.5]).edge_mm in (160, 200)
    assert np.isnan(walled([0, 22, 44, 66, 88, 110], [30, 37.64, 42.365, 42.365, 37.64, 30]).edge_mm)


def test_heights_count_where_the_wall_is_steep() -> None:
    """A height that may be off by 0.3 mm costs a steep place more than a level one."""
    s, r = np.array([0.0, 30, 60, 90]), np.array([30.0, 44, 46, 46])
    given = [meridian(MeasuredPlaces(s, r, np.full(4, 0.02), u, np.zeros(4, bool)), 90.0) for u in (0.0, 0.15)]
    low, high = (wall.spread.sd_mm[[0, -1]] for wall in given)
    assert high[0] > 2 * low[0]
    assert high[1] < 1.2 * low[1]


@pytest.mark.parametrize(("s", "u"), [([0.0, 0.0], 0.02), ([5.0, 1.0], 0.02), ([0.0], 0.02), ([0.0, 9.0], 0.0)])
def test_places_that_make_no_wall_are_an_error(s: list[float], u: float) -> None:
    """Equal or falling heights, one place, or one known exactly raise ValueError."""
    with pytest.raises(ValueError, match="places"):
        meridian(MeasuredPlaces(np.array(s), np.ones(len(s)), np.full(len(s), u), 0.0, np.zeros(len(s), bool)), 9.0)


class BlindWall(NamedTuple):
    """An invented wall: its length, its radius at a height, and how many places are measured."""

    long: float
    radius: Callable[[np.ndarray], np.ndarray]
    count: int


def blind_wall(random: np.random.Generator) -> BlindWall:
    """A belly, a waist, a flare, a tulip, a wave, a dome, a soft shoulder or a rolled rim, none of them a Gaussian
    process."""
    long, wide, share = random.uniform(40, 240), random.uniform(8, 60), random.uniform(0.2, 0.8)
    deep, sharp = wide * random.uniform(0.02, 0.35), random.uniform(0.12, 0.6)
    turn, phase, power = random.uniform(0.5, 1.5), random.uniform(0, 6.28), random.uniform(1.3, 3)
    great = random.uniform(0.85, 2)
    walls: list[Callable[[np.ndarray], np.ndarray]] = [
        lambda x: wide + deep * np.sin(np.pi * x),
        lambda x: wide - deep / 2 * (1 + np.tanh((x - share) / sharp)),
        lambda x: wide + deep * np.exp(-(((x - share) / sharp) ** 2)),
        lambda x: wide * (1 - deep / wide * x**power),
        lambda x: wide + deep / 2 * np.sin(2 * np.pi * turn * x + phase) + deep / 4 * x,
        lambda x: wide - deep * (1 - np.sqrt(1 - ((x - share) / great) ** 2)),
        lambda x: wide - deep / 2 * (1 + np.tanh((x - share) / (sharp / 3))),
        lambda x: wide + deep / 3 * np.exp((x - 1) / (sharp / 2)),
    ]
    return BlindWall(long, walls[random.integers(len(walls))], int(random.integers(4, 9)))


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_stated_ranges_hold_on_blind_walls(seed: int) -> None:
    """On 600 invented walls, diameters read to ± 0.1 mm at heights read to ± 0.3 mm, 90 to 97 % of the middle three
    fifths of the wall lie within the stated range (95 %). Where it could be known, it is: the median error is small."""
    random = np.random.default_rng(seed)
    held, off = [], []
    for _ in range(600):
        wall = blind_wall(random)
        inner = (np.arange(1, wall.count - 1) + random.uniform(-0.25, 0.25, wall.count - 2)) / (wall.count - 1)
        s = wall.long * np.concatenate([[0.0], inner, [1.0]])
        at = np.clip(s + random.normal(0, RULE_MM / 1.96, wall.count), 0, wall.long)
        r = wall.radius(at / wall.long) + random.normal(0, CALIPERS_MM / 3.92, wall.count)
        given = MeasuredPlaces(
            s, r, np.full(wall.count, CALIPERS_MM / 3.92), RULE_MM / 1.96, np.zeros(wall.count, bool)
        )
        fitted = meridian(given, wall.long)
        t = np.linspace(0.2, 0.8, 25) * wall.long
        error = np.abs(radius_mm(fitted.curve, t) - wall.radius(t / wall.long))
        held.append((error <= 1.96 * np.interp(t, *fitted.spread)).mean())
        off.append(error.max())
    assert 0.90 <= np.mean(held) <= 0.975
    assert np.median(off) < 0.1


def test_the_shapes_of_bends_are_believed_as_stated() -> None:
    """Chances of the lengths are whole, and Matérn's covariance is the one defined by its spectrum."""
    assert few.LENGTH_CHANCES.sum() == pytest.approx(1)
    apart = np.linspace(0, 3, 7)
    # The spectral density of 5/2 falls as (5 + w²)^-3 in one dimension.
    power = quad_vec(lambda w: np.cos(w * apart) * (5 + w * w) ** -3.0, 0, np.inf)[0]
    assert few._matern(apart)[0] == pytest.approx(power / power[0], abs=1e-6)
