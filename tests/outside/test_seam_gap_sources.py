"""Seam errors against numeric rays, and their spread against draws.

Sources: linear propagation after JCGM 100:2008 (GUM), draws after JCGM 101:2008; both from memory, not seen.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from rotary.formulas import seam_gap, stops
from rotary.formulas.estimate import HOLDS_95

# Pupil height, apex over the focal plane, tilt: in focus, plane above, plane below and steep, telecentric.
STANDS = [(184.0, 0.0, 0.0), (184.0, -6.0, 0.06), (120.0, 4.0, -0.5), (math.inf, -2.0, 0.1)]


@pytest.mark.parametrize("radius", [1.5, 12.0, 39.5, 200.0])
@pytest.mark.parametrize(("pupil", "apex", "tilt"), STANDS)
@pytest.mark.parametrize("offset", [0.0, 0.2])
def test_a_command_across_lands_where_the_ray_meets_the_circle(radius, pupil, apex, tilt, offset) -> None:
    """The quadratic's place is the root of the beam's height over the (foreshortened) circle."""
    for share in (-0.6, -0.1, 0.03, 0.5):
        command = share * min(radius, 60.0)

        def over(x: float, command: float = command) -> float:
            """Where the beam is at the wall's height over x beside the axis, less x."""
            height = apex - (radius - math.sqrt(radius**2 - x**2)) * math.cos(tilt)
            return command * (1 - height / pupil) - offset - x

        found = brentq(over, -0.9999 * radius, 0.9999 * radius, xtol=1e-14)
        assert float(seam_gap.reached_mm(command, radius, apex, pupil, tilt, offset)) == pytest.approx(found, abs=1e-10)


def test_linear_spread_agrees_with_two_hundred_thousand_draws() -> None:
    """The 95 % half width from sensitivities is that of draws through the exact geometry, within 2 %."""
    rng = np.random.default_rng(20)
    n = 200_000
    radius, pupil, half, plane = 39.5, 184.0, 0.045, 3.0
    sigma = 1.959964
    belief = {
        "radius": 0.1,
        "height": 1.0,
        "scale": 0.003,
        "pupil": 0.17,
        "turning": 0.004,
        "offset": 1.0,
        "motor": 0.004,
    }
    draw = {name: rng.normal(0, width / sigma, n) for name, width in belief.items()}
    off = rng.uniform(-belief["motor"], belief["motor"], (2, n))
    drop = radius * (1 - math.cos(half))
    command = radius * math.sin(half) / (1 + (plane + drop) / pupil)
    gap = seam_gap.seam_gap_mm(
        command * (1 + draw["scale"]),
        2 * half * (1 + draw["turning"]),
        radius + draw["radius"],
        -plane + draw["height"],
        pupil * (1 + draw["pupil"]),
        0.0,
        draw["offset"],
    ) + off[1] - off[0]  # fmt: skip
    drawn = float(np.diff(np.quantile(gap, [0.025, 0.975]))[0]) / 2
    linear = seam_gap.seam_gap_spread_mm(
        2 * half * radius, radius, pupil, -plane - drop, belief["radius"], belief["height"], belief["scale"],
        belief["pupil"], belief["turning"], belief["offset"],
    )  # fmt: skip
    assert np.hypot(linear, two_stops_half_mm(belief["motor"])) == pytest.approx(drawn, rel=0.02)


def two_stops_half_mm(bound: float) -> float:
    """What two stops leave at the seam between them (95 %), where each lies within so much of its place."""
    return HOLDS_95 * stops.SEAM_SHARE / 0.05 * bound


def test_a_seam_lies_between_two_stops_of_the_motor() -> None:
    """GUM 4.3.7 and 5.1.2: a bound ± a has u = a/√3, two independent ones √2 times that; a triangle alone holds 95 %
    within 2 a (1 - √0.05), which the half width covers and exceeds by no more than 4 %."""
    bound = 0.012
    exact = 2 * bound * (1 - math.sqrt(0.05))
    rng = np.random.default_rng(21)
    drawn = float(np.quantile(np.abs(np.diff(rng.uniform(-bound, bound, (200_000, 2)))), 0.95))
    assert drawn == pytest.approx(exact, rel=0.01)
    assert exact < two_stops_half_mm(bound) < 1.04 * exact


@pytest.mark.parametrize("name", ["radius", "height", "scale", "pupil", "turning"])
def test_each_sensitivity_is_the_numeric_derivative(name: str) -> None:
    """One input at a time, the linear part is the difference quotient of the exact gap."""
    radius, pupil, half, plane = 20.0, 150.0, 0.05, 4.0
    drop = radius * (1 - math.cos(half))
    command = radius * math.sin(half) / (1 + (plane + drop) / pupil)

    def gap(**off: float) -> float:
        return float(
            seam_gap.seam_gap_mm(
                command * (1 + off.get("scale", 0)),
                2 * half * (1 + off.get("turning", 0)),
                radius + off.get("radius", 0),
                -plane + off.get("height", 0),
                pupil * (1 + off.get("pupil", 0)),
            )
        )

    step = 1e-6
    slope = abs(gap(**{name: step}) - gap(**{name: -step})) / (2 * step)
    width = {"radius": 0.0, "height": 0.0, "scale": 0.0, "pupil": 0.0, "turning": 0.0} | {name: 1.0}
    linear = seam_gap.seam_gap_spread_mm(
        2 * half * radius, radius, pupil, -plane - drop, width["radius"], width["height"], width["scale"],
        width["pupil"], width["turning"],
    )  # fmt: skip
    assert float(linear) == pytest.approx(slope, rel=0.02)
