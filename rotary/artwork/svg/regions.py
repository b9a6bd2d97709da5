"""Clip paths and masks: where an element may show."""

from typing import TYPE_CHECKING, Final

from rotary.artwork.svg.affine import Affine, after
from rotary.artwork.svg.lengths import px_from_text
from rotary.artwork.svg.scene import NOTHING, Clip, Mask, Painted
from rotary.artwork.svg.shapes import SHAPES, box_outline
from rotary.artwork.svg.tree import Node

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

CUT_COST: Final = 100  # what finding a clip or mask is worth in segments
DEEPEST_MASK: Final = 12
_DEFAULTS: Final = {"x": -0.1, "y": -0.1, "width": 1.2, "height": 1.2}
_CAN_CLIP: Final = SHAPES | {"text", "use"}


def cuts_of(walk: "Walk", node: Node, place: "SvgPlace") -> tuple[Clip | Mask, ...]:
    """What an element's own clip-path, mask and filter leave of it."""
    style, document = place.style, walk.document
    cuts: list[Clip | Mask] = []
    if style.get("filter", "none") != "none" and walk.mode == "paint":
        document.ledger.unread("filter", "the shape is drawn without it; replace it by plain shapes")
    if style.get("mask", "none") != "none" and walk.mode == "paint":
        mask, _ = document.referred(style["mask"])
        if mask is not None and mask.tag == "mask":
            cuts += _mask(walk, mask, node, place, ())
    text = style.get("clip-path", "none")
    if text != "none":
        clip, _ = document.referred(text)
        if clip is not None and clip.tag == "clipPath":
            cuts.append(_clip(walk, clip, node, place, ()))
        elif clip is None and not text.startswith("url"):
            document.ledger.unread("clip by a CSS shape", "the element is drawn whole; use a clipping path")
    return tuple(cuts)


def _clip(walk: "Walk", clip: Node, target: Node, place: "SvgPlace", seen: tuple[int, ...]) -> Clip:
    if id(clip) in seen:
        return NOTHING
    document = walk.document
    document.ledger.spend(CUT_COST)
    style = document.style_in_place(clip)
    affine = after(place.affine, walk.local(style, place))
    inside = place._replace(style=style, clips=(), opacity=1.0)
    if clip.attributes.get("clipPathUnits") == "objectBoundingBox":
        to_box = _unit_box(walk, target, place)
        if to_box is None:
            return NOTHING
        inside = inside._replace(affine=after(affine, to_box), view_w=1.0, view_h=1.0)
    else:
        inside = inside._replace(affine=affine)
    inner = type(walk)(document, "clip")
    for child in clip.children():
        if child.tag in _CAN_CLIP and (child.tag != "use" or _points_at_shape(walk, child)):
            inner.visit(child, inside)
    outer, _ = document.referred(style.get("clip-path", "none"))
    within = None
    if outer is not None and outer.tag == "clipPath":
        within = _clip(walk, outer, target, place, (*seen, id(clip)))
        if not within.shapes:
            return NOTHING
    return Clip(tuple(inner.painted), within)


def _points_at_shape(walk: "Walk", use: Node) -> bool:
    target = walk.document.linked(use)
    return target is not None and target.tag in SHAPES | {"text"}


def _unit_box(walk: "Walk", target: Node, place: "SvgPlace") -> Affine | None:
    """What lays the unit square over an element's extent."""
    box = walk.extent(target, place)
    if box is None or box[2] <= 0 or box[3] <= 0:
        return None
    return box[2], 0.0, 0.0, box[3], box[0], box[1]


def _mask(walk: "Walk", mask: Node, target: Node, place: "SvgPlace", seen: tuple[int, ...]) -> tuple[Clip | Mask, ...]:
    """A mask's own frame, and its painting."""
    attributes = mask.attributes
    walk.document.ledger.spend(CUT_COST)
    if id(mask) in seen or id(mask) in place.using or len(place.using) > DEEPEST_MASK:
        return (NOTHING,)
    by_box = attributes.get("maskUnits", "objectBoundingBox") != "userSpaceOnUse"
    content_by_box = attributes.get("maskContentUnits", "userSpaceOnUse") == "objectBoundingBox"
    to_box = _unit_box(walk, target, place) if by_box or content_by_box else None
    if to_box is None and (by_box or content_by_box):
        return (NOTHING,)
    frame = _frame(mask, place, to_box if by_box else None)
    if frame is None:
        return (NOTHING,)
    style = walk.document.style_in_place(mask)
    inside = place._replace(style=style, clips=(frame,), opacity=1.0, using=(*place.using, id(mask)))
    if content_by_box and to_box is not None:
        inside = inside._replace(affine=after(place.affine, to_box), view_w=1.0, view_h=1.0)
    inner = type(walk)(walk.document)
    inner.visit_children(mask, inside)
    by_alpha = style.get("mask-type", attributes.get("mask-type", "")) == "alpha"
    _say_if_grey(walk, inner.painted, by_alpha)
    outer, _ = walk.document.referred(style.get("mask", "none"))
    rest: tuple[Clip | Mask, ...] = ()
    if outer is not None and outer.tag == "mask":
        rest = _mask(walk, outer, target, place, (*seen, id(mask)))
    return (Mask(tuple(inner.painted), by_alpha), *rest)


def _frame(mask: Node, place: "SvgPlace", to_box: Affine | None) -> Clip | None:
    whole = {"x": 1.0, "width": 1.0, "y": 1.0, "height": 1.0}
    affine = place.affine
    if to_box is None:
        whole = {"x": place.view_w, "width": place.view_w, "y": place.view_h, "height": place.view_h}
    else:
        affine = after(affine, to_box)
    em = place.style.font_px
    x, y, width, height = (
        px_from_text(mask.attributes.get(name), whole[name], em, share * whole[name])
        for name, share in _DEFAULTS.items()
    )
    return Clip((Painted(box_outline(x, y, width, height), affine),)) if width > 0 and height > 0 else None


def _say_if_grey(walk: "Walk", painted: list[Painted], by_alpha: bool) -> None:
    """A mask is a region here: what lets half through is cut at the middle, and said."""
    for item in painted:
        for colour in (item.fill, item.stroke.colour if item.stroke else None):
            if colour is None:
                continue
            lets = colour.alpha if by_alpha else colour.alpha * colour.luminance()
            if 0.1 < lets < 0.9:
                walk.document.ledger.unread("grey mask", "it is cut off at half its brightness; make it black or white")
                return
