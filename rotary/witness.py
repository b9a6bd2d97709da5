"""Two witness ticks, planned into every job: what an item that was taken off is found again by."""

from typing import Final

from rotary.item import height_from_s_mm
from rotary.model import Model
from rotary.plan import Plan

CLEAR_MM: Final = 2.0
"""Witness ticks stand this far beyond the artwork's band, where the item has room."""


class WitnessTicks(Model):
    """Where the two witness ticks belong, heights from the item's datum, on the apex line of the middle slice."""

    foot_at_mm: float
    rim_at_mm: float
    apart_mm: float
    says: str


def _height(mm: float, system: str) -> str:
    return f"{mm / 25.4:.3f} in" if system == "in" else f"{mm:.1f} mm"


def witness_ticks(made: Plan, system: str = "mm") -> WitnessTicks:
    """Two ticks beyond the band's ends, as far apart as the item allows."""
    item, shape = made.job.item, made.shape
    low = max(made.layout.artwork_from_mm - CLEAR_MM, min(1.0, made.layout.artwork_from_mm))
    high = min(made.layout.artwork_to_mm + CLEAR_MM, max(shape.length_mm - 1.0, made.layout.artwork_to_mm))
    foot, rim = (height_from_s_mm(item, shape, s) for s in (low, high))
    return WitnessTicks(
        foot_at_mm=foot,
        rim_at_mm=rim,
        apart_mm=high - low,
        says=(
            "With the middle slice on top, bring the pointer to the field's middle line along the item. With a pen "
            f"draw two witness crosses on tape, under the pointer, {_height(foot, system)} and {_height(rim, system)} "
            f"from {item.end_words(item.heights_from)}. Leave the tape on until the job is done. If the item comes off "
            "earlier, put it back with the crosses on top. In the program move the pointer to where each cross was "
            "(the same two places in the field), then to the cross. Write down how far you moved it to the right (- to "
            f"the left), seen with {item.end_words('rim')} away from you, and towards {item.end_words('rim')} (- the "
            "other way)."
        ),
    )
