"""An SVG file as a whole: how large its page is, and what is painted on it."""

from collections.abc import Callable
from typing import NamedTuple

from rotary.artwork.svg.affine import SAME, fitted, view_box
from rotary.artwork.svg.document import Document
from rotary.artwork.svg.lengths import REAL_UNITS, px_from_text, unit_of
from rotary.artwork.svg.scene import Painted
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


def page_from_svg(data: bytes, ledger: Ledger, set_words: Callable[[Walk, Node, SvgPlace], None] | None = None) -> Page:
    """Read an SVG file; what can't be read is noted in the ledger. Raises Refused.

    >>> square = b'<svg width="10mm" height="10mm"><rect width="9" height="9"/></svg>'
    >>> page = page_from_svg(square, Ledger())
    >>> page.size_stated, len(page.painted)
    (True, 1)
    """
    document = Document(data, ledger, set_words)
    attributes = document.root.attributes
    view = view_box(attributes.get("viewBox"))
    whole = view[2:] if view else (DEFAULT_PX, DEFAULT_PX)
    sizes = tuple(attributes.get(name, "auto") for name in ("width", "height"))
    width, height = (px_from_text(size, px, DEFAULT_FONT_PX, None) for size, px in zip(sizes, whole, strict=True))
    # One of the two alone is of the view's shape.
    width, height = (
        width if width is not None else whole[0] * (height / whole[1] if view and height is not None else 1),
        height if height is not None else whole[1] * (width / whole[0] if view and width is not None else 1),
    )
    if not (0 < width < FARTHEST and 0 < height < FARTHEST):
        raise refused("has an impossible page size: give the page a width and height in mm")
    affine = fitted(view, attributes.get("preserveAspectRatio", ""), (0, 0, width, height)) if view else SAME
    style = document.style(document.root, Style({}))
    if style.get("transform", "none") != "none":
        ledger.unread(
            "turned or scaled page", "your programs may show it differently. Turn or scale the shapes instead"
        )
    place = SvgPlace(affine, view[2] if view else width, view[3] if view else height, style)
    walk = Walk(document)
    if style.get("display") != "none":
        try:
            inside = walk.entered(document.root, place, style)
            if inside is not None:
                walk.visit_children(document.root, inside)
        except RecursionError:
            raise refused(
                f"has more than {MOST_DEPTH} groups inside each other: ungroup it and export it again"
            ) from None
    units = {unit_of(size) for size in sizes if size != "auto" or not view} or {""}
    return Page(width, height, units <= REAL_UNITS, tuple(walk.painted))
