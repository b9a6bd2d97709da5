"""Profiles: what is kept comes back, nothing is ever written over, and no name leads out of the folder."""

import threading
import tomllib
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary import files
from rotary.errors import FileTrouble, Refused
from rotary.job import Job, job_from_file
from rotary.profile import Kept, folder_name, keep, kept, load, profile_folder
from rotary.shipped import examples

NOW = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def job() -> Job:
    return job_from_file(examples()["regatta-bottle"])


def test_what_is_kept_comes_back(job: Job, tmp_path: Path) -> None:
    """The same job, under its name, with when it was kept; the file is a job file by itself."""
    done = keep(job, "Regatta bottle", tmp_path, NOW)
    entry, again = load("regatta BOTTLE", tmp_path)
    assert (entry, again) == (done, job)
    assert entry == Kept("Regatta bottle", 1, "2026-05-01T09:30:00+00:00", tmp_path / "regatta-bottle" / "0001.toml")
    assert job_from_file(done.path) == job
    assert tomllib.loads(done.path.read_text("utf-8"))["kept"]["as"] == "Regatta bottle"


def test_every_version_stays(job: Job, tmp_path: Path) -> None:
    """Keeping again adds a version; the older ones stay as they were and can be loaded."""
    other = job.model_copy(update={"note": "second"})
    first = keep(job, "a", tmp_path, NOW)
    before = first.path.read_bytes()
    assert keep(other, "a", tmp_path, NOW).version == 2
    assert first.path.read_bytes() == before
    assert load("a", tmp_path)[1] == other
    assert load("a", tmp_path, 1)[1] == job
    with pytest.raises(FileTrouble, match="write one of 1, 2"):
        load("a", tmp_path, 3)


def test_keeping_at_the_same_time_loses_nothing(job: Job, tmp_path: Path) -> None:
    """Several windows that keep at once each get a version of their own."""
    notes = [f"note {number}" for number in range(8)]
    threads = [
        threading.Thread(target=keep, args=(job.model_copy(update={"note": note}), "a", tmp_path, NOW))
        for note in notes
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(load("a", tmp_path, number)[1].note for number in range(1, 9)) == notes
    assert sorted(path.name for path in (tmp_path / "a").iterdir()) == [f"{number:04d}.toml" for number in range(1, 9)]


def test_drives_without_hard_links_are_served_too(job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A memory stick that knows no second names still gets whole files and no overwriting."""

    def none(*_: object) -> None:
        raise PermissionError(1, "no links here")

    monkeypatch.setattr(Path, "hardlink_to", none)
    assert [keep(job, "a", tmp_path, NOW).version for _ in range(3)] == [1, 2, 3]
    assert load("a", tmp_path, 2)[1] == job


def test_a_crash_while_writing_leaves_no_half_file(job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk at the worst moment leaves the folder as it was."""
    keep(job, "a", tmp_path, NOW)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(FileTrouble, match="No space left"):
        keep(job, "a", tmp_path, NOW)
    assert [path.name for path in (tmp_path / "a").iterdir()] == ["0001.toml"]


def test_names_that_would_share_a_folder_are_told_apart(job: Job, tmp_path: Path) -> None:
    """Two names that file alike are two items, and the second is refused rather than mixed in."""
    keep(job, "bottle, green", tmp_path, NOW)
    with pytest.raises(Refused, match="differs more"):
        keep(job, "bottle green", tmp_path, NOW)


@pytest.mark.parametrize("name", ["", "  ", "../..", "/", "\0", "…"])
def test_a_name_of_nothing_is_refused(name: str) -> None:
    """Without a letter or figure there is no name to file under."""
    with pytest.raises(Refused, match="write a name"):
        folder_name(name)


@given(st.text())
def test_no_name_leads_out_of_the_folder(name: str) -> None:
    """Whatever the name, the folder is one plain part of a path, short, and allowed on any system."""
    try:
        part = folder_name(name)
    except Refused:
        return
    assert Path(part).name == part
    assert not set(part) & set('/\\:*?"<>|. \0')
    assert len(part.encode()) < 250
    assert part not in ("con", "nul", "com1")


def test_the_newest_profile_is_listed_first_and_odd_files_do_no_harm(job: Job, tmp_path: Path) -> None:
    """Strangers' files in the folder neither stop the list nor stand in it; a broken profile is shown as such."""
    keep(job, "older", tmp_path, NOW)
    keep(job, "newer", tmp_path, NOW.replace(year=2027))
    (tmp_path / "letter.txt").write_text("x", encoding="utf-8")
    (tmp_path / "empty").mkdir()
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "0001.toml").write_bytes(b"\xff[[[")
    assert [(entry.name, entry.at[:4]) for entry in kept(tmp_path)] == [
        ("newer", "2027"),
        ("older", "2026"),
        ("broken", ""),
    ]
    assert kept(tmp_path / "none") == []


def test_a_name_that_is_not_kept_gets_the_nearest(job: Job, tmp_path: Path) -> None:
    """A slip of the finger is answered with the name that was meant."""
    keep(job, "regatta bottle", tmp_path, NOW)
    with pytest.raises(FileTrouble, match='did you mean "regatta bottle"'):
        load("regata bottle", tmp_path)
    with pytest.raises(FileTrouble, match="rotary kept"):
        load("zzz", tmp_path)


def test_the_folder_is_the_one_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An option wins over the environment, the environment over the usual place."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "b"))
    assert profile_folder(str(tmp_path / "a")) == tmp_path / "a"
    assert profile_folder() == tmp_path / "b"
    monkeypatch.delenv("ROTARY_FOLDER")
    assert profile_folder().name == "profiles"


def test_a_folder_that_can_not_be_made_is_named(job: Job, tmp_path: Path) -> None:
    """A file where the folder should be: a sentence, not an error of the system."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(FileTrouble, match="--folder"):
        keep(job, "a", tmp_path / "file", NOW)


def test_a_file_is_replaced_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is there stays until the new one is complete; links are followed, other names kept."""
    target, link = tmp_path / "card.txt", tmp_path / "link.txt"
    target.write_text("old", encoding="utf-8")
    link.symlink_to(target)
    files.write_whole(link, b"new")
    assert (target.read_text("utf-8"), link.is_symlink()) == ("new", True)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(FileTrouble, match=r"card\.txt can't be written"):
        files.write_whole(target, b"half")
    assert target.read_text("utf-8") == "new"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["card.txt", "link.txt"]
    with pytest.raises(FileTrouble, match="is a folder"):
        files.write_whole(tmp_path, b"")
