"""Settings of the laser that the person wants held, and what is wanted; what is left empty is chosen round them."""

from typing import Final, get_args

from rotary.finishes import Finish
from tui.form.fields import Field, Group, fields_of

_PASSES_FIELDS: Final = fields_of(
    "passes",
    Field("power", "power", "Share of the rated power, in your laser's steps. Empty: it is chosen.", ""),
    Field("frequency", "frequency", "Frequency, within the source's range. Empty: it is chosen.", "kHz"),
    Field("speed", "speed", "Speed. Empty: it is chosen.", "mm/s"),
    Field("line_spacing", "line spacing", "Line spacing. Empty: it is chosen.", "mm"),
    Field("defocus", "defocus", "Defocus, + with the focal plane above the surface.", "mm"),
    Field("passes", "passes", "How many passes. Empty: as many as it takes.", number=True),
    Field("pause", "pause", "Pause before each pass, for the wall to cool. Empty: it is chosen.", "s", rare=True),
    Field("pulse_width", "pulse width", "Pulse width, one that the source has.", "ns", rare=True),
    Field(
        "finish",
        "finish",
        "How the metal may look where the coating came off: as before, a light matte is fine, any mark is fine.",
        options=get_args(Finish),
    ),
    Field(
        "spoiled_cost",
        "a spoilt item costs",
        "How bad a marked item is, in clean ones: 1 as bad as one is good. More of it makes the ladder gentler.",
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
        "Depth wanted in bare metal, in place of a number of passes. A depth gauge shows what came of it.",
        "um",
        rare=True,
    ),
    Field(
        "polish",
        "polished off",
        "Sanding or polishing takes so much off. The depth above is what is left after it.",
        "um",
        rare=True,
    ),
)

PASSES: Final = Group("passes", "Fixed settings", _PASSES_FIELDS)
