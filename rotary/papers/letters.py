"""The letters of all papers: Noto Sans, which comes with the program, in three cuts; how wide they run, and as a font.

Its figures are all equally wide, so that columns of them stand under each other. What the font lacks is written with
what it has, where a sign is meant; letters of other scripts come from a font of the computer, where one has them, else
they stand as their number, [U+9DFA], and `lacking` names them.
"""

import io
import re
import unicodedata
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

import uharfbuzz as hb  # type: ignore[import-untyped, unused-ignore]

from rotary.bidi import runs as bidi_runs
from rotary.errors import single_line
from rotary.papers.drawing import Face

CUTS: Final[dict[Face, tuple[float, float]]] = {"plain": (400.0, 90.0), "bold": (700.0, 90.0), "narrow": (400.0, 76.0)}
"""Weight and width of each face, as the font's own axes count them."""

FAMILY: Final = "Noto Sans"
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


_MIRRORED: Final = str.maketrans("()[]{}<>«»", ")(][}{><»«")
_LAM: Final = "\u0644"
_ALEFS: Final = frozenset("\u0622\u0623\u0625\u0627")


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
    r"""The text on one line, letters that no font here can show as their numbers.

    >>> printable("⌀88 → ⌀70 mm \uf8ff")
    'Ø88 to Ø70 mm [U+F8FF]'
    """
    return "".join(
        letter if _has(letter) or other_font(letter) else f"[U+{ord(letter):04X}]" for letter in _spelled(text)
    )


def font_runs(text: str) -> list[tuple[Path | None, str]]:
    """The text on one line in runs of one font each, None for our own, in the order of the eye.

    >>> font_runs("Heron 7")
    [(None, 'Heron 7')]
    """
    return by_font(_in_view(_joined(printable(text))))


def runs_of_lines(text: str, fits: Callable[[str, int], bool]) -> list[list[tuple[Path | None, str]]]:
    """The text in lines, each in runs of one font: broken where it is read, then turned line by line (Unicode annex 9).

    `fits` says whether letters have room on a line, by its number; a word that has none is broken anywhere.

    >>> [[text for _, text in line] for line in runs_of_lines("a stop at the end", lambda text, _: len(text) < 10)]
    [['a stop at'], ['the end']]
    """
    joined = _joined(printable(text))
    return [by_font(_in_view(joined, line)) for line in _lines(joined, fits)]


def _lines(text: str, fits: Callable[[str, int], bool]) -> list[slice]:
    lines: list[slice] = []
    for word in re.finditer(r"\S+", text):
        start, stop = word.span()
        if lines and fits(text[lines[-1].start : stop], len(lines) - 1):
            lines[-1] = slice(lines[-1].start, stop)
            continue
        while not fits(text[start:stop], len(lines)) and stop - start > 1:
            ends = range(stop - 1, start + 1, -1)
            end = next((end for end in ends if fits(text[start:end], len(lines))), start + 1)
            lines.append(slice(start, end))
            start = end
        lines.append(slice(start, stop))
    return lines


def by_font(text: str) -> list[tuple[Path | None, str]]:
    """Letters that stand as the eye has them, in runs of one font each."""
    runs: list[tuple[Path | None, str]] = []
    for letter in text:
        path = runs[-1][0] if letter == " " and runs else other_font(letter)
        if runs and runs[-1][0] == path:
            runs[-1] = (path, runs[-1][1] + letter)
        else:
            runs.append((path, letter))
    return runs


def _in_view(text: str, line: slice = slice(None)) -> str:
    """Letters of a text, or of one line of it, from left to right as they stand there."""
    part = text[line]
    parts = ((part[run.start : run.stop], run.rightwards) for run in bidi_runs(text, True, line))
    return "".join(letters if rightwards else _turned(letters) for letters, rightwards in parts)


def _turned(text: str) -> str:
    """The text from its end, marks still after their letters, brackets mirrored."""
    letters: list[str] = []
    for letter in text.translate(_MIRRORED):
        if unicodedata.combining(letter) and letters:
            letters[-1] += letter
        else:
            letters.append(letter)
    return "".join(reversed(letters))


@lru_cache(maxsize=1)
def _forms() -> dict[tuple[str, str], str]:
    """The forms of letters that join, by the letters and the place: isolated, initial, medial, final.

    From the compatibility decompositions of the Unicode character database, Arabic Presentation Forms A and B.
    """
    forms: dict[tuple[str, str], str] = {}
    for code in (*range(0xFB50, 0xFDFE), *range(0xFE70, 0xFEFD)):
        place, _, letters = unicodedata.decomposition(chr(code)).partition("> ")
        text = "".join(chr(int(letter, 16)) for letter in letters.split())
        if len(text) == 1 or (text[:1] == _LAM and text[1:] in _ALEFS):
            forms.setdefault((text, place[1:]), chr(code))
    return forms


def _joined(text: str) -> str:
    """Each letter of a script that joins in the form that its neighbours ask for; lam and alef in one."""
    if text.isascii():
        return text
    forms = _forms()
    parts: list[str] = []
    for letter in text:
        if parts and parts[-1] == _LAM and letter in _ALEFS:
            parts[-1] += letter
        else:
            parts.append(letter)
    # Marks stand over letters and part none.
    places = [at for at, part in enumerate(parts) if not unicodedata.combining(part[0])]
    alone = ["", *(parts[at] for at in places), ""]
    for at, before, part, after in zip(places, alone, alone[1:], alone[2:], strict=False):
        is_tied = (before, "initial") in forms and (part, "final") in forms
        ties = (part, "initial") in forms and (after, "final") in forms
        place = ("medial" if ties else "final") if is_tied else "initial" if ties else "isolated"
        form = forms.get((part, place), part)
        parts[at] = form if other_font(form) else part
    return "".join(parts)


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
    plain = " ".join(printable(text).split())
    return [plain[line] for line in _lines(plain, lambda part, _: wide_mm(part, size_mm, face) <= room_mm)]


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
