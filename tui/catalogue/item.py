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
            'Type at what height you measure this diameter. Stand the item on the end under "heights from", and '
            "measure up from there.",
            "mm",
            width=8,
        ),
        Field(
            "across",
            "diameter",
            "Measure the outside diameter at this height, with calipers. Leave this field empty if you measure "
            "once round the item instead.",
            "mm",
            width=8,
        ),
        Field(
            "round",
            "or girth",
            "Measure once round the item at this height, with a tape or a paper strip. Leave this field empty "
            "if you gave the diameter.",
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
            "Choose yes if the wall bends sharply at this height, as at a shoulder or a step.",
            options=YES_NO,
            width=5,
            rare=True,
        ),
        Field(
            "second_across",
            "second diameter",
            "Measure the diameter at this height again, at a right angle to the first time: this shows if the "
            "item is oval.",
            "mm",
            rare=True,
        ),
    ),
)

_ITEM_FIELDS: Final = fields_of(
    "item",
    Field("name", "name", "Your name for this item. The job is saved under this name.", width=26),
    Field(
        "section",
        "cross-section",
        "Choose round if the item is round. Choose flats if it has equal flat sides, as a nut has.",
        options=("round", "flats"),
    ),
    STATIONS,
    Field(
        "flats", "flats", "Count the flat sides, from 3 to 48. They must all be equally wide.", number=True, only=FLATS
    ),
    Field("across_flats", "across flats", "Measure with calipers over two opposite sides.", "mm", only=FLATS),
    Field(
        "length",
        "length",
        "Measure the item from end to end, with a rule or calipers. Empty: a round item ends at the highest "
        "place that you measured.",
        "mm",
    ),
    Field(
        "heights_from",
        "heights from",
        "Choose the end from which you measure all heights: the item stands on this end while you measure.",
        options=("base", "rim"),
    ),
    Field(
        "runout",
        "runout",
        "Hold a dial indicator on the item's highest line (its apex) and turn the item once. Enter how far the needle "
        "moves from its lowest to its highest reading.",
        "mm",
    ),
    Field(
        "wall",
        "wall",
        "Measure how thick the wall is at the mouth, with calipers. Leave this field empty if you don't know.",
        "mm",
    ),
    Field(
        "solid",
        "solid",
        "Choose yes for a bar or nut of solid metal: it stays cooler than an item with a thin wall.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "measuring_tolerance",
        "diameter, ±",
        "How far off each reading of a diameter may be. Empty: rotary takes 0.05 mm for calipers on turned metal, "
        "0.15 mm for calipers on a thin wall, 0.16 mm for a tape.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.angle",
        "handle at",
        "Angle from the item's front to the middle of the handle, such as 90°: + if the handle is to the "
        "right when you see the front with the rim up.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.width",
        "handle takes up",
        "How many degrees of a full turn the handle takes up: divide its width by the length once round the "
        "item, then multiply by 360.",
        "rad",
        rare=True,
    ),
    Field(
        "handle.reach",
        "handle reach",
        "Measure how far the handle sticks out from the wall.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.from",
        "handle from",
        "Measure the height of the handle's lower end, from the end where all your heights begin.",
        "mm",
        rare=True,
    ),
    Field(
        "handle.to",
        "handle to",
        "Measure the height of the handle's upper end, from the end where all your heights begin.",
        "mm",
        rare=True,
    ),
    Field(
        "weld_line.angle",
        "weld line at",
        "Angle from the item's front to its own weld line: + if the weld is to the right when you see the front with "
        "the rim up. Find the weld in slanting light.",
        "rad",
        rare=True,
    ),
    Field(
        "weld_line.width",
        "weld width",
        "Measure how wide the weld is. Include the damaged wall beside it.",
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
            "Never mark vinyl, non-stick or anything with chlorine. Choose what covers the metal, or none if it is "
            "bare.",
            options_from="coatings.toml",
            width=22,
        ),
        Field(
            own_coating.COLOUR,
            "look of coating",
            "Choose how your own coating looks. The plan then estimates how much of the laser's light the coating "
            "absorbs.",
            options=own_coating.COLOURS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            own_coating.KIND,
            "kind of coating",
            "Choose powder coat, paint or lacquer. The plan then uses its usual thickness, unless you enter yours.",
            options=own_coating.KINDS,
            only=(own_coating.COATING, own_coating.OWN),
        ),
        Field(
            "item.coating_thickness",
            "thickness",
            "Measure how thick the coating is, with a coating gauge. Or measure the diameters of a coated and of a "
            "bare item with calipers, and enter half the difference.",
            "um",
        ),
        Field(
            "item.colour",
            "colour",
            "Type the coating's colour, such as green or #2f6b3a. It changes no number. But if you run a saved job in "
            "a new colour, test it first.",
        ),
        Field(
            own_coating.BATCH,
            "batch",
            "Type the supplier's name or number for this batch of coating. The plan then uses only readings of "
            "this batch. Empty: the plan uses the readings of all batches.",
            width=22,
            rare=True,
        ),
        Field(
            "item.metal",
            "metal",
            "Choose the metal under the coating. Ask the maker, or try a magnet: it sticks to carbon steel, "
            "hardly to stainless 304.",
            options_from="metals.toml",
            width=22,
        ),
    ),
    open=True,
)
