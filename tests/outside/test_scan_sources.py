"""The scan formulas against a general numeric ray and surface: no closed form, no small angle.

No published table gives where a leaning beam meets a tilted cone. The second way is numeric: the ray is
built from its two pupils as a straight line in space, the item as all points whose distance from a tilted
axis equals the radius there, and scipy finds the root.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from rotary.formulas import scan

# radius at s = 0, slope, s of the band's middle, tilt: pin, bottle, drum, steep cones both ways, not levelled.
BODIES = [
    (1.5, 0.0, 20.0, 0.0),
    (44.0, -0.06, 75.0, math.atan(0.06)),
    (44.0, -0.06, 75.0, 0.0),
    (200.0, 0.0, 150.0, 0.02),
    (20.0, math.tan(math.radians(20)), 60.0, -math.radians(20)),
    (80.0, -math.tan(math.radians(40)), 40.0, math.radians(40)),
    (60.0, -math.tan(math.radians(40)), 30.0, math.radians(15)),
]
PUPILS = [(191.5, 176.5), (120.0, 140.0), (math.inf, math.inf), (math.inf, 300.0)]


def axis_of(tilt: float) -> np.ndarray:
    return np.array([0.0, math.cos(tilt), math.sin(tilt)])


def outside_mm(point: np.ndarray, body: tuple[float, float, float, float]) -> np.ndarray:
    """How far points (..., 3) lie outside the wall: distance from the axis less the radius at its foot on the axis."""
    r0, slope, _, tilt = body
    axis = axis_of(tilt)
    s = point @ axis
    return np.linalg.norm(point - s[..., None] * axis, axis=-1) - (r0 + slope * s)


def ray(command: tuple[float, float], plane: float, centre_y: float, pupils: tuple[float, float]):
    """Point and direction, down, of the beam: straight through its focal spot and both pupils."""
    spot = np.array([command[0], command[1], plane])
    lean = [-command[0] / pupils[0], -(command[1] - centre_y) / pupils[1], 1.0]
    return spot, -np.array(lean) / np.linalg.norm(lean)


def apex(body: tuple[float, float, float, float]) -> tuple[float, float]:
    """Y and Z of the apex over the band's middle."""
    r0, slope, s, tilt = body
    up = np.array([0.0, -math.sin(tilt), math.cos(tilt)])
    point = s * axis_of(tilt) + (r0 + slope * s) * up
    return float(point[1]), float(point[2])


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("pupils", PUPILS)
@pytest.mark.parametrize("defocus", [-8.0, 0.0, 6.0])
def test_a_command_lands_where_a_numeric_ray_meets_the_wall(body, pupils, defocus) -> None:
    """The quadratic's place is the first point of the ray whose distance from the axis equals the radius."""
    r0, slope, s_c, _ = body
    radius = r0 + slope * s_c
    centre_y, top = apex(body)
    plane = top + defocus
    wide = min(radius, 60.0)
    for x, y in [(0.0, 0.0), (0.3 * wide, 0.1 * s_c), (-0.7 * wide, -0.15 * s_c), (0.05 * wide, 0.2 * s_c)]:
        start, down = ray((x, centre_y + y), plane, centre_y, pupils)
        steps = np.linspace(-60.0, 2.2 * radius + 60, 4001)
        # Above the plane as well, up to 60 mm: a plane inside the item is met on the way down to it.
        signs = outside_mm(start + steps[:, None] * down, body)
        first = int(np.argmax(signs < 0))
        assert signs[first] < 0
        t = brentq(lambda t: outside_mm(start + t * down, body), steps[first - 1], steps[first], xtol=1e-13)  # noqa: B023
        hit = start + t * down
        s, angle = scan.landing_on_cone(x, centre_y + y, plane, *pupils, centre_y, r0, slope, body[3])
        found = np.array(scan.place_mm(s, r0 + slope * s, angle, body[3]))
        assert found == pytest.approx(hit, abs=1e-8)


@pytest.mark.parametrize("body", BODIES)
@pytest.mark.parametrize("pupils", PUPILS)
def test_the_command_for_a_place_sends_a_ray_through_it(body, pupils) -> None:
    """A straight line from the commanded spot through the pupils passes the wanted place within a nanometre."""
    r0, slope, s_c, tilt = body
    centre_y, top = apex(body)
    plane = top + 3.0
    for share, angle in [(0.9, 0.3), (1.1, -0.4), (1.0, 0.0)]:
        s = share * s_c
        x, y, z = scan.place_mm(s, r0 + slope * s, angle, tilt)
        over = z - plane
        command = (
            float(scan.command_mm(x, over, pupils[0])),
            centre_y + float(scan.command_mm(y - centre_y, over, pupils[1])),
        )
        start, down = ray(command, plane, centre_y, pupils)
        place = np.array([x, y, z])
        assert abs(outside_mm(place, body)) < 1e-9
        assert np.linalg.norm(np.cross(place - start, down)) < 1e-6


@pytest.mark.parametrize("body", BODIES)
def test_incidence_is_the_angle_to_the_walls_numeric_gradient(body) -> None:
    """The normal used is the gradient of the distance function, found by differences."""
    r0, slope, s, tilt = body
    for angle, lean_x, lean_y in [(0.0, 0.0, 0.0), (0.5, 0.1, -0.2), (-0.9, -0.15, 0.25), (1.2, 0.0, 0.1)]:
        place = np.array(scan.place_mm(s, r0 + slope * s, angle, tilt))
        gradient = np.array([outside_mm(place + h, body) - outside_mm(place - h, body) for h in 1e-5 * np.eye(3)])
        up = np.array([-lean_x, -lean_y, 1.0])
        cosine = gradient @ up / np.linalg.norm(gradient) / np.linalg.norm(up)
        assert float(scan.incidence_cosine(angle, slope, tilt, lean_x, lean_y)) == pytest.approx(cosine, abs=1e-8)
