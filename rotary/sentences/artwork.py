"""How the artwork lies on the item, in one line and in the figures behind it."""

from math import degrees
from typing import Final

from rotary.artwork.models import Layout
from rotary.model import Model
from rotary.units import text_from_value

ALL_SEEN: Final = 0.995
"""More than this share is called all of it."""


class Distortion(Model):
    """How wide artwork lies on the wall at its middle, through how much of a turn at most, how much it is stretched.

    `stretch_low` and `stretch_high` are the least and the largest factor that a short line on it is stretched by,
    `seen_share` the share of its area within 60 degrees of its middle; `text` says all of it in one line.
    """

    width_mm: float
    angle_deg: float
    stretch_low: float
    stretch_high: float
    seen_share: float
    text: str


def distortion(layout: Layout, system: str = "mm") -> Distortion:
    """The figures and their line, such as "70 mm wide, 101° round at most, stretched 0.98 to 1.02, all seen ..."."""
    angle_deg = degrees(layout.total_angle_rad)
    low, high = f"{layout.stretch_min:.2f}", f"{layout.stretch_max:.2f}"
    seen = "all" if layout.seen_share >= ALL_SEEN else f"{100 * layout.seen_share:.0f} %"
    parts = (
        f"{text_from_value(layout.width_centre_mm, 'mm', system, digits=3)} wide",
        "all round" if layout.is_ring else f"{angle_deg:.0f}° round at most",
        "not stretched" if low == high == "1.00" else f"stretched {low} to {high}",
        f"{seen} seen from the front",
    )
    return Distortion(
        width_mm=layout.width_centre_mm,
        angle_deg=angle_deg,
        stretch_low=layout.stretch_min,
        stretch_high=layout.stretch_max,
        seen_share=layout.seen_share,
        text=", ".join(parts),
    )
