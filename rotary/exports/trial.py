"""The files that a coating is tried with, of a picture: pages of one size, the dots of other slices left out."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.sentences.files import slices_text
from rotary.sheet.order import SheetZone
from rotary.slices.trial import TrialFiles, fullest_place, trial_files

Dots = NDArray[np.uint8]


class TrialPages(NamedTuple):
    """Pages for the same heights: one with all slices, or one a slice. `inks` are the dots marked in each slice,
    `names` the page or the pages, `slice_of` the place of the slice that each column of the page's dots is in; `back`
    where the program counts slices from the last."""

    names: list[str]
    inks: list[float]
    zone: SheetZone | None
    page: Dots
    slice_of: NDArray[np.int64]
    back: bool = False

    @property
    def files(self) -> TrialFiles:
        """The files that a coating is tried with."""
        return trial_files(self.inks, self.names[0]) if len(self.names) == 1 else trial_files(self.inks, "", self.names)

    def parts(self) -> dict[str, tuple[str, Dots]]:
        """Of each of those files which slices it holds, and the page; none where each slice has a file of its own."""
        files = self.files
        numbers = {part: files.numbers_in(part, self.inks) for part in files.parts}
        return {
            part: (slices_text(held, files.slices, self.back), np.where(np.isin(self.slice_of + 1, held), self.page, 0))
            for part, held in numbers.items()
        }


def slice_of_columns(x_mm: NDArray[np.float64], middles_mm: list[float], file_slice_mm: float) -> NDArray[np.int64]:
    """In which slice each place lies; what lies beyond the outermost ones is theirs.

    >>> slice_of_columns(np.array([-3.0, -1.0, 0.9, 1.0, 5.0]), [-2.0, 0.0, 2.0], 2.0).tolist()
    [0, 1, 1, 2, 2]
    """
    place = np.floor((x_mm - middles_mm[0]) / file_slice_mm + 0.5 + 1e-9).astype(np.int64)
    return place.clip(0, len(middles_mm) - 1)


def fuller(one: TrialPages | None, other: TrialPages) -> TrialPages:
    """The pages whose fullest slice has more ink; of equals the one nearest the middle."""
    if one is None:
        return other
    k = fullest_place([max(pair) for pair in zip(one.inks, other.inks, strict=True)])
    return other if other.inks[k] > one.inks[k] else one
