"""Reading and writing files, with a sentence for everything that can go wrong."""

import errno
import os
import re
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import Any, BinaryIO, Final, NamedTuple

from rotary.errors import FileTrouble, RotaryError, brief
from rotary.old_keys import with_new_keys
from rotary.undo import second_name, undo_on_failure

LARGEST_JOB_BYTES: Final = 1_000_000
"""A job file is a page of text; what is larger is some other file."""

MADE_BY: Final = "drawn by rotary"
"""In every written file's own description: what bears it may be replaced, nothing else."""

_CHUNK_BYTES: Final = 1 << 18


class Habits(NamedTuple):
    """How files are written: only said, not done; nothing replaced unasked, though it was made here."""

    only_said: bool = False
    asks_first: bool = False


_USUAL: Final = Habits()
_habits: ContextVar[Habits] = ContextVar("habits", default=_USUAL)


class DryRun(RotaryError):  # noqa: N818  (what it is, not what went wrong)
    """Raised in place of the first write where it is only said; `path` is what would be written, moved or deleted."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"nothing was written. Without --dry-run, {brief(path, 200)} would be the first to change")
        self.path = path


def is_dry_run() -> bool:
    """Whether nothing may be written at present."""
    return _habits.get().only_said


def asks_first() -> bool:
    """Whether what was made here is replaced only where the person said so, like any other file."""
    return _habits.get().asks_first


@contextmanager
def habits(value: Habits) -> Iterator[None]:
    """Write so, to the end of the block."""
    mark = _habits.set(value)
    try:
        yield
    finally:
        _habits.reset(mark)


def about_to_write(path: Path) -> None:
    """Called before anything on the disk is changed; raises DryRun where that is only said."""
    if is_dry_run():
        raise DryRun(path)


class NoRegularFile(OSError):  # noqa: N818  (what it is, not what went wrong)
    """A pipe, a device or a socket: it may be waited on for ever, or never end."""


@contextmanager
def file_trouble(path: Path, done: str, instead: str) -> Iterator[None]:
    """Turn what the system says of a file into a sentence: what can't be `done`, and what to do `instead`."""
    shown = brief(path, 80)
    try:
        yield
    except FileNotFoundError:
        if not is_there(path.parent):
            folder = brief(path.parent, 80)
            raise FileTrouble(f"there is no folder {folder}: {instead}") from None
        raise FileTrouble(f"there is no {shown}: {instead}") from None
    except (IsADirectoryError, NotADirectoryError):
        what = "is a folder" if is_folder(path) else "has a file where a folder should be"
        raise FileTrouble(f"{shown} {what}, so it can't be {done}: {instead}") from None
    except NoRegularFile:
        raise FileTrouble(f"{shown} is a pipe or a device, not a file, so it can't be {done}: {instead}") from None
    except PermissionError:
        what = "is a folder" if is_folder(path) and done in ("read", "written") else "needs rights that you don't have"
        raise FileTrouble(f"{shown} {what}, so it can't be {done}: {instead}") from None
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else str(trouble)
        instead = "make room on this disk" if getattr(trouble, "errno", 0) == errno.ENOSPC else instead
        raise FileTrouble(f"{shown} can't be {done} ({brief(reason, 60)}): {instead}") from None


def named_path(text: str | Path) -> Path:
    """The path that a person names: ~ is their own folder, that of nobody stays as it is written.

    >>> named_path("~nobody-here/a.svg").as_posix()
    '~nobody-here/a.svg'
    """
    return Path(os.path.expanduser(text))  # noqa: PTH111  (the other way raises)


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


_places: list[Callable[[Path], bool]] = []


def confine_names(allowed: Callable[[Path], bool]) -> None:
    """From here on no file of this process may be named but where it is `allowed`; no way back."""
    _places.append(allowed)


def may_be_named(path: Path) -> bool:
    """Whether a person may name this file or folder: everywhere, unless the process is held to some place."""
    return all(allowed(path) for allowed in _places)


@contextmanager
def regular_file(path: Path) -> Iterator[BinaryIO]:
    """A file opened to be read, links followed. Raises OSError: IsADirectoryError for a folder, NoRegularFile for
    a pipe, a device or a socket, none of which is waited on.
    """
    if not may_be_named(path):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    _refuse_special(os.stat(path).st_mode)  # noqa: PTH116  (before it is opened: to open a device may do something)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        _refuse_special(os.fstat(file.fileno()).st_mode)
        yield file


def _refuse_special(mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise IsADirectoryError
    if not stat.S_ISREG(mode):
        raise NoRegularFile


def bytes_of_file(path: Path, most: int, instead: str, larger: RotaryError | None = None) -> bytes:
    """The bytes of a file that a person names; every such file is read here, and never more than `most` + 1 of it.

    Of a larger file so many come back that it is seen to be larger; with `larger` that is raised in their place, of
    a file that says its size before anything is read. Raises FileTrouble with what to do `instead`.
    """
    with file_trouble(path, "read", instead):
        return regular_bytes(path, most, larger)


def regular_bytes(path: Path, most: int, larger: RotaryError | None = None) -> bytes:
    """As `bytes_of_file`, for who says in other words what can't be read: raises OSError."""
    with regular_file(path) as file:
        if larger is not None and os.fstat(file.fileno()).st_size > most:
            raise larger
        parts, left = [], most + 1
        while left > 0 and (part := os.read(file.fileno(), min(left, _CHUNK_BYTES))):
            parts.append(part)
            left -= len(part)
    if larger is not None and left == 0:
        raise larger
    return b"".join(parts)


def bytes_of_job_file(path: Path) -> bytes:
    """The bytes of a job file; of a larger file only so many that it is seen to be larger."""
    return bytes_of_file(
        path, LARGEST_JOB_BYTES, "name a job file that ends in .toml. To see the examples: rotary job example"
    )


_STRINGS_AND_REMARKS: Final = re.compile(
    r""""{3}(?:\\.|[^\\])*?"{3}|'{3}.*?'{3}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*""", re.DOTALL
)
_NO_KEY: Final = re.compile(r"[^\w \t.-]+")


def toml_tables(text: str) -> dict[str, Any]:
    """The tables of a TOML text from anywhere, with today's keys.

    Raises ValueError, or RecursionError where it is nested too deep, or Refused where an old key and the new one stand
    side by side.

    A key of many parts takes the reader time and memory by the square of them: a megabyte of it
    would take the machine down, so it is refused before it is read.

    >>> toml_tables("a.b = 1")
    {'a': {'b': 1}}
    """
    if any(part.count(".") > 15 for part in _NO_KEY.split(_STRINGS_AND_REMARKS.sub("", text))):
        raise ValueError("a key has more than 16 parts")
    import tomllib

    return with_new_keys(tomllib.loads(text))


def write_whole(path: Path, data: bytes, shared: bool = False) -> None:
    """Write a file whole or not at all: to a temporary name beside it, flushed, then renamed over it.

    A link is followed, and what it leads to keeps its mode. A new file that is `shared` may be read and written by
    whoever may do so in its folder, whatever the person's own habit is.
    """
    about_to_write(path)
    with file_trouble(path, "written", "name a file in a folder that you can write to"):
        target = Path(os.path.realpath(path))
        if target.is_symlink():
            raise OSError(errno.ELOOP, os.strerror(errno.ELOOP))
        if target.is_dir():
            raise IsADirectoryError
        if target.exists() and not target.is_file():
            _write_into(target, data)
            return
        with _beside(target, data, mode_of(target, shared)) as temporary, second_name(target) as before:
            temporary.replace(target)
            with undo_on_failure(before):
                settle(target.parent)


def mode_of(target: Path, shared: bool = False) -> int | None:
    """The mode that a file is to have: its own where it is there, its folder's where it is shared, else None."""
    with suppress(OSError):
        return stat.S_IMODE(target.stat().st_mode)
    return mode_in(target.parent) if shared else None


def mode_in(folder: Path) -> int | None:
    """The mode of a new file that is open to whoever its folder is open to."""
    with suppress(OSError):
        return stat.S_IMODE(folder.stat().st_mode) & 0o666 | 0o600
    return None


def make_shared(folder: Path) -> None:
    """Make a folder, with those it lies in; it is open to whoever the one around it is open to. Raises OSError.

    The mode is taken over from a folder of ours only, so not where the one around is made here too, or is everybody's.
    """
    if folder.is_dir():
        return
    about_to_write(folder)
    inside = folder.parent.is_dir()
    try:
        folder.mkdir(parents=True)
    except FileExistsError:
        return
    around = folder.parent.stat().st_mode
    if inside and not around & stat.S_ISVTX:
        with suppress(OSError):
            folder.chmod(stat.S_IMODE(around) | 0o700)


def _write_into(target: Path, data: bytes) -> None:
    """Write to a terminal, a pipe that somebody reads, a device; never waits for a reader that is not there."""
    handle = os.open(target, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
    try:
        os.set_blocking(handle, True)
        _all_written(handle, data)
    finally:
        os.close(handle)


def write_new(path: Path, data: bytes) -> bool:
    """Write a file that isn't there yet, whole or not at all; False, and nothing written, where it is there.

    When it returns True the file and its name are on disk. Two writers of one name never mix. It may be read by
    whoever may look into its folder.
    """
    about_to_write(path)
    with (
        file_trouble(path, "written", "choose a folder that you can write to"),
        _beside(path, data, mode_in(path.parent)) as temporary,
    ):
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
        with undo_on_failure(path.unlink):
            settle(path.parent)
        return True


@contextmanager
def _beside(target: Path, data: bytes, mode: int | None) -> Iterator[Path]:
    """A temporary file beside the target, with all its bytes on disk; it is gone in the end, whatever happens."""
    temporary = target.with_name(f".{target.name[:40]}.{os.urandom(6).hex()}.part")
    write_aside(temporary, data, mode)
    try:
        yield temporary
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def write_aside(temporary: Path, data: bytes, mode: int | None) -> None:
    """Write a new file and have its bytes on disk; where that fails, nothing is left. Raises OSError."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(temporary, flags, 0o666 if mode is None else mode)
    try:
        try:
            if mode is not None and hasattr(os, "fchmod"):
                # Some drives know no modes.
                with suppress(OSError):
                    os.fchmod(handle, mode)
            _all_written(handle, data)
            if not _later.get():
                os.fsync(handle)
        finally:
            os.close(handle)
    except BaseException:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
        raise


def _all_written(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]


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
    with file_trouble(folder, "written", "name a folder on a disk that has room"):
        for path in folder.rglob("*"):
            if path.is_file():
                with path.open("rb+") as file:
                    os.fsync(file.fileno())
        for path in (*(path for path in folder.rglob("*") if path.is_dir()), folder):
            settle(path)


def in_new_folder() -> bool:
    """Whether what is written now goes into a folder that nobody knows of yet, so that nothing can stand there."""
    return _later.get()


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
