"""Reading and writing files, with a sentence for everything that can go wrong."""

import errno
import os
import re
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import Any, Final

from rotary.errors import FileTrouble, brief

LARGEST_JOB_BYTES: Final = 1_000_000
"""A job file is a page of text; what is larger is some other file."""


@contextmanager
def told(path: Path, done: str, instead: str) -> Iterator[None]:
    """Turn what the system says of a file into a sentence: what can't be `done`, and what to do `instead`."""
    shown = brief(path, 80)
    try:
        yield
    except FileNotFoundError:
        if not is_there(path.parent):
            folder = brief(path.parent, 80)
            raise FileTrouble(f"there is no folder {folder}, so {shown} can't be {done}: {instead}") from None
        raise FileTrouble(f"there is no {shown}, so it can't be {done}: {instead}") from None
    except (IsADirectoryError, NotADirectoryError):
        what = "is a folder" if is_folder(path) else "lies in something that is no folder"
        raise FileTrouble(f"{shown} {what}, so it can't be {done}: {instead}") from None
    except PermissionError:
        what = "is a folder" if is_folder(path) else "is not open to you"
        raise FileTrouble(f"{shown} {what}, so it can't be {done}: {instead}") from None
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else str(trouble)
        raise FileTrouble(f"{shown} can't be {done} ({brief(reason, 60)}): {instead}") from None


def is_there(path: Path) -> bool:
    """Whether there is a file or folder of that name; no where the system could not even have such a name.

    >>> is_there(Path("x" * 10_000)), is_there(Path())
    (False, True)
    """
    return _asked(path.exists)


def is_file(path: Path) -> bool:
    """Whether there is a file of that name; no where the system could not even have such a name."""
    return _asked(path.is_file)


def is_folder(path: Path) -> bool:
    """Whether there is a folder of that name; no where the system could not even have such a name."""
    return _asked(path.is_dir)


def _asked(question: Callable[[], bool]) -> bool:
    try:
        return question()
    except (OSError, ValueError):
        return False


def bytes_of_job_file(path: Path) -> bytes:
    """The bytes of a job file; of a larger file only so many that it is seen to be larger."""
    with told(path, "read", "name a job file that ends in .toml; rotary examples lists those that ship"):
        if path.is_dir():
            raise IsADirectoryError
        with path.open("rb") as file:
            return file.read(LARGEST_JOB_BYTES + 1)


_STRINGS_AND_REMARKS: Final = re.compile(
    r""""{3}(?:\\.|[^\\])*?"{3}|'{3}.*?'{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*""", re.DOTALL
)
_NO_KEY: Final = re.compile(r"[^\w \t.-]+")


def toml_tables(text: str) -> dict[str, Any]:
    """The tables of a TOML text from anywhere; raises ValueError, or RecursionError where it is nested too deep.

    A key of many parts takes the reader time and memory by the square of them: a megabyte of it
    would take the machine down, so it is refused before it is read.

    >>> toml_tables("a.b = 1")
    {'a': {'b': 1}}
    """
    if any(part.count(".") > 15 for part in _NO_KEY.split(_STRINGS_AND_REMARKS.sub("", text))):
        raise ValueError("a key has more than 16 parts")
    return tomllib.loads(text)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all: to a temporary name beside it, flushed, then renamed over it."""
    with told(path, "written", "name a file in a folder that you may write to"):
        target = path.resolve()
        if target.is_dir():
            raise IsADirectoryError
        if target.exists() and not target.is_file():
            target.write_bytes(data)
            return
        with _beside(target, data) as temporary:
            temporary.replace(target)
            settle(target.parent)


def write_new(path: Path, data: bytes) -> bool:
    """Write a file that isn't there yet, whole or not at all; False, and nothing written, where it is there.

    When it returns True the file and its name are on disk. Two writers of one name never mix.
    """
    with told(path, "written", "choose a folder that you may write to"), _beside(path, data) as temporary:
        try:
            path.hardlink_to(temporary)
        except FileExistsError:
            # A network drive may have made the link and lost the answer: then it is our own.
            if not path.samefile(temporary):
                return False
        except OSError:
            # Some drives know no second names for a file.
            if path.exists():
                return False
            temporary.rename(path)
        settle(path.parent)
        return True


@contextmanager
def _beside(target: Path, data: bytes) -> Iterator[Path]:
    """A temporary file beside the target, with all its bytes on disk; it is gone in the end, whatever happens."""
    temporary = target.with_name(f".{target.name[:60]}.{os.urandom(6).hex()}.part")
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(handle, rest) :]
            if not _later.get():
                os.fsync(handle)
        finally:
            os.close(handle)
        yield temporary
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


_later: ContextVar[bool] = ContextVar("later", default=False)


@contextmanager
def flushed_together(folder: Path) -> Iterator[None]:
    """What is written into this new folder is flushed once, at the end of the block, in place of after every file.

    Only for a folder that nobody knows of before the block is done: until then nothing in it is sure to be on disk.
    A disk that waits some 30 ms for each flush makes a list of a thousand files a minute slower otherwise.
    """
    mark = _later.set(True)
    try:
        yield
    finally:
        _later.reset(mark)
    with told(folder, "written", "name a folder on a disk that has room"):
        for path in folder.rglob("*"):
            if path.is_file():
                with path.open("rb+") as file:
                    os.fsync(file.fileno())
        for path in (*(path for path in folder.rglob("*") if path.is_dir()), folder):
            settle(path)


def settle(folder: Path) -> None:
    """Have a folder's own entries on disk, where the system can do that; a disk that fails at it is told."""
    if _later.get():
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        # Not every system opens folders.
        return
    try:
        os.fsync(handle)
    except OSError as trouble:
        if trouble.errno in (errno.EIO, errno.ENOSPC):
            raise
    finally:
        os.close(handle)


def profile_folder(asked: str | None = None) -> Path:
    """Where profiles are kept: what was asked for, else ROTARY_FOLDER, else the person's data folder."""
    chosen = asked or os.environ.get("ROTARY_FOLDER")
    if chosen:
        return Path(chosen).expanduser()
    from platformdirs import user_data_dir

    return Path(user_data_dir("rotary", appauthor=False)) / "profiles"
