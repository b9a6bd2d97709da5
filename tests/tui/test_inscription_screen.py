"""The inscription screen: typed words are sized at every key, seen as they lie, gauged, written; lists too."""

import subprocess
import sys
import tomllib
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest

from rotary.store.depths import depth_readings
from tests.tui.conftest import ROOT, Person
from tui.app import Rotary
from tui.background.inscriptions import looked, written
from tui.background.tasks import Errand
from tui.drawings.canvas import plain
from tui.drawings.inscription import answer_lines, picture
from tui.form.lettering import Lettering, saved_data
from tui.screens.inscription import InscriptionScreen

pytestmark = pytest.mark.usefixtures("work_here")

KEYS = {
    " ": "space",
    ".": "full_stop",
    "-": "minus",
    "/": "slash",
    "{": "left_curly_bracket",
    "}": "right_curly_bracket",
}


WORDS = {"text": "HERON ROWING CLUB"}


def profile(name: str) -> dict[str, Any]:
    return tomllib.loads((ROOT / "profiles" / f"{name}.toml").read_text("utf-8"))


def faceted(job: Mapping[str, Any]) -> dict[str, Any]:
    """The same part with six flats, 16 mm across."""
    item = {key: value for key, value in job["item"].items() if key != "measurements"}
    return {**job, "item": {**item, "flats": 6, "across_flats": "16 mm", "length": "20 mm"}}


def session(name: str = "brass-nut", system: str = "mm", **typed: Any) -> Lettering:
    return Lettering({"text": [{"line": "HERON"}], **typed}, system, profile(name))


def errand(of: Lettering, folder: Path, *more: str) -> Errand:
    request = of.request()
    what = "inscribed" if more else "inscription"
    return Errand(what, "1", {**request.data, "profiles": str(folder)}, request.system, str(folder), more)


class Writer(Person):
    """A person at the inscription screen."""

    @property
    def own(self) -> InscriptionScreen:
        screen = self.app.screen
        assert isinstance(screen, InscriptionScreen)
        return screen

    async def type(self, text: str) -> None:
        for sign in text:
            await self.pilot.press(KEYS.get(sign, sign))

    async def settled(self, true: Callable[[], object] = lambda: True) -> None:
        await self.until(lambda: self.own._asked is None and self.own._share is None and true())
        await self.pilot.pause()

    async def field(self, key: str, text: str) -> None:
        self.own.form.reveal(key)
        await self.pilot.press("ctrl+u")
        await self.type(text)


@asynccontextmanager
async def at_screen(folder: Path, name: str = "brass-nut", size: tuple[int, int] = (120, 40)) -> AsyncIterator[Writer]:
    app = Rotary({**profile(name), "inscription": WORDS}, beside=folder)
    app.folder = folder
    async with app.run_test(size=size) as pilot:
        writer = Writer(app, pilot)
        await pilot.pause()
        await pilot.press("ctrl+b")
        await pilot.pause()
        await writer.settled(lambda: writer.own.shown is not None)
        yield writer


@pytest.mark.slow
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_the_screen_answers_while_one_types(tmp_path: Path, size: tuple[int, int]) -> None:
    """Longer words give smaller letters, and the line over the fields says so at once, at every size."""
    async with at_screen(tmp_path, size=size) as writer:
        before = writer.own.shown.facts.letter_height_mm
        assert f"letters {before:.2f} mm" in writer.screen()
        await writer.pilot.press("end")
        await writer.type(" 1884")
        await writer.settled()
        after = writer.own.shown.facts.letter_height_mm
        assert after < before
        assert f"letters {after:.2f} mm" in writer.screen()
        assert "F5 write" in writer.screen()
        if size[0] < 100:
            await writer.pilot.press("f6")
            await writer.pilot.pause()
        assert "slices" in writer.screen()
        assert "in view at once" in writer.screen()


@pytest.mark.slow
async def test_enter_begins_another_line_and_backspace_takes_it_out(tmp_path: Path) -> None:
    """Two lines are typed as in any text; they stand under each other on the part, and one is taken out again."""
    async with at_screen(tmp_path, size=(80, 24)) as writer:
        await writer.pilot.press("end", "enter")
        await writer.type("1884")
        await writer.settled()
        assert [line.text for line in writer.own.shown.facts.lines] == ["HERON ROWING CLUB", "1884"]
        await writer.pilot.press(*["backspace"] * 5)
        await writer.settled()
        assert [line.text for line in writer.own.shown.facts.lines] == ["HERON ROWING CLUB"]
        assert writer.own.form.cell.key == "text.0.line"


@pytest.mark.slow
async def test_a_complaint_stands_at_its_field_and_undo_takes_it_back(tmp_path: Path) -> None:
    """A gap wider than the part is told at the gap; F7 brings the good answer back; mm and inch are one value."""
    async with at_screen(tmp_path) as writer:
        await writer.field("gap", "90 mm")
        await writer.settled(lambda: "gap" in writer.own.session.faults())
        assert "as much as once round" in writer.screen()
        await writer.pilot.press("f7")
        await writer.settled(lambda: not writer.own.session.faults())
        await writer.field("letter_height", "2.54 mm")
        await writer.settled()
        await writer.pilot.press("f2")
        await writer.settled()
        assert "letters 0.100 in" in writer.screen()
        assert writer.own.session.value("letter_height") == pytest.approx(2.54)


@pytest.mark.slow
async def test_the_line_that_can_not_be_set_is_the_one_that_complains(tmp_path: Path) -> None:
    """A sign that the font lacks in the second line is told there, and the first keeps its peace."""
    async with at_screen(tmp_path) as writer:
        await writer.pilot.press("end", "enter")
        writer.own.form.editor.write("漢")
        writer.own.form._typed()
        await writer.settled(lambda: writer.own.session.faults())
        assert list(writer.own.session.faults()) == ["text.1.line"]
        assert "U+6F22" in writer.screen()


@pytest.mark.slow
async def test_a_font_that_is_none_is_told_at_its_field(tmp_path: Path) -> None:
    """Neither a missing file nor one that holds no font stops the screen; each is the complaint of its field."""
    (tmp_path / "a.ttf").write_bytes(b"not a font")
    async with at_screen(tmp_path) as writer:
        for name, words in (("b.ttf", "no font file"), ("a.ttf", "not a font")):
            await writer.field("font", name)
            await writer.settled(lambda: "font" in writer.own.session.faults())
            assert words in writer.own.session.faults()["font"]
        await writer.field("font", "")
        await writer.settled(lambda: not writer.own.session.faults())


@pytest.mark.slow
async def test_files_and_card_are_written_and_words_are_there_again(tmp_path: Path) -> None:
    """F5 writes the sheet and its card; a second look at the screen shows what was typed before."""
    async with at_screen(tmp_path) as writer:
        await writer.pilot.press("f5")
        await writer.settled(lambda: "write.folder" in writer.own.session.faults())
        assert "type the name of a folder" in writer.screen()
        await writer.type("nut")
        await writer.pilot.press("f5")
        await writer.settled(lambda: (tmp_path / "nut").is_dir() and list((tmp_path / "nut").glob("*-setup.txt")))
        card = next((tmp_path / "nut").glob("*-setup.txt")).read_text("utf-8")
        assert "WHAT THE FILE WILL MARK" in card
        assert "The words go once round the part." in card
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        assert writer.app.screen is writer.app.desk
        await writer.pilot.press("f10")
        await writer.pilot.pause()
        await writer.settled(lambda: writer.own.shown is not None)
        assert writer.own.session.text("write.folder") == "nut"


@pytest.mark.slow
async def test_what_is_missing_for_writing_is_shown_on_whatever_page_one_is(tmp_path: Path) -> None:
    """On the page of answers F5 without a folder turns to the field that wants one; the picture fills its width."""
    async with at_screen(tmp_path, size=(80, 24)) as writer:
        await writer.pilot.press("f6")
        await writer.pilot.pause()
        lines = writer.screen().splitlines()
        assert max(len(line.rstrip()) for line in lines[-8:-1]) > 70
        await writer.pilot.press("f5")
        await writer.settled(lambda: writer.own.page == "fields")
        assert writer.own.form.cell.key == "write.folder"
        assert "type the name of a folder" in writer.screen()


@pytest.mark.slow
async def test_a_gauged_depth_is_kept_and_the_desk_plans_by_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """F4 keeps the reading; the passes for the wanted depth change here and on the desk alike."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path))
    async with at_screen(tmp_path) as writer:
        before = writer.own.shown.depth.found.passes
        await writer.pilot.press("f4")
        await writer.settled(lambda: writer.own.session.faults())
        assert "how many passes you marked" in writer.screen()
        await writer.field("depth.passes", "10")
        await writer.field("depth.gauged", "60 um")
        await writer.pilot.press("f4")
        await writer.settled(lambda: depth_readings(tmp_path))
        await writer.settled(lambda: writer.own.shown.depth.found.readings == 1)
        assert depth_readings(tmp_path)[0].metal == "brass-c26000"
        assert "Saved: 60 µm after 10 passes" in writer.screen()
        after = writer.own.shown.depth.found.passes
        assert after != before
        assert "reading 1" in writer.screen()
        await writer.pilot.press("escape")
        await writer.until(lambda: writer.app.session.plan.removal.depth_readings == 1)
        assert writer.app.session.plan.removal.setting.passes == after


@pytest.mark.slow
async def test_a_slip_of_the_gauge_is_struck_out_at_the_screen(tmp_path: Path) -> None:
    """The number of a reading in its field and F4: it teaches no more; a number that is not there is told."""
    async with at_screen(tmp_path) as writer:
        before = writer.own.shown.depth.found.passes
        for key, text in (("depth.passes", "10"), ("depth.gauged", "40 um")):
            await writer.field(key, text)
        await writer.pilot.press("f4")
        await writer.settled(lambda: writer.own.shown.depth.found.readings == 1)
        assert writer.own.shown.depth.found.passes != before
        await writer.field("depth.strike", "4")
        await writer.settled()
        await writer.pilot.press("f4")
        await writer.settled(lambda: "depth.strike" in writer.own.session.faults())
        await writer.field("depth.strike", "1")
        await writer.settled()
        await writer.pilot.press("f4")
        await writer.settled(lambda: writer.own.shown.depth.found.readings == 0)
        assert writer.own.shown.depth.found.passes == before


@pytest.mark.slow
async def test_the_help_names_every_field(tmp_path: Path) -> None:
    """F1 explains each field of the screen and says what care the metal asks for."""
    from tui.catalogue.inscription import INSCRIPTION
    from tui.form.fields import each_field
    from tui.screens.help import inscription_lines

    text = plain(inscription_lines(100))
    assert all(field.label[:20] in text for field in each_field(INSCRIPTION))
    assert "Follow local rules" in " ".join(text.split())
    async with at_screen(tmp_path) as writer:
        await writer.pilot.press("f1")
        await writer.pilot.pause()
        assert "Inscriptions" in writer.screen()
        await writer.pilot.press("escape")
        await writer.pilot.pause()
        assert isinstance(writer.app.screen, InscriptionScreen)


@pytest.mark.parametrize("around", ["ring", "arc", "axis", "flats", "end"])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_place_has_its_picture(tmp_path: Path, around: str, ascii_only: bool) -> None:
    """Words anywhere are drawn within the panel, in plain characters too where those are asked for."""
    of = session(around=around)
    if around == "flats":
        of.job = faceted(of.job)
    shown = looked(errand(of, tmp_path))
    for width, height in ((40, 10), (110, 30)):
        lines = plain(picture(shown, "mm", width, height, ascii_only)).splitlines()
        assert len(lines) <= height
        assert max(map(len, lines)) <= width
        drawn = sum(not sign.isspace() for line in lines[1:] for sign in line)
        assert drawn > 20
        if ascii_only:
            assert all(ord(sign) < 128 for line in lines[1:] for sign in line)


def test_what_cannot_be_read_says_which_letter_and_what_would_help(tmp_path: Path) -> None:
    """Letters too fine for the spot are told with the letter, and with a size that would do."""
    job = profile("brass-nut")
    job["laser"] = {"spot": "400 um"}
    of = Lettering({"text": [{"line": "HERON"}], "letter_height": "3.4 mm", "least_height": "0.5 mm"}, "mm", job)
    text = " ".join(plain(answer_lines(looked(errand(of, tmp_path)), "mm", 90)).split())
    assert "Use letters of" in text
    assert '"' in text


def test_one_inscription_can_be_written_on_flats(tmp_path: Path) -> None:
    """Two flats with words of their own give two files and a card that says what they will do."""
    of = session(around="flats", more=[{"text": "1884"}], write={"folder": "six"})
    of.job = faceted(of.job)
    done = written(errand(of, tmp_path, "one"), lambda _: None)
    assert sorted(path.suffix for path in (tmp_path / "six").iterdir()) == [".svg", ".svg", ".txt"]
    assert any("mm stay unmarked between the marks and the" in line for line in done.lines)


def test_what_was_typed_comes_back_as_it_was() -> None:
    """Lines, choices and lengths survive closing the screen."""
    of = session(around="end", margin="0.8 mm", more=[])
    again = Lettering(saved_data(of), "mm", of.job)
    assert again.request().data == of.request().data


def test_the_screen_loads_no_core() -> None:
    """What the screen itself imports has neither numpy, pydantic nor the artwork readers in it."""
    code = (
        "import sys, tui.screens.inscription; "
        "print([name for name in ('numpy', 'pydantic', 'shapely', 'pint') if name in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
