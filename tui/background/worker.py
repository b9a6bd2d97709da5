"""Work beside the screen: a thread that gives one task after another to a process. No terminal in here, and no core.

::

    screen ── newest task of each kind ──> thread ── pipe ──> process (tui.planner.process, tui.background.process)
    screen <── share that is done, answer ── thread <── pipe ──┘

The process is begun when it is first needed, and can be stopped at any moment: the next task begins another. Where
there can be none, or several in a row have ended before they were ready, the work is done in this process: slower, the
same answers.
"""

import logging
import os
import pickle
import signal
import struct
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO, Final, Generic, Protocol, TypeVar

from tui.background.tasks import Share, Stopped

LENGTH: Final = struct.Struct(">Q")
"""What goes before each message: how long it is [bytes]."""

END_S: Final = 2.0
"""How long the process may take to end by itself [s]."""

GRACE_S: Final = 1.0
"""What is under way for less than this is done before the next of its kind: to load the core anew takes longer."""

BURST_S: Final = 0.12
"""Short tasks that follow each other faster than this are a burst: only its first and its last are done."""

REST_S: Final = 0.07
"""How long a burst has to be over before its last task is done."""

MOST_BEGUN: Final = 3
"""So many processes in a row that end before they are ready, and no other is begun."""

READY: Final = b"+"
"""What a process writes once it has loaded what it needs."""


class Task(Protocol):
    """Something to find out: `what` is its kind, `key` says what it was asked for."""

    @property
    def what(self) -> str:
        """Its kind."""

    @property
    def key(self) -> object:
        """The same for the same."""


Tell = Callable[[Share], object]
Q = TypeVar("Q", bound=Task)
A = TypeVar("A")


class CoreProcess(Generic[Q, A]):
    """One of our modules in a process of its own, with the core loaded; asked by one thread at a time.

    `here` does in this process what that module would do; `module` is empty where it always does.
    """

    def __init__(self, module: str, here: Callable[[Q, Tell], A], at_once: bool = False) -> None:
        self._module, self._here = module, here
        self.is_stopped, self._is_ready, self._in_vain = False, False, 0
        self._doomed: subprocess.Popen[bytes] | None = None
        self.process = started(module) if at_once else None

    @property
    def is_given_up(self) -> bool:
        """Whether processes kept ending before they were ready, so that the work is done in this one."""
        return self._in_vain >= MOST_BEGUN

    def ask(self, task: Q, tell: Tell = lambda _share: None) -> A:
        """The answer to a task; raises EOFError where the process has ended meanwhile, by itself or stopped."""
        process = self.process
        if process is None or process is self._doomed or process.poll() is not None:
            self.close()
            process = self.process = None if self.is_given_up else started(self._module)
        if process is None or process.stdin is None or process.stdout is None:
            return self._here(task, lambda share: self._told(share, tell))
        if self.is_stopped:
            process.kill()
        try:
            send(process.stdin, pickle.dumps(task, 5))
            if not self._is_ready:
                if process.stdout.read(len(READY)) != READY:
                    raise EOFError
                self._is_ready, self._in_vain = True, 0
            while isinstance(said := pickle.loads(receive(process.stdout)), Share):
                tell(said)
            answer: A = said
        except (OSError, EOFError, ValueError, pickle.PickleError) as trouble:
            self._in_vain += not self.is_stopped
            self.close()
            if not self.is_stopped:
                logging.getLogger("tui").warning("work beside the screen has ended (%s)", type(trouble).__name__)
            raise EOFError from trouble
        return answer

    def _told(self, share: Share, tell: Tell) -> None:
        if self.is_stopped:
            raise Stopped
        tell(share)

    def stop(self) -> None:
        """Nobody wants the answer any more; called from another thread than asks."""
        self.is_stopped = True
        if (process := self.process) is not None:
            # It may have answered just now, and take a moment to end: the next task must not go to it.
            self._doomed = process
            process.kill()

    def close(self) -> None:
        """Make an end of the process, if there is one, and of the pipes to it."""
        process, self.process = self.process, None
        self._is_ready = False
        if process is None:
            return
        process.kill()
        process.wait(END_S)
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                shut(pipe)


class Worker(Generic[Q, A]):
    """A thread for tasks; `tell` is called from it and must be safe to call.

    What is asked anew takes the place of what waits of its kind, and stops what is under way of it. Where tasks are
    `short`, the one under way is done, and of a burst only the first and the last. `lost` answers a task whose process
    has ended; `is_stopped` says whether nobody wants it.
    """

    def __init__(
        self,
        tell: Callable[[Share | A], object],
        process: CoreProcess[Q, A],
        lost: Callable[[Q, bool], A],
        short: bool = False,
    ) -> None:
        self._tell, self.process, self._lost, self._short = tell, process, lost, short
        self._waiting: dict[str, Q] = {}
        self._now: Q | None = None
        self._since_s = self._came_s = self._before_s = float("-inf")
        self._wake = threading.Condition()
        self._ended = False
        self._thread: threading.Thread | None = None

    def ask(self, task: Q) -> None:
        """Have something found out; it takes the place of whatever was asked of the same kind."""
        with self._wake:
            self._before_s, self._came_s = self._came_s, time.monotonic()
            if self._now is not None and self._now.what == task.what and not self._short:
                if self._now.key == task.key and not self.process.is_stopped:
                    self._waiting.pop(task.what, None)
                    return
                if (left_s := GRACE_S - (self._came_s - self._since_s)) <= 0:
                    self.process.stop()
                else:
                    late = threading.Timer(left_s, self._stop_late, (self._now,))
                    late.daemon = True
                    late.start()
            self._waiting[task.what] = task
            if self._thread is None and not self._ended:
                self._thread = threading.Thread(target=self._work, name="worker", daemon=True)
                self._thread.start()
            self._wake.notify()

    def _stop_late(self, task: Q) -> None:
        """Stop what is under way still, where something else of its kind has waited long enough."""
        with self._wake:
            if self._now is task and task.what in self._waiting:
                self.process.stop()

    def rested_s(self) -> float:
        """How long ago the last task came."""
        return time.monotonic() - self._came_s

    def stop(self, *kinds: str) -> bool:
        """Nobody wants these any more, or any where none is named; False where there were none."""
        with self._wake:
            names = kinds or (*self._waiting, *([self._now.what] if self._now else ()))
            found = [self._waiting.pop(name) for name in names if name in self._waiting]
            running = self._now is not None and self._now.what in names
            if running:
                self.process.stop()
        for task in found:
            self._tell(self._lost(task, True))
        return bool(found) or running

    def end(self) -> None:
        """The program ends, and nobody is told anything any more."""
        with self._wake:
            self._ended = True
            self.process.stop()
            self._wake.notify()
        if self._thread is None:
            self.process.close()

    def join(self, timeout_s: float) -> None:
        """Wait for the thread to end."""
        if self._thread is not None:
            self._thread.join(timeout_s)

    def _work(self) -> None:
        while (task := self._next()) is not None:
            try:
                said = self.process.ask(task, self._tell)
            except EOFError:
                said = self._lost(task, self.process.is_stopped)
            with self._wake:
                # Whoever is told may ask for the next at once, and finds nothing under way.
                self._now, again = None, self._waiting.get(task.what)
                # What was stopped and is asked for once more is not told as stopped: the answer would be thrown away.
                is_silent = self._ended or (self.process.is_stopped and again is not None and again.key == task.key)
            if not is_silent:
                self._tell(said)
        self.process.close()

    def _next(self) -> Q | None:
        """The task that has waited longest, once a burst of short ones is over; None at the end."""
        with self._wake:
            while not self._waiting and not self._ended:
                self._wake.wait()
            while self._short and not self._ended and self._came_s - self._before_s < BURST_S:
                rest_s = self._came_s + REST_S - time.monotonic()
                if rest_s <= 0:
                    break
                self._wake.wait(rest_s)
            if self._ended:
                return None
            self._now = self._waiting.pop(next(iter(self._waiting)))
            self._since_s, self.process.is_stopped = time.monotonic(), False
            return self._now


# -- the process and its pipes


def started(module: str) -> "subprocess.Popen[bytes] | None":
    """A process that runs one of our modules; None where there can be none."""
    if not sys.executable or not module:
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


def shut(pipe: IO[bytes]) -> None:
    """Close a pipe, whatever still stands in it."""
    try:
        pipe.close()
    except OSError:
        # What was still to be written has no reader any more.
        return


def serve(answer: Callable[[Q, Callable[[Share], None]], bytes], begin: Callable[[], object]) -> None:
    """In the other process: `begin`, then answer one message after another until the input ends."""
    # Ctrl+C in the terminal is a key of the screen, not the end of the core.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Whatever anything prints must not get between the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    begin()
    answers.write(READY)
    answers.flush()
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
