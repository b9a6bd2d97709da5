"""Distances on the wall: the grids find what looking at every piece finds."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.rings import Rings, rings_from_list
from rotary.formulas.revolution import straight_curve
from rotary.simulate.nearest import FAR_QUERIES, FARTHEST_MM, distances_mm, outline

RADIUS = 40.0
CYLINDER = straight_curve(RADIUS, 0.0, 100.0)


def on_wall(points_mm: np.ndarray) -> np.ndarray:
    """Flat points laid on the cylinder: angle by height."""
    return np.stack([points_mm[:, 0] / RADIUS, points_mm[:, 1]], 1)


@given(seed=st.integers(0, 10_000), far=st.sampled_from([0.01, 0.05, 0.2, 1.0]))
@settings(max_examples=40, deadline=None)
def test_distances_are_those_of_a_geometry_library(seed: int, far: float) -> None:
    """A wall unrolled: shapely measures the same from every place, near and far, up to where it is cut off."""
    rng = np.random.default_rng(seed)
    middle = np.array([rng.uniform(-30, 30), 50.0])
    ring = middle + np.cumsum(rng.normal(0, rng.choice([0.05, 2.0]), (30, 2)), axis=0)
    line = shapely.LinearRing(ring)
    on_it = shapely.line_interpolate_point(line, rng.uniform(0, line.length, 50))
    places = shapely.get_coordinates(on_it) + rng.normal(0, far, (50, 2))
    want = np.minimum(shapely.distance(shapely.points(places), line), FARTHEST_MM)
    found = distances_mm(outline(CYLINDER, rings_from_list([on_wall(ring)]), 0.0), on_wall(places))
    assert found == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize("turns", [-2, -1, 0, 1, 2])
def test_angles_a_turn_apart_are_one_place(turns: int) -> None:
    """Also across the back, where the angle jumps."""
    ring = rings_from_list([on_wall(np.array([[120.0, 10], [130.0, 10], [130.0, 20], [120.0, 20]]))])
    places = on_wall(np.array([[121.0, 10.02], [130.1, 15.0], [125.66, 20.03]]))
    places[:, 0] += 2 * np.pi * turns
    assert distances_mm(outline(CYLINDER, ring, 0.0), places) == pytest.approx([0.02, 0.1, 0.03], abs=1e-9)


def test_the_sides_of_artwork_that_meets_itself_are_no_outline() -> None:
    """All round, the two upright edges at the back are left out, the level ones kept."""
    wall = rings_from_list([[(-np.pi, 10.0), (np.pi, 10.0), (np.pi, 20.0), (-np.pi, 20.0)]])
    back = np.array([[np.pi, 15.0], [np.pi, 10.1], [0.0, 20.1]])
    assert distances_mm(outline(CYLINDER, wall, 0.0, ring=True), back) == pytest.approx([FARTHEST_MM, 0.1, 0.1])
    assert distances_mm(outline(CYLINDER, wall, 0.0), back)[0] == pytest.approx(0.0, abs=1e-9)


def test_ink_that_ends_at_the_back_has_its_outline_there() -> None:
    """Where only one of the artwork's two sides is inked, its end at the back is an edge like any other."""
    wall = rings_from_list(
        [[(-np.pi, 10.0), (-2.0, 10.0), (-2.0, 20.0), (-np.pi, 20.0)], [(2.0, 14.0), (np.pi, 14.0), (np.pi, 16.0)]]
    )
    back = np.array([[np.pi, 15.0], [-np.pi, 12.0], [np.pi, 18.0], [np.pi, 14.02]])
    found = distances_mm(outline(CYLINDER, wall, 0.0, ring=True), back)
    assert found == pytest.approx([FARTHEST_MM, 0.0, 0.0, 0.02], abs=1e-9)


def test_of_very_many_far_places_some_are_looked_at() -> None:
    """A file that is wrong all over is found wrong without taking all day; near places are all looked at."""
    wall = Rings(on_wall(np.array([[0.0, 10], [9.0, 10], [9.0, 20]])), np.array([0, 3]))
    far = on_wall(np.stack([np.linspace(0, 5, 4 * FAR_QUERIES), np.full(4 * FAR_QUERIES, 40.0)], 1))
    found = distances_mm(outline(CYLINDER, wall, 0.0), far)
    looked = np.isfinite(found)
    assert FAR_QUERIES / 2 < looked.sum() <= FAR_QUERIES
    assert (found[looked] == FARTHEST_MM).all()
