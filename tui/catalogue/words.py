"""What a person calls each thing that can be chosen; the key is the field's dotted name, or its last part."""

from typing import Final

from rotary.finishes import COATINGS, METALS
from rotary.machine.quantities import CHANGES
from tui.form.fields import Field

_NEVER: Final = "NEVER mark it"

WORDS: Final[dict[str, dict[str, str]]] = {
    "coating": {
        **COATINGS,
        "fluoropolymer-nonstick": f"non-stick: {_NEVER}",
        "vinyl": f"vinyl: {_NEVER}",
        "own": "another coating, by its look",
        "none": "none, bare metal",
    },
    "metal": METALS,
    "use_laser": {
        "own": "your own",
        "fibre-30w-160": "example, 30 W, 160 mm",
        "fibre-60w-254": "example, 60 W, 254 mm",
    },
    "change": CHANGES,
    "kind": {"rollers": "rollers", "chuck": "chuck"},
    "heights_from": {"base": "base, or end 1", "rim": "rim, or end 2"},
    "controller_field": {
        "item-diameter": "diameter of the item",
        "roller-diameter": "diameter of the roller",
        "steps-only": "steps only",
        "degrees": "degrees",
    },
    "levelled": {"default": "rollers yes, chuck no"},
    "lens": {"default": "usual: f-theta", "f-theta": "f-theta"},
    "field_axis": {"default": "usual: y"},
    "rim_towards": {"default": "usual: plus"},
    "material": {"default": "not known"},
    "unit": {"default": "as in the file"},
    "motor": {"two-phase": "two-phase", "three-phase": "three-phase", "closed-loop": "closed-loop"},
    "rounding": {
        "each-index": "each slice by itself",
        "absolute": "counted from the start",
        "truncate": "rounded down",
    },
    "surface_map": {
        "true-width": "true width",
        "with-taper": "with the taper",
        "label": "like a label",
        "front-view": "as seen from the front",
    },
    "method": {"auto": "automatic", "sliced": "sliced file", "flat": "flat file"},
    "face": {
        "outline": "filled letters",
        "line-sans": "single strokes, plain",
        "line-roman": "single strokes, serif",
        "line-script": "single strokes, script",
    },
}


def words_of(field: Field, option: str) -> str:
    """An option as a person says it; a name of the person's own stays as it is.

    >>> words_of(Field("item.metal", "metal", ""), "carbon-steel-1095")
    'carbon steel 1095'
    """
    named = WORDS.get(field.key.rpartition(".")[2], {})
    return named.get(option, option.replace("-", " ") if field.options else option)
