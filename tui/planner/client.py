"""The core in a process of its own: it loads while the screen does, and never holds up a key. No terminal in here.

The process gets one request at a time through its input and answers through its output. Where there
can be none, or where it has ended, the core is asked in this process instead: slower, the same answers.
"""

import logging
import os
import pickle
import signal
import struct
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any, Final

from tui.planner.request import Request, Verdict, judge

LENGTH: Final = struct.Struct(">Q")
"""What goes before each message: how long it is [bytes]."""

WORKED_OUT: Final = "worked_out_names"
"""Where a model that came as names and values says which of them were no fields, but worked out of those."""

END_S: Final = 2.0
"""How long the process may take to end by itself [s]."""


class Apart:
    """The core's process: started at once where there is a core to spare, else when it is first asked."""

    def __init__(self, at_once: bool = True) -> None:
        self._ended = self._tried = False
        self._process: subprocess.Popen[bytes] | None = None
        if at_once and can_spare_a_core():
            self._start()

    @property
    def is_there(self) -> bool:
        """Whether there is such a process."""
        return self._process is not None

    def ask(self, request: Request) -> Verdict:
        """The verdict on a request; asked by one thread at a time."""
        if not self._tried:
            self._start()
        if self._process is not None:
            try:
                return _answer(self._process, request)
            except (OSError, EOFError, ValueError, pickle.PickleError) as trouble:
                if self._ended:
                    return Verdict(request.number)
                logging.getLogger("tui").warning("the core's process has ended (%s)", type(trouble).__name__)
                self._close()
        return judge(request)

    def _start(self) -> None:
        self._tried = True
        self._process = started("tui.planner.process")

    def end(self) -> None:
        """Nobody asks any more."""
        self._ended = self._tried = True
        self._close()

    def _close(self) -> None:
        process, self._process = self._process, None
        ended(process)


def ended(process: subprocess.Popen[bytes] | None) -> None:
    """Make an end of another process, if there is one, and of the pipes to it."""
    if process is None:
        return
    process.kill()
    process.wait(END_S)
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            shut(pipe)


def shut(pipe: IO[bytes]) -> None:
    """Close a pipe, whatever still stands in it."""
    try:
        pipe.close()
    except OSError:
        # What was still to be written has no reader any more.
        return


def can_spare_a_core() -> bool:
    """Whether a second process would run beside this one, and not in turn with it."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    # On a machine that is busy anyway, the second process would take its time from the first frame.
    return cores >= 2 and busy <= cores - 1


def started(module: str) -> "subprocess.Popen[bytes] | None":
    """A process that runs one of our modules; None where there can be none."""
    if not sys.executable:
        return None
    root = str(Path(__file__).resolve().parents[2])
    # Where others than the owner may use the desk, what works beside it names no other files either.
    held = os.environ.get("ROTARY_HELD_TO")
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(filter(None, (root, os.environ.get("PYTHONPATH", "")))),
        # Its arrays are small: threads for them would only have to be started.
        "OPENBLAS_NUM_THREADS": "1",
    }
    try:
        # -P: a file in the folder one happens to be in must not pass for a library.
        return subprocess.Popen(
            [sys.executable, "-P", "-m", *(["tui.browser.inside"] if held else []), module],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=environment,
        )
    except OSError:
        return None


def _answer(process: "subprocess.Popen[bytes]", request: Request) -> Verdict:
    if process.stdin is None or process.stdout is None:
        raise EOFError
    send(process.stdin, pickle.dumps(request, 5))
    verdict: Verdict = pickle.loads(receive(process.stdout))
    if verdict.bug is not None:
        logging.getLogger("tui").error("no plan: %s", verdict.bug)
    return verdict


def serve(answer: Callable[[Any, Callable[[Any], None]], bytes], begin: Callable[[], object]) -> None:
    """In the other process: `begin`, then answer one message after another until the input ends."""
    # Ctrl+C in the terminal is a key of the screen, not the end of the core.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Whatever anything prints must not get between the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    begin()
    while True:
        try:
            message = pickle.loads(receive(sys.stdin.buffer))
            send(answers, answer(message, lambda share: send(answers, pickle.dumps(share, 5))))
        except (EOFError, OSError):
            return


def send(pipe: IO[bytes], message: bytes) -> None:
    """Write a message; raises OSError where nobody reads."""
    pipe.write(LENGTH.pack(len(message)) + message)
    pipe.flush()


def receive(pipe: IO[bytes]) -> bytes:
    """Read a message; raises EOFError where there will be none."""
    head = pipe.read(LENGTH.size)
    if len(head) < LENGTH.size:
        raise EOFError
    (length,) = LENGTH.unpack(head)
    message = pipe.read(length)
    if len(message) < length:
        raise EOFError
    return message
