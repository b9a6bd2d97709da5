"""A person who has never seen the screen: how many keys lie between an empty home and the first numbers, the files.

Every key is counted, those between the fields too; laser and lens, which a shop types once, apart. The ten facts are
unlike any default and any example.
"""

from pathlib import Path
from typing import Final

import pytest

from tests.tui.conftest import Desk, Person

DRAWING: Final = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<path d="M5 5h50v6h-50z M5 20h50v6h-50z"/></svg>"""

FIRST_NUMBERS, FILES_AND_SHEET, NUT_TO_FILES = 35, 45, 40


class Counted:
    """Types as a person does, and counts."""

    def __init__(self, person: Person) -> None:
        self.person, self.count = person, 0

    async def keys(self, *keys: str) -> None:
        self.count += len(keys)
        await self.person.press(*keys)

    async def write(self, *texts: str) -> None:
        """Each text, with Enter after it."""
        for text in texts:
            self.count += len(text) + 1
            await self.person.write(text)
            await self.person.press("enter")


async def cup(user: Counted) -> None:
    """Two heights and diameters, the drawing, its size and place, coating with its colour, metal, turning."""
    await user.keys("ctrl+n")
    await user.write("5", "73", "165", "91")
    await user.keys("enter")
    await user.write("66", "44", "92")
    await user.write("li", "red", "b", "c")


async def laser(user: Counted) -> None:
    await user.write("47", "163", "0.9", "140", "25", "180")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the person works, with a drawing of their own in it."""
    (tmp_path / "oars.svg").write_text(DRAWING, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.slow
async def test_a_cup_from_nothing_to_its_files_and_its_sheet(desk: Desk, folder: Path) -> None:
    """All ten facts are in the job, its files to import and its setup sheet are on disk, and few keys were pressed."""
    async with desk(80, 24) as person:
        user = Counted(person)
        await cup(user)
        facts = user.count
        await laser(user)
        await person.press("escape")
        await person.judged()
        assert person.session.text("laser.highest_frequency") == "180", "Esc after Enter takes nothing back"
        assert person.session.plan is not None
        assert not person.session.stale
        assert facts <= FIRST_NUMBERS
        data = person.session.data()
        measurements = [(row["at"], row["across"]) for row in data["item"]["measurements"]]
        assert measurements == [("5.0 mm", "73.0 mm"), ("165.0 mm", "91.0 mm")]
        art = data["artwork"]
        assert (art["pieces"][0]["file"], art["width"], art["height"], art["centre"]) == (
            "oars.svg", "66.0 mm", "44.0 mm", "92.0 mm",
        )  # fmt: skip
        assert (data["item"]["coating"], data["item"]["colour"]) == ("polyester-powder-light", "red")
        assert (data["item"]["metal"], data["turning"]["kind"]) == ("brass-c26000", "chuck")
        assert (data["laser"]["rated_power"], data["laser"]["focal_length"]) == ("47.0 W", "163.0 mm")
        await person.until(lambda: person.app.desk.work.shown("actions").fresh)
        user.count = facts
        await user.keys("f5")
        await person.until(lambda: list(folder.glob("oars-*.svg")))
        await user.keys("ctrl+k", "enter")
        await person.until(lambda: list(folder.glob("*.pdf")))
        assert user.count <= FILES_AND_SHEET
        file = next(row for row in person.session.actions.to_import if row.id == "file").value
        assert (folder / file).is_file()


async def nut(user: Counted) -> None:
    """Two heights and diameters, two lines of words, metal, turning; nobody says that it is bare."""
    await user.keys("ctrl+n")
    await user.write("1", "19", "13", "19")
    await user.keys("ctrl+b")
    await user.write("HERON CLUB", "EST 1931")
    await user.keys("enter")
    await user.write("b", "c")


@pytest.mark.slow
async def test_a_nut_with_two_lines_from_nothing_to_its_files(desk: Desk, folder: Path) -> None:
    """Item, turning, laser and words are enough; every fact is in the job, and the file that is named is on disk."""
    async with desk(80, 24) as person:
        user = Counted(person)
        await nut(user)
        facts = user.count
        await laser(user)
        await person.judged()
        assert not person.session.stale
        assert "letters 4.6 mm: readable" in person.screen()
        await person.until(lambda: person.app.desk.work.shown("actions").fresh)
        user.count = facts
        await user.keys("f5")
        await person.until(lambda: list(folder.glob("heron-club-*.svg")))
        assert user.count <= NUT_TO_FILES
        file = next(row for row in person.session.actions.to_import if row.id == "file").value
        assert (folder / file).is_file()
        data = person.session.data()
        measurements = [(row["at"], row["across"]) for row in data["item"]["measurements"]]
        assert measurements == [("1.0 mm", "19.0 mm"), ("13.0 mm", "19.0 mm")]
        assert (data["item"]["coating"], data["item"]["metal"]) == ("none", "brass-c26000")
        assert (data["turning"]["kind"], data["inscription"]["text"]) == ("chuck", "HERON CLUB\nEST 1931")
        assert (data["laser"]["rated_power"], data["laser"]["focal_length"]) == ("47.0 W", "163.0 mm")
        assert "artwork" not in data
