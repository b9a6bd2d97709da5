"""A drawing that is named gives its own size, on the screen and in plain lines."""

from contextlib import suppress
from pathlib import Path

import pytest

from tui.form.job_form import Session
from tui.plain import run
from tui.plain.talk import StoppedError

from .conftest import Desk
from .test_plain import FLASK, Person, talk_of

PAGE = '<svg xmlns="http://www.w3.org/2000/svg" {} viewBox="0 0 42 24"><path d="M0 0h42v4h-42zM0 20h42v4h-42z"/></svg>'


async def test_a_drawing_that_is_named_fills_in_its_own_size(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Typed, in the person's units, as a change of its own that Undo takes back for good; what is typed stays, the
    other side follows its proportions, and a drawing without a size in real units fills in nothing."""
    (tmp_path / "oars.svg").write_text(PAGE.format('width="42mm" height="24mm"'), "utf-8")
    (tmp_path / "dots.svg").write_text(PAGE.format('width="42" height="24"'), "utf-8")
    blank = {"item": {"measurements": [{"at": "0 mm"}, {"at": ""}]}, "artwork": {"pieces": [{}]}}

    def sides() -> tuple[str, str]:
        return person.session.text("artwork.width"), person.session.text("artwork.height")

    async with desk(80, 24, blank, beside=tmp_path) as person:
        person.go("artwork.pieces.0.file")
        await person.write("oars.svg")
        await person.until(lambda: sides() == ("42 mm", "24 mm"))
        await person.press("f7")
        assert sides() == ("", "")
        assert person.session.text("artwork.pieces.0.file") == "oars.svg"
        person.session.edit("artwork.width", "21 mm")
        person.session.edit("artwork.pieces.0.file", "")
        person.app.desk.refresh_all()
        person.go("artwork.pieces.0.file")
        await person.write("oars.svg")
        await person.until(lambda: sides() == ("21 mm", "12 mm"))
        person.session.edit_all({f"artwork.{side}": "" for side in ("width", "height")})
        person.session.edit("artwork.pieces.0.file", "dots.sv")
        person.app.desk.refresh_all()
        work, taken = person.app.desk.work, list[str]()
        take = work._take_size
        monkeypatch.setattr(work, "_take_size", lambda said: (take(said), taken.append(said.key)))
        person.go("artwork.pieces.0.file")
        await person.press("end")
        await person.write("g")
        await person.until(lambda: any(key.endswith("dots.svg") for key in taken))
        assert sides() == ("", "")


@pytest.mark.parametrize(
    ("size", "width", "marked"),
    [('width="42mm" height="24mm"', [""], ("42 mm", "24 mm")), ('width="42mm" height="24mm"', ["21"], ("21", "12 mm")),
     ('width="42" height="24"', ["", "stop"], ("", ""))],
)  # fmt: skip
def test_a_drawing_offers_its_own_size(tmp_path: Path, size: str, width: list[str], marked: tuple[str, str]) -> None:
    """Enter takes it, another answer goes before it, and a drawing without a size in real units offers none."""
    bars = '<path d="M0 0h42v4h-42zM0 20h42v4h-42z"/>'
    page = f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 42 24">{bars}</svg>'
    (tmp_path / "oars.svg").write_text(page, "utf-8")
    session = Session(run.BLANK)
    before = {words: list(lines) for words, lines in FLASK.items() if not words.startswith("Artwork")}
    person = Person(before | {
        "Artwork, pieces of the artwork": ["yes"], "piece 1, file": ["oars.svg"], "Artwork, width": list(width),
        "Artwork, middle at height": ["stop"],
    })  # fmt: skip
    talk = talk_of(session, person)
    talk.beside = tmp_path
    with suppress(StoppedError):
        talk.through()
    assert (session.text("artwork.width"), session.text("artwork.height")) == marked
    said = person.out.getvalue()
    assert ("Artwork, width, in mm. Press Enter for 42 mm, the drawing's own size" in said) == bool(marked[0])
