"""A line on the error output while something takes longer than a second: what is done, and how far it is.

It is shown on a terminal only, goes away when the work is done, and Ctrl+C stops the work at any time.
"""

import sys
import threading
import time
from collections import deque
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
    share, done = deque[float](maxlen=1), threading.Event()
    if out is None or not out.isatty():
        yield share.append
        return
    watcher = threading.Thread(target=_watch, args=(what, out, share, done), daemon=True)
    watcher.start()
    try:
        yield share.append
    finally:
        done.set()
        watcher.join()


def _watch(what: str, out: TextIO, share: deque[float], done: threading.Event) -> None:
    """Wait a second in silence, then show the line anew until the work is done, and wipe it."""
    start, wait_s, erase = time.monotonic(), PATIENCE_S, ""
    with suppress(OSError, ValueError):
        while not done.wait(wait_s):
            # Looked at in one step: the work tells its share at any moment.
            far = "".join(f" {100 * min(max(one, 0.0), 1.0):3.0f} %" for one in [*share])
            out.write(f"{ERASE}{what} ...{far} {time.monotonic() - start:.0f} s (Ctrl+C stops it)")
            out.flush()
            wait_s, erase = BETWEEN_S, ERASE
        out.write(erase)
        out.flush()
