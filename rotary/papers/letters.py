"""The letters of all papers: Noto Sans, which comes with the program, in three cuts; how wide they run, and as a font.

Its figures are all equally wide, so that columns of them stand under each other. What the font lacks is written with
what it has, where a sign is meant; letters of other scripts come from a font of the computer, where one has them, else
they stand as their number, [U+9DFA], and `lacking` names them.
"""

import io
import unicodedata
from collections.abc import Iterable
from contextlib import suppress
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import uharfbuzz as hb  # type: ignore[import-untyped, unused-ignore]

from rotary.errors import single_line
from rotary.papers.drawing import Face

CUTS: Final[dict[Face, tuple[float, float]]] = {"plain": (400.0, 90.0), "bold": (700.0, 90.0), "narrow": (400.0, 76.0)}
"""Weight and width of each face, as the font's own axes count them."""

FAMILY: Final = "Noto Sans"
LEADING: Final = 1.22
"""From line to line, over the letters' size."""

FONT_PLACES: Final = (
    "/usr/share/fonts", "/usr/local/share/fonts", "~/.local/share/fonts", "~/.fonts", "/Library/Fonts",
    "/System/Library/Fonts", "~/Library/Fonts", "C:/Windows/Fonts",
)  # fmt: skip
"""Where systems have their fonts (common practice, no source)."""

MOST_FONTS: Final = 600
_SIGNS: Final = {
    "⌀": "Ø", " → ": " to ", "→": "to", "≤": "at most ", "≥": "at least ", "−": "-", "⚠": "!", "☐": "[ ]", "✓": "x",
    "≈": "about ", "∞": "no end", "≠": "not ", "\u200b": "",
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
    """The text on one line, signs that the font lacks in its words. A letter of private use is nobody's to leave out:
    it is none that moves a cursor, and has to be told of as lacking.
    """
    if not text.isprintable():
        text = "".join(letter if unicodedata.category(letter) == "Co" else single_line(letter) for letter in text)
    text = unicodedata.normalize("NFC", text)
    for sign, instead in _SIGNS.items():
        if sign in text:
            text = text.replace(sign, instead)
    return text


@lru_cache(maxsize=1)
def _system_fonts() -> tuple[tuple[Path, frozenset[int]], ...]:
    """The computer's own fonts with outlines that a PDF takes, upright ones first, and the letters of each."""
    from fontTools.ttLib import TTFont, TTLibError  # type: ignore[import-untyped, unused-ignore]

    files_there: list[Path] = []
    for place in FONT_PLACES:
        with suppress(OSError, RuntimeError):
            files_there += sorted(Path(place).expanduser().rglob("*.ttf"))[:MOST_FONTS]
    fonts = []
    for path in sorted(files_there, key=lambda path: (len(path.stem), path.stem)):
        with suppress(OSError, TTLibError, ValueError, KeyError), TTFont(path, lazy=True) as font:
            if "glyf" in font and "fvar" not in font:
                fonts.append((path, frozenset(font.getBestCmap() or ())))
    return tuple(fonts)


@lru_cache(maxsize=512)
def other_font(letter: str) -> Path | None:
    """The font of the computer that shows a letter which the papers' own font lacks; None where none does."""
    if _has(letter) or not letter.isprintable():
        return None
    return next((path for path, letters in _system_fonts() if ord(letter) in letters), None)


def lacking(texts: Iterable[str]) -> str:
    r"""The letters that no font here can show, each once.

    >>> lacking(["Reiher, цапля", "\uf8ff"])
    '\uf8ff'
    """
    every = {letter for text in texts for letter in _spelled(text)}
    return "".join(sorted(letter for letter in every if not _has(letter) and other_font(letter) is None))


def printable(text: str) -> str:
    r"""The text as our own font can show it, on one line.

    >>> printable("⌀88 → ⌀70 mm \uf8ff")
    'Ø88 to Ø70 mm [U+F8FF]'
    """
    return "".join(letter if _has(letter) else f"[U+{ord(letter):04X}]" for letter in _spelled(text) if letter)


def font_runs(text: str) -> list[tuple[Path | None, str]]:
    """The text on one line in runs of one font each, None for our own.

    Words of scripts that are read from right to left follow each other in the order of the eye.

    >>> font_runs("Heron 7")
    [(None, 'Heron 7')]
    """
    runs: list[tuple[Path | None, str]] = []
    for letter in _spelled(text):
        path = other_font(letter)
        if letter == " " and runs:
            path = runs[-1][0]
        shown = letter if path or _has(letter) else f"[U+{ord(letter):04X}]"
        if runs and runs[-1][0] == path:
            runs[-1] = (path, runs[-1][1] + shown)
        else:
            runs.append((path, shown))
    return [(path, " ".join(run.split(" ")[::-1]) if path and _is_leftwards(run) else run) for path, run in runs]


def _is_leftwards(text: str) -> bool:
    return any(unicodedata.bidirectional(letter) in ("R", "AL") for letter in text)


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
    cut.populate(unicodes={ord(letter) for letter in letters | set(" []+0123456789ABCDEFU?")})
    cut.subset(font)
    weight, width = CUTS[face]
    made = instancer.instantiateVariableFont(font, {"wght": weight, "wdth": width}, inplace=True)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()
