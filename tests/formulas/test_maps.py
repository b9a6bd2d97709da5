"""Surface maps: what each keeps true, and their derivatives against differences of the maps themselves."""

from math import pi, tan
from typing import get_args

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rotary.artwork.layout import MapName
from rotary.formulas import maps
from rotary.formulas import revolution as turned
from tests.curves import bent_curve

BELLIED = bent_curve([0, 30, 60, 100, 140], [35, 40, 42.5, 40, 30])
CONE = turned.straight_curve(44.0, -0.06, 150.0)
WIDENING = turned.straight_curve(20.0, tan(np.radians(40)), 100.0)
CYLINDER = turned.straight_curve(40.0, 0.0, 100.0)
BODIES = {"bellied": BELLIED, "cone": CONE, "widening": WIDENING, "cylinder": CYLINDER}

flat_u, flat_v = st.floats(-25.0, 25.0), st.floats(-20.0, 20.0)


def test_every_map_that_a_job_file_can_name_is_there() -> None:
    """The names in the job file and the functions behind them are the same four."""
    assert set(maps.MAPS) == set(get_args(MapName))


@pytest.mark.parametrize(
    ("name", "body"), [(name, body) for name in maps.MAPS for body in BODIES if (name, body) != ("label", "bellied")]
)
@given(u=flat_u, v=flat_v)
def test_the_derivative_is_the_limit_of_differences(name: str, body: str, u: float, v: float) -> None:
    """Central differences of each map agree with its analytic derivative, on every kind of wall."""
    place, derivative = maps.MAPS[name]
    step = 1e-4
    near = place(BODIES[body], 50.0, np.array([u + step, u - step, u, u]), np.array([v, v, v + step, v - step]))
    exact = derivative(BODIES[body], 50.0, u, v)
    by_u, by_v = [(x[0] - x[1]) / (2 * step) for x in near], [(x[2] - x[3]) / (2 * step) for x in near]
    assert [*by_u, *by_v] == pytest.approx(
        [float(x) for x in (exact.s_u, exact.angle_u, exact.s_v, exact.angle_v)], rel=1e-5, abs=1e-7
    )


@pytest.mark.parametrize("name", maps.MAPS)
@pytest.mark.parametrize("body", ["cone", "widening", "cylinder"])
@given(u=flat_u, v=flat_v)
def test_left_and_right_are_mirror_images(name: str, body: str, u: float, v: float) -> None:
    """A place to the left of the middle lies as high and as far round as its twin to the right."""
    (s, other), (angle, opposite) = maps.MAPS[name][0](BODIES[body], 50.0, np.array([u, -u]), v)
    assert s == pytest.approx(other)
    assert angle == pytest.approx(-opposite)
    assert angle * u >= 0


@given(flat_u, flat_v)
def test_true_width_keeps_horizontal_lengths_and_meridian_heights(u: float, v: float) -> None:
    """Round the ring the distance from the middle is u, along the wall it is v."""
    s, angle = maps.true_width(BELLIED, 50.0, u, v)
    assert angle * turned.radius_mm(BELLIED, s) == pytest.approx(u)
    climbed = turned.arc_from_height_mm(BELLIED, s) - turned.arc_from_height_mm(BELLIED, 50.0)
    assert climbed == pytest.approx(v, abs=1e-9)


@given(flat_u, flat_v)
def test_with_taper_runs_its_sides_straight_up_the_wall(u: float, v: float) -> None:
    """The angle of a column doesn't depend on the height, and at the centre it is true to width."""
    assert maps.with_taper(BELLIED, 50.0, u, v).angle_rad == maps.with_taper(BELLIED, 50.0, u, 0).angle_rad
    assert maps.with_taper(BELLIED, 50.0, u, 0).angle_rad * turned.radius_mm(BELLIED, 50.0) == pytest.approx(u)


@given(flat_u, flat_v)
def test_front_view_looks_from_far_in_front_as_it_was_drawn(u: float, v: float) -> None:
    """Projected on a plane in front the place is at (u, v) again."""
    s, angle = maps.front_view(BELLIED, 50.0, u, v)
    assert turned.radius_mm(BELLIED, s) * np.sin(angle) == pytest.approx(u)
    assert s - 50.0 == pytest.approx(v)


@given(st.floats(-0.8, 0.8), flat_u, st.floats(-15.0, 15.0))
def test_a_decal_keeps_the_distance_to_the_cones_point(slope: float, u: float, v: float) -> None:
    """On the cone and on paper a place is equally far from the point, at R = r / sin|α|."""
    assume(abs(slope) > 1e-3)
    curve = turned.straight_curve(40.0 - 50.0 * slope, slope, 100.0)
    sine = abs(np.sin(np.arctan(slope)))
    s, angle = maps.decal(curve, 50.0, u, v)
    towards = 1.0 if slope < 0 else -1.0
    down = 40.0 / sine - towards * v
    assume(down > 1)
    assert turned.radius_mm(curve, s) / sine == pytest.approx(np.hypot(u, down))
    assert angle * sine == pytest.approx(np.arctan2(u, down), abs=1e-12)


@pytest.mark.parametrize("slope", [0.0, 1e-300, 1e-12, -1e-9, 1e-6])
def test_a_decal_on_a_vanishing_taper_is_the_cylinders(slope: float) -> None:
    """Nothing is lost on the way from a cone to a cylinder, not even the last digits."""
    curve = turned.straight_curve(40.0, slope, 100.0)
    s, angle = maps.decal(curve, 0.0, [0.0, 30.0, -90.0], [20.0, 5.0, -10.0])
    assert s == pytest.approx([20.0, 5.0, -10.0], abs=max(1e-12, 200 * abs(slope)))
    assert angle == pytest.approx([0.0, 0.75, -2.25], abs=max(1e-14, 2 * abs(slope)))


def test_the_sides_of_a_decal_bend_away_from_the_cones_point() -> None:
    """On a wall that narrows to the rim level lines droop to the foot at their ends; widening, they rise."""
    assert maps.decal(CONE, 75.0, 30.0, 0.0).s_mm < 75.0
    assert maps.decal(WIDENING, 50.0, 30.0, 0.0).s_mm > 50.0


def test_maps_refuse_what_they_cannot_place() -> None:
    """No decal on a bellied wall or past a cone's point, no front view wider than the item."""
    with pytest.raises(ValueError, match="straight or evenly tapered"):
        maps.decal(BELLIED, 50.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="point of the cone"):
        maps.decal_jacobian(WIDENING, 50.0, 0.0, [-200.0, 0.0])
    for front in (maps.front_view, maps.front_view_jacobian):
        with pytest.raises(ValueError, match="wider"):
            front(CYLINDER, 50.0, 40.001, 0.0)


@given(*[st.floats(-2.0, 2.0)] * 4)
def test_tissots_semi_axes_are_the_singular_values(s_u: float, s_v: float, angle_u: float, angle_v: float) -> None:
    """The closed form agrees with the library's singular values, and the angle with its definition."""
    curve, s = WIDENING, 40.0
    r, along = turned.radius_and_slope(curve, s)
    on_wall = np.array([[r * angle_u / 40, r * angle_v / 40], [np.hypot(1, along) * s_u, np.hypot(1, along) * s_v]])
    most, least = np.linalg.svd(on_wall, compute_uv=False)
    assume(least > 0.02 * most and most > 1e-6)
    found = maps.tissot(curve, s, maps.Jacobian(*map(np.float64, (s_u, s_v, angle_u / 40, angle_v / 40))))
    assert (found.stretch_max, found.stretch_min) == pytest.approx((most, least), abs=1e-12)
    turning = np.linspace(0, pi, 20001)
    image = on_wall @ np.stack([np.cos(turning), np.sin(turning)])
    bent = np.arctan2(image[1], image[0]) - np.sign(np.linalg.det(on_wall)) * turning
    spread = np.ptp(np.unwrap(bent))
    assert found.angular_distortion_rad == pytest.approx(spread, abs=5e-3)


@pytest.mark.parametrize("name", maps.MAPS)
@given(angle=st.floats(0.1, 3.0), v=st.floats(-15.0, 15.0))
def test_the_width_within_an_angle_takes_up_that_angle(name: str, angle: float, v: float) -> None:
    """Artwork of the width found, put through the map, ends where it should."""
    curve, half_angle = CONE, float(np.arctan(-0.06))
    s, _ = maps.MAPS[name][0](curve, 75.0, 0.0, v)
    width = maps.width_within_angle_mm(
        name, turned.radius_mm(curve, s), turned.radius_mm(curve, 75.0), half_angle, angle
    )
    assert 2 * maps.MAPS[name][0](curve, 75.0, width / 2 * (1 - 1e-12), v).angle_rad == pytest.approx(angle, rel=1e-5)


@pytest.mark.parametrize("name", maps.MAPS)
def test_a_million_places_go_through_at_once(name: str) -> None:
    """Arrays of any shape come back in the shape they broadcast to."""
    s, angle = maps.MAPS[name][0](CONE, 75.0, np.linspace(-30, 30, 1000), np.linspace(-30, 30, 1000)[:, None])
    assert s.shape == angle.shape == (1000, 1000)
    assert np.isfinite(s).all()
    assert np.isfinite(angle).all()
