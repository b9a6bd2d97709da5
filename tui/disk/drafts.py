"""Work that is not saved, kept beside the profiles while it is being done: a crash or a closed window loses nothing.

::

    <folder of profiles>/.drafts/3f9a1c07.json     what stands on one desk, written whole whenever typing rests
                                 3f9a1c07.lock     held for as long as that program lives
                                 forms/NAME.json   what was typed into another form and not saved yet

A draft whose lock nobody holds was left behind; the next program that starts offers it. No terminal in here.
"""

import json
import os
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import IO, Final, NamedTuple

from rotary.errors import FileTrouble
from rotary.files import is_there, regular_bytes, write_whole
from tui.form.fields import JobTables

FOLDER: Final = ".drafts"
DROPPED: Final = "dropped"
MOST_DROPPED: Final = 10
"""So many drafts that nobody wanted are kept all the same: a finger may slip."""

REST_S: Final = 0.25
"""How long typing rests before a draft is written."""

LATEST_S: Final = 1.5
"""While somebody types without a rest, one is written this often."""

LARGEST_BYTES: Final = 2_000_000


class LeftDraft(NamedTuple):
    """A draft that was left behind: its file, what it calls the item, when it was written, what it holds."""

    path: Path
    name: str
    at_s: float
    state: JobTables


class Drafts:
    """The draft of one desk, and those that others left behind; or of another form, which has a name."""

    def __init__(self, profiles: Path, form: str = "") -> None:
        self.folder = profiles / FOLDER / "forms" if form else profiles / FOLDER
        self.path = self.folder / f"{form or os.urandom(8).hex()}.json"
        self._lock: IO[bytes] | None = None
        self._state: JobTables | None = None
        self._came_s = self._first_s = 0.0
        self._wake = threading.Condition()
        self._writing = threading.Lock()
        self._thread: threading.Thread | None = None
        self._ended = False
        self.trouble = ""

    # -- one's own

    def keep(self, state: JobTables) -> None:
        """Have this on disk soon; what is kept later takes its place."""
        with self._wake:
            self._came_s = time.monotonic()
            if self._state is None:
                self._first_s = self._came_s
            self._state = state
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="drafts", daemon=True)
                self._thread.start()
            self._wake.notify()

    def texts(self) -> dict[str, str]:
        """What was left in this form, by field."""
        left = _read(self.path)
        found = left.state.get("texts") if left is not None else None
        return {str(key): str(text) for key, text in found.items()} if isinstance(found, dict) else {}

    def keep_texts(self, texts: Mapping[str, str]) -> None:
        """Have what stands in this form on disk soon; nothing stands there any more: have nothing."""
        if any(texts.values()):
            self.keep({"texts": dict(texts)})
        else:
            self.clear()

    def flush(self) -> None:
        """Have on disk now what is still to be written."""
        with self._writing:
            with self._wake:
                state, self._state = self._state, None
            if state is not None:
                self._write(state)

    def clear(self) -> None:
        """There is nothing unsaved any more."""
        with self._writing:
            with self._wake:
                self._state = None
            with suppress(OSError):
                self.path.unlink(missing_ok=True)

    def end(self) -> None:
        """The program ends; the draft stays if there is one."""
        self.flush()
        with self._wake:
            self._ended = True
            self._wake.notify()
        if self._lock is not None:
            self._lock.close()
            self._lock = None
            if not is_there(self.path):
                with suppress(OSError):
                    self.path.with_suffix(".lock").unlink(missing_ok=True)

    def _work(self) -> None:
        while True:
            with self._wake:
                while not self._ended:
                    if self._state is None:
                        self._wake.wait()
                        continue
                    now = time.monotonic()
                    due_s = min(self._came_s + REST_S, self._first_s + LATEST_S)
                    if due_s <= now:
                        break
                    self._wake.wait(due_s - now)
                if self._ended:
                    return
            self.flush()

    def _write(self, state: JobTables) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if self._lock is None:
                self._lock = _locked(self.path.with_suffix(".lock"))
            write_whole(self.path, json.dumps({**state, "at_s": time.time()}, default=str).encode())
            self.trouble = ""
        except (OSError, FileTrouble) as trouble:
            # Saving itself says what is wrong with the disk; a draft is only a net below it.
            self.trouble = str(trouble)

    # -- those of others

    def left_behind(self) -> list[LeftDraft]:
        """Drafts of programs that have ended, the newest first."""
        found: list[LeftDraft] = []
        try:
            paths = [path for path in self.folder.iterdir() if path.suffix == ".json"]
        except OSError:
            return []
        for path in paths:
            lock = _locked(path.with_suffix(".lock"))
            if lock is None:
                continue
            lock.close()
            if left := _read(path):
                found.append(left)
        return sorted(found, key=lambda left: -left.at_s)

    def drop(self, left: LeftDraft) -> None:
        """Nobody wants it; the last few are kept aside, for who changes their mind."""
        aside = self.folder / DROPPED
        with suppress(OSError):
            aside.mkdir(exist_ok=True)
            left.path.replace(aside / left.path.name)
            for old in sorted(aside.iterdir(), key=lambda path: path.stat().st_mtime)[:-MOST_DROPPED]:
                old.unlink()
        self._unlock(left)

    def taken(self, left: LeftDraft) -> None:
        """It stands on this desk now, and in this desk's own draft: the old one goes."""
        self.flush()
        if is_there(self.path):
            with suppress(OSError):
                left.path.unlink(missing_ok=True)
            self._unlock(left)

    def _unlock(self, left: LeftDraft) -> None:
        with suppress(OSError):
            left.path.with_suffix(".lock").unlink(missing_ok=True)


def _read(path: Path) -> LeftDraft | None:
    """A draft; one that can't be read stays where it is."""
    try:
        data = regular_bytes(path, LARGEST_BYTES)
        if len(data) > LARGEST_BYTES:
            return None
        state = json.loads(data)
        return LeftDraft(path, str(state.get("name", "")) or "an item without a name", float(state["at_s"]), state)
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _locked(path: Path) -> IO[bytes] | None:
    """The lock's file, held until it is closed or its program ends however it may; None where another holds it."""
    file = None
    try:
        file = path.open("ab")
        if os.name == "nt":
            import msvcrt

            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]
        else:
            import fcntl

            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        if file is not None:
            file.close()
        return None
    return file
