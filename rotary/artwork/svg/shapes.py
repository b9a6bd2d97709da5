"""The basic shapes as outlines."""

from math import pi, sqrt
from typing import Final

from rotary.artwork.outline import EMPTY, Outline, outline_from
from rotary.artwork.svg.lengths import numbers, px_from_text
from rotary.artwork.svg.pathdata import arc_curves, outline_from_path
from rotary.artwork.svg.style import Style
from rotary.artwork.svg.tree import Node
from rotary.artwork.work import Ledger

_OF_ITS_OWN: Final = frozenset({"path", "polyline", "polygon"})  # wherever one stands, its outline is the same
SHAPES: Final = _OF_ITS_OWN | {"rect", "circle", "ellipse", "line"}

_ROUND: Final = outline_from(
    "M" + "C" * 8 + "Z", [1.0, 0.0, *arc_curves(0.0, 2 * pi, (1.0, 0.0, 0.0, 1.0), (0.0, 0.0), (1.0, 0.0))]
)


class _Measures:
    """Lengths of one element: from its style where CSS may give them, else from its attributes."""

    def __init__(self, node: Node, style: Style, view_w: float, view_h: float) -> None:
        self._node, self._style = node, style
        self._whole = {"w": view_w, "h": view_h, "d": sqrt((view_w * view_w + view_h * view_h) / 2)}

    def text(self, name: str) -> str | None:
        return self._style.get(name, self._node.attributes.get(name))

    def px(self, name: str, along: str, otherwise: float = 0.0) -> float:
        return px_from_text(self.text(name), self._whole[along], self._style.font_px, otherwise)

    def radius(self, name: str, along: str) -> float | None:
        """A corner's radius; None where it is `auto`, missing or negative."""
        value = px_from_text(self.text(name), self._whole[along], self._style.font_px, None)
        return None if value is None or value < 0 else value


def outline_of_shape(node: Node, style: Style, view_w: float, view_h: float, ledger: Ledger) -> Outline:
    """The outline of a basic shape in its own units; empty where it has no extent."""
    of = _Measures(node, style, view_w, view_h)
    if node.tag in _OF_ITS_OWN:
        if node.outline is None:
            node.outline = _path(of, ledger) if node.tag == "path" else _corners(node, ledger)
        return node.outline
    if node.tag == "rect":
        return _rectangle(of)
    if node.tag == "circle":
        r = of.px("r", "d")
        return _ellipse(of.px("cx", "w"), of.px("cy", "h"), r, r)
    if node.tag == "ellipse":
        rx, ry = of.radius("rx", "w"), of.radius("ry", "h")
        both = (rx if rx is not None else ry or 0.0, ry if ry is not None else rx or 0.0)
        return _ellipse(of.px("cx", "w"), of.px("cy", "h"), *both)
    return outline_from("ML", [of.px("x1", "w"), of.px("y1", "h"), of.px("x2", "w"), of.px("y2", "h")])


def _corners(node: Node, ledger: Ledger) -> Outline:
    values = numbers(node.attributes.get("points", ""))
    values = values[: len(values) // 2 * 2]
    if len(values) < 4:
        return EMPTY
    ledger.spend(len(values) // 2)
    return outline_from("M" + "L" * (len(values) // 2 - 1) + ("Z" if node.tag == "polygon" else ""), values)


def _path(of: _Measures, ledger: Ledger) -> Outline:
    data = (of.text("d") or "").strip()
    if data.startswith("path("):
        data = data[5:].rstrip(") ").strip("\"'")
    return outline_from_path(data, ledger)


def box_outline(x: float, y: float, width: float, height: float) -> Outline:
    """A rectangle.

    >>> box_outline(0, 0, 2, 1).points.tolist()
    [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]
    """
    return outline_from("MLLLZ", [x, y, x + width, y, x + width, y + height, x, y + height])


def _rectangle(of: _Measures) -> Outline:
    x, y, w, h = of.px("x", "w"), of.px("y", "h"), of.px("width", "w"), of.px("height", "h")
    if w <= 0 or h <= 0:
        return EMPTY
    rx, ry = of.radius("rx", "w"), of.radius("ry", "h")
    rx, ry = (rx if rx is not None else ry or 0.0), (ry if ry is not None else rx or 0.0)
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx == 0 or ry == 0:
        return box_outline(x, y, w, h)
    right, bottom = x + w, y + h
    corners = ((right - rx, y + ry), (right - rx, bottom - ry), (x + rx, bottom - ry), (x + rx, y + ry))
    values: list[float] = [x + rx, y]
    ways = ((0, -1), (1, 0), (0, 1), (-1, 0), (0, -1))
    for turn, (cx, cy) in enumerate(corners):
        (ux, uy), (vx, vy) = ways[turn], ways[turn + 1]
        values += (cx + rx * ux, cy + ry * uy)
        end = (cx + rx * vx, cy + ry * vy)
        values += arc_curves((turn - 1) * pi / 2, pi / 2, (rx, 0.0, 0.0, ry), (cx, cy), end)
    return outline_from("M" + "LCC" * 4 + "Z", values)


def _ellipse(cx: float, cy: float, rx: float, ry: float) -> Outline:
    if rx <= 0 or ry <= 0:
        return EMPTY
    return Outline(_ROUND.commands, _ROUND.points * (rx, ry) + (cx, cy))
