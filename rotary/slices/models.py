"""What comes out of a step split."""

from typing import Literal

from rotary.model import Model, Values
from rotary.papers.model import Entry

LimitId = Literal[
    "focus", "incidence", "seam_plain", "seam_sheet", "turning", "skew_offset", "skew_plain", "line_spacing",
    "closing",
    "field",
]  # fmt: skip
GoverningId = LimitId | Literal["artwork_width"]
RemarkId = Literal[
    "typed_off", "not_kept", "too_narrow", "columns_hold", "sheet_alone", "sheet_wider", "drawn_larger", "inexact",
    "whole_cycles", "flat_would_do",
]  # fmt: skip


class Limit(Model):
    """One bound on the slice width. `widest_mm` None: this limit sets none here; 0: no width will do.

    `met` is whether the chosen width keeps to it, `by_width` whether any width helps; where none does, it governs
    nothing and has a cure of its own. `values` are what its sentences need.
    """

    id: LimitId
    widest_mm: float | None
    governs: bool
    met: bool = True
    by_width: bool = True
    values: Values


class SplitRemark(Model):
    """What has to be known of a split, by its id, with what its sentence needs."""

    id: RemarkId
    values: Values


class SeamAtHeight(Model):
    """Seam error at one height [mm], + gap, - double mark: nominal and the half width that holds 95 %.

    `plain_shape_mm` is what slices of flat artwork stand open for the item's shape alone, before they are slit, and
    `plain_typed_mm` what the decimals of the numbers to type add.
    """

    s_mm: float
    from_end_mm: float
    plain_nominal_mm: float
    plain_95_mm: float
    sheet_nominal_mm: float
    sheet_95_mm: float
    plain_shape_mm: float = 0.0
    plain_typed_mm: float = 0.0


class Candidate(Model):
    """One step split that is not taken: whole steps an index, what follows, which limits it breaks, how much longer."""

    steps: int
    index_angle_rad: float
    slice_width_mm: float
    slices: int
    time_s: float
    worst_95_mm: float
    breaks: tuple[LimitId, ...]
    longer_s: float


class SeamCost(Model):
    """The split were `accepted_mm` accepted at a seam: what comes out (95 %), and how much longer the turning of all
    slices takes each time round (less than nothing: shorter)."""

    accepted_mm: float
    method: Literal["sliced", "flat"]
    slices: int
    slice_width_mm: float
    seam_95_mm: float
    longer_s: float

    @property
    def reached(self) -> bool:
        """Whether a seam would keep to what is accepted."""
        return self.seam_95_mm <= self.accepted_mm * 1.01


class KeyIn(Model):
    """One number to key in, in keying order: what it is, what to type, and what it really means.

    `id` stays the same whatever the label says. Where the number is deliberately not the real one, `real` is what its
    field would truthfully hold and `leave` the warning that stands beside the number, "type this, not 79"; `leave_in`
    says it to who measures in inches, where that is otherwise: "type this, not 3.11 in (79 mm)". Else they are empty.
    """

    id: str
    label: str
    text: str
    unit: str
    why: str
    real: str = ""
    leave: str = ""
    leave_in: str = ""

    def entry(self, system: str = "mm") -> Entry:
        """As papers and lines of words have it, for who measures in this system."""
        leave = self.leave_in if system == "in" and self.leave_in else self.leave
        return Entry(self.label, self.text, self.unit, self.why, leave)


class Split(Model):
    """The step split. `slice_width_mm` is along the surface at the reference radius; `file_slice_mm`
    what the controller divides by (S_sheet, or S for plain artwork), `flat_slice_mm` how wide flat artwork
    is drawn over one index: the column, where there are several. Angles in rad.
    `edge_drop_mm` is the largest sag over the band, `seam_95_mm` within what all seams are in 19 of 20 items, the gap
    that closes left out; `nominal_mm` is what the worst is off with all as believed, `shared_mm` what all seams are
    off alike and `stops_mm` what each is off by itself (1 sigma, at the worst height), `seams` their number.
    `whole_cycles` is whether a slice is whole cycles of the motor, `typed_off_mm` how much of the error comes from
    the decimals of what is typed, `seam_costs` what accepting less or more at a seam would bring,
    `plain_widest_mm` and `sheet_widest_mm` the widest slice that keeps to every limit that a width can keep to,
    with either method. `drift_mm` is signed, + too far, with the controller's own rounding; `closing_error_mm` is 0
    unless the artwork goes all round."""

    method: Literal["sliced", "flat"]
    steps: int
    index_angle_rad: float
    slice_width_mm: float
    file_slice_mm: float
    flat_slice_mm: float
    slices: int
    inked_slices: int
    sheet_width_mm: float
    sheet_height_mm: float
    edge_drop_mm: float
    edge_incidence_rad: float
    governing: GoverningId
    limits: tuple[Limit, ...]
    runners_up: tuple[Candidate, ...]
    seam_rows: tuple[SeamAtHeight, ...]
    seam_95_mm: float
    nominal_mm: float = 0.0
    shared_mm: float = 0.0
    stops_mm: float = 0.0
    seams: int = 0
    whole_cycles: bool = False
    typed_off_mm: float
    seam_costs: tuple[SeamCost, ...] = ()
    plain_widest_mm: float
    sheet_widest_mm: float
    key_in: tuple[KeyIn, ...]
    must_show: tuple[str, ...]
    drift_mm: float
    closing_error_mm: float
    seam_offset_mm: float
    index_time_s: float
    remarks: tuple[SplitRemark, ...]

    def unreal(self) -> tuple[str, ...]:
        """The numbers to key in that are not the real ones, each with its name and its warning."""
        return tuple(f"{key.label}: {key.entry().figure}" for key in self.key_in if key.leave)
