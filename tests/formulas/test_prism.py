"""A faceted body unrolled: corners, the way back, and points outside, against a geometry library."""

from math import pi, tan

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas.prism import (
    beyond_prism_mm,
    flat_number,
    unrolled_from_angle_mm,
)

FLATS = st.integers(3, 48)
APOTHEMS = st.floats(0.5, 200.0)


@given(FLATS, APOTHEMS)
def test_once_round_is_the_outline_of_the_polygon(flats: int, from_axis: float) -> None:
    """The unrolled length of a turn is the perimeter that a geometry library finds for the polygon."""
    corners = (np.arange(flats) + 0.5) * 2 * pi / flats
    outline = shapely.Polygon(from_axis / np.cos(pi / flats) * np.stack([np.sin(corners), np.cos(corners)], axis=1))
    turn = unrolled_from_angle_mm(2 * pi, from_axis, flats) - unrolled_from_angle_mm(0.0, from_axis, flats)
    assert float(turn) == pytest.approx(outline.length, rel=1e-12)


@pytest.mark.parametrize("flats", [3, 4, 6, 12, 48])
def test_corners_are_passed_without_a_step(flats: int) -> None:
    """Just before and just after a corner are the same place."""
    corner = pi / flats
    before, after = unrolled_from_angle_mm(np.array([corner - 1e-9, corner + 1e-9]), 10.0, flats)
    assert before == pytest.approx(after, abs=1e-6)
    assert before == pytest.approx(10.0 * tan(corner), abs=1e-6)
    assert flat_number([corner - 1e-9, corner + 1e-9], flats).tolist() == [0, 1]


@given(FLATS, st.floats(-1.0, 1.0), st.integers(0, 2**32 - 1))
def test_points_lie_outside_where_a_geometry_library_says(flats: int, top: float, seed: int) -> None:
    """On the polygon's rim nothing is left, inside it is negative, outside a flat it is the distance from that flat."""
    rng = np.random.default_rng(seed)
    corners = (np.arange(flats) + 0.5) * 2 * pi / flats - top
    polygon = shapely.Polygon(10 / np.cos(pi / flats) * np.stack([np.sin(corners), np.cos(corners)], axis=1))
    points = rng.uniform(-20, 20, (50, 2))
    found = beyond_prism_mm(points[:, 0], points[:, 1], 10.0, flats, top)
    places = shapely.points(points)
    inside = shapely.contains(polygon, places)
    assert np.array_equal(inside, found < 0)
    # From inside, the nearest side's plane; from outside a corner's neighbourhood the plane is nearer than the corner.
    away = shapely.distance(polygon.exterior, places)
    assert found[inside] == pytest.approx(-away[inside], abs=1e-9)
    assert (found[~inside] <= away[~inside] + 1e-9).all()
