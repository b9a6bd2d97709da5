"""Images in a terminal: the codes read back by a decoder of their own, the terminal's answers, where an image stands.

Sources: the manual of the terminals that had sixels first, for these and the attributes that a terminal answers:
dec1988 (from memory, not seen); for the other kind tgp2024 (from memory, not seen).
"""

import base64
import io
import re
import shutil
import subprocess
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image
from textual import _parser, events
from textual.geometry import Region

import tui.terminal.answers
from tests.tui.conftest import Desk
from tui.background.encoding import pixels_of
from tui.background.process import done
from tui.background.tasks import Errand
from tui.drawings.panel_content import Content
from tui.drawings.pixels import CellPixels, Pixels
from tui.terminal.answers import LONGEST_S, QUESTIONS, AnswerParser, TerminalAnswer
from tui.terminal.images import Images
from tui.widgets.picture import PicturePanel

CELL = CellPixels("sixel", 7, 13)


def gradient(wide: int, high: int) -> Image.Image:
    """Few enough colours for a palette: light and dark across, one edge of another colour, nothing symmetric."""
    across, down = np.meshgrid(np.arange(wide), np.arange(high))
    dots = np.stack([across * 90 // wide * 2, 80 + 0 * across, 30 + 0 * across], axis=-1)
    dots[(across - wide / 3) ** 2 + (down - high / 4) ** 2 < (high / 5) ** 2] = (204, 153, 51)
    return Image.fromarray(dots.astype(np.uint8))


def painted(codes: str, wide: int, high: int) -> np.ndarray:
    """What a terminal with cells of CELL paints: the cursor's place, then sixels as the manual has them; -1 is bare."""
    dots = np.full((high, wide, 3), -1)
    for line, column, body in re.findall(r"\x1b\[(\d+);(\d+)H\x1bP[\d;]*q(.*?)\x1b\\", codes, re.S):
        x0 = x = (int(column) - 1) * CELL.wide
        y, colour = (int(line) - 1) * CELL.high, (0, 0, 0)
        palette: dict[int, tuple[int, ...]] = {}
        for raster, define, number, repeat, sign in re.findall(
            r'"([\d;]+)|#(\d+;2;[\d;]+)|#(\d+)|!?(\d*)([?-~$-])', body
        ):
            if raster:
                assert raster.split(";")[:2] == ["1", "1"]
            elif define:
                name, _, *parts = map(int, define.split(";"))
                palette[name] = tuple(round(part * 255 / 100) for part in parts)
            elif number:
                colour = palette[int(number)]
            elif sign == "$":
                x = x0
            elif sign == "-":
                x, y = x0, y + 6
            else:
                for bit in range(6):
                    if (ord(sign) - 63) >> bit & 1:
                        dots[y + bit, x : x + int(repeat or 1)] = colour
                x += int(repeat or 1)
    return dots


@pytest.mark.parametrize(("columns", "rows"), [(31, 17), (140, 3), (9, 80)])
def test_sixels_read_back_are_the_image(columns: int, rows: int) -> None:
    """In one part, in parts beside and below each other; every dot but those of a last band that is not whole."""
    image = gradient(columns * CELL.wide, rows * CELL.high)
    pixels = pixels_of(image, CELL, columns, rows)
    back = painted(pixels.codes(0, 0, rows), image.width, image.height)
    whole = image.height // 6 * 6
    # Percent in place of 255 steps.
    assert np.abs(back[:whole] - np.asarray(image, int)[:whole]).max() <= 2
    assert (back[whole:] == -1).all()


def test_rows_that_have_no_room_are_not_painted() -> None:
    """Where a line of words stands above, the image ends above the panel's last line; it begins where it is put."""
    image = gradient(20 * CELL.wide, 12 * CELL.high)
    pixels = pixels_of(image, CELL, 20, 12)
    back = painted(pixels.codes(3, 2, 8), 30 * CELL.wide, 12 * CELL.high)
    bare = (back == -1).all(axis=2)
    ends = [np.flatnonzero(~bare.all(axis=axis))[[0, -1]].tolist() for axis in (1, 0)]
    assert ends == [[2 * CELL.high, 2 * CELL.high + 8 * CELL.high // 6 * 6 - 1], [3 * CELL.wide, 23 * CELL.wide - 1]]
    assert pixels.codes(3, 2, 8).startswith("\x1b7")
    assert pixels.codes(3, 2, 8).endswith("\x1b8")


def test_few_colours_and_no_colours() -> None:
    """A terminal with 16 colours gets no more; without colours all are grey."""
    image = gradient(30 * CELL.wide, 6 * CELL.high)
    for cell in (CELL._replace(colours=16), CELL._replace(colours=16, grey=True)):
        back = painted(pixels_of(image, cell, 30, 6).codes(0, 0, 6), image.width, image.height)
        assert 8 < len(np.unique(back.reshape(-1, 3), axis=0)) <= 17
        seen = back[back.min(axis=2) >= 0]
        assert (np.ptp(seen, axis=1) == 0).all() == cell.grey


@pytest.mark.skipif(shutil.which("sixel2png") is None, reason="there is no other decoder here")
def test_another_decoder_reads_the_same() -> None:
    """That of a library for sixels, where it is installed."""
    image = gradient(31 * CELL.wide, 12 * CELL.high)
    (tile,) = pixels_of(image, CELL, 31, 12).tiles
    codes = Pixels(CELL, 31, 12, (tile,)).codes(0, 0, 12)
    code = codes[codes.index("\x1bP") : -2].encode()
    png = subprocess.run(["sixel2png"], input=code, capture_output=True, check=True, timeout=60).stdout
    back = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), int)
    assert np.abs(back - np.asarray(image, int)[: len(back)]).max() <= 3
    assert back.shape[:2] == (tile.high, tile.wide)


def test_the_other_kind_is_a_png_in_chunks() -> None:
    """Base64 in at most 4096 signs a chunk, all but the last saying that more comes; as many pixels as cells have."""
    noise = np.random.default_rng(1).integers(0, 255, (12 * CELL.high, 60 * CELL.wide, 3), np.uint8)
    pixels = pixels_of(Image.fromarray(noise), CELL._replace(kind="chunks"), 60, 12)
    chunks = re.findall(r"\x1b_G([^;]*);([^\x1b]*)\x1b\\", pixels.codes(4, 5, 9))
    assert len(chunks) > 2
    assert all(len(data) <= 4096 for _, data in chunks)
    assert [head.endswith("m=1") for head, _ in chunks] == [True] * (len(chunks) - 1) + [False]
    said = dict(pair.split("=") for pair in chunks[0][0].split(","))
    assert (said["w"], said["h"], said["c"], said["r"]) == (f"{60 * CELL.wide}", f"{9 * CELL.high}", "60", "9")
    image = Image.open(io.BytesIO(base64.b64decode("".join(data for _, data in chunks))))
    assert image.size == (60 * CELL.wide, 12 * CELL.high)
    assert f"i={said['i']}" in pixels.gone()


# -- what the terminal answers

ANSWERS = {
    "\x1b[?62;4;22c": "62;4;22",
    "\x1b[?64;1;2;6;9;15;16;17;18;21;22;28c": "64;1;2;6;9;15;16;17;18;21;22;28",
    "\x1b[?6c": "6",
}


class Clock:
    """Time by hand."""

    now = 100.0


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    made = Clock()
    monkeypatch.setattr(tui.terminal.answers, "get_time", lambda: made.now)
    monkeypatch.setattr(_parser, "get_time", lambda: made.now)
    return made


def heard(parser: AnswerParser, *reads: str) -> tuple[str, list[TerminalAnswer]]:
    """The keys and the answers that come of what is read; as Textual's driver does it, a tick after each."""
    keys, answers = "", []
    for data in reads:
        for message in [*(parser.feed(data) if data else ()), *parser.tick()]:
            if isinstance(message, TerminalAnswer):
                answers.append(message)
            elif isinstance(message, events.Key):
                keys += message.character if message.is_printable and message.character else f"<{message.key}>"
    return keys, answers


@pytest.mark.parametrize("answer", ANSWERS)
def test_keys_typed_ahead_arrive_however_an_answer_is_split(answer: str, clock: Clock) -> None:  # noqa: ARG001
    """Before it, behind it, and with the answer in two reads at any place: three keys, an arrow, one answer."""
    whole = f"ab{answer}\x1b[Ac"
    for at in range(len(whole) + 1):
        keys, answers = heard(AnswerParser(), whole[:at], whole[at:])
        assert keys == "ab<up>c", at
        assert [one.kind for one in answers] == [ANSWERS[answer]], at


def test_every_answer_is_taken_out(clock: Clock) -> None:  # noqa: ARG001
    """All of them in a row, one that tells nothing, and what Textual itself asks for."""
    said = "\x1b[6;19;10t\x1b[?1;0;256S\x1b[?2;3S\x1b_Gi=7060;OK\x1b\\\x1b[?2026;2$y\x1b[?62c"
    keys, answers = heard(AnswerParser(), f"x{said}y", *said)
    assert keys == "xy"
    assert [(a.wide, a.high, a.colours, a.shows, a.kind) for a in answers[:5]] == [
        (10, 19, 0, None, None), (0, 0, 256, None, None), (0, 0, 0, None, None), (0, 0, 0, "i=7060;OK", None),
        (0, 0, 0, None, "62"),
    ]  # fmt: skip
    assert len(answers) == 10


def test_a_slow_answer_is_no_key_and_a_slow_key_is_one(clock: Clock) -> None:
    """The line stops in the midst of an answer; Esc alone comes as soon as ever; the half of an answer is dropped."""
    parser = AnswerParser()
    assert heard(parser, "a\x1b[?62;") == ("a", [])
    clock.now += 1.0
    assert heard(parser, "4cb")[0] == "b"
    assert heard(parser, "\x1b") == ("", [])
    clock.now += 0.11
    assert heard(parser, "") == ("<escape>", [])
    assert heard(parser, "\x1b[?6") == ("", [])
    clock.now += LONGEST_S + 0.1
    assert list(parser.tick()) == []
    assert heard(parser, "z") == ("z", [])


class Terminal:
    """What is written to a terminal; its system knows how large cells are, or doesn't."""

    def __init__(self, size: tuple[int, int] = (9, 18)) -> None:
        self.text, self.size = "", size
        self.before_stop: Callable[[], None] = lambda: None

    def write(self, data: str) -> None:
        self.text += data

    def cell_size(self) -> tuple[int, int]:
        return self.size


def images(answer: str, size: tuple[int, int] = (9, 18)) -> tuple[Images, Terminal, list[str]]:
    """A terminal that was asked and has answered, and what came of it."""
    changes: list[str] = []
    waits: list[Callable[[], None]] = []
    made = Images(lambda: changes.append("changed"), lambda _, then: waits.append(then))
    made.is_on, made.driver = True, Terminal(size)
    assert made.is_awaited()
    assert made.driver.text == QUESTIONS
    for message in AnswerParser().feed(answer):
        assert isinstance(message, TerminalAnswer)
        made.take(message)
    # Whoever waits for an answer goes on with it, or in the end without.
    assert made.is_awaited() == (not answer)
    assert changes == (["changed"] if answer else [])
    waits.pop()()
    assert not made.is_awaited()
    assert changes == ["changed"]
    assert made.driver.text == QUESTIONS, "asked once"
    return made, made.driver, changes


def test_only_what_a_terminal_says_is_sent_to_it() -> None:
    """Sixels by the attributes, never by a part of another number; the other kind where it answers; else cells."""
    for answer, cell in (
        ("\x1b[?62;4;22c", CellPixels("sixel", 9, 18)),
        ("\x1b[6;20;10t\x1b[?1;0;16S\x1b[?62;4c", CellPixels("sixel", 10, 20, 16)),
        ("\x1b_Gi=7060;OK\x1b\\\x1b[?62;c", CellPixels("chunks", 9, 18)),
        ("\x1b_Gi=7060;OK\x1b\\\x1b[?62;4c", CellPixels("sixel", 9, 18)),
        ("\x1b_Gi=7060;ENOTSUP:no\x1b\\\x1b[?62;14;22c", None),
        ("\x1b[?4c", None),
        ("", None),
    ):
        made, _, _ = images(answer)
        assert made.cell == cell, answer
    # Neither the terminal nor the system knows how large a cell is: cells.
    assert images("\x1b[?62;4c", (0, 0))[0].cell is None


def test_another_font_is_another_image() -> None:
    """After a change of the window the terminal is asked again, and the old image is not shown on new cells."""
    made, terminal, changes = images("\x1b[6;20;10t\x1b[?62;4c")
    made.resized()
    assert terminal.text.endswith("\x1b[16t")
    for message in AnswerParser().feed("\x1b[6;26;13t"):
        made.take(message)  # type: ignore[arg-type]
    assert (made.cell, changes) == (CellPixels("sixel", 13, 26), ["changed", "changed"])
    made, terminal, changes = images("\x1b[?62;4c")
    terminal.size = (7, 14)
    made.resized()
    assert made.cell == CellPixels("sixel", 7, 14)


@pytest.mark.parametrize(
    ("environment", "asked"),
    [
        ({"TERM": "xterm"}, True), ({"TERM": "screen.xterm"}, False), ({"TERM": "xterm", "TMUX": "/x"}, False),
        ({"TERM": "xterm", "TERM_PROGRAM": "Apple_Terminal"}, False),
        ({"ROTARY_PICTURES": "images", "TMUX": "/x"}, True), ({"ROTARY_PICTURES": "cells", "TERM": "xterm"}, False),
    ],
)  # fmt: skip
def test_who_is_asked(environment: dict[str, str], asked: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not where another program stands between, which may answer for a terminal that shows none; and as set."""
    for name in ("TERM", "TERM_PROGRAM", "TMUX", "STY", "ROTARY_PICTURES"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    made = Images(lambda: None, lambda *_: None)
    made.driver = Terminal()
    assert made.is_awaited() == asked
    assert bool(made.driver.text) == asked


# -- where an image stands

FRONT = ("80", "20", "2.0", *CELL.words())


@pytest.fixture
def front(bottle: dict[str, Any]) -> Any:
    """The answer of the process beside the screen, with an image."""
    return done(Errand("front", "k", bottle, "mm", "", FRONT), lambda _: None).answer


def test_the_image_is_the_picture_of_the_cells(front: Any) -> None:
    """As many rows and columns; averaged over quarters of cells it is the same dots."""
    pixels: Pixels = front.pixels
    assert (pixels.columns, pixels.rows) == (80, len(front.rows) // 2)
    assert len(pixels.codes(0, 0, pixels.rows)) < 150_000
    back = painted(pixels.codes(0, 0, pixels.rows), 80 * CELL.wide, pixels.rows * CELL.high)
    back = back[: (pixels.rows - 1) * CELL.high]
    # The ground goes on to the last dot of the item, and of the artwork close up beside it.
    for last in (36 * CELL.wide - 1, -1):
        assert np.ptp(back[:, [last - 1, last]], axis=1).max() == 0
    small = Image.fromarray(back.astype(np.uint8)).resize((160, 2 * pixels.rows - 2), Image.Resampling.BOX)
    cells = np.frombuffer(b"".join(front.rows[:-2]), np.uint8).reshape(-1, 160, 3)
    assert np.abs(np.asarray(small, int) - cells).mean() < 3


@pytest.mark.slow
async def test_it_follows_the_screen(desk: Desk, front: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Over its cells once, again when they are painted, off below a question or a message, cut where words need it."""
    async with desk(100, 34) as person:
        app = person.app
        panel = app.images.panel
        made, terminal, _ = images("\x1b[?62;4c", (CELL.wide, CELL.high))
        app.images = app.desk.work.images = made
        value = SimpleNamespace(**vars(front))

        def show(*content: Any) -> None:
            app.desk.work.shown = lambda _what: Content(*content)  # type: ignore[method-assign, assignment]

        show(value, True)
        app.desk.action_page()
        app.desk.action_large()
        app.desk.action_show(11)
        await person.pilot.pause()
        assert isinstance(panel, PicturePanel)

        def sent() -> str:
            terminal.text = ""
            made.follow(app.screen, panel)
            return terminal.text

        room = panel.scrollable_content_region
        assert sent().startswith(f"\x1b7\x1b[{room.y + 1};{room.x + 1}H\x1bP")
        assert sent() == ""
        panel.render_lines(Region(0, 3, 10, 1))
        assert "\x1bP" in sent()
        # Another one comes in its place: of the cells below it only the last row is painted.
        painted_anew: list[int] = []
        with monkeypatch.context() as patched:
            patched.setattr(panel, "refresh", lambda *regions: painted_anew.extend(region.y for region in regions))
            rows = tuple(bytes(len(row)) for row in value.rows)
            show(SimpleNamespace(rows=rows, says=value.says, pixels=value.pixels._replace(png="other")), True)
            panel.redraw()
        assert set(painted_anew) == {value.pixels.rows - 1}
        assert "\x1bP" in sent()
        show(value, True)
        assert sent()
        # What passes by itself stands beside the words below it; a long fault takes rows of it.
        show(value, False, "being worked out")
        assert sent() == ""
        show(value, False, 99 * "a fault ", True)
        assert sent().startswith(f"\x1b7\x1b[{room.y + 1};{room.x + 1}H\x1bP")
        show(value, True)
        assert sent()
        app.notify("a message")
        await person.until(lambda: any(toast.region.area for toast in app.screen.query("Toast")))
        assert sent() == ""
        app.clear_notifications()
        await person.until(lambda: not app.screen.query("Toast"))
        assert sent()
        app.action_help()
        await person.until(lambda: app.screen is not app.desk)
        assert sent() == ""
        await person.press("escape")
        await person.until(lambda: app.screen is app.desk)
        assert sent()
        app.desk.action_show(1)
        assert sent() == ""
        app.desk.action_show(11)
        assert sent()
        await person.press("i")
        assert made.is_on is False
        assert sent() == ""
