"""Slices: nothing lost, nothing doubled, the same as an independent library cuts."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import (
    NO_INK,
    Rings,
    area_mm2,
    bounds_mm,
    rings_from_list,
    rings_from_shapely,
    shapely_from_rings,
)
from rotary.artwork.white import ink_profile, inked_length, slide_into_white


def blots(seed: int, count: int = 12) -> Rings:
    """Wavy rings with holes, side by side and within one another."""
    rng = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    shapes = []
    for _ in range(count):
        wave = 1 + 0.3 * np.sin(int(rng.integers(2, 9)) * turn + rng.uniform(0, 6))
        ring = np.stack([wave * np.cos(turn), wave * np.sin(turn)], 1) * rng.uniform(1, 5) + rng.uniform(-20, 20, 2)
        shapes.append(shapely.make_valid(shapely.Polygon(ring)))
    region = shapes[0]
    for shape in shapes[1:]:
        region = region ^ shape
    return rings_from_shapely(shapely.make_valid(region))


# At a subnormal place (2e-309 mm) the library's area is 1e-4 mm² off; the slices there are those at 0.
CUTS = st.lists(st.floats(-25, 25, allow_subnormal=False), min_size=1, max_size=30, unique=True)


@given(seed=st.integers(0, 10_000), cuts=CUTS)
@settings(max_examples=60, deadline=None)
def test_slices_are_what_an_independent_library_cuts(seed: int, cuts: list[float]) -> None:
    """Each slice is the region between its two lines, valid, and together they are the whole."""
    lines = np.sort(np.array(cuts))
    lines = lines[np.concatenate([[True], np.diff(lines) > 1e-6])]
    ink = blots(seed, 6)
    whole = shapely_from_rings(ink)
    slices = slices_between(ink, lines)
    edges = [-100.0, *lines.tolist(), 100.0]
    for piece, left, right in zip(slices, edges[:-1], edges[1:], strict=True):
        there = shapely.intersection(whole, shapely.box(left, -100, right, 100))
        assert area_mm2(piece) == pytest.approx(there.area, abs=1e-9)
        assert shapely.symmetric_difference(shapely.make_valid(shapely_from_rings(piece)), there).area < 1e-9
    assert sum(map(area_mm2, slices)) == pytest.approx(area_mm2(ink), rel=1e-12)


@pytest.mark.parametrize("line", [0.0, 4.0, 2.0, -1.0, 5.0])
def test_lines_through_corners_and_along_edges_lose_nothing(line: float) -> None:
    """A point on a line belongs to the right, an edge along a line bounds both sides, and areas still add up."""
    shape = rings_from_list([[(0, 0), (4, 0), (4, 4), (2, 2), (0, 4)], [(5, 0), (6, 0), (6, 1), (5, 1)]])
    left, right = slices_between(shape, [line])
    assert area_mm2(left) + area_mm2(right) == pytest.approx(area_mm2(shape), abs=1e-12)
    for part, wrong in ((left, 1), (right, -1)):
        if len(part.points_mm):
            assert (wrong * (part.points_mm[:, 0] - line) <= 0).all()


@given(seed=st.integers(0, 100_000))
@settings(max_examples=60, deadline=None)
def test_corners_and_edges_on_the_lines_lose_and_double_nothing(seed: int) -> None:
    """Shapes on whole numbers cut at whole numbers: corners on lines, edges along them, rings that touch there."""
    rng = np.random.default_rng(seed)
    corners = [rng.integers(0, 8, (int(rng.integers(3, 7)), 2)) for _ in range(4)]
    whole = shapely.union_all([shapely.make_valid(shapely.Polygon(c)) for c in corners[:3]])
    whole = shapely.make_valid(whole ^ shapely.make_valid(shapely.Polygon(corners[3])))
    lines = np.arange(0, 9)
    slices = slices_between(rings_from_shapely(whole), lines)
    for piece, (left, right) in zip(slices, pairwise([-9, *lines.tolist(), 19]), strict=True):
        there = shapely.intersection(whole, shapely.box(left, -9, right, 19))
        assert area_mm2(piece) == pytest.approx(there.area, abs=1e-9)
        for at in rng.uniform(max(left, 0), min(right, 8), 3) if len(piece.points_mm) else []:
            line = shapely.intersection(there, shapely.LineString([(at, -9), (at, 19)]))
            assert float(inked_length(ink_profile(piece), at)) == pytest.approx(line.length, abs=1e-6)


def test_a_line_through_a_hole_makes_two_pieces_of_it() -> None:
    """A frame cut through its middle falls into two brackets without a hole."""
    frame = rings_from_shapely(shapely.box(0, 0, 10, 10) - shapely.box(2, 2, 8, 8))
    left, right = slices_between(frame, [5.0])
    assert len(left.offsets) == len(right.offsets) == 2
    assert area_mm2(left) == area_mm2(right) == pytest.approx(32.0)


def test_many_lines_through_one_long_edge_cut_it_everywhere() -> None:
    """An edge that passes many lines gives a piece to every slice."""
    bar = rings_from_list([[(0, 0), (100, 0), (100, 1), (0, 1)]])
    slices = slices_between(bar, np.arange(1, 100))
    assert [round(area_mm2(piece), 12) for piece in slices] == [1.0] * 100


def test_cuts_that_do_not_rise_and_empty_regions() -> None:
    """Wrong lines are refused; no ink gives as many empty slices."""
    with pytest.raises(ValueError, match="rise"):
        slices_between(blots(1), [1.0, 1.0])
    assert slices_between(NO_INK, [1.0, 2.0]) == [NO_INK] * 3


@given(seed=st.integers(0, 10_000), at=st.integers(-24_000_000, 24_000_000).map(lambda at: at / 1e6))
@settings(max_examples=60, deadline=None)
def test_the_inked_length_of_a_line_is_what_an_independent_library_measures(seed: int, at: float) -> None:
    """The profile gives the length of the line within the ink, and its integral is the inked area."""
    ink = blots(seed, 5)
    profile = ink_profile(ink)
    line = shapely.LineString([(at, -100), (at, 100)])
    want = shapely.intersection(shapely_from_rings(ink), line).length
    assert float(inked_length(profile, at)) == pytest.approx(want, abs=1e-7)
    step = np.diff(profile.x)
    area = float(np.sum(step * (profile.length[:-1] + profile.slope[:-1] * step / 2)))
    assert area == pytest.approx(area_mm2(ink), rel=1e-9)


@given(seed=st.integers(0, 10_000), count=st.integers(1, 7))
@settings(max_examples=40, deadline=None)
def test_no_shift_that_was_tried_crosses_less_ink_than_the_slid_seams(seed: int, count: int) -> None:
    """A thousand shifts by brute force find nothing better, and what is said to be crossed is."""
    ink = blots(seed, 4)
    profile = ink_profile(ink)
    left, _, right, _ = bounds_mm(ink)
    pitch = (right - left) / (count + 1)
    cuts = left + pitch * np.arange(1, count + 1)
    slid = slide_into_white(profile, cuts, -pitch / 2, pitch / 2)
    tried = np.linspace(-pitch / 2, pitch / 2, 1001)
    brute = inked_length(profile, tried[:, None] + cuts).sum(axis=1).min()
    assert slid.crossed <= brute + 1e-6
    assert slid.crossed <= slid.crossed_before + 1e-9
    either = [float(inked_length(profile, cuts + slid.shift + nudge).sum()) for nudge in (-1e-9, 1e-9)]
    assert min(either) == pytest.approx(slid.crossed, abs=1e-4)


def test_a_range_of_shifts_that_leaves_nothing_out_is_asked_for() -> None:
    """Not to slide at all must be among the choices."""
    with pytest.raises(ValueError, match="include 0"):
        slide_into_white(ink_profile(blots(1)), [0.0], 1.0, 2.0)
