"""The setup sheet as it comes out of the printer: read back from the PDF."""

from functools import cache
from io import BytesIO

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest
from pypdf import PdfReader
from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped, unused-ignore]

from rotary.papers import pages
from rotary.papers.formats import document
from rotary.papers.growth import Size
from rotary.papers.letters import printable
from rotary.papers.model import FIRST_RULE, Keyed, Paper, pictures_of
from rotary.papers.pages import fit
from rotary.papers.text import plain_lines, text_lines, voice_text
from rotary.plan import Plan
from rotary.printer import SheetName
from rotary.sentences.cautions import cautions
from rotary.shipped import examples
from tests.papers.conftest import CASES, Sheet, flat, runs_of

OVERLEAF = {"97 slices", "nine zones", "all at once"}

SHEETS: tuple[SheetName, ...] = ("A4", "Letter")
FEW = ("regatta-bottle", "brass-nut", "inches", "nine zones")
EVERY = [pytest.param(name, marks=() if name in FEW else pytest.mark.slow) for name in CASES]
"""A few jobs guard a change, the others run with the slow tests."""
_PDFS: dict[tuple[str, SheetName], tuple[bytes, Paper, Size]] = {}


def printed(sheets: dict[str, Sheet], name: str, on: SheetName) -> tuple[bytes, Paper, Size]:
    """The sheet as a file, with the paper and the size that fitted; made once, and read by every test."""
    if (name, on) not in _PDFS:
        fits: list[tuple[Paper, Size]] = []
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(pages, "fit", lambda make, sheet: fits.append(fit(make, sheet)) or fits[-1])
            data = document(sheets[name].make, ".pdf", on).data
        _PDFS[name, on] = (data, *fits[0])
    return _PDFS[name, on]


def pdf(sheets: dict[str, Sheet], name: str, on: SheetName) -> bytes:
    """The file alone."""
    return printed(sheets, name, on)[0]


@cache
def text_of(data: bytes, page: int = 0) -> str:
    return flat(pypdfium2.PdfDocument(data)[page].get_textpage().get_text_bounded())


@pytest.mark.parametrize("on", SHEETS)
@pytest.mark.parametrize("name", EVERY)
def test_page_one_holds_all_that_is_typed_and_done(sheets: dict[str, Sheet], name: str, on: SheetName) -> None:
    """It says everything, large enough to be read at arm's length; that of an example has its picture."""
    _says_all(pdf(sheets, name, on), sheets[name], name)
    _is_large_enough(pdf(sheets, name, on), sheets[name])
    if name in examples():
        _has_its_picture(*printed(sheets, name, on)[1:], on)


def _says_all(data: bytes, sheet: Sheet, name: str) -> None:
    """Every row of the actions, every caution in short, each step of the first slice; overleaf are tables alone."""
    actions = sheet.actions
    read = PdfReader(BytesIO(data))
    assert len(read.pages) == (2 if name in OVERLEAF else 1)
    about = read.metadata
    assert about is not None
    assert set(actions.rows) <= set(f"{about['/Keywords']}".split(", "))
    text = text_of(data)
    for row in actions.type:
        assert flat(printable(row.label)) in text, row.id
        assert flat(f"{row.figure}") in text, row.id
    # Notes follow each other with a dash between.
    said = text.replace("–", "").casefold()
    assert not [one.id for one in actions.cautions if flat(printable(one.short)).casefold() not in said]
    lenses = [row for row in actions.by_hand if row.id.startswith("focus")]
    for row in (*actions.by_hand, *actions.to_import, *actions.check):
        if row in lenses or row.id == "size_shown":
            continue
        assert flat(printable(row.text)) in text, row.id
    every = text + "".join(text_of(data, page) for page in range(1, len(PdfReader(BytesIO(data)).pages)))
    for row in lenses:
        assert flat(paper_focus(sheet, row.id)) in every, row.id
    assert flat("Clean: note") in text or not actions.run.last_pass
    assert actions.verdict.state.upper().replace(" ", "") in text or sheet.facts.verdict.replace(" ", "") in text


def paper_focus(sheet: Sheet, row_id: str) -> str:
    """How far the lens is moved, in the units of the sheet."""
    away = abs(float(sheet.actions.rows[row_id].value))
    if not away:
        return "leave the lens there"
    return f"{away / 25.4:.3f}" if sheet.facts.system == "in" else f"{away:g}"


def _is_large_enough(data: bytes, sheet: Sheet) -> None:
    """8 points at least on every page, 18 for what is typed; what warns of a number stands in 9 or more."""
    actions = sheet.actions
    for page in range(len(PdfReader(BytesIO(data)).pages)):
        small = [run for run in runs_of(data, page) if run.size_pt < 7.99]
        assert not small
    large = {flat(run.text) for run in runs_of(data) if run.size_pt >= 17.99}
    assert not [row.id for row in actions.type if not any(flat(f"{row.figure}") in one for one in large)]
    leaves = [row.leave_in if sheet.facts.system == "in" else row.leave for row in actions.type if row.leave]
    loud = {flat(run.text) for run in runs_of(data) if run.size_pt >= 8.99}
    assert all(any(flat(printable(leave or "")) in one for one in loud) for leave in leaves)


def test_boxes_of_parts_have_the_names_that_stand_beside_each_focus(sheets: dict[str, Sheet]) -> None:
    """A part is no zone in one place and a part in another; in plain lines no number is called changed."""
    lines = text_lines(sheets["three zones"].make())
    assert [line for line in lines if "part 1 [ ]" in line and "part 3 [ ]" in line]
    said = plain_lines(sheets["nine zones"].make())
    assert not [line for line in said if "changed" in line]


def _has_its_picture(paper: Paper, size: Size, on: SheetName) -> None:
    """Beside what is mounted, in two columns, it costs so little that words leave room for it, of 9 points on A4. It
    shows how the item lies, and what it will look like, a drawing."""
    assert size.picture_mm >= 20
    assert size.words_pt >= (9.0 if on == "A4" else 8.5)
    (shown,) = pictures_of(paper)
    assert shown.title.startswith("Side view; ")
    assert shown.title.endswith("from the front")
    assert "This is a drawing, not a photograph." in shown.says


@pytest.mark.parametrize("name", ["regatta-bottle", "inches", "names of their own"])
@pytest.mark.slow
def test_an_unreal_number_has_its_warning_in_its_own_frame(sheets: dict[str, Sheet], name: str) -> None:
    """The words "type this, not 79" begin below the number they warn of, in the same frame."""
    page = pypdfium2.PdfDocument(pdf(sheets, name, "A4"))[0].get_textpage()
    row = next(row for row in sheets[name].actions.type if row.leave)
    leave = row.leave_in if sheets[name].facts.system == "in" else row.leave
    number, warning = (page.search(text).get_next() for text in (f"{row.figure}", printable(f"{leave}")[:8]))
    assert number
    assert warning
    (left, low, *_), (left_of_warning, _, _, top) = page.get_charbox(number[0]), page.get_charbox(warning[0])
    assert abs(left - left_of_warning) < 4
    assert 0 < low - top < 24


@pytest.mark.parametrize("on", SHEETS)
def test_a_hundred_millimetres_are_a_hundred(sheets: dict[str, Sheet], on: SheetName) -> None:
    """On every page lies a rule of 100 mm; the page is that of the sheet of paper to a hundredth of a point."""
    document_read = pypdfium2.PdfDocument(pdf(sheets, "97 slices", on))
    for page in document_read:
        assert page.get_size() == pytest.approx((595.276, 841.89) if on == "A4" else (612, 792), abs=0.01)
        wide = [one.get_bounds() for one in page.get_objects() if one.type == 2]
        rules = [right - left for left, low, right, top in wide if low < 60 and top - low < 3 and right - left > 200]
        assert any(abs(25.4 / 72 * (length - 0.35 * 72 / 25.4) - 100) < 0.4 for length in rules)


@pytest.mark.slow
def test_a_file_says_what_it_is(sheets: dict[str, Sheet]) -> None:
    """Title, author, subject, the day of the paper, and the ids of its rows; nobody is anonymous."""
    data = pdf(sheets, "regatta-bottle", "A4")
    about = PdfReader(BytesIO(data)).metadata
    assert about is not None
    assert about.title == "Setup sheet: Regatta bottle 600 ml"
    assert about.author == "rotary"
    assert about.creation_date is not None
    assert about.creation_date.date().isoformat() == "2026-05-01"
    assert set(sheets["regatta-bottle"].actions.rows) <= set(f"{about['/Keywords']}".split(", "))
    assert b"anonymous" not in data
    assert document(sheets["regatta-bottle"].make, ".pdf", "A4").data == data


@pytest.mark.parametrize("name", ["another script", "right to left", "all at once", "brass-nut"])
@pytest.mark.slow
def test_every_letter_has_a_glyph(sheets: dict[str, Sheet], name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No sign vanishes: what a font lacks is spelled out, or set in another one, or stands as its number."""
    lost: set[str] = set()
    split = TTFont.splitString

    def watched(font: TTFont, text: str, doc: object, encoding: str = "utf-8") -> object:
        lost.update(letter for letter in text if ord(letter) not in font.face.charToGlyph and letter != "\xa0")
        return split(font, text, doc, encoding)

    monkeypatch.setattr(TTFont, "splitString", watched)
    document(sheets[name].make, ".pdf", "A4")
    assert not lost


@pytest.mark.parametrize("name", ["regatta-bottle", "brass-nut", "nine zones", "inches"])
def test_four_writers_say_the_same(sheets: dict[str, Sheet], name: str) -> None:
    """Text, plain lines, HTML and JSON have every number that is typed, with what warns of it, and every sentence."""
    sheet = sheets[name]
    paper = sheet.make()
    lines, plain = flat(" ".join(text_lines(paper))), flat(" ".join(plain_lines(paper)))
    html = flat(document(sheet.make, ".html", "A4").data.decode().replace("&#x27;", "'"))
    data = flat(document(sheet.make, ".json", "A4").data.decode())
    for block in (block for section in paper.sections for block in section.blocks):
        for entry in block.entries if isinstance(block, Keyed) else ():
            for text, spelled in ((lines, entry.figure), (plain, voice_text(entry.figure))):
                assert flat(f"{spelled}") in text
            for text in (html, data):
                assert flat(entry.text) in text
                assert flat(entry.leave) in text
    for row in (*sheet.actions.to_import, *sheet.actions.check):
        if row.id != "size_shown":
            assert flat(row.text) in lines
            assert flat(row.text) in html
            assert flat(voice_text(row.text)).rstrip(".") in plain
    assert flat(FIRST_RULE) in html
    assert all(len(line) <= 100 for line in text_lines(paper))
    assert "http://" not in html.replace("http://www.w3.org/2000/svg", "")


@pytest.mark.slow
def test_a_sheet_grows_until_the_page_is_full(sheets: dict[str, Sheet]) -> None:
    """What has less to say is set larger, with its picture; what has more gives up the picture first."""
    nut, bottle = (
        max(run.size_pt for run in runs_of(pdf(sheets, name, "A4"))) for name in ("domed-nut", "regatta-bottle")
    )
    assert nut >= bottle


@pytest.mark.parametrize("name", examples())
def test_every_caution_of_a_plan_stands_there_with_its_own_words(
    sheets: dict[str, Sheet], shipped: dict[str, Plan], name: str
) -> None:
    """Of two lasers in a room each has its own: neither takes the other's place."""
    wanted = sorted(text.short for text in cautions(shipped[name].safety))
    assert wanted == sorted(one.short for one in sheets[name].actions.cautions if one.value is None)


@pytest.mark.slow
def test_a_name_that_runs_to_the_left_is_set_from_the_right(sheets: dict[str, Sheet]) -> None:
    """Of a name in Hebrew each letter stands at the left of the one before, of its number at the right."""
    page = pypdfium2.PdfDocument(pdf(sheets, "right to left", "A4"))[0].get_textpage()
    marks = [page.get_text_range(at, 1) for at in range(page.count_chars())]
    lefts = {
        mark: page.get_charbox(at)[0]
        for at, mark in reversed(list(enumerate(marks)))
        if mark in "\u05d1\u05d5\u05e7\u05d0\u05e0\u05e4\u05d4"
    }
    if not lefts:
        pytest.skip("no font here has Hebrew letters")
    heron = [lefts[mark] for mark in "\u05d0\u05e0\u05e4\u05d4"]
    assert heron == sorted(heron, reverse=True)
    assert lefts["\u05d5"] > heron[0]


def test_text_of_a_terminal_can_be_searched(sheets: dict[str, Sheet]) -> None:
    """A number to type stands on one line with what it is."""
    lines = text_lines(sheets["regatta-bottle"].make())
    assert any(" ".join(line.split()) == "Diameter to type 21.368 mm, type this, not 79" for line in lines)
