"""Greys as dots."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.dither import dithered

RANDOM = np.random.default_rng(11)


def one_by_one(share: np.ndarray, allowed: np.ndarray) -> np.ndarray:
    """The same rule, cell after cell in reading order, as the source describes it."""
    rows, columns = share.shape
    wanted = np.where(allowed, share, 0).astype(np.float64)
    marks = np.zeros(share.shape, bool)
    for i in range(rows):
        for j in range(columns):
            marks[i, j] = allowed[i, j] and wanted[i, j] >= 0.5
            error = wanted[i, j] - marks[i, j]
            to = {(0, 1): 7 / 16, (1, -1): 3 / 16, (1, 0): 5 / 16, (1, 1): 1 / 16} if allowed[i, j] else {(0, 1): 1.0}
            for (down, right), part in to.items():
                if i + down < rows and 0 <= j + right < columns:
                    wanted[i + down, j + right] += part * error
    return marks


@settings(deadline=None)
@given(st.integers(1, 30), st.integers(1, 30), st.booleans())
def test_fronts_decide_as_one_cell_after_the_other(rows: int, columns: int, holes: bool) -> None:
    """Deciding a whole front of cells at once gives what deciding them one by one gives."""
    # Shares in 256ths: with weights in 16ths sums stay exact long enough to compare every mark.
    share = (RANDOM.integers(0, 17, (rows, columns)) / 16).astype(np.float32)
    allowed = RANDOM.random((rows, columns)) < 0.8 if holes else np.ones((rows, columns), bool)
    differ = dithered(share, allowed) != one_by_one(share, allowed)
    assert differ.mean() < 0.02 or differ.sum() <= 1


@pytest.mark.parametrize("share", [0.0, 0.03, 0.2, 0.5, 0.77, 1.0])
def test_as_many_cells_are_marked_as_the_tone_asks(share: float) -> None:
    """Over a patch of 100 by 120 cells, the share that is marked is the tone to half a per cent."""
    marks = dithered(np.full((100, 120), share, np.float32), np.ones((100, 120), bool))
    assert marks.mean() == pytest.approx(share, abs=0.005)


def test_tone_is_kept_across_the_blank_between_slices() -> None:
    """Slices of a few cells with blanks between them are as dark as one wide slice."""
    allowed = np.tile(np.array([1, 1, 1, 0, 0], bool), (200, 40))
    marks = dithered(np.full(allowed.shape, 0.3, np.float32), allowed)
    assert not marks[~allowed].any()
    assert marks[allowed].mean() == pytest.approx(0.3, abs=0.005)


def test_a_slope_of_tones_comes_out_as_a_slope() -> None:
    """Ten patches from black to white each hold their own tone."""
    share = np.linspace(0, 1, 300, dtype=np.float32)[None].repeat(200, 0)
    marks = dithered(share, np.ones(share.shape, bool))
    for k in range(10):
        here = slice(30 * k, 30 * k + 30)
        assert marks[:, here].mean() == pytest.approx(share[:, here].mean(), abs=0.02)
