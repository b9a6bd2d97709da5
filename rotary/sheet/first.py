"""The first slice alone: a coating is tried on one slice before the others are marked.

::

      NAME.svg         | ( | ( | ) | ) |      all slices
      NAME-first.svg   |   |   | ) |   |      the one with most ink, on a page of the same size
      NAME-rest.svg    | ( | ( |   | ) |      all others: the turning lands as with all
"""

from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Final

import numpy as np

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import Rings, area_mm2, joined
from rotary.model import Model
from rotary.plan import Plan
from rotary.sentences.running import run, steps_of_files

_SAME_INK: Final = 1e-6
"""Slices whose ink differs by a smaller share have as much."""


_TRIES: Final = ("Import ", "Then import ", "Mark ")
"""How the sentences begin that say which file is imported when."""


class FirstSlice(Model):
    """The slice that is marked first: `number` of `slices`. `file` holds it alone, `rest` all others, "" where no
    other has ink; `whole` holds all, "" where each slice has a file of its own."""

    number: int
    slices: int
    file: str
    rest: str = ""
    whole: str = ""

    def renamed(self, names: Mapping[str, str]) -> "FirstSlice":
        """The same in files of other names, "" where there is none."""
        return self.model_copy(update={part: names.get(getattr(self, part), "") for part in ("file", "rest", "whole")})

    @property
    def import_order(self) -> tuple[str, ...]:
        """Which file is imported when."""
        which = f"slice {self.number} of {self.slices}"
        if not self.whole:
            return (f"Mark {self.file} first, alone: it has most ink. Then the others, with the passes that it took.",)
        first = f"Import {self.file} first: {which} alone. Its blank slices turn past unmarked."
        if not self.rest:
            return (f"{first} No other slice has ink.",)
        return (first, f"Then import {self.rest}: all other slices. The next items get {self.whole}: all at once.")


def run_with(made: Plan, first: FirstSlice | None, slices: int) -> tuple[str, ...]:
    """How the passes on a coating are run with the files that were written for so many slices; none in bare metal."""
    if first and not first.whole and not made.removal.is_counted:
        return steps_of_files(made.removal, first.file, made.job.item, made.job.drive.kind == "rollers")
    return run(made, slices)


def without_first(lines: Sequence[str]) -> tuple[str, ...]:
    """What a program must show, without which file is imported first.

    >>> without_first(["The rim points up.", "Import a-first.svg first: slice 1 of 2 alone.", "Then import a-rest.svg"])
    ('The rim points up.',)
    """
    return tuple(line for line in lines if not line.startswith(_TRIES))


def first_place(inks: Sequence[float]) -> int:
    """The place of most ink; of equals the one nearest the middle.

    >>> first_place([1.0, 3.0, 2.0]), first_place([2.0, 2.0, 2.0, 2.0]), first_place([0.0, 1.0, 0.0, 0.0, 1.0])
    (1, 1, 1)
    """
    most = max(inks) * (1 - _SAME_INK)
    return min((k for k, ink in enumerate(inks) if ink >= most), key=lambda k: abs(k - (len(inks) - 1) / 2))


def split_first(whole: str, inks: Sequence[float], of: int | None = None) -> FirstSlice:
    """The first slice of a file `whole` with these inks, slice by slice, of `of` where further slices are blank.

    >>> one = split_first("zone-1/oars-sheet.svg", [0.0, 4.0, 9.0])
    >>> one.number, one.file, one.rest
    (3, 'zone-1/oars-sheet-first.svg', 'zone-1/oars-sheet-rest.svg')
    """
    path = PurePosixPath(whole)
    names = [str(path.with_stem(f"{path.stem}-{part}")) for part in ("first", "rest")]
    others = sum(ink > 0 for ink in inks) > 1
    return FirstSlice(
        number=first_place(inks) + 1, slices=of or len(inks), file=names[0], rest=names[1] if others else "",
        whole=whole,
    )  # fmt: skip


def split_columns(drawn: Rings, columns: int, column_mm: float, wide_mm: float) -> tuple[list[float], list[Rings]]:
    """The ink of each column of flat artwork [mm²], and the artwork of the first slice and of all others.

    The page is `wide_mm` wide, its middle in the middle of the columns. Both parts end on whole micrometres of the
    page inside their own columns, so that neither has a line in the other's.
    """
    borders = (np.arange(1, columns) - columns / 2) * column_mm
    inks = [area_mm2(strip) for strip in slices_between(drawn, borders)]
    k = first_place(inks)
    on_page = borders[max(k - 1, 0) : k + 1] * 1000 + round(wide_mm * 1000) / 2
    low, high = np.floor(on_page.round(6)), np.ceil(on_page.round(6))
    edges = np.unique([low, high])
    strips = slices_between(drawn, (edges - round(wide_mm * 1000) / 2) / 1000)
    ends = [-np.inf, *edges.tolist(), np.inf]
    begins = high[0] if k > 0 else -np.inf
    stops = low[-1] if k < columns - 1 else np.inf
    first, rest = [], []
    for strip, left, right in zip(strips, ends[:-1], ends[1:], strict=True):
        if left >= begins and right <= stops:
            first.append(strip)
        elif right <= (low[0] if k > 0 else -np.inf) or left >= (high[-1] if k < columns - 1 else np.inf):
            rest.append(strip)
    return inks, [joined(first), joined(rest)]
