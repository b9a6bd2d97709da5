"""Fonts: the one that comes with the program, and the person's own.

The default is Noto Sans (SIL Open Font License): Latin, Greek, Cyrillic and Vietnamese letters in every
weight from 100 to 900, upright and italic. A letter that a font lacks is never drawn as a box: it is
left out and named.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from difflib import get_close_matches
from functools import cached_property, lru_cache
from itertools import islice
from pathlib import Path
from typing import Any, Final, NamedTuple
from unicodedata import category, combining

import uharfbuzz as hb  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.outline import Outline, outline_from
from rotary.errors import Refused, brief, listing, refuse
from rotary.files import bytes_of_file, is_there, regular_bytes

MOST_FONT_BYTES: Final = 64 << 20
NORMAL: Final = 400
BOLD: Final = 700
FIELD: Final = "artwork.font"
FONT_ENDINGS: Final = frozenset({".ttf", ".otf"})
MOST_MARKS: Final = 60  # on one letter
MOST_FONT_FILES: Final = 5_000
_BLANK: Final = "\u115f\u1160\u2800\u3164\uffa0"  # signs whose shape is empty
GENERIC: Final = frozenset({"sans-serif", "serif", "monospace", "system-ui", "inherit", ""})
"""Families that name a kind of letter and no font."""


class Glyph(NamedTuple):
    """One shape of a set text: which, for which letter of the text, how far from the pen, how far the pen moves on."""

    number: int
    cluster: int
    x: float
    y: float
    advance: float


class Font:
    """One face in one weight. Lengths in font units, `units` of them to the size of the letters."""

    def __init__(self, face: Any, weight: int) -> None:
        self.face = face
        self.weight = weight
        self.units: int = face.upem
        self._font = hb.Font(face)
        if any(axis.tag == "wght" for axis in face.axis_infos):
            self._font.set_variations({"wght": float(weight)})
        self._outlines: dict[int, Outline] = {}

    @property
    def name(self) -> str:
        """The font's family, as the font says it."""
        return brief(self.face.get_name(hb.OTNameIdPredefined.FONT_FAMILY) or "a font without a name", 40)

    @cached_property
    def capital_height(self) -> float:
        """Height of a capital H over the line it stands on."""
        number = self._font.get_nominal_glyph(ord("H"))
        extents = self._font.get_glyph_extents(number) if number else None
        return float(extents.y_bearing) if extents and extents.y_bearing > 0 else 0.7 * self.units

    @cached_property
    def line_height(self) -> float:
        """From line to line, as the font asks for."""
        extents = self._font.get_font_extents("ltr")
        height = float(extents.ascender - extents.descender + extents.line_gap)
        return height if height > 0 else 1.2 * self.units

    def has(self, letter: str) -> bool:
        """Whether the font has a shape for a letter."""
        number = self._font.get_nominal_glyph(ord(letter))
        return bool(number) and (not _is_seen(letter) or self._is_drawn(number))

    def _is_drawn(self, number: int) -> bool:
        return bool(number) and bool(self.outline(number).commands)

    def shaped(self, text: str, rightwards: bool = True, features: dict[str, bool] | None = None) -> list[Glyph]:
        """The shapes of a text, leftmost first, all lengths in font units, y upwards. Raises Refused.

        A letter whose outline is empty, as in a damaged font or one of pictures, counts as lacking: its number is 0.
        """
        if len(text) > MOST_MARKS and not text.isascii() and any(len(run) > MOST_MARKS for run in _mark_runs(text)):
            # Marks are put in order two by two: thousands on one letter would never end.
            raise refuse(FIELD, f"a letter has more than {MOST_MARKS} accents: remove them")
        buffer = hb.Buffer()
        buffer.add_codepoints([ord(letter) for letter in text])
        buffer.guess_segment_properties()
        buffer.direction = "ltr" if rightwards else "rtl"
        hb.shape(self._font, buffer, features or {})
        glyphs = [
            Glyph(info.codepoint, info.cluster, place.x_offset, place.y_offset, place.x_advance)
            for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
        ]
        # Where a letter is set as several shapes, one of them may be empty.
        drawn = {glyph.cluster for glyph in glyphs if self._is_drawn(glyph.number)}
        return [
            glyph if glyph.cluster in drawn or not _is_seen(text[glyph.cluster]) else glyph._replace(number=0)
            for glyph in glyphs
        ]

    def outline(self, number: int) -> Outline:
        """The outline of a shape, y upwards."""
        if number not in self._outlines:
            commands: list[str] = []
            numbers: list[float] = []
            self._font.draw_glyph(number, _pen(), (commands, numbers))
            self._outlines[number] = outline_from("".join(commands), numbers)
        return self._outlines[number]


def _is_seen(sign: str) -> bool:
    """Whether a sign by itself leaves ink: a letter, number, punctuation mark or picture."""
    return category(sign)[0] in "LNPS" and sign not in _BLANK


def _mark_runs(text: str) -> list[str]:
    return "".join("^" if combining(sign) else " " for sign in text).split()


@lru_cache(maxsize=1)
def _pen() -> Any:
    def taker(command: str) -> Any:
        def take(*values: Any) -> None:
            commands, numbers = values[-1]
            commands.append(command)
            numbers.extend(values[:-1])

        return take

    pen = hb.DrawFuncs()
    pen.set_move_to_func(taker("M"))
    pen.set_line_to_func(taker("L"))
    pen.set_quadratic_to_func(taker("Q"))
    pen.set_cubic_to_func(taker("C"))
    pen.set_close_path_func(taker("Z"))
    return pen


class FontFace(NamedTuple):
    """A font file: its family's names, its own weight, whether it is italic, whether its weight can be chosen."""

    families: tuple[str, ...]
    weight: int
    italic: bool
    variable: bool
    face: Any

    def font(self, weight: int) -> Font:
        """The face in a weight, as near as it has."""
        return _font(self.face, weight if self.variable else self.weight)


@lru_cache(maxsize=64)
def _font(face: Any, weight: int) -> Font:
    return Font(face, weight)


def face_from_file(path: Path) -> FontFace:
    """Read a TTF or OTF file. Raises Refused where it is no font."""
    larger = refuse(FIELD, f"{brief(path.name)} is larger than {MOST_FONT_BYTES >> 20} MB: choose another font")
    return face_from_bytes(bytes_of_file(path, MOST_FONT_BYTES, "name a TTF or OTF font file", larger), path.name)


def face_from_bytes(data: bytes, name: str) -> FontFace:
    """A face from a font file's bytes. Raises Refused where it is no font, or has no outlines."""
    face = hb.Face(hb.Blob(data))
    try:
        outlined = {"glyf", "CFF ", "CFF2"} & set(face.table_tags)
        variable = any(axis.tag == "wght" for axis in face.axis_infos)
    except UnicodeDecodeError:  # damaged names of its parts, which the library can't hand over
        raise _no_font(name) from None
    if face.glyph_count == 0 or not outlined:
        raise _no_font(name)
    font = hb.Font(face)
    names = (face.get_name(hb.OTNameIdPredefined.FONT_FAMILY), face.get_name(hb.OTNameIdPredefined.TYPOGRAPHIC_FAMILY))
    return FontFace(
        tuple(dict.fromkeys(found for found in names if found)),
        round(font.get_style_value(hb.StyleTag.WEIGHT)),
        font.get_style_value(hb.StyleTag.ITALIC) > 0.5,
        variable,
        face,
    )


def _no_font(name: str) -> Refused:
    return refuse(FIELD, f"{brief(name)} is not a font with outlines: choose a TTF or OTF file")


@lru_cache(maxsize=1)
def default_faces() -> tuple[FontFace, ...]:
    """The font that comes with the program: upright and italic."""
    import fontpkg_noto_sans  # type: ignore[import-untyped, unused-ignore]

    files = sorted(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf"))
    return tuple(sorted((face_from_file(path) for path in files), key=lambda face: face.italic))


def font_of(path: Path | None, weight: int, italic: bool = False) -> Font:
    """The person's own font, or the default one, in a weight. Raises Refused where a file is no font, FileTrouble."""
    if path is None:
        return default_faces()[italic].font(weight)
    try:
        changed = path.stat().st_mtime_ns
    except (OSError, ValueError):
        changed = 0
    return _own_face(path, changed).font(weight)


@lru_cache(maxsize=16)
def _own_face(path: Path, changed: int) -> FontFace:  # noqa: ARG001  (a changed file is another font)
    return face_from_file(path)


def font_file(named: str, beside: Path) -> Path:
    """The file that a person means: one beside the job, or that of a font of this machine by its family name.

    Raises Refused where a name is neither, with names that are nearly the same.
    """
    path = beside / named
    if path.suffix.casefold() in FONT_ENDINGS or is_there(path):
        return path
    families = system_families()
    own = families.get(named.strip().casefold())
    if own is None:
        near = listing([f'"{name}"' for name in get_close_matches(named.casefold(), families, 3)], "or")
        advice = f"did you mean {near}?" if near else "choose a TTF or OTF file"
        raise refuse(FIELD, f"no font file and no font on this computer is named {brief(named)}: {advice}")
    return own[0]


def font_folders() -> tuple[Path, ...]:
    """Where this machine's fonts lie: the person's own, then everybody's."""
    home, windows = Path.home(), os.environ.get("WINDIR", r"C:\Windows")
    data = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", home)) / "Microsoft/Windows/Fonts", Path(windows) / "Fonts"
    if sys.platform == "darwin":
        return home / "Library/Fonts", Path("/Library/Fonts"), Path("/System/Library/Fonts")
    return data / "fonts", home / ".fonts", Path("/usr/local/share/fonts"), Path("/usr/share/fonts")


@lru_cache(maxsize=1)
def system_families() -> dict[str, tuple[Path, ...]]:
    """The files of this machine's fonts by family, in small letters; upright and nearest to the usual weight first."""
    found: dict[str, list[tuple[tuple[bool, int], Path]]] = {}
    for path in islice(_font_files(), MOST_FONT_FILES):
        with suppress(Refused, OSError, ValueError):
            face = _face_of_machine(path)
            for name in face.families:
                order = face.italic, 0 if face.variable else abs(face.weight - NORMAL)
                found.setdefault(name.casefold(), []).append((order, path))
    return {name: tuple(path for _, path in sorted(files)) for name, files in found.items()}


def _font_files() -> Iterator[Path]:
    for folder in font_folders():
        for inside, _, names in os.walk(folder):
            yield from (Path(inside) / name for name in sorted(names) if Path(name).suffix.casefold() in FONT_ENDINGS)


class FontChoice(NamedTuple):
    """A font, and whether it is of the family that was asked for."""

    font: Font
    as_asked: bool


class Library:
    """The fonts at hand: the person's first, then the default, then (where `system` is) those of this machine."""

    def __init__(self, files: tuple[Path, ...] = (), system: bool = True) -> None:
        self._own = tuple(face_from_file(path) for path in files)
        self._system = system
        self._picked: dict[tuple[str, int, bool], FontChoice] = {}
        self._others: list[FontFace] = []  # of this machine, that had a letter which the first ones lack

    def pick(self, families: str, weight: int = NORMAL, italic: bool = False) -> FontChoice:
        """The first of the families (a list as CSS has it) that is at hand, else the default."""
        asked = families, weight, italic
        if asked not in self._picked:
            self._picked[asked] = self._choice(families, weight, italic)
        return self._picked[asked]

    def _choice(self, families: str, weight: int, italic: bool) -> FontChoice:
        faces = (*self._own, *default_faces())
        for family in (word.strip().strip("\"'").casefold() for word in families.split(",")):
            found = [face for face in faces if family in (name.casefold() for name in face.families)]
            if not found and self._system and family not in GENERIC:
                found = list(_system_faces(family))
            if found:
                return FontChoice(_nearest(found, weight, italic).font(weight), True)
        return FontChoice(_nearest(list(default_faces()), weight, italic).font(weight), False)

    def with_letter(self, letter: str, weight: int, italic: bool) -> Font | None:
        """Some font at hand that has the letter."""
        for face in (*self._own, *default_faces()):
            font = face.font(weight)
            if font.has(letter) and (face.italic == italic or face in self._own):
                return font
        for face in self._others:
            if face.font(weight).has(letter):
                return face.font(weight)
        for family in system_families() if self._system else ():
            for face in _system_faces(family)[:1]:
                if face.font(weight).has(letter):
                    self._others.append(face)
                    return face.font(weight)
        return None


@lru_cache(maxsize=64)
def _system_faces(family: str) -> tuple[FontFace, ...]:
    return tuple(_face_of_machine(path) for path in system_families().get(family, ()))


def _face_of_machine(path: Path) -> FontFace:
    larger = refuse(FIELD, f"{path.name} is too large for a font: choose another TTF or OTF file")
    return face_from_bytes(regular_bytes(path, MOST_FONT_BYTES, larger), path.name)


def _nearest(faces: list[FontFace], weight: int, italic: bool) -> FontFace:
    return min(faces, key=lambda face: (face.italic != italic, 0 if face.variable else abs(face.weight - weight)))
