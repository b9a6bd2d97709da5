"""Patterns: a drawing that is laid as tiles over a shape, within its border."""

from math import ceil, floor
from typing import TYPE_CHECKING, Final

from rotary.artwork.outline import bounds
from rotary.artwork.svg.affine import SAME, Affine, Box, affine_from_text, after, inverse, moved_by
from rotary.artwork.svg.lengths import px_from_text
from rotary.artwork.svg.paint import linked_chain, linked_value
from rotary.artwork.svg.regions import CUT_COST
from rotary.artwork.svg.scene import Clip, Layer, Painted
from rotary.artwork.svg.tree import Node

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

MOST_TILES: Final = 3_000
"""More of them on one shape are too fine to be marked."""


def draw_tiles(walk: "Walk", node: Node, area: Painted, place: "SvgPlace", box: Box | None, opacity: float) -> bool:
    """Lay a pattern over an area; False where that would take too many tiles. `box` is the extent of the shape."""
    chain = linked_chain(walk.document, node, {"pattern"})
    by_box = linked_value(chain, "patternUnits", "objectBoundingBox") != "userSpaceOnUse"
    content_by_box = linked_value(chain, "patternContentUnits", "userSpaceOnUse") == "objectBoundingBox"
    bearer = next((each for each in chain if any(each.children())), None)
    if bearer is None or id(bearer) in place.using:
        return True
    if (by_box or content_by_box) and (box is None or box[2] <= 0 or box[3] <= 0):
        return True
    own = affine_from_text(linked_value(chain, "patternTransform", "")) or SAME
    tile = _tile(chain, place, box if by_box else None)
    if tile is None or own[0] * own[3] == own[1] * own[2]:
        return True
    steps = _steps(area, after(inverse(own), inverse(place.affine)), tile)
    if steps is None:
        return False
    style = walk.document.style_in_place(bearer)
    inside = place._replace(
        style=style,
        clips=(*place.clips, Clip((area,))),
        layers=(*place.layers, Layer(opacity)) if opacity < 1 else place.layers,
        using=(*place.using, id(bearer)),
    )
    scale = SAME
    if content_by_box and box is not None and "viewBox" not in _attributes(chain):
        scale = (box[2], 0.0, 0.0, box[3], 0.0, 0.0)
    frame = Node("svg", _attributes(chain), None)
    for x, y in steps:
        walk.document.ledger.spend(CUT_COST)
        there = inside._replace(affine=after(place.affine, after(own, moved_by(x, y))))
        port = walk.port(frame, there, (0.0, 0.0, tile[2], tile[3]))
        walk.visit_children(bearer, port._replace(affine=after(port.affine, scale)))
    return True


def _attributes(chain: list[Node]) -> dict[str, str]:
    """How the viewBox of a pattern is laid into its tiles."""
    return {name: text for name in ("viewBox", "preserveAspectRatio") if (text := linked_value(chain, name, ""))}


def _tile(chain: list[Node], place: "SvgPlace", box: Box | None) -> Box | None:
    """x, y, width, height of one tile; None where it has no area."""
    whole = (place.view_w, place.view_h) if box is None else (1.0, 1.0)
    x, y, width, height = (
        px_from_text(linked_value(chain, name, "0"), whole[k % 2], place.style.font_px, 0.0)
        for k, name in enumerate(("x", "y", "width", "height"))
    )
    if box is not None:
        x, y, width, height = box[0] + x * box[2], box[1] + y * box[3], width * box[2], height * box[3]
    return (x, y, width, height) if width > 0 and height > 0 else None


def _steps(area: Painted, to_tiles: Affine, tile: Box) -> list[tuple[float, float]] | None:
    """The corners of all tiles that an area may meet; None where they are too many."""
    extent = bounds(area.outline, after(to_tiles, area.affine))
    if extent is None:
        return []
    reach = area.stroke.pen.width * area.stroke.pen.miter_limit if area.stroke else 0.0
    x, y, width, height = tile
    columns = floor((extent[0] - reach - x) / width), ceil((extent[2] + reach - x) / width)
    rows = floor((extent[1] - reach - y) / height), ceil((extent[3] + reach - y) / height)
    if not (columns[1] - columns[0]) * (rows[1] - rows[0]) <= MOST_TILES:
        return None
    return [(x + i * width, y + k * height) for k in range(*rows) for i in range(*columns)]
