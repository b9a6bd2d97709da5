"""Settings of the laser that the person wants held; what is left empty is chosen round them."""

from typing import Final

from tui.fields import Field, Group

PASSES: Final = Group(
    "passes",
    "Settings held",
    (
        Field("passes.power", "power", "Share of the rated power to keep to. Empty: it is chosen.", ""),
        Field("passes.rate", "rate", "Repetition rate to keep to.", "kHz"),
        Field("passes.scan_speed", "scan speed", "Scan speed to keep to.", "mm/s"),
        Field("passes.hatch", "hatch", "Hatch spacing to keep to.", "mm"),
        Field("passes.defocus", "defocus", "Defocus to keep to, + with the focal plane above the surface.", "mm"),
        Field("passes.passes", "passes", "How many passes.", number=True),
        Field("passes.pause", "pause", "Pause before each pass.", "s", rare=True),
        Field("passes.pulse", "pulse", "Pulse duration to keep to, one that the source has.", "ns", rare=True),
        Field("passes.depth", "depth", "Depth wanted in bare metal.", "um", rare=True),
    ),
    prefixes=("passes",),
)
