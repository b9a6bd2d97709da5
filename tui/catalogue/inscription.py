"""The fields of an inscription: words, where they go, letters, depth, files. Keys are those of the core's wish."""

from typing import Final

from tui.form.fields import YES_NO, Field, Group, Table, fields_of, with_defaults

LINES: Final = Table(
    "text",
    "the words to cut, line by line",
    "line",
    (
        Field(
            "line",
            "text",
            "Type a name, a date, a number. In a list {name} stands for the entry, {date} for today.",
            width=32,
            lines=True,
        ),
    ),
)

FLATS: Final = Table(
    "more",
    "words on the other flats, one per flat",
    "flat",
    (Field("text", "text", "Words on the next flat. \\n begins a new line.", width=32, lines=True),),
    only=("around", "flats"),
)

_WORDS_FIELDS: Final = (
    LINES,
    Field(
        "around",
        "where",
        "Choose ring (all round), arc (part way), axis (lengthwise), flats, or end (a circle on the end face).",
        options=("ring", "arc", "axis", "flats", "end"),
    ),
    FLATS,
    Field("repeat", "repeated", "How many copies of the words, evenly spaced.", number=True),
    Field("between", "between", "What to put between copies of the words round a ring.", rare=True, usual="a space"),
)

WORDS: Final = Group("words", "Words", _WORDS_FIELDS, open=True)

_LETTERS_FIELDS: Final = (
    Field(
        "face",
        "face",
        "Filled letters of a font, or letters of single strokes for fine detail.",
        options=("outline", "line-sans", "line-roman", "line-script"),
    ),
    Field("font", "font file", "Your own TTF or OTF font. Empty: rotary's own.", width=24),
    Field("weight", "weight", "How bold filled letters are: 400 is plain, 700 bold.", number=True),
    Field("italic", "slanted", "Choose yes for slanted letters.", options=YES_NO, rare=True),
    Field(
        "stroke",
        "stroke",
        "Stroke width of single-stroke letters, as a share of a capital's height. ISO 3098 has a tenth.",
        number=True,
        rare=True,
    ),
    Field("letter_height", "height at most", "Largest height of a capital. Empty: as large as fits.", "mm"),
    Field("least_height", "height at least", "The smallest letters that are good enough.", "mm", rare=True),
    Field("tracking", "tracking", "Extra space between letters: 1 is a capital's height.", number=True),
    Field("line_pitch", "line distance", "Distance from line to line: 2 is twice a capital's height.", number=True),
    Field(
        "surface_map",
        "on a taper",
        'Choose how letters lie on a taper. A ring closes at all heights only if you choose "with the taper".',
        options=("with-taper", "true-width", "label", "front-view"),
        rare=True,
    ),
    Field("read_at", "reading distance", "From how far away the words must be readable.", "mm", rare=True),
)

LETTERS: Final = Group("letters", "Letters", _LETTERS_FIELDS, open=True)

_PLACE_FIELDS: Final = (
    Field(
        "start",
        "start angle",
        "Angle from the part's front to where a ring's words begin, or to the middle of other words. On an end "
        "face: clockwise from its top.",
        "rad",
    ),
    Field(
        "gap",
        "gap",
        "Space between the end of a ring and its beginning. Empty: the words go all the way round.",
        "mm",
        only=("around", "ring"),
    ),
    Field("arc", "arc", "The most degrees that an arc, or a circle on an end face, can take up.", "rad", rare=True),
    Field("margin", "margin", "Margin to leave free on all sides.", "mm"),
    Field("from", "usable from", "The lowest height that you allow for words. Empty: the whole item.", "mm"),
    Field("to", "usable to", "The greatest height that you allow for words.", "mm"),
    Field("chamfer", "chamfer", "Length to leave free at each end of the item.", "mm"),
    Field(
        "lengthwise", "lengthwise", "Choose yes for words along the flats.", options=YES_NO, only=("around", "flats")
    ),
    Field(
        "corner_radius",
        "corner radius",
        "Radius of rounded corners: measure with a radius gauge.",
        "mm",
        only=("around", "flats"),
    ),
    Field(
        "across_corners",
        "across corners",
        "Measure over the corners, if they are turned down.",
        "mm",
        only=("around", "flats"),
    ),
    Field("end_diameter", "end face", "Measure across the flat part of the end face.", "mm", only=("around", "end")),
    Field("bore", "bore", "Diameter of a hole in the end face.", "mm", only=("around", "end")),
)

PLACE: Final = Group("place", "Place", _PLACE_FIELDS)

_DEPTH_FIELDS: Final = fields_of(
    "depth",
    Field("wanted", "depth wanted", "How deep to cut the words. Empty: as deep as the job's own passes go.", "um"),
    Field(
        "passes",
        "measured after",
        "How many passes you ran on a trial. F4 saves this number with the depth below.",
        number=True,
    ),
    Field("gauged", "depth there", "The depth that you read on the gauge after these passes.", "um"),
    Field("resolution", "gauge step", "The finest step of the gauge.", "um"),
    Field(
        "strike",
        "ignore reading",
        "Number of a saved reading. F4 ignores this reading, or uses it again.",
        number=True,
    ),
)

DEPTH: Final = Group("depth", "Depth in bare metal", _DEPTH_FIELDS)

_FILES_FIELDS: Final = fields_of(
    "write",
    Field("folder", "into folder", "The folder that F5 writes into. For a list name a new folder.", width=26),
    Field("list", "list (CSV)", "A file of names, one for each part. Empty: this inscription alone.", width=26),
    Field("column", "column", "The heading of the column that holds the names."),
    Field("numbers", "or numbers", "Serial numbers in place of a list, such as 1-250."),
    Field("digits", "digits", "How many digits, filled with zeros: 3 gives 001.", number=True, usual="1", rare=True),
    Field(
        "each",
        "sizes differ",
        "Choose yes to make each entry as large as fits, not all the same size.",
        options=YES_NO,
    ),
)

FILES: Final = Group("files", "Files", _FILES_FIELDS)

INSCRIPTION: Final = with_defaults((WORDS, LETTERS, PLACE, DEPTH, FILES), "inscription.")
