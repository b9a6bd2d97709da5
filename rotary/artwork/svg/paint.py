"""What an element is painted with. A gradient counts as its mean tone, a pattern as grey: both are said."""

import re
from typing import Final

from rotary.artwork.stroke import Pen
from rotary.artwork.svg.document import Document
from rotary.artwork.svg.lengths import number, px_from_text, share
from rotary.artwork.svg.scene import Stroke
from rotary.artwork.svg.style import Style
from rotary.artwork.svg.tree import Node
from rotary.colours import BLACK, GREY, Colour, colour_from_text

_HALF: Final = 0.5  # where dark ends and light begins, for deciding whether a mean tone hides something


def paint_of(
    document: Document, style: Style, use: str, inherited: dict[str, Colour | None], opacity: float
) -> Colour | None:
    """The colour for `use` ("fill" or "stroke"); None where nothing is painted.

    `inherited` holds what `context-fill` and `context-stroke` stand for.
    """
    text = style.get(use, "black" if use == "fill" else "none")
    if text == "none":
        return None
    if text in inherited:
        return inherited[text]
    current = colour_from_text(style.get("color", "black")) or BLACK
    if text.startswith("url("):
        colour = _server(document, style, text, current)
    else:
        colour = colour_from_text(text, current) or (BLACK if use == "fill" else None)
    return colour.faded(share(style.get(f"{use}-opacity")) * opacity) if colour else None


def _server(document: Document, style: Style, text: str, current: Colour) -> Colour | None:
    node, instead = document.referred(text)
    if node is not None and node.tag in ("linearGradient", "radialGradient"):
        return _mean_tone(document, node, style)
    if node is not None and node.tag == "pattern":
        document.ledger.unread("pattern", "it counts as grey; draw its parts as shapes")
        return GREY
    return colour_from_text(instead, current) if instead and instead != "none" else None


def _mean_tone(document: Document, node: Node, style: Style) -> Colour | None:
    """The mean over the gradient's course; said where some of it is dark and some light."""
    colours, places = [], [0.0]
    for stop in _stops(document, node):
        of_stop = document.style(stop, style)
        current = colour_from_text(of_stop.get("color", "black")) or BLACK
        colour = colour_from_text(of_stop.get("stop-color", "black"), current) or BLACK
        colours.append(colour.faded(share(of_stop.get("stop-opacity"))))
        places.append(max(places[-1], share(stop.attributes.get("offset", "0"), 0.0)))
    if not colours:
        return None
    over_white = [1 - colour.alpha * (1 - colour.luminance()) for colour in colours]
    if min(over_white) < _HALF <= max(over_white):
        document.ledger.unread("gradient", "it counts as its mean tone; replace it by black and white areas")
    colours = [colours[0], *colours, colours[-1]]
    widths = [b - a for a, b in zip(places, [*places[1:], 1.0], strict=True)]
    pairs = list(zip(widths, colours[:-1], colours[1:], strict=True))
    return Colour(*(sum(width * (a[k] + b[k]) / 2 for width, a, b in pairs) for k in range(4)))


def _stops(document: Document, node: Node) -> list[Node]:
    """A gradient's stops, or those of the one that it refers to."""
    seen: set[int] = set()
    following: Node | None = node
    while following is not None and id(following) not in seen:
        seen.add(id(following))
        if stops := [child for child in following.children() if child.tag == "stop"]:
            return stops
        following = document.linked(following)
    return []


def stroke_of(colour: Colour, style: Style, path_length: str | None, view_diagonal: float) -> Stroke | None:
    """How an element is stroked; None where the stroke has no width."""
    em = style.font_px
    width = px_from_text(style.get("stroke-width"), view_diagonal, em, 1.0)
    limit = number(style.get("stroke-miterlimit"), 4.0)
    if width <= 0 or limit < 1:
        return None
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
    return Stroke(colour, pen, length if length > 0 else None, fixed)


def _dashes(text: str, view_diagonal: float, em: float) -> tuple[float, ...]:
    if text == "none":
        return ()
    lengths = [px_from_text(part, view_diagonal, em, -1.0) for part in re.split(r"[\s,]+", text.strip()) if part]
    if not lengths or min(lengths) < 0 or sum(lengths) <= 0:
        return ()
    return tuple(lengths if len(lengths) % 2 == 0 else 2 * lengths)
