"""What a person will accept of a plan, and how well its inputs are known."""

from typing import Final, Literal

from pydantic import Field

from rotary.model import Angle, Length, Model, Share

FALLBACK_HATCH_MM: Final = 0.05
"""For lengths that are told where nothing says how far the lines lie apart."""


class Tolerances(Model):
    """What the person will accept, and how well the inputs are known (95 % half widths).

    Without `diameter_mm` the diameter is known as well as the fitted shape says, height by height.
    """

    joint_mm: Length = Field(default=0.025, gt=0)
    fluence_low_share: Share = Field(default=0.85, gt=0, lt=1)
    fluence_high_share: Share = Field(default=1.15, gt=1)
    incidence_rad: Angle = Field(default=0.35, gt=0, lt=1.4)
    blank_edge_mm: Length = Field(default=0.3, ge=0.2)
    hatch_mm: Length | None = Field(default=None, gt=0)
    diameter_mm: Length | None = Field(default=None, ge=0)
    focus_mm: Length = Field(default=1.0, ge=0)
    field_scale_share: Share = Field(default=0.003, ge=0)
    slice_width_mm: Length | None = Field(default=None, gt=0)
    method: Literal["auto", "sheet", "plain"] = "auto"
