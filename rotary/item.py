"""1  What is turned: the item as a person measured it, and the body that follows from it.

s runs along the axis from foot to rim [mm]; angles run around the item from its front [rad],
positive to the right as seen from the head with the rim at +Y.
"""

from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from rotary.formulas.revolution import Curve
from rotary.model import Angle, Length, Model, Thin


class Station(Model):
    """A place along the axis where the diameter was measured, across (calipers) or round (tape)."""

    at_mm: Length = Field(ge=0)
    across_mm: Length | None = Field(default=None, gt=0)
    round_mm: Length | None = Field(default=None, gt=0)
    second_across_mm: Length | None = Field(default=None, gt=0)
    corner: bool = False


class Handle(Model):
    """Something that stands out of the wall."""

    angle_rad: Angle
    width_rad: Angle = Field(gt=0)
    reach_mm: Length = Field(gt=0)
    from_mm: Length
    to_mm: Length


class WeldLine(Model):
    """The item's own seam, where nothing should be marked."""

    angle_rad: Angle
    width_mm: Length = Field(gt=0)


class Item(Model):
    """What is turned, as measured.

    Heights are given from `datum`. A faceted item has `flats` and `across_flats_mm` and a
    `length_mm` in place of stations.
    """

    name: str = Field(min_length=1, max_length=120)
    datum: Literal["foot", "rim"] = "foot"
    stations: tuple[Station, ...] = ()
    flats: int | None = Field(default=None, ge=3, le=48)
    across_flats_mm: Length | None = Field(default=None, gt=0)
    length_mm: Length | None = Field(default=None, gt=0)
    measuring_tolerance_mm: Length = Field(default=0.1, gt=0)
    metal: str = "stainless-304"
    coating: str | None = "polyester-powder-dark"
    coating_thickness_um: Thin | None = Field(default=None, gt=0)
    wall_mm: Length | None = Field(default=None, gt=0)
    solid: bool = False
    runout_mm: Length = Field(default=0.2, ge=0)
    handle: Handle | None = None
    weld_line: WeldLine | None = None


@dataclass(frozen=True, slots=True)
class Body:
    """The item as a surface of revolution, heights from the foot.

    `shape` says what was recognised; `cone_residual_mm` is the largest distance of a station
    from the fitted cone, None with fewer than three stations; `doubts` are questions to the
    person (a 3.5 mm cup), never corrections. For a faceted item the radius is that of the
    inscribed circle and `flats` is set.
    """

    curve: Curve
    length_mm: float
    shape: Literal["straight", "taper", "profile", "flats"]
    half_angle_rad: float
    cone_residual_mm: float | None
    flats: int | None
    state: str
    doubts: tuple[str, ...]


def body(item: Item) -> Body:
    """The body that the measurements describe; raises Refused with every fault at once."""
    raise NotImplementedError
