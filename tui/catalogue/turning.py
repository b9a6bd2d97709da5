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
            "Mark a tick, turn the item once, mark again. Enter how far apart the two ticks are, + if the item went "
            "too far.",
            "mm",
            width=8,
        ),
        Field("at", "height", "Measure how far from the base the two ticks are.", "mm", width=8),
        Field(
            "u",
            "gap, ±",
            "Read the gap three times. Enter half the difference between the largest and the smallest.",
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
        "Choose what turns the item: two rollers, or a chuck that grips the item.",
        options=("rollers", "chuck"),
    ),
    Field("roller_diameter", "roller diameter", "Measure over one roller, with its covering.", "mm", only=ON_ROLLERS),
    Field(
        "centres",
        "roller centres",
        "Measure from outside to outside over both rollers, then take off one roller diameter.",
        "mm",
        only=ON_ROLLERS,
    ),
    Field(
        "axis_height",
        "axis height",
        "Measure from the bed up to the middle of the roller or chuck.",
        "mm",
    ),
    Field(
        "levelled",
        "apex levelled",
        "Choose yes if you raise one end until the apex is level.",
        options=("default", *YES_NO),
    ),
    Field(
        "controller_field",
        "program takes",
        "Choose which number your marking program takes in its rotary settings.",
        options=("item-diameter", "roller-diameter", "steps-only", "degrees"),
        width=18,
    ),
    Field(
        "typed_diameter",
        "diameter shown",
        "If your program takes only steps: enter the diameter that you see in its rotary settings.",
        "mm",
        only=("turning.controller_field", "steps-only"),
    ),
    Field(
        "typed_decimals",
        "decimals allowed",
        "Type a diameter with many decimals into your program and see how many stay.",
        number=True,
        rare=True,
    ),
    Field(
        "full_steps",
        "full steps",
        "Full steps in one turn of the motor: 200 if the motor's label says 1.8°, 400 if 0.9°.",
        number=True,
    ),
    Field(
        "microsteps",
        "microsteps",
        "Look at the motor driver's switches or settings: how many pulses make one full step.",
        number=True,
    ),
    Field(
        "gear_ratio",
        "gear ratio",
        "Turns of the motor for one turn of the chuck or the driven roller.",
        number=True,
    ),
    Field(
        "motor",
        "motor",
        "Look at the motor's label or papers. Two-phase is usual. A closed-loop motor has an encoder.",
        options=("unknown", "two-phase", "three-phase", "closed-loop"),
        width=14,
        rare=True,
    ),
    Field(
        "stops_whole",
        "stops, full cycle",
        "The motor test fills this in: how far off the motor comes to rest at seams, in full steps, if each "
        "slice turns whole motor cycles.",
        "",
        rare=True,
    ),
    Field(
        "stops_free",
        "stops, any turn",
        "The motor test fills this in: how far off the motor comes to rest at seams, in full steps, if slices don't "
        "turn whole motor cycles.",
        "",
        rare=True,
    ),
    Field(
        "rounding",
        "rounding",
        "Choose how your controller gets whole steps: it rounds each slice by itself, counts from the start, or always "
        "rounds down. The answer of the seam test says which.",
        options=("each-index", "absolute", "truncate"),
        width=14,
        rare=True,
    ),
    Field(
        "covering",
        "covering",
        "Choose soft for rubber sleeves, hard for bare metal or plastic.",
        options=("soft", "hard"),
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_from",
        "touches from",
        "Height where the item begins to touch the rollers. Empty: the item touches all along.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "contact_to",
        "touches to",
        "Slide a strip of paper between item and rollers. Enter the height where the paper last grips.",
        "mm",
        only=ON_ROLLERS,
        rare=True,
    ),
    Field(
        "top_speed",
        "top speed",
        "The fastest turning without wandering or slipping: try it with the beam off.",
        "rad/s",
        rare=True,
    ),
    Field(
        "acceleration_rad_s2",
        "acceleration",
        "How quickly the item reaches that speed, in rad/s²: see the controller's settings.",
        number=True,
        rare=True,
    ),
    Field(
        "settling",
        "settling",
        "How long to wait after each turn until nothing shakes: watch the pointer's spot on the item.",
        "s",
        rare=True,
    ),
    Field(
        "skew",
        "skew",
        "Angle between the item's axis and the field's centre line. "
        'Ctrl+R measures this angle with the test "line beside the item".',
        "rad",
        rare=True,
    ),
    Field(
        "offset",
        "offset",
        "How far the axis lies off the field's centre line: put the pointer on the apex and measure with a rule.",
        "mm",
        rare=True,
    ),
    TICKS,
)

_MACHINE: Final = Field(
    "machine",
    "machine",
    "Your machine as measured. Turning, laser and tolerances come from it. Ctrl+R measures it, adds a machine, or "
    "chooses another.",
    usual="what you typed in this job",
    width=22,
)

DRIVE: Final = Group("turning", "Turning", (_MACHINE, *_DRIVE_FIELDS), open=True)
