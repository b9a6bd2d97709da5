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
        Field(
            "at",
            "height",
            "Measure the height of this place along the axis, with a rule or height gauge.",
            "mm",
            width=8,
        ),
        Field(
            "across",
            "across",
            "Measure the outside diameter here, with calipers. Leave empty if you measure round.",
            "mm",
            width=8,
        ),
        Field(
            "round",
            "or round",
            "Measure once round the item here, with tape or a paper strip. Leave empty if you gave the diameter "
            "across.",
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
            "Choose yes where the wall turns sharply: a shoulder, a step.",
            options=YES_NO,
            width=5,
            rare=True,
        ),
        Field(
            "second_across",
            "across again",
            "Measure at a right angle to the first diameter, to see if the item is oval.",
            "mm",
            rare=True,
        ),
    ),
)

_ITEM_FIELDS: Final = fields_of(
    "item",
    Field("name", "name", "Your name for this item. The job is saved under this name.", width=26),
    Field(
        "section", "section", "Choose round, or flats for equal flat sides such as a nut's.", options=("round", "flats")
    ),
    STATIONS,
    Field("flats", "flats", "Count the flat sides, 3 to 48. They must be alike.", number=True, only=FLATS),
    Field("across_flats", "across flats", "Measure with calipers over two opposite sides.", "mm", only=FLATS),
    Field(
        "length",
        "length",
        "Measure from end to end along the axis, with rule or calipers. Empty on a round item: the item ends "
        "at the highest measured place.",
        "mm",
    ),
    Field(
        "heights_from",
        "heights from",
        "Choose the end that you measure every height from. Stand the item on that end, with a rule or height gauge "
        "beside the item.",
        options=("base", "rim"),
    ),
    Field(
        "runout", "runout", "Hold a dial indicator on the apex and read how far its needle moves over one turn.", "mm"
    ),
    Field("wall", "wall", "Measure the wall's thickness at the mouth, with calipers. Empty: not known.", "mm"),
    Field(
        "solid",
        "solid",
        "Choose yes for bars and nuts that are not hollow: they stay cooler than a thin wall.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "measuring_tolerance",
        "diameter, ±",
        "How far off your diameters can be. Empty: 0.05 mm with calipers on turned metal, 0.15 mm with calipers on a "
        "thin wall, 0.16 mm with a tape.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.angle",
        "handle at",
        "Angle from the front to the middle of the handle, + to the right seen from the lens.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.width",
        "handle width",
        "How many degrees the handle takes up: divide its width by the distance once round, times 360.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.reach",
        "handle reach",
        "Measure how far the handle stands out of the wall.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.from",
        "handle from",
        "Measure the height of the handle's lower end, from the same end as all heights.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.to",
        "handle to",
        "Measure the height of the handle's upper end, from the same end as all heights.",
        "mm",
        rare=True,
    ),
    Field(
        "weld_line.angle",
        "weld line at",
        "Angle from the front to the item's own weld. Look for the weld along the wall under a slanting light.",
        "rad",
        rare=True,
    ),
    Field(
        "weld_line.width",
        "weld width",
        "Measure how wide the weld and the damaged wall beside it are.",
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
            "Never mark vinyl, non-stick or anything with chlorine. For bare metal choose none.",
            options_from="coatings.toml",
            width=22,
        ),
        Field(
            own_coating.COLOUR,
            "looks",
            "Choose how your own coating looks: its look tells the plan how much light the coating absorbs.",
            options=own_coating.COLOURS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            own_coating.KIND,
            "kind of coating",
            "Choose powder coat, paint or lacquer. The plan uses the usual thickness, unless you enter yours.",
            options=own_coating.KINDS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            "item.coating_thickness",
            "thickness",
            "Measure with a coating gauge. Or by calipers: take half the difference between a coated and a bare "
            "diameter.",
            "um",
        ),
        Field(
            "item.colour",
            "colour",
            "The coating's colour, such as green or #2f6b3a. The colour changes no number, but a new colour needs a "
            "new proof.",
        ),
        Field(
            own_coating.BATCH,
            "batch",
            "Name the coating's batch. The plan then keeps the readings of this batch apart. Empty: readings of "
            "all batches count together.",
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
