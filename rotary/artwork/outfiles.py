"""Several files written whole or not at all, never over what is not ours."""

import os
import re
from collections.abc import Iterable, Mapping
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Final
from uuid import uuid4

from rotary.errors import FileTrouble, brief
from rotary.files import is_there, regular_file, told, write_whole

MADE_BY: Final = "drawn by rotary"
"""In every file's own description: what bears it may be replaced, nothing else."""

_LOOKED_AT_BYTES: Final = 65_536


def write_all_bytes(files: Mapping[Path, bytes], sources: Iterable[Path] = ()) -> tuple[Path, ...]:
    """Write every file or none: all go to temporary names first, then all are renamed; the paths written.

    A file that this program did not make is never replaced, a source never at all. Raises FileTrouble.
    """
    taken = {path.resolve() for path in sources}
    for path in files:
        if path.resolve() in taken:
            raise FileTrouble(f"{brief(path.name)} is what is read; choose another folder to write to")
        if is_there(path) and not is_ours(path):
            raise FileTrouble(
                f"{brief(path.name)} is there already and was not made here; move it, or choose another folder"
            )
    with ExitStack() as waiting:
        ready: list[tuple[Path, Path]] = []
        for path, data in files.items():
            with told(path.parent, "made", "choose a folder that you may write to"):
                path.parent.mkdir(parents=True, exist_ok=True)
            beside = path.with_name(f".{uuid4().hex}{path.suffix}")
            waiting.callback(_gone, beside)
            write_whole(beside, data)
            ready.append((beside, path))
        for beside, path in ready:
            with told(path, "written", "choose a folder that you may write to"):
                beside.replace(path)
    return tuple(files)


def file_stem(name: str) -> str:
    """A name that every file system takes.

    >>> file_stem("Heron / 2026"), file_stem("..")
    ('heron-2026', 'artwork')
    """
    return re.sub(r"[^\w]+", "-", name.lower()).strip("-")[:60] or "artwork"


def _gone(path: Path) -> None:
    with suppress(OSError):
        path.unlink(missing_ok=True)


def is_ours(path: Path) -> bool:
    """Whether a file says, near its beginning or its end, that it was made here."""
    try:
        with regular_file(path) as file:
            if MADE_BY.encode() in file.read(_LOOKED_AT_BYTES):
                return True
            file.seek(max(os.fstat(file.fileno()).st_size - _LOOKED_AT_BYTES, 0))
            return MADE_BY.encode() in file.read(_LOOKED_AT_BYTES)
    except OSError:
        return False
