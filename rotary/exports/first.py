"""The first slice of a picture alone, and all others: pages of the same size with the dots of the others left out."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.sheet.first import FirstSlice, first_place, split_first
from rotary.sheet.order import SheetZone

Dots = NDArray[np.uint8]


class Tried(NamedTuple):
    """A page, the heights that it is for, and the place of each slice on it: a page of one slice has only that.

    `mine` says of each of the page's columns of dots in which slice it lies, -1 in none.
    """

    name: str
    suffix: str
    page: Dots
    zone: SheetZone | None
    mine: NDArray[np.int64]
    slices: int

    @property
    def inks(self) -> list[float]:
        """What is marked in each slice."""
        inside = self.mine >= 0
        every = self.page.sum(axis=0, dtype=np.int64)
        return [float(ink) for ink in np.bincount(self.mine[inside], every[inside], self.slices)]


def columns_of(x_mm: NDArray[np.float64], middles_mm: list[float], column_mm: float) -> NDArray[np.int64]:
    """In which column each place lies, -1 in none.

    >>> columns_of(np.array([-3.0, -1.0, 0.9, 1.0, 5.0]), [-2.0, 0.0, 2.0], 2.0).tolist()
    [0, 1, 1, 2, -1]
    """
    place = np.floor((x_mm - middles_mm[0]) / column_mm + 0.5 + 1e-9).astype(np.int64)
    return np.where((place >= 0) & (place < len(middles_mm)), place, -1)


def fuller(one: Tried | None, other: Tried) -> Tried:
    """The page whose fullest slice has more ink; of equals the one nearest the middle."""
    if one is None:
        return other
    both = [max(pair) for pair in zip(one.inks, other.inks, strict=True)]
    k = first_place(both)
    return other if other.inks[k] > one.inks[k] else one


def first_slice(tried: Tried) -> FirstSlice:
    """The slice that is marked first."""
    if tried.suffix.startswith("slice-"):
        return FirstSlice(number=first_place(tried.inks) + 1, slices=tried.slices, file=tried.name)
    return split_first(tried.name, tried.inks)


def split_pages(first: FirstSlice, tried: Tried) -> dict[str, Dots]:
    """The page with its first slice alone and with all others, by name; none where each slice has a file of its own."""
    if not first.whole:
        return {}
    mine = tried.mine == first.number - 1
    pages = {first.file: np.where(mine, tried.page, 0), first.rest: np.where(mine, 0, tried.page)}
    return {name: page.astype(np.uint8) for name, page in pages.items() if name}
