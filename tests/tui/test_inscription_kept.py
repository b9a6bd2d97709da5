"""What is typed at the inscription screen is the job's: saved, undone, drafted; a list shows its misfits first."""

import json
from pathlib import Path

import pytest

from rotary.store.profiles import load
from tests.tui.test_inscription_screen import at_screen, profile
from tui.catalogue.inscription import INSCRIPTION
from tui.form.inscription import job_table, together
from tui.form.job_form import Session
from tui.form.lettering import Lettering, group_summary
from tui.screens.ask import Ask
from tui.screens.inscription_misfits import Misfits

pytestmark = pytest.mark.usefixtures("work_here")

WORDS = {"text": "HERON\n1884", "around": "ring", "gap": "2 mm", "repeat": 2, "italic": True, "depth": "40 um"}


def there(folder: Path) -> list[str]:
    """What lies in a folder beside the drafts."""
    return sorted(path.name for path in folder.iterdir() if path.name != ".drafts")


@pytest.mark.slow
async def test_words_are_saved_with_the_profile_from_their_own_screen(tmp_path: Path) -> None:
    """Ctrl+S at the screen keeps them as a version; opened again, the screen shows them."""
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "IBIS 7")
        await writer.field("depth.wanted", "25 um")
        assert writer.app.session.unsaved
        await writer.pilot.press("ctrl+s")
        await writer.pilot.pause()
        name = writer.app.session.kept_as[0]
        found = load(name, tmp_path).profile.job
        assert found.inscription is not None
        assert (found.inscription.text, found.inscription.depth_um) == ("IBIS 7", 25.0)
        assert not writer.app.session.unsaved
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        assert not writer.app.session.unsaved
        await writer.pilot.press("f10")
        await writer.pilot.pause()
        assert writer.own.session.text("text.0.line") == "IBIS 7"
        assert writer.own.session.text("depth.wanted").startswith("25")


@pytest.mark.slow
async def test_undo_on_the_desk_takes_a_visit_back(tmp_path: Path) -> None:
    """All that was typed in one visit is one change of the desk; undo inside takes back single fields."""
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "IBIS")
        await writer.field("margin", "1 mm")
        before = dict(writer.app.session.words)
        await writer.field("margin", "2 mm")
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        assert writer.app.session.words["margin"] == "2.0 mm"
        await writer.pilot.press("f7")
        await writer.pilot.pause()
        assert writer.app.session.words == {"text": "HERON ROWING CLUB"}
        assert not writer.app.session.unsaved
        await writer.pilot.press("ctrl+y")
        assert writer.app.session.words == {**before, "margin": "2.0 mm"}


@pytest.mark.slow
async def test_leaving_asks_for_words_that_are_not_saved(tmp_path: Path) -> None:
    """Ctrl+Q at the screen asks, since the words are part of the job by then."""
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "IBIS")
        await writer.pilot.press("ctrl+q")
        await writer.pilot.pause()
        assert isinstance(writer.app.screen, Ask)
        assert "not saved" in writer.screen()
        await writer.pilot.press("escape")


@pytest.mark.slow
async def test_another_job_has_its_own_words(tmp_path: Path) -> None:
    """The words go with the job that is opened; the folder that files go to stays."""
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "IBIS")
        await writer.field("write.folder", "here")
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        writer.app.session.open({**profile("domed-nut"), "inscription": WORDS})
        await writer.pilot.press("f10")
        await writer.pilot.pause()
        assert [writer.own.session.text(f"text.{row}.line") for row in range(2)] == ["HERON", "1884"]
        assert writer.own.session.text("italic") == "yes"
        assert writer.own.session.text("write.folder") == "here"
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        assert not writer.app.session.unsaved


def test_every_field_goes_into_the_job_and_back() -> None:
    """The fields that a job fills give the job's table again, in the core's units."""
    of = Lettering(together(WORDS, {}), "in", profile("brass-nut"))
    table = job_table(of.data())
    assert table == {**WORDS, "gap": "2.0 mm", "repeat": "2", "depth": "40.0 um"}
    again = Lettering(together(table, {"write": {"folder": "nut"}}), "mm", profile("brass-nut"))
    assert job_table(again.data()) == table


def test_words_of_a_file_pass_the_desk_unharmed() -> None:
    """Known keys, values that are wrong and keys that nobody knows all come out as the file had them."""
    words = {**WORDS, "margin": "much", "colour": "red", "more": ["a, b", "c"]}
    opened = Session({**profile("brass-nut"), "inscription": words})
    assert opened.data()["inscription"] == words
    again = Session({})
    again.restore(json.loads(json.dumps(opened.state())))
    assert again.data() == opened.data()
    opened.toggle_system()
    assert opened.data()["inscription"] == words


def test_a_fault_of_the_words_is_told_on_the_desk() -> None:
    """The desk has no field for it, so it names the screen and the field; an unknown key can be taken out."""
    from tui.planner.verdict import judge

    opened = Session({**profile("brass-nut"), "inscription": {"text": "A", "margin": "much", "colour": "red"}})
    opened.accept(judge(opened.request()))
    assert "Inscription (Ctrl+B), margin" in opened.faults()[""]
    assert list(opened.unknown()) == ["inscription.colour"]
    assert opened.leave_out_unknown()
    assert opened.data()["inscription"] == {"text": "A", "margin": "much"}


@pytest.mark.parametrize(("around", "arc", "says"), [
    ("ring", "", "words begin 0° from the front"), ("arc", "90 deg", "middle of the words 0° from the front"),
    ("end", "", "words begin 0° from the top"), ("end", "90 deg", "middle of the words 0° from the top"),
])  # fmt: skip
def test_the_place_says_what_of_the_words_is_at_the_angle(around: str, arc: str, says: str) -> None:
    """Words all round begin there, an arc has its middle there: half an arc lies between the two."""
    words = {**WORDS, "around": around, "arc": arc} if arc else {**WORDS, "around": around}
    of = Lettering(together({key: word for key, word in words.items() if key != "gap"}, {}), "mm", profile("brass-nut"))
    assert group_summary(of, next(group for group in INSCRIPTION if group.key == "place")) == says


def test_a_draft_with_odd_words_is_other_data() -> None:
    """What is no table is refused before anything of the desk has changed."""
    state = Session(profile("brass-nut")).state()
    for text in ("[1]", "{", "3"):
        entries = {**state["entries"], "inscription": (text, None, "")}
        with pytest.raises((ValueError, TypeError)):
            Session({}).restore({**state, "entries": entries})


@pytest.mark.slow
async def test_a_list_shows_its_misfits_before_anything_is_written(tmp_path: Path) -> None:
    """A name that can't fit is told with its line and reason; only when asked to is the rest written."""
    (tmp_path / "club.csv").write_text(f"name\nHERON\n{'W' * 300}\n漢字\nIBIS\n", "utf-8")
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "{name}")
        await writer.field("write.list", "club.csv")
        await writer.field("write.folder", "club")
        await writer.pilot.press("f5")
        await writer.until(lambda: isinstance(writer.app.screen, Misfits))
        shown = await writer.see("2 names do not fit, 2 fit. No file is written yet.")
        assert "line 3" in shown
        assert "line 4" in shown
        assert "U+6F22" in shown
        assert there(tmp_path) == ["club.csv"]
        await writer.pilot.press("b")
        await writer.settled()
        assert "No file was written: 2 names do not fit." in writer.screen()
        assert not (tmp_path / "club").exists()
        await writer.pilot.press("f5")
        await writer.until(lambda: isinstance(writer.app.screen, Misfits))
        await writer.pilot.press("w")
        await writer.settled(lambda: (tmp_path / "club" / "names.csv").exists())
        assert "wrote files for 2 of 4 names in" in writer.screen()
        assert "names.csv in that folder lists all names" in writer.screen()
        assert "line 3" in writer.screen()
        assert len(list((tmp_path / "club").glob("*.svg"))) == 2
        assert not list(tmp_path.glob(".*.part"))


@pytest.mark.slow
async def test_a_list_without_misfits_is_written_at_once(tmp_path: Path) -> None:
    """Where all fit nothing is asked."""
    async with at_screen(tmp_path) as writer:
        await writer.field("write.numbers", "1-3")
        await writer.field("write.folder", "numbers")
        await writer.field("text.0.line", "No. {name}")
        await writer.pilot.press("f5")
        await writer.settled(lambda: (tmp_path / "numbers" / "names.csv").exists())
        assert "wrote files for 3 of 3 names in" in writer.screen()


@pytest.mark.slow
async def test_a_list_of_misfits_alone_offers_only_the_way_back(tmp_path: Path) -> None:
    """With nothing that fits there is nothing to write; every reason is shown, many by scrolling."""
    (tmp_path / "club.csv").write_text("name\n" + "漢\n" * 60, "utf-8")
    async with at_screen(tmp_path, size=(80, 24)) as writer:
        await writer.field("text.0.line", "{name}")
        await writer.field("write.list", "club.csv")
        await writer.field("write.folder", "club")
        await writer.pilot.press("f5")
        await writer.until(lambda: isinstance(writer.app.screen, Misfits))
        await writer.see("None of the 60 names fits")
        assert "write the rest" not in writer.screen()
        assert "line 61" not in writer.screen()
        await writer.pilot.press(*["pagedown"] * 40)
        assert "line 61" in writer.screen()
        assert "[back]" in writer.screen()
        await writer.pilot.press("enter")
        await writer.settled()
        assert not (tmp_path / "club").exists()


@pytest.mark.slow
async def test_a_list_that_changed_after_it_was_shown_is_not_written(tmp_path: Path) -> None:
    """Between the look and the answer another hand may save the list: what is written is what was shown."""
    table = tmp_path / "club.csv"
    table.write_text("name\nHERON\n漢\n", "utf-8")
    async with at_screen(tmp_path) as writer:
        await writer.field("text.0.line", "{name}")
        await writer.field("write.list", "club.csv")
        await writer.field("write.folder", "club")
        await writer.pilot.press("f5")
        await writer.until(lambda: isinstance(writer.app.screen, Misfits))
        table.write_text("name\nHERON\n漢\n字\n", "utf-8")
        await writer.pilot.press("w")
        await writer.settled(lambda: writer.own.told)
        assert "changed meanwhile" in " ".join(writer.screen().split())
        assert not (tmp_path / "club").exists()


@pytest.mark.slow
async def test_sizing_a_list_is_stopped_too(tmp_path: Path) -> None:
    """Esc while entries are sized ends it, and says that nothing was written."""
    async with at_screen(tmp_path) as writer:
        await writer.field("write.numbers", "1-90000")
        await writer.field("write.folder", "numbers")
        await writer.field("text.0.line", "No. {name}")
        send, sent = writer.own._send, list[str]()
        # A quick machine has sized them all before anybody can look.
        writer.own._send = lambda *more: (sent.append(more[0]), send(*more))  # type: ignore[method-assign]
        await writer.pilot.press("f5")
        await writer.until(lambda: sent)
        assert sent[0] == "sizes"
        await writer.pilot.press("escape")
        await writer.until(lambda: writer.own._share is None)
        assert "No file was written" in writer.screen()


@pytest.mark.slow
async def test_a_long_list_is_stopped_and_leaves_nothing(tmp_path: Path) -> None:
    """Esc while a list is being written ends it: no folder, nothing beside it, and the screen goes on."""
    async with at_screen(tmp_path) as writer:
        await writer.field("write.numbers", "1-500")
        await writer.field("write.folder", "numbers")
        await writer.field("text.0.line", "No. {name}")
        await writer.pilot.press("f5")
        await writer.until(lambda: list(tmp_path.glob(".*.part/*.svg")))
        assert "Esc" in writer.screen()
        await writer.type("A")
        await writer.until(lambda: writer.own._asked is None)
        await writer.pilot.press("escape")
        await writer.until(lambda: writer.own._share is None)
        assert "No file was written" in writer.screen()
        await writer.until(lambda: not there(tmp_path))
