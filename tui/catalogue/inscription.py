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
            "Type a name, a date or a number. If you have a list of names, type {name} where each name goes. {date} "
            "becomes today's date.",
            width=32,
            lines=True,
        ),
    ),
)

FLATS: Final = Table(
    "more",
    "words on the other flats, one per flat",
    "flat",
    (
        Field(
            "text", "text", "Type the words for the next flat. Type \\n where a new line begins.", width=32, lines=True
        ),
    ),
    only=("around", "flats"),
)

_WORDS_FIELDS: Final = (
    LINES,
    Field(
        "around",
        "where",
        "Choose where the words go: all round (ring), part of the way (arc), lengthwise (axis), on flats, or in a "
        "circle on the end face (end).",
        options=("ring", "arc", "axis", "flats", "end"),
    ),
    FLATS,
    Field("repeat", "repeated", "How many copies of the words to cut, evenly spaced.", number=True),
    Field(
        "between", "between", "Type what goes between two copies of the words on a ring.", rare=True, usual="a space"
    ),
)

WORDS: Final = Group("words", "Words", _WORDS_FIELDS, open=True)

_LETTERS_FIELDS: Final = (
    Field(
        "face",
        "face",
        "Choose filled letters of a font, or letters made of single strokes for fine detail.",
        options=("outline", "line-sans", "line-roman", "line-script"),
    ),
    Field(
        "font",
        "font file",
        "Type the name of your own TTF or OTF file. Empty: the font that comes with rotary.",
        width=24,
    ),
    Field("weight", "weight", "How bold filled letters are: 400 is plain, 700 bold.", number=True),
    Field("italic", "slanted", "Choose yes for slanted letters.", options=YES_NO, rare=True),
    Field(
        "stroke",
        "stroke",
        "How thick single strokes are: 0.1 is a tenth of a capital's height.",
        number=True,
        rare=True,
    ),
    Field(
        "letter_height",
        "height at most",
        "The greatest height of a capital that you want. Empty: as large as fits.",
        "mm",
    ),
    Field("least_height", "height at least", "The smallest height of a capital that you accept.", "mm", rare=True),
    Field(
        "tracking",
        "letter spacing",
        "Extra space between letters: 1 adds a capital's height, 0.1 adds a tenth of that.",
        number=True,
    ),
    Field(
        "line_pitch",
        "line distance",
        "Distance from one line of words to the next: 2 is twice a capital's height.",
        number=True,
    ),
    Field(
        "surface_map",
        "on a taper",
        'Choose how letters lie on a taper. A ring closes at all heights only if you choose "with the taper".',
        options=("with-taper", "true-width", "label", "front-view"),
        rare=True,
    ),
    Field("read_at", "reading distance", "The distance from which people have to read the words.", "mm", rare=True),
)

LETTERS: Final = Group("letters", "Letters", _LETTERS_FIELDS, open=True)

_PLACE_FIELDS: Final = (
    Field(
        "start",
        "start angle",
        "Angle from the item's front to where the words of a ring begin, or to the middle of other words: + to the "
        "right when the rim is up. On an end face: clockwise from the top.",
        "rad",
    ),
    Field(
        "gap",
        "gap",
        "Space to leave on a ring between the end of the words and their beginning. Empty: the words go all "
        "the way round.",
        "mm",
        only=("around", "ring"),
    ),
    Field(
        "arc",
        "arc",
        "How many degrees of a full turn the words can take up at most, on an arc or on an end face.",
        "rad",
        rare=True,
    ),
    Field("margin", "margin", "How much space to leave free on all sides of the words.", "mm"),
    Field("from", "usable from", "The lowest height where words can go. Empty: from the lower end of the item.", "mm"),
    Field("to", "usable to", "The greatest height where words can go. Empty: to the upper end of the item.", "mm"),
    Field("chamfer", "chamfer", "How much of the length to leave free at each end of the item.", "mm"),
    Field(
        "lengthwise",
        "lengthwise",
        "Choose yes to cut the words along the flats, in the direction of the axis.",
        options=YES_NO,
        only=("around", "flats"),
    ),
    Field(
        "corner_radius",
        "corner radius",
        "If the corners are rounded: measure their radius with a radius gauge.",
        "mm",
        only=("around", "flats"),
    ),
    Field(
        "across_corners",
        "across corners",
        "If the corners are turned off on a lathe: measure from one corner to the opposite corner.",
        "mm",
        only=("around", "flats"),
    ),
    Field("end_diameter", "end face", "Measure across the flat part of the end face.", "mm", only=("around", "end")),
    Field(
        "bore", "bore", "If the end face has a hole: measure the diameter of the hole.", "mm", only=("around", "end")
    ),
)

PLACE: Final = Group("place", "Place", _PLACE_FIELDS)

_DEPTH_FIELDS: Final = fields_of(
    "depth",
    Field(
        "wanted",
        "depth wanted",
        "How deep you want to cut the words. Empty: as deep as this job's passes cut.",
        "um",
    ),
    Field(
        "passes",
        "trial passes",
        "How many passes you marked on a scrap. F4 saves this number with the depth below.",
        number=True,
    ),
    Field("gauged", "depth measured", "The depth that you read on the gauge after these passes.", "um"),
    Field("resolution", "gauge step", "The smallest step that the gauge shows.", "um"),
    Field(
        "strike",
        "ignore reading",
        "Type the number of a saved reading that is wrong. F4 then ignores this reading, or uses it again.",
        number=True,
    ),
)

DEPTH: Final = Group("depth", "Depth in bare metal", _DEPTH_FIELDS)

_FILES_FIELDS: Final = fields_of(
    "write",
    Field("folder", "into folder", "The folder that F5 writes into. For a list type a new folder.", width=26),
    Field("list", "list (CSV)", "A file of names, one for each part. Empty: only the words above.", width=26),
    Field("column", "column", "The heading of the column that holds the names."),
    Field("numbers", "or numbers", "Type serial numbers, such as 1-250, if you have no list."),
    Field(
        "digits",
        "digits",
        "How many digits each number has, with zeros in front: 3 gives 001.",
        number=True,
        usual="1",
        rare=True,
    ),
    Field(
        "each",
        "sizes differ",
        "Choose yes to make each name as large as fits. Choose no to give all names the same size.",
        options=YES_NO,
    ),
)

FILES: Final = Group("files", "Files", _FILES_FIELDS)

INSCRIPTION: Final = with_defaults((WORDS, LETTERS, PLACE, DEPTH, FILES), "inscription.")
