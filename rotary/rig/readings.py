"""What a person reads at the machine, as it was read, and what follows from it.

Readings are kept as they were read: should a formula improve, the rig improves with it.
"""

from datetime import datetime
from typing import Annotated, Any, Final, Literal, NamedTuple

from pydantic import Field

from rotary.formulas import tape
from rotary.formulas.estimate import propagated_u
from rotary.formulas.motion import overshoot_share
from rotary.model import Angle, Length, Model, Share


class Finding(NamedTuple):
    """What a reading says about one quantity: its value and standard uncertainty."""

    quantity: str
    value: float
    u: float


class _Dated(Model):
    at: datetime
    note: str = Field(default="", max_length=200)


class TurnTick(_Dated):
    """A tick marked, one full turn commanded, a tick marked again: the arc between them, + went too far.

    `at_mm` from the item's datum, `across_mm` the diameter there.
    """

    kind: Literal["turn"] = "turn"
    item: str = Field(min_length=1, max_length=120)
    gap_mm: Length
    at_height_mm: Length
    across_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)


class FieldLine(_Dated):
    """A long line, drawn and measured."""

    kind: Literal["field"] = "field"
    axis: Literal["x", "y"]
    drawn_mm: Length = Field(gt=0)
    measured_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)


class TwoHeights(_Dated):
    """The same line at two heights of the tape, `apart_mm` from each other."""

    kind: Literal["two-heights"] = "two-heights"
    axis: Literal["x", "y"]
    drawn_mm: Length = Field(gt=0)
    low_mm: Length = Field(gt=0)
    high_mm: Length = Field(gt=0)
    apart_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)


class Stairs(_Dated):
    """Short lines at stepped heights over where the focal plane is set, and how wide each came out."""

    kind: Literal["stairs"] = "stairs"
    heights_mm: tuple[Length, ...]
    widths_mm: tuple[Length, ...]
    u_mm: Length = Field(default=0.01, gt=0)


class Pointer(_Dated):
    """A cross marked at some height over the focal plane, and where the pointer stands beside it."""

    kind: Literal["pointer"] = "pointer"
    height_mm: Length = 0.0
    right_mm: Length
    up_mm: Length
    second_height_mm: Length | None = None
    second_right_mm: Length | None = None
    second_up_mm: Length | None = None
    u_mm: Length = Field(default=0.1, gt=0)


class EdgeLine(_Dated):
    """A line marked along the field beside the item's edge: how much further left its rim end lies from it.

    `off_mm` + where the edge leans to the left towards the rim, so that the axis is turned anticlockwise.
    """

    kind: Literal["edge"] = "edge"
    long_mm: Length = Field(gt=0)
    off_mm: Length
    u_mm: Length = Field(default=0.1, gt=0)


class Flanks(_Dated):
    """The pointer (or beam) grazing both flanks of the item: distances from the field's centre line."""

    kind: Literal["flanks"] = "flanks"
    left_mm: Length = Field(gt=0)
    right_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.15, gt=0)


class Heights(_Dated):
    """Heights of the apex line over the bed at two places, `apart_mm` along the item."""

    kind: Literal["level"] = "level"
    item: str = Field(min_length=1, max_length=120)
    foot_end_mm: Length = Field(gt=0)
    rim_end_mm: Length = Field(gt=0)
    apart_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.1, gt=0)


class Backlash(_Dated):
    """The same line approached from both sides: the arc between the two marks at a diameter."""

    kind: Literal["backlash"] = "backlash"
    apart_mm: Length = Field(ge=0)
    across_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.03, gt=0)


class LineWidth(_Dated):
    """The width of one marked line on this item, at the settings of the job."""

    kind: Literal["line-width"] = "line-width"
    item: str = Field(min_length=1, max_length=120)
    width_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.02, gt=0)


class StripResult(_Dated):
    """What a joint strip on an item came to: see `rotary.rig.strip`."""

    kind: Literal["strip"] = "strip"
    item: str = Field(min_length=1, max_length=120)
    scale_share: Share = Field(ge=-0.2, le=0.2)
    u_scale_share: Share = Field(gt=0)
    turn_rad: Angle = 0.0
    u_turn_rad: Angle = Field(default=0.0005, gt=0)
    u_focus_mm: Length | None = Field(default=None, gt=0)
    says: str = Field(default="", max_length=400)


Reading = Annotated[
    TurnTick
    | FieldLine
    | TwoHeights
    | Stairs
    | Pointer
    | EdgeLine
    | Flanks
    | Heights
    | Backlash
    | LineWidth
    | StripResult,
    Field(discriminator="kind"),
]


class RigEntry(Model):
    """A reading in its list, so that faults find its place."""

    reading: Reading


KINDS: Final[dict[str, type[_Dated]]] = {
    kind.model_fields["kind"].default: kind
    for kind in (
        TurnTick, FieldLine, TwoHeights, Stairs, Pointer, EdgeLine, Flanks, Heights, Backlash, LineWidth, StripResult
    )
}  # fmt: skip


def findings(reading: Any) -> list[Finding]:
    """What a reading says about the quantities that it measures."""
    found = _FINDERS[reading.kind](reading)
    return [Finding(quantity, float(value), float(u)) for quantity, value, u in found]


def _turn(r: TurnTick) -> list[tuple[str, float, float]]:
    share, u = (float(overshoot_share(mm, r.across_mm / 2)) for mm in (r.gap_mm, r.u_mm))
    return [("turn", share, u)]


def _field(r: FieldLine) -> list[tuple[str, float, float]]:
    return [(f"field-scale-{r.axis}", *tape.field_scale(r.drawn_mm, r.measured_mm, r.u_mm))]


def _two_heights(r: TwoHeights) -> list[tuple[str, float, float]]:
    return [(f"pupil-{r.axis}", *tape.pupil_from_lines_mm(r.drawn_mm, r.low_mm, r.high_mm, r.apart_mm, r.u_mm))]


def _stairs(r: Stairs) -> list[tuple[str, float, float]]:
    waist = tape.waist_from_stairs(r.heights_mm, r.widths_mm, r.u_mm)
    return [("focus", *waist.height_mm), ("rayleigh", *waist.rayleigh_mm), ("spot", *waist.width_mm)]


def _pointer(r: Pointer) -> list[tuple[str, float, float]]:
    if r.second_height_mm is None or r.second_right_mm is None or r.second_up_mm is None:
        return [] if r.height_mm else [("pointer-right", r.right_mm, r.u_mm), ("pointer-up", r.up_mm, r.u_mm)]
    apart, out = r.second_height_mm - r.height_mm, []
    for name, first, second in (
        ("pointer-right", r.right_mm, r.second_right_mm),
        ("pointer-up", r.up_mm, r.second_up_mm),
    ):
        low, lean = tape.pointer_lean(first, second, apart)
        share = r.height_mm / apart
        out.append((name, low - lean * r.height_mm, propagated_u([1 + share, share], [r.u_mm, r.u_mm])))
        out.append((f"{name}-lean", lean, propagated_u([1 / apart, 1 / apart], [r.u_mm, r.u_mm])))
    return out


def _edge(r: EdgeLine) -> list[tuple[str, float, float]]:
    return [("skew", r.off_mm / r.long_mm, r.u_mm / r.long_mm)]


def _flanks(r: Flanks) -> list[tuple[str, float, float]]:
    return [("offset", (r.right_mm - r.left_mm) / 2, propagated_u([0.5, 0.5], [r.u_mm, r.u_mm]))]


def _level(r: Heights) -> list[tuple[str, float, float]]:
    rise = tape.tilt_from_heights_rad(r.foot_end_mm, r.rim_end_mm, r.apart_mm)
    return [("level", rise, propagated_u([1 / r.apart_mm, 1 / r.apart_mm], [r.u_mm, r.u_mm]))]


def _backlash(r: Backlash) -> list[tuple[str, float, float]]:
    return [("backlash", 2 * r.apart_mm / r.across_mm, 2 * r.u_mm / r.across_mm)]


def _line_width(r: LineWidth) -> list[tuple[str, float, float]]:
    return [("marked-width", r.width_mm, r.u_mm)]


def _strip(r: StripResult) -> list[tuple[str, float, float]]:
    return [("sheet-scale", r.scale_share, r.u_scale_share), ("sheet-turn", r.turn_rad, r.u_turn_rad)]


_FINDERS: Final[dict[str, Any]] = {
    "turn": _turn,
    "field": _field,
    "two-heights": _two_heights,
    "stairs": _stairs,
    "pointer": _pointer,
    "edge": _edge,
    "flanks": _flanks,
    "level": _level,
    "backlash": _backlash,
    "line-width": _line_width,
    "strip": _strip,
}
