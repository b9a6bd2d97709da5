"""The item, its coating and its metal: what to measure, how, and with what."""

from typing import Final

from tui.form import own_coating
from tui.form.fields import YES_NO, Field, Group, Table, fields_of

ROUND: Final = ("item.section", "round")
FLATS: Final = ("item.section", "flats")

STATIONS: Final = Table(
    "measurements",
    "measured at",
    "place",
    (
        Field("at", "height", "Height of this place along the axis. Rule or height gauge.", "mm", width=8),
        Field(
            "across", "across", "Outside diameter here, with calipers. Leave empty if you measure round.", "mm", width=8
        ),
        Field(
            "round",
            "or round",
            "Tape or paper strip once round the item here. Leave empty if you gave the diameter across.",
            "mm",
            width=8,
            instead=True,
        ),
    ),
    only=ROUND,
    more=(
        Field(
            "corner",
            "corner",
            "yes where the outline turns sharply here: a shoulder, a step.",
            options=YES_NO,
            width=5,
            rare=True,
        ),
        Field(
            "second_across",
            "across again",
            "Calipers at a right angle to the first, to see if it is oval.",
            "mm",
            rare=True,
        ),
    ),
)

_ITEM_FIELDS: Final = fields_of(
    "item",
    Field("name", "name", "Your name for this item. The job is saved under it.", width=26),
    Field(
        "section", "section", "Choose round, or flats for equal flat sides such as a nut's.", options=("round", "flats")
    ),
    STATIONS,
    Field("flats", "flats", "Count the flat sides, 3 to 48. They must be alike.", number=True, only=FLATS),
    Field(
        "across_flats", "across flats", "Calipers over two opposite sides, or the inscribed circle.", "mm", only=FLATS
    ),
    Field(
        "length",
        "length",
        "Rule or calipers from end to end, along the axis. Left empty on a round item, the highest measured place is "
        "the end.",
        "mm",
    ),
    Field(
        "heights_from",
        "heights from",
        "The end that every height is measured from: stand the item on it, with rule or height gauge beside.",
        options=("base", "rim"),
    ),
    Field("runout", "runout", "Dial indicator on the apex, total reading over one turn.", "mm"),
    Field("wall", "wall", "Wall thickness: calipers at the mouth, or two diameters. Empty if not known.", "mm"),
    Field(
        "solid",
        "solid",
        "yes for bars and nuts that are not hollow: they stay cooler than a thin wall.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "measuring_tolerance",
        "measured to",
        "How far a diameter may be off. Empty: 0.05 mm by calipers on turned metal, 0.15 on a wall, 0.16 by tape.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.angle",
        "handle at",
        "Middle of the handle, from the front, + to the right seen from the lens.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.width",
        "handle width",
        "How many degrees the handle takes up: its width divided by the girth, times 360.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.reach",
        "handle reach",
        "Calipers or rule: how far it stands out of the wall at its widest.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.from",
        "handle from",
        "Rule: height of the handle's lower end from the end that heights count from.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.to",
        "handle to",
        "Rule: height of the handle's upper end from the end that heights count from.",
        "mm",
        rare=True,
    ),
    Field(
        "weld_line.angle",
        "weld line at",
        "Where the item's own weld runs, as an angle from the front. Look along the wall under a slanting light.",
        "rad",
        rare=True,
    ),
    Field(
        "weld_line.width",
        "weld width",
        "Calipers or rule: how wide the weld and the damaged wall beside it are.",
        "mm",
        rare=True,
    ),
)

ITEM: Final = Group("item", "Item", _ITEM_FIELDS, open=True)

COATING: Final = Group(
    "coating",
    "Coating and metal",
    (
        Field(
            "item.coating",
            "coating",
            "Never mark vinyl, non-stick or anything with chlorine. Bare metal: none.",
            options_from="coatings.toml",
            width=22,
        ),
        Field(
            own_coating.COLOUR,
            "looks",
            "The colour of your own coating. rotary estimates from it how much light the coating absorbs.",
            options=own_coating.COLOURS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            own_coating.KIND,
            "its kind",
            "powder coat, paint or lacquer: gives the usual thickness, unless you measured it.",
            options=own_coating.KINDS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            "item.coating_thickness",
            "thickness",
            "Coating gauge. Or calipers: half the difference of the diameters at a coated and a bare place.",
            "um",
        ),
        Field(
            "item.colour",
            "colour",
            "The coating's colour, such as green or #2f6b3a. It changes no number. But another colour is another "
            "coating, so a proof ends.",
        ),
        Field(
            own_coating.BATCH,
            "batch",
            "Readings of this batch don't mix with other batches. Empty: all count together.",
            width=22,
            rare=True,
        ),
        Field(
            "item.metal",
            "metal",
            "The metal under the coating: ask the maker, try a magnet.",
            options_from="metals.toml",
            width=22,
        ),
    ),
    open=True,
)
