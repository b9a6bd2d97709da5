"""Letters of scripts that join and run to the left, as they are set on paper."""

import unicodedata
from datetime import date

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.papers.formats import document
from rotary.papers.letters import _joined, font_runs, other_font, runs_of_lines
from rotary.papers.model import Paper, Section, Sentences

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


def test_what_runs_to_the_left_is_broken_where_it_is_read() -> None:
    """Lines follow each other as the words are read, and each is turned by itself (Unicode Standard Annex 9, 3.4: lines
    are broken first, then reordered); the figures after the break keep the way that their letters gave them."""
    words = ["\u05d0\u05d1\u05d2", "\u05d3\u05d4", "\u05d5\u05d6", "60", "\u05d7\u05d8", "mm"]
    lines = ["".join(run for _, run in line) for line in runs_of_lines(" ".join(words), lambda text, _: len(text) <= 8)]
    if "U+" in lines[0]:
        pytest.skip("no font here has Hebrew letters")
    assert lines == ["\u05d4\u05d3 \u05d2\u05d1\u05d0", "\u05d8\u05d7 60 \u05d6\u05d5", "mm"]
    assert lines[0] != "".join(run for _, run in font_runs(" ".join(words)))[:6]
    narrow = runs_of_lines("\u05d0\u05d1\u05d2\u05d3\u05d4", lambda text, _: len(text) <= 2)
    assert [line[0][1] for line in narrow] == ["\u05d1\u05d0", "\u05d3\u05d2", "\u05d4"]


def test_a_long_name_that_runs_to_the_left_is_read_line_by_line_on_paper() -> None:
    """Its first word stands on the first line of the sheet, its last one on the last."""
    name = " ".join(f"\u05d0\u05d1\u05d2\u05d3\u05d4\u05d5 {number}" for number in range(30, 48))
    if other_font("\u05d0") is None:
        pytest.skip("no font here has Hebrew letters")
    paper = Paper("setup sheet", "bottle", date(2026, 5, 1), (Section("SAFE", (Sentences(("text",)),)),), lead=name)
    page = pypdfium2.PdfDocument(document(lambda _: paper, ".pdf", "A4").data)[0].get_textpage()
    at = {number: page.search(f"{number}") for number in (30, 47)}
    tops = {number: page.get_charbox(found.get_next()[0])[3] for number, found in at.items()}
    assert tops[30] > tops[47] + 10
