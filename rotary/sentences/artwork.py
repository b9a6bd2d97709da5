"""How the artwork lies on the item: in one line, and what has to be known of it."""

from typing import Final

from rotary.actions.models import Distortion
from rotary.artwork.models import Layout, LayoutNoteId
from rotary.units import text_from_value

ALL_SEEN: Final = 0.995
"""More than this share is called all of it."""

_SAYS: Final[dict[LayoutNoteId, str]] = {
    "ends_differ": (
        'Choose "with the taper" under "on a taper": then the artwork\'s two ends meet at every height. Now they '
        "{top_mm} at the top and {bottom_mm} at the bottom."
    ),
    "ends_miss": "The artwork goes all round, but its two ends {gap_mm}. Change its width, or accept this.",
    "follows_taper": (
        "The artwork follows the taper: {upper_mm:.4g} mm wide at the top, {lower_mm:.4g} mm wide at the bottom."
    ),
    "angles_off": "A square in your drawing comes out skewed: its corners are up to {off_deg:.2g}° off a right angle, "
    "most at the artwork's sides. Narrower artwork is less skewed.",
    "bowed": "Level lines in your drawing come out bowed: their ends lie {bow_mm:.2g} mm above or below their middle.",
    "from_front": "{percent:.0f} % of the artwork lies within 60° of its middle: the rest is hard to see from the "
    "front.",
    "on_flat": (
        "From flat to flat the item turns 1/{flats} of a turn, {turn_deg:.5g}°. A flat is {room_mm:.4g} mm wide "
        "between sharp corners. Real corners are rounded: measure the flat, and keep the artwork narrower than that."
    ),
    "on_weld": (
        "The weld line runs through the artwork, {beside_mm:.3g} mm to the {side} of the artwork's middle: leave "
        "{white_mm:g} mm white there, or turn the artwork away from the weld line."
    ),
}


def notes(layout: Layout) -> tuple[str, ...]:
    """What has to be known of how the artwork lies."""
    each = ((note.id, {name: _value(name, of) for name, of in note.values.items()}) for note in layout.notes)
    return tuple(_SAYS[name].format(**values) for name, values in each)


_GAPS: Final = ("top_mm", "bottom_mm", "gap_mm")


def _value(name: str, of: float | str) -> float | str:
    """A value as its sentence needs it: how far two ends miss each other is said in words."""
    if name not in _GAPS or isinstance(of, str):
        return of
    return f"stay {of:.3g} mm apart" if of >= 0 else f"overlap by {-of:.3g} mm"


def distortion_text(lies: Distortion, system: str = "mm") -> str:
    """The figures in one line, such as "70 mm wide, 101° round at most, stretched 0.98 to 1.02 times, all seen ..."."""
    low, high = f"{lies.stretch_low:.2f}", f"{lies.stretch_high:.2f}"
    seen = (
        "all"
        if lies.visible_share >= 1.0
        else "nearly all"
        if lies.visible_share >= ALL_SEEN
        else f"{100 * lies.visible_share:.0f} %"
    )
    parts = (
        f"{text_from_value(lies.width_mm, 'mm', system, digits=3)} wide",
        "all round" if lies.ring else f"{lies.angle_deg:.0f}° round the item",
        "not stretched" if low == high == "1.00" else f"stretched {low} to {high} times",
        f"{seen} of it within 60° of the artwork's middle",
    )
    return ", ".join(parts)
