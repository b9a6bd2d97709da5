"""The letters of all papers: Noto Sans, which comes with the program, in three cuts; how wide they run, and as a font.

Its figures are all equally wide, so that columns of them stand under each other. What the font lacks is written with
what it has, where a sign is meant, or shown as a question mark, and `lacking` names it.
"""

import io
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final

import uharfbuzz as hb  # type: ignore[import-untyped, unused-ignore]

from rotary.errors import single_line
from rotary.papers.drawing import Face

CUTS: Final[dict[Face, tuple[float, float]]] = {"plain": (400.0, 90.0), "bold": (700.0, 90.0), "narrow": (400.0, 76.0)}
"""Weight and width of each face, as the font's own axes count them."""

FAMILY: Final = "Noto Sans"
LEADING: Final = 1.22
"""From line to line, over the letters' size."""

STAND_IN: Final = "?"
_SIGNS: Final = {
    "⌀": "Ø", " → ": " to ", "→": "to", "≤": "at most ", "≥": "at least ", "−": "-", "⚠": "!", "☐": "[ ]", "✓": "x",
    "≈": "about ", "∞": "no end",
}  # fmt: skip


@lru_cache(maxsize=1)
def _font_bytes() -> bytes:
    return (files("fontpkg_noto_sans") / "files" / "NotoSans[wdth,wght].ttf").read_bytes()


@lru_cache(maxsize=1)
def _face() -> Any:
    return hb.Face(_font_bytes())


@lru_cache(maxsize=len(CUTS))
def _measure(face: Face) -> Any:
    font = hb.Font(_face())
    weight, width = CUTS[face]
    font.set_variations({"wght": weight, "wdth": width})
    return font


@lru_cache(maxsize=8192)
def _advance(letter: str, face: Face) -> float:
    font = _measure(face)
    number = font.get_nominal_glyph(ord(letter))
    return float(font.get_glyph_h_advance(number or 0)) / float(_face().upem)


@lru_cache(maxsize=8192)
def _has(letter: str) -> bool:
    return bool(_measure("plain").get_nominal_glyph(ord(letter)))


def _spelled(text: str) -> str:
    text = unicodedata.normalize("NFC", text)
    for sign, instead in _SIGNS.items():
        if sign in text:
            text = text.replace(sign, instead)
    return text


def lacking(texts: Iterable[str]) -> str:
    """The letters that the font can't show, each once.

    >>> lacking(["Reiher, цапля", "鷺"])
    '鷺'
    """
    return "".join(sorted({letter for text in texts for letter in _spelled(single_line(text)) if not _has(letter)}))


def printable(text: str) -> str:
    """The text as the font can show it, on one line.

    >>> printable("⌀88 → ⌀70 mm 鷺")
    'Ø88 to Ø70 mm ?'
    """
    return "".join(letter if _has(letter) else STAND_IN for letter in _spelled(single_line(text)))


def wide_mm(text: str, size_mm: float, face: Face = "plain") -> float:
    """How far a line of words runs.

    >>> round(wide_mm("12", 10.0) - wide_mm("74", 10.0), 9)
    0.0
    """
    return size_mm * sum(_advance(letter, face) for letter in text)


def broken(text: str, room_mm: float, size_mm: float, face: Face = "plain") -> list[str]:
    """A text in lines that are no wider than the room; a word that is wider is broken anywhere.

    >>> broken("a stop at the end", 12.0, 3.0)
    ['a stop at', 'the end']
    """
    lines: list[str] = []
    for word in printable(text).split():
        if lines and wide_mm(f"{lines[-1]} {word}", size_mm, face) <= room_mm:
            lines[-1] += f" {word}"
            continue
        while wide_mm(word, size_mm, face) > room_mm and len(word) > 1:
            fits = next(
                (many for many in range(len(word) - 1, 1, -1) if wide_mm(word[:many], size_mm, face) <= room_mm), 1
            )
            lines.append(word[:fits])
            word = word[fits:]
        lines.append(word)
    return lines


def clipped(text: str, room_mm: float, size_mm: float, face: Face = "plain") -> str:
    """A text on one line, ended with … where it has no room.

    >>> clipped("a very long name", 12.0, 3.0)
    'a very l…'
    """
    text = printable(text)
    if wide_mm(text, size_mm, face) <= room_mm:
        return text
    while text and wide_mm(f"{text}…", size_mm, face) > room_mm:
        text = text[:-1]
    return f"{text.rstrip()}…"


def font_of(letters: frozenset[str], face: Face) -> bytes:
    """A TrueType font of these letters alone, in one cut, for embedding."""
    from fontTools import subset  # type: ignore[import-untyped, unused-ignore]
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped, unused-ignore]
    from fontTools.varLib import instancer  # type: ignore[import-untyped, unused-ignore]

    font = TTFont(io.BytesIO(_font_bytes()), lazy=True, recalcTimestamp=False)
    how = subset.Options()
    how.layout_features, how.hinting, how.notdef_outline = [], False, True
    how.drop_tables += ["GSUB", "GPOS", "GDEF", "STAT", "meta"]
    cut = subset.Subsetter(how)
    cut.populate(unicodes={ord(letter) for letter in letters | {" ", STAND_IN}})
    cut.subset(font)
    weight, width = CUTS[face]
    made = instancer.instantiateVariableFont(font, {"wght": weight, "wdth": width}, inplace=True)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()
