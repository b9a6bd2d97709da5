"""A number to type that is not the real one never stands without its warning, on no paper and in no kind of file."""

import re
from html.parser import HTMLParser
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest
from rotary.card.keying import entries
from rotary.card.plain import plain_answer
from rotary.card.setup import answer_lines
from rotary.papers.onepage import SIZES, SMALLEST
from rotary.papers.plain import spoken
from rotary.papers.typeset import LEAST_LEAVE_MM, MM_PER_POINT, WIDER_FONT, Laid, Size, block

from rotary.card import card_lines
from rotary.job import job_from_file
from rotary.papers.drawing import Area, Words
from rotary.papers.formats import document
from rotary.papers.letters import wide_mm
from rotary.papers.model import Entry, Keyed
from rotary.papers.text import text_lines
from rotary.plan import Plan, plan
from rotary.shipped import FIRST, examples
from tests.papers.conftest import DAY, card_of

LONGEST = "NOT 1181.102 in (30000 mm): leave it"
KINDS = ("roller-diameter", "degrees", "steps-only")


@pytest.fixture(scope="module")
def kinds(shipped: dict[str, Plan]) -> dict[str, Plan]:
    """The bottle's plan with every kind of number that a program may take, and a gear that gives no whole steps."""
    job = job_from_file(examples()[FIRST])
    made = {"item-diameter": shipped[FIRST]}
    for kind in KINDS:
        more = {"controller_field": kind, "typed_diameter_mm": 50.0, "gear_ratio": 8 / 3}
        made[kind] = plan(job.model_copy(update={"drive": job.drive.model_copy(update=more)}), 0)
    return made


@pytest.mark.parametrize("name", ["item-diameter", *KINDS])
def test_every_kind_has_something_to_warn_of(kinds: dict[str, Plan], name: str) -> None:
    """Else the tests below would hold for nothing."""
    count = {"item-diameter": 1, "roller-diameter": 2, "degrees": 2, "steps-only": 2}
    assert len([one for one in entries(kinds[name]) if one.leave]) == count[name]


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("name", ["item-diameter", *KINDS])
def test_texts_have_it_beside_the_number(kinds: dict[str, Plan], name: str, system: str) -> None:
    """On the last line of the figure or the one below; in plain lines, in the same sentence; wherever it stands."""
    made = kinds[name]
    for one in (one for one in entries(made, system) if one.leave):
        for lines in (card_lines(made, system, DAY), answer_lines(made, system)):
            first = next(place for place, line in enumerate(lines) if re.match(rf" *\d+  {re.escape(one.label)}", line))
            assert any(one.leave in line for line in lines[first + 2 : first + 4])
        for text in (
            "\n".join(plain_answer(made, system)),
            "\n".join(document(card_of(made, system), ".txt", "A4").data.decode().splitlines()),
        ):
            assert one.leave in text
        assert f"{one.label}: {spoken(one.figure)}" in "\n".join(plain_answer(made, system))
        behind = [line for line in text_lines(card_of(made, system)(0.0)) if line.startswith(f"  {one.label} ")]
        assert behind
        assert all(one.leave in line for line in behind)


def strips(laid: Laid) -> list[tuple[list[Words], Area]]:
    """The warnings of a laid block: words white on black, with the black that they stand on."""
    areas = [mark for mark in laid.marks if isinstance(mark, Area)]
    whites = [mark for mark in laid.marks if isinstance(mark, Words) and mark.shade == 1.0]
    found = []
    for black in areas:
        (left, low), (right, high) = (
            np.concatenate(black.rings_mm).min(axis=0),
            np.concatenate(black.rings_mm).max(axis=0),
        )
        on = [w for w in whites if left <= w.x_mm <= right and low <= w.y_mm and w.y_mm + 0.72 * w.size_mm <= high]
        for words in on:
            assert left + WIDER_FONT * wide_mm(words.text, words.size_mm, words.face) <= right
        found.append((on, black))
    assert sum(len(on) for on, _ in found) == len(whites)
    return found


@pytest.mark.parametrize("size", [Size(), *SIZES, *SMALLEST], ids=lambda size: f"{size.body_mm}-{size.gap_mm}")
@pytest.mark.parametrize("leave", ["NOT 79: leave it", "NOT 3.11 in (79 mm): leave it", LONGEST])
@pytest.mark.parametrize("wide", [91.75, 70.0, 188.0])
def test_set_in_type_it_stands_under_its_own_number(size: Size, leave: str, wide: float) -> None:
    """Whole, bold, white on black, between its number and the next, never under 8 points and 11 where there is room;
    on black that is wide enough for another font than ours."""
    keyed = Keyed(
        tuple(Entry(f"Number {n}", f"{n}2.345", "mm", "a meaning " * 4, leave if n % 2 else "") for n in (1, 2, 3))
    )
    laid = block(keyed, wide, size)
    figures = [mark for mark in laid.marks if isinstance(mark, Words) and re.fullmatch(r"\d2\.345", mark.text)]
    found = strips(laid)
    assert [" ".join(words.text for words in on) for on, _ in found] == [leave, leave]
    for (on, black), number, after in zip(found, figures[::2], [figures[1].y_mm, -laid.high_mm], strict=True):
        assert all(words.size_mm >= LEAST_LEAVE_MM and words.face == "bold" for words in on)
        assert size in SMALLEST or on[0].size_mm >= 11 * MM_PER_POINT - 1e-9
        assert all(number.y_mm > words.y_mm > after for words in on)
        x = np.concatenate(black.rings_mm)[:, 0]
        assert x.min() >= 0
        assert x.max() <= wide + 1e-9


@pytest.mark.slow
@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("name", ["item-diameter", "steps-only"])
def test_read_back_from_the_pdf_it_stands_under_its_number(kinds: dict[str, Plan], name: str, system: str) -> None:
    """Found as words on page one, at least 11 points high, just under the figure, and light on dark."""
    made = kinds[name]
    page = pypdfium2.PdfDocument(document(card_of(made, system), ".pdf", "A4", fits_a_page=True).data)[0]
    texts = page.get_textpage()
    scale = 3.0
    grey = page.render(scale=scale).to_numpy()[..., :3].mean(axis=2)
    for one in (one for one in entries(made, system) if one.leave):
        found = texts.search(one.leave).get_next()
        assert found is not None, one
        at, count = found
        first, last = texts.get_charbox(at), texts.get_charbox(at + count - 1)
        figures = [texts.get_charbox(place) for place in _places(texts, one.text)]
        # What is keyed in is set in 14 points at least; the same digits stand smaller elsewhere.
        above = [box for box in figures if box[3] - box[1] > 9 and box[1] > first[3]]
        assert min(box[1] for box in above) - first[3] < 12
        # A capital is 0.714 of the letters' size.
        assert (first[3] - first[1]) / 0.714 >= 11 - 0.2
        high = grey.shape[0]
        strip = grey[
            int(high - scale * first[3]) : int(high - scale * first[1]), int(scale * first[0]) : int(scale * last[2])
        ]
        assert np.median(strip) < 60
        assert strip.max() > 200


def _places(texts: pypdfium2.PdfTextPage, text: str) -> list[int]:
    search, found = texts.search(text), []
    while (place := search.get_next()) is not None:
        found.append(place[0])
    return found


class Items(HTMLParser):
    """The items of the list of numbers, each with the words of its parts by tag."""

    def __init__(self) -> None:
        super().__init__()
        self.items: list[dict[str, str]] = []
        self.open: list[str] = []
        self.inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "ol":
            self.inside = ("class", "keyed") in attrs
        if self.inside and tag == "li":
            self.items.append({})
        self.open.append(str(dict(attrs).get("class") or tag))

    def handle_endtag(self, tag: str) -> None:
        if tag == "ol":
            self.inside = False
        if self.open:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.inside and self.items and data.strip():
            self.items[-1][self.open[-1]] = data


@pytest.mark.slow
@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("name", ["item-diameter", *KINDS])
def test_in_html_it_is_part_of_the_same_item(kinds: dict[str, Plan], name: str, system: str) -> None:
    """Bold, in the item of its number, before what it means; in print never under 8 points."""
    made = kinds[name]
    text = document(card_of(made, system), ".html", "A4", fits_a_page=True).data.decode()
    reader = Items()
    reader.feed(text)
    shown = [(item["figure"], item.get("strong", "")) for item in reader.items]
    assert shown == [(one.text, one.leave) for one in entries(made, system)]
    body = re.search(r"--leave: ([\d.]+)", text)
    assert body is not None
    assert float(body[1]) >= LEAST_LEAVE_MM - 0.01
    assert re.search(r"ol\.keyed strong \{[^}]*font-size: calc\(var\(--leave\) \* 1mm\)", text)


@pytest.mark.slow
@pytest.mark.parametrize("system", ["mm", "in"])
def test_in_svg_it_is_text(kinds: dict[str, Plan], system: str) -> None:
    """White, at least 11 points high, the next words after the number and its unit."""
    made = kinds["steps-only"]
    root = ElementTree.fromstring(document(card_of(made, system), ".svg", "A4", fits_a_page=True).data)
    words = list(root.iter("{http://www.w3.org/2000/svg}text"))
    for one in (one for one in entries(made, system) if one.leave):
        found = next(word for word in words if word.text == one.leave)
        number = max(
            (w for w in words if w.text == one.text and float(w.get("y", 0)) < float(found.get("y", 0))),
            key=lambda w: float(w.get("y", 0)),
        )
        assert found.get("fill") == "#ffffff"
        assert float(found.get("font-size", 0)) >= 1000 * 11 * MM_PER_POINT - 1
        assert float(found.get("y", 0)) - float(number.get("y", 0)) < 8000


def test_marks_stay_in_their_order() -> None:
    """The black is painted before what stands on it."""
    laid = block(Keyed((Entry("Number", "2.5", "mm", leave=LONGEST),)), 91.75, Size())
    kinds = [
        ("black" if isinstance(m, Area) else "white")
        for m in laid.marks
        if isinstance(m, Area) or getattr(m, "shade", 0) == 1.0
    ]
    assert kinds[0] == "black"
    assert all(pair != ("white", "black") for pair in pairwise(kinds))
