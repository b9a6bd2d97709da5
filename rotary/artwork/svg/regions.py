"""Clip paths and masks: where an element may show."""

from typing import TYPE_CHECKING, Final

from rotary.artwork.svg.affine import Affine, after
from rotary.artwork.svg.lengths import px_from_text
from rotary.artwork.svg.scene import NOTHING, Clip, Mask, Painted
from rotary.artwork.svg.shapes import SHAPES, box_outline
from rotary.artwork.svg.tree import Node

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

CUT_COST: Final = 150  # what finding a clip or mask is worth in segments
DEEPEST_MASK: Final = 12
_DEFAULTS: Final = {"x": -0.1, "y": -0.1, "width": 1.2, "height": 1.2}
_CAN_CLIP: Final = SHAPES | {"text", "use"}


def clips_of(walk: "Walk", node: Node, place: "SvgPlace") -> tuple[Clip, ...]:
    """What an element's own clip-path leaves of it."""
    document, text = walk.document, place.style.get("clip-path", "none")
    if text == "none":
        return ()
    clip, _ = document.referred(text)
    if clip is not None and clip.tag == "clipPath":
        return (_clip(walk, clip, node, place, ()),)
    if clip is None and not text.startswith("url"):
        document.ledger.unread("clip by a CSS shape", "the whole shape is marked. Use a clipping path instead")
    return ()


def masks_of(walk: "Walk", node: Node, place: "SvgPlace") -> tuple[Mask, ...] | None:
    """An element's own mask, and those of that mask; None where nothing shows."""
    text = place.style.get("mask", "none")
    mask = walk.document.referred(text)[0] if text != "none" else None
    return _masks(walk, mask, node, place, ()) if mask is not None and mask.tag == "mask" else ()


def _clip(walk: "Walk", clip: Node, target: Node, place: "SvgPlace", seen: tuple[int, ...]) -> Clip:
    document = walk.document
    if id(clip) in seen:
        document.ledger.unread("clip that cuts itself", "the shape in it is not marked. Remove the clip")
        return NOTHING
    document.ledger.spend(CUT_COST)
    style = document.style_in_place(clip)
    affine = after(place.affine, walk.local(clip, style, place))
    inside = place._replace(style=style, clips=(), layers=())
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


def _masks(walk: "Walk", mask: Node, target: Node, place: "SvgPlace", seen: tuple[int, ...]) -> tuple[Mask, ...] | None:
    """A mask's painting within its own frame, and the masks of the mask."""
    attributes = mask.attributes
    walk.document.ledger.spend(CUT_COST)
    if id(mask) in seen or id(mask) in place.using or len(place.using) > DEEPEST_MASK:
        walk.document.ledger.unread("mask that masks itself", "the shape in it is not marked. Remove the mask")
        return None
    by_box = attributes.get("maskUnits", "objectBoundingBox") != "userSpaceOnUse"
    content_by_box = attributes.get("maskContentUnits", "userSpaceOnUse") == "objectBoundingBox"
    to_box = _unit_box(walk, target, place) if by_box or content_by_box else None
    if to_box is None and (by_box or content_by_box):
        return None
    frame = _frame(mask, place, to_box if by_box else None)
    if frame is None:
        return None
    style = walk.document.style_in_place(mask)
    inside = place._replace(style=style, clips=(frame,), layers=(), using=(*place.using, id(mask)))
    if content_by_box and to_box is not None:
        inside = inside._replace(affine=after(place.affine, to_box), view_w=1.0, view_h=1.0)
    inner = type(walk)(walk.document)
    inner.visit_children(mask, inside)
    by_alpha = style.get("mask-type", attributes.get("mask-type", "")) == "alpha"
    outer, _ = walk.document.referred(style.get("mask", "none"))
    rest: tuple[Mask, ...] | None = ()
    if outer is not None and outer.tag == "mask":
        rest = _masks(walk, outer, target, place, (*seen, id(mask)))
    return None if rest is None else (Mask(tuple(inner.painted), by_alpha), *rest)


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
