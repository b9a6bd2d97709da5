"""What is refused has not happened: how a change of a file is taken back where what was to follow it fails."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path


@contextmanager
def second_name(target: Path) -> Iterator[Callable[[], object]]:
    """How a file gets back what it held; where a drive knows no second names, it can't."""
    before = target.with_name(f".{target.name[:40]}.{os.urandom(6).hex()}.part")
    undo: Callable[[], object] = partial(before.replace, target)
    try:
        before.hardlink_to(target)
    except FileNotFoundError:
        undo = target.unlink
    except OSError:
        undo = tuple
    try:
        yield undo
    finally:
        with suppress(OSError):
            before.unlink(missing_ok=True)


@contextmanager
def undo_on_failure(undo: Callable[[], object]) -> Iterator[None]:
    """Take a change back where what was to follow fails: what is refused has not happened."""
    try:
        yield
    except OSError:
        with suppress(OSError):
            undo()
        raise
