"""The machine's screen: readings typed, kept, refused; tapes and what matters for the job on the desk."""

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from rotary.machine.store import load_machine
from tui.app import Rotary
from tui.screens.machine import MachineResult

from .conftest import Desk, Person


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


@pytest.fixture
async def person(desk: Desk, machines: Path) -> AsyncIterator[Person]:
    """Somebody who has opened the screen."""
    assert not machines.exists()
    async with desk(160, 45) as person:
        await person.press("ctrl+r")
        await person.see("0 readings")
        # It opens at what the first step asks of the program.
        await person.press("f4", "f4")
        await person.see("[readings]")
        yield person


async def choose(person: Person, what: str) -> None:
    """Choose on the first page by letters."""
    await person.press("enter")
    await person.write(what)
    await person.press("enter")


async def field_line(person: Person, measured: str) -> None:
    """A line of 140 mm that came out so long; Enter at the test leads to its first field."""
    await choose(person, "field")
    await person.see("measured")
    await person.until(lambda: person.app.screen.form.cell.key != "what")
    await person.press(*["down"] * 2)
    await person.write(measured)


@pytest.mark.slow
async def test_a_reading_is_kept_and_changes_what_is_known(person: Person, machines: Path) -> None:
    """What is typed lands in the machine's file, and the value is told with its doubt."""
    await field_line(person, "139.6")
    await person.press("ctrl+s")
    await person.see("1 reading")
    await person.press("up", "up", "up")
    await choose(person, "known")
    screen = await person.see("lines along X, + too long")
    assert "-0.27" in screen
    assert len(load_machine("main", machines).readings) == 1


@pytest.mark.slow
async def test_enter_that_led_nowhere_leads_nowhere_later(person: Person) -> None:
    """Enter where nothing follows, then the arrow through the tests: the focus stays at the choice."""
    await choose(person, "known")
    for shown in ("what to measure next", "full turn", "field"):
        await person.press("right")
        await person.see(f"{shown} ▾")
        assert person.app.screen.form.cell.key == "what"


@pytest.mark.slow
async def test_a_senseless_reading_is_told_and_not_kept(person: Person, machines: Path) -> None:
    """An inch for a millimetre: a sentence, what was typed stays to be mended, nothing is written."""
    await field_line(person, "5.5")
    await person.see("inches")
    await person.press("ctrl+s")
    await person.see("not done")
    assert not machines.exists()


@pytest.mark.slow
async def test_the_drawing_of_a_test_is_written(
    person: Person, machines: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """F5 writes the drawing of the test that is chosen at true size; what can be chosen beside it writes all."""
    monkeypatch.chdir(tmp_path)
    await choose(person, "field")
    await person.press("f5")
    await person.see("1 drawing is now in the folder tapes")
    assert [path.name for path in (tmp_path / "tapes").iterdir()] == ["tape-field.svg"]
    assert not machines.exists()


@pytest.mark.slow
async def test_what_matters_is_a_choice(person: Person) -> None:
    """The first choice after what is known is the table of which input costs most."""
    await person.see("a full turn, + too far")
    await choose(person, "measure next")
    await person.see("pupil height")
    await person.press("escape")
    await person.until(lambda: person.app.screen is person.app.desk)


@pytest.mark.parametrize(("named", "changed", "asks"), [("lathe", False, 1), ("", True, 1), ("", False, 0)])
def test_the_job_goes_by_the_machine_that_was_chosen(
    bottle: dict[str, Any], monkeypatch: pytest.MonkeyPatch, named: str, changed: bool, asks: int
) -> None:
    """As one change, which can be undone; it is planned anew where anything was read, and only there."""
    app, asked = Rotary(bottle), list[str]()
    monkeypatch.setattr(app.desk, "refresh_all", lambda: asked.append(app.session.text("machine")))
    before = app.session.number
    app._left_machine(MachineResult(named, changed))
    assert app.session.text("machine") == named
    assert asked == [named] * asks
    assert (app.session.number > before) == bool(asks)
    assert app.session.undo() == bool(named)
    assert app.session.text("machine") == ""
