"""The screen in a pseudo-terminal: first frame and everything painted as ratios to a bare app; key to echo and result.

What the program writes is recorded with its time and replayed afterwards through a terminal emulator,
so that emulation costs nothing while it is measured. Other work on the machine disturbs it more than anything
in the program; on Linux ``chrt -r 5 python tests/bench/screen.py`` (as root) measures as on a machine at rest.
Usage: python tests/bench/screen.py
"""

import fcntl
import os
import pty
import re
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

import pyte

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tui.planner.client import can_spare_a_core  # noqa: E402  (found beside this file, installed or not)

ROWS, COLUMNS = 40, 120
KEPT = tempfile.TemporaryDirectory(prefix="rotary-bench-")
HELLO = """
from textual.app import App
from textual.widgets import Static
class Hello(App):
    def compose(self):
        yield Static("hello")
Hello().run()
"""
# What Textual asks a terminal, and what one answers.
ANSWERS = {b"\x1b[?2026$p": b"\x1b[?2026;2$y", b"\x1b[?2048$p": b"\x1b[?2048;0$y", b"\x1b[c": b"\x1b[?62;c"}
# Sequences that the emulator takes for text.
UNKNOWN = re.compile(
    rb"\x1b\[[<>=][0-9;]*[a-zA-Z]|\x1b\[\?[0-9;]*\$p|\x1b\[>[0-9]*[a-z]|\x1b_[^\x1b]*\x1b\\|\x1bP[^\x1b]*\x1b\\"
)


class Recorded:
    """A program in a terminal of its own, and all that it wrote, with times [s]."""

    def __init__(self, *command: str) -> None:
        self.chunks: list[tuple[float, bytes]] = []
        self.start = time.perf_counter()
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
            environment = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR")}
            environment |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "PYTHONPATH": str(ROOT)}
            # A folder of its own: what was not saved when one of these was killed is never offered to the next.
            environment["ROTARY_FOLDER"] = tempfile.mkdtemp(dir=KEPT.name)
            os.chdir(ROOT)
            os.execve(sys.executable, [sys.executable, *command], environment)
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))

    def pump(self, seconds: float) -> None:
        """Record for so long."""
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            if not select.select([self.fd], [], [], left)[0]:
                return
            try:
                data = os.read(self.fd, 65536)
            except OSError:
                return
            self.chunks.append((time.perf_counter() - self.start, data))
            for asked, answer in ANSWERS.items():
                if asked in data:
                    os.write(self.fd, answer)

    def send(self, keys: bytes) -> float:
        """Press keys; when."""
        at = time.perf_counter() - self.start
        os.write(self.fd, keys)
        return at

    def close(self) -> None:
        """End the program."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.fd)


class Replay:
    """What was recorded, shown again step by step."""

    def __init__(self, recorded: Recorded) -> None:
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self.stream = pyte.ByteStream(self.screen)
        self.chunks, self.place = recorded.chunks, 0

    def first(self, true: Callable[[str], bool], before: float = float("inf")) -> float | None:
        """When the screen first was so, at the latest at `before`."""
        while self.place < len(self.chunks) and self.chunks[self.place][0] < before:
            at, data = self.chunks[self.place]
            self.place += 1
            self.stream.feed(UNKNOWN.sub(b"", data))
            if true("\n".join(self.screen.display)):
                return at
        return None


def seen_ms(command: tuple[str, ...], *texts: str) -> list[float]:
    """How long after its start a program shows each text [ms]."""
    recorded = Recorded(*command)
    recorded.pump(2.0 if len(texts) > 1 else 1.0)
    recorded.close()
    replay = Replay(recorded)
    found = [replay.first(lambda screen, text=text: text in screen) for text in texts]  # type: ignore[misc]
    return [1e3 * at if at is not None else float("nan") for at in found]


def start(rounds: int = 9) -> None:
    """First frame and everything painted, against a bare app, taken in turns."""
    bare, first, painted = [], [], []
    seen_ms(("-c", HELLO), "hello")
    seen_ms(("-m", "tui"), "COATING", "BY HAND")
    for _ in range(rounds):
        bare += seen_ms(("-c", HELLO), "hello")
        one, two = seen_ms(("-m", "tui"), "COATING", "BY HAND")
        first.append(one)
        painted.append(two)
    hello, frame, all_of_it = map(statistics.median, (bare, first, painted))
    when = "beside the screen" if can_spare_a_core() else "after the first frame, the machine is too busy"
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; the core is loaded {when}")
    print(f"bare app {hello:.0f} ms; first frame {frame:.0f} ms, everything painted {all_of_it:.0f} ms")
    print(f"first frame / bare app        {frame / hello:.2f}   (budget 1.3)")
    print(f"everything painted / bare app {all_of_it / hello:.2f}   (budget 1.9)")


def mean(screen: str) -> str:
    """The item's own diameter, which stands beside the one to type and follows every change of it."""
    found = re.search(r"NOT ([\d.]+): leave it", screen)
    return found[1] if found else ""


def keys(count: int = 60, gap_s: float = 0.15) -> None:
    """From a key to its echo in the field and to its result, everything live."""
    recorded = Recorded("-m", "tui")
    recorded.pump(2.0)
    recorded.send(b"88.5")
    recorded.pump(0.8)
    sent = []
    for place in range(count):
        key, text = (
            (b"\x7f", "88.") if place % 2 == 0 else (str(1 + place // 2 % 9).encode(), f"88.{1 + place // 2 % 9}")
        )
        sent.append((recorded.send(key), text))
        end = time.perf_counter() + gap_s
        while time.perf_counter() < end:
            recorded.pump(end - time.perf_counter())
    recorded.pump(0.5)
    recorded.close()
    replay = Replay(recorded)
    replay.first(lambda _screen: False, sent[0][0])
    echo, result = [], []
    for (at, text), following in zip(sent, [*(at for at, _ in sent[1:]), float("inf")], strict=True):
        shown = re.compile(rf" 1 0 mm +{re.escape(text)} ")
        before = mean("\n".join(replay.screen.display))
        seen = replay.first(lambda screen, shown=shown: bool(shown.search(screen)), following)  # type: ignore[misc]
        came = replay.first(lambda screen, before=before: mean(screen) != before, following)  # type: ignore[misc]
        if seen is not None:
            echo.append(1e3 * (seen - at))
        if came is not None:
            result.append(1e3 * (came - at))
    for name, values, budget in (("echo", echo, 10), ("result", result, 50)):
        high = sorted(values)[int(0.95 * (len(values) - 1))] if values else float("nan")
        middle = statistics.median(values) if values else float("nan")
        print(
            f"key to {name:<7} median {middle:5.1f} ms, 95 % {high:5.1f} ms   "
            f"(budget {budget} ms; {len(values)} of {count} seen before the next key)"
        )


def main() -> None:
    """Both parts."""
    start()
    if "--start" not in sys.argv:
        keys()


if __name__ == "__main__":
    main()
