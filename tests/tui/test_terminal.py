"""End to end in a real terminal, keys only, by tmux."""

import os
import re
import shutil
import subprocess
import sys
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.patience import until

ROOT = Path(__file__).resolve().parents[2]
pytestmark = [
    pytest.mark.terminal,
    pytest.mark.skipif(shutil.which("tmux") is None, reason="there is no tmux here"),
]


class Terminal:
    """A terminal of its own: own socket, own size, ended by its own socket."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.base = ["tmux", "-L", f"rotary{uuid.uuid4().hex[:8]}", "-f", os.devnull]

    def run(self, *words: str) -> str:
        return subprocess.run([*self.base, *words], check=True, capture_output=True, text=True, timeout=200).stdout

    def start(self, width: int = 80, height: int = 24, **environment: str) -> None:
        """Start the screen; its exit code is printed when it ends."""
        settings = {
            "PYTHONPATH": str(ROOT), "ROTARY_FOLDER": str(self.folder), "COLORTERM": "truecolor", "LANG": "C.UTF-8",
            "TEXTUAL_ANIMATIONS": "none", **environment,
        }  # fmt: skip
        pairs = [f"{name}={value}" for name, value in settings.items()]
        command = ["env", "-u", "COLUMNS", "-u", "LINES", "-u", "NO_COLOR", *pairs, "sh", "-c"]
        script = '"$@"; echo "exit=$?"; sleep 600'
        self.run(
            "new-session",
            "-d",
            "-x",
            str(width),
            "-y",
            str(height),
            *command,
            script,
            "sh",
            sys.executable,
            "-m",
            "tui",
        )
        self.run("set", "-g", "escape-time", "0")

    def keys(self, *keys: str) -> None:
        self.run("send-keys", *keys)

    def type(self, text: str) -> None:
        self.run("send-keys", "-l", text)

    def screen(self, colour: bool = False) -> str:
        return self.run("capture-pane", "-p", *(["-e"] if colour else []))

    def wait(self, pattern: str) -> str:
        """Wait until the screen has it; all that it shows then."""

        def shown() -> str:
            return text if re.search(pattern, text := self.screen()) else ""

        return until(shown, lambda: f"{pattern!r} is not on the screen:\n{self.screen()}")

    def answer(self, question: str, key: str) -> None:
        """Answer a question: in the moment in which it is painted it takes no answer, so say it again."""
        self.wait(question)
        self.typed_until_gone(question, lambda: self.keys(key))

    def typed_until_gone(self, pattern: str, again: Callable[[], None]) -> None:
        """Type `again`, now and then, until the screen has lost the pattern."""
        looks = 0

        def gone() -> bool:
            nonlocal looks
            if not re.search(pattern, self.screen()):
                return True
            looks += 1
            if looks % 20 == 1:
                again()
            return False

        until(gone, lambda: f"no answer was taken:\n{self.screen()}")


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    started = Terminal(tmp_path / "kept")
    yield started
    subprocess.run([*started.base, "kill-server"], capture_output=True, check=False)


@pytest.mark.slow
def test_from_the_example_to_a_kept_profile(terminal: Terminal) -> None:
    """Start, type a diameter, read the numbers, save, leave: the profile is on disk and the exit code is 0."""
    terminal.start()
    terminal.wait(r"not 74.4")
    terminal.type("3.5 in")
    terminal.wait(r"not 8\d\.\d+")
    terminal.keys("F6")
    terminal.wait(r"AWAY")
    terminal.keys("F6")
    terminal.keys("C-s")
    terminal.wait(r"version 1")
    terminal.keys("C-q")
    terminal.wait(r"exit=0")
    assert len(list(terminal.folder.glob("heron-cup*/0001-*.toml"))) == 1


@pytest.mark.slow
def test_a_resized_terminal(terminal: Terminal) -> None:
    """From two pages to two columns by pulling at the window."""
    terminal.start()
    terminal.wait(r"not 74.4")
    terminal.run("resize-window", "-x", "120", "-y", "40")
    text = terminal.wait(r"AWAY")
    assert all(len(line) <= 120 for line in text.splitlines())
    terminal.keys("C-q")
    terminal.wait(r"exit=0")


@pytest.mark.slow
def test_without_colour_nothing_is_lost(terminal: Terminal) -> None:
    """With NO_COLOR only greys are sent, and a wrong field still stands out by its mark."""
    terminal.start(NO_COLOR="1")
    terminal.wait(r"not 74.4")
    terminal.type("12 kg")
    terminal.wait(r"12 kg +!")
    codes = set(re.findall(r"\x1b\[([0-9;]*)m", terminal.screen(colour=True)))
    rgb = [code.split(";")[2:5] for code in codes if code.startswith(("38;2", "48;2"))]
    assert all(len(set(one)) == 1 for one in rgb), "only greys"


@pytest.mark.slow
@pytest.mark.parametrize("burst", ["ll", "bb", "lsb"])
def test_a_burst_at_a_question_is_one_answer(terminal: Terminal, burst: str) -> None:
    """Two keys in one write: the first is the answer, the other none, and the screen stays or is left in order."""
    terminal.start()
    terminal.wait(r"not 74.4")
    terminal.type("64")
    terminal.wait(r"not 75\.\d+")
    terminal.keys("C-q")
    terminal.wait(r"not saved")
    terminal.typed_until_gone("not saved", lambda: terminal.type(burst))
    if burst[0] == "l":
        assert "Traceback" not in terminal.wait(r"exit=0")
    else:
        terminal.wait(r"not 75\.\d+")
        assert not list(terminal.folder.glob("heron-*"))
