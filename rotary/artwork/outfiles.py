"""Whose a file is: what was written here says so in itself, and nothing else is ever written over unasked."""

import os
import re
import zlib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final, NamedTuple
from urllib.parse import quote, unquote

from rotary.errors import FileTrouble, Taken, brief, listing
from rotary.files import MADE_BY as MADE_BY
from rotary.files import asks_first, is_file, is_folder, is_there, may_be_named, regular_file, write_whole

_LOOKED_AT_BYTES: Final = 65_536
_ALSO_OURS: Final = re.compile(rb'\A\{\s*"job": \{\s*"note":|/Creator \(rotary\)|True size\. \(rotary\)')
"""A plan, which has no room for a remark, and papers of earlier versions."""
_MARK: Final = re.compile(rf"{MADE_BY}: of ([\w.~%-]*) for ([\w.~%-]*) as ([\w.~%-]+)\)".encode())
_PNG_HEAD_BYTES: Final = 33  # signature and the first chunk, which has to come first
_FILES: Final = (
    ".svg", ".dxf", ".png", ".pdf", ".html", ".htm", ".txt", ".csv", ".toml", ".json", ".jpg", ".jpeg", ".tif", ".zip",
)  # fmt: skip


class Mark(NamedTuple):
    """What a file of a set says of itself: its set, the item that it is for, under which name it was written."""

    of: str
    item: str
    name: str


def file_stem(name: str) -> str:
    """A name that every file system takes, with room for what follows it: 180 bytes at most.

    >>> file_stem("Heron / 2026"), file_stem(".."), len(file_stem("\U00020000" * 60))
    ('heron-2026', 'artwork', 45)
    """
    short = re.sub(r"[^\w]+", "-", name.lower()).strip("-")[:60]
    return short.encode()[:180].decode(errors="ignore") or "artwork"


def is_ours(path: Path) -> bool:
    """Whether a file says, near its beginning or its end, that it was made here; no where it can't be read."""
    try:
        return carries_our_mark(path)
    except (OSError, ValueError):
        return False


def carries_our_mark(path: Path) -> bool:
    """As `is_ours`; raises OSError where the file can't be read, so that nothing is known of it."""
    return any(MADE_BY.encode() in part or _ALSO_OURS.search(part) for part in _ends_of(path))


def mark_of(path: Path) -> Mark | None:
    """What a file says of the set that it belongs to; None where it says nothing. Raises OSError."""
    for part in _ends_of(path):
        if found := _MARK.search(part):
            return Mark(*(unquote(word.decode("ascii", "replace")) for word in found.groups()))
    return None


def _ends_of(path: Path) -> tuple[bytes, ...]:
    with regular_file(path) as file:
        first = file.read(_LOOKED_AT_BYTES)
        file.seek(max(os.fstat(file.fileno()).st_size - _LOOKED_AT_BYTES, 0))
        return first, file.read(_LOOKED_AT_BYTES)


def marked(data: bytes, mark: Mark) -> bytes:
    """A file with its mark in it: in its own description, in a remark of its own, or on a last line.

    >>> marked(b"<desc>a page (drawn by rotary)</desc>", Mark("heron", "mug", "a b.svg"))
    b'<desc>a page (drawn by rotary: of heron for mug as a%20b.svg)</desc>'
    """
    of, item, name = (quote(word, safe="") for word in mark)
    says = f"({MADE_BY}: of {of} for {item} as {name})"
    if mark.name.lower().endswith(".png"):
        chunk = b"tEXtSoftware\0" + says.encode()
        whole = (len(chunk) - 4).to_bytes(4, "big") + chunk + zlib.crc32(chunk).to_bytes(4, "big")
        return data[:_PNG_HEAD_BYTES] + whole + data[_PNG_HEAD_BYTES:]
    if mark.name.lower().endswith(".txt"):
        return data + f"{says}\n".encode()
    return data.replace(f"({MADE_BY})".encode(), says.encode(), 1)


def refuse_folder(folder: Path, endings: Sequence[str] = ()) -> None:
    """Raises FileTrouble where nothing could be written into a folder of this name; asked before long work.

    `endings` are those of single files that can be asked for in its place.
    """
    shown, alone = brief(folder, 80), f", or a file that ends with {listing(endings, 'or')}" if endings else ""
    if folder.suffix.lower() in _FILES and not is_folder(folder):
        raise FileTrouble(f"{shown} is a file name: name a folder to write into, like 'files'{alone}")
    if is_there(folder) and not is_folder(folder):
        raise FileTrouble(f"{shown} is a file, not a folder: name a folder to write into")
    around = folder
    while not is_there(around) and around != around.parent:
        around = around.parent
    if not may_be_named(folder) or not is_folder(around) or not os.access(around, os.W_OK | os.X_OK):
        raise FileTrouble(f"no file can be written into {shown}: choose a folder that you can write to")


def refuse_file(path: Path, sources: Iterable[Path] = (), over: bool = False) -> None:
    """Raises FileTrouble where a file can't, or must not, be written there; asked before long work, and before writing.

    A link is followed. What was not made here is written over only where the person said so with `over`, and what was
    made here too, where this process asks first.
    """
    for source in sources:
        if os.path.realpath(path) == os.path.realpath(source) or _same(path, source):
            raise FileTrouble(f"{brief(path.name, 80)} is the file you read from: name another file")
    if is_folder(path):
        raise FileTrouble(f"{brief(path.name or path, 80)} is a folder: name a file in it")
    if not is_folder(path.parent):
        raise FileTrouble(f"there is no folder {brief(path.parent, 120)}: name a file in a folder that exists")
    if not may_be_named(path) or not os.access(path.parent, os.W_OK | os.X_OK):
        raise FileTrouble(f"{brief(path, 120)} can't be written: name a file in a folder that you can write to")
    if is_file(path) and not over and (asks_first() or not is_ours(path)):
        whose = "" if is_ours(path) else " that may be your own"
        raise Taken(f"there is already a file {brief(path, 120)}{whose}: name another file")


def _same(path: Path, source: Path) -> bool:
    try:
        return path.samefile(source)
    except (OSError, ValueError):
        return False


def write_file(path: Path, data: bytes, sources: Iterable[Path] = (), over: bool = False) -> None:
    """Write one file that a person named, whole or not at all; raises FileTrouble, see `refuse_file`."""
    refuse_file(path, sources, over)
    write_whole(path, data)
