"""The artwork, and what is accepted."""

from typing import Final

from tui.form.fields import YES_NO, Field, Group, Table, fields_of

PIECES: Final = Table(
    "pieces",
    "pieces of the artwork",
    "piece",
    (
        Field(
            "file", "file", "A drawing (SVG or DXF). To look for one, with a preview, press Enter or Ctrl+E.", width=15
        ),
        Field(
            "text",
            "or text",
            "Type a text to mark in place of a drawing. Type \\n where a new line begins.",
            width=13,
            lines=True,
            instead=True,
        ),
    ),
    more=(
        Field(
            "width", "width", "How wide this piece is on the item. Empty: a drawing fills the artwork's frame.", "mm"
        ),
        Field("centre", "at height", "Height of this piece's middle on the item. Empty: the artwork's middle.", "mm"),
        Field(
            "angle",
            "angle",
            "Angle round the item from the artwork's middle to this piece's middle: + to the right. To count from "
            'another place, change "angle from".',
            "rad",
        ),
        Field(
            "height",
            "height",
            "How high this piece is. If you give only a width or only a height, the piece is not distorted.",
            "mm",
            rare=True,
        ),
        Field(
            "angle_from",
            "angle from",
            "Choose where the angle of this piece begins: at the artwork's middle, the front, the handle or the "
            "weld line.",
            options=("artwork", "front", "handle", "weld-line"),
            rare=True,
        ),
        Field(
            "rotation",
            "rotation",
            "By how much to tilt this piece on the wall, + anticlockwise.",
            "rad",
            rare=True,
        ),
        Field(
            "repeat",
            "repeat",
            "How many copies of this piece to mark, evenly spaced round the item.",
            number=True,
            rare=True,
        ),
        Field("mirror", "mirrored", "Choose yes to swap left and right in this piece.", options=YES_NO, rare=True),
        Field(
            "invert",
            "inverted",
            "Choose yes to swap light and dark in a box round this piece: its background is then marked.",
            options=YES_NO,
            rare=True,
        ),
        Field(
            "margin",
            "margin",
            "Only if you chose inverted: how far the box reaches beyond this piece on each side.",
            "mm",
            rare=True,
        ),
        Field(
            "unit",
            "DXF unit",
            "If the DXF file does not state its unit: choose the unit here.",
            options=("default", "mm", "cm", "m", "in", "ft"),
            width=16,
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
        Field("letter_spacing", "letter spacing", "Extra space between the letters of the text.", "mm", rare=True),
        Field(
            "face",
            "face",
            "Choose filled letters of a font, or letters made of single strokes.",
            options=("outline", "line-sans", "line-roman", "line-script"),
            width=14,
            rare=True,
        ),
        Field(
            "font",
            "font file",
            "Type the name of a TTF or OTF file, or of a font on this computer. Empty: the font that comes with "
            "rotary.",
            width=26,
            rare=True,
        ),
        Field(
            "weight",
            "weight",
            "How bold the text is: 400 is plain, 700 bold. Not every font can change this.",
            number=True,
            rare=True,
        ),
        Field(
            "line_width",
            "line width",
            "How wide to mark single strokes, and open lines in a DXF file.",
            "mm",
            rare=True,
        ),
        Field(
            "close_gaps",
            "close gaps",
            "For a DXF file: rotary joins two line ends that lie no further apart than this.",
            "mm",
            rare=True,
        ),
        Field(
            "dark_below",
            "dark below",
            "Every colour darker than this limit is marked: 0 % is black, 100 % is white.",
            "",
            usual="50 %",
            rare=True,
        ),
    ),
)

_ARTWORK_FIELDS: Final = fields_of(
    "artwork",
    Field("name", "name", "Your name for the artwork. The files that F5 writes get this name.", width=26),
    Field(
        "width",
        "width",
        "How wide the artwork's frame is, measured round the wall. All your drawings and texts lie in this frame.",
        "mm",
    ),
    Field("height", "height", "How high the artwork's frame is, measured along the wall.", "mm"),
    Field(
        "centre",
        "middle at height",
        "Height of the middle of the artwork's frame, from the end where all your heights begin.",
        "mm",
    ),
    Field(
        "centre_angle",
        "middle at angle",
        "Angle from the item's front to the middle of the artwork's frame: + to the right when you see the front with "
        "the rim up.",
        "rad",
        rare=True,
    ),
    Field(
        "surface_map",
        "on a taper",
        "Choose how artwork follows a taper: its widths stay (true width), they grow as the item widens (with the "
        "taper), it bends like a paper label, or looks flat from afar (as seen from the front). See picture 3.",
        options=("true-width", "with-taper", "label", "front-view"),
        width=14,
    ),
    Field(
        "full_wrap",
        "full wrap",
        "Choose yes if the artwork goes all the way round the item and its two ends meet.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "ink",
        "dark share",
        "How much of the artwork's frame is dark and gets marked, in %. To have it measured, press Ctrl+P "
        "and choose Dark share as drawn.",
        "",
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
            "Type one line of the words to mark. Press Enter to begin another line. Press Ctrl+B to choose "
            "letters and place.",
            lines=True,
        ),
    ),
)
"""The words of a job, line by line; what else there is to an inscription has a screen of its own."""

ARTWORK: Final = Group("artwork", "Artwork", (*_ARTWORK_FIELDS, WORDS), open=True)

_TOLERANCES_FIELDS: Final = fields_of(
    "tolerances",
    Field(
        "seam", "off at a seam", "The widest gap, or jump of the lines, that you accept where two slices meet.", "mm"
    ),
    Field(
        "seams_may_show",
        "seams may show",
        "Choose yes if seams may be seen. You then accept gaps of up to 0.1 mm.",
        options=YES_NO,
        rare=True,
    ),
    Field(
        "closing_gap",
        "gap that closes",
        "The widest gap between two filled areas that you no longer see when they are marked. To find it, mark the gap "
        "ladder on scrap (Ctrl+K prints it). Empty: rotary estimates it.",
        "mm",
        rare=True,
    ),
    Field(
        "closing_gap_u",
        "closing gap, ±",
        'How far off "gap that closes" may be (you are closer 2 times in 3). Enter half a step of the gap ladder.',
        "mm",
        rare=True,
    ),
    Field(
        "closing_gap_at",
        "ladder settings",
        "Copy the laser settings that are printed on the gap ladder's paper.",
        width=30,
        rare=True,
    ),
    Field(
        "slice_width",
        "slice width",
        "How wide you want each slice to be on the item. Empty: as wide as all limits allow.",
        "mm",
    ),
    Field(
        "method",
        "kind of file",
        "Choose a sliced file, fitted to the wall slice by slice, or a flat file, which your program divides equally.",
        options=("auto", "sliced", "flat"),
    ),
    Field(
        "diameter",
        "all diameters, ±",
        "How far off the plan's diameter may be at any height (you are closer 19 times in 20). Empty: rotary works "
        'this out from your measurements and "diameter, ±" under Item.',
        "mm",
    ),
    Field(
        "focus",
        "focus, ±",
        "How far off your focus may be (you are closer 19 times in 20). Set the focus five times. Enter the "
        "difference between the highest and the lowest height.",
        "mm",
    ),
    Field(
        "field_scale",
        "field scale, ±",
        "How far off marked lengths may be, in % (you are closer 19 times in 20). Mark a line of 100 mm. If your "
        "calipers say 100.3 mm, enter 0.3 %.",
        "",
    ),
    Field(
        "line_spacing",
        "lines in files",
        "The line spacing of files of dots and of the seam test. Empty: that of the plan. The laser's own line spacing "
        "stands under Fixed settings.",
        "mm",
        rare=True,
    ),
    Field(
        "fluence_low",
        "energy, least",
        "The least energy per area that you accept anywhere on a slice, in % of what the plan aims for.",
        "",
        rare=True,
    ),
    Field(
        "fluence_high",
        "energy, most",
        "The most energy per area that you accept anywhere on a slice, in % of what the plan aims for.",
        "",
        rare=True,
    ),
    Field(
        "incidence",
        "beam angle",
        "By how many degrees off square the beam may hit the wall. At larger angles marks get faint and wide.",
        "rad",
        rare=True,
    ),
    Field(
        "margin",
        "margin",
        "How wide the empty edge beside each slice is in a sliced file. This edge keeps the slices apart.",
        "mm",
        rare=True,
    ),
)

TOLERANCES: Final = Group("tolerances", "Tolerances", _TOLERANCES_FIELDS)
