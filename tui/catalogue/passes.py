"""Settings of the laser that the person wants held, and what is wanted; what is left empty is chosen round them."""

from typing import Final, get_args

from rotary.finishes import Finish
from tui.form.fields import Field, Group, fields_of

_PASSES_FIELDS: Final = fields_of(
    "passes",
    Field("power", "power", "Power in per cent of the rated power. Empty: rotary chooses.", ""),
    Field("frequency", "frequency", "Frequency, within your laser's range. Empty: rotary chooses.", "kHz"),
    Field("speed", "speed", "Speed. Empty: rotary chooses.", "mm/s"),
    Field("line_spacing", "line spacing", "Line spacing. Empty: rotary chooses.", "mm"),
    Field("defocus", "defocus", "How far the focus lies from the surface, + above it.", "mm"),
    Field("passes", "passes", "How many passes. Empty: as many as it takes.", number=True),
    Field("pause", "pause", "Pause before each pass, for the wall to cool. Empty: rotary chooses.", "s", rare=True),
    Field(
        "pulse_width",
        "pulse width",
        "One of the pulse widths that your laser has. Empty: rotary chooses.",
        "ns",
        rare=True,
    ),
    Field(
        "finish",
        "finish",
        "Choose how the bare metal may look: as before, light matte, or any mark.",
        options=get_args(Finish),
    ),
    Field(
        "spoiled_cost",
        "a spoilt item costs",
        "How many clean items pay for one spoilt item. A higher number makes the power steps gentler.",
        number=True,
        rare=True,
    ),
    Field(
        "hottest_c",
        "wall at most °C",
        "The hottest that the wall may get. Empty: 150 on a thin coated wall.",
        number=True,
        rare=True,
    ),
    Field(
        "depth",
        "depth",
        "Depth you want in bare metal, instead of a number of passes. Check it with a depth gauge.",
        "um",
        rare=True,
    ),
    Field(
        "polish",
        "polish takes off",
        "How much sanding or polishing takes off. The depth above is what stays.",
        "um",
        rare=True,
    ),
)

PASSES: Final = Group("passes", "Fixed settings", _PASSES_FIELDS)
