"""Laser, lens and field."""

from typing import Final

from tui.form.fields import Field, Group, fields_of

_LASER_FIELDS: Final = fields_of(
    "laser",
    Field("name", "laser name", "Your name for your laser and lens.", width=26),
    Field(
        "rated_power",
        "rated power",
        "The laser's average power at 100 %. Look in its data sheet, or measure with a power meter.",
        "W",
    ),
    Field(
        "focal_length",
        "focal length",
        "Read the focal length on the lens: it is printed as f = and a number of mm.",
        "mm",
    ),
    Field(
        "field",
        "field",
        "How wide the square is that you can mark through the lens. Read it on the lens or in its data sheet.",
        "mm",
    ),
    Field(
        "spot",
        "spot, measured",
        "How wide the beam is in focus, as makers state it (at 1/e²: out to 13.5 % of its peak), if you measured it. "
        "Empty: rotary computes it.",
        "um",
    ),
    Field(
        "rayleigh",
        "depth of focus",
        "How far from focus the area of the spot has doubled, if you measured it. Empty: rotary computes it.",
        "mm",
        rare=True,
    ),
    Field(
        "wavelength",
        "wavelength",
        "Read the wavelength on the laser's label. Most pulsed fibre lasers have 1064 nm.",
        "nm",
    ),
    Field("largest_pulse", "largest pulse", "Look in the laser's data sheet for the largest pulse energy.", "mJ"),
    Field(
        "pulse_widths",
        "pulse widths",
        "Type every pulse width that you can set, with commas between them: 100 ns, 200 ns.",
        "ns",
        several=True,
        rare=True,
        width=20,
    ),
    Field(
        "lowest_frequency",
        "lowest frequency",
        "Look in the laser's data sheet for the lowest frequency that you can set.",
        "kHz",
    ),
    Field(
        "highest_frequency",
        "highest frequency",
        "Look in the laser's data sheet for the highest frequency that you can set.",
        "kHz",
    ),
    Field(
        "beam_quality",
        "beam quality M²",
        "Look in the laser's data sheet for M². A beam can't be better than 1.",
        number=True,
        rare=True,
    ),
    Field(
        "beam_diameter",
        "beam diameter",
        "How wide the beam is where it enters the lens (at 1/e²: out to 13.5 % of its peak). Look in the data sheet "
        "of the laser or of the scan head.",
        "mm",
        rare=True,
    ),
    Field(
        "lens",
        "lens",
        "Choose telecentric if the beam leaves the lens straight down everywhere in the field. Otherwise "
        "choose f-theta.",
        options=("default", "f-theta", "telecentric"),
        width=16,
        rare=True,
    ),
    Field(
        "pupil_x",
        "pupil, x mirror",
        "Height above focus of the point where the x mirror turns the beam. To measure it, press Ctrl+R and "
        'choose the test "two-heights".',
        "mm",
        rare=True,
    ),
    Field(
        "pupil_y",
        "pupil, y mirror",
        'Height above focus of the point where the y mirror turns the beam. The test "two-heights" measures it too.',
        "mm",
        rare=True,
    ),
    Field(
        "pupil_doubt",
        "pupils, ±",
        "How far off both pupil heights may be, in % (you are closer 19 times in 20): about 1 % if you did the test "
        '"two-heights". If both heights are empty, rotary estimates them.',
        "",
        rare=True,
    ),
    Field(
        "slice_wide",
        "slice width, %",
        "A seam test fills this in. rotary makes each slice wider or narrower by this: with 100.4 % each slice is "
        "0.4 % wider.",
        "",
        rare=True,
    ),
    Field(
        "slice_high",
        "slice height, %",
        "A seam test fills this in. rotary makes each slice taller or shorter by this: with 100.4 % each slice is "
        "0.4 % taller.",
        "",
        rare=True,
    ),
    Field(
        "slice_turn",
        "slice tilt",
        "A seam test fills this in. rotary tilts each slice by this angle, + anticlockwise.",
        "rad",
        rare=True,
    ),
    Field(
        "focus_above",
        "focus above",
        "A focus test fills this in: how far the focus lies above where you set it. The setup sheet then says how far "
        "to move the lens first.",
        "mm",
        rare=True,
    ),
    Field(
        "free_height",
        "free height",
        "Measure from the focus up to the lowest part of the lens, or of its guard.",
        "mm",
        rare=True,
    ),
    Field(
        "power_step",
        "power step",
        "The smallest step by which you can change the power, in %. Try this in your marking program.",
        "",
        rare=True,
    ),
    Field(
        "top_speed",
        "top speed",
        "The fastest speed at which a marked small square still has sharp corners. Try this, or look in the data "
        "sheet.",
        "mm/s",
        rare=True,
    ),
    Field(
        "travel_speed",
        "travel speed",
        "The speed at which your program moves from mark to mark with the beam off. Look in the program's settings.",
        "mm/s",
        rare=True,
    ),
    Field(
        "line_wait",
        "delays per line",
        "In your program's settings find the delays for the start, the end and the turn of a line, and add them up.",
        "s",
        rare=True,
    ),
    Field(
        "field_axis",
        "item lies along",
        "Lay paper under the lens. Mark a line along x of your program. Choose x if the line runs along the item, y if "
        "it runs across.",
        options=("default", "y", "x"),
        rare=True,
    ),
    Field(
        "rim_towards",
        "rim points to",
        "Lay paper under the lens. Mark an arrow along the item, towards larger numbers in your program. Choose "
        "plus if the arrow points to the rim (or end 2), else minus.",
        options=("default", "plus", "minus"),
        width=13,
        rare=True,
    ),
    Field(
        "note",
        "note",
        "Note where you found these numbers about laser and lens.",
        rare=True,
        width=26,
        lines=True,
    ),
)

_USE_LASER: Final = Field(
    "use_laser",
    "laser",
    'Choose "your own" to enter your laser and lens below. The others are invented examples.',
    options_from="heads.toml",
    width=16,
)

HEAD: Final = Group("laser", "Laser and lens", (_USE_LASER, *_LASER_FIELDS))
