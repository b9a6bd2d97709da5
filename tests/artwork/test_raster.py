"""Tones between dots, and means over cells."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from rotary.artwork.raster import averaged, reduced, remapped

RANDOM = np.random.default_rng(7)


@settings(deadline=None)
@given(st.integers(2, 40), st.integers(2, 40), st.integers(1, 300))
def test_tones_between_dots_agree_with_a_general_interpolator(high: int, wide: int, rows: int) -> None:
    """scipy's linear interpolation, edges repeated, finds the same tones to a part in ten thousand."""
    tones = RANDOM.integers(0, 65_536, (high, wide)).astype(np.uint16)
    x = RANDOM.uniform(-3, wide + 2, (rows, 17)).astype(np.float32)
    y = RANDOM.uniform(-3, high + 2, (rows, 17)).astype(np.float32)
    expected = ndimage.map_coordinates(tones.astype(float), [y, x], order=1, mode="nearest")
    assert np.abs(remapped(tones, x, y) - expected).max() < 65_536 * 1e-4


def test_threads_and_bands_make_no_difference() -> None:
    """A large picture, looked up by several threads, is the same as row by row."""
    tones = RANDOM.integers(0, 65_536, (300, 400)).astype(np.uint16)
    x = RANDOM.uniform(0, 399, (513, 700)).astype(np.float32)
    y = RANDOM.uniform(0, 299, (513, 700)).astype(np.float32)
    rows = [remapped(tones, x[k : k + 1], y[k : k + 1])[0] for k in range(len(x))]
    assert np.array_equal(remapped(tones, x, y), np.array(rows))


def test_a_place_that_is_no_number_breaks_nothing() -> None:
    """Where the beam misses the item there is no place; the tone there is some dot's, never a crash."""
    tones = np.full((3, 3), 9, np.uint16)
    nowhere = np.array([[np.nan, np.inf, -np.inf]], np.float32)
    assert remapped(tones, nowhere, nowhere).tolist() == [[9.0, 9.0, 9.0]]


@settings(deadline=None)
@given(st.integers(2, 60), st.integers(2, 60), st.integers(1, 9))
def test_reducing_keeps_the_mean_of_each_block(high: int, wide: int, factor: int) -> None:
    """Each dot of the reduced picture is the mean of its block, the narrow blocks at the edges too."""
    tones = RANDOM.integers(0, 65_536, (high, wide)).astype(np.uint16)
    small = reduced(tones, factor)
    for i in range(small.shape[0]):
        for j in range(small.shape[1]):
            block = tones[i * factor : (i + 1) * factor, j * factor : (j + 1) * factor]
            assert abs(int(small[i, j]) - block.mean()) <= 0.5


@pytest.mark.parametrize("shrinks", [1.0, 2.5, 7.3, 40.0])
def test_shrinking_keeps_the_mean_and_makes_no_bands(shrinks: float) -> None:
    """Fine stripes that a cell covers several of come out as their mean, not as a slow beat of light and dark."""
    tones = np.tile(np.array([[0, 65_535], [65_535, 0]], np.uint16), (400, 400))
    count = int(790 / shrinks)
    x, y = np.meshgrid((np.arange(count) + 0.5) * shrinks, (np.arange(count) + 0.5) * shrinks)
    found = averaged(tones, x, y) / 65_535
    assert found.mean() == pytest.approx(0.5, abs=0.01)
    if shrinks > 2:
        assert found.std() < 0.13


def test_a_slope_is_kept_under_turning_and_shrinking() -> None:
    """A tone that rises evenly is found as it is at each cell's middle, whatever the cell's size and turn."""
    high, wide = 500, 600
    across, down = np.meshgrid(np.arange(wide), np.arange(high))
    tones = np.rint(50.0 * across + 40.0 * down).astype(np.uint16)
    cells_x, cells_y = np.meshgrid(np.arange(30.0), np.arange(20.0))
    x, y = 200 + 6 * cells_x - 3 * cells_y, 100 + 3 * cells_x + 6 * cells_y
    assert np.abs(averaged(tones, x, y) - (50 * x + 40 * y)).max() < 3.0
