"""The last verdict on a job as it is opened: it stands in the first frame, while the core is still loading.

It is stored under a hash of all that it came of: the job, the code, the machines, profiles and readings, the day. Where
any of these differs there is none, and the core's own answer takes its place in any case. No terminal and no core here.
"""

import hashlib
import io
import os
import pickle
import sys
from collections.abc import Iterator
from contextlib import suppress
from datetime import date
from itertools import chain, islice
from pathlib import Path
from types import SimpleNamespace
from typing import Final

from rotary.errors import FileTrouble
from rotary.files import regular_bytes, write_whole
from rotary.shipped import data_folder, machine_folder, profile_folder, profiles
from tui.planner.request import Verdict

MOST_FILES: Final = 4000
"""Where more files than these have a say, looking at all of them would take as long as asking the core."""

MOST_STORED: Final = 20
MOST_BYTES: Final = 4_000_000
FOLDER: Final = "ROTARY_VERDICTS"
CHECK_BYTES: Final = 32
"""A file begins with a checksum of the rest."""

CODE: Final = tuple(Path(__file__).parents[2] / name for name in ("rotary", "tui/planner", "tui/form", "tui/catalogue"))
SUFFIX: Final = ".verdict"


class LastVerdict:
    """The stored verdict on a job file, or on the example that opens without one."""

    def __init__(self, job: Path) -> None:
        self._path: Path | None = None
        self.verdict: Verdict | None = None
        with suppress(OSError, ValueError):
            self._path = data_folder("verdicts", FOLDER) / f"{_digest(job)}{SUFFIX}"
            self.verdict = _verdict(regular_bytes(self._path, MOST_BYTES))

    def store(self, verdict: Verdict) -> None:
        """Store the verdict on the job as it was opened; where that can't be, the next start takes longer.

        Words may come out otherwise by a font that is replaced, so that a verdict on them is not stored.
        """
        if self._path is None or verdict.plan is None or any(verdict.words):
            return
        from tui.planner.process import plain

        with suppress(OSError, FileTrouble):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            data = plain(verdict)
            write_whole(self._path, hashlib.sha256(data).digest() + data)
            stored = sorted(self._path.parent.glob(f"*{SUFFIX}"), key=lambda path: path.stat().st_mtime)
            for path in stored[:-MOST_STORED]:
                path.unlink()


def _digest(job: Path) -> str:
    """What the verdict depends on, in one number; raises OSError or ValueError where that can't be said."""
    named = (
        f"{name}={text}"
        for name, text in sorted(os.environ.items())
        if name.startswith("ROTARY_") and name not in ("ROTARY_FOLDER", "ROTARY_MACHINES", "ROTARY_RIGS", FOLDER)
    )
    libraries = max(Path(entry).stat().st_mtime_ns for entry in sys.path if entry.endswith("site-packages"))
    stores = (profile_folder(), machine_folder(), data_folder("beliefs", "ROTARY_BELIEFS"))
    folders = filter(os.path.isdir, map(str, (*CODE, profiles(), *stores)))
    files = chain.from_iterable(chain((f"{place}:",), _listing(folder)) for place, folder in enumerate(folders))
    lines = list(islice(files, MOST_FILES + 1))
    if len(lines) > MOST_FILES:
        raise ValueError
    facts = (sys.version, f"{libraries}", _today(), f"{job.resolve()}", *named, *lines)
    return hashlib.sha256(
        regular_bytes(job, MOST_BYTES) + "\n".join(facts).encode("utf-8", "surrogatepass")
    ).hexdigest()


def _today() -> str:
    return date.today().isoformat()


def _listing(folder: str) -> Iterator[str]:
    """Name, size and time of each file of a folder, without what a screen or Python stores by itself."""
    with os.scandir(folder) as entries:
        inside = sorted(entries, key=lambda entry: entry.name)
    for entry in inside:
        if entry.name.startswith((".", "__pycache__")):
            continue
        if entry.is_dir():
            yield f"{entry.name}:"
            yield from _listing(entry.path)
        else:
            facts = entry.stat()
            yield f"{entry.name} {facts.st_size} {facts.st_mtime_ns}"


class _Plain(pickle.Unpickler):
    """Reads plain names and values only."""

    def find_class(self, module: str, name: str) -> type:
        """One of the two classes that a stored verdict is made of."""
        kinds = {(kind.__module__, kind.__qualname__): kind for kind in (Verdict, SimpleNamespace)}
        if (module, name) not in kinds:
            raise pickle.UnpicklingError(name)
        return kinds[module, name]


def _verdict(stored: bytes) -> Verdict | None:
    """The verdict in a file's bytes; None where they are not as they were stored."""
    checked, data = stored[:CHECK_BYTES], stored[CHECK_BYTES:]
    if hashlib.sha256(data).digest() != checked:
        return None
    with suppress(pickle.UnpicklingError):
        verdict = _Plain(io.BytesIO(data)).load()
        return verdict if isinstance(verdict, Verdict) else None
    return None
