"""Arrays of numbers, by the names that everything else calls them."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def floats(values: ArrayLike) -> Floats:
    """A number, or numbers in a list or an array, as an array of floats of the same shape; of half the digits where it
    is one already.

    >>> floats([1, 2]).tolist(), floats(3).shape
    ([1.0, 2.0], ())
    """
    array = np.asarray(values)
    return array if array.dtype.kind == "f" else array.astype(float)
