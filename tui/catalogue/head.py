"""Laser, lens and field."""

from typing import Final

from tui.fields import Field, Group

HEAD: Final = Group(
    "head",
    "Head",
    (
        Field(
            "use_head",
            "head",
            "A head that ships with the tool (invented, typical), or own with your own figures below.",
            options_from="heads.toml",
            width=16,
        ),
        Field("head.name", "its name", "What you call your head.", width=26),
        Field(
            "head.rated_power",
            "rated power",
            "Average power at 100 %, from the data sheet; better from a power meter.",
            "W",
        ),
        Field("head.focal_length", "focal length", "Printed on the lens.", "mm"),
        Field("head.field", "field", "Side of the square that the lens can mark.", "mm"),
        Field(
            "head.spot",
            "spot, measured",
            "1/e² diameter in focus, if you measured it: it wins over the computed one.",
            "um",
        ),
        Field(
            "head.rayleigh",
            "Rayleigh length",
            "If measured: the defocus at which the spot's area doubles.",
            "mm",
            rare=True,
        ),
        Field("head.wavelength", "wavelength", "From the source's label.", "nm", rare=True),
        Field("head.largest_pulse", "largest pulse", "Largest pulse energy, from the data sheet.", "mJ", rare=True),
        Field(
            "head.pulse_durations",
            "pulse durations",
            "All that can be set, with commas: 100 ns, 200 ns.",
            "ns",
            several=True,
            rare=True,
            width=20,
        ),
        Field("head.lowest_rate", "lowest rate", "Lowest repetition rate.", "kHz", rare=True),
        Field("head.highest_rate", "highest rate", "Highest repetition rate.", "kHz", rare=True),
        Field(
            "head.beam_quality",
            "beam quality M²",
            "From the data sheet, 1 is the best there can be.",
            number=True,
            rare=True,
        ),
        Field("head.beam_diameter", "beam diameter", "At the lens, 1/e².", "mm", rare=True),
        Field(
            "head.lens",
            "lens",
            "telecentric: the beam leaves the lens upright everywhere.",
            options=("default", "f-theta", "telecentric"),
            rare=True,
        ),
        Field(
            "head.pupil_x",
            "pupil, x mirror",
            "Height of this mirror's pupil over the focal plane, from a joint strip.",
            "mm",
            rare=True,
        ),
        Field("head.pupil_y", "pupil, y mirror", "The same for the other mirror.", "mm", rare=True),
        Field(
            "head.free_height",
            "free height",
            "From the focal plane up to the lowest part of the head.",
            "mm",
            rare=True,
        ),
        Field("head.power_step", "power step", "The finest step that the power can be set to.", "", rare=True),
        Field("head.top_speed", "top speed", "Fastest scan speed that marks true.", "mm/s", rare=True),
        Field("head.travel_speed", "travel speed", "Between marks, beam off.", "mm/s", rare=True),
        Field("head.line_wait", "line wait", "Wait at each start, stop and turn of a line.", "s", rare=True),
        Field(
            "head.field_axis",
            "item lies along",
            "The field axis that the item's axis lies along.",
            options=("default", "y", "x"),
            rare=True,
        ),
        Field(
            "head.rim_towards",
            "rim points to",
            "The side of the field that the rim points to.",
            options=("default", "plus", "minus"),
            rare=True,
        ),
        Field("head.note", "note", "Where the figures come from.", rare=True, width=26),
    ),
    prefixes=("head", "use_head"),
)
