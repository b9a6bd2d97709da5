"""Random keys, pastes and sizes: no crash, no lost edit, no bug in the core.

A few hundred of them with every run of the tests; ``MONKEY=10000`` in the environment presses so many.
"""

import os
import random

import pytest
from textual import events

from .conftest import Desk

KEYS = (
    *"0123456789", "full_stop", "comma", "minus", "space", "m", "i", "n", "x", "k", "slash", "quotation_mark",
    "tab", "shift+tab", "up", "down", "left", "right", "home", "end", "pageup", "pagedown", "enter", "escape",
    "backspace", "delete", "ctrl+up", "ctrl+down", "ctrl+u", "ctrl+k", "ctrl+a", "ctrl+z", "ctrl+y",
    "f1", "f2", "f3", "f4", "f6", "f7", "f8", "f9", "ctrl+d",
)  # fmt: skip
PRESSES = int(os.environ.get("MONKEY", "900"))
SEEDS = (1, 2, 3)
PASTES = ("88,9 mm", "1e400", "nan", "\x00\x1b[31m", "9" * 500, "½ in", "", "\n\n", "-5 mm", "élan ⌀", "３ mm")


@pytest.mark.timeout(300 + PRESSES // 2)
@pytest.mark.parametrize("seed", SEEDS)
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
