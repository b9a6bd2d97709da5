"""What is set for a screen: how high its cells are, theme, characters; kept from one start to the next."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual import events
from textual.geometry import Size

from tui.disk import settings
from tui.drawings.canvas import USUAL_ASPECT, Canvas, plain
from tui.drawings.pictures import picture
from tui.themes import THEMES

from .conftest import Desk


@pytest.fixture(autouse=True)
def _usual_cells() -> Iterator[None]:
    """No test leaves odd cells behind."""
    yield
    Canvas.aspect = USUAL_ASPECT


@pytest.mark.parametrize("aspect", [1.5, 2.0, 2.3, 3.0])
def test_a_ring_is_round_on_every_kind_of_cell(aspect: float) -> None:
    """As many millimetres of glass high as wide, however high a cell is."""
    Canvas.aspect = aspect
    canvas = Canvas(60, 40, to_scale=True)
    canvas.arc(60, canvas.tall(40) / 2, 40, "a")
    text = [line for line in plain(canvas.lines()).splitlines() if line.strip()]
    wide = max(map(len, text)) - min(len(line) - len(line.lstrip()) for line in text)
    assert len(text) * aspect / wide == pytest.approx(1.0, abs=0.12)
    # No gaps: every row of the ring has something in it.
    assert all(line.strip() for line in plain(canvas.lines()).strip("\n").splitlines())


@pytest.mark.parametrize("name", ["end", "side", "unrolled"])
async def test_pictures_to_scale_fit_whatever_the_cells(desk: Desk, name: str) -> None:
    """No picture runs over its room because cells are higher or flatter."""
    async with desk() as person:
        for aspect in (settings.LEAST_ASPECT, settings.MOST_ASPECT):
            Canvas.aspect = aspect
            for width, height in ((20, 6), (69, 20), (130, 40)):
                lines = picture(name, person.session.plan, "mm", width, height)
                assert len(lines) == height
                assert any(line for line in plain(lines[1:-1]).splitlines() if line.strip())


@pytest.mark.slow
async def test_make_this_round(desk: Desk, tmp_path: Path) -> None:
    """The page steps the cells' height, Enter keeps it for the next start, Esc takes it back."""
    async with desk() as person:
        person.app.action_round()
        await person.see("Is this ring round")
        await person.press("down", "down")
        await person.see("2.10 times as high as wide")
        await person.press("escape")
        assert Canvas.aspect == USUAL_ASPECT
        person.app.action_round()
        await person.see("Is this ring round")
        await person.press("down", "f6", "enter")
        assert person.app.desk.ascii_only
    assert settings.read(tmp_path / "kept") == settings.Settings(2.05, None, True)
    async with desk() as person:
        assert Canvas.aspect == 2.05
        assert person.app.desk.ascii_only


@pytest.mark.slow
async def test_the_theme_is_remembered(desk: Desk) -> None:
    """Who works in a bright room chooses once."""
    async with desk() as person:
        await person.press("f9")
        assert person.app.theme == THEMES[1].name
    async with desk() as person:
        assert person.app.theme == THEMES[1].name


async def test_a_terminal_may_say_how_high_its_cells_are(desk: Desk) -> None:
    """Where nobody has set it, what the terminal says holds; nonsense does not."""
    async with desk() as person:
        size = Size(120, 40)
        for pixels, aspect in ((Size(1200, 920), 2.3), (Size(1200, 9), 2.3), (Size(0, 0), 2.3)):
            person.app.on_resize(events.Resize(size, size, size, pixels))
            assert Canvas.aspect == pytest.approx(aspect)


@pytest.mark.parametrize(
    "spoiled", [b"", b"[]", b"{", b'{"aspect": "x", "theme": 3, "ascii_only": 1}', b'{"aspect": 99}']
)
def test_spoiled_settings_were_never_set(tmp_path: Path, spoiled: bytes) -> None:
    """A file that a hand or a crash has spoiled takes nothing but the settings."""
    (tmp_path / settings.FILE).write_bytes(spoiled)
    assert settings.read(tmp_path) == settings.Settings()
