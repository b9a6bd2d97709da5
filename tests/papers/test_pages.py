"""The card on paper: one page holds all that is done at the machine, large enough, and nothing is cut off."""

import re
from itertools import pairwise, product

import numpy as np
import pypdf
import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest
from rotary.card.essence import in_short
from rotary.card.keying import entries, numbers_to_key_in
from rotary.papers.onepage import fitted_pages
from rotary.papers.sheets import SHEETS_MM
from rotary.papers.typeset import LEAST_LEAVE_MM, MM_PER_POINT

from rotary.papers.drawing import Area, Line, PaperPicture, Words
from rotary.papers.formats import document
from rotary.papers.letters import printable, wide_mm
from rotary.papers.model import FIRST_RULE
from rotary.plan import Plan
from rotary.printer import SheetName
from rotary.sentences.cautions import stops
from rotary.sentences.passes import before_and_after, first_line
from rotary.shipped import FIRST, examples
from tests.papers.conftest import HARD, beyond_a_page, card_of

NAMES = [*examples(), *HARD]
SHEETS: tuple[SheetName, ...] = ("A4", "Letter")
QUICK = {(FIRST, "A4"), (FIRST, "Letter"), ("long name", "A4"), ("24 numbers", "Letter"), ("no passes", "A4")}
CARDS = [
    pytest.param(*one, marks=() if one in QUICK else pytest.mark.slow)
    for one in product(NAMES, SHEETS)
    if one != ("eleven lasers", "Letter")
]
"""Each card on one sheet, the first on both; the others take long and tell seldom more. Eleven lasers with long names
need more than one page of Letter."""
MARGIN_MM = 10.0


def squeezed(text: str) -> str:
    """Letters and figures alone, as a paper shows them: lines may break anywhere."""
    return re.sub(r"[^\w]", "", printable(text)).casefold()


MADE: dict[tuple[int, SheetName, str], list[PaperPicture]] = {}


def pages_of(made: Plan, sheet: SheetName, system: str = "mm") -> list[PaperPicture]:
    """The pages of a card, made once for all tests."""
    key = (id(made), sheet, system)
    if key not in MADE:
        MADE[key] = fitted_pages(card_of(made, system), sheet)
    return MADE[key]


def words_on(page: PaperPicture) -> str:
    return squeezed("".join(mark.text for mark in page.marks if isinstance(mark, Words)))


@pytest.mark.parametrize("system", ["mm", pytest.param("in", marks=pytest.mark.slow)])
@pytest.mark.parametrize(("name", "sheet"), CARDS)
def test_the_first_page_is_complete(plans: dict[str, Plan], name: str, sheet: SheetName, system: str) -> None:
    """All that is keyed in, seen, warned of and run stands on page one, whatever the job; only then come others."""
    made = plans[name]
    pages = pages_of(made, sheet, system)
    assert "behindit" not in words_on(pages[0])
    assert all("behindit" in words_on(page) for page in pages[1:])
    told = words_on(pages[0])
    must = [made.job.item.name, FIRST_RULE, "What happened", *made.split.must_show]
    must += [text for entry in entries(made, system) for text in (entry.label, entry.text, entry.unit, entry.leave)]
    must += stops(made.safety)
    must += [text for texts in in_short(made) for text in texts]
    must += [*before_and_after(made.removal)[0], *before_and_after(made.removal)[1], first_line(made, tabbed=True)]
    assert [text for text in must if squeezed(text) not in told] == []


@pytest.mark.parametrize(("name", "sheet"), CARDS)
def test_figures_to_key_in_are_large(plans: dict[str, Plan], name: str, sheet: SheetName) -> None:
    """At least 14 points, bold, and one under the other in their order."""
    made = plans[name]
    page = pages_of(made, sheet)[0]
    large = [mark for mark in page.marks if isinstance(mark, Words) and mark.size_mm >= 14 * MM_PER_POINT - 1e-6]
    texts = [entry.text for entry in numbers_to_key_in(made)]
    shown = [mark for mark in large if mark.text in texts]
    assert [mark.text for mark in shown] == texts
    assert all(mark.face == "bold" for mark in shown)
    assert all(upper.y_mm > lower.y_mm for upper, lower in pairwise(shown))


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize(("name", "sheet"), CARDS)
def test_what_warns_of_a_number_keeps_its_size(
    plans: dict[str, Plan], name: str, sheet: SheetName, system: str
) -> None:
    """However full the page: under its own number, 11 points on every shipped card and never under 8."""
    marks = [mark for mark in pages_of(plans[name], sheet, system)[0].marks if isinstance(mark, Words)]
    figures = [mark for mark in marks if mark.size_mm >= 14 * MM_PER_POINT - 1e-6 and mark.face == "bold"]
    for entry in (entry for entry in entries(plans[name], system) if entry.leave):
        (strip,) = (mark for mark in marks if mark.text == entry.leave)
        assert strip.size_mm >= (11 * MM_PER_POINT if name in examples() else LEAST_LEAVE_MM) - 1e-6
        above = min((mark for mark in figures if mark.y_mm > strip.y_mm), key=lambda mark: mark.y_mm)
        assert above.text == entry.text


@pytest.mark.parametrize(("name", "sheet"), CARDS)
def test_nothing_is_cut_off(plans: dict[str, Plan], name: str, sheet: SheetName) -> None:
    """Every line, area and word lies inside the white edge of 10 mm on every page."""
    wide, high = SHEETS_MM[sheet]
    for page in pages_of(plans[name], sheet):
        assert (page.wide_mm, page.high_mm) == (wide, high)
        for mark in page.marks:
            left, bottom, right, top = bounds(mark)
            assert left >= MARGIN_MM - 0.4, mark
            assert right <= wide - MARGIN_MM + 0.4, mark
            assert bottom >= MARGIN_MM - 0.4, mark
            assert top <= high - MARGIN_MM + 0.4, mark


def bounds(mark: Line | Area | Words) -> tuple[float, float, float, float]:
    """Left, bottom, right, top [mm] of a mark."""
    if isinstance(mark, Words):
        wide = wide_mm(printable(mark.text), mark.size_mm, mark.face)
        left = mark.x_mm - {"start": 0.0, "middle": wide / 2, "end": wide}[mark.anchor]
        return left, mark.y_mm - 0.2 * mark.size_mm, left + wide, mark.y_mm + 0.72 * mark.size_mm
    points = mark.points_mm if isinstance(mark, Line) else np.concatenate(mark.rings_mm)
    return float(points[:, 0].min()), float(points[:, 1].min()), float(points[:, 0].max()), float(points[:, 1].max())


@pytest.mark.parametrize(("name", "sheet"), CARDS)
def test_no_words_stand_on_others(plans: dict[str, Plan], name: str, sheet: SheetName) -> None:
    """No two words of the first page overlap by more than letters' tails do."""
    page = pages_of(plans[name], sheet)[0]
    words = [mark for mark in page.marks if isinstance(mark, Words) and mark.text.strip()]
    boxes = np.array([bounds(mark) for mark in words])
    across = np.minimum(boxes[:, None, 2], boxes[None, :, 2]) - np.maximum(boxes[:, None, 0], boxes[None, :, 0])
    up = np.minimum(boxes[:, None, 3], boxes[None, :, 3]) - np.maximum(boxes[:, None, 1], boxes[None, :, 1])
    tails = 0.25 * np.minimum(*np.meshgrid(*[[mark.size_mm for mark in words]] * 2))
    clash = (across > 0.15) & (up > tails)
    np.fill_diagonal(clash, val=False)
    assert [(words[a].text, words[b].text) for a, b in np.argwhere(clash)] == []


@pytest.mark.parametrize(("name", "sheet"), [card for card in CARDS if card.values[0] in (FIRST, "all at once")])
def test_the_pdf_shows_what_was_set(plans: dict[str, Plan], name: str, sheet: SheetName) -> None:
    """Read back, the PDF has the sheet's size, its words, white edges, and no colour."""
    made = plans[name]
    data = document(card_of(made), ".pdf", sheet, fits_a_page=True).data
    pdf = pypdfium2.PdfDocument(data)
    pages = pages_of(made, sheet)
    assert len(pdf) == len(pages)
    wide, high = SHEETS_MM[sheet]
    assert pdf[0].get_size() == pytest.approx((wide / MM_PER_POINT, high / MM_PER_POINT), abs=0.01)
    told = squeezed(pdf[0].get_textpage().get_text_bounded())
    figures = [entry.text for entry in numbers_to_key_in(made)]
    assert [text for text in [*figures, FIRST_RULE, made.job.item.name] if squeezed(text) not in told] == []
    ink = pdf[0].render(scale=150 / 72).to_numpy()[..., :3].astype(int)
    assert int(np.ptp(ink, axis=2).max()) <= 1
    edge = int(MARGIN_MM / 25.4 * 150) - 1
    inside = ink[edge:-edge, edge:-edge]
    assert ink.sum() - inside.sum() == 255 * (ink.size - inside.size)
    assert inside.min() < 20


@pytest.mark.slow
def test_the_letters_are_in_the_file(shipped: dict[str, Plan]) -> None:
    """Whoever opens the PDF elsewhere sees the same letters: every font is embedded."""
    import io

    data = document(card_of(shipped[FIRST]), ".pdf", "A4", fits_a_page=True).data
    fonts = [
        font.get_object()
        for page in pypdf.PdfReader(io.BytesIO(data)).pages
        for font in page["/Resources"]["/Font"].values()  # type: ignore[index]
    ]
    used = [font for font in fonts if "/FontDescriptor" in font]
    assert used
    assert all("/FontFile2" in font["/FontDescriptor"] for font in used)


@pytest.mark.slow
def test_the_same_card_gives_the_same_bytes(shipped: dict[str, Plan]) -> None:
    """Nothing of the moment is written into a paper but its day."""
    one, two = (document(card_of(shipped[FIRST]), ".pdf", "A4", fits_a_page=True).data for _ in range(2))
    assert one == two


def test_letters_that_the_font_lacks_are_told(plans: dict[str, Plan]) -> None:
    """A Japanese name prints as question marks, and the foot says where the letters are."""
    told = words_on(pages_of(plans["wide scripts"], "A4")[0])
    assert squeezed("stands for letters that this paper's font lacks") in told
    assert squeezed("Фляга с цаплей, θερμός, bình nước") in told
    assert "lacks" not in words_on(pages_of(plans[FIRST], "A4")[0])


@pytest.mark.parametrize("name", examples())
def test_shipped_cards_have_their_pictures_on_the_first_page(shipped: dict[str, Plan], name: str) -> None:
    """End view, side view and unrolled wall stand on page one of A4; on Letter, which is shorter, they may give way."""
    told = words_on(pages_of(shipped[name], "A4")[0])
    assert "toscale" in told
    assert "seenfromthefoot" in told


@pytest.mark.slow
def test_what_no_page_holds_takes_two(shipped: dict[str, Plan]) -> None:
    """Warnings without end go on overleaf in letters that can be read; not a word is lost."""
    made = beyond_a_page(shipped[FIRST])
    pages = pages_of(made, "A4")
    told = "".join(map(words_on, pages))
    assert len(pages) > 2
    assert [text for texts in in_short(made) for text in texts if squeezed(text) not in told] == []
    assert min(mark.size_mm for mark in pages[0].marks if isinstance(mark, Words)) >= 1.7
    for page in pages:
        assert all(bounds(mark)[1] >= MARGIN_MM - 0.4 for mark in page.marks)


def test_what_stands_behind_is_drawn_once_for_all_heights(shipped: dict[str, Plan]) -> None:
    """A card is tried at several heights; its appendix, the longest to draw, is the same and is not drawn again."""
    card = card_of(shipped["regatta-bottle"])
    high, low = card(40.0), card(0.0)
    assert high.sections != low.sections
    assert high.behind is low.behind
