"""Lines with a width: crowded ones are widened piece by piece, and must come out the same."""

import numpy as np
import pytest
import shapely

from rotary.artwork import stroke
from rotary.artwork.outline import Polylines
from rotary.artwork.stroke import Pen, dashed, stroked


def scribble(points: int, spread: float) -> Polylines:
    """A closed line that wanders, of which each part passes near many others."""
    steps = np.random.default_rng(4).standard_normal((points, 2)) * spread
    t = np.linspace(0, 2 * np.pi, points, endpoint=False)
    line = 20 * np.stack([np.cos(t), np.sin(t)], axis=1) + steps
    return Polylines(line, np.array([0, points]), np.array([True]))


@pytest.mark.parametrize("join", ["round", "bevel", "miter"])
@pytest.mark.parametrize("closed", [True, False])
def test_a_crowded_line_is_the_same_whole_and_in_stretches(
    join: str, closed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Widening in stretches is a matter of speed: the area is that of widening in one go.

    To a part in a thousand: in one go, the geometry library passes over dents of a hundredth of the width.
    """
    lines = scribble(1000, 0.1)._replace(closed=np.array([closed]))
    pen = Pen(1.5, "round", join)
    in_stretches = stroked(lines, pen, 0.002)
    monkeypatch.setattr(stroke, "_is_dense", lambda *_: False)
    whole = stroked(lines, pen, 0.002)
    assert shapely.symmetric_difference(in_stretches, whole).area < 1e-3 * whole.area


@pytest.mark.slow
def test_a_long_stroke_of_a_fine_map_is_not_refused() -> None:
    """30,000 vertices of 2 µm unrest drawn a millimetre wide are a drawing, not an attack."""
    shape = stroked(scribble(30_000, 0.002), Pen(1.0, "round", "round"), 0.002)
    assert shape.area == pytest.approx(40 * np.pi, rel=0.01)


def test_mitres_stand_out_as_far_as_geometry_says() -> None:
    """At a corner of angle a the mitre's tip is w / (2 sin(a / 2)) from the corner, within the limit."""
    for degrees in (30, 60, 90, 150):
        a = np.radians(degrees)
        line = np.array([[10.0, 0.0], [0.0, 0.0], [10 * np.cos(a), 10 * np.sin(a)]])
        lines = Polylines(line, np.array([0, 3]), np.array([False]))
        reach = 1 / np.sin(a / 2)
        tip = -reach * np.array([np.cos(a / 2), np.sin(a / 2)])
        within = stroked(lines, Pen(2.0, "butt", "miter", reach * 1.001), 0.001)
        assert shapely.distance(within, shapely.Point(tip)) < 1e-9
        cut = stroked(lines, Pen(2.0, "butt", "miter", reach * 0.999), 0.001)
        assert shapely.distance(cut, shapely.Point(tip)) > 0.01


def test_dashes_add_up_to_their_share_of_the_way() -> None:
    """Over whole periods a 3:2 pattern draws three fifths of the length, wherever it begins and however it bends."""
    t = np.linspace(0, 2 * np.pi, 1001)
    ring = np.stack([np.cos(t), np.sin(t)], axis=1)
    length = float(np.hypot(*np.diff(ring, axis=0).T).sum())
    unit = length / 50
    for offset in (0.0, 1.3, 7.0, -2.2):
        pen = Pen(0.01, dashes=(3 * unit, 2 * unit), dash_offset=offset * unit)
        drawn = sum(float(np.hypot(*np.diff(piece, axis=0).T).sum()) for piece in dashed(ring, pen))
        assert drawn == pytest.approx(0.6 * length, rel=1e-9)


def test_a_closed_line_with_mitres_covers_its_length_times_its_width() -> None:
    """A closed line with all its mitres covers its length times its width: what overlaps within is added without."""
    turns = np.array([(0, 0), (4, 0), (4, 3), (6, 4), (6, 8), (-3, 5)], float)
    lines = Polylines(turns, np.array([0, 6]), np.array([True]))
    pen = Pen(0.8)
    before, after = np.roll(turns, 1, axis=0) - turns, np.roll(turns, -1, axis=0) - turns
    corner = np.arccos((before * after).sum(1) / np.hypot(*before.T) / np.hypot(*after.T))
    length = float(np.hypot(*after.T).sum())
    assert stroked(lines, pen, 0.01).area == pytest.approx(length * 0.8, rel=1e-9)
    assert (1 / np.sin(corner / 2) < pen.miter_limit).all()


@pytest.mark.parametrize(("cap", "more"), [("butt", 0.25), ("square", 0.0)])
def test_an_open_line_that_ends_where_it_began_has_caps_there(cap: str, more: float) -> None:
    """A square that is not closed lacks the corner's quarter with flat ends, and has it with square ones."""
    square = np.array([(0, 0), (6, 0), (6, 6), (0, 6), (0, 0)], float)
    line = Polylines(square, np.array([0, 5]), np.array([False]))
    assert stroked(line, Pen(2.0, cap), 0.01).area == pytest.approx(8 * 8 - 4 * 4 - more * 4)


def test_a_dash_goes_on_over_the_place_where_a_ring_begins() -> None:
    """Dashes that end and begin at a closed line's first corner are one, with its mitre there: length times width."""
    corners = np.array([(0, 0), (20, 0), (20, 20), (0, 20)], float)
    pen = Pen(2.0, dashes=(10.0, 10.0), dash_offset=5.0)
    lines = Polylines(corners, np.array([0, 4]), np.array([True]))
    assert stroked(lines, pen, 0.01).area == pytest.approx(4 * 10 * 2)
