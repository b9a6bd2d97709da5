"""Images by the whole program: in a pseudo terminal that answers as a test wants, and in a real one that paints."""

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import termios
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pyte
import pytest
from PIL import Image

from tests.patience import until
from tui.terminal.answers import QUESTIONS

ROOT = Path(__file__).resolve().parents[2]
ROWS, COLUMNS, CELL = 40, 120, (9, 18)
F6 = b"\x1b[17~"
OTHERS = re.compile(rb"\x1b[P_].*?\x1b\\|\x1b\[[<>]\d*u", re.DOTALL)
UNFINISHED = re.compile(rb"\x1b([P_].*|\[[<>?\d;]*)?\Z", re.DOTALL)
pytestmark = [pytest.mark.terminal, pytest.mark.slow]


def environment(folder: Path) -> dict[str, str]:
    """That of a terminal of its own."""
    left_out = ("COLUMNS", "LINES", "NO_COLOR", "TMUX", "STY", "ROTARY_PICTURES")
    usual = {name: value for name, value in os.environ.items() if name not in left_out}
    own = {"PYTHONPATH": str(ROOT), "ROTARY_FOLDER": str(folder), "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
    return usual | own | {"TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none"}


class Pseudo:
    """The program in a pseudo terminal; what it writes, and the screen that comes of it."""

    def __init__(self, folder: Path) -> None:
        self.out = self.rest = b""
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self.stream = pyte.ByteStream(self.screen)
        size = struct.pack("4H", ROWS, COLUMNS, COLUMNS * CELL[0], ROWS * CELL[1])
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, size)
            os.chdir(ROOT)
            os.execve(sys.executable, [sys.executable, "-m", "tui"], environment(folder))
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, size)

    def read(self) -> None:
        while select.select([self.fd], [], [], 0.02)[0]:
            data = os.read(self.fd, 1 << 16)
            self.out += data
            # What is for other terminals would be text for this one; of what is not yet whole the rest comes later.
            text = OTHERS.sub(b"", self.rest + data)
            begun = UNFINISHED.search(text)
            whole = begun.start() if begun else len(text)
            self.rest = text[whole:]
            self.stream.feed(text[:whole])

    def wait(self, text: str) -> None:
        def there() -> bool:
            self.read()
            return text in "\n".join(self.screen.display)

        until(there, lambda: f"{text!r} is not on the screen:\n" + "\n".join(self.screen.display))

    def wait_for(self, codes: bytes, since: int = 0) -> None:
        def there() -> bool:
            self.read()
            return codes in self.out[since:]

        until(there, lambda: f"{codes!r} was not written")

    def send(self, keys: bytes) -> None:
        os.write(self.fd, keys)


@pytest.fixture
def pseudo(tmp_path: Path) -> Iterator[Pseudo]:
    started = Pseudo(tmp_path / "kept")
    yield started
    os.kill(started.pid, signal.SIGKILL)
    os.waitpid(started.pid, 0)
    os.close(started.fd)


def test_keys_and_answers_in_one_stream(pseudo: Pseudo) -> None:
    """Nothing is asked before the picture is opened; keys before, in and behind the answer count; a late one harms
    nothing, and where none comes the cells stay."""
    pseudo.wait("not 74.4")
    assert QUESTIONS.encode() not in pseudo.out
    pseudo.send(F6)
    pseudo.wait("F6 fields")
    pseudo.send(b"=")
    pseudo.wait("[(=) front]")
    pseudo.wait_for(QUESTIONS.encode())
    # It has not answered: cells.
    pseudo.wait("This is a drawing")
    assert b"\x1bP" not in pseudo.out
    pseudo.send(b"2\x1b[6;18")
    pseudo.send(b";9t\x1b[?1;0;256S\x1b[?62;1;2;4;6;9;15;16;17;18")
    pseudo.wait("[2 side]")
    pseudo.send(b";21;22c=")
    pseudo.wait("[(=) front]")
    pseudo.wait_for(b"\x1bP0;1;0q")
    pseudo.send(b"1")
    pseudo.wait("[1 end]")
    # One that comes again, when nobody looks: no key comes of it.
    pseudo.send(b"\x1b[6;18;9t\x1b[?62;4c" + F6)
    pseudo.wait("F6 numbers")
    pseudo.send(b"6\x1b[?62;4c4")
    pseudo.wait("not 75")
    assert pseudo.out.count(QUESTIONS.encode()) == 1
    pseudo.send(b"\x11")
    pseudo.wait("not saved")


REAL = """
import os, sys
from tui.app import Rotary, read_job
from tui.planner.client import planner_process
from tui.screens.ask import Ask
mounted = Rotary.on_mount
def on_mount(app):
    mounted(app)
    app.set_timer(0.1, lambda: show(app.desk))
    app.set_interval(0.1, lambda: ask(app))
def show(desk):
    desk.action_page()
    desk.action_large()
    desk.action_show(11)
def ask(app):
    if os.path.exists(sys.argv[1]) and app.screen is app.desk:
        app.push_screen(Ask("A question.", ("save", "leave", "back")))
Rotary.on_mount = on_mount
Rotary(read_job(None), core=planner_process()).run()
"""


def screenshot(display: str) -> Image.Image:
    """The whole X screen, as its own tool writes it: a header of 25 numbers, a table of colours, dots."""
    data = subprocess.run(["xwd", "-root", "-silent", "-display", display], capture_output=True, check=True).stdout
    head = struct.unpack(">25I", data[:100])
    return Image.frombytes("RGB", (head[4], head[5]), data[head[0] + 12 * head[19] :], "raw", "BGRX", head[12])


def seen(image: Image.Image) -> tuple[int, int, int]:
    """On a line through the picture, below any question: at how many places of a cell the colour changes, how many
    colours there are, and how bright the brightest is."""
    line = [image.getpixel((x, 28 * 13 + 6)) for x in range(COLUMNS * 6)]
    steps = {x % 6 for x in range(1, len(line)) if line[x] != line[x - 1]}
    return len(steps), len(set(line)), max(map(min, line))  # type: ignore[call-overload]


@pytest.mark.skipif(not all(map(shutil.which, ("xterm", "Xvfb", "xwd"))), reason="there is no X terminal here")
def test_a_real_terminal_paints_it_and_a_question_covers_it(tmp_path: Path) -> None:
    """In one that says it has sixels the picture is finer than cells and in many colours; below a question nothing of
    it is left but darkened cells."""
    ours, theirs = os.pipe()
    server = subprocess.Popen(["Xvfb", "-displayfd", str(theirs), "-screen", "0", "800x600x24"], pass_fds=[theirs])
    terminal = None
    try:
        display = ":" + os.read(ours, 20).decode().strip()
        flag = tmp_path / "ask"
        words = ["xterm", "-ti", "vt340", "-fn", "6x13", "-geometry", "120x40+0+0", "-b", "0", "-bw", "0", "+sb", "-e"]
        # The terminal keeps some names of its own environment from its child.
        child = ["env", "COLORTERM=truecolor", sys.executable, "-c", REAL, str(flag)]
        terminal = subprocess.Popen([*words, *child], env=environment(tmp_path / "kept") | {"DISPLAY": display})
        until(lambda: np.all(np.array(seen(screenshot(display))) >= (6, 60, 200)))
        flag.touch()
        # All that is below the question is darker.
        until(lambda: seen(screenshot(display))[2] < 150)
    finally:
        for process in (terminal, server):
            if process is not None:
                process.kill()
                process.wait()
