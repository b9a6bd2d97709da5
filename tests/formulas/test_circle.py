"""Arcs of a circle and its neighbours, against identities and at the ends of their range."""

from math import asin, cos, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.formulas import circle

radii = st.floats(1.5, 200.0)
shares = st.floats(1e-9, 1.0)


@given(radii, shares)
def test_the_ends_of_the_widest_arc_lie_just_as_deep_as_allowed(r: float, share: float) -> None:
    """Put the answer back: half chord and radius meet at exactly that depth (intersecting chords)."""
    sagitta = share * r
    half_chord = r * sin(float(circle.widest_arc_mm(r, sagitta)) / (2 * r))
    assert half_chord**2 == pytest.approx(sagitta * (2 * r - sagitta), rel=1e-9)


@given(radii, st.floats(1e-6, 1.0))
def test_an_arc_falls_as_deep_as_its_chord_cuts(r: float, share: float) -> None:
    """The fall at half a chord put back: the two parts of the diameter multiply to its square (intersecting chords)."""
    fall = float(circle.fall_mm(r, asin(share)))
    assert fall * (2 * r - fall) == pytest.approx((share * r) ** 2, rel=1e-9)


def test_narrow_arcs_keep_their_digits() -> None:
    """An arc of 1 µm on a 400 mm drum falls by c²/8r, of which the textbook form loses the last digits."""
    assert float(circle.fall_mm(200.0, 0.0005 / 200)) == pytest.approx(1e-6 / 1600, rel=1e-9, abs=0)
    assert 200.0 * (1 - cos(0.0005 / 200)) != pytest.approx(1e-6 / 1600, rel=1e-6, abs=0)


@pytest.mark.parametrize("r", [1.5, 44.0, 200.0])
def test_the_extremes_of_an_arc(r: float) -> None:
    """The ends of half a turn lie a radius below its middle, those of a whole turn a diameter."""
    assert float(circle.fall_mm(r, pi / 2)) == pytest.approx(r)
    assert float(circle.fall_mm(r, pi)) == pytest.approx(2 * r)
    assert float(circle.widest_arc_mm(r, 2 * r)) == pytest.approx(2 * pi * r)


def test_what_has_no_answer_is_no_number() -> None:
    """A depth beyond the diameter gives nan, without a warning."""
    assert np.isnan(circle.widest_arc_mm(10.0, 21.0))


@pytest.mark.parametrize("flats", [3, 4, 6, 8, 12, 48])
def test_flats_close_to_a_polygon(flats: int) -> None:
    """Laid out corner by corner, a flat is as wide and a corner as far out as the formulas say."""
    across = 16.0
    corner = float(circle.across_corners_mm(across, flats)) / 2
    first, second = (np.array([corner * cos(a), corner * sin(a)]) for a in (pi / flats, -pi / flats))
    assert first[0] == pytest.approx(across / 2)
    assert np.hypot(*(first - second)) == pytest.approx(float(circle.flat_width_mm(across, flats)))


@given(st.floats(5.0, 200.0), st.floats(0.2, 1.0), st.floats(0.001, 0.9))
def test_a_panel_on_an_oval_ends_where_the_ellipse_is_that_deep(wide: float, share: float, depth: float) -> None:
    """The panel's end put into the ellipse's equation lies exactly the sagitta below its middle."""
    narrow, sagitta = wide * share, depth * wide * share / 2
    x = float(circle.flat_panel_width_mm(wide, narrow, sagitta)) / 2
    y = narrow / 2 - sagitta
    assert (x / (wide / 2)) ** 2 + (y / (narrow / 2)) ** 2 == pytest.approx(1)
