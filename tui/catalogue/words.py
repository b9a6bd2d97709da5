"""What a person calls each thing that can be chosen; the key is the field's dotted name, or its last part."""

from typing import Final

from rotary.rig.quantities import CHANGES
from tui.form.fields import Field

_NEVER: Final = "NEVER mark it"

WORDS: Final[dict[str, dict[str, str]]] = {
    "coating": {
        "polyester-powder-dark": "powder coat, dark",
        "polyester-powder-light": "powder coat, light",
        "polyester-powder-metallic": "powder coat, metallic",
        "epoxy-powder": "epoxy powder coat",
        "epoxy-polyester-powder": "epoxy-polyester powder coat",
        "e-coat": "e-coat, thin and even",
        "ceramic-filled-paint": "ceramic-filled paint",
        "pvd-film": "PVD film",
        "air-dry-paint": "paint, air dried",
        "anodised-film": "anodised",
        "fluoropolymer-nonstick": f"non-stick: {_NEVER}",
        "vinyl": f"vinyl: {_NEVER}",
        "own": "another, by its looks",
        "none": "none, bare metal",
    },
    "metal": {
        "stainless-304": "stainless 304",
        "stainless-316": "stainless 316",
        "mild-steel": "mild steel",
        "carbon-steel-1095": "carbon steel 1095",
        "aluminium-6061": "aluminium 6061",
        "brass-c26000": "brass",
        "copper": "copper",
        "titanium-grade-5": "titanium grade 5",
    },
    "use_head": {
        "own": "your own",
        "fibre-30w-160": "example, 30 W, 160 mm",
        "fibre-60w-254": "example, 60 W, 254 mm",
    },
    "change": CHANGES,
    "kind": {"rollers": "rollers", "chuck": "chuck"},
    "datum": {"foot": "base, or end 1", "rim": "rim, or end 2"},
    "controller_field": {
        "item-diameter": "diameter of the item",
        "roller-diameter": "diameter of the roller",
        "steps-only": "steps alone",
        "degrees": "degrees",
    },
    "rounding": {
        "each-index": "each slice by itself",
        "absolute": "counted from the start",
        "truncate": "cut down",
    },
    "surface_map": {
        "true-width": "true width",
        "with-taper": "with the taper",
        "decal": "like a label",
        "front-view": "as seen from the front",
    },
    "method": {"auto": "as fits", "sheet": "slice by slice", "plain": "flat"},
    "face": {
        "outline": "with an outline",
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
