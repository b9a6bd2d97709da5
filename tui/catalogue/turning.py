"""What turns the item: rollers or a chuck, its motor, and how its numbers are keyed in."""

from typing import Final

from tui.form.fields import YES_NO, Field, Group, Table, fields_of

ON_ROLLERS: Final = ("turning.kind", "rollers")

TICKS: Final = Table(
    "ticks",
    "full-turn ticks",
    "tick reading",
    (
        Field(
            "gap",
            "gap",
            "Mark a tick, turn once, mark again: the arc between the two, + if it went too far.",
            "mm",
            width=8,
        ),
        Field("at", "height", "With a ruler: the height from the base where you read the two ticks.", "mm", width=8),
        Field(
            "u",
            "read to, ±",
            "How well you read the gap: read it three times, enter half the difference.",
            "mm",
            width=8,
        ),
    ),
    rare=True,
)

_DRIVE_FIELDS: Final = fields_of(
    "turning",
    Field(
        "kind",
        "turned by",
        "Two rollers it lies on, or a chuck that grips it.",
        options=("rollers", "chuck"),
    ),
    Field("roller_diameter", "roller diameter", "Calipers over a roller, with its covering.", "mm", only=ON_ROLLERS),
    Field(
        "centres",
        "roller centres",
        "Distance between the two roller axes: outside to outside, less one diameter.",
        "mm",
        only=ON_ROLLERS,
    ),
    Field(
        "axis_height",
        "axis height",
        "Measure from the bed to the middle of the roller or the chuck, by ruler or height gauge.",
        "mm",
    ),
    Field(
        "levelled",
        "apex levelled",
        "yes if one end is raised until the apex is level.",
        options=("default", *YES_NO),
    ),
    Field(
        "controller_field",
        "program takes",
        "Which number your marking program asks for the rotary.",
        options=("item-diameter", "roller-diameter", "steps-only", "degrees"),
        width=18,
    ),
    Field(
        "typed_diameter",
        "its diameter",
        "If it takes only steps: the diameter shown in its rotary settings.",
        "mm",
        only=("turning.controller_field", "steps-only"),
    ),
    Field(
        "typed_decimals",
        "its decimals",
        "Type a diameter with many decimals there and see how many stay.",
        number=True,
        rare=True,
    ),
    Field(
        "full_steps",
        "full steps",
        "Full steps in one turn of the motor: 200 if its label says 1.8°, 400 for 0.9°.",
        number=True,
    ),
    Field(
        "microsteps",
        "microsteps",
        "As set by the switches or the setting of the motor driver: pulses for one full step.",
        number=True,
    ),
    Field(
        "gear_ratio", "gear ratio", "Turns of the motor for one turn of the chuck or the driven roller.", number=True
    ),
    Field(
        "motor",
        "motor",
        "On the motor's label or in its papers. Two-phase is usual. A closed-loop motor has an encoder.",
        options=("unknown", "two-phase", "three-phase", "closed-loop"),
        width=14,
        rare=True,
    ),
    Field(
        "stops_whole",
        "stops, whole",
        "From the motor test: error of the stops at a seam, whole cycles apart, in full steps.",
        "",
        rare=True,
    ),
    Field(
        "stops_free",
        "stops, free",
        "From the motor test: the same for any other turn, in full steps.",
        "",
        rare=True,
    ),
    Field(
        "rounding",
        "rounding",
        "How the controller rounds a slice's turn to whole steps. The seam test shows it.",
        options=("each-index", "absolute", "truncate"),
        width=14,
        rare=True,
    ),
    Field(
        "covering",
        "covering",
        "soft: rubber sleeves, hard: bare metal or plastic.",
        options=("soft", "hard"),
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_from",
        "touches from",
        "Height where the item begins to touch the rollers. Empty: it touches all along.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_to",
        "touches to",
        "Slide a strip of paper between item and rollers: the height where it last grips.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "top_speed",
        "top speed",
        "Fastest that the item turns without wandering or slipping: try it with the beam off.",
        "rad/s",
        rare=True,
    ),
    Field(
        "acceleration_rad_s2",
        "acceleration",
        "How quickly it gets to that speed, in rad/s². From the controller's setting.",
        number=True,
        rare=True,
    ),
    Field(
        "settling",
        "settling",
        "Wait after each turn until nothing shakes: watch the pointer's spot on the item.",
        "s",
        rare=True,
    ),
    Field(
        "skew",
        "skew",
        "Angle between the axis and the field: compare a line along the item with its mark after a turn.",
        "rad",
        rare=True,
    ),
    Field(
        "offset",
        "offset",
        "How far the axis is off the field's centre line: pointer on the apex, read on a rule.",
        "mm",
        rare=True,
    ),
    TICKS,
)

_MACHINE: Final = Field(
    "machine",
    "machine",
    "Your machine as measured: it sets turning, laser and tolerances. Ctrl+R measures, adds and chooses.",
    usual="what you typed in this job",
    width=22,
)

DRIVE: Final = Group("turning", "Turning", (_MACHINE, *_DRIVE_FIELDS), open=True)
