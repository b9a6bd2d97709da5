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
    Field("passes", "passes", "How many passes. Empty: as many as the job needs.", number=True),
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
        "Choose how far the laser may change the bare metal: as before, light matte, or any mark.",
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
        "The highest temperature that you allow for the wall. Empty: 150 °C on a thin coated wall.",
        number=True,
        rare=True,
    ),
    Field(
        "depth",
        "depth",
        "Depth you want in bare metal, instead of a number of passes. Check the depth with a depth gauge.",
        "um",
        rare=True,
    ),
    Field(
        "polish",
        "polish takes off",
        "How deep sanding or polishing takes metal off. The depth above is what stays after that.",
        "um",
        rare=True,
    ),
)

PASSES: Final = Group("passes", "Fixed settings", _PASSES_FIELDS)
