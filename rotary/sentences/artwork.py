"""How the artwork lies on the item, in one line."""

from typing import Final

from rotary.actions.models import Distortion
from rotary.units import text_from_value

ALL_SEEN: Final = 0.995
"""More than this share is called all of it."""


def distortion_text(lies: Distortion, system: str = "mm") -> str:
    """The figures in one line, such as "70 mm wide, 101° round at most, stretched 0.98 to 1.02, all seen ..."."""
    low, high = f"{lies.stretch_low:.2f}", f"{lies.stretch_high:.2f}"
    seen = "all" if lies.visible_share >= ALL_SEEN else f"{100 * lies.visible_share:.0f} %"
    parts = (
        f"{text_from_value(lies.width_mm, 'mm', system, digits=3)} wide",
        "all round" if lies.ring else f"{lies.angle_deg:.0f}° round at most",
        "not stretched" if low == high == "1.00" else f"stretched {low} to {high}",
        f"{seen} seen from the front",
    )
    return ", ".join(parts)
