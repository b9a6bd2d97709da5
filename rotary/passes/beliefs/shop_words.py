"""What a shop calls metals and coatings, and what is said to a name that nothing is known by."""

from collections.abc import Iterable
from typing import Final

from rotary.errors import Fault, brief, listing, nearest_name

_SHOP_WORDS: Final = {
    "steel": ("stainless-304", "mild-steel"), "inox": ("stainless",), "ss": ("stainless",), "iron": ("mild-steel",),
    "stainless-steel": ("stainless",), "aluminum": ("aluminium",), "alu": ("aluminium",), "ms": ("mild-steel",),
    "anodized": ("anodised",), "anodising": ("anodised",), "anodizing": ("anodised",), "pvc": ("vinyl",),
    "ptfe": ("nonstick",), "non-stick": ("nonstick",), "powder-coating": ("powder",), "powder-coat": ("powder",),
    "powdercoat": ("powder",), "powder-coated": ("powder",), "powdercoated": ("powder",),
    "painted": ("paint",), "ceramic-coating": ("ceramic",), "ceramic-coat": ("ceramic",),
    "ecoat": ("e-coat",), "electrocoat": ("e-coat",), "electro-coat": ("e-coat",), "cathodic-paint": ("e-coat",),
    "pvd-coating": ("pvd",), "titanium-nitride": ("pvd",),
}  # fmt: skip
"""What a shop says for short or spells otherwise, and parts of the names that it may mean."""


def unknown_substance(what: str, word: str, names: Iterable[str], own: str) -> Fault:
    """What is wrong with a name that nothing is known by: what a shop may mean by it, else all there is."""
    said = "-".join(word.casefold().replace("-", " ").split())
    parts = _SHOP_WORDS.get(said, (said,))
    every = list(names)
    likely = [name for name in every if said and any(part in name for part in parts)]
    likely = likely or [name for name in [nearest_name(word, every)] if name]
    says = f"did you mean {listing(likely, 'or')}?" if likely else f"write one of {', '.join(every)}{own}"
    return Fault(f"item.{what}", f'"{brief(word)}" is not a {what} that rotary knows: {says}')
