"""What a person reads at the machine, as it was read, and what follows from it.

Readings are kept as they were read: should a formula improve, the machine improves with it.
"""

from datetime import datetime
from math import pi
from typing import Annotated, Final, Literal, NamedTuple, get_args

from pydantic import Field

from rotary.formulas import stops, tape
from rotary.formulas.estimate import propagated_u
from rotary.formulas.motion import overshoot_share, turn_share
from rotary.formulas.seams import closing_from_ladder
from rotary.model import Angle, Length, Model, Share

RUNGS: Final = 12
"""Pairs of filled areas on a gap ladder."""

ROW_SEAMS: Final = 8
"""Seams between the nine stops of a row of the motor test."""


Tick = Annotated[int, Field(ge=-40, le=40)]


class Finding(NamedTuple):
    """What a reading says about one quantity: its value and standard uncertainty."""

    quantity: str
    value: float
    u: float


Estimate = tuple[str, float, float]
"""A quantity, its value and its standard uncertainty, as reckoned."""


class _Dated(Model):
    at: datetime
    note: str = Field(default="", max_length=200)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        raise NotImplementedError


class TurnTick(_Dated):
    """A tick marked, one full turn commanded, a tick marked again: the arc between them, + went too far.

    `at_mm` from the item's datum, `across_mm` the diameter there. `steps` are those that were commanded, which go by
    the diameters of the job on rollers; None in readings that did not note them.
    """

    kind: Literal["turn"] = "turn"
    item: str = Field(min_length=1, max_length=120)
    gap_mm: Length
    at_height_mm: Length
    across_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)
    steps: int | None = Field(default=None, ge=1)

    def commanded(self, steps: int | None) -> "TurnTick":
        """The same reading, as it would have come out with so many steps."""
        if steps is None or self.steps is None or steps == self.steps:
            return self
        share = float(turn_share(overshoot_share(self.gap_mm, self.across_mm / 2), self.steps, steps))
        return self.model_copy(update={"gap_mm": share * pi * self.across_mm, "steps": steps})

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        share, u = (float(overshoot_share(mm, self.across_mm / 2)) for mm in (self.gap_mm, self.u_mm))
        return [("turn", share, u)]


class FieldLine(_Dated):
    """A long line, drawn and measured."""

    kind: Literal["field"] = "field"
    axis: Literal["x", "y"]
    drawn_mm: Length = Field(gt=0)
    measured_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [(f"field-scale-{self.axis}", *tape.field_scale(self.drawn_mm, self.measured_mm, self.u_mm))]


class TwoHeights(_Dated):
    """The same line at two heights of the tape, `apart_mm` from each other."""

    kind: Literal["two-heights"] = "two-heights"
    axis: Literal["x", "y"]
    drawn_mm: Length = Field(gt=0)
    low_mm: Length = Field(gt=0)
    high_mm: Length = Field(gt=0)
    apart_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.05, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        pupil = tape.pupil_from_lines_mm(self.drawn_mm, self.low_mm, self.high_mm, self.apart_mm, self.u_mm)
        return [(f"pupil-{self.axis}", *pupil)]


class Stairs(_Dated):
    """Short lines on one surface, the lens so much higher for each than it was set, and how wide each came out."""

    kind: Literal["focus-lines", "stairs"] = "focus-lines"
    heights_mm: tuple[Length, ...]
    widths_mm: tuple[Length, ...]
    u_mm: Length = Field(default=0.01, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        waist = tape.waist_from_stairs(self.heights_mm, self.widths_mm, self.u_mm)
        # The lens had to rise by as much as the focus lies too low.
        focus = ("focus", -waist.height_mm.value, waist.height_mm.u)
        return [focus, ("rayleigh", *waist.rayleigh_mm), ("spot", *waist.width_mm)]


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

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        if self.second_height_mm is None or self.second_right_mm is None or self.second_up_mm is None:
            in_focus = [("pointer-right", self.right_mm, self.u_mm), ("pointer-up", self.up_mm, self.u_mm)]
            return [] if self.height_mm else in_focus
        apart, out = self.second_height_mm - self.height_mm, []
        for name, first, second in (
            ("pointer-right", self.right_mm, self.second_right_mm),
            ("pointer-up", self.up_mm, self.second_up_mm),
        ):
            low, lean = tape.pointer_lean(first, second, apart)
            share = self.height_mm / apart
            out.append((name, low - lean * self.height_mm, propagated_u([1 + share, share], [self.u_mm, self.u_mm])))
            out.append((f"{name}-lean", lean, propagated_u([1 / apart, 1 / apart], [self.u_mm, self.u_mm])))
        return out


class EdgeLine(_Dated):
    """A line marked along the field beside the item's edge: how much further left its rim end lies from it.

    `off_mm` + where the edge leans to the left towards the rim, so that the axis is turned anticlockwise.
    """

    kind: Literal["edge"] = "edge"
    long_mm: Length = Field(gt=0)
    off_mm: Length
    u_mm: Length = Field(default=0.1, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [("skew", self.off_mm / self.long_mm, self.u_mm / self.long_mm)]


class Flanks(_Dated):
    """The pointer (or beam) grazing both flanks of the item: distances from the field's centre line."""

    kind: Literal["flanks"] = "flanks"
    left_mm: Length = Field(gt=0)
    right_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.15, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [("offset", (self.right_mm - self.left_mm) / 2, propagated_u([0.5, 0.5], [self.u_mm, self.u_mm]))]


class Heights(_Dated):
    """Heights of the apex line over the bed at two places, `apart_mm` along the item."""

    kind: Literal["level"] = "level"
    item: str = Field(min_length=1, max_length=120)
    base_end_mm: Length = Field(gt=0)
    rim_end_mm: Length = Field(gt=0)
    apart_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.1, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        rise = tape.tilt_from_heights_rad(self.base_end_mm, self.rim_end_mm, self.apart_mm)
        return [("level", rise, propagated_u([1 / self.apart_mm, 1 / self.apart_mm], [self.u_mm, self.u_mm]))]


class Backlash(_Dated):
    """The same line approached from both sides: the arc between the two marks at a diameter."""

    kind: Literal["backlash"] = "backlash"
    apart_mm: Length = Field(ge=0)
    across_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.03, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [("backlash", 2 * self.apart_mm / self.across_mm, 2 * self.u_mm / self.across_mm)]


class LineWidth(_Dated):
    """The width of one marked line on this item, at the settings of the job."""

    kind: Literal["line-width"] = "line-width"
    item: str = Field(min_length=1, max_length=120)
    width_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.02, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [("marked-width", self.width_mm, self.u_mm)]


class GapLadder(_Dated):
    """Pairs of filled areas with wider and wider gaps: the widest gap that closed all along.

    Rung 1 has the gap `first_mm`, negative where the areas overlap, each further one `step_mm` more; `closed` is the
    number of the widest that closed. It holds for one coating, or bare metal, and the settings it was marked with.
    """

    kind: Literal["gap-ladder"] = "gap-ladder"
    coating: str = Field(min_length=1, max_length=120)
    settings: str = Field(default="", max_length=200)
    first_mm: Length = 0.0
    step_mm: Length = Field(gt=0)
    closed: int = Field(ge=0, le=RUNGS)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        widest = self.first_mm + (self.closed - 1) * self.step_mm
        return [("closing-gap", *closing_from_ladder(widest, widest + self.step_mm))]


class MotorTest(_Dated):
    """One row of the motor test on tape: the vernier at each seam between nine stops, `whole` cycles apart or `free`.

    `ticks` are the numbers of the ticks that run straight on, 0.02 mm each; `back` those of the first three seams once
    more, approached from the other side. `full_step_mm` is the arc of a full step on the tape, `across_mm` the
    diameter there.
    """

    kind: Literal["motor-test"] = "motor-test"
    row: Literal["whole", "free"]
    ticks: tuple[Tick, ...]
    back: tuple[Tick, ...] = ()
    full_step_mm: Length = Field(gt=0)
    across_mm: Length = Field(gt=0)
    u_mm: Length = Field(default=0.005, gt=0)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        gaps, back = (tape.vernier_step_mm(one) for one in (self.ticks, self.back))
        read = stops.seam_share_in_row(gaps, self.full_step_mm, self.u_mm)
        share = stops.folded_seam_share(read)
        freedom = stops.BELIEVED_FREEDOM + stops.TESTED_FREEDOM
        out = [(f"stops-{self.row}", share, share / (2 * freedom) ** 0.5)]
        if self.back:
            apart = stops.backlash_mm(gaps[: len(back)], back)
            u = (2 * (tape.VERNIER_MM**2 / 12 + self.u_mm**2) / len(back)) ** 0.5
            out.append(("backlash", 2 * apart / self.across_mm, 2 * u / self.across_mm))
        return out


class StripResult(_Dated):
    """What a seam strip on an item came to: see `rotary.machine.strip`."""

    kind: Literal["strip"] = "strip"
    item: str = Field(min_length=1, max_length=120)
    scale_share: Share = Field(ge=-0.2, le=0.2)
    u_scale_share: Share = Field(gt=0)
    turn_rad: Angle = 0.0
    u_turn_rad: Angle = Field(default=0.0005, gt=0)
    u_focus_mm: Length | None = Field(default=None, gt=0)
    says: str = Field(default="", max_length=400)

    def estimates(self) -> list[Estimate]:
        """What follows for the machine."""
        return [("sheet-scale", self.scale_share, self.u_scale_share), ("sheet-turn", self.turn_rad, self.u_turn_rad)]


Reading = Annotated[
    TurnTick | FieldLine | TwoHeights | Stairs | Pointer | EdgeLine | Flanks | Heights | Backlash | LineWidth
    | GapLadder | MotorTest | StripResult,
    Field(discriminator="kind"),
]  # fmt: skip


class MachineEntry(Model):
    """A reading in its list, so that faults find its place."""

    reading: Reading


KINDS: Final[dict[str, type[_Dated]]] = {
    kind.model_fields["kind"].default: kind for kind in get_args(get_args(Reading)[0])
}


def findings(reading: _Dated) -> list[Finding]:
    """What a reading says about the quantities that it measures."""
    return [Finding(quantity, float(value), float(u)) for quantity, value, u in reading.estimates()]
