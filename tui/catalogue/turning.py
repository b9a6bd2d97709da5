"""What turns the item: rollers or a chuck, its motor, and how its numbers are keyed in."""

from typing import Final

from tui.form.fields import YES_NO, Field, Group, Table, fields_of

ON_ROLLERS: Final = ("turning.kind", "rollers")

TICKS: Final = Table(
    "ticks",
    "full-turn tests",
    "full-turn test",
    (
        Field(
            "gap",
            "tick gap",
            "Mark a tick, turn the item one full turn, mark a second tick. Enter their distance: + if the first tick "
            "has moved past the apex (turned too far), - if it has not come back to the apex.",
            "mm",
            width=8,
        ),
        Field(
            "at",
            "height",
            "At which height the two ticks are on the item. Measure from the end where all your heights begin.",
            "mm",
            width=8,
        ),
        Field(
            "u",
            "gap, ±",
            "How far off your gap may be. Read the gap three times. Enter half the difference between the largest and "
            "the smallest reading.",
            "mm",
            width=8,
        ),
        Field(
            "steps",
            "steps",
            "How many steps you turned the item by. Empty: the steps that this job now has for one turn.",
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
        "Choose what turns the item: two rollers, or a chuck that grips the item.",
        options=("rollers", "chuck"),
    ),
    Field(
        "roller_diameter",
        "roller diameter",
        "Measure the diameter of one roller, with its rubber sleeve if it has one.",
        "mm",
        only=ON_ROLLERS,
    ),
    Field(
        "centres",
        "roller centres",
        "Distance between the two rollers' axes: measure over both rollers from outside to outside, then "
        "subtract one roller diameter.",
        "mm",
        only=ON_ROLLERS,
    ),
    Field(
        "axis_height",
        "axis height",
        "Measure from the bed up to the middle of one roller, or to the middle of the chuck. Empty: 30 mm on rollers, "
        "60 mm with a chuck.",
        "mm",
    ),
    Field(
        "levelled",
        "apex levelled",
        "Choose yes if you put a shim under one end until the apex is level, no if the apex stays tilted.",
        options=("default", *YES_NO),
        width=23,
    ),
    Field(
        "controller_field",
        "program asks for",
        "Look at the rotary settings of your marking program. Choose which number it wants you to type there.",
        options=("item-diameter", "roller-diameter", "steps-only", "degrees"),
        width=18,
    ),
    Field(
        "typed_diameter",
        "diameter shown",
        "Fill this in only if you type steps and nothing else: enter the diameter that your program's rotary "
        "settings show.",
        "mm",
        only=("turning.controller_field", "steps-only"),
    ),
    Field(
        "typed_decimals",
        "decimals allowed",
        "Type a diameter with many decimals into your program. Enter how many decimals are still there afterwards.",
        number=True,
        rare=True,
    ),
    Field(
        "full_steps",
        "full steps",
        "How many full steps make the motor turn once: 200 if the motor's label says 1.8°, 400 if it says 0.9°.",
        number=True,
    ),
    Field(
        "microsteps",
        "microsteps",
        "How many pulses make one full step of the motor. Look at the switches or settings of the motor's driver.",
        number=True,
    ),
    Field(
        "gear_ratio",
        "gear ratio",
        "How many times the motor turns while the chuck or the driven roller turns once.",
        number=True,
    ),
    Field(
        "motor",
        "motor",
        "Choose the kind of motor: see its label or papers. Most are two-phase. A closed-loop motor has an encoder.",
        options=("unknown", "two-phase", "three-phase", "closed-loop"),
        width=14,
        rare=True,
    ),
    Field(
        "stops_whole",
        "stops, full cycle",
        "The test motor-whole fills this in. It is how far off the motor stops after whole motor cycles (for a "
        "two-phase motor 4 full steps each), as a part of a full step.",
        "",
        rare=True,
    ),
    Field(
        "stops_free",
        "stops, any turn",
        "The test motor-free fills this in. It is how far off the motor stops after any other turn, as a part of a "
        "full step.",
        "",
        rare=True,
    ),
    Field(
        "rounding",
        "rounding",
        "Choose how your controller rounds to whole steps: the turn of each slice by itself, each place counted from "
        "the start, or each turn down. If unsure, leave this as it is.",
        options=("each-index", "absolute", "truncate"),
        width=14,
        rare=True,
    ),
    Field(
        "covering",
        "covering",
        "Choose soft if the rollers have rubber sleeves, hard if they are bare metal or plastic.",
        options=("soft", "hard"),
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_from",
        "touches from",
        "Slide a strip of paper between item and rollers. Enter the lowest height where the paper sticks. "
        "Empty: the item touches the rollers down to its lower end.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_to",
        "touches to",
        "Slide a strip of paper between item and rollers. Enter the greatest height where the paper sticks. "
        "Empty: the item touches the rollers up to its upper end.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "top_speed",
        "top speed",
        "How fast the item can turn at most before it wanders or slips, such as 90 deg/s. Try it with the beam off.",
        "rad/s",
        usual="172 deg/s",
        rare=True,
    ),
    Field(
        "acceleration_rad_s2",
        "acceleration",
        "How quickly the controller makes the turning faster, in rad/s²: divide degrees per s² by 57.3. Look in the "
        "controller's settings.",
        number=True,
        rare=True,
    ),
    Field(
        "settling",
        "settling",
        "How long the item still shakes after each turn. To see it, watch the red spot of the pointer on the item.",
        "s",
        rare=True,
    ),
    Field(
        "skew",
        "skew",
        "Angle between the item's axis and the field's centre line. To measure it, press Ctrl+R and choose "
        'the test "edge".',
        "rad",
        rare=True,
    ),
    Field(
        "offset",
        "offset",
        "How far the item's axis lies beside the middle of the field. Move the pointer to the middle of the field, and "
        "measure with a rule from its spot sideways to the apex.",
        "mm",
        rare=True,
    ),
    TICKS,
)

_MACHINE: Final = Field(
    "machine",
    "machine",
    "Choose a machine that you measured: turning, laser and tolerances then come from it. Press Ctrl+R to measure "
    "a machine.",
    usual="what you typed in this job",
    width=22,
)

DRIVE: Final = Group("turning", "Turning", (_MACHINE, *_DRIVE_FIELDS), open=True)
