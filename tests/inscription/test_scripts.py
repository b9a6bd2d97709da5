"""Scripts that run to the left, join, or carry marks: set in a font whose tables are written here, so all is known."""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from rotary.errors import Refused
from rotary.inscription.setting import set_lines
from rotary.inscription.sizes import sized_text
from rotary.item import Item
from rotary.wording import InscriptionWish

UNITS, CAPITAL = 1000, 700
WIDE = {"A": 600, "V": 640, "space": 250, "alef": 500, "bet": 550, "gimel": 450, "beh": 480, "seen": 900, "dagesh": 0}
SIGNS = {"A": "A", "V": "V", " ": "space", "א": "alef", "ב": "bet", "ג": "gimel", "\u05bc": "dagesh"}
SIGNS |= {"ب": "beh", "س": "seen"}
KERN = {("A", "V"): -90, ("V", "A"): -70}
NUT = Item.model_validate({
    "name": "nut", "solid": True, "coating": None,
    "measurements": [{"at": "0 mm", "across": "22 mm"}, {"at": "18 mm", "across": "22 mm"}],
})  # fmt: skip


@cache
def font() -> Path:
    """A font of boxes: each letter a box as wide as its advance less 100 units; V and A kerned both ways."""
    names = [".notdef", *WIDE]
    build = FontBuilder(UNITS, isTTF=True)
    build.setupGlyphOrder(names)
    build.setupCharacterMap({ord(sign): name for sign, name in SIGNS.items()} | {ord("H"): "A"})
    glyphs, metrics = {}, {}
    for name in names:
        pen = TTGlyphPen(None)
        wide = WIDE.get(name, 500)
        box = (-300, 200, -200, 300) if name == "dagesh" else (50, 0, wide - 50, CAPITAL)
        if name != "space":
            left, low, right, high = box
            pen.moveTo((left, low))
            for corner in ((left, high), (right, high), (right, low)):
                pen.lineTo(corner)
            pen.closePath()
        glyphs[name] = pen.glyph()
        metrics[name] = (wide, box[0])
    build.setupGlyf(glyphs)
    build.setupHorizontalMetrics(metrics)
    build.setupHorizontalHeader(ascent=800, descent=-200)
    build.setupNameTable({"familyName": "Boxes", "styleName": "Regular"})
    build.setupOS2(sCapHeight=CAPITAL, sTypoAscender=800, sTypoDescender=-200)
    build.setupPost()
    rules = "\n".join(f"pos {left} {right} {by};" for (left, right), by in KERN.items())
    build.addOpenTypeFeatures(f"feature kern {{ {rules} }} kern;")
    path = Path(mkdtemp()) / "boxes.ttf"
    build.save(str(path))
    return path


def wish(text: str, around: str = "arc", **more: object) -> InscriptionWish:
    return InscriptionWish.model_validate({"text": text, "around": around, "font": str(font()), **more})


def test_advances_and_kerning_are_those_of_the_tables() -> None:
    """A V A is as long as its three advances with both kerning pairs, to a billionth of a capital."""
    line = set_lines(wish("AVA"), "AVA")[0]
    units = WIDE["A"] * 2 + WIDE["V"] + KERN["A", "V"] + KERN["V", "A"]
    assert line.advance == pytest.approx(units / CAPITAL, rel=1e-9)
    assert line.pen[1] == pytest.approx((WIDE["A"] + KERN["A", "V"]) / CAPITAL, rel=1e-9)


def test_a_ring_kerns_its_last_letter_with_its_first() -> None:
    """A V round a ring without a space: the pair from V back to A takes its own kerning too."""
    line = set_lines(wish("AV", "ring", between=""), "AV")[0]
    assert line.period == pytest.approx((WIDE["A"] + WIDE["V"] + KERN["A", "V"] + KERN["V", "A"]) / CAPITAL, rel=1e-9)


def test_letters_that_run_to_the_left_stand_in_the_order_they_are_read() -> None:
    """Alef bet gimel: gimel is the leftmost; Latin before it keeps its own direction."""
    line = set_lines(wish("A אבג"), "A אבג")[0]
    assert [letter.sign for letter in line.letters] == ["A", " ", "ג", "ב", "א"]
    advances = np.diff([*line.pen, line.advance]) * CAPITAL
    assert advances.tolist() == pytest.approx([WIDE[SIGNS[letter.sign]] for letter in line.letters])


@pytest.mark.parametrize("around", ["ring", "arc", "axis", "end"])
def test_mixed_text_is_sized_anywhere(around: str) -> None:
    """Latin and Hebrew on one line fit, close where they should, and are as long as their tables say."""
    made = sized_text(wish("AV אב", around), NUT).facts
    assert made.letter_height_mm > 1
    if around == "ring":
        assert abs(made.closing_error_mm) < 1e-9 * 22 * np.pi


def test_a_point_stays_on_its_letter_when_tracking_moves_it() -> None:
    """In a line to the left the point is drawn before its letter; spacing moves both alike."""
    line = set_lines(wish("ב\u05bcא", tracking=0.3), "ב\u05bcא")[0]
    letter = next(i for i, advance in enumerate(np.diff([*line.pen, line.advance])) if advance > 0 and i > 0)
    mark = next(i for i, one in enumerate(line.letters) if i != letter and one.sign == line.letters[letter].sign)
    assert line.before[mark] == line.before[letter]
    assert line.gaps == 1


def test_letters_that_join_are_not_torn_apart() -> None:
    """Round a ring only the space between the words grows; inside a word letters stand as the font sets them."""
    made = sized_text(wish("سب", "ring"), NUT)
    line, fact = made.texts[0][0], made.facts.lines[0]
    assert line.joined
    assert line.spaces == 1
    assert fact.spacing_mm > 0
    inside = [line.before[i] for i, letter in enumerate(line.letters) if letter.sign != " "]
    assert len(set(inside)) == 1
    assert any("join" in note for note in made.facts.notes)
    with pytest.raises(Refused, match="joined letters"):
        sized_text(wish("سب", "ring", between=""), NUT)


def test_tracking_leaves_joined_words_as_they_are() -> None:
    """An arc of one joined word is as long with tracking as without."""
    plain = sized_text(wish("سب", letter_height_mm=3.0), NUT).facts.lines[0].length_mm
    tracked = sized_text(wish("سب", letter_height_mm=3.0, tracking=0.5), NUT).facts.lines[0].length_mm
    assert tracked == pytest.approx(plain, rel=1e-12)
    latin = [sized_text(wish("AV", letter_height_mm=3.0, tracking=t), NUT).facts.lines[0].length_mm for t in (0.0, 0.5)]
    assert latin[1] - latin[0] == pytest.approx(1.5, rel=1e-9)
