"""The smallest window that anything is shown in."""

from pathlib import Path

import pytest

from tui.screens.machine import MachineScreen

from .conftest import Desk


async def test_a_field_and_its_hint_are_in_sight_in_the_smallest_window(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 30 × 8 each page shows the field under the focus, as far down as it lies, and what is asked for it."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    async with desk(30, 8) as person:
        await person.press("ctrl+r")
        screen = person.app.screen
        assert isinstance(screen, MachineScreen)
        await person.until(lambda: screen.bench)
        for place in range(len(screen.pages)):
            screen.action_show(place)
            for _ in range(6):
                await person.press("down")
                await person.pilot.pause()
                lines = person.screen().splitlines()
                row, help_ = screen.form.rows[screen.form.row], screen.form.cell.field.help
                assert any(row.label.split()[0] in line for line in lines[2:5]), (row.label, lines)
                assert help_.split()[0] in lines[5], (help_, lines)


async def test_a_field_is_in_sight_in_the_smallest_window(desk: Desk) -> None:
    """At 30 × 8 how the job stands leaves room for the field under the focus."""
    async with desk(30, 8) as person:
        person.go("artwork.width")
        await person.see("wide 80 mm")
