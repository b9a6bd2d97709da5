"""Greys as dots: each cell marked or not, its error handed on to the neighbours that come after.

The weights are those of floyd1976 (from memory, not seen)::

          .   X  7/16         a cell waits for those on its left and above,
        3/16 5/16 1/16        so all cells with the same  column + 2 row  can be decided at once

A cell that may not be marked hands all of its error to the right: across the blank between two slices, which
meet on the item. So no tone is lost there, and dots don't line up along the seams.
"""

import numpy as np
from numpy.typing import NDArray

Floats32 = NDArray[np.float32]


def dithered(share: Floats32, allowed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which cells are marked, (n, m) bool, so that over any patch as many are as `share` (n, m) asks.

    `share` runs from 0 (nothing marked) to 1; cells that are not `allowed` stay blank.

    >>> half = dithered(np.full((8, 8), 0.5, np.float32), np.ones((8, 8), bool))
    >>> int(half.sum()), bool(half.all(axis=1).any())
    (32, False)
    """
    rows, columns = share.shape
    steps = columns + 2 * (rows - 1)
    # A front is a row of the skewed picture: cell (i, j) stands at front j + 2 i, place i, with one spare place.
    wanted = np.zeros((steps + 3, rows + 1), np.float32)
    open_ = np.zeros((steps + 3, rows + 1), np.float32)
    i, j = np.arange(rows)[:, None], np.arange(columns)
    wanted[j + 2 * i, i] = np.where(allowed, share, 0)
    open_[j + 2 * i, i] = allowed
    marks = np.zeros((steps, rows), bool)
    for t in range(steps):
        low, high = max(0, (t - columns + 2) // 2), min(rows, t // 2 + 1)
        has, is_open = wanted[t, low:high], open_[t, low:high]
        mark = (has >= 0.5) & (is_open > 0)
        marks[t, low:high] = mark
        error = has - mark
        part = error * is_open / 16
        wanted[t + 1, low:high] += error - 9 * part
        wanted[t + 1, low + 1 : high + 1] += 3 * part
        wanted[t + 2, low + 1 : high + 1] += 5 * part
        wanted[t + 3, low + 1 : high + 1] += part
    return np.asarray(marks[j + 2 * i, i])
