"""Papers in plain lines: all that a card says, and nothing that a screen reader would spell out."""

import re

import pytest
from rotary.card.paper import card_paper
from rotary.papers.plain import plain_lines, spoken

from rotary.cli import main
from rotary.job import job_from_file
from rotary.papers.model import Paper, words_of
from rotary.plan import Plan, plan
from rotary.shipped import examples

DRAWN = re.compile("[\u2190-\u21ff\u2300-\u23ff\u2500-\u25ff\u2800-\u28ff\x1b]|[|_]{2}|-{4}|={4}|\\[ \\]| {2}")


@pytest.fixture(scope="module", params=examples())
def made(request: pytest.FixtureRequest) -> Plan:
    return plan(job_from_file(examples()[request.param]), 50)


@pytest.fixture
def paper(made: Plan) -> Paper:
    return card_paper(made, picture_mm=0.0)


def test_nothing_is_drawn(paper: Paper) -> None:
    """No stroke of a big digit, no rule, no box, no column of blanks; every line ends as a sentence does."""
    lines = plain_lines(paper)
    assert not [line for line in lines if DRAWN.search(line)]
    assert all(line.endswith((".", "!", "?", ":")) for line in lines)


def test_all_that_the_card_says_is_said(paper: Paper) -> None:
    """Every word that the printed card has stands in the lines too, signs as words."""
    said = " ".join(plain_lines(paper)).casefold()
    for words in words_of(paper):
        text = spoken(words).casefold().rstrip(".")
        if text and not re.fullmatch(r"_+", text) and words not in picture_words(paper):
            assert text in said, words


def picture_words(paper: Paper) -> set[str]:
    """The letters inside pictures: a picture is said by its title and its sentence."""
    from rotary.papers.model import PictureRow

    shown = [
        block for part in (*paper.sections, *paper.behind) for block in part.blocks if isinstance(block, PictureRow)
    ]
    return {mark.text for block in shown for one in block.pictures for mark in one.marks if hasattr(mark, "text")}


def test_the_numbers_come_in_their_order(made: Plan, paper: Paper) -> None:
    """What is keyed in is numbered from 1 on, with the very digits of the card."""
    lines = plain_lines(paper)
    numbered = [line for line in lines if re.match(r"\d+\. ", line)]
    for place, entry in enumerate(made.split.key_in, 1):
        assert any(line.startswith(f"{place}. {entry.label}: {spoken(entry.text)}") for line in numbered), entry


@pytest.mark.parametrize("command", ["plan", "card"])
def test_the_command_line_writes_plain_lines(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With --plain the same numbers come in lines that nothing is drawn in."""
    assert main([command, "regatta-bottle", "--plain"]) == 0
    plain = capsys.readouterr().out
    assert not [line for line in plain.splitlines() if DRAWN.search(line)]
    for entry in plan(job_from_file(examples()["regatta-bottle"]), 1000).split.key_in:
        assert f"{entry.label}: {spoken(entry.text)}" in plain
