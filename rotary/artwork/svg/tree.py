"""From bytes to a tree of elements, with nothing fetched from outside and nothing that can run away."""

import re
import zlib
from collections.abc import Iterator
from contextlib import suppress
from typing import Final
from xml.parsers import expat

from rotary.artwork.outline import Outline
from rotary.artwork.work import MOST_BYTES, MOST_DEPTH, MOST_ELEMENTS, MOST_ENTITY_BYTES, Ledger, refused

SVG: Final = "http://www.w3.org/2000/svg"
XLINK: Final = "http://www.w3.org/1999/xlink"
XML: Final = "http://www.w3.org/XML/1998/namespace"
WITH_TEXT: Final = {"style", "text", "tspan", "textPath", "a", "tref", "flowPara", "flowSpan", "flowDiv", "flowLine"}
ATTRIBUTE_LETTERS: Final = 20
"""What an attribute counts for besides its value: a file may declare a thousand that all its elements then have."""
CUT_SHORT: Final = {
    expat.errors.codes[message]
    for message in (
        expat.errors.XML_ERROR_NO_ELEMENTS,
        expat.errors.XML_ERROR_UNCLOSED_TOKEN,
        expat.errors.XML_ERROR_PARTIAL_CHAR,
        expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION,
    )
}


class Node:
    """One element. Elements of other vocabularies have an empty tag: what they hold is not drawn.

    `outline` is that of a path or polygon once it is read: a part that is placed often is read once; so are `classes`.
    """

    __slots__ = ("_classes", "attributes", "content", "outline", "parent", "tag")

    def __init__(self, tag: str, attributes: dict[str, str], parent: "Node | None") -> None:
        self.tag = tag
        self.attributes = attributes
        self.parent = parent
        self.content: list[Node | str] = []
        self.outline: Outline | None = None
        self._classes: frozenset[str] | None = None

    @property
    def classes(self) -> frozenset[str]:
        """The classes that the element bears."""
        if self._classes is None:
            self._classes = frozenset(self.attributes.get("class", "").split())
        return self._classes

    def children(self) -> Iterator["Node"]:
        """The child elements, in order."""
        return (child for child in self.content if isinstance(child, Node))

    def text(self) -> str:
        """The text that stands directly in the element."""
        return "".join(part for part in self.content if isinstance(part, str))

    def everything(self) -> Iterator["Node"]:
        """The element and all below it, in the order of the file."""
        waiting = [self]
        while waiting:
            node = waiting.pop()
            yield node
            waiting.extend(child for child in reversed(node.content) if isinstance(child, Node))


def unpacked(data: bytes) -> bytes:
    """A gzip-compressed drawing is decompressed, up to the size that a drawing may have.

    >>> import gzip
    >>> unpacked(gzip.compress(b"<svg/>"))
    b'<svg/>'
    """
    if data[:2] == b"\x1f\x8b":
        unpack = zlib.decompressobj(31)
        try:
            out = unpack.decompress(data, MOST_BYTES + 1)
        except zlib.error:
            raise refused("is compressed, and damaged: save it again as a plain SVG file") from None
        if not unpack.eof and len(out) <= MOST_BYTES:
            raise refused("is compressed, and breaks off in the middle: copy it again") from None
        data = out
    if len(data) > MOST_BYTES:
        raise refused(f"holds more than {MOST_BYTES >> 20} MB of drawing: simplify it, or divide it into parts")
    return data


_ENCODING: Final = re.compile(rb"<\?xml[^>]{1,100}?encoding\s*=\s*[\"']([\w-]{1,20})")
_MANY_BYTES: Final = {"gb2312", "gbk", "gb18030", "big5", "shift_jis", "euc-jp", "euc-kr"}
_OTHER_LETTERS: Final = {
    expat.errors.codes[message]
    for message in (
        expat.errors.XML_ERROR_INVALID_TOKEN,
        expat.errors.XML_ERROR_UNKNOWN_ENCODING,
        expat.errors.XML_ERROR_INCORRECT_ENCODING,
    )
}


# What can't be known from the file, or is known to a browser's window alone.
_ELSEWHERE: Final = (
    ("style sheet in another file", re.compile(rb"<\?xml-stylesheet\b"), "Write the colours on the shapes themselves"),
    (
        "calculated length",
        re.compile(rb"(?<![\w-])(?:calc|min|max|clamp)\(|[\s\"':][\d.]+(?:v(?:w|h|min|max)|r?lh|ch)[\s\"';}]"),
        "Write it as a number, in mm for instance",
    ),
)


def tree_from_bytes(data: bytes, ledger: Ledger) -> Node:
    """The root element. Raises Refused: broken off, not XML, too deep, too many elements, nested entities.

    >>> tree_from_bytes(b'<svg xmlns="http://www.w3.org/2000/svg"><g/></svg>', Ledger()).content[0].tag
    'g'
    """
    data = unpacked(data)
    if b"\0" not in data[:4]:
        data = data.strip(b" \t\r\n\0")
    for what, sign, instead in _ELSEWHERE:
        if sign.search(data):
            ledger.unread(what, f"it is left out. {instead}")
    try:
        return _parsed(data)
    except expat.ExpatError as error:
        if error.code not in _OTHER_LETTERS:
            raise
    except (ValueError, LookupError):
        pass
    return _parsed(_in_utf_8(data, ledger), "utf-8")


def _parsed(data: bytes, encoding: str | None = None) -> Node:
    builder = _Builder(encoding)
    try:
        builder.parser.Parse(data, True)
    except expat.ExpatError as error:
        if encoding is None and error.code in _OTHER_LETTERS:
            raise
        raise refused(_complaint(error, builder)) from None
    if builder.root is None:
        raise refused("has no drawing in it: export the artwork again as SVG")
    return builder.root


def _in_utf_8(data: bytes, ledger: Ledger) -> bytes:
    """The same in UTF-8, of a drawing that is in none of the encodings that the parser knows, or not in its own."""
    named = _ENCODING.match(data)
    name = named[1].decode().lower() if named else ""
    for encoding in [name] if name in _MANY_BYTES else ["utf-32" if b"\0\0" in data[:4] else "utf-8"]:
        with suppress(UnicodeDecodeError):
            return data.decode(encoding).encode()
    ledger.unread("letter in an unknown encoding", "it is read as Western European. Save the drawing as UTF-8")
    return data.decode("cp1252", "replace").encode()


_REASONS: Final = {
    expat.errors.codes[expat.errors.XML_ERROR_UNBOUND_PREFIX]: ", with an unknown prefix",
    expat.errors.codes[expat.errors.XML_ERROR_TAG_MISMATCH]: ", where an element is not closed",
    expat.errors.codes[expat.errors.XML_ERROR_DUPLICATE_ATTRIBUTE]: ", where an attribute is there twice",
    expat.errors.codes[expat.errors.XML_ERROR_UNDEFINED_ENTITY]: ", with an unknown sign",
    expat.errors.codes[expat.errors.XML_ERROR_JUNK_AFTER_DOC_ELEMENT]: ", with something after the drawing",
}


def _complaint(error: expat.ExpatError, builder: "_Builder") -> str:
    if error.code in CUT_SHORT and builder.root is not None:
        return f"breaks off in line {error.lineno}: copy it again, or export it again as SVG"
    if builder.root is None:
        return "is neither an SVG nor a DXF drawing: export the artwork again as SVG or DXF"
    return f"is damaged in line {error.lineno}{_REASONS.get(error.code, '')}: export it again as SVG"


class _Builder:
    """Collects elements as the parser meets them."""

    def __init__(self, encoding: str | None) -> None:
        self.root: Node | None = None
        self._open: list[Node] = []
        self._elements = 0
        self._entities = 0
        self._letters = 0
        self.parser = expat.ParserCreate(encoding, namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.EntityDeclHandler = self._entity
        # An entity that lies in another file is never fetched: it stands for nothing.
        self.parser.ExternalEntityRefHandler = lambda *_: 1

    def _start(self, name: str, given: dict[str, str]) -> None:
        self._elements += 1
        if self._elements > MOST_ELEMENTS:
            raise refused(f"has more than {MOST_ELEMENTS:,} elements: simplify it, or divide it into parts")
        if len(self._open) >= MOST_DEPTH:
            raise refused(f"has more than {MOST_DEPTH} groups inside each other: ungroup it and export it again")
        space, _, tag = name.rpartition(" ")
        parent = self._open[-1] if self._open else None
        node = Node(tag if space in (SVG, "") else "", _attributes(given) if given else {}, parent)
        self._count(sum(map(len, given.values())) + ATTRIBUTE_LETTERS * len(given))
        if parent is None:
            self.root = node
        else:
            parent.content.append(node)
        self._open.append(node)

    def _end(self, _name: str) -> None:
        self._open.pop()

    def _text(self, text: str) -> None:
        self._count(len(text))
        if self._open and self._open[-1].tag in WITH_TEXT:
            self._open[-1].content.append(text)

    def _count(self, letters: int) -> None:
        self._letters += letters
        if self._letters > 2 * MOST_BYTES:
            raise refused("holds abbreviations that rotary can't write out in full: save it again as plain SVG")

    def _entity(
        self,
        _name: str,
        _parameter: bool,
        value: str | None,
        _base: object,
        _system: object,
        _public: object,
        _n: object,
    ) -> None:
        if value is None:
            return
        self._entities += len(value)
        if self._entities > MOST_ENTITY_BYTES:
            raise refused("holds abbreviations that rotary can't write out in full: save it again as plain SVG")
        if "&" in value:
            raise refused("holds abbreviations that rotary can't write out in full: save it again as plain SVG")


def _attributes(given: dict[str, str]) -> dict[str, str]:
    """Plain names; a plain `href` wins over one of the older vocabulary."""
    if not any(" " in name for name in given):
        return given
    out = {}
    for name, value in given.items():
        space, _, local = name.rpartition(" ")
        if space == "":
            out[local] = value
        elif space == XLINK and local == "href":
            out.setdefault("href", value)
        elif space == XML:
            out[f"xml:{local}"] = value
    return out
