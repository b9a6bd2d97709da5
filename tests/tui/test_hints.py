"""The lines under the fields help a person who has never seen the desk, in its own words and not in those of files."""

from typing import Any

import pytest

from rotary.errors import Fault, Missing
from tests.tui.conftest import Desk
from tui.drawings.words import wrapped
from tui.form.hints import hint, is_empty, missing_text, why_not, with_the_rest, wrong_now
from tui.form.job_form import Session
from tui.form.rows import Cell
from tui.form.tables import blank
from tui.planner.verdict import judge


def judged(data: dict[str, Any]) -> Session:
    session = Session(data)
    session.accept(judge(session.request()))
    return session


def text(session: Session, key: str) -> str:
    lines = hint(session, Cell(key, session.field(key)), 78)
    return " ".join(" ".join(run.text for run in line).strip() for line in lines)


def test_an_empty_job_says_what_to_measure_and_what_is_still_empty(bottle: dict[str, Any]) -> None:
    """The field with the focus is explained; what else is empty is named by its labels; no word of files."""
    session = judged(blank(bottle))
    for key in ("item.name", "turning.gear_ratio", "artwork.width"):
        said = text(session, key)
        field = session.field(key)
        assert field is not None
        assert field.help.split()[0] in said
    assert missing_text(session)[:4] == ["diameter 1", "height 2", "diameter 2", "drawing"]
    for word in ('"', "[", "write ", "="):
        assert word not in text(session, "item.runout")


def test_a_wrong_value_comes_before_what_is_empty(bottle: dict[str, Any]) -> None:
    """What was typed and can't be used is told first, wherever the focus is."""
    session = Session(blank(bottle))
    session.edit("item.runout", "12 kg")
    session.accept(judge(session.request()))
    assert "12 kg" in text(session, "item.runout")
    assert wrong_now(session).startswith("Item, runout: ")


def test_what_is_named_as_wrong_is_not_named_as_missing_too(bottle: dict[str, Any]) -> None:
    """An empty field that a choice asks for stands in one line only."""
    bottle["turning"]["controller_field"] = "steps-only"
    session = judged(bottle)
    assert wrong_now(session).startswith("Turning, diameter shown: ")
    assert missing_text(session) == ["drawing"]


def test_a_save_that_is_refused_names_the_field_as_the_desk_does(bottle: dict[str, Any]) -> None:
    """Not its dotted name, and what to measure instead of how a file is written."""
    session = judged(blank(bottle))
    said = why_not(session, Fault("artwork.width", Missing('is missing: write width = "80 mm"')))
    assert said == f"Artwork, width: this field is still empty. {session.fields['artwork.width'].help}"
    assert why_not(session, Fault("", "the disk is full: make room")) == "the disk is full: make room"
    assert not is_empty(Session(bottle), "artwork.width", Missing("is missing: write it"))


@pytest.mark.slow
async def test_the_first_hint_says_how_to_begin(desk: Desk) -> None:
    """Whoever sees the desk for the first time is told how to come to their own item."""
    async with desk(80, 24) as person:
        await person.see("Ctrl+N begins your own item")
        await person.press("ctrl+n")
        await person.see("Missing: diameter 1")


@pytest.mark.slow
async def test_enter_alone_goes_from_gap_to_gap(desk: Desk) -> None:
    """Enter goes to what is missing, in order; it adds and folds nothing, and chooses only in an open list."""
    async with desk(80, 40) as person:
        await person.press("ctrl+n")
        await person.until(lambda: person.session.text("item.name") == "")
        for value in ("0", "65", "210", "76.2"):
            await person.write(value)
            await person.press("enter")
        measurements = [
            person.session.text(f"item.measurements.{row}.{name}") for row in (0, 1) for name in ("at", "across")
        ]
        assert measurements == ["0", "65", "210", "76.2"]
        await person.press("escape")
        await person.write("crest.svg")
        await person.press("enter")
        before, seen = dict(person.session.entries), list[str]()
        unasked = person.session.unasked
        for _ in range(4):
            seen.append(person.app.desk.form.cell.key)
            await person.press("enter")
        assert seen == ["artwork.width", "artwork.height", "artwork.centre", "item.coating"]
        # Enter alone makes no choice that nobody made; an arrow points, then it does.
        assert person.session.unasked == unasked
        await person.press("enter")
        assert "Press Down to the right line" in person.screen()
        await person.press("down", "enter")
        assert person.session.text("item.coating") == person.session.entries["item.coating"].text
        await person.press("escape", "tab")
        # That a choice was made is kept beside what was chosen.
        changed = {key for key in person.session.entries if before.get(key) != person.session.entries[key]}
        assert changed == {"item.coating", "unasked"}
        assert unasked - person.session.unasked == {"item.coating"}
        assert person.session.unasked == {"item.metal", "turning.kind"}


def test_a_job_of_ones_own_is_no_invented_bottle(bottle: dict[str, Any]) -> None:
    """The first hint invites to try the example; a job that was opened from a file is none."""
    own = {**bottle, "item": {**bottle["item"], "name": "mine"}}
    said = [
        " ".join(run.text for line in hint(one, Cell("item.name", one.field("item.name")), 78) for run in line)
        for one in (judged(bottle), judged(own))
    ]
    assert ["invented example" in text for text in said] == [True, False]


def test_what_must_never_be_marked_is_read_on_the_smallest_screen(bottle: dict[str, Any]) -> None:
    """One line of 80 columns holds the caution whole, whatever else the hint says of the coating."""
    session = judged(bottle)
    session.edit("item.name", "mine")
    lines = hint(session, Cell("item.coating", session.field("item.coating")), 79)
    [line] = with_the_rest(lines, 80, 1)
    assert "Never mark vinyl, non-stick or anything with chlorine." in "".join(run.text for run in line)


def test_a_hint_that_is_cut_leads_to_the_rest_of_it() -> None:
    """Two lines in the room of one: its end gives way to the key of the help; one that fits stays as it is."""
    lines = wrapped("Never mark this or that, or anything else that gives off what nobody should breathe.", 40)
    [line] = with_the_rest(lines, 41, 1)
    text = "".join(run.text for run in line)
    assert text.startswith("Never mark")
    assert text.endswith("… [F1]")
    assert len(text) <= 41
    assert with_the_rest(lines, 41, len(lines)) == lines
