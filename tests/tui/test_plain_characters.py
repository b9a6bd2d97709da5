"""Where a terminal can show plain characters alone nothing on any screen asks for more."""

from pathlib import Path

import pytest

from tui.drawings.pictures import PICTURES

from .conftest import Desk


@pytest.mark.slow
async def test_plain_characters(desk: Desk) -> None:
    """Where braille can't be shown every sign on the screen is one that old terminals have."""
    async with desk(ascii_only=True) as person:
        for _ in PICTURES:
            text = person.screen()
            assert {sign for sign in text if ord(sign) > 0xFF} <= set("⌀φ"), {s for s in text if ord(s) > 0xFF}
            await person.press("f4")


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
@pytest.mark.parametrize("key", ["ctrl+e", "ctrl+k", "ctrl+o", "ctrl+p", "ctrl+r", "ctrl+t", "f1", "f8"])
async def test_plain_characters_on_every_screen(desk: Desk, tmp_path: Path, key: str, size: tuple[int, int]) -> None:
    """So it is wherever a key leads: no border, no notice and no sign of a list asks for more."""
    async with desk(*size, ascii_only=True, beside=tmp_path) as person:
        await person.press(key)
        person.app.notify("Saved.")
        await person.until(lambda: person.app.screen.query("Toast"))
        await person.pilot.pause()
        signs = {sign for sign in person.screen() if ord(sign) > 0xFF}
        assert signs <= set("⌀φ"), signs
