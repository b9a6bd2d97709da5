"""Laser, lens and field."""

from typing import Final

from tui.form.fields import Field, Group, fields_of

_HEAD_FIELDS: Final = fields_of(
    "laser",
    Field("name", "its name", "Your name for your laser and lens.", width=26),
    Field("rated_power", "rated power", "Average power at 100 %, from the data sheet. Better from a power meter.", "W"),
    Field("focal_length", "focal length", "Printed on the lens, as f = so many mm.", "mm"),
    Field("field", "field", "Side of the square that the lens can mark: printed on it, or in its data sheet.", "mm"),
    Field("spot", "spot, measured", "1/e² diameter in focus, if you measured it. It replaces the computed one.", "um"),
    Field(
        "rayleigh",
        "Rayleigh length",
        "If you measured it: how far from focus the spot's area doubles.",
        "mm",
        rare=True,
    ),
    Field("wavelength", "wavelength", "From the laser's label: 1064 nm for most pulsed fibre lasers.", "nm"),
    Field("largest_pulse", "largest pulse", "Largest pulse energy, from the data sheet.", "mJ"),
    Field(
        "pulse_widths",
        "pulse widths",
        "All you can set, with commas: 100 ns, 200 ns.",
        "ns",
        several=True,
        rare=True,
        width=20,
    ),
    Field("lowest_frequency", "lowest frequency", "From the laser's data sheet.", "kHz"),
    Field("highest_frequency", "highest frequency", "From the laser's data sheet.", "kHz"),
    Field(
        "beam_quality", "beam quality M²", "From the data sheet, 1 is the best there can be.", number=True, rare=True
    ),
    Field(
        "beam_diameter",
        "beam diameter",
        "Diameter of the beam where it enters the lens (1/e²), from the data sheet of the laser or scan head.",
        "mm",
        rare=True,
    ),
    Field(
        "lens",
        "lens",
        "telecentric: the beam leaves the lens upright everywhere.",
        options=("default", "f-theta", "telecentric"),
        rare=True,
    ),
    Field(
        "pupil_x",
        "pupil, x mirror",
        "Height above focus of the point where this mirror turns the beam. Measure one long line at two heights.",
        "mm",
        rare=True,
    ),
    Field("pupil_y", "pupil, y mirror", "The same for the other mirror.", "mm", rare=True),
    Field(
        "pupil_doubt",
        "pupils, ±",
        "How well you know the two heights, in % (19 times in 20). Two long lines at two heights give about 1 %.",
        "",
        rare=True,
    ),
    Field(
        "slice_wide",
        "slices drawn wide",
        "How many times as wide slices are drawn for your machine: 1.004 is 0.4 % wider. A seam test fills this in.",
        "",
        rare=True,
    ),
    Field("slice_high", "slices drawn high", "The same along the item.", "", rare=True),
    Field(
        "slice_turn",
        "slices drawn turned",
        "How far each slice is turned, + anticlockwise. A seam test fills this in.",
        "rad",
        rare=True,
    ),
    Field(
        "free_height",
        "free height",
        "With a ruler: from the focus up to the lowest part of the lens or its guard.",
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
        "Fastest speed at which a small square keeps its corners. From the data sheet, or by trial.",
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
        "line wait",
        "Wait at each start, stop and turn of a line: the sum of the program's delays.",
        "s",
        rare=True,
    ),
    Field(
        "field_axis",
        "item lies along",
        "Mark a line along the program's x on paper. Choose x if it runs along the item, y if across.",
        options=("default", "y", "x"),
        rare=True,
    ),
    Field(
        "rim_towards",
        "rim points to",
        "Mark an arrow towards the program's plus side on paper. Choose plus if it points to the rim, else minus.",
        options=("default", "plus", "minus"),
        rare=True,
    ),
    Field("note", "note", "Where the figures come from.", rare=True, width=26, lines=True),
)

_USE_HEAD: Final = Field(
    "use_laser",
    "laser",
    "own for your laser and lens, with your figures below. The others are examples, invented.",
    options_from="heads.toml",
    width=16,
)

HEAD: Final = Group("laser", "Laser and lens", (_USE_HEAD, *_HEAD_FIELDS))
