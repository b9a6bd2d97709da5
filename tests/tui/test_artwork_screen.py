"""Artwork on the desk: chosen with a preview, seen where it lands, complained of at its own field."""

from pathlib import Path

import pytest
from PIL import Image
from textual import events

from tui.background import worker
from tui.screens.artwork import HELD_TO, ArtworkScreen

from .conftest import STARTED, Desk, Person

CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<path d="M2 2h36v26h-36z M8 8v14h24v-14z" fill-rule="evenodd"/></svg>"""


@pytest.fixture
def drawings(tmp_path: Path) -> Path:
    """A folder with a drawing, a picture, a broken drawing and a folder in it."""
    folder = tmp_path / "drawings"
    (folder / "crests").mkdir(parents=True)
    (folder / "crests" / "heron.svg").write_text(CREST, "utf-8")
    (folder / "oar.svg").write_text(CREST.replace("M8 8", "M9 9"), "utf-8")
    (folder / "broken.svg").write_text("<svg", "utf-8")
    (folder / "notes.txt").write_text("no drawing", "utf-8")
    Image.new("L", (40, 20), 90).save(folder / "photo.png")
    return folder


async def picked(person: Person, *keys: str) -> ArtworkScreen:
    """The screen for choosing, once its folder is listed."""
    await person.press("ctrl+e", *keys)
    screen = person.app.screen
    assert isinstance(screen, ArtworkScreen)
    await person.until(lambda: screen.found.entries or screen.found.trouble)
    return screen


@pytest.mark.slow
async def test_a_drawing_is_chosen_and_lands_on_the_wall(desk: Desk, drawings: Path) -> None:
    """Ctrl+E, into a folder, a look at the drawing, Enter: it is a piece of the job, and one undo takes it away."""
    async with desk(160, 60, beside=drawings) as person:
        await picked(person)
        text = await person.see("crests/")
        assert "oar.svg" in text
        assert "notes.txt" not in text
        await person.press("h", "e", "r")
        await person.see("no file here has these words")
        await person.press("backspace", "backspace", "backspace", *"cre")
        await person.press("enter")
        await person.see("heron.svg")
        await person.see("36.00 mm × 26.00 mm")
        await person.press("enter")
        assert person.app.screen is person.app.desk
        assert person.session.text("artwork.pieces.0.file") == "crests/heron.svg"
        assert person.app.desk.picture_name == "unrolled"
        # Its file says how large it is, and so large it lies in the frame of 80 by 60 mm.
        own = "Marked 36 × 26 mm on the item, as large as drawn."
        await person.see(own)
        await person.press("f7")
        assert person.session.rows(person.session.tables["artwork.pieces"]) == 0
        await person.judged()
        await person.until(lambda: own not in person.screen())


@pytest.mark.slow
async def test_a_text_is_artwork_too(desk: Desk, drawings: Path) -> None:
    """F6 turns to a text, which is previewed and taken like a drawing; its new line survives the job file."""
    async with desk(beside=drawings) as person:
        await picked(person, "f6")
        # There is neither a folder nor another entry to go to.
        assert "folder above" not in person.screen()
        assert "another" not in person.screen()
        person.app.screen.post_message(events.Paste("Heron\nRegatta"))
        await person.see("Heron\\nRegatta")
        await person.see("of this area")
        await person.press("enter")
        await person.judged()
        assert person.session.data()["artwork"]["pieces"] == [{"text": "Heron\nRegatta"}]
        await person.press("f6", "space")
        await person.see("% of the frame")


@pytest.mark.slow
async def test_a_second_drawing_does_not_lie_on_the_first(desk: Desk, drawings: Path) -> None:
    """A piece beside another one comes in its own size, half the frame at most."""
    async with desk(beside=drawings) as person:
        for _ in range(2):
            person.go("artwork.width")
            await picked(person)
            await person.press(*"oar")
            await person.see("36.00 mm × 26.00 mm")
            await person.press("enter")
        table = person.session.tables["artwork.pieces"]
        assert person.session.rows(table) == 2
        assert person.session.value("artwork.pieces.1.width") == pytest.approx(36.0)


@pytest.mark.slow
async def test_choosing_on_a_piece_replaces_its_drawing(desk: Desk, drawings: Path) -> None:
    """With the focus on a piece the choice is for that piece, which keeps its place."""
    async with desk(beside=drawings) as person:
        person.session.edit_all({"artwork.pieces.#": "1", "artwork.pieces.0.file": "oar.svg",
                                 "artwork.pieces.0.width": "20 mm"})  # fmt: skip
        person.app.desk.refresh_all()
        person.go("artwork.pieces.0.file")
        screen = await picked(person)
        await person.until(lambda: screen.entry is not None and screen.entry.name == "oar.svg")
        await person.press(*"broken")
        await person.see("broken.svg")
        await person.until(lambda: screen.shown.bad)
        await person.press("enter")
        assert person.session.text("artwork.pieces.0.file") == "broken.svg"
        assert person.session.value("artwork.pieces.0.width") == 20.0
        await person.judged()
        await person.until(lambda: "artwork.pieces.0.file" in person.session.complaints())
        assert not person.session.stale


@pytest.mark.slow
async def test_a_missing_drawing_is_said_at_its_field(desk: Desk, drawings: Path) -> None:
    """The numbers stay good; the field is marked, and a sentence says what to do."""
    async with desk(beside=drawings) as person:
        person.session.edit_all({"artwork.pieces.#": "1", "artwork.pieces.0.file": "gone.svg"})
        person.app.desk.refresh_all()
        await person.judged()
        text = await person.see("empty this field")
        assert "gone.svg" in text
        assert not person.session.stale
        # Once the file is there, looking at the window again is enough.
        (drawings / "gone.svg").write_text(CREST, "utf-8")
        person.app.desk.on_app_focus()
        await person.until(lambda: not person.session.complaints())


@pytest.mark.slow
async def test_a_picture_of_dots_is_shown_and_not_taken(desk: Desk, drawings: Path) -> None:
    """A photograph has a preview and a question about what can be done with it; it is never a piece."""
    async with desk(beside=drawings) as person:
        screen = await picked(person)
        await person.press(*"photo")
        await person.see("40 × 20 dots")
        await person.press("enter")
        await person.see("made of dots")
        await person.press("escape")
        assert person.app.screen is screen
        await person.press("escape")
        assert not person.session.unsaved
        assert not list(drawings.glob("*sliced*"))


@pytest.mark.slow
async def test_a_picture_of_dots_becomes_a_sheet(desk: Desk, drawings: Path) -> None:
    """Enter, how a marked place looks, Enter: the sheet lies beside the job, as large as the plan says."""
    async with desk(beside=drawings) as person:
        screen = await picked(person)
        await person.press(*"photo")
        await person.see("40 × 20 dots")
        before = set(drawings.iterdir())
        await person.press("enter", "enter")
        await person.until(lambda: screen._number == 1 and screen.writing is None)
        await person.see("Written:")
        # How it is marked is longer than the screen: the page keys lead on in it, and the pointer to the preview.
        await person.press("pagedown", "pagedown")
        await person.see("All others: import photo-rest.png")
        assert "Written:" not in person.screen()
        await person.press("up")
        await person.see("40 × 20 dots")
        written = set(drawings.iterdir()) - before
        (sheet,) = (path for path in written if not path.stem.endswith(("-first", "-second", "-rest")))
        with Image.open(sheet) as image:
            wide_mm = image.width / image.info["dpi"][0] * 25.4
        shown = next(entry.text for entry in person.session.plan.split.key_in if entry.label == "File width")
        assert abs(wide_mm - float(shown.split()[0])) < 0.2
        await person.press("escape")
        assert person.app.screen is person.app.desk


@pytest.mark.slow
async def test_a_picture_that_cannot_be_written_says_why(desk: Desk, drawings: Path) -> None:
    """A file that is no picture after all is refused in a sentence, and nothing is written."""
    (drawings / "broken.png").write_bytes(b"no picture")
    async with desk(beside=drawings) as person:
        screen = await picked(person)
        await person.press(*"broken.png")
        before = set(drawings.iterdir())
        await person.until(lambda: screen.entry is not None and screen.entry.name == "broken.png")
        await person.press("enter", "enter")
        await person.until(lambda: screen._number == 1 and screen.writing is None)
        await person.see("not written")
        assert set(drawings.iterdir()) == before


@pytest.mark.slow
async def test_the_mouse_chooses(desk: Desk, drawings: Path) -> None:
    """A click points, a second one takes; the keys in the last line can be clicked."""
    async with desk(beside=drawings) as person:
        screen = await picked(person)
        await person.see("oar.svg")
        place = [entry.name for entry in screen.entries].index("oar.svg")
        await person.pilot.click("#list", offset=(5, place))
        await person.see("36.00 mm × 26.00 mm")
        await person.pilot.click("#list", offset=(5, place))
        assert person.session.text("artwork.pieces.0.file") == "oar.svg"


@pytest.mark.slow
async def test_nobody_looks_above_the_folder_held_to(
    desk: Desk, drawings: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a browser the files of one folder are offered, and none above it."""
    monkeypatch.setenv(HELD_TO, str(drawings))
    async with desk(beside=drawings) as person:
        screen = await picked(person)
        await person.press("backspace")
        await person.pilot.pause()
        assert screen.found.folder == drawings
        assert ".." not in [entry.name for entry in screen.entries]
        screen.post_message(events.Paste("/"))
        await person.pilot.pause()
        await person.until(lambda: screen.found.folder == drawings)
        await person.press("c", "enter")
        await person.see("heron.svg")
        await person.press("backspace")
        await person.see("oar.svg")


@pytest.mark.slow
async def test_the_ink_of_the_drawing_is_taken_over(desk: Desk, drawings: Path) -> None:
    """The plan reckons with a share of ink; that of the drawing is one command away."""
    async with desk(beside=drawings) as person:
        await picked(person)
        await person.press(*"oar")
        await person.see("36.00 mm × 26.00 mm")
        await person.press("enter")
        # The picture alone has room for what is said of the ink; its own size, 36 by 26 mm, lies in 80 by 60 mm.
        await person.press("f6", "space")
        await person.see("12% of the frame")
        person.app.desk.work.take_ink()
        await person.judged()
        assert person.session.plan.job.artwork.ink_share == pytest.approx(0.12, abs=0.01)


@pytest.mark.slow
async def test_the_forecast_follows_once_typing_rests(desk: Desk) -> None:
    """Its picture has the figures of both ways, greyed as soon as a value changes, and fresh again after it rests."""
    async with desk() as person:
        await person.press("f6", "0")
        await person.see("seams off")
        assert person.app.desk.work.shown("forecast").fresh
        person.go("tolerances.seam")
        await person.press("f6")
        await person.write("0.06 mm")
        assert not person.app.desk.work.shown("forecast").fresh
        await person.judged()
        await person.until(lambda: person.app.desk.work.shown("forecast").fresh)
        await person.see("you accept 60 µm")


@pytest.mark.slow
async def test_longer_work_is_stopped_by_escape(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Esc ends what is being worked out; coming back to the picture begins it again."""
    monkeypatch.setattr(worker, "started", STARTED)
    async with desk() as person:
        await person.press("f6")
        await person.press("0", "escape")
        shown = person.app.desk.work.shown("forecast")
        assert not shown.fresh
        await person.until(lambda: "stopped" in person.app.desk.work.shown("forecast").says)
        await person.press("9", "0")
        await person.until(lambda: person.app.desk.work.shown("forecast").fresh)


@pytest.mark.slow
async def test_the_window_is_a_picture_of_the_desk(desk: Desk) -> None:
    """The chance over fluence and pulses with the plan's own place in it, from the desk."""
    async with desk() as person:
        await person.press("f6", "minus")
        text = await person.see("how many pulses hit each place")
        assert "@" in text


async def test_esc_leads_back_to_the_drawing_s_field(desk: Desk, drawings: Path) -> None:
    """Whoever looks for another file and leaves stands where they were, not at the field after it."""
    async with desk(80, 24, beside=drawings) as person:
        person.go("artwork.pieces.0.file")
        await person.press("enter", "l", "enter")
        await person.until(lambda: isinstance(person.app.screen, ArtworkScreen))
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
        assert person.app.desk.form.cell.key == "artwork.pieces.0.file"
