"""One writer at a time: two programs that write readings at the same moment wait for each other and lose none.

The system itself holds the lock and lets go of it when a program ends, however it ends; the file that it
is on stays empty. A drive on which nothing can be locked is written without.
"""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble, brief
from rotary.files import file_trouble, is_dry_run, make_shared, mode_in

LOCK_NAME: Final = ".readings.lock"
LONGEST_S: Final = 20.0
"""So long one waits for the other; writing takes milliseconds."""
_EACH_S: Final = 0.01


@contextmanager
def exclusive(folder: Path) -> Iterator[None]:
    """Alone with the readings of a folder, which is made where it isn't there; raises FileTrouble after a long wait."""
    if is_dry_run():
        yield
        return
    path = folder / LOCK_NAME
    with file_trouble(folder, "made", "choose a folder that you can write to"):
        make_shared(folder)
    with file_trouble(folder, "written into", "choose a folder that you can write to"):
        handle = _opened(path)
    try:
        held = _held(handle, path)
        try:
            yield
        finally:
            if held:
                with suppress(OSError):
                    _let_go(handle)
    finally:
        os.close(handle)


def _opened(path: Path) -> int:
    """The file that the lock is on, open to whoever may write in its folder."""
    flags = os.O_RDWR | getattr(os, "O_NONBLOCK", 0)
    try:
        return os.open(path, flags)
    except FileNotFoundError:
        handle = os.open(path, flags | os.O_CREAT, 0o666)
    mode = mode_in(path.parent)
    if mode is not None and hasattr(os, "fchmod"):
        with suppress(OSError):
            os.fchmod(handle, mode)
    return handle


def _held(handle: int, path: Path) -> bool:
    """Whether the lock is held; waits for another program that has it."""
    until = time.monotonic() + LONGEST_S
    while True:
        try:
            _take(handle)
        except (BlockingIOError, PermissionError):
            if time.monotonic() > until:
                says = f"another program has been writing to {brief(path.parent, 80)} for {LONGEST_S:g} s"
                raise FileTrouble(f"{says}: close that program, and try again") from None
            time.sleep(_EACH_S)
        except OSError:
            return False
        else:
            return True


if os.name == "nt":  # pragma: no cover
    import msvcrt

    def _take(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]

    def _let_go(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined,unused-ignore]

else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _let_go(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)
