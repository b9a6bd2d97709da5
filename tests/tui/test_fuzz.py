"""Whole sessions of random keys, bursts, pastes and sizes: whatever is typed, the screen has no fault of its own.

The sessions know keys and nothing else of the screen, so they hold for any layout. A few run with every test, more with
the slow ones; ``FUZZ=1000`` in the environment runs so many, and a failing one is named by its seed.
"""

import os
import random
import tomllib
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from rotary.shipped import examples
from tui.app import Rotary
from tui.background import worker

SESSIONS = int(os.environ.get("FUZZ", "16"))
BATCH = 8
MOST_STEPS = 40

NAMED = (
    "tab", "shift+tab", "up", "down", "left", "right", "home", "end", "pageup", "pagedown", "enter", "escape",
    "backspace", "delete", "space", "shift+left", "shift+right", "shift+up", "shift+down", "ctrl+left", "ctrl+right",
    "ctrl+home", "ctrl+end", "insert", "ctrl+@", "ctrl+backslash", "ctrl+right_square_bracket",
    *(f"f{number}" for number in range(1, 13)),
    *(f"ctrl+{letter}" for letter in "abdefghijklmnoprstuvwxyz"),
)  # fmt: skip
SIGNS = "0123456789.,-+/\\*()[]{}\"'?!%@#~ abcdefghijklmnopqrstuvwxyzACENSXäßñ½⌀Ж漢🚣\u0301\u200f"
PASTES = (
    "88,9 mm", "88 m", "1e400", "nan", "-inf", "\x00\x1b[31m\x1b]0;x\x07", "9" * 5000, "½ in", "", "\n\n", "3' 1/0",
    "élan ⌀", "e\u0301" * 40, "３ mm", "../../etc", "/dev/zero", "~", "a\tb\r\nc", "\ud800", "{0}%s$(x)", "[bold]x[/]",
)  # fmt: skip
LEAVE = "ctrl+q"


def _key(dice: random.Random) -> events.Key:
    if dice.random() < 0.6:
        return events.Key(dice.choice(NAMED), None)
    sign = dice.choice(SIGNS)
    return events.Key(sign, sign)


async def _step(app: Rotary, pilot: Pilot[int], dice: random.Random) -> None:
    """One key, a burst of them as a terminal hands it over, a paste, or another size of the window."""
    chance = dice.random()
    if chance < 0.08:
        await pilot.resize_terminal(dice.randrange(1, 200), dice.randrange(1, 60))
    elif chance < 0.16:
        app.post_message(events.Paste(dice.choice(PASTES)))
    else:
        for _ in range(1 if chance < 0.5 else dice.randint(2, 12)):
            app.post_message(_key(dice))
    # Half of what comes arrives before the last was dealt with.
    if dice.random() < 0.5:
        await pilot.pause()


async def _session(seed: int, folder: Path) -> None:
    """Opened, knocked about and ended; raises whatever the screen raised."""
    dice = random.Random(seed)
    data = tomllib.loads(dice.choice(sorted(examples().values())).read_text("utf-8"))
    app = Rotary(data, dice.choice(("mm", "in")), dice.random() < 0.2)
    app.folder = folder
    async with app.run_test(size=(dice.randrange(20, 160), dice.randrange(5, 50)), notifications=True) as pilot:
        for _ in range(dice.randint(5, MOST_STEPS)):
            if not app.is_running:
                break
            await _step(app, pilot, dice)
        if app.is_running:
            app.post_message(events.Key(LEAVE, None))
            await pilot.pause()
    assert app.return_code in (None, 0), f"seed {seed}: exit code {app.return_code}"


BATCHES = [range(start, min(start + BATCH, SESSIONS)) for start in range(0, SESSIONS, BATCH)]


@pytest.mark.slow
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("seeds", BATCHES, ids=lambda seeds: f"{seeds.start}-{seeds.stop - 1}")
async def test_no_session_ends_in_a_fault(seeds: range, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No traceback, whatever is typed and however fast; what random keys write lands in a folder of the test."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(worker, "started", lambda _module: None)
    for seed in seeds:
        try:
            await _session(seed, tmp_path / f"kept{seed}")
        except Exception as trouble:
            raise AssertionError(f"seed {seed}: {type(trouble).__name__}: {trouble}") from trouble
