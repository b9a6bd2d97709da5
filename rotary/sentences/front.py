"""What goes with the picture from the front."""

from math import degrees
from typing import Final

from rotary.item import Item

DRAWING: Final = "This is a drawing, not a photograph."
DRAWING_SHORT: Final = "a drawing"


def front_text(item: Item, looked_from_rad: float, in_sight: float, is_frame: bool, has_handle: bool) -> str:
    """From where it is looked at, which share of what is marked is in sight, and what of it nobody said."""
    aside = degrees(looked_from_rad)
    where = f"Seen from where the artwork is, {abs(aside):.0f}° to the {'right' if aside > 0 else 'left'} of the front."
    parts = [
        DRAWING,
        *([where] if round(aside) else []),
        *(["No artwork yet: you see its frame."] if is_frame else []),
        *([f"{100 * in_sight:.0f} % of the artwork is in sight."] if in_sight < 0.995 else []),
        *(["You entered no colour for the coating: it is drawn grey."] if item.coating and not item.colour else []),
        *(["You entered no shape for the handle: it is drawn as a loop."] if has_handle else []),
    ]
    return " ".join(parts)
