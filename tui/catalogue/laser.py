"""Laser, lens and field."""

from typing import Final

from tui.form.fields import Field, Group, fields_of

_LASER_FIELDS: Final = fields_of(
    "laser",
    Field("name", "laser name", "Your name for your laser and lens.", width=26),
    Field(
        "rated_power",
        "rated power",
        "Average power at 100 %: measure it with a power meter, or look in the data sheet.",
        "W",
    ),
    Field(
        "focal_length", "focal length", "Read the focal length on the lens, printed as f = and a number of mm.", "mm"
    ),
    Field(
        "field", "field", "Side of the square that the lens can mark: printed on the lens, or in its data sheet.", "mm"
    ),
    Field("spot", "spot, measured", "Diameter of the spot in focus (1/e²), if you measured it. Empty: computed.", "um"),
    Field(
        "rayleigh",
        "depth of focus",
        "How far from focus, to one side, the spot's area doubles, if you measured it. Empty: computed.",
        "mm",
        rare=True,
    ),
    Field(
        "wavelength",
        "wavelength",
        "Read the wavelength on the laser's label. Most pulsed fibre lasers have 1064 nm.",
        "nm",
    ),
    Field("largest_pulse", "largest pulse", "Look in the data sheet for the largest pulse energy.", "mJ"),
    Field(
        "pulse_widths",
        "pulse widths",
        "List all that you can set, with commas: 100 ns, 200 ns.",
        "ns",
        several=True,
        rare=True,
        width=20,
    ),
    Field("lowest_frequency", "lowest frequency", "Look in the laser's data sheet.", "kHz"),
    Field("highest_frequency", "highest frequency", "Look in the laser's data sheet.", "kHz"),
    Field(
        "beam_quality", "beam quality M²", "Look in the data sheet. 1 is the best there can be.", number=True, rare=True
    ),
    Field(
        "beam_diameter",
        "beam diameter",
        "Diameter of the beam where it enters the lens (1/e²). Look in the data sheet of laser or scan head.",
        "mm",
        rare=True,
    ),
    Field(
        "lens",
        "lens",
        "Choose telecentric if the beam leaves the lens upright everywhere, else f-theta.",
        options=("default", "f-theta", "telecentric"),
        rare=True,
    ),
    Field(
        "pupil_x",
        "pupil, x mirror",
        "Height above focus of the point where this mirror turns the beam. "
        'Ctrl+R measures this height with the test "line at two heights".',
        "mm",
        rare=True,
    ),
    Field(
        "pupil_y",
        "pupil, y mirror",
        "Height above focus of the point where the other mirror turns the beam.",
        "mm",
        rare=True,
    ),
    Field(
        "pupil_doubt",
        "pupils, ±",
        "How far off both pupil heights can be, in %, in 19 of 20 cases. About 1 % with the test "
        '"line at two heights".',
        "",
        rare=True,
    ),
    Field(
        "slice_wide",
        "slices drawn wide",
        "A seam test fills this in: rotary makes slices this many times as wide. 1.004 is 0.4 % wider.",
        "",
        rare=True,
    ),
    Field(
        "slice_high",
        "slices drawn high",
        "A seam test fills this in: rotary makes slices this many times as high.",
        "",
        rare=True,
    ),
    Field(
        "slice_turn",
        "slices drawn turned",
        "A seam test fills this in: how far rotary turns each slice in its drawing, + anticlockwise.",
        "rad",
        rare=True,
    ),
    Field(
        "free_height",
        "free height",
        "Measure from the focus up to the lowest part of the lens or its guard.",
        "mm",
        rare=True,
    ),
    Field(
        "power_step",
        "power step",
        "The finest step that you can set the power to: try it in the marking program.",
        "",
        rare=True,
    ),
    Field(
        "top_speed",
        "top speed",
        "The fastest speed at which a small square keeps its corners: try it, or look in the data sheet.",
        "mm/s",
        rare=True,
    ),
    Field(
        "travel_speed",
        "travel speed",
        "Speed between marks with the beam off, as set in the marking program.",
        "mm/s",
        rare=True,
    ),
    Field(
        "line_wait",
        "delays per line",
        "Add up your program's delays at the start, stop and turn of a line.",
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
        "Lay paper under the lens. Mark an arrow that points to plus in your program. Choose plus if the arrow points "
        "to the rim, else minus.",
        options=("default", "plus", "minus"),
        rare=True,
    ),
    Field("note", "note", "Note where these figures come from.", rare=True, width=26, lines=True),
)

_USE_LASER: Final = Field(
    "use_laser",
    "laser",
    "Choose own to enter your laser and lens below. The others are invented examples.",
    options_from="heads.toml",
    width=16,
)

HEAD: Final = Group("laser", "Laser and lens", (_USE_LASER, *_LASER_FIELDS))
