"""What is asked of a series of names, and what comes out of it."""

from pathlib import Path
from typing import Literal

from pydantic import Field

from rotary.artwork.line_letters import LineFaceName
from rotary.model import Length, Model, Share
from rotary.series.results import Outcome


class SeriesWish(Model):
    """What a person wants of a list of names.

    `column` is the heading of the column that holds the names; it need not be given where there is only one.
    `headings` is whether the first line of the list is headings, which need not be said where a column is named.
    Letters are `letter_height_mm` high, or smaller where a name is wider than `room_mm` (the artwork's width
    where not given), down to `least_share` of that. A name's middle lies at `u_mm`, `v_mm` from the artwork's;
    without `v_mm` at the bottom of the artwork under a crest, or in its middle without one.
    """

    column: str | None = None
    headings: Literal["yes", "no"] | None = None
    letter_height_mm: Length = Field(default=8.0, gt=0)
    room_mm: Length | None = Field(default=None, gt=0)
    least_share: Share = Field(default=0.6, gt=0, le=1)
    u_mm: Length = 0.0
    v_mm: Length | None = None
    face: Literal["outline"] | LineFaceName = "outline"
    font: Path | None = None
    weight: int = Field(default=400, ge=1, le=1000)
    line_width_mm: Length = Field(default=0.3, gt=0)


class SheetEntry(Outcome):
    """One name of the list, by its line there.

    `state` is `fits`, `smaller` (set in smaller letters than asked), or `misfit`, then `why` says what to do and
    nothing was written for it.
    """

    state: Literal["fits", "smaller", "misfit"]
    width_mm: float = 0.0


class Series(Model):
    """All names, misfits first, the rest in the list's order; `table` is the file that says the same."""

    entries: tuple[SheetEntry, ...]
    misfits: int
    table: str
    notes: tuple[str, ...]
