"""Typed text: sizes, lines, fonts, single strokes, letters that a font lacks."""

import re
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from typing import Literal

import numpy as np
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from rotary.artwork.fonts import default_faces, font_file, system_families
from rotary.artwork.line_letters import CAPITAL, LineFace, curved
from rotary.artwork.outline import flattened
from rotary.artwork.rings import area_mm2, bounds_mm
from rotary.artwork.text import Lettering, drawing_from_text
from rotary.bidi import runs
from rotary.errors import FileTrouble, Refused
from tests.artwork.test_fuzz import font_bytes

BOATHOUSE = "Regatta"


@pytest.mark.parametrize("face", ["outline", "line-sans", "line-roman"])
@pytest.mark.parametrize("height", [0.8, 8.0, 80.0])
def test_a_capital_is_as_high_as_asked(face: str, height: float) -> None:
    """The one size that can be measured on the item with a rule is met: the height of a capital H."""
    lettering = Lettering.model_validate({"text": "H", "letter_height_mm": height, "face": face, "line_width_mm": 0.1})
    assert drawing_from_text(lettering).ink_height_mm == pytest.approx(height, rel=1e-6)


def test_the_text_reads_upright_and_to_the_right() -> None:
    """An L has its stem left and its foot below: the page is neither mirrored nor upside down."""
    ink = drawing_from_text(Lettering(text="L", letter_height_mm=10.0)).ink
    x, y = ink.points_mm.T
    assert y[x < x.max() / 2].max() > 9
    assert y[x > x.max() / 2].max() < 3


def test_lines_are_set_below_each_other_in_the_middle() -> None:
    """The first line stands above the second; a short line is shifted by half of what it lacks.

    To within the white that each letter has beside it.
    """
    both = drawing_from_text(Lettering(text="HHHH\nI"))
    long, short = (drawing_from_text(Lettering(text=text)) for text in ("HHHH", "I"))
    points = both.ink.points_mm
    lower = points[points[:, 1] < short.height_mm + 1e-6]
    assert points[:, 1].max() > 1.5 * short.height_mm
    assert lower[:, 0].min() == pytest.approx((long.width_mm - short.width_mm) / 2, abs=1.0)


@pytest.mark.parametrize("text", ["q\u0302", "\u0445\u0301\u0323", "\u05d1\u05bc"])
def test_letter_spacing_pushes_no_mark_off_its_letter(text: str) -> None:
    """A letter with accents that has no sign of its own is drawn alike however far apart letters stand."""
    try:
        close = drawing_from_text(Lettering(text=text))
    except Refused:
        pytest.skip("the default font lacks this letter")
    wide = drawing_from_text(Lettering(text=text, letter_spacing_mm=5.0))
    assert wide.ink_width_mm == pytest.approx(close.ink_width_mm, abs=1e-9)
    both = drawing_from_text(Lettering(text=text + text[0], letter_spacing_mm=5.0))
    plain = drawing_from_text(Lettering(text=text + text[0]))
    assert both.ink_width_mm == pytest.approx(plain.ink_width_mm + 5.0, abs=1e-9)


def test_letter_spacing_is_put_between_letters_only() -> None:
    """n letters have n - 1 spaces between them."""
    tight = drawing_from_text(Lettering(text="HHHHH"))
    wide = drawing_from_text(Lettering(text="HHHHH", letter_spacing_mm=2.0))
    assert wide.width_mm - tight.width_mm == pytest.approx(4 * 2.0, abs=1e-6)


def test_the_weight_of_the_default_font_can_be_chosen() -> None:
    """A heavier letter has more ink, over the whole range of the variable font."""
    inks = [area_mm2(drawing_from_text(Lettering(text=BOATHOUSE, weight=w)).ink) for w in (100, 250, 400, 700, 900)]
    assert inks == sorted(inks)
    assert inks[-1] > 3 * inks[0]


@pytest.mark.parametrize("face", ["outline", "line-sans"])
def test_a_text_with_letters_that_are_missing_is_refused(face: Literal["outline", "line-sans"]) -> None:
    """A letter that the font lacks is neither drawn as a box nor left out of somebody's name: all of them are named."""
    with pytest.raises(Refused, match=r'lacks? "漢" and "字"'):
        drawing_from_text(Lettering(text="A漢B漢C字", face=face))


LATIN = "".join(chr(code) for code in range(0xA1, 0x180) if chr(code).isprintable() and code not in (0xA4, 0xAF, 0xB4))


def test_single_strokes_have_every_letter_of_latin_writing() -> None:
    """All of Latin-1 and Latin Extended-A but lone accents and the sign for any currency, and what prints add to it.

    Blocks of the Unicode Standard.
    """
    lacking = [sign for sign in LATIN + "€‘’“”„–—…•™ẞȘșȚț" if drawn_alone(sign) is None]
    assert set(lacking) <= {"¨", "¸", "¶"}


def drawn_alone(sign: str) -> object:
    faces = (LineFace("line-sans"), LineFace("line-roman"), LineFace("line-script"))
    return all(face.letter(sign) for face in faces) or None


@pytest.mark.parametrize("sign", "OSCGQ0369aegos&€£ß")
def test_single_strokes_are_smooth(sign: str) -> None:
    """Round letters 6 mm high turn by no more than 12° from chord to chord, but at corners that are meant."""
    letter = LineFace("line-sans").letter(sign)
    assert letter is not None
    turns = []
    for stroke in letter.strokes:
        points = flattened(curved(stroke), (6 / CAPITAL, 0, 0, 6 / CAPITAL, 0, 0), 0.002).points
        way = np.arctan2(*np.diff(points, axis=0).T[::-1])
        turns += np.degrees(np.abs(np.remainder(np.diff(way) + np.pi, 2 * np.pi) - np.pi)).tolist()
    slight = [turn for turn in turns if turn < 55]
    assert max(slight) < 12


@pytest.mark.parametrize("text", ["漢字", " ", "\n\n", "\u200b"])
def test_a_text_with_nothing_to_draw_is_refused(text: str) -> None:
    """Nothing drawable is said in one sentence, not drawn as nothing."""
    with pytest.raises(Refused) as refused:
        drawing_from_text(Lettering(text=text))
    assert len(refused.value.faults) == 1
    assert "artwork.text" in str(refused.value)


def test_what_is_no_font_is_refused(tmp_path: Path) -> None:
    """A wrong file given as a font is named, an absent one too."""
    wrong = tmp_path / "letters.ttf"
    wrong.write_bytes(b"no font at all" * 100)
    with pytest.raises(Refused, match=r"letters\.ttf is not a font"):
        drawing_from_text(Lettering(text="A", font=wrong))
    with pytest.raises(FileTrouble, match="there is no"):
        drawing_from_text(Lettering(text="A", font=tmp_path / "absent.ttf"))
    with pytest.raises(FileTrouble, match="folder"):
        drawing_from_text(Lettering(text="A", font=tmp_path))


@pytest.mark.parametrize("part", [b"GDEF", b"wght"])
def test_a_font_whose_parts_have_damaged_names_is_refused(tmp_path: Path, part: bytes) -> None:
    """A name of a table or of an axis that is no text ends in a sentence, as in any damaged font."""
    whole = font_bytes()
    assert part in whole
    wrong = tmp_path / "letters.ttf"
    wrong.write_bytes(whole.replace(part, b"\xff\xfe" + part[2:]))
    with pytest.raises(Refused, match=r"letters\.ttf is not a font"):
        drawing_from_text(Lettering(text="A", font=wrong))


def test_single_strokes_are_as_wide_as_asked() -> None:
    """A stroke's area is its length times its width, but for its round ends and crossings."""
    thin, thick = (
        area_mm2(drawing_from_text(Lettering(text="l", face="line-sans", letter_height_mm=20.0, line_width_mm=w)).ink)
        for w in (0.1, 0.2)
    )
    assert thin == pytest.approx(0.1 * 19.9 + np.pi * 0.05**2, rel=1e-3)
    assert thick == pytest.approx(0.2 * 19.8 + np.pi * 0.1**2, rel=1e-3)


@pytest.mark.parametrize(("letter", "base"), [("é", "e"), ("Å", "A"), ("ü", "u"), ("ç", "c"), ("ñ", "n"), ("ž", "z")])
def test_single_strokes_take_accents(letter: str, base: str) -> None:
    """An accented letter is its base with something more, above or below, and no wider advance."""
    with_accent = drawing_from_text(Lettering(text=letter, face="line-sans", letter_height_mm=10.0))
    without = drawing_from_text(Lettering(text=base, face="line-sans", letter_height_mm=10.0))
    assert not with_accent.unread
    assert area_mm2(with_accent.ink) > area_mm2(without.ink) + 0.1
    assert with_accent.height_mm > without.height_mm + 0.5


def test_an_accent_takes_the_place_of_the_dot() -> None:
    """í has no dot left under its accent."""
    acute = drawing_from_text(Lettering(text="í", face="line-sans", letter_height_mm=10.0))
    assert len(acute.ink.offsets) - 1 == 2


def test_text_is_set_within_a_page_of_its_own_size() -> None:
    """The page is the ink's own box, with the origin at its lower left."""
    drawing = drawing_from_text(Lettering(text=BOATHOUSE))
    assert bounds_mm(drawing.ink) == pytest.approx((0, 0, drawing.width_mm, drawing.height_mm))
    assert drawing.size_stated


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ("abc", "abc"),
        ("שלום", "םולש"),
        ("club שלום 12", "club 12 םולש"),
        ("שלום club", "club םולש"),
        ("שלום 123 club", "club 123 םולש"),
        ("abc (שלום)", "abc (םולש)"),
        ("10% שלום", "םולש 10%"),
        ("مرحبا ١٢٣", "١٢٣ ابحرم"),
    ],
)
def test_words_that_run_to_the_left_stand_where_a_reader_expects_them(text: str, seen: str) -> None:
    """Orders worked out by hand after the rules of Unicode Standard Annex #9."""
    parts = [text[run.start : run.stop] if run.rightwards else text[run.start : run.stop][::-1] for run in runs(text)]
    assert "".join(parts) == seen


def test_every_letter_of_the_default_font_has_an_outline_or_none_at_all() -> None:
    """Outlines are closed rings: begun by a move, ended by a close."""
    font = default_faces()[0].font(400)
    for sign in "ABCabcäßéøñçžşığ0123456789&@№€ΑΩαωДяЖ":
        assert font.has(sign)
        glyphs = font.shaped(sign)
        commands = b"".join(font.outline(glyph.number).commands for glyph in glyphs)
        assert commands.startswith(b"M")
        assert commands.endswith(b"Z")
        assert commands.count(b"M") == commands.count(b"Z")


def test_a_font_of_this_machine_is_found_by_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By family name in any case, from the folders where fonts lie; a slip is answered with the likely name."""
    monkeypatch.setattr("rotary.artwork.fonts.font_folders", lambda: (tmp_path,))
    monkeypatch.setattr("rotary.artwork.fonts.system_families", system_families.__wrapped__)
    monkeypatch.setattr("rotary.artwork.fonts.FONT_ENDINGS", frozenset({".ttf"}))
    upright = Path(str(files("fontpkg_noto_sans"))) / "files"
    for path in upright.glob("*.ttf"):
        (tmp_path / path.name).symlink_to(path)
    assert font_file("noto SANS", tmp_path / "elsewhere").parent == tmp_path
    with pytest.raises(Refused, match='did you mean "noto sans"'):
        font_file("Noto Sns", tmp_path / "elsewhere")
    assert font_file("mine.ttf", tmp_path) == tmp_path / "mine.ttf"


def font_in(folder: Path, triangles: Mapping[str, int]) -> Path:
    """An invented font whose letters are so many triangles that lie on each other."""
    builder = FontBuilder(1000, isTTF=True)
    names = {letter: f"u{ord(letter):04X}" for letter in triangles}
    shapes = {".notdef": TTGlyphPen(None).glyph()}
    for letter, count in triangles.items():
        pen = TTGlyphPen(None)
        for i in range(count):
            pen.moveTo((i % 97, i % 89))
            pen.lineTo((i % 97 + 300, i % 89))
            pen.lineTo((i % 97, i % 89 + 700))
            pen.closePath()
        shapes[names[letter]] = pen.glyph()
    builder.setupGlyphOrder(list(shapes))
    builder.setupCharacterMap({ord(letter): name for letter, name in names.items()})
    builder.setupGlyf(shapes)
    builder.setupHorizontalMetrics(dict.fromkeys(shapes, (600, 0)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Invented", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost()
    builder.save(folder / "invented.ttf")
    return folder / "invented.ttf"


@pytest.mark.parametrize("sign", ["e", "7", "?", "\N{ROWBOAT}"])
def test_a_letter_with_an_empty_outline_is_lacking(tmp_path: Path, sign: str) -> None:
    """A damaged font, or one of coloured pictures, knows the letter and draws nothing: the item would lack it."""
    font = font_in(tmp_path, {"H": 1, " ": 0, sign: 0})
    assert drawing_from_text(Lettering(text="H H", font=font)).ink_height_mm > 0
    with pytest.raises(Refused, match=f"the font lacks .{re.escape(sign)}."):
        drawing_from_text(Lettering(text=f"H{sign}H", font=font))


def test_letters_made_to_stall_are_refused(tmp_path: Path) -> None:
    """Thousands of contours on each other take seconds a letter; a font of many usual letters takes no harm."""
    heavy = font_in(tmp_path, {"H": 4_000})
    with pytest.raises(Refused, match="far too many lines"):
        drawing_from_text(Lettering(text="H", font=heavy))
    usual = font_in(tmp_path, {chr(sign): 3 for sign in range(0x4E00, 0x4E00 + 800)})
    text = "".join(map(chr, range(0x4E00, 0x4E00 + 800)))
    assert drawing_from_text(Lettering(text=text, font=usual)).width_mm > 0
