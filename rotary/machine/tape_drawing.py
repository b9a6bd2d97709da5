"""How a paper tape is drawn: at true size, with a frame to write the reading in."""

from typing import Any, Final

import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import rings_from_shapely
from rotary.laser import LaserAndLens
from rotary.machine.glyphs import number, stroke
from rotary.sheet.pages import in_field, page_in_field
from rotary.sheet.svg import drawing

LINE_MM: Final = 0.1
FRAME_MM: Final = (14.0, 6.0)
"""Wide and high enough for a figure with a fine pen."""


def tape_svg(
    width: float,
    height: float,
    shapes: list[Any],
    title: str,
    steps: dict[str, list[Any]] | None = None,
    lies: LaserAndLens | None = None,
) -> str:
    """A drawing with a frame under it to write the reading in; `steps` are marked one by one, each its own path.

    What belongs on the item is turned the way that it `lies`, as its artwork is.
    """
    frame = shapely.box(-FRAME_MM[0] / 2, -height / 2 - FRAME_MM[1], FRAME_MM[0] / 2, -height / 2)
    parts = {"tape": shapes, **(steps or {}), "write-here": [frame.exterior.buffer(LINE_MM / 2, join_style="mitre")]}
    rings = {
        name: rings_from_shapely(shapely.union_all(drawn, grid_size=1e-6)) for name, drawn in parts.items() if drawn
    }
    about = f"{title}, true size, never scale, mark it on paper tape, write what you read in the frame"
    page = max(width, FRAME_MM[0] + 1), height + 2 * FRAME_MM[1] + 2
    if lies is not None:
        page = page_in_field(*page, lies.field_axis)
        rings = {name: in_field(ink, lies.field_axis, lies.rim_towards) for name, ink in rings.items()}
    return drawing(*page, rings, title, about, ticks=False)


def l_shape(long: float) -> list[Any]:
    """A long line along X and one along Y through the middle, each with short end marks, an X and a Y beside them."""
    half = long / 2
    shapes = [stroke(-half, 0, half, 0), stroke(0, -half, 0, half)]
    for end in (-half, half):
        shapes += [stroke(end, -1.5, end, 1.5), stroke(-1.5, end, 1.5, end)]
    return shapes + number("X", half - 4, 2.5, 3, LINE_MM) + number("Y", 4, half - 4, 3, LINE_MM)
