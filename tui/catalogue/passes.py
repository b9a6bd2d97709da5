"""Settings of the laser that the person wants held, and what is wanted; what is left empty is chosen round them."""

from typing import Final, get_args

from rotary.finishes import Finish
from tui.form.fields import Field, Group, fields_of

_PASSES_FIELDS: Final = fields_of(
    "passes",
    Field("power", "power", "The power that you want to use, in % of the rated power. Empty: rotary chooses.", ""),
    Field(
        "frequency",
        "frequency",
        "The frequency that you want to use, within your laser's range. Empty: rotary chooses.",
        "kHz",
    ),
    Field("speed", "speed", "The speed that you want to use. Empty: rotary chooses.", "mm/s"),
    Field("line_spacing", "line spacing", "The line spacing that you want to use. Empty: rotary chooses.", "mm"),
    Field(
        "defocus",
        "lens away",
        "How far you want to move the lens away after you focus on the surface, with - to move it closer. Empty: "
        "rotary chooses.",
        "mm",
    ),
    Field("passes", "passes", "How many passes you want to mark. Empty: as many as the job needs.", number=True),
    Field(
        "pause",
        "pause",
        "How long you want to pause before each pass, so that the wall cools. Empty: rotary chooses.",
        "s",
        rare=True,
    ),
    Field(
        "pulse_width",
        "pulse width",
        "The pulse width that you want to use, one of those that your laser has. Empty: rotary chooses.",
        "ns",
        rare=True,
    ),
    Field(
        "finish",
        "finish",
        "Choose how the bare metal may look afterwards: as before, light matte, or with any mark.",
        options=get_args(Finish),
    ),
    Field(
        "spoiled_cost",
        "spoiled item cost",
        "How many clean items you would give up to spoil one item fewer. A higher number makes the plan more "
        "careful. Empty: 0.25, with readings 0.4.",
        number=True,
        rare=True,
    ),
    Field(
        "hottest_c",
        "wall at most °C",
        "The highest temperature in °C that you allow for the wall. Empty: 150 °C for a wall under 3 mm or a solid "
        "item under 12 mm across, else no limit.",
        number=True,
        rare=True,
    ),
    Field(
        "depth",
        "depth",
        "How deep you want to cut bare metal. The plan then finds how many passes to mark. Check the depth with a "
        "gauge.",
        "um",
        rare=True,
    ),
    Field(
        "polish",
        "polish takes off",
        "How much metal you will sand or polish off afterwards. You get the depth above after polishing.",
        "um",
        rare=True,
    ),
)

PASSES: Final = Group("passes", "Fixed settings", _PASSES_FIELDS)
