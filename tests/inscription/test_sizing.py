"""The largest letters that fit: put back on the part, they fill it and no more."""

from math import hypot, pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.rings import bounds_mm, list_from_rings
from rotary.artwork.text import Lettering, drawing_from_text
from rotary.errors import Refused
from rotary.formulas.circle import flat_width_mm
from rotary.inscription.ink import ink_on_end, ink_on_wall
from rotary.inscription.legibility import MarkCheck
from rotary.inscription.setting import set_lines
from rotary.inscription.sizes import sized_text
from rotary.item import Item
from rotary.wording import InscriptionWish

MARK = MarkCheck(0.046, 0.03)


def bar(across: float = 22.0, long: float = 16.0, foot: float | None = None) -> Item:
    return Item.model_validate(
        {
            "name": "bar",
            "coating": None,
            "solid": True,
            "measurements": [
                {"at": "0 mm", "across": f"{foot or across} mm"},
                {"at": f"{long} mm", "across": f"{across} mm"},
            ],
        }
    )


def hexagon(across: float = 16.0) -> Item:
    table = {"name": "nut", "flats": 6, "across_flats": f"{across} mm", "length": "20 mm", "coating": None}
    return Item.model_validate(table)


def wish(text: str = "HERON", **more: Any) -> InscriptionWish:
    return InscriptionWish(text=text, **more)


@pytest.mark.parametrize("across", [3.0, 14.0, 22.0, 400.0])
@pytest.mark.parametrize("text", ["AVA", "HERON ROWING CLUB", "Tiny ring of words 1892"])
def test_a_ring_closes(across: float, text: str) -> None:
    """Spaces and letters add up to the circumference to a thousand millionth, at any diameter."""
    made = sized_text(wish(text, letter_height_mm=across / 12), bar(across, 1.3 * across))
    line, fact = made.texts[0][0], made.facts.lines[0]
    pens = line.pen * made.facts.letter_height_mm + line.before * fact.spacing_mm
    # The first letter once more, behind the last and its spacing, is where the circle brings it back to.
    again = pens[0] + line.period * made.facts.letter_height_mm + line.spaces * fact.spacing_mm
    assert again - pens[0] == pytest.approx(pi * across, rel=1e-9)
    assert made.facts.closing_error_mm < 1e-9 * pi * across


def test_the_last_and_the_first_letter_of_a_ring_are_kerned() -> None:
    """V before A again stands as close as V before A within the words."""
    line = set_lines(wish("AV", between=""), "AV")[0]
    within = set_lines(wish("AVAV", around="arc"), "AVAV")[0].pen
    assert line.period == pytest.approx(within[2] - within[0], abs=1e-12)
    # Kerned both ways the cycle is shorter than the letters alone.
    single = [set_lines(wish(sign, around="arc"), sign)[0].advance for sign in "AV"]
    assert line.period < sum(single) - 0.05


@settings(max_examples=25, deadline=None)
@given(across=st.floats(8, 60), repeat=st.integers(1, 5), tracking=st.floats(0, 0.4))
def test_repeated_words_stand_at_even_angles(across: float, repeat: int, tracking: float) -> None:
    """Words repeated n times begin every n-th of a turn."""
    made = sized_text(wish("OAR", repeat=repeat, tracking=tracking), bar(across, across))
    line, fact = made.texts[0][0], made.facts.lines[0]
    pens = line.pen * made.facts.letter_height_mm + line.before * fact.spacing_mm
    each = len(pens) // repeat
    assert len(pens) == 4 * repeat
    assert np.diff(pens[::each]) == pytest.approx(np.full(repeat - 1, pi * across / repeat), rel=1e-9)
    assert fact.spacing_mm >= tracking * made.facts.letter_height_mm - 1e-9


@pytest.mark.parametrize("around", ["ring", "arc", "axis"])
@pytest.mark.parametrize("text", ["HERON", "Björn & Ångård\nfrom 1892 to 2026", "g"])
@pytest.mark.parametrize("face", ["outline", "line-sans"])
def test_the_ink_fills_one_side_of_its_room_and_leaves_the_other(around: Any, text: str, face: Any) -> None:
    """Drawn, the largest letters touch the room they were given to a hundredth of a letter, and never leave it."""
    asked = wish(text, around=around, face=face)
    made = sized_text(asked, bar())
    left, bottom, right, top = bounds_mm(ink_on_wall(made, asked).rings)
    wide, high = (top - bottom, right - left) if around == "axis" else (right - left, top - bottom)
    facts = made.facts
    assert wide <= facts.length_room_mm + 1e-6
    assert high <= facts.height_room_mm + 1e-6
    larger = asked.model_copy(update={"letter_height_mm": facts.letter_height_mm + 0.011})
    assert sized_text(larger, bar()).facts.letter_height_mm == facts.letter_height_mm
    # Ink keeps its side bearings from the ends of a line; the height is the ink's own.
    assert high > 0.99 * facts.height_room_mm or facts.width_mm > 0.99 * facts.length_room_mm


def test_letters_are_as_high_as_is_said() -> None:
    """A capital H of the size given measures that size, as the text setter draws it too."""
    asked = wish("H", around="arc", letter_height_mm=3.0)
    _, bottom, _, top = bounds_mm(ink_on_wall(sized_text(asked, bar()), asked).rings)
    other = drawing_from_text(Lettering(text="H", letter_height_mm=3.0))
    assert top - bottom == pytest.approx(3.0, abs=1e-5)
    assert other.ink_height_mm == pytest.approx(top - bottom, abs=1e-5)


@pytest.mark.parametrize("arc_rad", [None, 2.0])
@pytest.mark.parametrize("bore", [0.0, 6.0])
def test_letters_round_the_end_face_stay_between_bore_and_rim(arc_rad: float | None, bore: float) -> None:
    """Every corner of every letter lies within the rim's margin and outside the bore's."""
    asked = wish("HERON yg 17", around="end", arc_rad=arc_rad, bore_mm=bore, margin_mm=0.5)
    made = sized_text(asked, bar())
    rings = ink_on_end(made, asked)
    far = np.hypot(*rings.points_mm.T)
    assert far.max() <= 11 - 0.5 + 1e-6
    assert far.min() >= bore / 2 + (0.5 if bore else 0.0) - 1e-6
    larger = asked.model_copy(update={"letter_height_mm": made.facts.letter_height_mm * 1.02 + 0.02})
    assert sized_text(larger, bar()).facts.letter_height_mm == made.facts.letter_height_mm


def test_the_end_face_reads_clockwise_with_feet_inwards() -> None:
    """The first letter lies at the top, the second to the right of it, and an L's foot is nearer to the axis."""
    asked = wish("LL", around="end", between="      ", letter_height_mm=2.0)
    made = sized_text(asked, bar())
    first, second = list_from_rings(ink_on_end(made, asked))
    middles = sorted((ring.mean(axis=0) for ring in (first, second)), key=lambda point: -point[1])
    assert middles[0][1] > 0
    assert middles[1][0] > middles[0][0]
    # Of an L standing at the top the widest part, its foot, is the lowest.
    top = max((first, second), key=lambda ring: ring[:, 1].mean())
    low = top[top[:, 1] < top[:, 1].min() + 0.3]
    high = top[top[:, 1] > top[:, 1].max() - 0.3]
    assert np.ptp(low[:, 0]) > 2 * np.ptp(high[:, 0])


def test_a_flat_is_filled_and_broken_corners_take_from_it() -> None:
    """Text on a hexagon is no wider than its flat less margins, and less where corners are turned down."""
    asked = wish("HERON", around="flats", margin_mm=0.25)
    sharp = sized_text(asked, hexagon()).facts
    turned = sized_text(asked.model_copy(update={"across_corners_mm": 17.77}), hexagon()).facts
    assert sharp.length_room_mm == pytest.approx(float(flat_width_mm(16.0, 6)) - 0.5)
    assert turned.length_room_mm == pytest.approx((17.77**2 - 16**2) ** 0.5 - 0.5)
    assert turned.letter_height_mm < sharp.letter_height_mm
    for taken, says in (
        ({"corner_radius_mm": 9.0}, "corner_radius leaves no room on the flats: write a smaller corner radius"),
        ({"margin_mm": 5.0}, "margin leaves no room on the flats: write a smaller margin"),
        ({"across_corners_mm": 15.0}, "across_corners can't be right for 6 flats 16 mm across: write more than 16 mm"),
    ):
        with pytest.raises(Refused, match=says):
            sized_text(asked.model_copy(update=taken), hexagon())


def test_a_taper_is_measured_at_the_middle_of_its_band() -> None:
    """On a cone the ring closes on the radius half way along its wall, and its height runs along the wall."""
    made = sized_text(wish("HERON ROWING", letter_height_mm=1.5), bar(30.0, 20.0, foot=20.0)).facts
    assert made.radius_mm == pytest.approx(12.5)
    assert made.height_room_mm == pytest.approx(hypot(20.0, 5.0) - 1.0)


def test_an_arc_on_a_smaller_part_takes_more_of_its_turn() -> None:
    """The same words at the same size are seen less from the front the thinner the part."""
    seen = [
        sized_text(wish(around="arc", arc_rad=6.0, letter_height_mm=3.0), bar(d)).facts.visible_share
        for d in (8.0, 22.0)
    ]
    assert seen[0] < seen[1] == 1.0


@pytest.mark.parametrize(
    ("asked", "where", "words"),
    [
        ({"text": ""}, "text", "has no words yet"),
        ({"text": " \n "}, "text", "has no words yet"),
        ({"text": "漢字"}, "text", "U+6F22"),
        ({"text": "Regatta 🚣"}, "text", "the font lacks"),
        ({"text": "é", "face": "line-sans", "repeat": 1}, None, ""),
        ({"text": "漢", "face": "line-sans"}, "text", "single-stroke letters"),
        ({"text": "x" * 1001}, "text", "1001 letters"),
        ({"text": "HERON " * 100}, "text", "shorten the text"),
        ({"text": "a\n" * 30}, "text", "lines"),
        ({"text": "a\n" * 18, "around": "arc", "to_mm": 4.0}, "text", "fewer lines"),
        ({"text": "HERON", "letter_height_mm": 0.1}, "letter_height", "write at least"),
        ({"text": "HERON", "around": "flats"}, "around", "no flats"),
        ({"text": "HERON", "margin_mm": 9.0}, "margin", "leaves no room"),
        ({"text": "HERON", "from_mm": 90.0}, "from", "beyond the item"),
        ({"text": "HERON", "around": "end", "bore_mm": 21.0}, "bore", "end face"),
        ({"text": "HERON", "gap_mm": 70.0}, "gap", "once round"),
        ({"text": "HERON", "more": ("a",)}, "more", "flats"),
    ],
)
def test_bad_input_gets_one_clear_answer(asked: dict[str, Any], where: str | None, words: str) -> None:
    """What can't be cut is refused at its own field with what to write instead; an accent is put together."""
    if where is None:
        assert sized_text(InscriptionWish(**asked), bar(), MARK).facts.letter_height_mm > 0
        return
    with pytest.raises(Refused) as refused:
        sized_text(InscriptionWish(**asked), bar(), MARK)
    assert any(fault.where == where and words in fault.says for fault in refused.value.faults), refused.value


@pytest.mark.parametrize("text", ["אבג", "Heron אב 12", "e\u0301", "עברית\nLatin"])
def test_letters_that_run_to_the_left_are_told_when_missing_and_marks_are_joined(text: str) -> None:
    """The default font has no Hebrew: it is named; a combining accent becomes one letter."""
    if text == "e\u0301":
        assert sized_text(wish(text, around="arc"), bar()).texts[0][0].spaces == 1
        return
    with pytest.raises(Refused, match="the font lacks"):
        sized_text(wish(text), bar())


def test_two_faults_are_told_at_once() -> None:
    """A wrong place and an empty text are both named."""
    with pytest.raises(Refused) as refused:
        sized_text(wish("", around="flats"), bar())
    assert {fault.where for fault in refused.value.faults} == {"around", "text"}


def test_a_combining_mark_stays_on_its_letter_under_tracking() -> None:
    """A mark that has no letter of its own with its base takes no space and is not pushed along."""
    line = set_lines(wish("x\u0301y", around="arc"), "x\u0301y")[0]
    assert line.spaces == 2
    assert line.before.tolist() == [0, 0, 1]


def test_a_font_of_ones_own_is_read_again_when_it_changes(tmp_path: Path) -> None:
    """A file that is no font is refused by name; put right, it is taken."""
    import fontpkg_noto_sans

    path = tmp_path / "own.ttf"
    path.write_bytes(b"no font")
    with pytest.raises(Refused, match=r"own\.ttf"):
        sized_text(wish(font=str(path)), bar())
    good = sorted(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf"))[0]
    path.write_bytes(good.read_bytes())
    assert sized_text(wish(font=str(path)), bar()).facts.letter_height_mm > 1
