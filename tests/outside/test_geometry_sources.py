"""Geometry against worked examples, a library of map projections, and numeric solvers that know no closed form."""

from math import asin, cos, degrees, radians, sin, tan

import numpy as np
import pytest
from pyproj import Proj
from scipy.optimize import brentq

from rotary.formulas import circle, maps
from rotary.formulas import revolution as turned
from tests.curves import bent_curve

SPHERE_MM = 50.0


@pytest.mark.parametrize(("r", "chord", "expected"), [(40.0, 20.0, 1.270167), (12.5, 10.0, 1.043561)])
def test_sagitta_is_the_root_of_the_circle(r: float, chord: float, expected: float) -> None:
    """A root finder on the circle's own equation finds the same depth; the figures were computed both ways."""
    depth = brentq(lambda s: (r - s) ** 2 + (chord / 2) ** 2 - r**2, 0.0, r, xtol=1e-14)
    assert float(circle.fall_mm(r, asin(chord / (2 * r)))) == pytest.approx(depth, rel=1e-11)
    assert depth == pytest.approx(expected, abs=5e-7)


@pytest.mark.parametrize("r", [1.5, 44.0, 200.0])
@pytest.mark.parametrize("depth", [0.001, 0.2, 1.4])
def test_widest_arc_is_the_root_of_the_depth(r: float, depth: float) -> None:
    """From a 3 mm pin to a 400 mm drum: a root finder on r (1 - cos) finds the same arc."""
    half_angle = brentq(lambda a: r * (1 - cos(a)) - depth, 1e-9, 3.1415, xtol=1e-15)
    assert float(circle.widest_arc_mm(r, depth)) == pytest.approx(2 * r * half_angle, rel=1e-7)


def test_development_of_a_frustum_as_in_a_drawing_course() -> None:
    """⌀5 to ⌀8, height 4: radii 7.120 and 11.392, sector 126.40° ("Drawing nets", Geometry 2, ceemrr.com)."""
    frustum, middle = turned.straight_curve(2.5, 1.5 / 4, 4.0), (7.120 + 11.392) / 2
    for sector, turn in ((126.40 / 2, 180), (-126.40 / 4, -90)):
        u, v = np.array([7.120, 11.392]) * [[sin(radians(sector))], [cos(radians(sector))]]
        s, angle = maps.decal(frustum, 2.0, u, v - middle)
        assert s == pytest.approx([0.0, 4.0], abs=5e-3)
        assert np.degrees(angle) == pytest.approx(turn, rel=1e-3)


def test_development_of_a_full_cone_as_in_the_machine_shop() -> None:
    """A cone of 90° at the point unrolls to 254.6° (cone layout page, anvilfire.com, 21st Century shop)."""
    quarter = radians(254.6 / 4)
    slant = 20 * 2**0.5
    s, angle = maps.decal(turned.straight_curve(0.0, 1.0, 40.0), 20.0, slant * sin(quarter), slant * (cos(quarter) - 1))
    assert degrees(angle) == pytest.approx(90, abs=0.05 / 4 / sin(radians(45)))
    assert s == pytest.approx(20.0)


def test_across_corners_bounds_the_standards_least() -> None:
    """ISO 4032, M10: 16 across flats, at least 17.77 across its rounded corners; sharp ones are farther apart."""
    assert 17.77 < float(circle.across_corners_mm(16.0, 6)) < 1.05 * 17.77


def dome() -> turned.Curve:
    """A sphere between 70° south and north as a turned body."""
    latitude = np.radians(np.linspace(-70, 70, 8001))
    return bent_curve(SPHERE_MM * np.sin(latitude), SPHERE_MM * np.cos(latitude))


@pytest.mark.parametrize(
    ("name", "projection", "true_at"),
    [("with-taper", "eqc", 0.0), ("with-taper", "eqc", 20.0), ("true-width", "sinu", 0.0)],
)
@pytest.mark.parametrize(("east", "north"), [(0.0, 30.0), (20.0, 40.0), (-35.0, -15.0), (60.0, 55.0)])
def test_distortion_on_a_dome_is_that_of_the_projection(
    name: str, projection: str, true_at: float, east: float, north: float
) -> None:
    """On a sphere with-taper undoes the equidistant cylindrical map and true-width the sinusoidal one.

    The library's factors go from the sphere to the plane, ours back: semi-axes are reciprocal, the
    angular distortion is the same.
    """
    taken = Proj(f"+proj={projection} +R=1" + (f" +lat_ts={true_at}" if true_at else ""))
    factors = taken.get_factors(east, north)
    if projection == "eqc":
        u, v = radians(east) * cos(radians(true_at)), radians(north) - radians(true_at)
    else:
        u, v = taken(east, north)
    curve, centre = dome(), SPHERE_MM * sin(radians(true_at))
    place, derivative = maps.MAPS[name]
    s, angle = place(curve, centre, SPHERE_MM * u, SPHERE_MM * v)
    assert (degrees(angle), degrees(np.arcsin(s / SPHERE_MM))) == pytest.approx((east, north), abs=1e-5)
    ours = maps.tissot(curve, s, derivative(curve, centre, SPHERE_MM * u, SPHERE_MM * v))
    assert ours.stretch_max == pytest.approx(1 / factors.tissot_semiminor, rel=1e-6)
    assert ours.stretch_min == pytest.approx(1 / factors.tissot_semimajor, rel=1e-6)
    assert degrees(ours.angular_distortion_rad) == pytest.approx(factors.angular_distortion, abs=1e-4)


def test_figures_of_the_two_projections() -> None:
    """Equidistant cylindrical at 30°: 1.15470054 and 8.23438854°; sinusoidal at 20° E 40° N: 1.11846, 0.89409.

    Computed with pyproj on a sphere (+R=1).
    """
    curve = dome()
    v = SPHERE_MM * radians(30)
    cylindrical = maps.tissot(curve, SPHERE_MM * 0.5, maps.with_taper_jacobian(curve, 0.0, 0.0, v))
    assert 1 / cylindrical.stretch_min == pytest.approx(1.15470054, rel=1e-6)
    assert degrees(cylindrical.angular_distortion_rad) == pytest.approx(8.23438854, abs=1e-4)
    u, v = SPHERE_MM * radians(20) * cos(radians(40)), SPHERE_MM * radians(40)
    sinusoidal = maps.tissot(curve, SPHERE_MM * sin(radians(40)), maps.true_width_jacobian(curve, 0.0, u, v))
    assert (1 / sinusoidal.stretch_min, 1 / sinusoidal.stretch_max) == pytest.approx((1.11846, 0.89409), abs=5e-6)


def length_in_space(s: np.ndarray, angle: np.ndarray, radius: np.ndarray) -> float:
    """Length of a curve from its points alone: chords, twice as coarse chords, and Richardson's step to the limit."""
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), s], axis=1)
    fine = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    coarse = np.linalg.norm(np.diff(points[::2], axis=0), axis=1).sum()
    return float((4 * fine - coarse) / 3)


def flat_curve(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """A smooth curve that wanders over 60 x 30 mm of artwork."""
    rng, t = np.random.default_rng(seed), np.linspace(0, 1, 8001)
    u = 30 * np.sin(2 * np.pi * (t * rng.uniform(0.5, 1.5) + rng.uniform()))
    return u, 15 * np.sin(2 * np.pi * (t * rng.uniform(0.5, 1.5) + rng.uniform()))


def length_on_paper(u: np.ndarray, v: np.ndarray) -> float:
    return length_in_space(v, np.zeros_like(u), u)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("half_angle", [-40.0, -3.43, -1e-6, 0.0, 1e-9, 0.2, 3.43, 40.0])
def test_any_curve_on_a_decal_keeps_its_length(half_angle: float, seed: int) -> None:
    """Measured in space, chord by chord, a curve on the cone is as long as on paper: to 1e-8, for any taper."""
    u, v = flat_curve(seed)
    slope = tan(radians(half_angle))
    curve = turned.straight_curve(40.0, slope, 50.0)
    s, angle = maps.decal(curve, 0.0, u, v)
    on_wall = length_in_space(s, angle, turned.radius_mm(curve, s))
    assert on_wall == pytest.approx(length_on_paper(u, v), rel=1e-8)


@pytest.mark.parametrize("name", ["true-width", "with-taper", "label"])
@pytest.mark.parametrize("diameter", [3.0, 88.0, 400.0])
def test_on_a_cylinder_three_maps_keep_every_length(name: str, diameter: float) -> None:
    """From a 3 mm pin to a 400 mm drum, wrapped more than once round where it is small."""
    u, v = flat_curve(7)
    curve = turned.straight_curve(diameter / 2, 0.0, 100.0)
    s, angle = maps.MAPS[name][0](curve, 50.0, u / 10, v / 10)
    on_wall = length_in_space(s, angle, turned.radius_mm(curve, s))
    assert on_wall == pytest.approx(length_on_paper(u / 10, v / 10), rel=1e-8)


@pytest.mark.parametrize("name", ["true-width", "with-taper"])
def test_on_a_cone_these_maps_do_stretch(name: str) -> None:
    """The check above can fail: on a cone of 40° the same curve is no longer as long."""
    u, v = flat_curve(1)
    curve = turned.straight_curve(40.0, tan(radians(40)), 50.0)
    s, angle = maps.MAPS[name][0](curve, 0.0, u, v)
    on_wall = length_in_space(s, angle, turned.radius_mm(curve, s))
    assert abs(on_wall / length_on_paper(u, v) - 1) > 1e-3
