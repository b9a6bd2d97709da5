"""Random keys, pastes, clicks and sizes, on the desk and on every other screen: no crash, no lost edit, no bug.

Three hundred of them with every run of the tests, some more with the slow ones; ``MONKEY=10000`` in the environment
presses so many.
"""

import asyncio
import os
import random
from pathlib import Path

import pytest
from textual import events

from tests.patience import chances
from tui.job_files import JobFiles

from .conftest import Desk

KEYS = (
    *"0123456789",
    "full_stop",
    "comma",
    "minus",
    "space",
    "m",
    "i",
    "n",
    "x",
    "k",
    "slash",
    "quotation_mark",
    "tab",
    "shift+tab",
    "up",
    "down",
    "left",
    "right",
    "home",
    "end",
    "pageup",
    "pagedown",
    "enter",
    "escape",
    "backspace",
    "delete",
    "ctrl+up",
    "ctrl+down",
    "ctrl+u",
    "ctrl+k",
    "ctrl+a",
    "ctrl+z",
    "ctrl+y",
    "f1",
    "f2",
    "f3",
    "f4",
    "f6",
    "f7",
    "f8",
    "f9",
    "ctrl+d",
)
ELSEWHERE = (
    *KEYS, *"chotxnabq", "f5", "ctrl+e", "ctrl+n", "ctrl+l", "ctrl+o", "ctrl+r", "ctrl+t", "ctrl+b", "ctrl+k", "ctrl+p",
    "ctrl+s", "f10",
)  # fmt: skip
PRESSES = int(os.environ.get("MONKEY", "400"))
SEEDS = (1, 2, 3)


@pytest.fixture(autouse=True)
def _somewhere_else(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers and files that random keys ask for are written there; keys that ask to leave have the desk stay."""
    monkeypatch.chdir(tmp_path)
    # Once nothing is unsaved, "Leave" among the commands ends the program, as it should.
    monkeypatch.setattr(JobFiles, "leave", lambda _: None)


PASTES = ("88,9 mm", "1e400", "nan", "\x00\x1b[31m", "9" * 500, "½ in", "", "\n\n", "-5 mm", "élan ⌀", "３ mm")


@pytest.mark.timeout(300 + PRESSES // 2)
@pytest.mark.parametrize("seed", [pytest.param(seed, marks=pytest.mark.slow) for seed in SEEDS])
async def test_random_keys_do_no_harm(desk: Desk, seed: int) -> None:
    """Whatever is pressed, the desk stands, a field holds what the session has, and all can be undone."""
    dice = random.Random(seed)
    async with desk(80, 24) as person:
        start = {key: entry for key, entry in person.session.entries.items() if entry.text}
        for step in range(PRESSES // len(SEEDS)):
            form = person.app.desk.form
            if dice.random() < 0.05:
                await person.pilot.resize_terminal(dice.randrange(20, 160), dice.randrange(5, 50))
            elif dice.random() < 0.05:
                form.post_message(events.Paste(dice.choice(PASTES)))
            else:
                await person.press(dice.choice(KEYS))
            if step % 25 == 0:
                await person.judged()
            if form.cell.act == "type" and person.app.screen is person.app.desk:
                held = person.session.entries.get(form.cell.key)
                assert form.editor.text == (held.text if held else "")
        while person.app.screen is not person.app.desk:
            await person.press("escape")
        await person.judged()
        if person.session.system == "in":
            person.session.toggle_system()
        while person.session.undo():
            pass
        assert {key: entry.value for key, entry in person.session.entries.items() if entry.text} == {
            key: entry.value for key, entry in start.items()
        }


OPENERS = ("ctrl+e", "ctrl+o", "ctrl+r", "ctrl+t", "ctrl+b", "ctrl+k", "ctrl+n", "ctrl+p", "f1")


@pytest.mark.slow
@pytest.mark.timeout(600 + PRESSES)
@pytest.mark.parametrize("opener", OPENERS)
async def test_random_keys_on_every_screen_do_no_harm(desk: Desk, tmp_path: Path, opener: str) -> None:
    """Each screen is opened, knocked about with keys, sizes, clicks and pastes, and left by Esc: the desk still stands,
    and what it says is what the core says of the fields."""
    dice = random.Random(opener)
    (tmp_path / "oar.svg").write_text(
        '<svg width="20mm" height="9mm" viewBox="0 0 20 9"><path d="M1 1h18v7H1z"/></svg>', "utf-8"
    )
    async with desk(100, 30, beside=tmp_path) as person:
        await person.press(opener)
        for step in range(PRESSES // len(OPENERS)):
            chance = dice.random()
            if chance < 0.05:
                await person.pilot.resize_terminal(dice.randrange(20, 160), dice.randrange(5, 50))
            elif chance < 0.1:
                await person.click(dice.randrange(200), dice.randrange(60))
            elif chance < 0.13:
                (person.app.focused or person.app.screen).post_message(events.Paste(dice.choice(PASTES)))
            elif person.app.screen is person.app.desk and chance < 0.5:
                await person.press(opener)
            else:
                await person.press(dice.choice(ELSEWHERE))
            if step % 50 == 0:
                await person.pilot.pause()
        # A screen that is at work may want it to end first.
        for _ in chances(person.screen):
            if person.app.screen is person.app.desk:
                break
            await person.press("escape")
            await asyncio.sleep(0.05)
        await person.judged()
