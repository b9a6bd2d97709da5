"""What is asked of a slice sheet, and what comes out of it."""

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from rotary.model import Length, Model
from rotary.passes.plan.setting import Removal
from rotary.slices.trial import TrialFiles


class SheetWish(Model):
    """What a person wants of the sheet.

    `marked_width_mm` is the gap between two filled areas that just closes, the plan's where not given; `overlap_mm`
    how far two neighbouring slices should overlap, the plan's where not given. `slide` lets the seams slide into
    the white; `more_columns` blank columns more give them room to. `trial` False leaves out the files that a
    coating is tried with. `counts_back` numbers files of one slice from the item's right on.
    """

    arrangement: Literal["one-sheet", "a-file-a-slice"] = "one-sheet"
    marked_width_mm: Length | None = Field(default=None, gt=0, le=2)
    overlap_mm: Length | None = Field(default=None, ge=0, le=2)
    slide: bool = True
    more_columns: Literal[0, 2] = 0
    trial: bool = True
    counts_back: bool = False

    def for_passes(self, steps: Removal) -> "SheetWish":
        """The same, with a file a slice where the passes can't be run otherwise."""
        return self.model_copy(update={"arrangement": "a-file-a-slice"}) if steps.file_per_slice else self


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
    `shift_rad` how far the seams were slid, `crossed_mm` the inked length that they cross now and
    `crossed_before_mm` would have crossed unslid; `crossed_with_more_mm` what two columns more would
    make of it, None where they would not help. `inset_mm` is how far each slice ends before its border.
    `wide_mm` and `high_mm` are the page as it lies in the field. `trial` are the files that a coating is tried with,
    `zone_borders_mm` the heights from the foot at which one zone of focus ends and the next begins.
    """

    arrangement: Literal["one-sheet", "a-file-a-slice"]
    columns: int
    file_slice_mm: float
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
    trial: TrialFiles | None = None
    zone_borders_mm: tuple[float, ...] = ()

    def renamed(self, names: Mapping[str, str]) -> "Sheet":
        """The same in files of other names."""
        rows = tuple(row.model_copy(update={"file": names.get(row.file, row.file)}) for row in self.rows)
        trial = self.trial and self.trial.renamed(names)
        return self.model_copy(update={"files": tuple(names.values()), "rows": rows, "trial": trial})
