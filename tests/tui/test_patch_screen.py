"""The patch screen: cells chosen, read with a letter, the plan told anew; pictures of window and beliefs."""

import sys
from pathlib import Path
from threading import Event
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from rotary.errors import FileTrouble
from rotary.store import readings
from rotary.store.readings import readings_in
from tests.patience import PATIENCE_S
from tests.tui.conftest import Person, read_bottle
from tui.app import Rotary
from tui.drawings.window import beliefs, window
from tui.form.patch import patch_view
from tui.screens import patch


def map_of(**changed: Any) -> SimpleNamespace:
    fluences, pulses = np.geomspace(0.5, 8.0, 21), np.array([5.0, 10.0, 20.0, 40.0, 80.0])
    chance = np.zeros((5, 21))
    chance[:, 8:13] = 0.9
    read = SimpleNamespace(fluence_j_cm2=2.0, pulses=20.0, outcome="cut", number=1)
    made = SimpleNamespace(
        fluences_j_cm2=fluences, passes=pulses / 5, pulses=pulses, chance=chance, chosen=(0.5, 5.0), readings=(read,)
    )
    return SimpleNamespace(**(vars(made) | changed))


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("width", [24, 60, 140])
def test_the_window_shows_where_it_is_the_plan_and_the_readings(width: int, ascii_only: bool) -> None:
    """Shades where the chance is good, the plan at its place, a reading at its own; no line too long."""
    lines = ["".join(run.text for run in line) for line in window(map_of(), width, 20, ascii_only)]
    assert max(map(len, lines)) <= width + 8
    rows = lines[1:6] if len(lines) > 8 else lines[1:5]
    shade = "#" if ascii_only else "█"
    assert any(shade in row for row in rows)
    assert rows[-1][8] == "@"
    assert sum("X" in row[8:] for row in rows) == 1
    if ascii_only:
        assert all(ord(sign) < 128 for row in rows for sign in row)


def test_the_bands_stand_where_their_figures_are() -> None:
    """A belief that has narrowed has a shorter band below the longer one, its middle inside it."""
    row = SimpleNamespace(name="metal", unit="J/cm²", before=(0.5, 2.5, 6.0), after=(2.0, 3.0, 4.0))
    before, after = ("".join(run.text for run in line[1:2]) for line in beliefs([row], 100, True)[1:])
    assert before.count("-") > 2 * after.count("=")
    assert after.index("=") < after.index("o") < after.rindex("=")


@pytest.mark.slow
async def test_cells_are_chosen_and_read_at_the_screen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl+T, F5, three letters: nine cells kept, three looks read, and the plan on the screen rests on them."""
    app = Rotary(read_bottle())
    app.folder = tmp_path
    async with app.run_test(size=(130, 45)) as pilot:
        person = Person(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+t")
        await person.until(lambda: "There is no test patch yet" in person.screen())
        await pilot.press("f5")
        await person.until(lambda: {r.cell for r in readings_in(tmp_path)} == set(range(1, 10)))
        await person.until(lambda: not app.screen.working)
        # Everything that the cell is kept with stands below the rows.
        kept, below = readings_in(tmp_path)[0], " ".join(person.screen().split())
        for says in (
            f"pulse width {kept.pulse_width_ns:g} ns",
            f"frequency {kept.frequency_khz:g} kHz",
            "73.7 µm",
        ):
            assert says in below
        # A person types them in a row: none waits for the plan that follows.
        planned = Event()
        monkeypatch.setattr(patch, "patch_view", lambda *how: planned.wait(PATIENCE_S) and patch_view(*how))
        await pilot.press("c", "o", "x")
        assert app.screen.working == "cell 1: engraved"
        planned.set()
        assert [r.outcome for r in readings_in(tmp_path)][:3] == ["covered", "clear", "cut"]
        await person.until(lambda: not app.screen.working)
        assert [r.outcome for r in app.screen.shown.readings][:3] == ["covered", "clear", "cut"]
        assert [r.outcome for r in readings_in(tmp_path)][:3] == ["covered", "clear", "cut"]
        assert "after 3 readings" in person.screen().lower()
        # A cell that is cut is left: the next look is at the next cell.
        assert app.screen._reading.cell == 2
        app.screen.chosen = 2
        await pilot.press("delete")
        await person.until(lambda: not app.screen.working)
        assert "After 2 readings" in person.screen() or readings_in(tmp_path)[2].ignored
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is app.desk


@pytest.mark.slow
async def test_letters_while_something_is_worked_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """None goes to a patch that takes the place of the one that is read; none wipes out an answer; none is passed over
    where it can't be written."""
    app = Rotary(read_bottle())
    app.folder = tmp_path
    async with app.run_test(size=(130, 45), notifications=True) as pilot:
        person = Person(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+t")
        await person.until(lambda: "There is no test patch yet" in person.screen())
        await pilot.press("f5")
        await person.until(lambda: not app.screen.working and readings_in(tmp_path))
        await pilot.press("down")
        chosen, draw = Event(), patch.draw_next_patch
        monkeypatch.setattr(patch, "draw_next_patch", lambda *how: chosen.wait(PATIENCE_S) and draw(*how))
        await pilot.press("f5", "c")
        chosen.set()
        await person.until(lambda: not app.screen.working)
        assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}

        helps = Event()
        monkeypatch.setattr(patch, "what_helps", lambda *_: helps.wait(PATIENCE_S) and "a longer lens: 7 in 10")
        await pilot.press("w", "c")
        assert [r.outcome for r in readings_in(tmp_path)][:2] == ["covered", "not read"]
        helps.set()
        await person.until(lambda: not app.screen.working)
        assert "a longer lens: 7 in 10" in person.screen()

        def full(*_: Any) -> None:
            raise FileTrouble("the disk is full: make room")

        monkeypatch.setattr(readings, "read_as", full)
        await pilot.press("c")
        await person.see("the disk is full")
        assert app.screen._reading.number == readings_in(tmp_path)[1].number


def test_the_screen_program_loads_without_the_core() -> None:
    """Opening the program loads neither numpy nor pydantic because of the patch screen."""
    import subprocess

    code = (
        "import sys, tui.app, tui.screens.patch; print([m for m in ('numpy', 'pydantic', 'pint') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.slow
async def test_of_several_patches_one_is_chosen_from_a_list(tmp_path: Path) -> None:
    """F5 twice is one patch, A another; opened anew the screen asks, and a letter before that writes nothing."""
    app = Rotary(read_bottle())
    app.folder = tmp_path

    def kept() -> list[str]:
        return list(dict.fromkeys(r.patch for r in readings_in(tmp_path)))

    async with app.run_test(size=(130, 45)) as pilot:
        person = Person(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+t")
        await person.until(lambda: "There is no test patch yet" in person.screen())
        for key, many, says in (
            ("f5", 1, "is saved. Mark it"),
            ("f5", 1, "This is patch 1"),
            ("a", 2, "patch 2 has other cells"),
        ):
            await pilot.press(key)
            await person.until(lambda says=says: not app.screen.working and says in person.screen())
            assert len(kept()) == many
        await pilot.press("escape")
        await pilot.press("ctrl+t")
        await person.until(lambda: "You have not read 2 patches yet" in person.screen())
        await pilot.press("c")
        assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}
        await pilot.press("down", "enter", "c")
        await person.until(lambda: not app.screen.working)
        assert [r.patch for r in readings_in(tmp_path) if r.outcome == "covered"] == ["patch 2"]
        await pilot.press("p", "delete")
        await person.until(lambda: not app.screen.working)
        assert {r.patch for r in readings_in(tmp_path) if r.ignored} == {"patch 1"}


@pytest.mark.slow
async def test_among_all_readings_a_letter_asks_which_patch(tmp_path: Path) -> None:
    """Where only another job's patch is kept, no letter goes to it before it is chosen."""
    from rotary.job import job_from_data
    from rotary.store.patch import PatchWish, patch_to_mark

    job = job_from_data(read_bottle())
    item = job.item.model_copy(update={"name": "another bottle"})
    patch_to_mark(job.model_copy(update={"item": item}), tmp_path, "2026-05-01", PatchWish(4), 200)
    app = Rotary(read_bottle())
    app.folder = tmp_path
    async with app.run_test(size=(130, 45)) as pilot:
        person = Person(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+t")
        await person.until(lambda: "test patches and readings" in person.screen())
        await person.until(lambda: not app.screen.working)
        await pilot.press("c")
        await person.until(lambda: "Which patch do you have" in person.screen())
        assert "another bottle" in person.screen()
        assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}


@pytest.mark.slow
async def test_a_patch_on_the_item_is_drawn_and_what_helps_is_told(tmp_path: Path) -> None:
    """I chooses cells for a slice of the item and writes their drawing; W tells chances of plans changed one by one."""
    app = Rotary(read_bottle())
    app.folder = tmp_path
    async with app.run_test(size=(160, 50)) as pilot:
        person = Person(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+t")
        await person.until(lambda: not app.screen.working and "There is no test patch yet" in person.screen())
        await pilot.press("i")
        await person.until(lambda: not app.screen.working and bool(readings_in(tmp_path)))
        drawing = (tmp_path / "patch-1.svg").read_text()
        assert 'id="cell-9"' in drawing
        assert "patch-1.svg" in person.screen()
        assert readings_in(tmp_path)[0].inked_width_mm <= 8.0
        await pilot.press("w")
        await person.until(lambda: not app.screen.working)
        assert ": nothing changed" in person.screen()
        shown = " ".join(person.screen().split())
        assert "focal length" in shown or "None of the changes that rotary tried brings more clean items" in shown
