"""An SVG file as a whole: how large its page is, and what is painted on it."""

from collections.abc import Callable
from typing import NamedTuple

from rotary.artwork.svg.affine import SAME, fitted, view_box
from rotary.artwork.svg.document import Document
from rotary.artwork.svg.lengths import REAL_UNITS, px_from_text, share, unit_of
from rotary.artwork.svg.scene import Layer, Painted
from rotary.artwork.svg.style import DEFAULT_FONT_PX, Style
from rotary.artwork.svg.tree import Node
from rotary.artwork.svg.walk import SvgPlace, Walk
from rotary.artwork.work import FARTHEST, MOST_DEPTH, Ledger, refused

DEFAULT_PX = 100.0  # of a drawing that says nothing about its size


class Page(NamedTuple):
    """A page [user units] and what is painted on it, back to front.

    `size_stated` is whether the file gives its size in a unit of length.
    """

    width_px: float
    height_px: float
    size_stated: bool
    painted: tuple[Painted, ...]


def page_from_svg(
    data: bytes,
    ledger: Ledger,
    set_words: Callable[[Walk, Node, SvgPlace], None] | None = None,
) -> Page:
    """Read an SVG file; what can't be read is noted in the ledger. Raises Refused.

    >>> square = b'<svg width="10mm" height="10mm"><rect width="9" height="9"/></svg>'
    >>> page = page_from_svg(square, Ledger())
    >>> page.size_stated, len(page.painted)
    (True, 1)
    """
    document = Document(data, ledger, set_words)
    attributes = document.root.attributes
    view = view_box(attributes.get("viewBox"))
    width, height = (
        px_from_text(attributes.get(name), whole, DEFAULT_FONT_PX, whole)
        for name, whole in (("width", view[2] if view else DEFAULT_PX), ("height", view[3] if view else DEFAULT_PX))
    )
    if not (0 < width < FARTHEST and 0 < height < FARTHEST):
        raise refused(f"says that it is {width:g} by {height:g} units large: give it a width and height in mm")
    affine = fitted(view, attributes.get("preserveAspectRatio", ""), (0, 0, width, height)) if view else SAME
    style = document.style(document.root, Style({}))
    place = SvgPlace(affine, view[2] if view else width, view[3] if view else height, style)
    walk = Walk(document)
    if style.get("display") != "none":
        try:
            opacity = share(style.get("opacity"))
            walk.visit_children(document.root, place._replace(layers=(Layer(opacity),)) if opacity < 1 else place)
        except RecursionError:
            raise refused(f"nests its parts more than {MOST_DEPTH} deep: ungroup it and export it again") from None
    stated = all(unit_of(attributes.get(name)) in REAL_UNITS for name in ("width", "height"))
    return Page(width, height, stated, tuple(walk.painted))
