"""One paper, four kinds of files: the same figures in each."""

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.artwork.outfiles import write_file
from rotary.card import answer_lines, card_lines
from rotary.card.keying import numbers_to_key_in
from rotary.card.plain import plain_answer
from rotary.errors import FileTrouble
from rotary.examples import BANNER, ENTER_YOURS
from rotary.papers.formats import document, ending_of
from rotary.papers.letters import printable
from rotary.papers.lines import WIDTH, large
from rotary.papers.model import Keyed, Pairs, Table
from rotary.papers.plain import plain_lines
from rotary.plan import Plan
from rotary.printer import usual_sheet
from rotary.shipped import FIRST
from tests.papers.conftest import DAY, card_of

NUMBER = re.compile(r"(?<![\w.])[+-]?\d+(?:\.\d+)?")


class Told(HTMLParser):
    """The words of a page, its tags, and what its boxes are called."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.bare: list[dict[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.tags.append((tag, found))
        if tag == "input" and "label" not in self.open and "aria-label" not in found:
            self.bare.append(found)
        if tag not in ("meta", "input", "rect", "path", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.words.append(data)


def told(text: str) -> Told:
    reader = Told()
    reader.feed(text)
    assert reader.open == []
    return reader


FORMS: dict[tuple[int, str, str], bytes] = {}


def form_of(made: Plan, ending: str, system: str = "mm") -> bytes:
    """A card as a file, made once for all tests."""
    key = (id(made), ending, system)
    if key not in FORMS:
        FORMS[key] = document(card_of(made, system), ending, "A4", fits_a_page=True).data
    return FORMS[key]


def flat(text: str) -> str:
    return re.sub(r"\s+", "", printable(text))


CHOSEN = ((FIRST, "in"), ("brass-nut", "mm"), ("all at once", "mm"), ("no passes", "mm"))
MORE = ((FIRST, "mm"), *((name, "mm") for name in ("boathouse-mug", "wide scripts", "24 numbers", "60 passes")))
ALL = [*CHOSEN, *(pytest.param(*one, marks=pytest.mark.slow) for one in (*MORE, ("all at once", "in")))]


@pytest.mark.slow
@pytest.mark.parametrize("name", [FIRST, "boathouse-mug", "brass-nut"])
def test_an_example_says_so_in_every_form(shipped: dict[str, Plan], name: str) -> None:
    """EXAMPLE, NOT YOUR MACHINE stands before all else: in HTML, PDF, SVG, in both kinds of plain text."""
    made = shipped[name]
    says = made.safety.example
    banner, _, enter = says.partition(". ")
    assert (banner, enter) == (BANNER, ENTER_YOURS)
    paper = card_of(made)(0.0)
    for ending in (".html", ".svg", ".pdf"):
        data = document(card_of(made), ending, "A4", fits_a_page=True).data
        words = words_in_pdf(data) if ending == ".pdf" else flat(unescape(re.sub(r"<[^>]*>", " ", data.decode())))
        assert flat(banner) in words
        assert flat(enter) in words
        assert words.index(flat(banner)) < words.index(flat(paper.stops[0])[:20])
    lines = card_lines(made, "mm", DAY)
    assert says in lines[2]
    assert plain_lines(paper)[1] == says
    for first in (answer_lines(made), plain_answer(made)):
        assert first[0] == says


def words_in_pdf(data: bytes) -> str:
    document = pypdfium2.PdfDocument(data)
    return flat(document[0].get_textpage().get_text_range())


@pytest.mark.slow
@pytest.mark.parametrize(("name", "system"), ALL)
def test_every_form_has_the_same_figures(plans: dict[str, Plan], name: str, system: str) -> None:
    """Each number of the card's tables, pairs and entries is in HTML and PDF as it is in the plain text."""
    made = plans[name]
    paper = card_of(made, system)(0.0)
    html = flat("".join(told(form_of(made, ".html", system).decode()).words))
    document = pypdfium2.PdfDocument(form_of(made, ".pdf", system))
    pdf = flat("".join(page.get_textpage().get_text_bounded() for page in document))
    text = flat(" ".join(card_lines(made, system, DAY)))
    for section in (*paper.sections, *paper.behind):
        for block in section.blocks:
            if isinstance(block, Pairs):
                cells = [value for _, value in block.pairs]
            elif isinstance(block, Table):
                cells = [cell for row in block.rows for cell in row]
            elif isinstance(block, Keyed):
                cells = [entry.text for entry in block.entries]
                # Large figures are drawn in strokes in the plain text.
                assert all(flat("".join(large(cell)[1].split())) in text for cell in cells if large(cell)[1])
            else:
                continue
            for cell in cells:
                numbers = NUMBER.findall(cell)
                assert all(number in html for number in numbers), cell
                assert all(number in pdf for number in numbers), cell
                if not isinstance(block, Keyed) and "one by one" not in section.title and len(cell) < 24:
                    assert all(number in text or section.title.startswith("What is keyed") for number in numbers), cell


@pytest.mark.slow
def test_figures_to_key_in_are_word_for_word_the_plans(shipped: dict[str, Plan]) -> None:
    """HTML and PDF show the text that the plan says is typed, not a rounding of it."""
    for made in (shipped[FIRST], shipped["brass-nut"]):
        html = form_of(made, ".html").decode()
        for entry in numbers_to_key_in(made):
            assert f'<span class="figure">{entry.text}</span>' in html


@pytest.mark.parametrize("name", [FIRST, "all at once", pytest.param("wide scripts", marks=pytest.mark.slow)])
def test_the_html_stands_alone_and_can_be_followed(plans: dict[str, Plan], name: str) -> None:
    """Well formed, in a language, nothing fetched, each box named, each table with a caption and heads."""
    text = form_of(plans[name], ".html").decode()
    page = told(text)
    assert ("html", {"lang": "en"}) in page.tags
    assert page.bare == []
    assert not [attrs for _, attrs in page.tags if "src" in attrs or "href" in attrs]
    assert "@import" not in text
    assert re.findall(r"url\((?!data:)", text) == []
    tables = sum(tag == "table" for tag, _ in page.tags)
    assert tables == sum(tag == "caption" for tag, _ in page.tags) > 0
    assert all(attrs.get("scope") in ("col", "row") for tag, attrs in page.tags if tag == "th")
    heads = [tag for tag, _ in page.tags if re.fullmatch(r"h\d", tag)]
    assert heads[0] == "h1"
    assert set(heads[1:]) == {"h2"}
    assert "prefers-color-scheme: dark" in text
    assert "@page { size: A4; margin: 11mm; }" in text
    # Letters that the PDF's font lacks are there.
    assert plans[name].job.item.name in "".join(page.words)


def test_the_svg_is_the_first_page_at_true_size(shipped: dict[str, Plan]) -> None:
    """Well-formed XML of A4's size in millimetres; its words are text."""
    root = ElementTree.fromstring(document(card_of(shipped[FIRST]), ".svg", "A4", fits_a_page=True).data)
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    assert root.get("viewBox") == "0 0 210000 297000"
    words = flat("".join(element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")))
    assert all(flat(entry.text) in words for entry in numbers_to_key_in(shipped[FIRST]))


def test_other_papers_as_text_fit_the_columns(plans: dict[str, Plan]) -> None:
    """The text of any paper keeps within a hundred columns and names what pictures show."""
    for name in (FIRST, "all at once", "wide scripts"):
        lines = document(card_of(plans[name]), ".txt", "A4").data.decode().splitlines()
        assert [line for line in lines if len(line) > WIDTH] == []
        assert any("End view" in line for line in lines)


def test_a_name_tells_the_kind_or_is_refused() -> None:
    """Known endings in any case; anything else is refused with what to write."""
    assert [ending_of(Path(name)) for name in ("a.pdf", "b.HTML", "c.htm", "d.txt", "e.svg")] == [
        ".pdf", ".html", ".html", ".txt", ".svg",
    ]  # fmt: skip
    for name in ("card", "card.docx", ".pdf.zip"):
        with pytest.raises(FileTrouble, match=r"\.pdf, \.html, \.txt or \.svg"):
            ending_of(Path(name))


def test_a_paper_never_goes_over_its_source(tmp_path: Path) -> None:
    """Neither by its own name nor by another name of the same file; the source stays as it was."""
    source = tmp_path / "job.txt"
    source.write_text("precious")
    other = tmp_path / "link.txt"
    other.hardlink_to(source)
    for path in (source, other):
        with pytest.raises(FileTrouble, match="what is read"):
            write_file(path, b"card", [source])
    with pytest.raises(FileTrouble, match="folder"):
        write_file(tmp_path, b"card")
    with pytest.raises(FileTrouble, match="folder"):
        write_file(tmp_path / "nowhere" / "card.pdf", b"card")
    assert source.read_text() == "precious"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.txt", "link.txt"]


@pytest.mark.parametrize(
    ("spoken", "system", "sheet"),
    [
        ("en_US.UTF-8", "mm", "Letter"), ("de_DE.UTF-8", "in", "A4"), ("es_MX", "mm", "Letter"), ("C", "mm", "A4"),
        ("C.UTF-8", "in", "Letter"), ("C.UTF-8", "mm", "A4"), ("POSIX", "mm", "A4"),
    ],
)  # fmt: skip
def test_the_usual_sheet_follows_the_place(
    monkeypatch: pytest.MonkeyPatch, spoken: str, system: str, sheet: str
) -> None:
    """The country of the locale decides; where it names none, inches mean Letter."""
    for name in ("LC_ALL", "LC_PAPER", "LANG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LC_ALL", spoken)
    # So it answers for the locale C.
    monkeypatch.setattr("locale.getlocale", lambda *_: ("en_US", "UTF-8"))
    assert usual_sheet(system) == sheet
