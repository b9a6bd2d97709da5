"""Folders for files that are needed only while a process works, and what killed processes left of them."""

import os
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

_PASSING: Final = "rotary-{}-"
_LEFT: Final = re.compile(r"rotary-(\d+)-\w+")


@contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder for files that are needed only while this process works; what killed processes left goes first."""
    sweep()
    with tempfile.TemporaryDirectory(prefix=_PASSING.format(os.getpid())) as folder:
        yield Path(folder)


def sweep() -> None:
    """Take away the passing folders of processes that were killed: the person's own, whose process is gone."""
    with suppress(OSError):
        for folder in Path(tempfile.gettempdir()).iterdir():
            named = _LEFT.fullmatch(folder.name)
            with suppress(OSError):
                if named and not _is_running(int(named[1])) and _is_own_folder(folder):
                    shutil.rmtree(folder, ignore_errors=True)


def _is_own_folder(folder: Path) -> bool:
    found = folder.lstat()
    return stat.S_ISDIR(found.st_mode) and (not hasattr(os, "getuid") or found.st_uid == os.getuid())


def _is_running(process: int) -> bool:
    """Whether there is a process of that number; where the system can't be asked without harm, yes."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
