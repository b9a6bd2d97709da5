"""What is asked of a raster sheet, and what comes out of it."""

from typing import Literal

from pydantic import Field

from rotary.artwork.models import PieceSize
from rotary.model import Angle, Length, Model
from rotary.slices.trial import TrialFiles


class RasterWish(Model):
    """What a person wants of a picture on the item.

    `mark` says whether a marked place is lighter or darker than what is around it; where it is not given a
    dark or light coating answers for itself. `tone` is dots of one strength, or greys for sources whose power
    follows the picture. `line_mm` is the hatch spacing where the plan's is not wanted, `marked_width_mm` the
    width of one marked line as measured. Files bear the `stem` where a person named one, else the picture's name.
    """

    stem: str = ""
    mark: Literal["lighter", "darker"] | None = None
    tone: Literal["dots", "greys"] = "dots"
    arrangement: Literal["one-sheet", "a-file-a-slice"] = "one-sheet"
    line_mm: Length | None = Field(default=None, ge=0.005, le=1)
    marked_width_mm: Length | None = Field(default=None, gt=0, le=2)
    overlap_mm: Length | None = Field(default=None, ge=0, le=2)


class RasterSheet(Model):
    """The sheet as drawn: `wide_dots` by `high_dots` of every page, `per_metre` dots to the metre, `dot_mm` the
    side of the smallest dot that is marked (`pixels_per_dot` of the file's dots). `marked_share` is that of the
    picture's area, `marked_mm2` the area marked; `picture_dots` the picture's own size, and `picture_dot_mm` how
    large one of its dots is on the item; `picture_wide_mm` and `picture_high_mm` its size there,
    `size` that beside the size that its file states. `trial` are the files that a coating is tried with.
    """

    method: Literal["sliced", "flat", "facets"]
    mark: Literal["lighter", "darker"]
    columns: int
    file_slice_mm: float
    wide_dots: int
    high_dots: int
    wide_mm: float
    high_mm: float
    per_metre: int
    dot_mm: float
    pixels_per_dot: int
    marked_share: float
    marked_mm2: float
    picture_dots: tuple[int, int]
    picture_dot_mm: float
    picture_wide_mm: float
    picture_high_mm: float
    size: PieceSize
    middle_rad: Angle
    files: tuple[str, ...]
    must_show: tuple[str, ...]
    notes: tuple[str, ...]
    trial: TrialFiles | None = None
