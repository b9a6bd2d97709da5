"""What a person will accept of a plan, and how well its inputs are known."""

from typing import Final, Literal

from pydantic import Field

from rotary.model import Angle, Length, Model, Share

FALLBACK_HATCH_MM: Final = 0.05
"""For lengths that are told where nothing says how far the lines lie apart."""


SHOWING_MM: Final = 0.1
"""Accepted at a seam that may show: a line that an eye at reading distance just sees (common practice, no source)."""


class Tolerances(Model):
    """What the person will accept, and how well the inputs are known (95 % half widths).

    `seam_mm` is the largest gap or offset at any seam; `seams_may_show` accepts more. `closing_gap_mm` is the drawn
    gap between two filled areas that just closes, `closing_gap_u_mm` its standard uncertainty, both from a gap ladder
    marked at the settings `closing_gap_at`; at others the reading is not used. Without `diameter_mm` the diameter is
    known as well as the fitted shape says, height by height.
    """

    seam_mm: Length = Field(default=0.05, gt=0)
    seams_may_show: bool = False
    closing_gap_mm: Length | None = Field(default=None, ge=-2, le=2)
    closing_gap_u_mm: Length = Field(default=0.005, gt=0)
    closing_gap_at: str = Field(default="", max_length=200)
    fluence_low_share: Share = Field(default=0.85, gt=0, lt=1)
    fluence_high_share: Share = Field(default=1.15, gt=1)
    incidence_rad: Angle = Field(default=0.35, gt=0, lt=1.4)
    margin_mm: Length = Field(default=0.3, ge=0.2)
    line_spacing_mm: Length | None = Field(default=None, gt=0)
    diameter_mm: Length | None = Field(default=None, ge=0)
    focus_mm: Length = Field(default=1.0, ge=0)
    field_scale_share: Share = Field(default=0.003, ge=0)
    slice_width_mm: Length | None = Field(default=None, gt=0)
    method: Literal["auto", "sliced", "flat"] = "auto"

    @property
    def accepted_seam_mm(self) -> float:
        """The largest gap or offset that is accepted at any seam."""
        return float(max(self.seam_mm, SHOWING_MM) if self.seams_may_show else self.seam_mm)
