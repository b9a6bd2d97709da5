"""What is not saved survives the program: drafts, and an empty job beside them."""

import json
import os
import signal
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.patience import chances, until
from tui.disk.drafts import DROPPED, FOLDER, MOST_DROPPED, Drafts
from tui.form.job_form import Session

from .conftest import OWN_LASER, Desk, read_bottle
from .test_terminal import Terminal, pytestmark, terminal

__all__ = ["pytestmark", "terminal"]


def states(folder: Path) -> list[dict[str, Any]]:
    return [json.loads(path.read_bytes()) for path in (folder / FOLDER).glob("*.json")]


def left_by_another(folder: Path, width: str = "77 mm") -> None:
    """A draft of a program that has ended."""
    session = Session(read_bottle())
    session.edit("artwork.width", width)
    drafts = Drafts(folder)
    drafts.keep(session.state())
    drafts.end()


def test_a_state_comes_back_whole(session: Session) -> None:
    """Typed texts, faults, what is saved and what is not, and the unit system survive the way through the file."""
    session.toggle_system()
    session.edit("artwork.width", "3 in")
    session.edit("artwork.height", "some")
    state = json.loads(json.dumps(session.state()))
    other = Session({})
    other.restore(state)
    assert other.data() == session.data()
    assert other.unsaved
    assert other.system == "in"
    assert "artwork.height" in other.faults()
    other.edit("artwork.width", "")
    assert other.undo()
    assert other.text("artwork.width") == "3 in"


@pytest.mark.parametrize("spoiled", [{}, {"entries": {"x": 3}}, {"entries": [], "saved": [], "kept_as": 1}])
def test_an_odd_draft_is_refused_and_changes_nothing(session: Session, spoiled: dict[str, Any]) -> None:
    """What another version wrote, or a hand, takes nothing off the desk."""
    before = session.data()
    with pytest.raises((KeyError, TypeError, ValueError, AttributeError)):
        session.restore({**session.state(), **spoiled} if spoiled else {})
    assert session.data() == before


def test_two_programs_keep_two_drafts(tmp_path: Path, session: Session) -> None:
    """Neither writes over the other's, and neither offers what the other one still works on."""
    one, two = Drafts(tmp_path), Drafts(tmp_path)
    for width, drafts in (("71 mm", one), ("72 mm", two)):
        session.edit("artwork.width", width)
        drafts.keep(session.state())
        drafts.flush()
    assert {state["entries"]["artwork.width"][0] for state in states(tmp_path)} == {"71 mm", "72 mm"}
    assert one.left_behind() == two.left_behind() == []
    two.end()
    assert [left.state["entries"]["artwork.width"][0] for left in one.left_behind()] == ["72 mm"]
    one.clear()
    one.end()
    assert len(states(tmp_path)) == 1


def test_a_draft_that_is_torn_or_huge_is_passed_over(tmp_path: Path) -> None:
    """Half a file, or another one's, is no draft and no crash."""
    left_by_another(tmp_path)
    folder = tmp_path / FOLDER
    (folder / "torn.json").write_text('{"entries": {"a"', "utf-8")
    (folder / "list.json").write_text("[1, 2]", "utf-8")
    (folder / "huge.json").write_bytes(b" " * 3_000_000)
    assert len(Drafts(tmp_path).left_behind()) == 1


def test_dropped_drafts_are_kept_for_a_while(tmp_path: Path) -> None:
    """A finger may slip: the last few that were dropped are still there."""
    for place in range(MOST_DROPPED + 3):
        left_by_another(tmp_path, f"{place + 10} mm")
        drafts = Drafts(tmp_path)
        drafts.drop(drafts.left_behind()[0])
    assert states(tmp_path) == []
    assert len(list((tmp_path / FOLDER / DROPPED).iterdir())) == MOST_DROPPED


@pytest.mark.slow
async def test_unsaved_work_is_offered_and_taken_up(desk: Desk, tmp_path: Path) -> None:
    """The next start offers it; taken up it stands on the desk, unsaved as it was, and the old draft is gone."""
    left_by_another(tmp_path / "kept")
    async with desk() as person:
        await person.see("You have unsaved work on")
        await person.press("o")
        await person.judged()
        assert person.session.text("artwork.width") == "77 mm"
        assert person.session.unsaved
        await person.until(lambda: len(states(tmp_path / "kept")) == 1)


async def test_unsaved_work_may_wait(desk: Desk, tmp_path: Path) -> None:
    """Later leaves it where it is; Esc does too."""
    left_by_another(tmp_path / "kept")
    async with desk() as person:
        await person.see("You have unsaved work on")
        await person.press("escape")
        assert person.app.screen is person.app.desk
        assert person.session.text("artwork.width") == "80 mm"
    assert len(states(tmp_path / "kept")) == 1


@pytest.mark.slow
async def test_saving_clears_the_draft(desk: Desk, tmp_path: Path) -> None:
    """What is saved is no draft any more, and what was changed back is none either."""
    kept = tmp_path / "kept"
    async with desk() as person:
        person.go("artwork.width")
        await person.write("78 mm")
        await person.until(lambda: states(kept))
        await person.press("ctrl+s")
        await person.until(lambda: not states(kept))
        await person.press("backspace", "backspace", "backspace", "backspace")
        await person.until(lambda: states(kept))
        await person.press("8")
        await person.until(lambda: not states(kept))


@pytest.mark.slow
async def test_an_empty_job_keeps_the_machine(desk: Desk) -> None:
    """Ctrl+N asks about unsaved work first; then the item is empty and drive, head and shop are as they were."""
    mine = {**read_bottle(), "laser": OWN_LASER}
    del mine["use_laser"]
    async with desk(data=mine) as person:
        person.go("artwork.width")
        await person.write("78 mm")
        await person.press("ctrl+n")
        await person.see("not saved")
        await person.press("b")
        assert person.session.text("artwork.width") == "78 mm"
        await person.press("ctrl+f")
        await person.see("not saved")
        await person.press("d")
        await person.judged()
        assert person.session.text("item.name") == ""
        assert person.session.text("artwork.width") == ""
        assert person.session.value("turning.roller_diameter") == 20.0
        assert person.session.text("laser.name") == "Our head"
        assert not person.session.unsaved
        # What is measured is asked for first.
        assert person.app.desk.form.cell.key == "item.measurements.0.at"
        await person.see("No numbers yet")


@pytest.mark.slow
async def test_from_an_empty_job_to_numbers(desk: Desk) -> None:
    """Name, two stations, artwork, coating and metal: the numbers stand as soon as the last of them is typed."""
    mine = {**read_bottle(), "laser": OWN_LASER}
    del mine["use_laser"]
    async with desk(data=mine) as person:
        await person.press("ctrl+n")
        for key, text in (
            ("item.name", "Heron mug"), ("item.measurements.0.at", "0"), ("item.measurements.0.across", "80"),
            ("item.measurements.1.at", "95"), ("item.measurements.1.across", "80"), ("artwork.width", "60"),
            ("artwork.height", "40"), ("artwork.centre", "45"),
        ):  # fmt: skip
            person.go(key)
            await person.write(text)
        await person.judged()
        # Nobody but the person knows these: until they are chosen there is no number.
        assert set(person.session.faults()) == {"item.coating", "item.metal"}
        assert person.session.plan is None
        for key, letter in (("item.coating", "b"), ("item.metal", "s")):
            person.go(key)
            await person.press(letter, "enter")
        await person.judged()
        assert not person.session.faults(), person.session.faults()
        assert person.session.plan is not None
        await person.see("not 80")


@pytest.mark.slow
def test_killed_outright_nothing_is_lost(terminal: Terminal) -> None:
    """kill -9 a moment after typing: the next start offers the work, and has it."""
    terminal.start()
    terminal.wait(r"1 0 mm +62 mm")
    terminal.type("91 mm")
    terminal.wait(r"1 0 mm +91 mm")
    # Everything typed is on disk once typing has rested.
    until(lambda: typed(terminal) == ["91 mm"], lambda: typed(terminal))
    pane = int(terminal.run("list-panes", "-F", "#{pane_pid}"))
    os.kill(_screen_below(pane), signal.SIGKILL)
    terminal.wait(r"exit=137")
    again = Terminal(terminal.folder)
    try:
        again.start()
        again.answer(r"You have unsaved work on", "o")
        again.wait(r"1 0 mm +91 mm")
    finally:
        subprocess.run([*again.base, "kill-server"], capture_output=True, check=False)


@pytest.mark.slow
def test_a_closed_window_loses_nothing(terminal: Terminal) -> None:
    """The terminal goes away while something is typed: what was typed last is in the draft."""
    terminal.start()
    terminal.wait(r"1 0 mm +62 mm")
    terminal.type("92 mm")
    terminal.wait(r"1 0 mm +92 mm")
    terminal.run("kill-server")
    until(lambda: typed(terminal) == ["92 mm"], lambda: typed(terminal))


def typed(terminal: Terminal) -> list[str]:
    """The first diameter in each draft on disk."""
    return [state["entries"]["item.measurements.0.across"][0] for state in states(terminal.folder)]


def _screen_below(pid: int) -> int:
    """The process of the screen, the shell's own child."""
    if not Path("/proc").exists():
        pytest.skip("no list of processes to look at")
    for _ in chances():
        for line in Path("/proc").glob("[0-9]*/stat"):
            try:
                words = line.read_text().rpartition(")")[2].split()
                asked = (line.parent / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue
            if int(words[1]) == pid and b"tui" in asked:
                return int(line.parent.name)
    raise AssertionError
