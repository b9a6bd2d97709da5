"""Text elements of a drawing, set with the fonts at hand.

As SVG lays text out: white space collapsed; every x or y begins a new piece, which its anchor places;
dx, dy and rotate move and turn single letters. On a path each letter stands upright on the place under its middle.
"""

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from math import radians
from pathlib import Path
from typing import TYPE_CHECKING, Final
from unicodedata import category

from rotary.artwork.fonts import BOLD, GENERIC, NORMAL, Font, Library
from rotary.artwork.outline import Outline, mapped
from rotary.artwork.svg.affine import SAME, Affine, after, moved_by, turned
from rotary.artwork.svg.lengths import number, px_from_text
from rotary.artwork.svg.style import Style
from rotary.artwork.svg.tree import Node
from rotary.artwork.svg.walk import EXTENT_COST, extent_of
from rotary.artwork.svg.way import Way, way_of
from rotary.artwork.work import refused
from rotary.bidi import runs
from rotary.errors import brief

if TYPE_CHECKING:
    from rotary.artwork.svg.walk import SvgPlace, Walk

LETTER_COST: Final = 40  # what a letter is worth in segments, and a piece that is shaped by itself
PIECE_COST: Final = 200
_WEIGHTS: Final = {"normal": NORMAL, "bold": BOLD, "bolder": BOLD, "lighter": 300}
_ANCHORS: Final = {"start": 0.0, "middle": -0.5, "end": -1.0}
_PLAIN: Final = {
    "writing-mode": ("horizontal-tb", "lr", "lr-tb", "rl", "rl-tb"), "text-decoration": ("none",),
    "text-decoration-line": ("none",), "unicode-bidi": ("normal", "embed", "isolate"), "text-transform": ("none",),
    "font-variant": ("normal",), "font-variant-caps": ("normal",), "font-feature-settings": ("normal",),
    "font-stretch": ("normal", "100%"), "baseline-shift": ("baseline", "0", "0px", "0%"),
    "dominant-baseline": ("auto", "alphabetic"), "alignment-baseline": ("auto", "baseline", "alphabetic"),
}  # fmt: skip
"""What a text is set with, whatever else it asks for."""

_INSIDE: Final = frozenset({"tspan", "a", "textPath"})


@dataclass(slots=True)
class _Letter:
    """One letter with its style and what its element says about its place."""

    sign: str
    style: Style
    keeps_space: bool
    x: float | None = None
    y: float | None = None
    dx: float = 0.0
    dy: float = 0.0
    turn_deg: float | None = None
    way: "Way | None" = None

    @property
    def placed(self) -> bool:
        return self.x is not None or self.y is not None

    @property
    def moved(self) -> bool:
        return self.dx != 0 or self.dy != 0 or self.turn_deg is not None


@dataclass(slots=True)
class _Set:
    """A shape of a font that stands ready: where [user units], how large a font unit is, for which letter."""

    outline: Outline
    x: float
    y: float
    scale: float
    letter: _Letter
    advance: float


class SvgWords:
    """Sets text elements; a font or letter that is not at hand is replaced, which is said."""

    def __init__(self, files: tuple[Path, ...] = (), system: bool = True) -> None:
        self._files, self._system = files, system
        self._library: Library | None = None

    def draw(self, walk: "Walk", node: Node, place: "SvgPlace") -> None:
        """Draw a text element."""
        if self._library is None:
            self._library = Library(self._files, self._system)
        letters = _gathered(walk, node, place)
        outlines: list[tuple[Outline, Style]] = []
        x = y = 0.0
        for piece in _pieces(letters):
            walk.document.ledger.spend(PIECE_COST)
            way = piece[0].way
            x = (0.0 if way else x) if piece[0].x is None else piece[0].x
            y = (0.0 if way else y) if piece[0].y is None else piece[0].y
            ready, advance, drop = self._set(walk, piece)
            leads, style = 1.0, piece[0].style
            shift = _ANCHORS.get(style.get("text-anchor", "start"), 0.0)
            if style.get("direction") == "rtl":
                leads, shift = -1.0, -1.0 - shift
            start = x + advance * shift
            beyond = 0
            for shape in ready:
                affine = _affine(shape, start, y) if way is None else way.affine(shape, start, y)
                if affine is None:
                    beyond += 1
                    continue
                points = mapped(shape.outline.points, affine)
                outlines.append((Outline(shape.outline.commands, points), shape.letter.style))
            if beyond:
                raise refused(
                    f"has {beyond} letters past the ends of their path: make the path longer, or "
                    "convert the text to paths"
                )
            x, y = x + leads * advance, y + drop
        box = None
        if _has_gradient(outlines):
            walk.document.ledger.spend(EXTENT_COST * len(outlines))
            box = extent_of((outline, SAME) for outline, _ in outlines)
        for outline, style in outlines:
            walk.draw(outline, place._replace(style=style), None, box)

    def _set(self, walk: "Walk", piece: list[_Letter]) -> tuple[list[_Set], float, float]:
        """The shapes of one piece, from its start, and how far it leads across and down."""
        ready: list[_Set] = []
        x = y = 0.0
        for part, rightwards in _in_order(piece):
            for font, same in self._by_font(walk, part):
                first = same[0]
                x, y = x + first.dx, y + first.dy
                scale = first.style.font_px / font.units
                spaces = _Spaces(first.style)
                text = "".join(letter.sign for letter in same)
                for glyph in font.shaped(text, rightwards, {"liga": False} if spaces.letter else None):
                    letter = same[glyph.cluster]
                    outline = font.outline(glyph.number)
                    if outline.commands:
                        at = x + glyph.x * scale, y - glyph.y * scale
                        ready.append(_Set(outline, *at, scale, letter, glyph.advance * scale))
                    x += glyph.advance * scale + spaces.after(letter.sign)
        return ready, x, y

    def _by_font(self, walk: "Walk", part: list[_Letter]) -> Iterator[tuple[Font, list[_Letter]]]:
        """Letters that are set together: one style, one font, nothing moved."""
        same: list[_Letter] = []
        font: Font | None = None
        for letter in part:
            wanted = self._font(walk, letter)
            if wanted is None:
                continue
            joins = same and wanted is font and letter.style is same[0].style and not letter.moved
            if same and font is not None and not (joins and same[0].turn_deg is None):
                yield font, same
                same = []
            font = wanted
            same.append(letter)
        if same and font is not None:
            yield font, same

    def _font(self, walk: "Walk", letter: _Letter) -> Font | None:
        style, library = letter.style, self._library
        assert library is not None
        families = style.get("font-family", "")
        weight = _WEIGHTS.get(style.get("font-weight", "normal")) or round(number(style.get("font-weight"), NORMAL))
        italic = style.get("font-style", "normal") != "normal"
        choice = library.pick(families, weight, italic)
        first = families.split(",")[0].strip().strip("\"'")
        if not choice.as_asked and first.casefold() not in GENERIC and walk.mode == "paint":
            where = f"it is marked in {choice.font.name}. Choose the font's file, or convert the text to paths"
            walk.document.ledger.unread(f'letter in the font "{brief(first, 40)}"', where)
        if choice.font.has(letter.sign) or letter.sign.isspace():
            return choice.font
        other = library.with_letter(letter.sign, weight, italic)
        if other is None and category(letter.sign) not in ("Cc", "Cf"):
            raise refused(
                f'has the letter "{letter.sign}", which no font on this computer has: choose a font that has it, '
                "or convert the text to paths"
            )
        if other is not None and walk.mode == "paint":
            where = f"it is marked in {other.name}. Choose a font that has this letter, or convert the text to paths"
            walk.document.ledger.unread(f'letter "{letter.sign}", which {choice.font.name} lacks', where)
        return other


def _has_gradient(outlines: list[tuple[Outline, Style]]) -> bool:
    """Whether some paint refers to another element: a gradient is laid over the whole text, not over each letter."""
    return any("url(" in style.get(use, "") for _, style in outlines for use in ("fill", "stroke"))


class _Spaces:
    """What a style adds after letters and words [user units]."""

    def __init__(self, style: Style) -> None:
        self.letter = px_from_text(style.get("letter-spacing"), 0.0, style.font_px, 0.0)
        self.word = px_from_text(style.get("word-spacing"), 0.0, style.font_px, 0.0)

    def after(self, sign: str) -> float:
        return self.letter + (self.word if sign == " " else 0.0)


def _affine(shape: _Set, start: float, y: float) -> Affine:
    to_user = (shape.scale, 0.0, 0.0, -shape.scale, 0.0, 0.0)
    if shape.letter.turn_deg:
        to_user = after(turned(radians(shape.letter.turn_deg)), to_user)
    return after(moved_by(start + shape.x, y + shape.y), to_user)


def _tell_what_is_not_set(walk: "Walk", node: Node, style: Style) -> None:
    """Note what a text asks for and does not get; raises Refused where it would lie elsewhere."""
    if (
        style.get("shape-inside", "none") != "none"
        or px_from_text(style.get("inline-size"), 0.0, style.font_px, 0.0) > 0
    ):
        raise refused("has a text set in a frame, which can't be drawn: convert the text to paths")
    asked = [name for name, plain in _PLAIN.items() if (style.get(name) or plain[0]).split()[0] not in plain]
    if "textLength" in node.attributes:
        asked.append("textLength")
    if walk.mode == "paint":
        for name in asked:
            walk.document.ledger.unread(f"text with {name}", "it is marked without that. Convert the text to paths")


def _gathered(walk: "Walk", node: Node, place: "SvgPlace") -> list[_Letter]:
    """All letters of an element and those inside it, with what the elements say about their places."""
    letters: list[_Letter] = []
    spans: list[tuple[int, int, Node, Style]] = []

    def take(each: Node, style: Style, keeps_space: bool) -> None:
        _tell_what_is_not_set(walk, each, style)
        keeps_space = each.attributes.get("xml:space", "preserve" if keeps_space else "") == "preserve"
        keeps_space = style.get("white-space", "pre" if keeps_space else "").startswith(("pre", "break-spaces"))
        first = len(letters)
        for child in each.content:
            if isinstance(child, str):
                walk.document.ledger.spend(LETTER_COST * len(child))
                letters.extend(_Letter(sign, style, keeps_space) for sign in re.sub(r"[\n\r\t]", " ", child))
            elif child.tag == "tref" and (named := walk.document.linked(child)) is not None:
                parts = [part.text() for part in named.everything()]
                walk.document.ledger.spend(len(parts))
                take(_holding(child, "".join(parts)), walk.document.style(child, style), keeps_space)
            elif child.tag in _INSIDE:
                inner = walk.document.style(child, style)
                if inner.get("display") != "none":
                    take(child, inner, keeps_space)
        spans.append((first, len(letters), each, style))
        if each.tag == "textPath":
            way = way_of(walk, each, place, style.font_px)
            for letter in letters[first:]:
                letter.way = way

    take(node, place.style, False)
    seen = _shown(letters)
    for first, stop, each, style in sorted(spans, key=lambda span: (span[0], -span[1])):
        inside = seen[bisect_left(seen, first) : bisect_left(seen, stop)]
        walk.document.ledger.spend(len(inside) // 4)
        _place_letters([letters[i] for i in inside], each, style, place)
    return [letters[i] for i in seen]


def _holding(node: Node, text: str) -> Node:
    """An element as it would be if it held that text."""
    held = Node("tspan", node.attributes, node.parent)
    held.content.append(text)
    return held


def _shown(letters: list[_Letter]) -> list[int]:
    """Indices of the letters that stay when white space is collapsed."""
    seen: list[int] = []
    after_space = True
    for i, letter in enumerate(letters):
        space = letter.sign == " " and not letter.keeps_space
        if not (space and after_space):
            seen.append(i)
        after_space = space
    while seen and letters[seen[-1]].sign == " " and not letters[seen[-1]].keeps_space:
        seen.pop()
    return seen


def _place_letters(letters: list[_Letter], node: Node, style: Style, place: "SvgPlace") -> None:
    def lengths(name: str, whole: float) -> list[float]:
        words = re.split(r"[\s,]+", node.attributes.get(name, "").strip())
        return [px_from_text(word, whole, style.font_px, 0.0) for word in words if word]

    xs, ys = lengths("x", place.view_w), lengths("y", place.view_h)
    dxs, dys = lengths("dx", place.view_w), lengths("dy", place.view_h)
    turns = [number(word, 0.0) for word in re.split(r"[\s,]+", node.attributes.get("rotate", "").strip()) if word]
    for i, letter in enumerate(letters):
        letter.x = xs[i] if i < len(xs) else letter.x
        letter.y = ys[i] if i < len(ys) else letter.y
        letter.dx = dxs[i] if i < len(dxs) else letter.dx
        letter.dy = dys[i] if i < len(dys) else letter.dy
        if turns:
            letter.turn_deg = turns[min(i, len(turns) - 1)]


def _pieces(letters: list[_Letter]) -> Iterator[list[_Letter]]:
    piece: list[_Letter] = []
    for letter in letters:
        if piece and (letter.placed or letter.way is not piece[-1].way):
            yield piece
            piece = []
        piece.append(letter)
    if piece:
        yield piece


def _in_order(piece: list[_Letter]) -> list[tuple[list[_Letter], bool]]:
    """A piece in the runs in which it is seen."""
    direction = piece[0].style.get("direction", "ltr")
    text = "".join(letter.sign for letter in piece)
    return [(piece[run.start : run.stop], run.rightwards) for run in runs(text, direction != "rtl")]
