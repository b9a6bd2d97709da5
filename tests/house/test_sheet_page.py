"""Every number on the setup sheet can be followed to the page that derives it."""

import re
from pathlib import Path

import pytest

from rotary.job import job_from_file
from rotary.plan import plan
from rotary.sentences.plan import actions_in_words
from rotary.shipped import examples

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "explanation" / "numbers.md").read_text("utf-8")
FIRST_CELLS = "\n".join(re.findall(r"^\| ([^|]+) \|", PAGE, re.M))


@pytest.mark.parametrize("name", ["regatta-bottle", "brass-nut"])
def test_every_number_to_type_is_on_the_page(name: str) -> None:
    """The labels of what is typed stand in the first column."""
    actions = actions_in_words(plan(job_from_file(examples()[name]), 0))
    for row in (*actions.type, actions.rows["slices_shown"], actions.rows["focus"]):
        label = row.label.replace(" of the chuck", "").replace(" of the roller", "")
        assert label in FIRST_CELLS, row.id
