"""The artwork, what is accepted, and what else is in the shop."""

from typing import Final

from tui.form.fields import YES_NO, Field, Group, Table, fields_of

EYEWEAR: Final = Table(
    "shop.eyewear",
    "eyewear in the shop",
    "pair",
    (
        Field("name", "name", "Your name for this laser eyewear."),
        Field("from", "from", "Lower end of the wavelength range printed on the eyewear.", "nm", width=9),
        Field("to", "to", "Upper end of the wavelength range printed on the eyewear.", "nm", width=9),
        Field(
            "optical_density",
            "density",
            "Optical density (OD) printed on the eyewear for this range.",
            number=True,
            width=7,
        ),
    ),
    more=(
        Field("marks", "marks", "EN 207 marks printed on the eyewear, such as D LB6 + IR LB7.", width=20),
        Field(
            "material",
            "filters of",
            "Choose glass or plastic, if you know: plastic needs a lower D number.",
            options=("default", "glass", "plastic"),
        ),
    ),
)

OTHER_LASERS: Final = Table(
    "shop.other_lasers",
    "other lasers in the room",
    "laser",
    (
        Field("name", "name", "Your name for the other laser: an engraving diode, a pointer."),
        Field("wavelength", "wavelength", "Read the wavelength on its label.", "nm"),
        Field("power", "power", "Read the rated power on its label.", "W"),
    ),
)

PIECES: Final = Table(
    "pieces",
    "pieces of the artwork",
    "piece",
    (
        Field("file", "file", "A drawing (SVG or DXF). Enter or Ctrl+E looks for a drawing, with a preview.", width=15),
        Field(
            "text",
            "or text",
            "Instead of a drawing, type a text to mark. \\n begins a new line.",
            width=13,
            lines=True,
            instead=True,
        ),
    ),
    more=(
        Field("width", "width", "How wide the piece is on the item. Empty: a drawing fills the frame.", "mm"),
        Field("centre", "at", "Height of the piece's middle. Empty: the middle of the artwork.", "mm"),
        Field(
            "angle",
            "angle",
            'How far round the item the middle of this piece is, + to the right. "angle from" says from where.',
            "rad",
        ),
        Field(
            "height",
            "height",
            "How high the piece is. Give only width or height, and the piece keeps its proportions.",
            "mm",
            rare=True,
        ),
        Field(
            "angle_from",
            "angle from",
            "Choose what the angle counts from: the artwork's middle, the front, the handle, the weld line.",
            options=("artwork", "front", "handle", "weld-line"),
            rare=True,
        ),
        Field(
            "rotation",
            "rotation",
            "How far the piece is turned on the wall, + to the left seen from the lens.",
            "rad",
            rare=True,
        ),
        Field("repeat", "repeat", "How many copies of the piece, evenly round the item.", number=True, rare=True),
        Field("mirror", "mirrored", "Choose yes to swap left and right.", options=YES_NO, rare=True),
        Field(
            "invert",
            "inverted",
            "Choose yes to mark the light parts instead, within the piece's box.",
            options=YES_NO,
            rare=True,
        ),
        Field("margin", "margin", "If inverted: how far the box reaches past the piece on each side.", "mm", rare=True),
        Field(
            "unit",
            "DXF unit",
            "Unit of a DXF file, if the file states none.",
            options=("default", "mm", "cm", "m", "in", "ft"),
            rare=True,
        ),
        Field(
            "letter_height",
            "letter height",
            "Height of a capital letter on the item.",
            "mm",
            usual="8 mm",
            rare=True,
        ),
        Field("letter_spacing", "letter spacing", "Extra room between letters of the text.", "mm", rare=True),
        Field(
            "face",
            "face",
            "Filled letters of a font, or single strokes one line wide.",
            options=("outline", "line-sans", "line-roman", "line-script"),
            width=14,
            rare=True,
        ),
        Field(
            "font",
            "font file",
            "A TTF or OTF file, or a font's name. Empty: the font that ships with rotary.",
            width=26,
            rare=True,
        ),
        Field("weight", "weight", "Weight of the text, 100 to 900, if the font has it.", number=True, rare=True),
        Field("line_width", "line width", "Width of single strokes, and of open lines in a DXF file.", "mm", rare=True),
        Field(
            "close_gaps", "close gaps", "In a DXF file: the largest gap to close between line ends.", "mm", rare=True
        ),
        Field(
            "dark_below",
            "dark below",
            "Everything darker than this limit is marked: 0 % is black, 100 % is white.",
            "",
            usual="50 %",
            rare=True,
        ),
    ),
)

_ARTWORK_FIELDS: Final = fields_of(
    "artwork",
    Field("name", "name", "Your name for the drawing. The files get this name.", width=26),
    Field("width", "width", "Width on the wall of the frame that holds all pieces.", "mm"),
    Field("height", "height", "Height of the frame along the wall.", "mm"),
    Field(
        "centre",
        "middle at height",
        "Height of the frame's middle, from the end that heights are measured from.",
        "mm",
    ),
    Field(
        "centre_angle",
        "turned by",
        "How far round the item the middle of the frame is from the front, + to the right as the lens sees it.",
        "rad",
        rare=True,
    ),
    Field(
        "surface_map",
        "on a taper",
        "Choose how flat artwork is laid on a taper. The pictures show what each choice does.",
        options=("true-width", "with-taper", "label", "front-view"),
        width=14,
    ),
    Field(
        "full_wrap",
        "full wrap",
        "Choose yes if the artwork goes all the way round and its ends meet.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "ink", "ink", "How much of the frame is marked, in %. To measure it press Ctrl+P and choose Ink as drawn.", ""
    ),
    PIECES,
)

WORDS: Final = Table(
    "inscription.text",
    "words",
    "line",
    (
        Field(
            "line",
            "words",
            "One line of what you mark. Enter begins another line, Ctrl+B chooses letters and place.",
            lines=True,
        ),
    ),
)
"""The words of a job, line by line; what else there is to an inscription has a screen of its own."""

ARTWORK: Final = Group("artwork", "Artwork", (*_ARTWORK_FIELDS, WORDS), open=True)

_TOLERANCES_FIELDS: Final = fields_of(
    "tolerances",
    Field("seam", "off at a seam", "The largest gap or offset that you accept at any seam.", "mm"),
    Field(
        "seams_may_show",
        "seams show",
        "Choose yes if you don't mind seams that show: you then accept 0.1 mm.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "closing_gap",
        "gap that closes",
        "The widest gap between two filled areas that just closes: mark the gap ladder on scrap to see it. Empty: "
        "the plan assumes a gap.",
        "mm",
        rare=True,
    ),
    Field(
        "closing_gap_u",
        "gap, ±",
        "How far off the closing gap can be, in 2 of 3 cases: half a step of the gap ladder.",
        "mm",
        rare=True,
    ),
    Field(
        "closing_gap_at", "ladder settings", "Copy the settings printed on the gap ladder's paper.", width=30, rare=True
    ),
    Field(
        "slice_width",
        "slice width",
        "Slice width, as your program shows it. Empty: the widest within all limits.",
        "mm",
    ),
    Field(
        "method",
        "method",
        "Choose a sliced file, redrawn slice by slice, or a flat file, which your program divides equally.",
        options=("auto", "sliced", "flat"),
    ),
    Field(
        "diameter",
        "diameter, ±",
        "How far off the diameter can be, in 19 of 20 cases. Empty: worked out from your diameters.",
        "mm",
    ),
    Field(
        "focus",
        "focus, ±",
        "How far off your focus can be, in 19 of 20 cases. Set the focus five times and compare the heights.",
        "mm",
    ),
    Field(
        "field_scale",
        "field scale, ±",
        "How far off the field's scale can be, in 19 of 20 cases: mark 100 mm and measure the mark with calipers.",
        "",
    ),
    Field("line_spacing", "line spacing", "Line spacing you want. Empty: rotary chooses.", "mm", rare=True),
    Field(
        "fluence_low",
        "energy, least",
        "The least energy per area that you accept on a slice, as a share of the plan's.",
        "",
        rare=True,
    ),
    Field(
        "fluence_high",
        "energy, most",
        "The most energy per area that you accept on a slice, as a share of the plan's.",
        "",
        rare=True,
    ),
    Field(
        "incidence",
        "beam angle",
        "The most that you let the beam hit the wall off square: beyond this angle marks get faint and wide.",
        "rad",
        rare=True,
    ),
    Field(
        "margin",
        "margin",
        "White margin beside each slice of a sliced file, which keeps slices apart.",
        "mm",
        rare=True,
    ),
)

TOLERANCES: Final = Group("tolerances", "Tolerances", _TOLERANCES_FIELDS)

_SHOP_FIELDS: Final = (
    Field("order.pieces", "pieces", "How many items you want: the total time depends on it.", number=True, width=7),
    EYEWEAR,
    OTHER_LASERS,
    Field("note", "note", "Anything worth saving with this job. \\n begins a new line.", width=26, lines=True),
)

SHOP: Final = Group("shop", "Shop", _SHOP_FIELDS)
