"""The drawing as a whole: its elements by name, its style sheet, its ledger."""

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from rotary.artwork.svg.css import StyleSheet
from rotary.artwork.svg.style import Style, style_of
from rotary.artwork.svg.tree import Node, tree_from_bytes
from rotary.artwork.work import Ledger, refused

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

_URL: Final = re.compile(r"url\(\s*[\"']?\s*#?([^)\"']*?)\s*[\"']?\s*\)\s*(.*)", re.S)

_MOVING: Final = frozenset({"animate", "animateTransform", "animateMotion", "set", "script"})


class Document:
    """A drawing that has been parsed. `set_words` draws a text element; without it texts are counted as unread."""

    def __init__(
        self, data: bytes, ledger: Ledger, set_words: "Callable[[Walk, Node, SvgPlace], None] | None" = None
    ) -> None:
        self.root = tree_from_bytes(data, ledger)
        if self.root.tag != "svg":
            raise refused("is not an SVG drawing: export the artwork as SVG (or give a DXF file)")
        self.ledger = ledger
        self.set_words = set_words
        self.ids: dict[str, Node] = {}
        sheets = []
        names: set[tuple[str, str]] = set()
        for node in self.root.everything():
            name = node.attributes.get("id")
            if name is not None:
                self.ids.setdefault(name, node)
                names.add(("id", name))
            if "class" in node.attributes:
                ledger.spend(len(node.attributes["class"]) // 4)
                names.update(("class", word) for word in node.classes)
            if node.tag == "style":
                kind, media = (node.attributes.get(name, "").strip().lower() for name in ("type", "media"))
                text = node.text() if media in ("", "all", "screen") else f"@media {media}{{{node.text()}}}"
                sheets += [text] if kind in ("text/css", "") else []
            elif node.tag in _MOVING:
                ledger.unread(
                    "animation or script", "the drawing is marked without it. Save the drawing as it should look"
                )
        self.sheet = StyleSheet("\n".join(sheets), names)
        if self.sheet.not_known:
            cure = "shapes are marked without it. Set the colours on the shapes themselves"
            ledger.unread("unusual style rule", cure, self.sheet.not_known)

    def style(self, node: Node, parent: Style) -> Style:
        """The style of an element below one with the style `parent`."""
        return style_of(node, parent, self.sheet, self.ledger)

    def style_in_place(self, node: Node | None) -> Style:
        """The style of an element where it stands in the file, whoever refers to it."""
        line = []
        while node is not None:
            line.append(node)
            node = node.parent
        style = Style({})
        for each in reversed(line):
            style = self.style(each, style)
        return style

    def referred(self, text: str) -> tuple[Node | None, str]:
        """The element that `url(#id)` names, if there is one, and what stands after it."""
        found = _URL.match(text)
        return (self.ids.get(found[1].lstrip("#")), found[2].strip()) if found else (None, "")

    def linked(self, node: Node) -> Node | None:
        """The element that `href` names, if it is in this file."""
        link = node.attributes.get("href", "").strip()
        return self.ids.get(link[1:]) if link.startswith("#") else None
