"""An image is painted anew with its cells, and its cells where it goes: without a screen, at once."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

import tui.terminal.images
from tests.tui.test_images import CELL, images
from tests.tui.test_images import front as front
from tui.app import Rotary


def test_sixels_are_painted_with_their_cells_and_cells_when_they_go(front: Any) -> None:
    """Cells that are painted anew rub the image out, which follows; where it goes, its cells are asked for."""
    made, terminal, _ = images("\x1b[?62;4c", (CELL.wide, CELL.high))
    screen, asked = object(), list[int]()
    place = SimpleNamespace(screen=screen, is_painted=True, standing=None, refresh=lambda: asked.append(1))
    place.image_place = lambda: tui.terminal.images.ImagePlace(0, 0, 5, front.pixels)
    for where, painted_anew, drawn, wanted in (
        (screen, True, True, 0), (screen, False, False, 0), (screen, True, True, 0), (object(), False, False, 1),
        (object(), True, False, 0),
    ):  # fmt: skip
        terminal.text, place.is_painted = "", painted_anew
        asked.clear()
        made.follow(where, place)  # type: ignore[arg-type]
        assert ("\x1bP" in terminal.text, len(asked)) == (drawn, wanted)
        assert not place.is_painted


def test_what_text_does_not_erase_is_taken_away(front: Any) -> None:
    """The other kind lies over the text: it goes by name, and at the end of the program."""
    made, terminal, _ = images("\x1b_Gi=7060;OK\x1b\\\x1b[?62c", (CELL.wide, CELL.high))
    pixels = front.pixels._replace(cell=CELL._replace(kind="chunks"), tiles=(), png="AAAA")
    screen: Any = object()
    place: Any = SimpleNamespace(screen=screen, is_painted=True, standing=None, refresh=lambda: None, rows=5)
    made.panel = place
    place.image_place = lambda: tui.terminal.images.ImagePlace(0, 0, place.rows, pixels)
    steps: list[tuple[Callable[[], None], bool, bool]] = [
        (lambda: made.follow(screen, place), True, False),
        (lambda: made.follow(screen, place), False, False),
        (lambda: setattr(place, "rows", 4) or made.follow(screen, place), True, True),  # type: ignore[func-returns-value]
        (lambda: made.follow(object(), place), False, True),  # type: ignore[arg-type]
        (lambda: made.follow(screen, place), True, False),
        (made.end, False, True),
        (made.end, False, False),
    ]
    for number, (step, drawn, gone) in enumerate(steps):
        terminal.text = ""
        step()
        assert ("a=T" in terminal.text, "a=d" in terminal.text) == (drawn, gone), number


def test_another_kind_of_picture_is_painted_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """In cells or as an image: the panel is painted anew, and what it shows is asked for."""
    app, done_so = Rotary({}), list[str]()
    panel = SimpleNamespace(redraw=lambda: done_so.append("panel"))
    monkeypatch.setattr(app.desk, "panel", lambda name: panel if name == "picture" else None)
    monkeypatch.setattr(app.desk.work, "now", lambda: done_so.append("work"))
    monkeypatch.setattr(app, "_keep_settings", lambda: done_so.append("settings"))
    was = app.images.is_on
    app.action_images()
    assert app.images.is_on is not was
    assert app.settings.cells_only is was
    assert done_so == ["settings", "panel", "work"]
