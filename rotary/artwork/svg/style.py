"""What holds for one element: style sheet, attributes, its own style, and what it inherits."""

import re
from typing import Final

from rotary.artwork.svg.css import StyleSheet, declarations
from rotary.artwork.svg.lengths import px_from_text
from rotary.artwork.svg.tree import Node
from rotary.artwork.work import Ledger

INHERITED: Final = frozenset(
    re.findall(
        r"[\w-]+",
        """fill fill-rule fill-opacity stroke stroke-width stroke-linecap stroke-linejoin stroke-miterlimit
        stroke-dasharray stroke-dashoffset stroke-opacity color visibility clip-rule font-size font-family
        font-weight font-style text-anchor marker-start marker-mid marker-end paint-order letter-spacing
        word-spacing direction writing-mode text-transform font-variant font-variant-caps font-feature-settings
        font-stretch dominant-baseline white-space""",
    )
)
OWN: Final = frozenset(
    re.findall(
        r"[\w-]+",
        """opacity display clip-path mask filter stop-color stop-opacity overflow transform transform-origin
        transform-box vector-effect marker mask-type mix-blend-mode text-decoration baseline-shift alignment-baseline
        text-decoration-line unicode-bidi inline-size shape-inside x y width height cx cy r rx ry d""",
    )
)
GEOMETRY: Final = frozenset(("x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "d", "mask-type"))
ATTRIBUTES: Final = (INHERITED | OWN | {"color-interpolation"}) - GEOMETRY
_AS_BEFORE: Final = frozenset(("unset", "revert", "revert-layer"))
DEFAULT_FONT_PX: Final = 16.0
FONT_SIZES: Final = {
    "xx-small": 9.0, "x-small": 10.0, "small": 13.0, "medium": DEFAULT_FONT_PX, "initial": DEFAULT_FONT_PX,
    "large": 18.0, "x-large": 24.0, "xx-large": 32.0,
}  # fmt: skip


class Style(dict[str, str]):
    """Properties in force, and the size of the font [user units]."""

    __slots__ = ("font_px",)

    def __init__(self, values: dict[str, str], font_px: float = DEFAULT_FONT_PX) -> None:
        super().__init__(values)
        self.font_px = font_px


_NOT_DRAWN: Final = {
    "rotate": ("none", "0"), "scale": ("none", "1"), "translate": ("none", "0"),
    "mask-mode": ("match-source", "luminance"), "mask-image": ("none",), "color-interpolation": ("sRGB", "auto"),
    "content-visibility": ("visible", "auto"),
}  # fmt: skip
"""Properties that change what is seen and are not read, with the values at which they change nothing."""

_VARIABLE: Final = re.compile(r"var\(\s*(--[^\s,()]+)\s*(?:,([^()]*(?:\([^()]*\)[^()]*)*))?\)")
_DEEPEST_VARIABLE: Final = 8
_USUAL_LETTERS: Final = 2_000
_LONGEST_VALUE: Final = 5_000


def style_of(node: Node, parent: Style, sheet: StyleSheet, ledger: Ledger) -> Style:
    """The style of an element below one with the style `parent`."""
    ledger.spend(1)
    own = {name: value.strip() for name, value in node.attributes.items() if name in ATTRIBUTES}
    urgent: dict[str, str] = {}
    given = [*sheet.declarations_for(node, ledger)]
    if "style" in node.attributes:
        ledger.spend(len(node.attributes["style"]) // 5)
        given += declarations(node.attributes["style"])
    for name, value, important in given:
        own[name] = value
        if important:
            urgent[name] = value
    own.update(urgent)
    for name in own.keys() & _NOT_DRAWN.keys():
        if own[name] not in _NOT_DRAWN[name]:
            ledger.unread(f"style {name}", "the shape is marked without it. Draw the shape as it should look")
    style = _inheriting(own, parent)
    # A long value is read again for every element that has it.
    ledger.spend(max(0, sum(map(len, style.values())) - _USUAL_LETTERS) // 2)
    return style


def _inheriting(own: dict[str, str], parent: Style) -> Style:
    style = Style(
        {name: value for name, value in parent.items() if name in INHERITED or name[:2] == "--"}, parent.font_px
    )
    if not own:
        return style
    if "marker" in own:
        for name in ("marker-start", "marker-mid", "marker-end"):
            own.setdefault(name, own["marker"])
    style.update((name, value) for name, value in own.items() if name[:2] == "--")
    own = {name: text for name, value in own.items() if name[:2] != "--" and (text := _without_variables(value, style))}
    for name, value in own.items():
        value = value.lower() if value.isalpha() and name != "font-family" else value
        if value == "inherit" or (value in _AS_BEFORE and name in INHERITED):
            style.update({name: parent[name]} if name in parent else {})
        elif value == "initial" or value in _AS_BEFORE:
            style.pop(name, None)
        elif name in INHERITED or name in OWN:
            style[name] = value
    if "font-size" in own:
        style.font_px = _font_px(own["font-size"], parent.font_px)
    if own.get("color", "").lower() == "currentcolor":
        style["color"] = parent.get("color", "black")
    return style


def _without_variables(value: str, known: Style) -> str:
    """A value with the variables that it names put in; empty where one of them has none, or they name each other."""
    if "var(" not in value:
        return value
    for _ in range(_DEEPEST_VARIABLE):
        value = _VARIABLE.sub(lambda found: known.get(found[1], found[2] or ""), value)[:_LONGEST_VALUE]
        if "var(" not in value:
            return value.strip()
    return ""


def _font_px(text: str, parent_px: float) -> float:
    if text in FONT_SIZES:
        return FONT_SIZES[text]
    if text in ("smaller", "larger"):
        return parent_px * (1.2 if text == "larger" else 1 / 1.2)
    return px_from_text(text, parent_px, parent_px, parent_px)
