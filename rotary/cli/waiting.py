"""A line on the error output while something takes longer than a second: what is done, and how far it is.

It is shown on a terminal only, goes away when the work is done, and Ctrl+C stops the work at any time.
"""

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Final, TextIO

PATIENCE_S: Final = 1.0
"""Nobody needs to be told of what takes less."""

BETWEEN_S: Final = 0.25
ERASE: Final = "\r\x1b[K"

Tell = Callable[[float], None]


@contextmanager
def waiting(what: str, out: TextIO | None = None) -> Iterator[Tell]:
    """While the block runs longer than `PATIENCE_S`, show `what`; the callable given takes the share that is done.

    >>> with waiting("drawing the sheet") as tell:
    ...     tell(0.5)
    """
    out = sys.stderr if out is None else out
    if out is None or not out.isatty():
        yield lambda _: None
        return
    line = _Line(what, out)
    watcher = threading.Thread(target=line.watch, daemon=True)
    watcher.start()
    try:
        yield line.tell
    finally:
        line.done.set()
        watcher.join()
        line.wipe()


class _Line:
    def __init__(self, what: str, out: TextIO) -> None:
        self.what, self.out = what, out
        self.share: float | None = None
        self.shown = False
        self.done = threading.Event()
        self.start = time.monotonic()

    def tell(self, share: float) -> None:
        self.share = share

    def watch(self) -> None:
        """Wait a second in silence, then show the line anew until the work is done."""
        wait_s = PATIENCE_S
        while not self.done.wait(wait_s):
            wait_s = BETWEEN_S
            far = "" if self.share is None else f" {100 * min(max(self.share, 0.0), 1.0):3.0f} %"
            self._write(f"{ERASE}{self.what} ...{far} {time.monotonic() - self.start:.0f} s (Ctrl+C stops it)")
            self.shown = True

    def wipe(self) -> None:
        if self.shown:
            self._write(ERASE)

    def _write(self, text: str) -> None:
        with suppress(OSError, ValueError):
            self.out.write(text)
            self.out.flush()
