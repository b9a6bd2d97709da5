"""Words on the desk: lines among the facts, what they decide, and what has to be chosen before other pages open."""

from pathlib import Path
from typing import Any

import pytest

from rotary.files import toml_tables
from rotary.sentences.standing import step_text
from tests.setups import wordless_nut
from tests.tui.conftest import ROOT, Desk
from tui.background.process import done
from tui.background.tasks import Errand
from tui.catalogue import GROUPS
from tui.drawings.actions import action_lines
from tui.drawings.canvas import plain
from tui.drawings.panel_content import Content
from tui.drawings.pictures import TURNED, picture
from tui.form.choices import OpenChoice, Option
from tui.form.desk_lines import number_lines
from tui.form.facts import fact_keys, job_rows, line_key, missing
from tui.form.job_form import Session
from tui.form.rows import REST, Folds
from tui.planner.request import Request
from tui.planner.verdict import judge

LINES = "inscription.text"
COATING = "item.coating"


def new_job() -> Session:
    session = Session({"item": {"measurements": [{"at": "0 mm"}, {"at": ""}]}})
    session.begin_new("")
    return session


def test_no_line_of_the_form_is_a_key_of_the_job_file() -> None:
    """Whatever is open, what stands before a place to type is a person's words."""
    for session in (new_job(), Session(toml_tables(wordless_nut()))):
        rows = job_rows(session, Folds({group.key for group in GROUPS}, {REST, *(group.key for group in GROUPS)}))
        said = [row.label for row in rows] + [cell.name for row in rows for cell in row.cells]
        said += [cell.field.label for row in rows for cell in row.cells if cell.field is not None]
        assert len(said) > 300
        assert [text for text in said if "_" in text] == []


def test_lines_are_the_job_s_words_and_come_back_as_they_were(bottle: dict[str, Any]) -> None:
    """Two lines are one text of the job; a draft and undo keep them; what else the words have stays with them."""
    session = Session({**bottle, "inscription": {"text": "HERON\n\n1884", "gap": "2 mm"}})
    assert [session.text(line_key(row)) for row in range(3)] == ["HERON", "", "1884"]
    session.edit(line_key(2), "1885")
    assert session.words == {"text": "HERON\n\n1885", "gap": "2 mm"}
    again = Session({})
    again.restore(session.state())
    assert again.words == session.words
    session.undo()
    assert session.data()["inscription"]["text"].endswith("1884")
    assert not session.unsaved


def test_a_draft_of_before_still_has_its_words(bottle: dict[str, Any]) -> None:
    """A draft that holds the words as one text opens with a line for each."""
    state = Session(bottle).state()
    old = {key: one for key, one in state["entries"].items() if not key.startswith("inscription")}
    state["entries"] = old | {"inscription": ('{"text": "A\\nB", "around": "arc"}', None, "")}
    session = Session({})
    session.restore(state)
    assert session.words == {"text": "A\nB", "around": "arc"}
    assert session.text(line_key(1)) == "B"


def test_words_ask_for_no_artwork() -> None:
    """Where there are words, nothing of a drawing is among the facts; an empty first line is what is missing."""
    session = new_job()
    session.add_row(session.tables[LINES])
    assert line_key(0) in missing(session)
    session.edit(line_key(0), "HERON")
    keys = list(fact_keys(session))
    assert line_key(0) in keys
    assert not any(key.startswith("artwork") for key in (*keys, *missing(session)))
    assert "artwork" not in session.data()
    assert [row.label for row in job_rows(session, Folds())].count("WORDS") == 1


def test_words_make_a_new_job_s_metal_bare_but_never_a_coating_that_was_chosen() -> None:
    """Nobody chose a coating: none; chosen before the words: it stays, and undo takes both back."""
    session = new_job()
    session.add_row(session.tables[LINES])
    session.edit(line_key(0), "H")
    assert session.text(COATING) == "none"
    assert COATING not in session.unasked
    session.undo()
    assert COATING in session.unasked
    coated = new_job()
    coated.edit(COATING, "polyester-powder-dark")
    coated.add_row(coated.tables[LINES])
    coated.edit(line_key(0), "H")
    assert coated.text(COATING) == "polyester-powder-dark"


def test_enter_alone_chooses_nothing_that_nobody_chose() -> None:
    """A list that has to be asked has its pointer nowhere: Enter leaves it open, a letter or an arrow points."""
    options = (Option("a", "powder coat"), Option("none", "none"))
    asks = OpenChoice.of(COATING, options, None)
    assert (asks.press("enter", None), asks.chosen) == ("open", None)
    asks.press("down", None)
    assert (asks.press("enter", None), asks.chosen) == ("next", options[0])
    typed = OpenChoice.of(COATING, options, None)
    typed.press("n", "n")
    assert typed.chosen == options[1]
    assert OpenChoice.of(COATING, options, "none").chosen == options[1]


async def test_pages_that_need_a_choice_ask_for_it_first(desk: Desk) -> None:
    """Without coating, metal and turning neither patch nor letters open: the list of what is unchosen does."""
    async with desk(80, 24) as person:
        await person.press("ctrl+n", "ctrl+t")
        await person.pilot.pause()
        assert person.app.screen is person.app.desk
        assert person.app.desk.form.choice is not None
        assert person.app.desk.form.choice.key == COATING
        await person.press("enter", "enter")
        assert COATING in person.session.unasked


async def test_lines_begin_and_end_by_enter_and_backspace(desk: Desk) -> None:
    """Ctrl+B begins words; Enter begins a line, on an empty one it goes on; Backspace goes back to artwork."""
    async with desk(80, 24) as person:
        await person.press("ctrl+n", "ctrl+b", "A", "enter", "B", "enter", "enter")
        assert person.session.words["text"] == "A\nB"
        assert person.session.rows(person.session.tables[LINES]) == 2
        assert person.app.desk.form.cell.key == "item.metal"
        person.go(line_key(1))
        await person.press("backspace", "backspace", "backspace", "backspace")
        assert person.session.words == {}
        assert person.session.rows(person.session.tables[LINES]) == 0
        assert "ARTWORK" in person.screen()


async def test_esc_takes_back_words_that_were_only_begun(desk: Desk) -> None:
    """Ctrl+B by mistake: Esc takes back the letters, then the line, and the drawing stands there as before."""
    async with desk(80, 24) as person:
        before = person.session.data()
        await person.press("ctrl+b", "A")
        assert "ARTWORK" not in person.screen()
        await person.press("escape")
        assert "ARTWORK" not in person.screen()
        await person.press("escape")
        assert "ARTWORK" in person.screen()
        assert person.session.data()["artwork"] == before["artwork"]


@pytest.mark.parametrize(("around", "says"), [("flats", "1 flat with words"), ("end", "end face, 22.00 mm across")])
def test_words_on_faces_stand_in_the_unrolled_picture(around: str, says: str, tmp_path: Path) -> None:
    """What is not turned is drawn as it lies, in place of a wall that it is not on."""
    data = toml_tables(wordless_nut()) | {"inscription": {"text": "HERON", "around": around}}
    if around == "flats":
        item = {key: value for key, value in data["item"].items() if key not in ("measurements", "heights_from")}
        data["item"] = item | {"flats": 6, "across_flats": "22 mm", "length": "16 mm"}
    found = done(Errand("artwork", "1", data, "mm", str(tmp_path)), lambda _: None)
    assert not found.faults
    bare = judge(Request(1, data, "mm"))
    assert bare.plan is not None
    text = plain(picture("unrolled", bare.plan, "mm", 70, 14, False, Content(found.answer, True)))
    assert says in text
    assert sum(sign > "\u2800" for sign in text) > 40
    # Nothing turns: there are neither slices round the wall nor seams.
    for name in TURNED:
        assert ("stands still" in plain(picture(name, bare.plan, "mm", 90, 20))) == (around == "end")
    assert ("How wide a slice can be" in plain(picture("notes", bare.plan, "mm", 90, 20))) == (around == "flats")
    simulated = done(Errand("forecast", "2", data, "mm", str(tmp_path)), lambda _: None)
    assert ["stands still" in str(fault) for fault in simulated.faults] == [True]
    assert bare.actions is not None
    run = plain(action_lines(bare.actions, "mm", 80, 40))
    # Until its artwork is laid out no file has a name, and nothing is called "words".
    assert "IMPORT  the words' files" in run
    step = bare.actions.steps[0].model_copy(update={"id": "write_file", "value": "words", "where": ""})
    assert step_text(step).startswith("Make the words' files: ")
    assert "RUN" in run
    # One face is one slice.
    assert "along · measure the depth after" in run


def test_words_on_faces_have_no_orders_before_they_are_laid_out(bottle: dict[str, Any]) -> None:
    """Nobody reads how an item is turned that is to stand still."""
    for around, is_known in (("end", False), ("arc", True)):
        session = Session({**bottle, "inscription": {"text": "HERON", "around": around}})
        session.accept(judge(session.request()))
        for is_laid_out in (False, True):
            text = plain(number_lines(session, 80, 60, False, False, is_laid_out))
            assert ("under the field's middle" in text) == (is_known or is_laid_out)
            assert ("being worked out" in text) != ("BY HAND" in text)


def test_words_are_simulated_as_they_are_written(tmp_path: Path) -> None:
    """Words are the artwork of their job: no frame stands in for them, and slices are those of their files."""
    data = toml_tables(wordless_nut()) | {"inscription": {"text": "HERON CLUB", "around": "arc"}}
    found = done(Errand("forecast", "1", data, "mm", str(tmp_path)), lambda _: None)
    assert not found.faults
    made = done(Errand("artwork", "2", data, "mm", str(tmp_path)), lambda _: None).answer
    ways = {way.method: way for way in found.answer.ways}
    assert not found.answer.stands_in
    assert ways[found.answer.taken].columns == len(made.borders_rad) - 1
    assert ways[found.answer.taken].seams


async def test_words_that_are_chosen_in_place_of_a_drawing_are_typed_at_once(desk: Desk) -> None:
    """The choice leads to their first line, not past it; Enter in a line brings numbers for what is there."""
    async with desk(80, 24) as person:
        await person.press("ctrl+n")
        person.go("artwork.pieces.0.file")
        await person.press("enter", "down", "enter")
        assert person.app.desk.form.cell.key == line_key(0)
        await person.write("HERON")
        number = person.session.number
        await person.press("enter")
        assert person.app.desk.form.cell.key == line_key(1)
        assert person.session.number > number
        await person.judged()


def test_the_window_says_whose_readings_it_shows(tmp_path: Path) -> None:
    """Invented readings are not called missing, and bare metal has no coating to read."""

    def window(data: dict[str, Any]) -> str:
        found = done(Errand("window", "1", data, "mm", str(tmp_path)), lambda _: None)
        made = judge(Request(1, data, "mm")).plan
        assert made is not None
        return " ".join(plain(picture("window", made, "mm", 90, 30, False, Content(found.answer, True))).split())

    cup = window(toml_tables((ROOT / "profiles" / "heron-cup.toml").read_text("utf-8")))
    assert "These readings are invented" in cup
    assert "No reading" not in cup
    assert "coating" not in window(toml_tables(wordless_nut()))
