"""What is asked of a slice sheet, and what comes out of it."""

from typing import Literal

from pydantic import Field

from rotary.model import Length, Model
from rotary.passes.plan.setting import Removal
from rotary.sheet.first import FirstSlice


class SheetWish(Model):
    """What a person wants of the sheet.

    `marked_width_mm` is the width of one marked line as measured, the computed spot where not given;
    `overlap_mm` how far two neighbouring slices should overlap. `slide` lets the joints slide into the
    white; `more_columns` blank columns more give them room to. `first_alone` False leaves out the files of the first
    slice and of all others, that a coated item gets beside the whole.
    """

    arrangement: Literal["one-sheet", "a-file-a-slice"] = "one-sheet"
    marked_width_mm: Length | None = Field(default=None, gt=0, le=2)
    overlap_mm: Length | None = Field(default=None, ge=0, le=2)
    slide: bool = True
    more_columns: Literal[0, 2] = 0
    first_alone: bool = True

    def for_passes(self, steps: Removal) -> "SheetWish":
        """The same, without files for a first slice where passes are counted; a file a slice where it has to be."""
        update: dict[str, object] = {"first_alone": False} if steps.is_counted else {}
        if steps.file_per_slice:
            update["arrangement"] = "a-file-a-slice"
        return self.model_copy(update=update)


class SliceRow(Model):
    """One slice, in marking order: the item's angle on top, and what marking it takes.

    `ink_mm2` is the area as drawn, `fill_mm` the length of hatch lines that fill it, `lines` their
    number, `travel_mm` the moves with the beam off between those of one row; 0 where the slice is blank.
    """

    number: int
    on_top_rad: float
    ink_mm2: float
    fill_mm: float
    lines: int
    travel_mm: float
    file: str


class Sheet(Model):
    """The sheet as drawn.

    `middle_rad` is the item's angle that has to be under the head while the sheet's middle is marked;
    `shift_rad` how far the joints were slid, `crossed_mm` the inked length that they cross now and
    `crossed_before_mm` would have crossed unslid; `crossed_with_more_mm` what two columns more would
    make of it, None where they would not help. `inset_mm` is how far each slice ends before its border.
    `wide_mm` and `high_mm` are the page as it lies in the field. `first` is the slice that a coating is tried on.
    """

    arrangement: Literal["one-sheet", "a-file-a-slice"]
    columns: int
    column_mm: float
    wide_mm: float
    high_mm: float
    index_angle_rad: float
    middle_rad: float
    shift_rad: float
    crossed_mm: float
    crossed_before_mm: float
    crossed_with_more_mm: float | None
    inset_mm: float
    marked_width_mm: float
    overlap_mm: float
    widest_command_mm: float
    fill_mm: float
    lines: int
    rows: tuple[SliceRow, ...]
    files: tuple[str, ...]
    must_show: tuple[str, ...]
    hatch: tuple[str, ...]
    notes: tuple[str, ...]
    first: FirstSlice | None = None
