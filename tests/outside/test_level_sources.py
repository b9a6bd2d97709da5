"""The tilt of least climb against a numeric minimiser that knows no convex hull.

That a plane set is least wide square to a side of its hull: Houle and Toussaint, "Computing the width of a set" (1988);
from memory, not seen.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from rotary.formulas.cradle import least_climb_tilt_rad

Floats = NDArray[np.float64]


def climb(tilt: float, s: Floats, r: Floats) -> float:
    """Highest less lowest of the points, turned by the tilt as complex numbers."""
    turned = (s + 1j * r) * np.exp(1j * tilt)
    return float(np.ptp(turned.imag))


def least_climb(s: Floats, r: Floats) -> float:
    """Look everywhere within 80 degrees, then bracket the best few."""
    tilts = np.radians(np.linspace(-80, 80, 3201))
    coarse = np.array([climb(tilt, s, r) for tilt in tilts])
    near = [(tilts[k] - 1e-3, tilts[k] + 1e-3) for k in np.argsort(coarse)[:4]]
    fine = {"method": "bounded", "options": {"xatol": 1e-10}}
    return min(float(minimize_scalar(climb, bounds=bounds, args=(s, r), **fine).fun) for bounds in near)


PLACES = np.linspace(0.0, 1.0, 61)
WALLS = {
    "straight": (60.0, lambda x: 36.5 + 0 * x),
    "3 mm pin, a hair of taper": (2.0, lambda x: 1.5 - 0.002 * x),
    "400 mm drum, slack": (300.0, lambda x: 200 - 2.5 * np.sin(np.pi * x)),
    "cone of 40 degrees": (80.0, lambda x: 90 - 80 * np.tan(np.radians(40)) * x),
    "belly": (40.0, lambda x: 42 - 3 * (x - 0.5) ** 2),
    "belly, artwork on one flank": (40.0, lambda x: 42 - 9 * (x - 0.9) ** 2),
    "straight, then a neck": (100.0, lambda x: 36.5 - 14 * np.clip(x - 0.7, 0, 1)),
    "waist and belly, like an S": (100.0, lambda x: 40 + 3 * np.sin(2 * np.pi * x)),
    "S on a taper": (100.0, lambda x: 40 + 6 * x + 2 * np.sin(2.6 * np.pi * x)),
    "a step": (50.0, lambda x: 20 + 5 * np.tanh(20 * (x - 0.3))),
    "a hundredth high": (0.01, lambda x: 30 - 0.002 * x),
}


@pytest.mark.parametrize("name", WALLS)
def test_no_other_tilt_climbs_less(name: str) -> None:
    """Along the artwork's heights; the minimiser may not find less than the side of the hull gives."""
    long, radius = WALLS[name]
    s, r = 20 + long * PLACES, radius(PLACES)
    ours = climb(least_climb_tilt_rad(s, r), s, r)
    assert ours == pytest.approx(least_climb(s, r), abs=1e-6)
    # The chord of a bent wall is no worse on one that bends one way only.
    chord = climb(-np.arctan2(r[-1] - r[0], s[-1] - s[0]), s, r)
    assert ours <= chord + 1e-9


@pytest.mark.slow
def test_random_walls_climb_least_too() -> None:
    """Sixteen walls drawn at random, from a pin to a drum."""
    rng = np.random.default_rng(5)
    for _ in range(16):
        long = float(np.exp(rng.uniform(np.log(1), np.log(300))))
        bends = rng.normal(0, 0.05 * long, 4)
        r = 3 * long + bends[0] * PLACES + sum(b * np.sin(k * np.pi * PLACES) for k, b in enumerate(bends[1:], 1))
        s = long * PLACES
        assert climb(least_climb_tilt_rad(s, r), s, r) == pytest.approx(least_climb(s, r), abs=1e-6 * long)


def test_heights_that_are_one_place_need_no_tilt() -> None:
    """No height at all can't climb."""
    assert least_climb_tilt_rad([40.0], [36.5]) == least_climb_tilt_rad([40.0, 40.0], [36.5, 36.5]) == 0.0
