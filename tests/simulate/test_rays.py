"""The forward model: where beams land, found in another way than the commands that sent them."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq

from rotary.artwork.rings import rings_from_list
from rotary.formulas.revolution import Curve, radius_mm, straight_curve
from rotary.sheet.pages import in_field, page_in_field
from rotary.sheet.redraw import Stance, command_to_hit_mm
from rotary.sheet.reread import SheetDrawing
from rotary.simulate.chances import Beliefs, normal_draws
from rotary.simulate.controller import columns, steps_asked, turned_to_item
from rotary.simulate.rays import RayStand, landing
from tests.curves import bent_curve

CURVES = {
    "cylinder": straight_curve(40.0, 0.0, 150.0),
    "pin": straight_curve(1.5, 0.0, 150.0),
    "drum": straight_curve(200.0, 0.0, 150.0),
    "steep cone": straight_curve(80.0, -math.tan(math.radians(40)), 90.0),
    "belly": bent_curve([0, 50, 100, 150], [30, 42, 41, 33]),
}


@pytest.mark.parametrize("name", sorted(CURVES))
@pytest.mark.parametrize("tilt", [0.0, 0.06, -0.1])
@pytest.mark.parametrize("plane", [0.0, 6.0, -4.0])
def test_a_beam_that_was_aimed_lands_where_it_was_aimed(name: str, tilt: float, plane: float) -> None:
    """The way back (a command for a place) and the way there (a ray to the surface) agree to a nanometre."""
    curve = CURVES[name]
    rng = np.random.default_rng(5)
    middle = 45.0
    angle, s = rng.uniform(-0.5, 0.5, 500), rng.uniform(middle - 20, middle + 20, 500)
    stance = Stance(curve, middle, tilt, plane, 190.0, 175.0)
    landed = landing(RayStand(*stance), *command_to_hit_mm(stance, angle, s))
    r = radius_mm(curve, s)
    assert np.abs(r * (landed.angle_rad - angle)).max() < 2e-6
    assert np.abs(landed.s_mm - s).max() < 2e-6


def surface_below(curve: Curve, stand: RayStand, x: float, y: float) -> float:
    """Height of the first surface under a beam, by walking down and bracketing."""
    c, n = math.cos(stand.tilt_rad), math.sin(stand.tilt_rad)
    r0 = float(radius_mm(curve, stand.centre_s_mm))

    def clear(z: float) -> float:
        w = z - stand.plane_mm
        px, py = x * (1 - w / stand.pupil_across_mm), y * (1 - w / stand.pupil_along_mm)
        dy, dz = py + stand.centre_s_mm * c - r0 * n, z + stand.centre_s_mm * n + r0 * c
        s, h = dy * c + dz * n, dz * c - dy * n
        return math.hypot(px, h) - float(radius_mm(curve, s))

    heights = np.linspace(20, -20, 4001)
    for high, low in pairwise(heights.tolist()):
        if clear(high) > 0 >= clear(low):
            return float(brentq(clear, low, high, xtol=1e-13))
    raise AssertionError("no surface")


@pytest.mark.parametrize("name", ["cylinder", "belly", "steep cone"])
def test_beams_land_where_a_general_solver_finds_the_surface(name: str) -> None:
    """Walking down the beam and bracketing with SciPy's brentq (Brent's method) finds the same first surface."""
    curve = CURVES[name]
    stand = RayStand(curve, 45.0, 0.05, 3.0, 190.0, 175.0)
    x, y = np.meshgrid([-14.0, -3.0, 0.0, 9.0], [-18.0, 0.0, 11.0])
    landed = landing(stand, x.ravel(), y.ravel())
    want = [surface_below(curve, stand, a, b) for a, b in zip(x.ravel(), y.ravel(), strict=True)]
    assert landed.z_mm == pytest.approx(np.array(want), abs=1e-8)


def test_beams_past_the_item_are_missed_and_not_invented() -> None:
    """Beside the item there is nothing to hit; at its flank there still is."""
    landed = landing(RayStand(CURVES["cylinder"], 75.0, 0.0, 0.0, math.inf, math.inf), [39.9, 40.1, -41.0], 0.0)
    assert np.isfinite(landed.angle_rad).tolist() == [True, False, False]
    assert landed.angle_rad[0] == pytest.approx(math.asin(39.9 / 40))


def test_the_incidence_is_the_angle_to_the_normal() -> None:
    """On a cylinder under parallel beams the cosine of the incidence is that of the angle from the apex."""
    angle = np.array([0.0, 0.3, 1.0])
    landed = landing(RayStand(CURVES["cylinder"], 75.0, 0.0, 0.0, math.inf, math.inf), 40 * np.sin(angle), 0.0)
    assert landed.cos_incidence == pytest.approx(np.cos(angle), abs=1e-6)


def test_an_axis_beside_the_field_and_askew_moves_marks_as_it_should() -> None:
    """One millimetre beside on radius 40 turns the mark by asin(1/40); a skew of 1 mrad moves 20 mm by 20 µm."""
    beside = RayStand(CURVES["cylinder"], 75.0, 0.0, 0.0, math.inf, math.inf, aside_mm=1.0)
    assert float(landing(beside, 0.0, 0.0).angle_rad) == pytest.approx(-math.asin(1 / 40))
    askew = RayStand(CURVES["cylinder"], 75.0, 0.0, 0.0, math.inf, math.inf, skew_rad=0.001)
    assert 40 * math.sin(float(landing(askew, 0.0, 20.0).angle_rad)) == pytest.approx(0.02, rel=1e-4)


def page(width: float, *bars: tuple[float, float]) -> SheetDrawing:
    """Upright bars from x to x on a page of this width."""
    rings = rings_from_list([[(a, 0), (b, 0), (b, 1), (a, 1)] for a, b in bars])
    return SheetDrawing(width, 2.0, {"bars": rings}, -width / 2, -1.0, width / 2, 1.0, "")


@pytest.mark.parametrize("rounding", ["each-index", "absolute", "truncate"])
@pytest.mark.parametrize("origin", ["left", "centre"])
def test_an_odd_number_of_columns_comes_out_the_same_from_the_left_and_the_middle(rounding: str, origin: str) -> None:
    """Three columns of 5 mm with the number typed for 50.1 steps: always -50, 0 and 50 steps, each with its own bar."""
    drawing = page(15.0, (-6, -4), (-1, 1), (3, 6))
    cols = columns(drawing, 5.0, 50.1, rounding, origin, 0.001)  # type: ignore[arg-type]
    assert [c.turned_rad for c in cols] == pytest.approx([-0.05, 0.0, 0.05])
    assert [(float(c.rings.points_mm[:, 0].min()), float(c.rings.points_mm[:, 0].max())) for c in cols] == [
        (-1, 1), (-1, 1), (-2, 1),
    ]  # fmt: skip


def test_an_even_number_of_columns_does_not() -> None:
    """From the middle a column more is made of two: why the sheet always has an odd number."""
    drawing = page(10.0, (-4, -1), (1, 4))
    from_left = columns(drawing, 5.0, 50.0, "each-index", "left", 0.001)
    from_middle = columns(drawing, 5.0, 50.0, "each-index", "centre", 0.001)
    assert len(from_left) == 2
    assert len(from_middle) == 3


def test_a_rounding_program_that_gets_a_fraction_drifts() -> None:
    """50.6 steps an index: rounded up each time, cut off each time, or right on average."""
    drawing = page(15.0, (-6, -4), (-1, 1), (3, 6))
    turns = {
        rule: [c.turned_rad for c in columns(drawing, 5.0, 50.6, rule, "left", 1.0)]  # type: ignore[arg-type]
        for rule in ("each-index", "absolute", "truncate")
    }
    assert turns["each-index"] == [-51.0, 0.0, 51.0]
    assert turns["truncate"] == [-50.0, 0.0, 50.0]
    assert turns["absolute"] == [-51.0, 0.0, 51.0]


def test_steps_follow_from_what_was_typed() -> None:
    """A column as long as the typed diameter's circumference takes as many steps as were typed for a turn."""
    assert steps_asked(40.0 * math.pi, 3200, 40.0) == pytest.approx(3200)


@pytest.mark.parametrize(("axis", "towards"), [("y", "plus"), ("y", "minus"), ("x", "plus"), ("x", "minus")])
def test_a_drawing_turned_into_the_field_and_back_is_itself(axis: str, towards: str) -> None:
    """Turned for how the item lies and seen again from the item, nothing has moved and nothing is mirrored."""
    ink = rings_from_list([[(1, 2), (4, 2), (4, 3)]])
    there = in_field(ink, axis, towards)
    wide, high = page_in_field(10.0, 6.0, axis)
    seen = turned_to_item(
        SheetDrawing(wide, high, {"a": there}, -wide / 2, -high / 2, wide / 2, high / 2, ""), axis, towards
    )
    assert seen.parts["a"].points_mm.tolist() == ink.points_mm.tolist()
    assert (seen.width_mm, seen.height_mm, seen.left_mm, seen.top_mm) == (10.0, 6.0, -5.0, 3.0)
    rim = {"plus": 1.0, "minus": -1.0}[towards] * np.array([1.0, 0.0] if axis == "x" else [0.0, 1.0])
    up = in_field(rings_from_list([[(0, 0), (0, 1), (-1, 0)]]), axis, towards).points_mm[1]
    assert up.tolist() == rim.tolist()


def test_samples_of_a_machine_spread_as_the_beliefs_say() -> None:
    """Half widths that hold 95 %, put back: a diameter's is that of two walls, so each has half of it."""
    beliefs = Beliefs(0.4, 1.0, 0.003, 0.002, 0.001, 0.004, 0.5, 0.1)
    stand = RayStand(CURVES["cylinder"], 45.0, 0.0, 0.0, 190.0, 175.0)
    drawn, turns = normal_draws(stand, beliefs, 20_000, np.random.default_rng(3))
    spread = {
        "thicker_mm": 0.2, "lower_mm": 1.0, "scale_x": 0.003, "scale_y": 0.003, "aside_mm": 0.5, "skew_rad": 0.004,
    }  # fmt: skip
    for name, half in spread.items():
        middle = getattr(stand, name)
        assert np.mean(np.abs(getattr(drawn, name) - middle) <= half) == pytest.approx(0.95, abs=0.01), name
    assert np.mean(np.abs(turns - 1) <= 0.002) == pytest.approx(0.95, abs=0.01)
    assert np.mean(np.abs(drawn.pupil_across_mm / 190 - 1) <= 0.1) == pytest.approx(0.95, abs=0.01)
