"""Letters of scripts that join and run to the left, as they are set on paper."""

import unicodedata

import pytest

from rotary.papers.letters import _joined, font_runs, other_font

LAM, ALEF, QAF, REH, WAW, FATHA = "\u0644", "\u0627", "\u0642", "\u0631", "\u0648", "\u064e"


def test_letters_take_the_form_of_their_place() -> None:
    """Joining as the Unicode Standard has it (chapter 9.2, cursive joining): alef, reh and waw join to the right alone;
    lam and alef become one; a mark over a letter parts nothing. Seen where a font of this computer has the forms."""
    if other_font("\ufe8e") is None:
        pytest.skip("no font here has the forms of Arabic letters")
    forms = [unicodedata.name(letter).rpartition(" LETTER ")[2] for letter in _joined(QAF + FATHA + ALEF + REH + WAW)]
    assert forms[::2] != forms
    assert [form for form in forms if "FORM" in form] == [
        "QAF INITIAL FORM", "ALEF FINAL FORM", "REH ISOLATED FORM", "WAW ISOLATED FORM"
    ]  # fmt: skip
    assert unicodedata.name(_joined(LAM + ALEF)) == "ARABIC LIGATURE LAM WITH ALEF ISOLATED FORM"
    assert unicodedata.name(_joined(QAF + LAM + ALEF)[1]) == "ARABIC LIGATURE LAM WITH ALEF FINAL FORM"


def test_what_runs_to_the_left_is_turned_and_its_numbers_are_not() -> None:
    """Letters, brackets and words follow each other from the right; figures, and words of our own, as ever."""
    said = [
        "".join(run for _, run in font_runs(text))
        for text in ("cup \u05d0\u05d1 \u05d2 60", "\u05d0 (\u05d1\u05d2) \u05d3")
    ]
    if "U+" in said[0]:
        pytest.skip("no font here has Hebrew letters")
    assert said == ["cup 60 \u05d2 \u05d1\u05d0", "\u05d3 (\u05d2\u05d1) \u05d0"]
