"""One profile in trouble, or a disk that fails in the middle, stops nothing else, and nothing is lost."""

import errno
import os
import shutil
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

import pytest

from rotary.artwork.models import Piece
from rotary.errors import FileTrouble, RotaryError
from rotary.job import Job
from rotary.machine.lookup import add_machine, machine_names, rename_machine
from rotary.passes.learning.depth import DepthReading
from rotary.services.profiles import SaveWish, save_job
from rotary.store import history, places
from rotary.store.additions import add_note
from rotary.store.depths import add_depths, depth_readings
from rotary.store.index import entries
from rotary.store.logbook import log, logbook, run_of
from rotary.store.profiles import Saved, copy, keep, load, rename
from rotary.store.readings import readings_in
from rotary.store.transfer import export, preview, take
from tui.disk import settings
from tui.disk.drafts import Drafts

# -- one profile that can't be read


def closed(monkeypatch: pytest.MonkeyPatch, *paths: Path, number: int = errno.EACCES) -> None:
    """Have these files and folders, and all in them, fail as if another had closed them, or the disk were bad."""
    real = {"open": os.open, "listdir": os.listdir, "scandir": os.scandir}

    def guarded(name: str) -> Callable[..., Any]:
        def call(path: Any = ".", *rest: Any, **named: Any) -> Any:
            if isinstance(path, str | os.PathLike) and any(Path(path).is_relative_to(one) for one in paths):
                raise OSError(number, os.strerror(number), str(path))
            return real[name](path, *rest, **named)

        return call

    for name in real:
        monkeypatch.setattr(os, name, guarded(name))


@pytest.fixture
def two(job: Job, mug: Job, store: Path) -> tuple[Saved, Saved]:
    keep(job, "Bottle", store)
    return keep(job.model_copy(update={"note": "second"}), "Bottle", store), keep(mug, "Mug", store)


@pytest.mark.parametrize("number", [errno.EACCES, errno.EIO])
@pytest.mark.parametrize("what", ["version", "folder", "both copies"])
def test_the_other_profiles_go_on(
    what: str, number: int, two: tuple[Saved, Saved], job: Job, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list names the one in trouble; the others are saved, noted, gone back, exported, and mending goes past it."""
    bottle, mug = two
    home = bottle.path.parent
    shut = {
        "version": [bottle.path],
        "folder": [home],
        "both copies": [bottle.path, places.spare_of(bottle.path)],
    }[what]
    closed(monkeypatch, *shut, number=number)
    listed = {entry.home: entry for entry in entries(store)}
    assert len(listed) == 2
    assert listed[home.name].trouble
    assert not listed[mug.path.parent.name].trouble
    add_note(mug.path.parent, "looked at")
    keep(load("Mug", store).profile.job, "Mug", store)
    history.restore(mug.path.parent, "1")
    assert keep(job, "Another", store).label == "1"
    log(run_of(load("Mug", store), {"outcome": "clear"}), store)
    assert len(logbook(store).runs) == 1
    repair = history.mend(store)
    assert all(home.name in trouble for trouble in repair.troubles)
    assert len(repair.troubles) == (0 if what == "version" else 1)
    assert {entry.name for entry in entries(store)} >= {"Mug", "Another"}
    monkeypatch.undo()
    assert not any(entry.trouble for entry in entries(store)), "remembered though it is over"


def test_the_spare_takes_the_place_of_what_cannot_be_read(
    two: tuple[Saved, Saved], store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Opened from its second copy at once, saved on top of, mended for good; the first is set aside."""
    bottle, _ = two
    inode = bottle.path.stat().st_ino
    closed(monkeypatch, bottle.path, number=errno.EIO)
    assert load("Bottle", store).profile.job.note == "second"
    assert add_note(bottle.path.parent, "seen").label == "3"
    repair = history.mend(store)
    monkeypatch.undo()
    assert [one.label for one in repair.done] == ["2"]
    assert (store / places.ASIDE / f"{bottle.path.parent.name}-{bottle.path.name}").stat().st_ino == inode
    assert load("Bottle", store, "2").profile.job.note == "second"
    assert not any(entry.trouble for entry in entries(store))


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
@pytest.mark.parametrize("mode", [0o755, 0o775, 0o700, 0o2770])
def test_colleagues_can_read_what_is_saved(mode: int, job: Job, store: Path) -> None:
    """Files and folders are as open as the store is, whatever the habit of who saves."""
    store.mkdir()
    store.chmod(mode)
    before = os.umask(0o077)
    try:
        saved = keep(job, "Bottle", store)
        log(run_of(load("Bottle", store), {"outcome": "clear"}), store)
        add_depths([DepthReading(passes=10, depth_um=18.0)], store)
        entries(store)
    finally:
        os.umask(before)
    for path in store.rglob("*"):
        has = stat.S_IMODE(path.stat().st_mode) & 0o777
        assert has == (mode & 0o777 if path.is_dir() else mode & 0o666), path
    assert saved.path.exists()


# -- every call that the system may refuse

CALLS: Final = (
    "stat", "lstat", "listdir", "scandir", "open", "read", "fstat", "write", "fsync", "link", "rename", "replace",
    "mkdir", "unlink", "rmdir", "chmod", "fchmod",
)  # fmt: skip


class Looked:
    """An entry of a folder whose own questions may fail too."""

    def __init__(self, entry: os.DirEntry[str], fail: Callable[[str], None]) -> None:
        self.entry, self.fail, self.name, self.path = entry, fail, entry.name, entry.path

    def stat(self, **named: Any) -> os.stat_result:
        self.fail(self.path)
        return self.entry.stat(**named)

    def is_dir(self, **named: Any) -> bool:
        self.fail(self.path)
        return self.entry.is_dir(**named)

    def is_file(self, **named: Any) -> bool:
        self.fail(self.path)
        return self.entry.is_file(**named)

    def __fspath__(self) -> str:
        return self.path


class Listed(list[Looked]):
    def __enter__(self) -> "Listed":
        return self

    def __exit__(self, *_: object) -> None:
        pass


@contextmanager
def failing(folder: Path, at: int, number: int) -> Iterator[list[int]]:
    """Let call number `at` of all that ask or change something in the folder fail with this error."""
    count, handles = [0], set()
    real: dict[str, Callable[..., Any]] = {name: getattr(os, name) for name in CALLS}

    def fail(path: str) -> None:
        count[0] += 1
        if count[0] == at:
            raise OSError(number, os.strerror(number), path)

    def guarded(name: str) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            first = arguments[0] if arguments else "."
            ours = first in handles if isinstance(first, int) else str(folder) in os.fspath(first)
            if ours:
                fail(str(first))
            answer = real[name](*arguments, **named)
            if name == "open" and ours:
                handles.add(answer)
            if name == "scandir" and ours:
                with answer as found:
                    return Listed(Looked(entry, fail) for entry in found)
            return answer

        return call

    try:
        for name in CALLS:
            setattr(os, name, guarded(name))
        yield count
    finally:
        for name, function in real.items():
            setattr(os, name, function)


def _sent(store: Path, _: Job) -> None:
    target = store.parent / "sent.zip"
    export([], store, target, over=True)
    take(preview(target, store / "other"), store / "other")


def _drafted(store: Path, _: Job) -> None:
    drafts = Drafts(store)
    drafts.keep({"name": "a"})
    drafts.flush()
    for left in drafts.left_behind():
        drafts.taken(left)
        drafts.drop(left)
    drafts.end()


def _set(store: Path, _: Job) -> None:
    settings.keep(settings.read(store), store)


def _machines(store: Path, _: Job) -> None:
    add_machine("new", store / "rigs")
    rename_machine("new", "newer", store / "rigs")
    machine_names(store / "rigs")


VERBS: Final[dict[str, Callable[[Path, Job], object]]] = {
    "list": lambda store, _: entries(store),
    "save": lambda store, job: keep(job.model_copy(update={"note": "new"}), "Bottle", store),
    "mend": lambda store, _: history.mend(store),
    "go back": lambda store, _: history.restore(_home(store), "1"),
    "begin": lambda store, job: keep(job, "Another", store),
    "note": lambda store, _: add_note(_home(store), "seen"),
    "past": lambda store, _: history.history("Bottle", store),
    "discard": lambda store, _: history.discard("Bottle", store),
    "bin": lambda store, _: history.bin_entries(store),
    "take back": lambda store, _: history.restore_from_bin("Mug", store),
    "copy": lambda store, _: copy("Bottle", "Copied", store),
    "rename": lambda store, _: rename("Bottle", "Renamed", store),
    "log": lambda store, _: log(run_of(load("Bottle", store), {"outcome": "clear"}), store),
    "logbook": lambda store, _: logbook(store),
    "depths": lambda store, _: (add_depths([DepthReading(passes=9, depth_um=18.0)], store), depth_readings(store)),
    "readings": lambda store, _: readings_in(store),
    "send": _sent,
    "drafts": _drafted,
    "settings": _set,
    "rigs": _machines,
}


def _home(store: Path) -> Path:
    return store / HOME[0]


HOME: list[str] = []
"""The name of the folder of the profile that the verbs work on."""


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory, job: Job, mug: Job) -> Path:
    """A store with two versions of one profile, another in the bin, a run, and a version that can't be opened."""
    store = tmp_path_factory.mktemp("filled") / "store"
    first = keep(job, "Bottle", store)
    keep(job.model_copy(update={"note": "second"}), "Bottle", store)
    log(run_of(load("Bottle", store), {"outcome": "clear"}), store)
    keep(mug, "Mug", store)
    history.discard("Mug", store)
    (first.path.parent / "0003-aaaaaa.toml").write_text("spoiled", "utf-8")
    HOME[:] = [first.path.parent.name]
    return store


def _versions(store: Path) -> set[bytes]:
    return {path.read_bytes() for path in store.rglob("*.toml") if path.is_file()}


def _every_call(verb: str, filled: Path, folder: Path, job: Job, numbers: tuple[int, ...]) -> None:
    """Each call of a verb fails in turn."""
    at = 1
    while True:
        store = folder / f"store{at}"
        shutil.copytree(filled, store)
        before = _versions(store)
        with failing(store, at, numbers[at % len(numbers)]) as count, suppress(RotaryError):
            VERBS[verb](store, job)
        assert before <= _versions(store), f"{verb}: lost at call {at}"
        entries(store)
        shutil.rmtree(store)
        if count[0] < at:
            return
        at += 1


NUMBERS: Final = (errno.EIO, errno.ENOENT, errno.EACCES, errno.ENOTDIR)


@pytest.mark.slow
@pytest.mark.parametrize("verb", VERBS)
def test_every_call_that_fails_ends_in_a_sentence(verb: str, filled: Path, tmp_path: Path, job: Job) -> None:
    """Another's discard, a bad sector, a closed folder at any moment: told, or of no matter; no version is lost.

    Each single call of every verb fails with one of the errors; ``FAILURES=4`` in the environment tries it with each.
    """
    first = list(VERBS).index(verb)
    for shift in range(first, first + int(os.environ.get("FAILURES", "1"))):
        numbers = NUMBERS[shift % 4 :] + NUMBERS[: shift % 4]
        _every_call(verb, filled, tmp_path / str(shift), job, numbers)


@pytest.mark.parametrize("where", ["listed", "looked at", "gone back to"])
def test_another_may_throw_it_away_at_any_moment(
    where: str, two: tuple[Saved, Saved], job: Job, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A profile that goes to the bin between two looks is no longer there; unrelated saves go on."""
    bottle, _ = two
    home = bottle.path.parent
    if where == "gone back to":
        real = places.versions
        looks: list[Path] = []

        def versions(path: Path) -> list[places.Version]:
            looks.append(path)
            if len(looks) == 2:
                shutil.move(home, store.parent / "away")
            return real(path)

        monkeypatch.setattr(places, "versions", versions)
        with pytest.raises(FileTrouble):
            history.restore(home, "1")
        return
    name = "homes" if where == "listed" else "label"
    from rotary.store import index

    real_one: Callable[..., Any] = getattr(index, name)

    def gone(*arguments: Any) -> Any:
        answer = list(real_one(*arguments)) if name == "homes" else real_one(*arguments)
        if home.exists():
            shutil.move(home, store.parent / "away")
        return answer

    monkeypatch.setattr(index, name, gone)
    assert keep(job, "Unrelated", store).label == "1"
    monkeypatch.undo()
    assert {entry.name for entry in entries(store)} == {"Mug", "Unrelated"}


@pytest.mark.parametrize("name", ["9" * 500 + ".svg", "a\0b.svg"])
def test_a_drawing_that_no_system_could_hold_is_no_reason_to_lose_a_job(name: str, job: Job, store: Path) -> None:
    """A job whose drawing is not there is saved all the same, whatever its name is."""
    piece = Piece(file=name)
    lost = job.model_copy(update={"artwork": job.artwork.model_copy(update={"pieces": (piece,)})})
    saved = save_job(lost, None, SaveWish("lost"), store, store.parent)
    assert saved.path.is_file()
