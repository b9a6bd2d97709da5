"""Marks on the vertices of a line: arrow heads, dots."""

from math import atan2, hypot, pi, radians, remainder
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.artwork.outline import Outline, segments
from rotary.artwork.svg.affine import after, fitted, moved_by, turned, view_box
from rotary.artwork.svg.lengths import number, px_from_text, share
from rotary.artwork.svg.scene import Layer, Paint
from rotary.artwork.svg.tree import Node

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

BEARERS: Final = frozenset({"path", "line", "polyline", "polygon"})
Vector = tuple[float, float]


class _Vertex:
    """A corner with the directions of the line into it and out of it; none where the line ends."""

    __slots__ = ("into", "out", "x", "y")

    def __init__(self, at: Vector, into: Vector | None) -> None:
        self.x, self.y = at
        self.into = into
        self.out: Vector | None = None

    def angle_rad(self) -> float:
        """Along the line, halfway between the two directions at a corner."""
        angles = [atan2(way[1], way[0]) for way in (self.into, self.out) if way is not None and way != (0.0, 0.0)]
        if len(angles) < 2:
            return angles[0] if angles else 0.0
        return angles[0] + remainder(angles[1] - angles[0], 2 * pi) / 2


class _Head(NamedTuple):
    node: Node
    vertex: _Vertex
    first: bool


def draw_markers(walk: "Walk", outline: Outline, place: "SvgPlace", context: dict[str, Paint | None]) -> None:
    """Draw the markers of an element on all the vertices that ask for one."""
    names = [place.style.get(f"marker-{where}", "none") for where in ("start", "mid", "end")]
    if all(name == "none" for name in names):
        return
    start, middle, end = (_marker(walk, name, place) for name in names)
    vertices = _vertices(outline)
    last = len(vertices) - 1
    for i, vertex in enumerate(vertices):
        for node in (start if i == 0 else None, middle if 0 < i < last else None, end if i == last else None):
            if node is not None:
                _draw(walk, _Head(node, vertex, i == 0), place, context)


def _marker(walk: "Walk", name: str, place: "SvgPlace") -> Node | None:
    node = walk.document.referred(name)[0] if name != "none" else None
    return node if node is not None and node.tag == "marker" and id(node) not in place.using else None


def _draw(walk: "Walk", head: _Head, place: "SvgPlace", context: dict[str, Paint | None]) -> None:
    attributes, em = head.node.attributes, place.style.font_px
    width = px_from_text(attributes.get("markerWidth"), place.view_w, em, 3.0)
    height = px_from_text(attributes.get("markerHeight"), place.view_h, em, 3.0)
    if width <= 0 or height <= 0:
        return
    walk.document.ledger.use()
    scale = 1.0
    if attributes.get("markerUnits", "strokeWidth") != "userSpaceOnUse":
        scale = px_from_text(place.style.get("stroke-width"), place.diagonal, em, 1.0)
    affine = after(moved_by(head.vertex.x, head.vertex.y), turned(_angle_rad(head)))
    affine = after(place.affine, after(affine, (scale, 0.0, 0.0, scale, 0.0, 0.0)))
    x, y = px_from_text(attributes.get("refX"), 0.0, em, 0.0), px_from_text(attributes.get("refY"), 0.0, em, 0.0)
    view = view_box(attributes.get("viewBox"))
    if view is not None:
        fit = fitted(view, attributes.get("preserveAspectRatio", ""), (0.0, 0.0, width, height))
        x, y = fit[0] * x + fit[4], fit[3] * y + fit[5]
    style = walk.document.style_in_place(head.node)
    opacity = share(style.get("opacity"))
    inside = place._replace(
        affine=after(affine, moved_by(-x, -y)),
        style=style,
        layers=(*place.layers, Layer(opacity)) if opacity < 1 else place.layers,
        using=(*place.using, id(head.node)),
        context=context,
    )
    walk.visit_children(head.node, walk.port(head.node, inside, (0.0, 0.0, width, height)))


def _angle_rad(head: _Head) -> float:
    way = head.node.attributes.get("orient", "0")
    if way == "auto":
        return head.vertex.angle_rad()
    if way == "auto-start-reverse":
        return head.vertex.angle_rad() + (pi if head.first else 0.0)
    return radians(number(way, 0.0))


def _vertices(outline: Outline) -> list[_Vertex]:
    found: list[_Vertex] = []
    first = 0
    for command, points in segments(outline):
        if command == "M":
            first = len(found)
            found.append(_Vertex(points[0], None))
            continue
        before = found[-1]
        if command == "Z":
            points = [(found[first].x, found[first].y)]
        line = [(before.x, before.y), *points]
        leaving = _direction(line)
        arriving = _direction([(-x, -y) for x, y in reversed(line)])
        if before.out is None:
            before.out = leaving
        vertex = _Vertex(line[-1], arriving)
        if command == "Z":
            vertex.out = found[first].out
            found[first].into = arriving
        found.append(vertex)
    return found


def _direction(line: list[Vector]) -> Vector:
    """From the first point towards the first that lies elsewhere."""
    x, y = line[0]
    return next(((px - x, py - y) for px, py in line[1:] if hypot(px - x, py - y) > 0), (0.0, 0.0))
