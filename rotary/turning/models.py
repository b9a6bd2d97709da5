"""What is asked about a drive, and what comes out of it."""

from typing import Annotated, Literal

from pydantic import Field

from rotary.model import Angle, Length, Model, Share, Time, Turning, Values


class TickReading(Model):
    """A tick marked, one full turn commanded, a tick marked again.

    `gap_mm` is the arc between the ticks, + where the item went too far; `at_mm` the height
    (from the item's datum) where it was read; `u_mm` how well it could be read (1 sigma). `steps` are those that were
    commanded; None where they are those of a turn as the job has it now.
    """

    gap_mm: Length
    at_mm: Length
    u_mm: Length = Field(default=0.05, gt=0)
    steps: int | None = Field(default=None, ge=1)


MotorKind = Literal["two-phase", "three-phase", "closed-loop", "unknown"]


class _Motor(Model):
    """What turns, and what a motor test has read of it.

    `stops_whole_share` and `stops_free_share` are what two stops leave at a seam (1 sigma, folded), as shares of a
    full step, where they stand whole electrical cycles apart and where they don't; None before a test.
    """

    full_steps: int = Field(default=200, ge=1, le=100_000)
    microsteps: int = Field(default=16, ge=1, le=4096)
    gear_ratio: float = Field(default=1.0, gt=0, le=10_000)
    rounding: Literal["each-index", "absolute", "truncate"] = "each-index"
    controller_field: Literal["item-diameter", "roller-diameter", "steps-only", "degrees"] = "item-diameter"
    typed_decimals: int = Field(default=3, ge=0, le=6)
    typed_diameter_mm: Length | None = Field(default=None, gt=0)
    top_speed_rad_s: Turning = Field(default=3.0, gt=0)
    acceleration_rad_s2: float = Field(default=20.0, gt=0)
    settling_s: Time = Field(default=0.15, ge=0)
    motor: MotorKind = "unknown"
    stops_whole_share: Share | None = Field(default=None, gt=0, le=1)
    stops_free_share: Share | None = Field(default=None, gt=0, le=1)
    skew_rad: Angle = 0.0009
    offset_mm: Length = 1.0
    ticks: tuple[TickReading, ...] = ()


class Chuck(_Motor):
    """One turn of the item = full steps x microsteps x gear ratio.

    `levelled` says that the chuck is tilted until the apex line is level over the artwork's heights; otherwise the
    axis is.
    """

    kind: Literal["chuck"] = "chuck"
    axis_height_mm: Length = Field(default=60.0, gt=0)
    levelled: bool = False


class Rollers(_Motor):
    """Two parallel rollers carry the item; the driven one turns full steps x microsteps x gear ratio a turn.

    `axis_height_mm` is the roller axes above the bed. `contact_from_mm` and `contact_to_mm`
    (from the item's datum) bound the length that touches; the whole item if not given.
    """

    kind: Literal["rollers"] = "rollers"
    roller_diameter_mm: Length = Field(default=20.0, gt=0)
    centres_mm: Length = Field(default=60.0, gt=0)
    axis_height_mm: Length = Field(default=30.0, gt=0)
    covering: Literal["soft", "hard"] = "soft"
    contact_from_mm: Length | None = None
    contact_to_mm: Length | None = None
    levelled: bool = True


Drive = Annotated[Chuck | Rollers, Field(discriminator="kind")]


class Cradle(Model):
    """How the item lies in two rollers, before any shim. Heights above the bed, at the contact place.

    `tilt_rad` is the axis, `apex_tilt_rad` the apex line over the artwork's heights, both + where the rim is higher.
    """

    axis_height_mm: float
    apex_height_mm: float
    contact_angle_rad: float
    tilt_rad: float
    apex_tilt_rad: float
    walks: bool


class Level(Model):
    """The apex line brought level between two heights (s), as far as one tilt can.

    `shim_mm` raises the foot end (+) or the rim end (-) of what carries the item over `base_mm`; 0 where it is level
    enough as it lies, and then nothing is put under. `axis_height_mm` and `tilt_rad` are the axis as levelled,
    `climb_mm` what the apex line climbs as it lies and `left_mm` what levelling leaves of it; `ends_differ_mm` how
    much higher it then stands at `to_mm` than at `from_mm`.
    """

    from_mm: float
    to_mm: float
    axis_height_mm: float
    tilt_rad: float
    shim_mm: float
    base_mm: float
    climb_mm: float
    left_mm: float
    ends_differ_mm: float

    @property
    def end(self) -> str:
        """The end of the item that is raised; empty where none is."""
        return "" if self.shim_mm == 0 else "base" if self.shim_mm > 0 else "rim"


TurnNoteId = Literal[
    "tick_left_out", "contact_unknown", "rollers_slip", "microsteps", "walks", "level_as_can_be", "levelled",
    "to_level", "may_tip", "hangs_between", "may_wedge", "may_roll_off",
]  # fmt: skip


class TurnNote(Model):
    """What has to be known of an item on its drive, by its id, with what its sentence needs."""

    id: TurnNoteId
    values: Values = Field(default={})


class TurnRange(Model):
    """Which of the item's angles may stand on top before its handle meets something.

    Angle `a` of the item can be brought under the head for `from_rad` <= a <= `to_rad`, turning
    from the front (0) without passing through anything; `stopped_by` names what is met at the
    two ends, lower end first.
    """

    from_rad: float
    to_rad: float
    stopped_by: str


class ItemTurning(Model):
    """What a step means at this item's surface.

    `steps_per_turn` is the true number of steps that turn the item once (on rollers it need
    not be whole), `u_scale` its relative standard uncertainty, `scale_source` in words;
    `arc_per_step_mm` holds at the widest place; `contact_from_mm`/`contact_to_mm`/`contact_mm`
    in s; `contact_radius_mm` is the radius on which the item rolls; `slip_share` what soft
    rollers are believed to lose in a turn, 0 once readings tell; `closing_steps` what is left
    of a turn that is commanded in whole steps; `readings_used` the tick readings folded in;
    `odd_readings` those flagged as not fitting the others.
    `axis_height_mm` is the axis over the bed at the place `axis_height_at_mm`, with the shim in
    where the item is levelled; `tilt_rad` the axis, + where the rim is higher. `level` is what levels it, whether
    that is done or not.
    `offset_per_mm` is tan(skew): the stair at each seam per mm of slice width.
    `motor_error_mm` is how far a step motor may stand off at the widest place; it does not add up.
    `seam_stops_mm` is what two stops leave at a seam there (1 sigma), of free indexes and of those that are whole
    cycles of the motor; `cycle_steps` the steps of a cycle, None where it has none; `stops_tested` which of the two
    a motor test has read.
    """

    steps_per_turn: float
    nominal_steps_per_turn: float
    u_scale: float
    scale_source: str
    rad_per_step: float
    arc_per_step_mm: float
    contact_mm: float | None
    contact_from_mm: float | None
    contact_to_mm: float | None
    contact_radius_mm: float | None
    slip_share: float
    closing_steps: float
    axis_height_mm: float
    tilt_rad: float
    level: Level
    cradle: Cradle | None
    turn_range: TurnRange | None
    offset_per_mm: float
    readings_used: int
    odd_readings: tuple[int, ...]
    notes: tuple[TurnNote, ...]
    axis_height_at_mm: float = 0.0
    motor_error_mm: float = 0.0
    seam_stops_mm: tuple[float, float] = (0.0, 0.0)
    cycle_steps: int | None = None
    stops_tested: tuple[bool, bool] = (False, False)
