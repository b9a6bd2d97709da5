"""Texts of wide scripts stand in their columns; counted as terminals count them."""

import sys
import unicodedata

import pytest
from rich.cells import cell_len

from rotary.job import job_from_file
from rotary.papers.cells import cells, cut, folded, left, right
from rotary.papers.lines import WIDTH, figures, packed, table, title, wrapped
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.shipped import FIRST, examples
from tests.setups import setup_sheet

SCRIPTS = {
    "Latin": "Łódź Regatta", "Greek": "Ερμής", "Cyrillic": "Цапля", "Japanese": "鷺のレガッタ", "Korean": "왜가리",
    "accents": "He\u0301ron", "full width": "Ｈｅｒｏｎ", "Hebrew": "אנפה",
}  # fmt: skip


@pytest.mark.slow
def test_a_sign_takes_as_many_cells_as_a_terminal_library_counts() -> None:
    """Letters, digits, marks and signs of all scripts: as Rich counts, but for a few that tables settle otherwise."""
    odd = [
        sign
        for sign in map(chr, range(32, sys.maxunicode + 1))
        if unicodedata.category(sign) in ("Lu", "Ll", "Lt", "Lm", "Lo", "Nd", "Mn", "Me", "Sm", "Sc", "Po", "Pd")
        and cells(sign) != cell_len(sign)
    ]
    assert len(odd) < 50, odd[:20]


@pytest.mark.parametrize("name", SCRIPTS.values(), ids=SCRIPTS)
def test_columns_stand_under_each_other(name: str) -> None:
    """In a table and beside a figure, what follows a name begins in the same cell for every script."""
    lines = table([("name", "mm", "why"), ("Heron", "12.5", "x"), (name, "9.0", "x")])
    assert {cell_len(line[: line.rindex("x")]) for line in lines[1:]} == {cell_len(lines[0][: lines[0].rindex("why")])}
    first, second = figures([("Heron", "x"), (name, "x")])
    assert cell_len(first) == cell_len(second)
    assert cell_len(left(name, 20)) == cell_len(right(name, 20)) == cell_len(title(name)) - WIDTH + 20 == 20


@pytest.mark.parametrize("wide", [9, 20, 100])
@pytest.mark.parametrize("name", SCRIPTS.values(), ids=SCRIPTS)
def test_no_line_is_wider_than_the_paper(name: str, wide: int) -> None:
    """However often a name is repeated, with blanks or without, its lines keep to the width and lose no sign."""
    for text in (name * 30, f"{name} " * 30):
        lines = folded(text, wide, "- ", "  ")
        assert all(cell_len(line) <= wide for line in lines)
        assert "".join("".join(lines).split()) == "-" + "".join(text.split())
        assert cell_len(cut(text, wide)) in (wide - 1, wide)
    assert all(cell_len(line) <= WIDTH for line in packed([name] * 40, 2) + wrapped(name * 40))


def test_a_card_of_an_item_with_a_wide_name_keeps_to_its_columns() -> None:
    """The day stands at the right edge and no line runs over it."""
    job = job_from_file(examples()[FIRST])
    item = job.item.model_copy(update={"name": "鷺のレガッタ" * 12})
    made = plan(job.model_copy(update={"item": item, "note": "왜가리 " * 60}), draws=0)
    lines = text_lines(setup_sheet(made))
    assert max(map(cell_len, lines)) == WIDTH
    assert cell_len(lines[0]) == WIDTH
