"""Every figure on the setup card can be followed to the page that derives it."""

import re
from collections.abc import Iterable
from pathlib import Path

import pytest
from rotary.card.keying import numbers_to_key_in

from rotary.card import card_lines
from rotary.job import job_from_file
from rotary.papers.lines import figures
from rotary.plan import Plan, plan
from rotary.shipped import examples

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "setup-card.md").read_text("utf-8")
FIRST_CELLS = "\n".join(re.findall(r"^\| ([^|]+) \|", PAGE, re.M))


@pytest.fixture(scope="module")
def plans() -> list[Plan]:
    return [plan(job_from_file(path), 50) for path in examples().values()]


def test_every_number_to_key_in_is_on_the_page(plans: list[Plan]) -> None:
    """The labels of what is typed stand in the first column."""
    for made in plans:
        for entry in numbers_to_key_in(made):
            assert entry.label.split(",")[0] in FIRST_CELLS, entry.label


def test_every_figure_of_the_card_is_on_the_page(plans: list[Plan], monkeypatch: pytest.MonkeyPatch) -> None:
    """Each name in front of a figure, under focus, artwork, split and passes, stands on the page."""
    names: set[str] = set()

    def collected(pairs: Iterable[tuple[str, str]]) -> list[str]:
        told = list(pairs)
        names.update(name for name, _ in told)
        return figures(told)

    for module in ("card.setup", "papers.text"):
        monkeypatch.setattr(f"rotary.{module}.figures", collected)
    for made in plans:
        card_lines(made)
    assert len(names) > 25
    # The laser's settings are also numbers to key in, under their own labels there.
    plain = PAGE.casefold()
    missing = [name for name in names if re.split(r",|:| from the ", name)[0].casefold() not in plain]
    assert not missing


def test_every_place_the_page_points_to_is_there() -> None:
    """Links lead to headings that exist."""
    for target, anchor in re.findall(r"\]\(([\w/.-]+\.md)(?:#([\w-]+))?\)", PAGE):
        text = (DOCS / target).read_text("utf-8")
        heads = [
            re.sub(r"[^\w -]", "", head.casefold()).replace(" ", "-") for head in re.findall(r"^#+ (.+)$", text, re.M)
        ]
        assert not anchor or anchor in heads, (target, anchor)
