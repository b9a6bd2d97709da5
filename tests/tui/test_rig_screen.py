"""The rig's screen: readings typed, kept, refused; tapes and what matters for the job on the desk."""

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from rotary.rig.store import load_rig

from .conftest import Desk, Person


@pytest.fixture
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_RIGS", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


@pytest.fixture
async def person(desk: Desk, rigs: Path) -> AsyncIterator[Person]:
    """Somebody who has opened the screen."""
    assert not rigs.exists()
    async with desk(160, 45) as person:
        await person.press("ctrl+r")
        await person.see("0 readings")
        yield person


@pytest.mark.slow
async def test_a_reading_is_kept_and_changes_what_is_known(person: Person, rigs: Path) -> None:
    """What is typed lands in the rig's file, and the value is told with its doubt."""
    await person.write("field axis=x drawn=140mm measured=139.6mm")
    await person.press("enter")
    screen = await person.see("reading kept, 1 reading")
    assert "-0.27" in screen
    assert len(load_rig("rig", rigs).readings) == 1


@pytest.mark.slow
async def test_a_senseless_reading_is_told_and_not_kept(person: Person, rigs: Path) -> None:
    """An inch for a millimetre: a sentence, what was typed stays to be mended, nothing is written."""
    await person.write("field axis=x drawn=140mm measured=5.5mm")
    await person.press("enter")
    await person.see("inches")
    assert not rigs.exists()


@pytest.mark.slow
async def test_tapes_are_drawn_from_the_line(
    person: Person, rigs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A tape by its name is written at true size; a name that is none is told, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    await person.write("tape moon")
    await person.press("enter")
    await person.see("no tape that is drawn")
    assert not (tmp_path / "tapes").exists()
    await person.press(*["backspace"] * 4)
    await person.write("field")
    await person.press("enter")
    await person.see("wrote 1 drawings")
    assert [path.name for path in (tmp_path / "tapes").iterdir()] == ["tape-field.svg"]
    assert not rigs.exists()


async def test_tapes_and_what_matters_take_turns(person: Person) -> None:
    """F5 shows which input costs most, F5 again what to mark and read."""
    await person.see("full-turn")
    await person.press("f5")
    await person.see("pupil height")
    await person.press("f5", "escape")
    await person.until(lambda: person.app.screen is person.app.desk)
