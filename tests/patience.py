"""Waiting for a state, never for a time: the one place in the tests that looks at a clock.

How long a thing takes depends on the machine and on who else is at work there. So a test counts what is done, or waits
here until something has come true; the limit is only there so that what never comes true ends at all.
"""

import asyncio
import time
from collections.abc import Callable, Iterator
from typing import TypeVar

PATIENCE_S = 120.0
Found = TypeVar("Found")


def chances(says: Callable[[], object] = lambda: "", patience_s: float = PATIENCE_S) -> Iterator[None]:
    """As many looks at a state as a patient person takes; then AssertionError with what `says` gives."""
    end = time.monotonic() + patience_s
    while time.monotonic() < end:
        yield
    # One more look: a machine that stood still for so long may have brought it.
    yield
    raise AssertionError(f"not within {patience_s:g} s: {says()}")


def until(true: Callable[[], Found], says: Callable[[], object] = lambda: "", patience_s: float = PATIENCE_S) -> Found:
    """Wait until something is true, and give it."""
    for _ in chances(says, patience_s):
        if found := true():
            return found
        time.sleep(0.01)
    raise AssertionError


async def until_it_is(
    true: Callable[[], Found], says: Callable[[], object] = lambda: "", patience_s: float = PATIENCE_S
) -> Found:
    """The same, while everything else in this process goes on."""
    for _ in chances(says, patience_s):
        if found := true():
            return found
        await asyncio.sleep(0.005)
    raise AssertionError
