"""Pictures of a plan, to scale, in black and grey: what any printer shows, and what a screen shows as SVG.

=============  =====================================================================
``chart``      axes with round figures
``front``      what the item will look like
``views``      end view, side view, wall unrolled
``charts``     seams, focus budget, process window, temperature over the job
``forecast``   what a written file will do
=============  =====================================================================
"""

from collections.abc import Callable
from typing import Final

from rotary.artwork.rings import Rings
from rotary.errors import refuse
from rotary.papers.drawing import PaperPicture
from rotary.papers.sizes import Sizes
from rotary.passes.learning.window_map import WindowMap
from rotary.pictures.charts import budget, heat, seam_chart, window, window_of
from rotary.pictures.forecast import forecast_chart, forecast_page
from rotary.pictures.front_page import front_picture
from rotary.pictures.scene import MarkedInk
from rotary.pictures.views import end_view, side_view, unrolled
from rotary.plan import Plan

__all__ = ["NAMES", "forecast_chart", "forecast_page", "picture", "pictures", "window_of"]

_PLAIN: Final[dict[str, Callable[[Plan, Sizes, float, float], PaperPicture]]] = {
    "end-view": end_view,
    "side-view": side_view,
    "seams": seam_chart,
    "budget": budget,
    "heat": heat,
}
NAMES: Final = ("end-view", "side-view", "unrolled", "seams", "budget", "window", "heat")
"""Every picture of a plan, in the order of the flow; what the item will look like goes before them."""


def picture(
    plan: Plan,
    name: str,
    system: str = "mm",
    wide: float = 120.0,
    high: float = 80.0,
    rings: Rings | None = None,
    seen: WindowMap | None = None,
) -> PaperPicture:
    """One picture of a plan, so large [mm]; `seen` is the process window where readings have taught of it.

    Raises Refused where there is nothing to show.
    """
    sizes = Sizes(system)
    if name == "unrolled":
        return unrolled(plan, sizes, wide, high, rings)
    if name == "window":
        found = seen or window_of(plan)
        if found is None:
            says = (
                "there is no picture of settings that work: enter a coating that can be marked, and plan without "
                "--samples 0."
            )
            raise refuse("", says)
        return window(found, wide, high)
    return _PLAIN[name](plan, sizes, wide, high)


def pictures(
    ink: MarkedInk, system: str, wide: float, high: float, seen: WindowMap | None = None
) -> tuple[PaperPicture, ...]:
    """All pictures that the plan of what is marked has."""
    found = seen or window_of(ink.plan)
    has = [name for name in NAMES if name != "window" or found is not None]
    front = front_picture(ink, Sizes(system), (wide, high))
    return (front, *(picture(ink.plan, name, system, wide, high, ink.wall, found) for name in has))
