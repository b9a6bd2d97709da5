"""From a blank start to a kept profile and a printed card, in a real terminal, with keys only."""

import os
import re
import shutil
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import pyte
import pytest
from pypdf import PdfReader

from tests.patience import until
from tui.themes import THEMES

ROOT = Path(__file__).resolve().parents[2]
pytestmark = [
    pytest.mark.terminal,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here"),
]

LIT = THEMES[0].primary.lstrip("#").lower()
"""What is behind the cell that has the focus."""


class Shop:
    """A terminal with a shell in an empty folder, no store, no job, and `rotary` on its path."""

    def __init__(self, folder: Path, width: int, height: int) -> None:
        self.folder, self.width, self.height, self.commands = folder, width, height, 0
        self.base = ["tmux", "-L", f"rotary{uuid.uuid4().hex[:8]}", "-f", os.devnull]
        (folder / "bin").mkdir(parents=True)
        (folder / "shop").mkdir()
        program = folder / "bin" / "rotary"
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m rotary "$@"\n', "utf-8")
        program.chmod(0o755)
        settings = {
            "PYTHONPATH": str(ROOT), "PATH": f"{folder / 'bin'}:{os.environ['PATH']}", "HOME": str(folder / "home"),
            "XDG_DATA_HOME": str(folder / "data"), "XDG_STATE_HOME": str(folder / "state"), "PS1": "shop> ",
            "COLORTERM": "truecolor", "LANG": "C.UTF-8", "TEXTUAL_ANIMATIONS": "none", "ENV": "",
        }  # fmt: skip
        unset = ["-u", "COLUMNS", "-u", "LINES", "-u", "NO_COLOR", "-u", "ROTARY_FOLDER", "-u", "ROTARY_RIGS"]
        pairs = [f"{name}={value}" for name, value in settings.items()]
        size = ["-x", str(width), "-y", str(height), "-c", str(folder / "shop")]
        self.run("new-session", "-d", *size, "env", *unset, *pairs, "sh")
        self.run("set", "-g", "escape-time", "0")
        self.see(r"shop>")

    def run(self, *words: str) -> str:
        return subprocess.run([*self.base, *words], check=True, capture_output=True, text=True, timeout=200).stdout

    def press(self, *keys: str) -> None:
        self.run("send-keys", *keys)

    def write(self, text: str) -> None:
        self.run("send-keys", "-l", text)

    def command(self, line: str) -> str:
        """Type a command; the screen once it has ended well."""
        self.commands += 1
        self.write(f"clear; {line}; echo exit-{self.commands}=$?")
        self.press("Enter")
        return self.see(rf"(?m)^exit-{self.commands}=0")

    def screen(self) -> str:
        return self.run("capture-pane", "-p")

    def see(self, pattern: str) -> str:
        """Wait until the screen has it; all that it shows then."""

        def shown() -> str:
            return text if re.search(pattern, text := self.screen()) else ""

        return until(shown, lambda: f"{pattern!r} is not on the screen:\n{self.screen()}")

    def lit(self) -> tuple[str, int]:
        """The line with the focus, as a person finds it by its colour, and the column where that begins."""
        painted = pyte.Screen(self.width, self.height)
        pyte.Stream(painted).feed(self.run("capture-pane", "-pe").replace("\n", "\r\n").rstrip())
        for row in range(self.height):
            for column in range(min(self.width - 2, 47)):
                sign = painted.buffer[row][column]
                if sign.bg == LIT or (sign.reverse and column < 46):
                    return painted.display[row], column
        return "", 0

    def to(self, label: str) -> None:
        """Move on until a line that begins so has the focus."""
        seen = ""
        for _ in range(90):
            line, at = self.lit()
            if line.startswith(label, 3) or line.startswith(label):
                return
            self.press("Tab")
            until(lambda here=(line, at): self.lit() != here, self.screen)
            seen += line.rstrip() + "\n"
        raise AssertionError(f"{label!r} was never reached:\n{seen}")

    def fill(self, label: str, text: str) -> None:
        """Go to a field and type into it; its line shows it."""
        self.to(label)
        self.write(text)
        self.see(rf"(?m)^.{{2,3}} ?{re.escape(label)} +\S*{re.escape(text)}")


@pytest.fixture(params=[(80, 24), pytest.param((120, 40), marks=pytest.mark.slow)], ids=["80x24", "120x40"])
def shop(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shop]:
    width, height = request.param
    started = Shop(tmp_path, width, height)
    yield started
    subprocess.run([*started.base, "kill-server"], capture_output=True, check=False)


@pytest.mark.slow
def test_from_nothing_to_profile_and_card(shop: Shop) -> None:
    """A new job is typed in, kept, and its card printed; every step by keys, every one seen on the screen."""
    shop.write("rotary; echo exit=$?")
    shop.press("Enter")
    shop.see(r"⌀88 → ⌀70")
    shop.press("C-n")
    shop.see(r"an item without a name")
    shop.fill("name", "Heron flask")
    for row, (at, across) in enumerate((("0", "65"), ("210", "76.2")), 1):
        if not re.search(rf"(?m)^  {row} ", shop.screen()):
            shop.to("+ add a station")
            shop.press("Enter")
            shop.see(rf"(?m)^  {row} ")
        else:
            shop.to(f"  {row} ")
        shop.write(at)
        shop.press("Tab")
        shop.write(across)
        shop.see(rf"(?m)^  {row}  {at} +{re.escape(across)}")
    shop.fill("gear ratio", "3")
    # Nothing of the example's laser and lens is carried over, and no number comes before one's own are typed.
    laser = (
        ("its name", "ours"), ("rated power", "50"), ("focal length", "254"), ("field", "175"),
        ("spot, measured", "70"), ("largest pulse", "1"), ("lowest rate", "30"), ("highest rate", "200"),
    )  # fmt: skip
    for label, text in laser:
        shop.fill(label, text)
    shop.fill("width", "60")
    shop.fill("height", "40")
    shop.fill("its middle at", "100")
    shop.see(r"⌀65 → ⌀76\.2|60 × 40, ")
    shop.press("C-s")
    shop.see(r"version 1")
    if shop.width < 100:
        shop.press("F6")
    text = shop.see(r"Apex over bed")
    assert re.search(r"Sheet width", text)
    assert "EXAMPLE" not in text
    shop.press("C-k")
    shop.see(r"setup card")
    printed = shop.folder / "shop" / "heron-flask-setup-card.pdf"
    assert not printed.exists()
    shop.press("Enter")
    shop.see(r"(?i)wrote|written")
    assert printed.read_bytes().startswith(b"%PDF")
    shop.press("Escape")
    shop.press("C-q")
    shop.see(r"(?m)^exit=0")
    kept = list((shop.folder / "data").glob("rotary/profiles/heron-flask-*/0001-*.toml"))
    assert len(kept) == 1
    assert "Heron flask" in shop.command("rotary profile list")
    shop.command('rotary profile repeat "Heron flask" --to card.txt')
    card = (shop.folder / "shop" / "card.txt").read_text("utf-8")
    assert "Heron flask" in card
    assert "CAUTIONS" in card
    words = "".join(page.extract_text() for page in PdfReader(printed).pages)
    assert "Heron flask" in words
    assert "97.605" not in words, "not the example's numbers"
    assert (apex := re.search(r"Apex over bed +([\d.]+)", text)) is not None
    assert apex[1] in words, "the paper has the numbers of the screen"
