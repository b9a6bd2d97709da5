"""Maps of real outlines: nowhere farther from the truth than promised, measured against a dense truth."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.rings import NO_INK, Rings, area_mm2, following, rings_from_list
from rotary.artwork.wall import on_wall
from rotary.artwork.warp import warped
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import Curve, radius_and_slope, straight_curve
from tests.curves import bent_curve

CONE = straight_curve(44.0, -0.06, 150.0)
BELLY = bent_curve([0, 50, 75, 100, 150], [30, 42, 43, 41, 33], [False, False, True, False, False])
CURVES = {"cylinder": straight_curve(40.0, 0.0, 150.0), "cone": CONE, "belly": BELLY}


def dense_truth(rings: Rings, curve: Curve, name: str, each: int = 64) -> tuple[np.ndarray, np.ndarray]:
    """Places on the wall of points along every edge, and the number of the edge that each comes from."""
    start = rings.points_mm
    end = start[following(rings.offsets)]
    share = np.linspace(0, 1, each, endpoint=False)
    points = start[:, None] + share[None, :, None] * (end - start)[:, None]
    place = MAPS[name][0](curve, 75.0, points[..., 0].ravel(), points[..., 1].ravel())
    return np.stack([place.angle_rad, place.s_mm], 1), np.repeat(np.arange(len(start)), each)


def worst_distance_mm(truth: np.ndarray, drawn: Rings, curve: Curve) -> float:
    """Largest distance of the true points from the drawn outline, in each point's tangent plane."""
    start = drawn.points_mm
    end = start[following(drawn.offsets)]
    worst = 0.0
    for block in np.array_split(truth, max(1, len(truth) * len(start) // 2_000_000)):
        radius, slant = radius_and_slope(curve, block[:, 1])
        unit = np.stack([radius, np.hypot(1, slant)], 1)[:, None]
        a, b = (start[None] - block[:, None]) * unit, (end[None] - block[:, None]) * unit
        step = b - a
        share = np.clip(-(a * step).sum(2) / np.maximum((step * step).sum(2), 1e-30), 0, 1)
        worst = max(worst, float(np.sqrt(((a + share[..., None] * step) ** 2).sum(2)).min(1).max()))
    return worst


@pytest.mark.parametrize("name", sorted(MAPS))
@pytest.mark.parametrize("curve", sorted(CURVES))
def test_straight_edges_follow_their_true_course_to_the_tolerance(name: str, curve: str) -> None:
    """A coarse star, edges up to 70 mm long, stays within 1 µm of the exact map everywhere between its points."""
    if (name, curve) == ("label", "belly"):
        pytest.skip("paper does not lie flat on a belly")
    turn = np.linspace(0, 2 * np.pi, 11, endpoint=False)
    size = np.where(np.arange(11) % 2, 33.0, 12.0)
    star = rings_from_list([np.stack([size * np.cos(turn), size * np.sin(turn)], 1)])
    drawn = on_wall(star, name, CURVES[curve], 75.0)
    truth, _ = dense_truth(star, CURVES[curve], name)
    assert worst_distance_mm(truth, drawn, CURVES[curve]) <= 0.001 * 1.001
    assert len(drawn.points_mm) < 3000


@given(
    slope=st.floats(-0.27, 0.27),
    radius=st.floats(4, 60),
    tolerance=st.sampled_from([0.0005, 0.005]),
    name=st.sampled_from(["true-width", "with-taper", "label"]),
)
@settings(max_examples=30, deadline=None)
def test_the_tolerance_holds_on_any_cone(slope: float, radius: float, tolerance: float, name: str) -> None:
    """From pens to drums and up to 15 degrees of taper, at half a micrometre and at five."""
    curve = straight_curve(radius - 75 * slope * radius / 60, slope * radius / 60, 150.0)
    size = radius / 2
    box = rings_from_list([[(-size, -size), (size, -size * 0.9), (size * 0.8, size), (-size * 0.3, size * 0.7)]])
    drawn = on_wall(box, name, curve, 75.0, tolerance)
    assert worst_distance_mm(dense_truth(box, curve, name)[0], drawn, curve) <= tolerance * 1.001


@pytest.mark.parametrize("name", ["true-width", "with-taper", "front-view"])
@pytest.mark.parametrize("size", [(20.0, 30.0), (41.99, 2.0), (1.0, 74.0)])
def test_tables_of_a_bellied_wall_are_not_seen(name: str, size: tuple[float, float]) -> None:
    """Large artwork takes a faster way on a bellied wall, over its corner, out to the rim of what is seen and close
    to foot and rim; it agrees with the exact one to a fiftieth of a µm."""
    turn = np.linspace(0, 2 * np.pi, 25_000, endpoint=False)
    large = rings_from_list([np.stack([size[0] * np.cos(turn), size[1] * np.sin(turn)], 1)])
    drawn = on_wall(large, name, BELLY, 75.0, 1.0)
    exact = MAPS[name][0](BELLY, 75.0, large.points_mm[:, 0], large.points_mm[:, 1])
    assert len(drawn.points_mm) == len(large.points_mm)
    radius = radius_and_slope(BELLY, exact.s_mm)[0]
    off_mm = np.hypot(radius * (drawn.points_mm[:, 0] - exact.angle_rad), drawn.points_mm[:, 1] - exact.s_mm)
    assert 0 < off_mm.max() < 2e-5


def test_a_map_without_a_place_for_large_artwork_is_refused_by_the_faster_way_too() -> None:
    """A point wider than the item is in view is an error however many points there are."""
    turn = np.linspace(0, 2 * np.pi, 25_000, endpoint=False)
    wide = rings_from_list([np.stack([43.5 * np.cos(turn), 5 * np.sin(turn)], 1)])
    with pytest.raises(ValueError, match="wider than the item seen"):
        on_wall(wide, "front-view", BELLY, 75.0)


def test_an_edge_whose_middle_happens_to_lie_right_is_still_followed() -> None:
    """A course that bends one way and back crosses its chord in the middle: looking there alone would miss it."""
    edge = rings_from_list([[(-1.0, 0.0), (1.0, 0.0), (0.0, 2.0)]])
    drawn = warped(edge, lambda x, y: (x, y + 0.2 * np.sin(np.pi * x) * (y < 1)), 1e-3)
    x = np.linspace(-1, 1, 501)
    on_line = drawn.points_mm[np.abs(drawn.points_mm[:, 1]) < 0.21]
    on_line = on_line[np.argsort(on_line[:, 0])]
    kept = on_line[np.abs(on_line[:, 1] - 0.2 * np.sin(np.pi * on_line[:, 0])) < 1e-9]
    assert np.abs(np.interp(x, kept[:, 0], kept[:, 1]) - 0.2 * np.sin(np.pi * x)).max() < 2e-3


def test_areas_on_the_wall_are_those_of_the_map() -> None:
    """A label that lies flat keeps its area on a cone: the area of its image, measured on the wall, is its own."""
    box = rings_from_list([[(-20, -25), (20, -25), (20, 25), (-20, 25)]])
    drawn = on_wall(box, "label", CONE, 75.0, 1e-5)
    # On a cone r = r0 + m s the area between heights is the integral of r sqrt(1 + m²): by Green's theorem
    # the area of the rings in (angle, r0 s + m s²/2), stretched.
    m, r0 = -0.06, 44.0
    s = drawn.points_mm[:, 1]
    unrolled = Rings(np.stack([drawn.points_mm[:, 0], r0 * s + m * s * s / 2], 1), drawn.offsets)
    assert area_mm2(unrolled) * np.hypot(1, m) == pytest.approx(2000.0, rel=1e-6)


@pytest.mark.slow
def test_what_can_not_be_followed_is_said() -> None:
    """A map without a value, or too rough to follow, is an error and no drawing, found before memory is full."""
    box = rings_from_list([[(0, 0), (2, 0), (2, 1), (0, 1)]])
    with pytest.raises(ValueError, match="would miss the item"):
        warped(box, lambda x, y: (np.where(x > 1, np.nan, x), y), 1e-3)
    with pytest.raises(ValueError, match="bends too sharply"):
        warped(box, lambda x, y: (x, y + 0.1 * np.sin(1e9 * x)), 1e-5)
    assert warped(NO_INK, lambda x, y: (x, y), 1e-3) is NO_INK
    with pytest.raises(ValueError, match="wider"):
        on_wall(rings_from_list([[(-50, 0), (50, 0), (0, 5)]]), "front-view", CURVES["cylinder"], 75.0)
