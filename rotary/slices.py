"""5  The step split: how wide a slice may be, which limit governs, and the numbers to key in."""

from typing import Literal

from pydantic import Field

from rotary.artwork.layout import Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.head import Head, Optics
from rotary.item import Body, Item
from rotary.model import Angle, Length, Model, Share, Thin


class Tolerances(Model):
    """What the person will accept, and how well the inputs are known (95 % half widths)."""

    joint_mm: Length = Field(default=0.025, gt=0)
    fluence_low_share: Share = Field(default=0.85, gt=0, lt=1)
    fluence_high_share: Share = Field(default=1.15, gt=1)
    incidence_rad: Angle = Field(default=0.35, gt=0, lt=1.4)
    blank_edge_mm: Length = Field(default=0.3, ge=0.2)
    hatch_mm: Length | None = Field(default=None, gt=0)
    diameter_mm: Length = Field(default=0.2, ge=0)
    focus_mm: Length = Field(default=1.0, ge=0)
    field_scale_share: Share = Field(default=0.003, ge=0)
    slice_width_mm: Length | None = Field(default=None, gt=0)
    method: Literal["auto", "sheet", "plain"] = "auto"


class Limit(Model):
    """One bound on the slice width. `widest_mm` None: this limit sets none here."""

    name: str
    widest_mm: float | None
    governs: bool
    why: str
    relax: str


class JointRow(Model):
    """Joint error at one height [mm], + gap, - double mark: nominal and the half width that holds 95 %."""

    s_mm: float
    from_datum_mm: float
    plain_nominal_mm: float
    plain_95_mm: float
    sheet_nominal_mm: float
    sheet_95_mm: float


class Candidate(Model):
    """One step split: whole steps an index, what follows from them, and why it is or isn't taken."""

    steps: int
    index_angle_rad: float
    slice_width_mm: float
    slices: int
    time_s: float
    worst_95_mm: float
    reason: str


class KeyIn(Model):
    """One number to key in, in keying order: what it is, what to type, and what it really means."""

    label: str
    text: str
    unit: str
    why: str


class Split(Model):
    """The step split. `slice_width_mm` is along the surface at the reference radius; `column_mm`
    what the controller divides by (S_sheet, or S for plain artwork). Angles in rad.
    `slice_half_chord_mm` is the widest half chord over the band, `sag_mm` the largest sag."""

    method: Literal["sheet", "plain"]
    steps: int
    index_angle_rad: float
    slice_width_mm: float
    column_mm: float
    slices: int
    inked_slices: int
    sheet_width_mm: float
    sheet_height_mm: float
    sag_mm: float
    edge_incidence_rad: float
    governing: str
    limits: tuple[Limit, ...]
    runners_up: tuple[Candidate, ...]
    joints: tuple[JointRow, ...]
    joint_95_mm: float
    plain_widest_mm: float
    sheet_widest_mm: float
    key_in: tuple[KeyIn, ...]
    must_show: tuple[str, ...]
    drift_mm: float
    closing_error_mm: float
    stair_mm: float
    index_time_s: float
    notes: tuple[str, ...]


def split(
    tolerances: Tolerances,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    item: Item,
    body: Body,
    layout: Layout,
    defocus_mm: float,
) -> Split:
    """The step split that meets every limit in the least time.

    `defocus_mm` is the focal plane's height over the apex line [mm], signed (+ above).
    Raises Refused where no whole number of steps will do.
    """
    raise NotImplementedError
