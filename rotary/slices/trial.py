"""The files that a coating is tried with: one slice, a second one, then all others.

::

      NAME-sliced.svg   | ( | ( | ) | ) |      all slices, for repeats and for bare metal
      NAME-first.svg    |   |   | ) |   |      the one with most ink, on a page of the same size
      NAME-second.svg   |   | ( |   |   |      the one with most ink of the others
      NAME-rest.svg     | ( |   |   | ) |      all others: the turning lands as with all
"""

from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Final

from rotary.model import Model

SLICED: Final = "-sliced"
"""How the name of a file ends that holds all slices, each drawn apart from the next."""

_FILES: Final = ("first", "second", "rest", "whole")
_SAME_INK: Final = 1e-6
"""Slices whose ink differs by a smaller share have as much."""


class TrialFiles(Model):
    """The files of a coated item, each by its name, "" where there is none.

    `first` and `second` hold the slices numbered `first_number` and `second_number` of `slices` alone, `rest` all
    others with ink, `whole` all. Where each slice has a file of its own there is no rest and no whole.
    """

    slices: int
    first_number: int
    second_number: int | None = None
    first: str
    second: str = ""
    rest: str = ""
    whole: str = ""

    @property
    def parts(self) -> tuple[str, ...]:
        """The files that are written beside the whole, in the order in which they are imported."""
        return tuple(filter(None, (self.first, self.second, self.rest))) if self.whole else ()

    def file_of(self, number: int) -> str:
        """The part that holds a slice."""
        return {self.first_number: self.first, self.second_number: self.second}.get(number, self.rest)

    def numbers_in(self, part: str, inks: Sequence[float]) -> tuple[int, ...]:
        """The numbers of the slices that a part shows, of slices with these inks."""
        return tuple(n for n, ink in enumerate(inks, 1) if ink > 0 and self.file_of(n) == part)

    def renamed(self, names: Mapping[str, str]) -> "TrialFiles":
        """The same in files of other names."""
        return self.model_copy(update={file: names.get(getattr(self, file), "") for file in _FILES})


def fullest_place(inks: Sequence[float]) -> int:
    """The place of most ink; of equals the one nearest the middle.

    >>> fullest_place([1.0, 3.0, 2.0]), fullest_place([2.0, 2.0, 2.0, 2.0]), fullest_place([0.0, 1.0, 0.0, 0.0, 1.0])
    (1, 1, 1)
    """
    most = max(inks) * (1 - _SAME_INK)
    return min((k for k, ink in enumerate(inks) if ink >= most), key=lambda k: abs(k - (len(inks) - 1) / 2))


def trial_files(inks: Sequence[float], whole: str = "", singles: Sequence[str] = ()) -> TrialFiles:
    """The files for slices with these inks, of which one has some: parts of a file `whole`, or two of `singles`.

    The second slice is the one with most ink of the others, by the same rule as the first: there is most to look at,
    and where slices are alike the two lie beside each other, so that their seam is seen before the rest is marked.

    >>> files = trial_files([0.0, 4.0, 9.0, 1.0], "zone-1/oars-sliced.svg")
    >>> files.first_number, files.second_number, files.parts[1:]
    (3, 2, ('zone-1/oars-second.svg', 'zone-1/oars-rest.svg'))
    """
    first = fullest_place(inks)
    others = [0.0 if k == first else ink for k, ink in enumerate(inks)]
    second = fullest_place(others) if any(others) else None
    names = [singles[k] for k in (first, second) if k is not None] if singles else []
    if whole:
        path = PurePosixPath(whole)
        stem = path.stem.removesuffix(SLICED)
        names = [str(path.with_stem(f"{stem}-{part}")) for part in _FILES[: min(sum(ink > 0 for ink in inks), 3)]]
    parts = dict(zip(_FILES, names, strict=False))
    return TrialFiles(
        slices=len(inks), first_number=first + 1, second_number=None if second is None else second + 1,
        first=parts["first"], second=parts.get("second", ""), rest=parts.get("rest", ""), whole=whole,
    )  # fmt: skip
