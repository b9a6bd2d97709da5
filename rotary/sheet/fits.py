"""Whether a drawing has the size that a plan was made for."""

from typing import Final

from rotary.artwork.layout import Artwork
from rotary.artwork.rings import Rings, bounds_mm
from rotary.errors import Fault, Refused, refuse

SIZE_SLACK_MM: Final = 0.05
"""A drawing may stick out of the size that the plan was made for by this: outlines, rounding."""

NOTHING_DARK: Final = ("artwork", "the artwork has no dark parts to mark: choose a drawing with dark parts.")
"""What is said where nothing would be marked."""


def refuse_misfit(rings: Rings, artwork: Artwork, closed: bool) -> None:
    """Raises Refused where there is no ink, or ink outside the artwork's frame.

    `rings` lie with the frame's middle at (0, 0). `closed`: the artwork goes all round, so that what reaches
    past the back comes in again on the other side.

    >>> from rotary.artwork.rings import rings_from_list
    >>> art = Artwork(name="bar", width_mm=10.0, height_mm=4.0, centre_mm=20.0)
    >>> refuse_misfit(rings_from_list([[(-5, -1), (5, -1), (5, 1), (-5, 1)]]), art, closed=False)
    """
    if len(rings.points_mm) == 0:
        raise refuse(*NOTHING_DARK)
    left, bottom, right, top = bounds_mm(rings)
    wide, high = 2 * max(-left, right), 2 * max(-bottom, top)
    asked = [("height", high, artwork.height_mm)]
    if not closed:
        asked.insert(0, ("width", wide, artwork.width_mm))
    faults = [
        Fault(
            f"artwork.{side}",
            f"all pieces together take up {has:.2f} mm, but the plan is for {plans:g} mm: move them closer to the "
            f"artwork's middle, or make the artwork's {side} {has:.2f} mm.",
        )
        for side, has, plans in asked
        if has > plans + SIZE_SLACK_MM
    ]
    if faults:
        raise Refused(faults)
