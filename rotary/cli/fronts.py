"""The other front ends, as the command line opens them. They sit on this core: whoever starts it hands them in."""

from collections.abc import Callable
from contextvars import ContextVar
from pathlib import Path
from typing import Any, Final, NamedTuple, NoReturn


def _missing(*_: object) -> NoReturn:
    raise ModuleNotFoundError(name="tui")


class Fronts(NamedTuple):
    """What opens each front; the exit code is its own. All raise ModuleNotFoundError where a library is missing.

    `desk` takes a job file, `ask` a job's tables, the unit system, the folder of profiles, whether every field is
    asked, and the job's file; `browser` a job file, an address, a port, other names of this machine, how many desks
    at once, and the folder that files are held to.
    """

    desk: Callable[[str | None], int] = _missing
    ask: Callable[[dict[str, Any] | None, str, Path, bool, Path | None], int] = _missing
    browser: Callable[[str | None, str, int, tuple[str, ...], int, Path], int] = _missing


NO_FRONTS: Final = Fronts()

fronts: ContextVar[Fronts] = ContextVar("fronts", default=NO_FRONTS)
"""Those that this run of the command line may open."""
