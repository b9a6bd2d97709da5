"""The path that a text is set along."""

from math import atan2
from typing import TYPE_CHECKING, NamedTuple, Protocol

import numpy as np

from rotary.artwork.outline import flattened
from rotary.artwork.svg.affine import SAME, Affine, affine_from_text, after, moved_by, turned
from rotary.artwork.svg.lengths import px_from_text
from rotary.artwork.svg.shapes import SHAPES, outline_of_shape
from rotary.artwork.svg.tree import Node
from rotary.artwork.work import refused
from rotary.formulas.arrays import Floats

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

_FINE = 0.002  # how far chords stray from the path, over the size of the letters


class OnWay(Protocol):
    """A shape of a font before it stands on its path: how far along, how far below it, how large, how wide."""

    x: float
    y: float
    scale: float
    advance: float


class Way(NamedTuple):
    """A path as chords: their points (n, 2), how far along each lies (n,), and where on it the text begins."""

    points: Floats
    along: Floats
    start: float

    def affine(self, shape: OnWay, start: float, drop: float) -> Affine | None:
        """What puts a shape on the path, its middle's foot on it and square to it; None beyond its ends."""
        half = shape.advance / 2
        at = self.start + start + shape.x + half
        if not 0 <= at <= self.along[-1]:
            return None
        x, y = (float(np.interp(at, self.along, self.points[:, k])) for k in (0, 1))
        piece = min(int(np.searchsorted(self.along, at, side="right")), len(self.along) - 1)
        while piece > 1 and self.along[piece] == self.along[piece - 1]:
            piece -= 1
        way = self.points[piece] - self.points[piece - 1]
        stand = after(moved_by(x, y), turned(atan2(way[1], way[0])))
        return after(after(stand, moved_by(-half, drop + shape.y)), (shape.scale, 0.0, 0.0, -shape.scale, 0.0, 0.0))


def way_of(walk: "Walk", node: Node, place: "SvgPlace", font_px: float) -> Way:
    """The path of a textPath element. Raises Refused where it has none: its text would stand nowhere."""
    document = walk.document
    target = document.linked(node)
    if target is None or target.tag not in SHAPES:
        raise refused("has a text on a path that is not in the file: convert the text to paths, and export it again")
    style = document.style_in_place(target)
    outline = outline_of_shape(target, style, place.view_w, place.view_h, document.ledger)
    own = affine_from_text(style.get("transform", "")) or SAME
    lines = flattened(outline, own, max(font_px * _FINE, 1e-6))
    document.ledger.spend(len(lines.points))
    points = lines.points
    if bool(lines.closed[:1].any()):
        points = np.concatenate([points[: lines.offsets[1]], points[:1], points[lines.offsets[1] :]])
    steps = np.hypot(*np.diff(points, axis=0).T) if len(points) > 1 else np.zeros(0)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if not 0 < along[-1] < 1e9:
        raise refused("has a text on a path without a length: convert the text to paths, and export it again")
    length = float(along[-1])
    return Way(points, along, px_from_text(node.attributes.get("startOffset"), length, font_px, 0.0))
