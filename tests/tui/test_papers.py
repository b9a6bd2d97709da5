"""Papers from the desk: a key, a few choices, a file; never of numbers that lag behind the fields."""

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped, unused-ignore]
import pytest

from rotary.sentences.front import DRAWING
from tests.tui.conftest import Desk, Person
from tui.form.print_choice import PrintChoice
from tui.screens.print_paper import PrintPaper


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")


async def opened(person: Person) -> PrintPaper:
    await person.press("ctrl+k")
    await person.until(lambda: isinstance(person.app.screen, PrintPaper))
    await person.pilot.pause()
    screen = person.app.screen
    assert isinstance(screen, PrintPaper)
    return screen


async def done(person: Person, screen: PrintPaper) -> str:
    await person.until(lambda: screen.share is None and screen.said)
    await person.pilot.pause()
    return person.screen()


@pytest.mark.slow
async def test_a_card_is_printed_with_keys_only(desk: Desk, tmp_path: Path) -> None:
    """Ctrl+K, Enter: the card lies in the folder, its numbers are those on the desk, and the screen says where."""
    async with desk(100, 40) as person:
        screen = await opened(person)
        assert "setup sheet" in person.screen()
        assert "A4" in person.screen()
        await person.press("enter")
        told = await done(person, screen)
        path = tmp_path / "regatta-bottle-600-ml-setup.pdf"
        assert "Written:" in told
        document = pypdfium2.PdfDocument(path.read_bytes())
        text = document[0].get_textpage().get_text_bounded()
        assert all(entry.text in text for entry in person.session.plan.split.key_in)
        await person.press("escape")
        assert person.app.screen is person.app.desk
        assert path.is_file()


@pytest.mark.slow
async def test_the_choices_change_the_name(desk: Desk, tmp_path: Path) -> None:
    """Right and left turn through papers, kinds and sizes; the file's name follows them."""
    async with desk(80, 24) as person:
        screen = await opened(person)
        await person.press("right", "right", "right")
        assert screen.wanted.file.text == "regatta-bottle-600-ml-tests.pdf"
        await person.press("down", "right")
        assert screen.wanted.file.text.endswith("-tests.html")
        await person.press("down", "space")
        assert screen.wanted.size == "Letter"
        await person.press("enter")
        await done(person, screen)
        assert "size:letter" in (tmp_path / "regatta-bottle-600-ml-tests.html").read_text()


@pytest.mark.slow
async def test_the_picture_to_send_is_written_too(desk: Desk, tmp_path: Path) -> None:
    """Among the papers, as PNG; the screen says that it is a drawing."""
    async with desk(100, 40) as person:
        screen = await opened(person)
        await person.press("left", "left", "down", "right")
        assert screen.wanted.file.text == "regatta-bottle-600-ml-front.png"
        await person.press("enter")
        await done(person, screen)
        assert any(DRAWING in text for _, text in screen.said)
        assert (tmp_path / "regatta-bottle-600-ml-front.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
async def test_a_file_that_is_there_is_asked_about(desk: Desk, tmp_path: Path) -> None:
    """Enter once warns, Enter twice writes over it."""
    path = tmp_path / "mine.txt"
    path.write_text("precious")
    async with desk(100, 40) as person:
        screen = await opened(person)
        await person.press("up")
        await person.write("mine.txt")
        assert screen.wanted.kind == ".txt"
        await person.press("enter")
        await person.see("There is already a file")
        assert path.read_text() == "precious"
        await person.press("enter")
        await done(person, screen)
        assert path.read_text("utf-8").startswith("SETUP SHEET")


@pytest.mark.slow
async def test_no_paper_of_numbers_that_lag_behind(desk: Desk, tmp_path: Path) -> None:
    """While a field can't be used the last good answer is on the desk, but no paper is made of it."""
    async with desk(100, 40) as person:
        person.go("item.measurements.0.across")
        await person.write("x")
        await person.judged()
        assert person.session.plan is not None
        screen = await opened(person)
        await person.press("enter")
        await person.see("These numbers are old")
        assert "Correct first" in screen.said[0][1]
        assert not list(tmp_path.glob("*.pdf"))


@pytest.mark.slow
async def test_what_the_core_refuses_is_said(desk: Desk, tmp_path: Path) -> None:
    """A slice sheet without artwork is refused in a sentence, and nothing is written."""
    async with desk(100, 40) as person:
        screen = await opened(person)
        await person.press("left")
        assert screen.wanted.paper == "sliced-file"
        await person.press("enter")
        told = " ".join((await done(person, screen)).split())
        assert "names no artwork" in told
        assert not list(tmp_path.glob("*.svg"))


@pytest.mark.slow
async def test_the_mouse_does_it_too(desk: Desk, tmp_path: Path) -> None:
    """A click on a row turns its choice, a click below writes or closes."""
    async with desk(100, 40) as person:
        screen = await opened(person)
        panel = screen.query_one("#paper")
        await person.pilot.click(panel, offset=(20, 4))
        assert screen.wanted.kind == ".html"
        await person.pilot.click(panel, offset=(5, len(panel.content_lines())))  # type: ignore[attr-defined]
        await done(person, screen)
        assert list(tmp_path.glob("*.html"))
        await person.pilot.click(panel, offset=(26, len(panel.content_lines())))  # type: ignore[attr-defined]
        assert person.app.screen is person.app.desk


def test_a_name_without_a_kind_is_complained_of() -> None:
    """What can't be written is said before the core is asked."""
    wanted = PrintChoice("Bottle", "A4")
    assert wanted.trouble() == ""
    wanted.file.write("card.docx")
    wanted.typed()
    assert "Type a file name that ends with .pdf or .html or .txt or .json" in wanted.trouble()
    wanted.file.press("ctrl+u")
    assert "Type a file name" in wanted.trouble()
