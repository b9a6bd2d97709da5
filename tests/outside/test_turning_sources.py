"""The drive against numeric solvers, textbook centroids and published facts.

The solvers below know none of the closed forms: they slide a dense cloud of points of the
item's surface over two cylinders and look for the lowest place.
"""

import numpy as np
import pytest
from scipy.optimize import brentq, curve_fit, minimize, minimize_scalar

from rotary.formulas import cradle, motion


def clearance(height: float, radius: float, roller: float, centres: float) -> float:
    """Least distance between two circles in the end view, found by looking along the item's rim."""

    def off(angle: float) -> float:
        x, z = radius * np.sin(angle), height - radius * np.cos(angle)
        return float(np.hypot(x - centres / 2, z)) - roller

    return float(minimize_scalar(off, bounds=(0, np.pi), method="bounded", options={"xatol": 1e-12}).fun)


@pytest.mark.parametrize(
    ("radius", "roller", "centres", "expected"),
    [(40.0, 10.0, 60.0, 40.0), (1.5, 5.0, 11.0, None), (200.0, 25.0, 180.0, None), (22.0, 10.0, 30.0, None)],
)
def test_cradle_height_is_where_a_root_finder_stops(
    radius: float, roller: float, centres: float, expected: float | None
) -> None:
    """Lower the circle until it touches; R 40 on rollers of 10, 60 apart, stands 40.000 up (3-4-5 triangle).

    The relation is that of measuring over pins in machinists' handbooks (from memory, not seen).
    """
    top = radius + 2 * roller
    met = next(h for h in np.linspace(top, 0, 400) if clearance(h, radius, roller, centres) < 0)
    lowered = brentq(lambda h: clearance(h, radius, roller, centres), met, top, xtol=1e-12)
    assert cradle.cradle_height_mm(radius, roller, centres) == pytest.approx(lowered, abs=1e-6)
    if expected is not None:
        assert lowered == pytest.approx(expected, abs=1e-6)
        assert lowered + radius == pytest.approx(80.0, abs=1e-6)


class Solver:
    """A cone over two rollers along Y with axes at height 0: how high it must stand at a tilt, and where it touches."""

    def __init__(self, gravity: float, radius: float, degrees: float, roller: float, centres: float) -> None:
        self.gravity, self.radius, self.slope = gravity, radius, np.tan(np.radians(degrees))
        self.roller, self.centres = roller, centres

    def point(self, s: float, angle: float, tilt: float) -> tuple[float, float, float]:
        """A point of the surface, from the axis at the centre of gravity; the angle from the bottom."""
        r = self.radius + self.slope * (s - self.gravity)
        along, down = s - self.gravity, -r * np.cos(angle)
        return (
            r * np.sin(angle),
            along * np.cos(tilt) - down * np.sin(tilt),
            along * np.sin(tilt) + down * np.cos(tilt),
        )

    def needed(self, s: float, angle: float, tilt: float) -> float:
        """Height at which this point rests on top of the right-hand roller; it may not go lower."""
        x, _, z = self.point(s, angle, tilt)
        beside = (x - self.centres / 2) / self.roller
        return float(self.roller * np.sqrt(1 - beside**2) - z) if abs(beside) < 1 else -1e3 - abs(beside)

    def touch(self, tilt: float) -> tuple[float, float, float]:
        """Height at this tilt, and (s, angle) of the point that touches."""
        start = self._start(tilt)
        found = minimize(
            lambda p: -self.needed(p[0], p[1], tilt),
            start,
            method="Nelder-Mead",
            options={"xatol": 1e-11, "fatol": 1e-13, "maxiter": 4000, "initial_simplex": start + 0.05 * _SIMPLEX},
        )
        return -float(found.fun), float(found.x[0]), float(found.x[1])

    def _start(self, tilt: float) -> np.ndarray:
        s = self.gravity + self.radius * np.linspace(-1.2, 1.2, 121)
        best = max((self.needed(a, b, tilt), a, b) for a in s for b in np.linspace(0.01, 1.5, 60))
        return np.array(best[1:])

    def lowest(self, low: float, high: float) -> float:
        """The tilt at which the centre of gravity is lowest."""
        found = minimize_scalar(
            lambda t: self.touch(t)[0], bounds=(low, high), method="bounded", options={"xatol": 1e-7}
        )
        return float(found.x)


_SIMPLEX = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 0.1]])
CONES = [
    (75.0, 39.5, -3.43363, 10.0, 60.0),
    (30.0, 40.0, 15.0, 10.0, 60.0),
    (40.0, 60.0, 40.0, 10.0, 60.0),
    (10.0, 1.5, 5.0, 5.0, 11.0),
    (100.0, 200.0, -8.0, 25.0, 180.0),
]


@pytest.mark.parametrize(("gravity", "radius", "degrees", "roller", "centres"), CONES)
def test_a_cone_in_the_cradle_lies_where_its_weight_is_lowest(
    gravity: float, radius: float, degrees: float, roller: float, centres: float
) -> None:
    """Numeric minimum of height over all tilts, against tan τ = tan α / cos φ with the exact contact angle."""
    solver = Solver(gravity, radius, degrees, roller, centres)
    ours = cradle.cone_resting(gravity, radius, np.radians(degrees), roller, centres)
    tilt = solver.lowest(ours.tilt_rad - 0.05, ours.tilt_rad + 0.05)
    assert ours.tilt_rad == pytest.approx(tilt, abs=1e-4)
    height, place, _ = solver.touch(ours.tilt_rad)
    assert ours.height_mm == pytest.approx(height, abs=1e-6 * radius)
    assert ours.touch_from_mm == pytest.approx(place, abs=2e-4 * radius)


def test_the_tapered_bottle_tilts_by_4_3_and_its_apex_line_by_7_7_degrees() -> None:
    """⌀88 to ⌀70 over 150 mm on rollers of 10, 60 apart; the figure was found by the numeric solver too."""
    half = float(np.degrees(np.arctan(-9 / 150)))
    tilt = float(np.degrees(Solver(75.0, 39.5, half, 10.0, 60.0).lowest(-0.12, -0.03)))
    ours = float(np.degrees(cradle.cone_resting(75.0, 39.5, np.radians(half), 10.0, 60.0).tilt_rad))
    assert tilt == pytest.approx(-4.3, abs=0.05)
    assert ours == pytest.approx(tilt, abs=0.005)
    assert ours + half == pytest.approx(-7.7, abs=0.06)


@pytest.mark.parametrize(("gravity", "radius", "degrees", "roller", "centres"), CONES)
def test_the_rolling_radius_is_that_of_the_surface_speeds(
    gravity: float, radius: float, degrees: float, roller: float, centres: float
) -> None:
    """Kinematics at the numeric contact: the item's surface and the roller's move alike across the roller's axis."""
    solver = Solver(gravity, radius, degrees, roller, centres)
    ours = cradle.cone_resting(gravity, radius, np.radians(degrees), roller, centres)
    height, s, angle = solver.touch(ours.tilt_rad)
    x, y, z = solver.point(s, angle, ours.tilt_rad)
    speed = np.cross([0, np.cos(ours.tilt_rad), np.sin(ours.tilt_rad)], [x, y, z])
    normal = np.array([x - centres / 2, 0, z + height])
    along_roller = np.cross([0, 1, 0], normal / np.linalg.norm(normal))
    rolling = abs(float(speed @ along_roller))
    r_contact = radius + np.tan(np.radians(degrees)) * (ours.touch_from_mm - gravity)
    assert ours.rolling_share * r_contact == pytest.approx(rolling, rel=1e-4)


def test_centroids_of_cones_are_those_of_the_textbooks() -> None:
    """A cone's shell balances at 1/3 of its height over the base, the solid cone at 1/4 (any statics text)."""
    assert cradle.centre_of_gravity_mm([0, 90], [30, 1e-9]) == pytest.approx(30.0)
    assert cradle.centre_of_gravity_mm([0, 90], [30, 1e-9], solid=True) == pytest.approx(22.5)
    angle = np.linspace(0, np.pi / 2, 4001)
    dome = 50 * np.sin(angle), 50 * np.cos(angle)
    assert cradle.centre_of_gravity_mm(*dome) == pytest.approx(25.0, rel=1e-5)
    assert cradle.centre_of_gravity_mm(*dome, solid=True) == pytest.approx(18.75, rel=1e-5)


def test_folded_readings_are_those_of_a_general_least_squares_fit() -> None:
    """SciPy's curve_fit with given sigmas finds the same constant and the same uncertainty."""
    rng = np.random.default_rng(7)
    u = np.array([1e-4, 2e-4, 3e-4, 1e-4])
    x = 0.003 + 0.2 * u * rng.standard_normal(4)
    value, covariance = curve_fit(lambda t, c: c + 0 * t, np.arange(4.0), x, p0=[0.0], sigma=u, absolute_sigma=True)
    found = motion.weighted_mean(x, u)
    assert found.value == pytest.approx(value[0], rel=1e-6)
    assert found.u == pytest.approx(covariance[0, 0] ** 0.5, rel=1e-6)


def marked(
    command: tuple[float, float], offset: float, radius: float, tilt: float, pupil: float
) -> tuple[float, float]:
    """Where a ray through the pupil meets a cylinder beside the field's centre line: (s, angle), by root finding."""
    aim = np.array([command[0], command[1], 0.0])
    source = np.array([0.0, 0.0, pupil])
    along = np.array([0.0, np.cos(tilt), np.sin(tilt)])
    axis = np.array([offset, 0.0, -radius])

    def outside(t: float) -> float:
        point = source + t * (aim - source) - axis
        return float(np.linalg.norm(point - (point @ along) * along)) - radius

    t = brentq(outside, 0.5, 1.05, xtol=1e-15)
    point = source + t * (aim - source) - axis
    across = point - (point @ along) * along
    return float(point @ along), float(np.arctan2(across[0], across[2]))


@pytest.mark.parametrize("tilt", [0.06, 0.0])
def test_the_offset_stair_is_what_rays_leave_at_a_seam(tilt: float) -> None:
    """A ring drawn as level lines, slice by slice: rays through the pupil end higher on one side of the seam.

    The figure of 65 µm for 1 mm of offset and 10 mm slices on the tapered bottle.
    """
    width, offset, radius, pupil, y = 10.0, 1.0, 39.5, 184.0, 36.0
    right, left = (marked((side * width / 2, y), offset, radius, tilt, pupil)[0] for side in (1, -1))
    bound = float(motion.offset_stair_mm(width, offset, radius, y, pupil, tilt))
    mirrored = [marked((side * width / 2, y), offset, radius, -tilt, pupil)[0] for side in (1, -1)]
    stairs = max(abs(right - left), abs(mirrored[0] - mirrored[1]))
    assert stairs == pytest.approx(bound, rel=0.06)
    if tilt:
        assert bound == pytest.approx(0.065, abs=0.001)


def test_a_step_motor_stands_within_five_percent_of_a_step() -> None:
    """3 to 5 % of a full step, not adding up (common practice, no source); on a 200-step motor 0.09 degrees at most."""
    assert np.degrees(motion.motor_error_rad(200)) == pytest.approx(0.09)
    assert np.degrees(motion.motor_error_rad(200, share=0.03)) == pytest.approx(0.054)
