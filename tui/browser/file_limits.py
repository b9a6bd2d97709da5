"""The one folder whose files a desk in a browser can name; what it keeps, and the program's own files, besides.

The desk asks for file names in many places, and each may be typed. So it is not the places that are held to the
folder but the process: from `confine` on, Python refuses to open anything else, as the system would refuse it, and the
desk says so in its own words. The chooser of drawings shows nothing above the folder either.
"""

import errno
import os
import sys
import sysconfig
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from rotary.files import confine_names

HELD_TO: Final = "ROTARY_HELD_TO"
"""The environment variable that names the folder."""

READ_BY_LIBRARIES: Final = ("/usr", "/lib", "/lib64", "/proc", "/sys", "/dev", "/etc/localtime", "/etc/timezone")
SYSTEM: Final = ("/bin", "/boot", "/dev", "/etc", "/lib", "/lib32", "/lib64", "/proc", "/sbin", "/sys", "/usr")
"""Folders of the system: nobody's drawings lie there, and what lies there may never end."""
NEVER: Final = ("/dev", "/proc", "/sys")

_WRITES: Final = frozenset({"os.mkdir", "os.remove", "os.rmdir", "os.truncate", "os.chmod", "os.chown", "os.utime"})
_PAIRS: Final = frozenset({"os.rename", "os.link", "os.symlink", "shutil.move", "shutil.copyfile"})
_LISTS: Final = frozenset({"os.listdir", "os.scandir"})


class AllowedPaths:
    """Which paths may be read, and which written.

    >>> allowed = AllowedPaths(["/shop/files"], ["/opt/program"])
    >>> allowed.reads("/opt/program/a.py"), allowed.writes("/opt/program/a.py"), allowed.reads("/shop/other/b.svg")
    (True, False, False)
    """

    def __init__(self, both: Iterable[str | Path], only_read: Iterable[str | Path] = ()) -> None:
        self._both = tuple(os.path.realpath(path) for path in both)
        self._read = (*self._both, *(os.path.realpath(path) for path in only_read))

    def reads(self, path: Any) -> bool:
        """Whether it may be read, links followed."""
        return _lies_in(path, self._read)

    def writes(self, path: Any) -> bool:
        """Whether it may be written, links followed."""
        return _lies_in(path, self._both)


class Nameable:
    """Where files lie that a person may name: in these folders, but in none of the system's that one holds.

    >>> nameable = Nameable(["/", "/usr/local/shop"])
    >>> [nameable(f"{folder}/a.svg") for folder in ("/shop", "/dev", "/usr/share", "/usr/local/shop")]
    [True, False, False, True]
    """

    def __init__(self, folders: Iterable[str | Path]) -> None:
        self._folders = tuple(real for path in folders if not _lies_in(real := os.path.realpath(path), NEVER))

    def __call__(self, path: str | Path) -> bool:
        """Whether it may be named, links followed."""
        inside = max((len(folder) for folder in self._folders if _lies_in(path, (folder,))), default=0)
        system = max((len(folder) for folder in SYSTEM if _lies_in(path, (folder,))), default=0)
        return inside > system


def _lies_in(path: Any, roots: tuple[str, ...]) -> bool:
    if not isinstance(path, str | bytes | os.PathLike):
        # An open file or folder, which was looked at when it was opened.
        return True
    real = os.path.realpath(os.fsdecode(path))
    return any(real == root or real.startswith(root.rstrip(os.sep) + os.sep) for root in roots)


def _beside_a_folder(about: tuple[Any, ...]) -> bool:
    """Whether names count from an open folder, which was looked at when it was opened."""
    return isinstance(about[-1], int) and about[-1] > 2


def confine(*jobs: str) -> None:
    """From here on this process opens files of the folder only, of the store, and its own; no way back.

    Without the environment variable nothing is held. `jobs` may be read wherever they lie.
    """
    named = os.environ.get(HELD_TO, "")
    if not named:
        return
    root = Path(__file__).resolve().parents[2]
    kept = tuple(filter(None, (os.environ.get("ROTARY_FOLDER"), os.environ.get("ROTARY_MACHINES"))))
    both = (named, *kept, tempfile.gettempdir(), os.devnull)
    libraries = (sys.prefix, sys.base_prefix, *filter(None, sys.path), *READ_BY_LIBRARIES)
    allowed = AllowedPaths(both, (root, *libraries, *jobs))
    # The font that is installed with the tool is read like a person's own.
    own = (root, sysconfig.get_path("purelib"), sysconfig.get_path("platlib"))
    confine_names(Nameable((named, *kept, tempfile.gettempdir(), *own, *jobs)))

    def watch(event: str, about: tuple[Any, ...]) -> None:
        if event == "open":
            path, _, flags = about
            fine = allowed.writes(path) if flags & (os.O_WRONLY | os.O_RDWR) else allowed.reads(path)
            ends = (path,)
        elif event in _LISTS:
            ends = about[:1]
            fine = about[0] is None or allowed.reads(about[0])
        elif event in _WRITES:
            ends = about[:1]
            fine = _beside_a_folder(about) or allowed.writes(about[0])
        elif event in _PAIRS:
            ends = about[:2]
            fine = _beside_a_folder(about) or all(map(allowed.writes, ends))
        else:
            return
        if not fine:
            raise PermissionError(
                errno.EACCES, f"here you can use only files in the folder {Path(named).name}", str(ends[0])
            )

    sys.addaudithook(watch)
