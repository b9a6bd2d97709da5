"""Seams, the number to type, and the limits of the focus budget."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas import focus_budget, keying, seam_gap
from rotary.formulas.beam import fluence_share


def test_flat_columns_on_the_base_cone_gap_and_overlap_by_a_beam_width() -> None:
    """⌀88 to ⌀70 over 150 mm at 40, 75 and 110 mm, 1 mm columns right in the middle: +53, 0, -53 µm."""
    s = np.array([110.0, 75.0, 40.0])
    gap = seam_gap.seam_gap_mm(0.5, 1.0 / 39.5, 44 - 0.06 * s, 0.0, np.inf)
    assert 1000 * gap == pytest.approx([-53, 0, 53], abs=0.25)


@pytest.mark.parametrize("radius", [1.5, 12.5, 39.5, 200.0])
def test_flat_columns_on_a_cylinder_double_by_the_cube(radius: float) -> None:
    """In focus the seam on a cylinder is the arc less the chord's arc, -S³/(24 r²) to first order."""
    column = 0.12 * radius
    error = float(seam_gap.seam_gap_mm(column / 2, column / radius, radius, 0.0, np.inf))
    assert error == pytest.approx(-(column**3) / (24 * radius**2), rel=2e-3)


def test_a_redrawn_slice_meets_its_neighbour() -> None:
    """Commanded where the leaning beam hits half an index, the two edges of a seam coincide, in focus or out."""
    radius, half = np.array([37.4, 39.5, 41.6]), 0.12
    for plane in (0.0, 6.0, -4.0):
        height = -plane - radius * (1 - math.cos(half))
        command = radius * math.sin(half) / (1 - height / 184.0)
        gap = seam_gap.seam_gap_mm(command, 2 * half, radius, -plane, 184.0)
        assert np.abs(gap).max() < 1e-12


@given(
    column=st.floats(0.3, 60), steps=st.integers(1, 6000), indexes=st.integers(1, 200),
    motor=st.integers(200, 64000), decimals=st.integers(2, 5),
)  # fmt: skip
def test_every_way_of_rounding_stands_on_the_same_steps(
    column: float, steps: int, indexes: int, motor: int, decimals: int
) -> None:
    """Where a number is said to suit, a controller that rounds, cuts off or rounds the place agrees on k n."""
    found = keying.typed_diameter(column, steps, indexes, motor, decimals, 200)
    assert found.file_slice_mm >= column - 1e-9
    assert found.number == pytest.approx(round(found.number, decimals), abs=1e-12)
    if not found.both_round:
        return
    for pi in (math.pi, 3.14159):  # a controller's own, also a short one
        for k in range(1, indexes + 1):
            place = k * found.file_slice_mm * motor / (pi * found.number)
            if pi == math.pi or abs(place * 1e-6) < 0.02:
                assert math.floor(place) == round(place) == k * steps
    one = found.file_slice_mm * motor / (math.pi * found.number)
    assert math.floor(one) == round(one) == steps


@given(steps=st.integers(20, 4000), indexes=st.integers(1, 100), diameter=st.floats(5, 300))
def test_whole_steps_to_type_suit_too(steps: int, indexes: int, diameter: float) -> None:
    """Where only the steps can be changed, those found turn exactly n an index by either rule."""
    found = keying.typed_steps(8.0, steps, indexes, diameter, 3, 400)
    assert found.number == int(found.number)
    if found.both_round:
        reached = indexes * found.file_slice_mm * found.number / (math.pi * diameter)
        assert math.floor(reached) == round(reached) == indexes * steps


@given(steps=st.integers(1, 4000), indexes=st.integers(1, 100), motor=st.integers(200, 64000))
def test_degrees_to_type_suit_too(steps: int, indexes: int, motor: int) -> None:
    """An angle typed with enough decimals turns exactly n steps an index by either rule."""
    found = keying.typed_degrees(5.0, steps, indexes, motor, 5)
    assert found.both_round
    reached = indexes * found.number * motor / 360
    assert math.floor(reached) == round(reached) == indexes * steps


@given(defocus=st.floats(-20, 20), low=st.floats(0.05, 0.99), high=st.floats(1.01, 4), z_r=st.floats(0.1, 20))
def test_the_allowed_heights_put_back_give_the_two_limits(defocus: float, low: float, high: float, z_r: float) -> None:
    """At each end of the allowed room the fluence is one of the two limits, and in between it leaves neither."""
    room = focus_budget.allowed_mm(defocus, z_r, low, high)
    shares = [float(fluence_share(defocus, -height, z_r)) for height in room]
    for share in shares:
        assert min(abs(share / low - 1), abs(share / high - 1)) < 1e-6
    assert room[0] < 0 < room[1]
    between = fluence_share(defocus, -np.linspace(*room, 201), z_r)
    assert between.min() > low * (1 - 1e-6)
    assert between.max() < high * (1 + 1e-6)


def test_a_deep_defocus_gains_below_and_loses_above() -> None:
    """6 mm out of focus, 0.32 mm of sag: 0.90 with the plane above, 1.11 below (1.10 to two digits of 1/0.90)."""
    z_r = 1.061664
    assert focus_budget.fluence_range(6.0, z_r, -0.32, 0.0) == pytest.approx((0.9033, 1.0), abs=1e-3)
    assert focus_budget.fluence_range(-6.0, z_r, -0.32, 0.0) == pytest.approx((1.0, 1.112), abs=1e-3)


@given(sag=st.floats(0, 5), up=st.floats(0, 3), defocus=st.floats(-8, 8))
def test_a_balanced_plane_keeps_what_can_be_kept(sag: float, up: float, defocus: float) -> None:
    """Where the surface fits into the allowed room at all, the balanced plane keeps both limits."""
    allowed = focus_budget.allowed_mm(defocus, 1.0, 0.85, 1.15)
    shift = float(focus_budget.balance_mm(-sag, up, *allowed))
    if sag + up <= allowed[1] - allowed[0]:
        assert -sag - shift >= allowed[0] - 1e-9
        assert up - shift <= allowed[1] + 1e-9
    else:
        assert (-sag - shift) - allowed[0] == pytest.approx(allowed[1] - (up - shift), abs=1e-9)
