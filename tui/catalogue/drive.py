"""What turns the item: rollers or a chuck, its motor, and how its numbers are keyed in."""

from typing import Final

from tui.fields import YES_NO, Field, Group, Table

ON_ROLLERS: Final = ("drive.kind", "rollers")

TICKS: Final = Table(
    "drive.ticks",
    "full-turn ticks",
    "tick reading",
    (
        Field("gap", "gap", "Mark a tick, turn once, mark again: the arc between the two, + if it went too far.", "mm"),
        Field("at", "at", "Height from the datum where the two ticks were read.", "mm"),
        Field("u", "read to", "How well the gap could be read: one standard deviation.", "mm", stands="0.05 mm"),
    ),
    rare=True,
)

DRIVE: Final = Group(
    "drive",
    "Drive",
    (
        Field(
            "rig",
            "rig",
            "The machine as measured: drive, head and tolerances are then its own. Ctrl+R measures, adds and chooses.",
            stands="as typed here",
            width=22,
        ),
        Field(
            "drive.kind",
            "turned by",
            "What turns the item: two rollers it lies on, or a chuck that grips it.",
            options=("rollers", "chuck"),
        ),
        Field(
            "drive.roller_diameter",
            "roller diameter",
            "Calipers over a roller, with its covering.",
            "mm",
            stands="20 mm",
            only=ON_ROLLERS,
        ),
        Field(
            "drive.centres",
            "roller centres",
            "Distance between the two roller axes: outside to outside, less one diameter.",
            "mm",
            stands="60 mm",
            only=ON_ROLLERS,
        ),
        Field(
            "drive.axis_height",
            "axis height",
            "Height of the roller or chuck axis over the bed.",
            "mm",
            stands="30 or 60 mm",
        ),
        Field(
            "drive.levelled",
            "apex levelled",
            "yes if one end is raised until the apex line is level.",
            options=("default", *YES_NO),
        ),
        Field(
            "drive.controller_field",
            "key in as",
            "What your marking program lets you type for the rotary.",
            options=("item-diameter", "roller-diameter", "steps-only", "degrees"),
            width=18,
        ),
        Field(
            "drive.typed_diameter",
            "its diameter",
            "With steps-only: the diameter that stands in the program.",
            "mm",
            only=("drive.controller_field", "steps-only"),
        ),
        Field(
            "drive.typed_decimals",
            "its decimals",
            "How many decimals that field takes.",
            number=True,
            stands="3",
            rare=True,
        ),
        Field(
            "drive.full_steps",
            "full steps",
            "Full steps of the motor in a turn: 200 for 1.8 degrees, 400 for 0.9.",
            number=True,
            stands="200",
        ),
        Field("drive.microsteps", "microsteps", "As set on the motor driver.", number=True, stands="16"),
        Field(
            "drive.gear_ratio",
            "gear ratio",
            "Turns of the motor for one turn of the chuck or the driven roller.",
            number=True,
            stands="1",
        ),
        Field(
            "drive.rounding",
            "rounding",
            "How the controller makes whole steps of an index.",
            options=("each-index", "absolute", "truncate"),
            width=14,
            rare=True,
        ),
        Field(
            "drive.covering",
            "covering",
            "soft: rubber sleeves; hard: bare metal or plastic.",
            options=("soft", "hard"),
            only=ON_ROLLERS,
            rare=True,
        ),
        Field(
            "drive.contact_from",
            "touches from",
            "Where the item begins to touch the rollers, from the datum. Empty: the whole item.",
            "mm",
            only=ON_ROLLERS,
            rare=True,
        ),
        Field("drive.contact_to", "touches to", "Where it ends to touch them.", "mm", only=ON_ROLLERS, rare=True),
        Field("drive.top_speed", "top speed", "Fastest that the item may turn.", "rad/s", stands="3 rad/s", rare=True),
        Field(
            "drive.acceleration_rad_s2", "acceleration", "Of the item, in rad/s².", number=True, stands="20", rare=True
        ),
        Field(
            "drive.settling", "settling", "Wait after each index until nothing shakes.", "s", stands="0.15 s", rare=True
        ),
        Field(
            "drive.skew",
            "skew",
            "Angle between the axis and the field: a line marked along the item and its mark after a turn tell.",
            "rad",
            stands="0.05°",
            rare=True,
        ),
        Field(
            "drive.offset",
            "offset",
            "How far the axis lies beside the field's centre line.",
            "mm",
            stands="1 mm",
            rare=True,
        ),
        TICKS,
    ),
    open=True,
    prefixes=("drive",),
)
