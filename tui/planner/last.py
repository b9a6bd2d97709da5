"""The last verdict on a job as it is opened: it stands in the first frame, while the core is still loading.

It is stored under a hash of all that it came of: the job, the code, the machines, profiles and readings, the day. Where
any of these differs there is none, and the core's own answer takes its place in any case. The very first start has the
verdict on the worked example that ships with the code, which a test computes anew. No terminal and no core here.
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
from tui.disk.opened_job import first_example
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
SHIPPED: Final = Path(__file__).with_name(f"example{SUFFIX}")
"""The verdict on the worked example where nobody has stored anything yet."""


class LastVerdict:
    """The stored verdict on a job file, or on the example that opens without one."""

    def __init__(self, job: Path) -> None:
        self._path: Path | None = None
        self.verdict: Verdict | None = None
        with suppress(OSError, ValueError):
            says = _says()
            self._path = data_folder("verdicts", FOLDER) / f"{_digest(job, says)}{SUFFIX}"
            self.verdict = stored_verdict(self._path)
            if self.verdict is None and not says and job == first_example():
                self.verdict = stored_verdict(SHIPPED)

    def store(self, verdict: Verdict) -> None:
        """Store the verdict on the job as it was opened; where that can't be, the next start takes longer.

        Words may come out otherwise by a font that is replaced, so that a verdict on them is not stored.
        """
        if self._path is None or verdict.plan is None or any(verdict.words):
            return
        with suppress(OSError, FileTrouble):
            self._path.parent.mkdir(parents=True, exist_ok=True)
            store_verdict(self._path, verdict)
            stored = sorted(self._path.parent.glob(f"*{SUFFIX}"), key=lambda path: path.stat().st_mtime)
            for path in stored[:-MOST_STORED]:
                path.unlink()


def _digest(job: Path, says: list[str]) -> str:
    """What the verdict depends on, in one number; raises OSError or ValueError where that can't be said."""
    libraries = max(Path(entry).stat().st_mtime_ns for entry in sys.path if entry.endswith("site-packages"))
    lines = list(islice(chain(_files(*CODE, profiles()), says), MOST_FILES + 1))
    if len(lines) > MOST_FILES:
        raise ValueError
    facts = (sys.version, f"{libraries}", _today(), f"{job.resolve()}", *lines)
    return hashlib.sha256(
        regular_bytes(job, MOST_BYTES) + "\n".join(facts).encode("utf-8", "surrogatepass")
    ).hexdigest()


def _today() -> str:
    return date.today().isoformat()


def _says() -> list[str]:
    """What a person has stored or set that has a say in a verdict."""
    named = (
        f"{name}={text}"
        for name, text in sorted(os.environ.items())
        if name.startswith("ROTARY_") and name not in ("ROTARY_FOLDER", "ROTARY_MACHINES", "ROTARY_RIGS", FOLDER)
    )
    stores = _files(profile_folder(), machine_folder(), data_folder("beliefs", "ROTARY_BELIEFS"))
    return [*named, *islice(stores, MOST_FILES)]


def _files(*folders: Path) -> Iterator[str]:
    """The files of those folders that are there, each with what may change."""
    for place, folder in enumerate(folders):
        if folder.is_dir():
            yield from (f"{place}:{line}" for line in _listing(str(folder)))


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


def store_verdict(path: Path, verdict: Verdict) -> None:
    """Write a verdict to a file, with its checksum; raises FileTrouble."""
    from tui.planner.process import plain

    data = plain(verdict)
    write_whole(path, hashlib.sha256(data).digest() + data)


def stored_verdict(path: Path) -> Verdict | None:
    """The verdict in a file; None where there is none, or not as it was stored."""
    with suppress(OSError, ValueError, pickle.UnpicklingError):
        stored = regular_bytes(path, MOST_BYTES)
        checked, data = stored[:CHECK_BYTES], stored[CHECK_BYTES:]
        verdict = _Plain(io.BytesIO(data)).load() if hashlib.sha256(data).digest() == checked else None
        return verdict if isinstance(verdict, Verdict) else None
    return None
