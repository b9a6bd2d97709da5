"""What an element is painted with: a colour, a gradient; a pattern that can't be laid out counts as grey."""

import re
from collections.abc import Set
from math import isfinite
from typing import Final

from rotary.artwork.stroke import Pen
from rotary.artwork.svg.affine import SAME, Affine, Box, affine_from_text, after
from rotary.artwork.svg.document import Document
from rotary.artwork.svg.gradient import Gradient
from rotary.artwork.svg.lengths import number, px_from_text, share
from rotary.artwork.svg.scene import Paint, Stroke
from rotary.artwork.svg.style import Style
from rotary.artwork.svg.tree import Node
from rotary.artwork.work import FARTHEST
from rotary.colours import BLACK, GREY, Colour, colour_from_text

GRADIENTS: Final = {"linearGradient", "radialGradient"}
MOST_LINKS: Final = 40  # of gradients that refer to each other
STOP_COST: Final = 20
_NO_COLOUR: Final = {
    "fill": ("unknown colour", "it counts as black. Write the colour like #336699"),
    "stroke": ("line of an unknown colour", "it is left out. Write the colour like #336699"),
}
_HALF: Final = 0.5
_LINEAR: Final = {"x1": "0%", "y1": "0%", "x2": "100%", "y2": "0%"}
_RADIAL: Final = {"cx": "50%", "cy": "50%", "r": "50%", "fr": "0%"}


class Surface:
    """Where paint goes: the style in force, the transform to the page, the viewport, and the shape's own extent."""

    def __init__(self, style: Style, affine: Affine, view: tuple[float, float], box: Box | None) -> None:
        self.style, self.affine, self.view, self.box = style, affine, view, box


def paint_of(document: Document, surface: Surface, use: str, inherited: dict[str, Paint | None]) -> Paint | None:
    """The paint for `use` ("fill" or "stroke"); None where nothing is painted.

    `inherited` holds what `context-fill` and `context-stroke` stand for.
    """
    style = surface.style
    text = style.get(use, "black" if use == "fill" else "none")
    if text == "none":
        return None
    if text in inherited:
        return inherited[text]
    current = colour_from_text(style.get("color", "black")) or BLACK
    paint: Paint | None
    if text.startswith("url("):
        paint = _server(document, surface, text, current)
    else:
        paint = colour_from_text(text, current) or (BLACK if use == "fill" else None)
        if colour_from_text(text, current) is None:
            document.ledger.unread(*_NO_COLOUR[use])
    if paint is None:
        return None
    paint = paint.faded(share(style.get(f"{use}-opacity")))
    return None if isinstance(paint, Colour) and paint.alpha <= 0 else paint


def _server(document: Document, surface: Surface, text: str, current: Colour) -> Paint | None:
    node, instead = document.referred(text)
    if node is not None and node.tag in GRADIENTS:
        return _gradient(document, node, surface, instead, current)
    if node is not None and node.tag == "pattern":
        document.ledger.unread("pattern", "it is too fine to draw, so it counts as one grey. Draw its parts as shapes")
        return GREY
    if node is None and not instead:
        document.ledger.unread("paint that is not in the file", "it is left out. Paint the shape black or white")
    return colour_from_text(instead, current) if instead and instead != "none" else None


def _gradient(document: Document, node: Node, surface: Surface, instead: str, current: Colour) -> Paint | None:
    chain = linked_chain(document, node, GRADIENTS)
    colours, places = _course(document, chain)
    if not colours:
        return None
    if len(colours) == 1:
        return colours[0]
    own = _place(chain, surface)
    if own is None:
        # An extent of nothing has no gradient: the colour that is given in its place is used.
        return colour_from_text(instead, current) if instead and instead != "none" else None
    bright = [colour.luminance() for colour in colours]
    over_white = [1 - colour.alpha * (1 - light) for colour, light in zip(colours, bright, strict=True)]
    if min(over_white) < _HALF <= max(over_white):
        document.ledger.unread("gradient", "only its dark part is marked. Draw it as black and white areas")
    made = Gradient(tuple(places), tuple(bright), tuple(colour.alpha for colour in colours), *own)
    return colours[-1] if _is_flat(made) else made


def _is_flat(made: Gradient) -> bool:
    """A gradient without a length is as its last stop."""
    a, b, c, d, *_ = made.affine
    return a * d == b * c or (made.circles is not None and made.circles[5] <= 0)


def linked_chain(document: Document, node: Node, tags: Set[str]) -> list[Node]:
    """A gradient or pattern and those that it refers to for what it does not say."""
    chain: list[Node] = []
    following: Node | None = node
    while following is not None and following.tag in tags and len(chain) < MOST_LINKS:
        document.ledger.spend(1)
        chain.append(following)
        following = document.linked(following)
    return chain


def linked_value(chain: list[Node], name: str, otherwise: str) -> str:
    """What the first of a chain that has the attribute says."""
    return next((node.attributes[name] for node in chain if name in node.attributes), otherwise)


def _course(document: Document, chain: list[Node]) -> tuple[list[Colour], list[float]]:
    """The colours of the stops and where they stand."""
    for node in chain:
        stops = [child for child in node.children() if child.tag == "stop"]
        if stops:
            break
    else:
        return [], []
    above = document.style_in_place(node)
    colours: list[Colour] = []
    places: list[float] = []
    document.ledger.spend(STOP_COST * len(stops))
    for stop in stops:
        style = document.style(stop, above)
        current = colour_from_text(style.get("color", "black")) or BLACK
        colour = colour_from_text(style.get("stop-color", "black"), current)
        if colour is None:
            document.ledger.unread(*_NO_COLOUR["fill"])
            colour = BLACK
        colours.append(colour.faded(share(style.get("stop-opacity"))))
        places.append(max(places[-1] if places else 0.0, share(stop.attributes.get("offset", "0"), 0.0)))
    return colours, places


def _place(
    chain: list[Node], surface: Surface
) -> tuple[Affine, tuple[float, float, float, float, float, float] | None, str] | None:
    """The gradient's transform, its circles and its spread; None where the shape has no extent to lay it over."""
    by_box = linked_value(chain, "gradientUnits", "objectBoundingBox") != "userSpaceOnUse"
    affine, (wide, high) = surface.affine, surface.view
    if by_box:
        if surface.box is None or surface.box[2] <= 0 or surface.box[3] <= 0:
            return None
        x, y, width, height = surface.box
        affine, wide, high = after(affine, (width, 0.0, 0.0, height, x, y)), 1.0, 1.0
    text = linked_value(chain, "gradientTransform", "")
    affine = after(affine, (affine_from_text(text) or SAME) if text else SAME)
    if not max(map(abs, affine)) < FARTHEST:
        return None
    diagonal = ((wide * wide + high * high) / 2) ** 0.5

    def px(name: str, usual: str) -> float:
        whole = wide if name[-1] in "x12" and "x" in name else high if "y" in name else diagonal
        return px_from_text(linked_value(chain, name, usual), whole, surface.style.font_px, 0.0)

    spread = linked_value(chain, "spreadMethod", "pad")
    if chain[0].tag == "linearGradient":
        x1, y1, x2, y2 = (px(name, usual) for name, usual in _LINEAR.items())
        dx, dy = x2 - x1, y2 - y1
        return after(affine, (dx, dy, -dy, dx, x1, y1)), None, spread
    cx, cy, r, fr = (px(name, usual) for name, usual in _RADIAL.items())
    fx, fy = px("fx", linked_value(chain, "cx", "50%")), px("fy", linked_value(chain, "cy", "50%"))
    # A focus outside the outer circle is brought onto it, as SVG 1.1 asks.
    away = ((fx - cx) ** 2 + (fy - cy) ** 2) ** 0.5
    if isfinite(away) and away > 0.999 * r > 0:
        fx, fy = cx + (fx - cx) * 0.999 * r / away, cy + (fy - cy) * 0.999 * r / away
    return affine, (fx, fy, min(fr, r), cx, cy, r), spread


def stroke_of(paint: Paint, style: Style, path_length: str | None, view_diagonal: float) -> Stroke | None:
    """How an element is stroked; None where the stroke has no width."""
    em = style.font_px
    width = px_from_text(style.get("stroke-width"), view_diagonal, em, 1.0)
    if width <= 0:
        return None
    # Less than 1 is an error by SVG 1.1, which many drawings have; programs bevel there.
    limit = max(1.0, number(style.get("stroke-miterlimit"), 4.0))
    length = number(path_length, 0.0)
    pen = Pen(
        width,
        style.get("stroke-linecap", "butt"),
        style.get("stroke-linejoin", "miter"),
        limit,
        _dashes(style.get("stroke-dasharray", "none"), view_diagonal, em),
        px_from_text(style.get("stroke-dashoffset"), view_diagonal, em, 0.0),
    )
    fixed = style.get("vector-effect") == "non-scaling-stroke"
    return Stroke(paint, pen, length if length > 0 else None, fixed)


def _dashes(text: str, view_diagonal: float, em: float) -> tuple[float, ...]:
    if text == "none":
        return ()
    lengths = [px_from_text(part, view_diagonal, em, -1.0) for part in re.split(r"[\s,]+", text.strip()) if part]
    if not lengths or min(lengths) < 0 or sum(lengths) <= 0:
        return ()
    return tuple(lengths if len(lengths) % 2 == 0 else 2 * lengths)
