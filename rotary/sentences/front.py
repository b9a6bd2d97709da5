"""What goes with the picture from the front."""

from math import degrees
from typing import TYPE_CHECKING, Final

from rotary.item import Item

if TYPE_CHECKING:
    from typing import Protocol

    class _Looked(Protocol):
        looked_from_rad: float
        in_sight: float


DRAWING: Final = "This is a drawing, not a photograph."


def front_text(scene: "_Looked", item: Item, has_no_artwork: bool) -> str:
    """How it is looked at, and what of it nobody said."""
    aside = degrees(scene.looked_from_rad)
    where = f"Looked at {abs(aside):.0f}° to the {'right' if aside > 0 else 'left'} of the front, where the artwork is."
    parts = [
        DRAWING,
        *([where] if round(aside) else []),
        *(["No artwork yet: its frame is drawn."] if has_no_artwork else []),
        *([f"{100 * scene.in_sight:.0f} % of the artwork is in sight."] if scene.in_sight < 0.995 else []),
        *(["The coating's colour is not entered: drawn grey."] if item.coating and not item.colour else []),
        *(["The handle's own form is not known: drawn as a loop."] if item.handle else []),
    ]
    return " ".join(parts)
