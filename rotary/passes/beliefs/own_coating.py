"""A person's own coating, from what anybody can see: its colour, its kind, and its thickness if measured.

``coating = "dark paint"`` and ``coating_thickness = "40 um"`` are enough. What is seen sets the
middle of each belief, and because no more is known every range is wider than that of a shipped table.
"""

from typing import Final

from rotary.passes.beliefs.belief import Belief

COLOURS: Final = {
    "dark": "polyester-powder-dark",
    "light": "polyester-powder-light",
    "metallic": "polyester-powder-metallic",
    "clear": "polyester-powder-light",
}
"""What a colour says of how the light is taken up, as the shipped table to start from."""

KINDS: Final = {
    "powder": ("powder coat", (50.0, 75.0, 130.0), "powder coat of unknown resin: aldehydes and fine dust"),
    "paint": ("paint", (15.0, 40.0, 100.0), "unknown paint: solvents, isocyanates and metal pigments may be in it"),
    "lacquer": ("lacquer", (6.0, 20.0, 50.0), "unknown lacquer: nitrocellulose or acrylic, it catches fire easily"),
}
"""What a kind is called, how thick it usually is (estimate), and what it may give off."""

_WIDER: Final = 1.35
_MECHANISM: Final = ("threshold_j_cm2", "depth_um", "energy_j_mm3", "lift_off_j_cm2", "residual_share")


def own_words(name: str) -> tuple[str, str] | None:
    """Colour and kind that a name says, such as "dark paint"; None where it says none.

    >>> own_words("Dark  paint"), own_words("polyester-powder-dark")
    (('dark', 'paint'), None)
    """
    words = name.casefold().split()
    if len(words) == 2 and words[0] in COLOURS and words[1] in KINDS:
        return words[0], words[1]
    return None


def changed(colour: str, kind: str, beliefs: dict[str, Belief]) -> dict[str, object]:
    """The fields of the shipped table's that an own coating has otherwise."""
    says, (low, middle, high), fume = KINDS[kind]
    why = f"estimate: your own coating, {colour} {kind}, with a wider range than rotary's own"
    fields: dict[str, object] = {
        "says": f"{colour} {says}, your own, known only by colour and kind",
        "fume": fume,
        "bleached": False,
        "thickness_um": Belief(low=low, central=middle, high=high, source="estimate: usual range"),
    }
    for name in _MECHANISM:
        was = beliefs[name]
        top = 0.9 if name == "residual_share" else float("inf")
        fields[name] = Belief(
            low=was.low / _WIDER, central=was.central, high=min(was.high * _WIDER, top), source=f"{why}; {was.source}"
        )
    if colour == "clear":
        fields["lift_off_share"] = 0.85
        fields["lift_off_share_source"] = "estimate: a clear coat lets nearly all the light through to the metal"
    if kind != "powder":
        # Cut with a thin layer, the difference between thick and thin places is smaller too.
        fields["uneven_um"] = Belief(low=2.0, central=6.0, high=20.0, source="estimate: brushed or sprayed on")
    return fields
