"""From a blank start to a kept profile and a printed card, in a real terminal, with keys only."""

import os
import re
import shutil
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.patience import until

ROOT = Path(__file__).resolve().parents[2]
pytestmark = [
    pytest.mark.terminal,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here"),
]

DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<path d="M5 5h50v6h-50z M5 20h50v6h-50z"/></svg>"""


class Shop:
    """A terminal with a shell in an empty folder, no store, no job, and `rotary` on its path."""

    def __init__(self, folder: Path, width: int, height: int) -> None:
        self.folder, self.width, self.height, self.commands, self.count = folder, width, height, 0, 0
        self.base = ["tmux", "-L", f"rotary{uuid.uuid4().hex[:8]}", "-f", os.devnull]
        (folder / "bin").mkdir(parents=True)
        (folder / "shop").mkdir()
        (folder / "shop" / "oars.svg").write_text(DRAWING, "utf-8")
        program = folder / "bin" / "rotary"
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m rotary "$@"\n', "utf-8")
        program.chmod(0o755)
        settings = {
            "PYTHONPATH": str(ROOT), "PATH": f"{folder / 'bin'}:{os.environ['PATH']}", "HOME": str(folder / "home"),
            "XDG_DATA_HOME": str(folder / "data"), "XDG_STATE_HOME": str(folder / "state"), "PS1": "shop> ",
            "COLORTERM": "truecolor", "LANG": "C.UTF-8", "TEXTUAL_ANIMATIONS": "none", "ENV": "",
        }  # fmt: skip
        unset = [
            "-u",
            "COLUMNS",
            "-u",
            "LINES",
            "-u",
            "NO_COLOR",
            "-u",
            "ROTARY_FOLDER",
            "-u",
            "ROTARY_MACHINES",
            "-u",
            "ROTARY_RIGS",
        ]
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

    def keys(self, *texts: str) -> None:
        """Type each text, then Enter, as a person does; all of it is counted."""
        for text in texts:
            self.count += len(text) + 1
            if text:
                self.write(text)
            self.press("Enter")


@pytest.fixture(params=[(80, 24), pytest.param((120, 40), marks=pytest.mark.slow)], ids=["80x24", "120x40"])
def shop(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Shop]:
    width, height = request.param
    started = Shop(tmp_path, width, height)
    yield started
    subprocess.run([*started.base, "kill-server"], capture_output=True, check=False)


@pytest.mark.slow
def test_from_nothing_to_profile_and_card(shop: Shop) -> None:
    """A new job is typed in, saved, its files written and its card printed; by keys alone, each step seen."""
    shop.write("rotary; echo exit=$?")
    shop.press("Enter")
    shop.see(r"EXAMPLE, NOT YOUR MACHINE. Clean")
    shop.press("C-n")
    shop.see(r"an item without a name")
    shop.count = 1
    shop.keys("5", "65", "211", "76.2", "", "61", "43", "101", "li", "", "b", "c")
    shop.see(r"Missing: laser power")
    assert shop.count <= 35
    # Nothing of the example's laser and lens is carried over, and no number comes before one's own are typed.
    shop.keys("50", "254", "1", "175", "30", "200")
    text = shop.see(r"4 frequency +\d+ kHz")
    assert "EXAMPLE" not in text
    shop.press("F3")
    shop.see(r"m\)METAL")
    shop.write("iHeron flask")
    # No look at the screen between: the save waits for the last letters by itself.
    shop.press("C-s")
    shop.see(r"version 1")
    shop.press("F5")
    folder = shop.folder / "shop"
    until(lambda: list(folder.glob("oars*-first.svg")), shop.screen)
    shop.press("C-k")
    shop.see(r"setup sheet")
    printed = shop.folder / "shop" / "heron-flask-setup.pdf"
    assert not printed.exists()
    shop.press("Enter")
    shop.see(r"(?i)wrote|written: ")
    until(printed.is_file, shop.screen)
    assert printed.read_bytes().startswith(b"%PDF")
    shop.press("Escape")
    power = re.search(r"3 power +(\d+) %", shop.see(r"3 power"))
    shop.press("C-q")
    shop.see(r"(?m)^exit=0")
    kept = list((shop.folder / "data").glob("rotary/profiles/heron-flask-*/0001-*.toml"))
    assert len(kept) == 1
    assert "Heron flask" in shop.command("rotary profile list")
    shop.command('rotary profile repeat "Heron flask" --to card.txt')
    card = " ".join((shop.folder / "shop" / "card.txt").read_text("utf-8").split())
    assert "Heron flask" in card
    # The cautions stand on the setup sheet before anything is mounted.
    parts = [card.find(text) for text in ("1 CHECK TODAY", "2 SAFE", "Never defeat an interlock", "3 MOUNT")]
    assert parts == sorted(parts)
    assert parts[0] > 0
    words = "".join(page.extract_text() for page in PdfReader(printed).pages)
    assert "Heron flask" in words
    assert power is not None
    assert f"{power[1]} %" in words or f"{power[1]}" in words, "the paper has the numbers of the screen"
