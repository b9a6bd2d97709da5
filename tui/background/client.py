"""Longer work beside the desk: reading artwork, forecasts, windows. It has a process of its own, so that it can be
stopped at any moment and never holds up an answer to typing. No terminal in here, and no core.

::

    desk ── newest errand of each kind ──> thread ── pipe ──> process (tui.background.process)
    desk <── share that is done, answer ── thread <── pipe ──┘

What is asked anew takes the place of what is still being done: the process is ended, and the next one begins.
"""

import logging
import pickle
import subprocess
import threading
import time
from typing import Final

from tui.background.tasks import Done, Errand, Share, Stopped, Tell
from tui.planner.client import ended, receive, send, started

GRACE_S: Final = 0.3
"""What has been under way for less than this is done before the next of its kind: starting anew takes longer."""


class Errands:
    """One thread and at most one process; `tell` is called from the thread and must be safe to call."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._waiting: dict[str, Errand] = {}
        self._now: Errand | None = None
        self._since_s = 0.0
        self._wake = threading.Condition()
        self._ended = self._stop_now = False
        self._process: subprocess.Popen[bytes] | None = None
        self._doomed: subprocess.Popen[bytes] | None = None
        self._thread: threading.Thread | None = None

    def ask(self, errand: Errand) -> None:
        """Have something found out; it takes the place of whatever was asked of the same kind."""
        with self._wake:
            if self._now is not None and self._now.what == errand.what:
                if self._now.key == errand.key and not self._stop_now:
                    return
                if time.monotonic() - self._since_s > GRACE_S:
                    self._stop()
            self._waiting[errand.what] = errand
            if self._thread is None and not self._ended:
                self._thread = threading.Thread(target=self._work, name="errands", daemon=True)
                self._thread.start()
            self._wake.notify()

    def stop(self, *kinds: str) -> bool:
        """Nobody wants these any more, or any where none is named; False where there were none."""
        with self._wake:
            names = kinds or (*self._waiting, *([self._now.what] if self._now else ()))
            found = [self._waiting.pop(name) for name in names if name in self._waiting]
            running = self._now is not None and self._now.what in names
            if running:
                self._stop()
        for errand in found:
            self._tell(Done(errand.what, errand.key, stopped=True))
        return bool(found) or running

    def end(self) -> None:
        """The program ends."""
        with self._wake:
            self._ended = True
            self._stop()
            self._wake.notify()

    def _stop(self) -> None:
        self._stop_now = True
        if self._process is not None:
            # It may have answered just now, and take a moment to end: the next errand must not go to it.
            self._doomed = self._process
            self._process.kill()

    def _work(self) -> None:
        while True:
            with self._wake:
                self._now = None
                while not self._waiting and not self._ended:
                    self._wake.wait()
                if self._ended:
                    self._close()
                    return
                self._now = self._waiting.pop(next(iter(self._waiting)))
                self._since_s, self._stop_now = time.monotonic(), False
            said = self._done(self._now)
            with self._wake:
                # Whoever is told may ask for the next at once, and finds nothing under way.
                self._now = None
            self._tell(said)

    def _done(self, errand: Errand) -> Done:
        process = self._process
        if process is None or process is self._doomed or process.poll() is not None:
            self._close()
            process = started("tui.background.process")
            with self._wake:
                self._process = process
                if self._stop_now and process is not None:
                    process.kill()
        if process is None or process.stdin is None or process.stdout is None:
            from tui.background.process import done

            return done(errand, self._share)
        try:
            send(process.stdin, pickle.dumps(errand, 5))
            while True:
                said: Share | Done = pickle.loads(receive(process.stdout))
                if isinstance(said, Done):
                    return said
                self._tell(said)
        except (OSError, EOFError, ValueError, pickle.PickleError) as trouble:
            stopped = self._stop_now
            self._close()
            if not stopped:
                logging.getLogger("tui").warning("work beside the screen has ended (%s)", type(trouble).__name__)
            says = "this took more memory than there is, or was ended from outside: try again"
            return Done(errand.what, errand.key, stopped=stopped, faults=() if stopped else (("", says),))

    def _share(self, share: Share) -> None:
        if self._stop_now:
            raise Stopped
        self._tell(share)

    def _close(self) -> None:
        process, self._process = self._process, None
        ended(process)
