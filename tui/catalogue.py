"""Every field of the desk in the order of the flow, with what to measure, how, and with what."""

from typing import Final

from tui.fields import YES_NO, Field, Group, Table

ROUND: Final = ("item.section", "round")
FLATS: Final = ("item.section", "flats")
ON_ROLLERS: Final = ("drive.kind", "rollers")
IN_CHUCK: Final = ("drive.kind", "chuck")

STATIONS: Final = Table(
    "item.stations",
    "stations",
    "station",
    (
        Field(
            "at", "at", "Height of this station from the datum, along the axis. Rule or height gauge.", "mm", width=9
        ),
        Field(
            "across", "across", "Outside diameter here, with calipers. Leave empty if you measure round.", "mm", width=9
        ),
        Field(
            "round",
            "or round",
            "Tape or paper strip once round the item here. Leave empty if across is given.",
            "mm",
            width=9,
        ),
        Field(
            "corner", "corner", "yes where the outline turns sharply here: a shoulder, a step.", options=YES_NO, width=5
        ),
    ),
    only=ROUND,
)

TICKS: Final = Table(
    "drive.ticks",
    "full-turn ticks",
    "tick reading",
    (
        Field("gap", "gap", "Mark a tick, turn once, mark again: the arc between the two, + if it went too far.", "mm"),
        Field("at", "at", "Height from the datum where the two ticks were read.", "mm"),
        Field("u", "read to", "How well the gap could be read: one standard deviation.", "mm", stands="0.05 mm"),
    ),
    rare=True,
)

EYEWEAR: Final = Table(
    "shop.eyewear",
    "eyewear in the shop",
    "pair",
    (
        Field("name", "name", "What you call this pair of laser eyewear."),
        Field("from", "from", "Lower end of the band printed on the pair.", "nm", width=9),
        Field("to", "to", "Upper end of that band.", "nm", width=9),
        Field("optical_density", "density", "Optical density printed for that band.", number=True, width=7),
    ),
)

OTHER_LASERS: Final = Table(
    "shop.other_lasers",
    "other lasers in the room",
    "laser",
    (
        Field("name", "name", "What you call the other laser: an engraving diode, a pointer."),
        Field("wavelength", "wavelength", "Its wavelength, from its label.", "nm"),
        Field("power", "power", "Its rated power, from its label.", "W"),
    ),
)

ITEM: Final = Group(
    "item",
    "Item",
    (
        Field("item.name", "name", "What you call this item; the profile is kept under it.", width=26),
        Field(
            "item.section",
            "section",
            "round: turned on an axis; flats: so many equal flat sides.",
            options=("round", "flats"),
        ),
        STATIONS,
        Field("item.flats", "flats", "How many equal flat sides, 3 to 48.", number=True, only=FLATS),
        Field(
            "item.across_flats",
            "across flats",
            "Calipers over two opposite sides, or the inscribed circle.",
            "mm",
            only=FLATS,
        ),
        Field("item.length", "length", "Length along the axis.", "mm", only=FLATS),
        Field("item.datum", "heights from", "The end that all heights are measured from.", options=("foot", "rim")),
        Field(
            "item.runout",
            "runout",
            "Dial indicator on the apex line, total reading over one turn.",
            "mm",
            stands="0.2 mm",
        ),
        Field(
            "item.wall", "wall", "Wall thickness: calipers at the mouth, or two diameters. Empty if not known.", "mm"
        ),
        Field("item.solid", "solid", "yes for bars and nuts that are not hollow.", options=YES_NO, rare=True),
        Field(
            "item.measuring_tolerance",
            "measured to",
            "How far your calipers or tape may be off.",
            "mm",
            stands="0.1 mm",
            rare=True,
        ),
        Field(
            "item.handle.angle",
            "handle at",
            "Middle of the handle, from the front, + to the right seen from the head.",
            "rad",
            rare=True,
        ),
        Field("item.handle.width", "handle width", "Angle that the handle takes up round the axis.", "rad", rare=True),
        Field("item.handle.reach", "handle reach", "How far it stands out of the wall.", "mm", rare=True),
        Field("item.handle.from", "handle from", "Lower end of the handle, height from the datum.", "mm", rare=True),
        Field("item.handle.to", "handle to", "Upper end of the handle, height from the datum.", "mm", rare=True),
        Field(
            "item.weld_line.angle",
            "weld line at",
            "Where the item's own seam runs, angle from the front.",
            "rad",
            rare=True,
        ),
        Field("item.weld_line.width", "weld width", "How wide the seam is, on the wall.", "mm", rare=True),
    ),
    open=True,
    prefixes=("item",),
)

DRIVE: Final = Group(
    "drive",
    "Drive",
    (
        Field(
            "drive.kind",
            "turned by",
            "What turns the item: two rollers it lies on, or a chuck that grips it.",
            options=("rollers", "chuck"),
        ),
        Field(
            "drive.roller_diameter",
            "roller diameter",
            "Calipers over a roller, with its covering.",
            "mm",
            stands="20 mm",
            only=ON_ROLLERS,
        ),
        Field(
            "drive.centres",
            "roller centres",
            "Distance between the two roller axes: outside to outside, less one diameter.",
            "mm",
            stands="60 mm",
            only=ON_ROLLERS,
        ),
        Field(
            "drive.axis_height",
            "axis height",
            "Height of the roller or chuck axis over the bed.",
            "mm",
            stands="30 or 60 mm",
        ),
        Field(
            "drive.levelled",
            "apex levelled",
            "yes if one end is raised until the apex line is level.",
            options=("default", *YES_NO),
        ),
        Field(
            "drive.controller_field",
            "key in as",
            "What your marking program lets you type for the rotary.",
            options=("item-diameter", "roller-diameter", "steps-only", "degrees"),
        ),
        Field(
            "drive.typed_diameter",
            "its diameter",
            "With steps-only: the diameter that stands in the program.",
            "mm",
            only=("drive.controller_field", "steps-only"),
        ),
        Field(
            "drive.typed_decimals",
            "its decimals",
            "How many decimals that field takes.",
            number=True,
            stands="3",
            rare=True,
        ),
        Field(
            "drive.full_steps",
            "full steps",
            "Full steps of the motor in a turn: 200 for 1.8 degrees, 400 for 0.9.",
            number=True,
            stands="200",
        ),
        Field("drive.microsteps", "microsteps", "As set on the motor driver.", number=True, stands="16"),
        Field(
            "drive.gear_ratio",
            "gear ratio",
            "Turns of the motor for one turn of the chuck or the driven roller.",
            number=True,
            stands="1",
        ),
        Field(
            "drive.rounding",
            "rounding",
            "How the controller makes whole steps of an index.",
            options=("each-index", "absolute", "truncate"),
            rare=True,
        ),
        Field(
            "drive.covering",
            "covering",
            "soft: rubber sleeves; hard: bare metal or plastic.",
            options=("soft", "hard"),
            only=ON_ROLLERS,
            rare=True,
        ),
        Field(
            "drive.contact_from",
            "touches from",
            "Where the item begins to touch the rollers, from the datum. Empty: the whole item.",
            "mm",
            only=ON_ROLLERS,
            rare=True,
        ),
        Field("drive.contact_to", "touches to", "Where it ends to touch them.", "mm", only=ON_ROLLERS, rare=True),
        Field("drive.top_speed", "top speed", "Fastest that the item may turn.", "rad/s", stands="3 rad/s", rare=True),
        Field(
            "drive.acceleration_rad_s2", "acceleration", "Of the item, in rad/s².", number=True, stands="20", rare=True
        ),
        Field(
            "drive.settling", "settling", "Wait after each index until nothing shakes.", "s", stands="0.15 s", rare=True
        ),
        Field(
            "drive.skew",
            "skew",
            "Angle between the axis and the field: a line marked along the item and its mark after a turn tell.",
            "rad",
            stands="0.05°",
            rare=True,
        ),
        Field(
            "drive.offset",
            "offset",
            "How far the axis lies beside the field's centre line.",
            "mm",
            stands="1 mm",
            rare=True,
        ),
        TICKS,
    ),
    open=True,
    prefixes=("drive",),
)

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

ARTWORK: Final = Group(
    "artwork",
    "Artwork",
    (
        Field("artwork.name", "name", "What you call the drawing.", width=26, stands="artwork"),
        Field("artwork.width", "width", "Width of the flat drawing.", "mm"),
        Field("artwork.height", "height", "Height of the flat drawing.", "mm"),
        Field("artwork.centre", "its middle at", "Height of its middle from the item's datum.", "mm"),
        Field(
            "artwork.centre_angle",
            "turned by",
            "Angle of its middle from the front, + to the right.",
            "rad",
            stands="0°",
            rare=True,
        ),
        Field(
            "artwork.surface_map",
            "laid on by",
            "How flat artwork is laid on the item; the pictures show what it does.",
            options=("true-width", "with-taper", "decal", "front-view"),
        ),
        Field(
            "artwork.full_wrap",
            "full wrap",
            "yes if it goes all the way round and its ends meet.",
            options=YES_NO,
            rare=True,
        ),
        Field("artwork.ink", "ink", "Share of its area that is marked.", "", stands="35 %"),
    ),
    open=True,
    prefixes=("artwork",),
)

COATING: Final = Group(
    "coating",
    "Coating and metal",
    (
        Field(
            "item.coating",
            "coating",
            "What is lifted; none for bare metal. Never mark vinyl or anything with chlorine.",
            options_from="coatings.toml",
            stands="polyester-powder-dark",
            width=22,
        ),
        Field(
            "item.coating_thickness", "thickness", "Coating gauge, or calipers over a bare and a coated place.", "um"
        ),
        Field(
            "item.metal",
            "metal",
            "What lies under the coating.",
            options_from="metals.toml",
            stands="stainless-304",
            width=22,
        ),
    ),
    open=True,
)

TOLERANCES: Final = Group(
    "tolerances",
    "Tolerances",
    (
        Field(
            "tolerances.joint",
            "at a joint",
            "Largest gap or double mark that you accept at a joint.",
            "mm",
            stands="0.025 mm",
        ),
        Field("tolerances.slice_width", "slice width", "Leave it empty to have it chosen.", "mm"),
        Field(
            "tolerances.method",
            "method",
            "sheet: artwork redrawn slice by slice; plain: equal columns of the flat drawing.",
            options=("auto", "sheet", "plain"),
        ),
        Field(
            "tolerances.diameter",
            "diameter known",
            "How well the diameter is known, 95 % of the time.",
            "mm",
            stands="0.2 mm",
        ),
        Field("tolerances.focus", "focus set", "How well the focus is set, 95 % of the time.", "mm", stands="1 mm"),
        Field(
            "tolerances.field_scale",
            "field scale",
            "How well the field's scale is known, 95 % of the time.",
            "",
            stands="0.3 %",
        ),
        Field("tolerances.hatch", "hatch", "Hatch spacing asked for. Empty to have it chosen.", "mm", rare=True),
        Field(
            "tolerances.fluence_low",
            "fluence, least",
            "Least fluence over a slice, of that wanted.",
            "",
            stands="85 %",
            rare=True,
        ),
        Field(
            "tolerances.fluence_high",
            "fluence, most",
            "Most fluence over a slice, of that wanted.",
            "",
            stands="115 %",
            rare=True,
        ),
        Field(
            "tolerances.incidence",
            "lean of beam",
            "Largest angle between the beam and the wall's normal.",
            "rad",
            stands="20°",
            rare=True,
        ),
        Field(
            "tolerances.blank_edge",
            "blank edge",
            "Left white beside each slice of a slice sheet.",
            "mm",
            stands="0.3 mm",
            rare=True,
        ),
    ),
    prefixes=("tolerances",),
)

SHOP: Final = Group(
    "shop",
    "Shop",
    (EYEWEAR, OTHER_LASERS, Field("note", "note", "Anything worth keeping with this job.", width=26)),
    prefixes=("shop", "note"),
)

GROUPS: Final = (ITEM, DRIVE, HEAD, ARTWORK, COATING, TOLERANCES, SHOP)
