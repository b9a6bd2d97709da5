"""Turned bodies, against a reference interpolator, numeric quadrature and their own inverse."""

from itertools import pairwise
from math import atan, cos, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from rotary.formulas import revolution as turned
from tests.curves import bent_curve

profiles = st.lists(st.tuples(st.floats(0.5, 60.0), st.floats(1.5, 200.0)), min_size=2, max_size=9).map(
    lambda pairs: (np.cumsum([step for step, _ in pairs]), np.array([r for _, r in pairs]))
)


@given(profiles)
def test_a_cubic_curve_is_the_reference_librarys(profile: tuple[np.ndarray, np.ndarray]) -> None:
    """Through scipy's own knots and slopes it has the radius and slope of scipy's interpolator all along."""
    s, r = profile
    curve, reference = bent_curve(s, r), PchipInterpolator(s, r)
    heights = np.linspace(s[0], s[-1], 101)
    assert turned.radius_mm(curve, heights) == pytest.approx(reference(heights), rel=1e-10, abs=1e-10)
    inner = heights[1:-1]
    assert turned.slope(curve, inner) == pytest.approx(reference.derivative()(inner), rel=1e-7, abs=1e-7)


def test_beyond_the_stations_the_wall_goes_on_straight() -> None:
    """Radius and slope keep the end's slope on both sides."""
    curve = bent_curve([10.0, 20.0, 40.0], [30.0, 33.0, 34.0])
    for end, beyond in ((10.0, 2.0), (40.0, 55.0)):
        slope = float(turned.slope(curve, end))
        assert turned.slope(curve, beyond) == pytest.approx(slope)
        assert turned.radius_mm(curve, beyond) == pytest.approx(
            float(turned.radius_mm(curve, end)) + slope * (beyond - end)
        )


@settings(max_examples=40)
@given(profiles, st.floats(0.0, 1.0))
def test_meridian_length_is_what_numeric_quadrature_finds(profile: tuple[np.ndarray, np.ndarray], share: float) -> None:
    """The length along the wall agrees with an adaptive integral of the distance from point to point."""
    s, r = profile
    curve = bent_curve(s, r)
    top = s[0] + share * (s[-1] - s[0])
    reference = PchipInterpolator(s, r).derivative()
    ends = [*(x for x in s if x < top), top]
    # Over a stretch of some last digits the quadrature only doubts itself.
    length = sum(
        quad(lambda x: float(np.hypot(1, reference(x))), a, b, epsabs=1e-10, limit=200)[0]
        for a, b in pairwise(ends)
        if b - a > 1e-9
    )
    assert turned.arc_from_height_mm(curve, top) == pytest.approx(
        length, rel=1e-3 if steepest(curve) > 10 else 1e-6, abs=2e-9 * (1 + steepest(curve))
    )


def steepest(curve: turned.Curve) -> float:
    return float(np.abs(turned.slope(curve, np.linspace(curve.s_mm[0], curve.s_mm[-1], 500))).max())


@pytest.mark.parametrize(("angle", "fine"), [(40, 1e-12), (60, 1e-9), (80, 1e-6)])
def test_a_dome_is_as_long_as_its_arc(angle: float, fine: float) -> None:
    """A sphere measured every two degrees has the meridian of a great circle, as well as a cubic can follow it."""
    latitudes = np.radians(np.linspace(0, angle, angle // 2 + 1))
    curve = bent_curve(50 * np.sin(latitudes), 50 * np.cos(latitudes))
    assert curve.arc_mm[-1] == pytest.approx(50 * latitudes[-1], rel=2e-5)
    halves = np.linspace(curve.s_mm[0], curve.s_mm[-1], 20001)
    chords = np.hypot(np.diff(halves), np.diff(turned.radius_mm(curve, halves))).sum()
    assert curve.arc_mm[-1] == pytest.approx(chords, rel=max(fine, 3e-8))


@given(profiles, st.lists(st.floats(-0.2, 1.2), min_size=1, max_size=20))
def test_height_and_length_are_each_others_inverse(profile: tuple[np.ndarray, np.ndarray], shares: list[float]) -> None:
    """There and back again, below the foot and beyond the rim too."""
    curve = bent_curve(*profile)
    s = curve.s_mm[0] + np.array(shares) * (curve.s_mm[-1] - curve.s_mm[0])
    back = turned.height_from_arc_mm(curve, turned.arc_from_height_mm(curve, s))
    assert back == pytest.approx(s, rel=1e-9, abs=1e-9)


@settings(max_examples=40)
@given(profiles)
def test_many_places_at_once_are_where_each_alone_would_be(profile: tuple[np.ndarray, np.ndarray]) -> None:
    """The table that large artwork is laid by agrees with solving for every place, as do the ends and beyond."""
    curve = bent_curve(*profile)
    arcs = np.concatenate([curve.arc_mm, np.linspace(-5, curve.arc_mm[-1] + 5, 4001)])
    alone = np.concatenate([turned.height_from_arc_mm(curve, part) for part in np.array_split(arcs, 40)])
    assert np.abs(turned.height_from_arc_mm(curve, arcs) - alone).max() < 2e-7


@given(st.floats(-40.0, 40.0), st.floats(1.0, 500.0))
def test_two_stations_make_the_straight_curve(degrees: float, length: float) -> None:
    """A cone by two stations and a cone by its slope are the same body, cylinder included."""
    slope = tan(np.radians(degrees))
    straight = turned.straight_curve(500.0, slope, length)
    measurements = bent_curve([0.0, length], [500.0, 500.0 + slope * length])
    places = np.linspace(-10, length + 10, 9)
    assert turned.is_straight(straight)
    assert turned.radius_mm(straight, places) == pytest.approx(turned.radius_mm(measurements, places))
    assert turned.arc_from_height_mm(straight, places) == pytest.approx(places / cos(atan(slope)))


def test_pieces_on_one_line_are_straight_and_others_are_not() -> None:
    """Straightness is seen through redundant knots, and lost by a hair off the line."""
    assert turned.is_straight(bent_curve([0, 10, 50], [40, 41, 45]))
    assert not turned.is_straight(bent_curve([0, 10, 50], [40, 41.001, 45]))


@given(profiles)
def test_the_fitted_cone_is_the_least_squares_line(profile: tuple[np.ndarray, np.ndarray]) -> None:
    """It agrees with numpy's polynomial fit, and no residual is left that a line could take up."""
    s, r = profile
    cone = turned.fitted_cone(s, r)
    slope, start = np.polyfit(s, r, 1)
    assert cone.slope == pytest.approx(slope, abs=1e-8)
    assert cone.radius_at_zero_mm == pytest.approx(start, abs=1e-6)
    assert float(cone.residual_mm @ (s - s.mean())) == pytest.approx(0, abs=1e-6)
