"""Every number on the setup sheet can be followed to the page that derives it."""

import re
from pathlib import Path

import pytest

from rotary.card.plan_sheet import actions_in_words
from rotary.job import job_from_file
from rotary.plan import plan
from rotary.shipped import examples

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "setup-card.md").read_text("utf-8")
FIRST_CELLS = "\n".join(re.findall(r"^\| ([^|]+) \|", PAGE, re.M))


@pytest.mark.parametrize("name", ["regatta-bottle", "brass-nut"])
def test_every_number_to_type_is_on_the_page(name: str) -> None:
    """The labels of what is typed stand in the first column."""
    actions = actions_in_words(plan(job_from_file(examples()[name]), 0))
    for row in (*actions.type, actions.rows["slices_shown"], actions.rows["focus"]):
        label = row.label.replace(" of the chuck", "").replace(" of the roller", "")
        assert label in FIRST_CELLS, row.id


def test_every_place_the_page_points_to_is_there() -> None:
    """Links lead to headings that exist."""
    for target, anchor in re.findall(r"\]\(([\w/.-]+\.md)(?:#([\w-]+))?\)", PAGE):
        text = (DOCS / target).read_text("utf-8")
        heads = [
            re.sub(r"[^\w -]", "", head.casefold()).replace(" ", "-") for head in re.findall(r"^#+ (.+)$", text, re.M)
        ]
        assert not anchor or anchor in heads, (target, anchor)
