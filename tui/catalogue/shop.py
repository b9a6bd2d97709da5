"""What else is in the shop: eyewear, other lasers, how many items are wanted."""

from typing import Final

from tui.form.fields import Field, Group, Table

EYEWEAR: Final = Table(
    "shop.eyewear",
    "eyewear in the shop",
    "pair",
    (
        Field("name", "name", "Your name for this laser eyewear."),
        Field("from", "from", "The shortest wavelength of the range that is printed on the eyewear.", "nm", width=9),
        Field("to", "to", "The longest wavelength of the range that is printed on the eyewear.", "nm", width=9),
        Field(
            "optical_density",
            "OD",
            "The optical density (OD) that is printed on the eyewear for this range.",
            number=True,
            width=7,
        ),
    ),
    more=(
        Field("marks", "EN 207 marks", "The EN 207 marks printed on the eyewear, such as D LB6 + IR LB7.", width=20),
        Field(
            "material",
            "filters of",
            "Choose glass or plastic if you know what the filters are made of: plastic needs a lower D number "
            "than glass.",
            options=("default", "glass", "plastic"),
        ),
    ),
)

OTHER_LASERS: Final = Table(
    "shop.other_lasers",
    "other lasers in the room",
    "laser",
    (
        Field("name", "name", "Your name for another laser in the room, such as engraving diode or pointer."),
        Field("wavelength", "wavelength", "Read the wavelength on this laser's label.", "nm"),
        Field("power", "power", "Read the rated power on this laser's label.", "W"),
    ),
)

_SHOP_FIELDS: Final = (
    Field(
        "order.pieces",
        "items",
        "How many items you want to mark in all. rotary then tells you the time for all of them.",
        number=True,
        width=7,
    ),
    EYEWEAR,
    OTHER_LASERS,
    Field(
        "note",
        "note",
        "Type anything that you want to save with this job. Type \\n where a new line begins.",
        width=26,
        lines=True,
    ),
)

SHOP: Final = Group("shop", "Shop", _SHOP_FIELDS)
