"""The walk over a drawing's elements, from back to front, which gathers what is painted."""

from collections.abc import Iterable
from math import sqrt
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.artwork.outline import Outline, bounds, mapped
from rotary.artwork.svg import markers, patterns, regions
from rotary.artwork.svg.affine import (
    SAME,
    Affine,
    Box,
    affine_from_text,
    after,
    fitted,
    largest_stretch,
    moved_by,
    view_box,
)
from rotary.artwork.svg.document import Document
from rotary.artwork.svg.lengths import px_from_text, share
from rotary.artwork.svg.paint import Surface, paint_of, stroke_of
from rotary.artwork.svg.scene import Clip, Layer, Paint, Painted
from rotary.artwork.svg.shapes import SHAPES, box_outline, outline_of_shape
from rotary.artwork.svg.style import Style
from rotary.artwork.svg.tree import Node
from rotary.artwork.work import FARTHEST, refused
from rotary.colours import BLACK

Mode = Literal["paint", "clip", "bounds"]

CONTAINERS: Final = frozenset({"g", "a", "svg", "use", "switch"})
DRAWN: Final = SHAPES | CONTAINERS | {"text", "image"}
ELEMENT_COST: Final = 34  # what an element is worth in segments, and finding out how far one reaches
EXTENT_COST: Final = 150
DEEPEST_USE: Final = 40
LANGUAGE: Final = "en"


class SvgPlace(NamedTuple):
    """What holds at one place of the walk."""

    affine: Affine
    view_w: float
    view_h: float
    style: Style
    clips: tuple[Clip, ...] = ()
    layers: tuple[Layer, ...] = ()
    using: tuple[int, ...] = ()
    context: dict[str, Paint | None] = {}  # noqa: RUF012  (never changed, only replaced)

    @property
    def diagonal(self) -> float:
        """What a percentage refers to that is neither along nor across."""
        return sqrt((self.view_w * self.view_w + self.view_h * self.view_h) / 2)


class Walk:
    """Gathers `painted`, in order. The mode says whether paint counts, or only the area, or only the extent."""

    def __init__(self, document: Document, mode: Mode = "paint") -> None:
        self.document = document
        self.mode: Mode = mode
        self.painted: list[Painted] = []

    def visit(self, node: Node, place: SvgPlace) -> None:
        """One element and all below it."""
        if not _passes(node):
            return
        if node.tag not in DRAWN:
            if node.tag == "foreignObject" and self.mode == "paint":
                self.document.ledger.unread("part in another format", "it is not marked. Convert it to paths")
            elif node.tag == "flowRoot" and self._shows_text(node, place):
                raise refused("has a text set in a frame, which can't be drawn: convert the text to paths")
            return
        # What is placed from elsewhere may be placed any number of times.
        self.document.ledger.spend(ELEMENT_COST * (2 if place.using else 1))
        style = self.document.style(node, place.style)
        if style.get("display") == "none":
            return
        here = self.entered(node, place, style)
        if here is None:
            return
        if node.tag in SHAPES:
            outline = outline_of_shape(node, style, here.view_w, here.view_h, self.document.ledger)
            if len(outline.commands) > 1:
                self.draw(outline, here, node)
        elif node.tag in ("g", "a"):
            self.visit_children(node, here)
        else:
            self._visit_other(node, here)

    def _shows_text(self, node: Node, place: SvgPlace) -> bool:
        hidden = self.document.style(node, place.style).get("display") == "none"
        return not hidden and any(each.text().strip() for each in node.everything())

    def visit_children(self, node: Node, place: SvgPlace) -> None:
        """All that stands in an element."""
        for child in node.content:
            if isinstance(child, Node):
                self.visit(child, place)

    def _visit_other(self, node: Node, here: SvgPlace) -> None:
        if node.tag == "use":
            self._use(node, here)
        elif node.tag == "svg":
            self._nested(node, here, None, None)
        elif node.tag == "switch":
            chosen = next((child for child in node.children() if child.tag in DRAWN and _passes(child)), None)
            if chosen is not None:
                self.visit(chosen, here)
        elif node.tag == "image":
            if self.mode == "paint":
                self.document.ledger.unread(
                    "picture", "it is not marked. Use rotary art dots for pictures, or trace it to shapes"
                )
        elif self.document.set_words is not None:
            self.document.set_words(self, node, here)
        else:
            self.document.ledger.unread("text", "it is not marked. Convert it to paths")

    def entered(self, node: Node, place: SvgPlace, style: Style) -> SvgPlace | None:
        """The place inside an element: its transform, opacity, clip and mask; None where nothing can show."""
        own = self.local(node, style, place)
        if own[0] * own[3] == own[1] * own[2]:
            return None
        affine = place.affine if own is SAME else after(place.affine, own)
        here = place._replace(affine=affine, style=style)
        if self.mode == "bounds":
            return here
        here = here._replace(clips=here.clips + regions.clips_of(self, node, here))
        if any(not clip.shapes for clip in here.clips):
            return None
        return here if self.mode == "clip" else self._on_sheet(node, here)

    def _on_sheet(self, node: Node, here: SvgPlace) -> SvgPlace | None:
        """The place on a sheet of its own, where the element fades or is masked; None where nothing shows."""
        style, ledger = here.style, self.document.ledger
        if style.get("filter", "none") != "none":
            ledger.unread("filter", "the shape is marked without it. Draw the effect with plain shapes")
        if style.get("mix-blend-mode", "normal") != "normal":
            ledger.unread("blend effect", "the shape is marked without it. Draw the effect with plain shapes")
        masks = regions.masks_of(self, node, here)
        opacity = share(style.get("opacity"))
        if masks is None or opacity <= 0:
            return None
        return here._replace(layers=(*here.layers, Layer(opacity, masks))) if masks or opacity < 1 else here

    def local(self, node: Node, style: Style, place: SvgPlace) -> Affine:
        """An element's own transform."""
        text = style.get("transform")
        self.document.ledger.spend(len(text or "") // 8)
        own = affine_from_text(text) if text else None
        if own is None:
            if text and self.mode == "paint":
                self.document.ledger.unread(
                    "unusual transform", "the shape is marked without it. Ungroup the shape, or convert it to paths"
                )
            return SAME
        words = style.get("transform-origin", "").split()
        by_box = style.get("transform-box", "view-box") in ("fill-box", "stroke-box", "content-box", "border-box")
        box = self.extent(node, place._replace(style=style)) if by_box else None
        if not words:
            if box is None:
                return own
            words = ["left", "top"]
        if words[0] in ("top", "bottom"):
            words = [*(words[1:2] or ["center"]), words[0]]
        left, top, wide, high = box or (0.0, 0.0, place.view_w, place.view_h)
        x = left + _origin(words[0], wide, style.font_px)
        y = top + (_origin(words[1], high, style.font_px) if len(words) > 1 else high / 2)
        return after(after(moved_by(x, y), own), moved_by(-x, -y))

    def draw(self, outline: Outline, place: SvgPlace, node: Node | None, box: Box | None = None) -> None:
        """Put an outline on the page, with its markers where `node` may carry them.

        `box` is the extent that its gradients are laid over, where that is not its own.
        """
        style = place.style
        self.document.ledger.spend(len(outline.commands) // 8)
        if self.mode == "bounds":
            self.painted.append(Painted(outline, place.affine))
            return
        if style.get("visibility", "visible") != "visible":
            return
        if not self._is_near(outline, place.affine):
            self.document.ledger.unread(
                "shape far outside the page", "it is not marked. Remove it, or draw it within the page"
            )
            return
        if self.mode == "clip":
            rule = style.get("clip-rule", "nonzero")
            self.painted.append(Painted(outline, place.affine, BLACK, rule, None, place.clips))
            return
        self._paint(outline, place, node, box)

    def _is_near(self, outline: Outline, affine: Affine) -> bool:
        """Whether its coordinates on the page are within reach; most are, at any turn, by the largest of them alone."""
        reach = float(np.abs(outline.points).max(initial=0.0))
        if reach * max(map(abs, affine[:4])) * 2 + max(map(abs, affine[4:])) < FARTHEST:
            return True
        return bool(np.abs(mapped(outline.points, affine)).max(initial=0.0) < FARTHEST)

    def _paint(self, outline: Outline, place: SvgPlace, node: Node | None, box: Box | None) -> None:
        style = place.style
        if any(style.get(use, "").startswith("url(") for use in ("fill", "stroke")):
            self.document.ledger.spend(EXTENT_COST)
            box = box or extent_of([(outline, SAME)])
            if any(self._pattern(style, use) is not None for use in ("fill", "stroke")):
                self._paint_with_patterns(outline, place, node, box)
                return
        self._paint_plain(outline, place, node, box)

    def _pattern(self, style: Style, use: str) -> Node | None:
        node = self.document.referred(style.get(use, ""))[0]
        return node if node is not None and node.tag == "pattern" else None

    def _paint_with_patterns(self, outline: Outline, place: SvgPlace, node: Node | None, box: Box | None) -> None:
        """Fill and stroke each by itself, then the markers."""
        self.document.ledger.spend(EXTENT_COST)
        rule = place.style.get("fill-rule", "nonzero")
        stroke = stroke_of(BLACK, place.style, node.attributes.get("pathLength") if node else None, place.diagonal)
        areas = {"fill": Painted(outline, place.affine, BLACK, rule)}
        areas["stroke"] = Painted(outline, place.affine, None, rule, stroke)
        for use in sorted(areas, reverse=_stroke_first(place.style)):
            pattern, opacity = self._pattern(place.style, use), share(place.style.get(f"{use}-opacity"))
            if pattern is None or not patterns.draw_tiles(self, pattern, areas[use], place, box, opacity):
                other = {"fill": "stroke", "stroke": "fill"}[use]
                style = Style({**place.style, other: "none"}, place.style.font_px)
                self._paint_plain(outline, place._replace(style=style), None, box)
        if node is not None and node.tag in markers.BEARERS:
            markers.draw_markers(self, outline, place, {})

    def _paint_plain(self, outline: Outline, place: SvgPlace, node: Node | None, box: Box | None) -> None:
        style = place.style
        surface = Surface(style, place.affine, (place.view_w, place.view_h), box)
        fill, line = (paint_of(self.document, surface, use, place.context) for use in ("fill", "stroke"))
        length = node.attributes.get("pathLength") if node is not None else None
        stroke = stroke_of(line, style, length, place.diagonal) if line is not None else None
        if (fill is None) != (stroke is None) and place.layers and node is not None:
            # A single paint that fades needs no sheet.
            last = place.layers[-1]
            if not last.masks and node.tag in SHAPES and share(style.get("opacity")) < 1:
                place = place._replace(layers=place.layers[:-1])
                fill = fill.faded(last.opacity) if fill is not None else None
                stroke = stroke._replace(paint=stroke.paint.faded(last.opacity)) if stroke is not None else None
        rule = style.get("fill-rule", "nonzero")
        if stroke is not None and not stroke.pen.width * largest_stretch(place.affine) < FARTHEST:
            self.document.ledger.unread("line that is far too wide", "it is not marked. Draw it thinner")
            stroke = None
        if fill is not None and stroke is not None and _stroke_first(style):
            self.painted.append(Painted(outline, place.affine, None, rule, stroke, place.clips, place.layers))
            self.painted.append(Painted(outline, place.affine, fill, rule, None, place.clips, place.layers))
        elif fill is not None or stroke is not None:
            self.painted.append(Painted(outline, place.affine, fill, rule, stroke, place.clips, place.layers))
        if node is not None and node.tag in markers.BEARERS:
            markers.draw_markers(self, outline, place, {"context-fill": fill, "context-stroke": line})

    def port(self, node: Node, place: SvgPlace, box: Box) -> SvgPlace:
        """The place inside a viewport that an svg, symbol or marker opens: clipped, and its viewBox laid in."""
        clips = place.clips
        if place.style.get("overflow", "hidden") not in ("visible", "auto") and self.mode != "bounds":
            clips = (*clips, Clip((Painted(box_outline(*box), place.affine),)))
        view = view_box(node.attributes.get("viewBox"))
        if view is None:
            inner, view_w, view_h = moved_by(box[0], box[1]), box[2], box[3]
        else:
            inner, view_w, view_h = fitted(view, node.attributes.get("preserveAspectRatio", ""), box), view[2], view[3]
        return place._replace(affine=after(place.affine, inner), view_w=view_w, view_h=view_h, clips=clips)

    def _nested(self, node: Node, place: SvgPlace, width: float | None, height: float | None) -> None:
        def px(name: str, whole: float, otherwise: float) -> float:
            text = place.style.get(name, node.attributes.get(name))
            return px_from_text(text, whole, place.style.font_px, otherwise)

        width = px("width", place.view_w, place.view_w) if width is None else width
        height = px("height", place.view_h, place.view_h) if height is None else height
        at_origin = node.tag == "symbol"
        x = 0.0 if at_origin else px("x", place.view_w, 0.0)
        y = 0.0 if at_origin else px("y", place.view_h, 0.0)
        if width > 0 and height > 0:
            self.visit_children(node, self.port(node, place, (x, y, width, height)))

    def _use(self, node: Node, place: SvgPlace) -> None:
        target = self.document.linked(node)
        if target is None:
            if self.mode == "paint" and node.attributes.get("href"):
                self.document.ledger.unread("part that is not in this file", "it is left out. Draw it in this file")
            return
        self.document.ledger.use()
        if id(target) in place.using or len(place.using) > DEEPEST_USE or _holds(target, node):
            return
        em = place.style.font_px
        x = px_from_text(place.style.get("x", node.attributes.get("x")), place.view_w, em, 0.0)
        y = px_from_text(place.style.get("y", node.attributes.get("y")), place.view_h, em, 0.0)
        there = place._replace(affine=after(place.affine, moved_by(x, y)), using=(*place.using, id(target)))
        if target.tag not in ("svg", "symbol"):
            self.visit(target, there)
            return
        width = px_from_text(node.attributes.get("width"), place.view_w, em, None)
        height = px_from_text(node.attributes.get("height"), place.view_h, em, None)
        style = self.document.style(target, place.style)
        if style.get("display") != "none":
            inside = self.entered(target, there, style)
            if inside is not None:
                self._nested(target, inside, width, height)

    def extent(self, node: Node, place: SvgPlace) -> Box | None:
        """x, y, width, height of what an element draws, in its own units, without strokes and clips."""
        self.document.ledger.spend(EXTENT_COST)
        inner = Walk(self.document, "bounds")
        flat = place._replace(affine=SAME, clips=(), layers=())
        if node.tag in ("g", "a", "switch", "svg"):
            inner.visit_children(node, flat)
        elif node.tag in SHAPES:
            inner.draw(
                outline_of_shape(node, place.style, place.view_w, place.view_h, self.document.ledger), flat, None
            )
        else:
            inner._visit_other(node, flat)
        return extent_of((item.outline, item.affine) for item in inner.painted)


def extent_of(outlines: Iterable[tuple[Outline, Affine]]) -> Box | None:
    """x, y, width, height of what some outlines take up under their transforms."""
    boxes = [box for outline, affine in outlines if (box := bounds(outline, affine))]
    if not boxes:
        return None
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    return left, top, max(box[2] for box in boxes) - left, max(box[3] for box in boxes) - top


def _stroke_first(style: Style) -> bool:
    order = [word for word in style.get("paint-order", "normal").split() if word != "markers"]
    return order[:1] == ["stroke"]


def _passes(node: Node) -> bool:
    """Whether the element is drawn by the conditions that it makes itself."""
    languages = node.attributes.get("systemLanguage", LANGUAGE).lower()
    spoken = any(each.strip().split("-")[0] == LANGUAGE for each in languages.split(","))
    return spoken and "requiredExtensions" not in node.attributes


def _holds(outer: Node, inner: Node) -> bool:
    node: Node | None = inner
    while node is not None:
        if node is outer:
            return True
        node = node.parent
    return False


def _origin(word: str, whole: float, em: float) -> float:
    words = {"left": 0.0, "top": 0.0, "center": whole / 2, "right": whole, "bottom": whole}
    return words[word] if word in words else px_from_text(word, whole, em, 0.0)
