"""The screen in a pseudo-terminal: first frame and everything painted as ratios to a bare app; key to echo and result.

What the program writes is recorded with its time and replayed afterwards through a terminal emulator,
so that emulation costs nothing while it is measured. The start is told in processor time, of the screen and of all
processes that it began, which other work on the machine disturbs little. Keys are told by the clock and in processor
time; on Linux ``chrt -r 5 python tests/bench/screen.py`` (as root) measures them as on a machine at rest. Other trees
of this repository, with the same libraries, are measured in turns with this one.
Compile first: ``python -m compileall -q rotary tui``. Linux only.
Usage: python tests/bench/screen.py [--start or --keys] [TREE ...]
"""

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from itertools import chain
from pathlib import Path
from typing import NamedTuple

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


def spent_s(pid: int) -> float:
    """The processor time of a process so far [s]; its clock has a number that the kernel makes of its own."""
    try:
        return time.clock_gettime((~pid << 3) | 2)
    except OSError:
        return 0.0


def children(pid: int) -> list[int]:
    """The processes that one began, in any of its threads."""
    tasks = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(child) for task in tasks for child in task.read_text().split()]


class Recorded:
    """A program in a terminal of its own, and all that it wrote, with times and processor times until then [s]."""

    def __init__(self, *command: str, verdicts: str = "", root: Path = ROOT) -> None:
        self.chunks: list[tuple[float, bytes]] = []
        self.spent: list[tuple[float, float]] = []
        self.start = time.perf_counter()
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
            environment = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR")}
            environment |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "PYTHONPATH": str(root)}
            # A folder of its own: what was not saved when one of these was killed is never offered to the next.
            environment["ROTARY_FOLDER"] = tempfile.mkdtemp(dir=KEPT.name)
            environment["ROTARY_VERDICTS"] = verdicts or tempfile.mkdtemp(dir=KEPT.name)
            os.chdir(root)
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
            self.spent.append(self.spent_now())
            self.chunks.append((time.perf_counter() - self.start, data))
            for asked, answer in ANSWERS.items():
                if asked in data:
                    os.write(self.fd, answer)

    def spent_now(self) -> tuple[float, float]:
        """The processor time so far, of the program and of all that it began [s]."""
        own = spent_s(self.pid)
        return own, own + sum(map(spent_s, children(self.pid)))

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


def spent_until(command: tuple[str, ...], *texts: str, verdicts: str = "") -> list[tuple[float, float]]:
    """The processor time when a program shows each text: its own, and that of all its processes [s]."""
    recorded = Recorded(*command, verdicts=verdicts)
    recorded.pump(8.0 if len(texts) > 1 else 2.0)
    recorded.close()
    replay, spent = Replay(recorded), []
    for text in texts:
        at = replay.first(lambda screen, text=text: text in screen)  # type: ignore[misc]
        spent.append(recorded.spent[replay.place - 1] if at is not None else (float("nan"), float("nan")))
    return spent


def start(rounds: int = 9) -> None:
    """First frame and everything painted, against a bare app, taken in turns.

    The first start of all has the verdict that ships, a job that was opened before its own; an own job has none.
    """
    own = Path(shutil.copytree(ROOT / "profiles", Path(KEPT.name) / "own")) / "heron-cup.toml"
    hello, screen, stored = ("-c", HELLO), ("-m", "tui"), tempfile.mkdtemp(dir=KEPT.name)
    spent_until((*screen, str(own)), "COATING", "BY HAND", verdicts=stored)
    kinds = (("first start", screen, ""), ("opened before", (*screen, str(own)), stored),
             ("own job, first time", (*screen, str(own)), ""))  # fmt: skip
    rows: dict[str, list[tuple[float, float]]] = {}
    for _ in range(rounds):
        rows.setdefault("bare app", []).extend(spent_until(hello, "hello"))
        for name, command, folder in kinds:
            first, painted = spent_until(command, "COATING", "BY HAND", verdicts=folder)
            rows.setdefault(f"first frame, {name}", []).append(first)
            rows.setdefault(f"everything painted, {name}", []).append(painted)
    bare_own, bare_all = (statistics.median(column) for column in zip(*rows["bare app"], strict=True))
    when = "beside the screen" if can_spare_a_core() else "after the first frame, the machine is too busy"
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; without a verdict the core is loaded {when}")
    for name, times in rows.items():
        own, every = (statistics.median(column) for column in zip(*times, strict=True))
        print(f"{name:<42} screen {1e3 * own:5.0f} ms ({own / bare_own:.2f})   all {every / bare_all:.2f}")


# The diameter among the numbers, which follows every change of the item: as it is typed; before, in a head.
RESULT = re.compile(r"[\d.]+ mm +NOT [\d.]+|⌀([\d.]+) → ")


def result_of(screen: str) -> str:
    """The diameter that the numbers were worked out for."""
    found = RESULT.search(screen)
    return found[0] if found else ""


class Keys(NamedTuple):
    """From each key to its echo in the field and to its result [ms]; processor time of a key, screen and core [ms]."""

    echo: list[float]
    result: list[float]
    screen: list[float]
    core: list[float]


def keys(root: Path, count: int = 60, gap_s: float = 0.2) -> Keys:
    """Keys in the diameter of one job in the tree of a version, everything live."""
    recorded = Recorded("-m", "tui", str(root / "profiles" / "regatta-bottle.toml"), root=root)
    recorded.pump(4.0)
    recorded.send(b"79.5")
    recorded.pump(1.5)
    began, sent = recorded.spent_now(), []
    for place in range(count):
        digit = 1 + place // 2 % 9
        key, text = (b"\x7f", "79.") if place % 2 == 0 else (f"{digit}".encode(), f"79.{digit}")
        sent.append((recorded.send(key), text))
        end = time.perf_counter() + gap_s
        while time.perf_counter() < end:
            recorded.pump(end - time.perf_counter())
    recorded.pump(0.5)
    own, every = (1e3 * (now - before) / count for now, before in zip(recorded.spent_now(), began, strict=True))
    recorded.close()
    replay = Replay(recorded)
    replay.first(lambda _screen: False, sent[0][0])
    found = Keys([], [], [own], [every - own])
    for (at, text), following in zip(sent, [*(at for at, _ in sent[1:]), float("inf")], strict=True):
        shown = re.compile(rf" 1 +0 mm +{re.escape(text)} ")
        before = result_of("\n".join(replay.screen.display))
        seen = replay.first(lambda screen, shown=shown: bool(shown.search(screen)), following)  # type: ignore[misc]
        came = replay.first(lambda screen, before=before: result_of(screen) != before, following)  # type: ignore[misc]
        found.echo.extend([] if seen is None else [1e3 * (seen - at)])
        found.result.extend([] if came is None else [1e3 * (came - at)])
    return found


def compare(roots: list[Path], rounds: int = 3) -> None:
    """Keys in the trees of some versions, taken in turns."""
    every = [[keys(root) for root in roots] for _ in range(rounds)]
    print(f"load {os.getloadavg()[0]:.1f}; medians and 95 % in ms, in brackets the first tree over this one")
    for root, rows in zip(roots, zip(*every, strict=True), strict=True):
        cells = []
        for name in Keys._fields:
            values, first = (
                sorted(chain.from_iterable(getattr(row, name) for row in some))
                for some in (rows, (r[0] for r in every))
            )
            middle, high = statistics.median(values), values[int(0.95 * (len(values) - 1))]
            cells.append(f"{name} {middle:.1f}, {high:.1f} ({statistics.median(first) / middle:.2f}; {len(values)})")
        print(f"{root.name:<8} {'   '.join(cells)}")


def main() -> None:
    """The start; the keys, of the tree named first against others."""
    trees = [ROOT, *(Path(name).resolve() for name in sys.argv[1:] if not name.startswith("--"))]
    if "--keys" not in sys.argv:
        start()
    if "--start" not in sys.argv:
        compare(trees)


if __name__ == "__main__":
    main()
