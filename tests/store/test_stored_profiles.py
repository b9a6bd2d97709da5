"""Keeping: what is saved comes back, nothing is ever written over, and no name leads astray."""

import os
import threading
import unicodedata
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary import files
from rotary.artwork.models import Piece
from rotary.errors import FileTrouble, Refused
from rotary.job import Job, job_from_file
from rotary.store import places
from rotary.store.history import history_of
from rotary.store.index import entries
from rotary.store.places import profile_folder
from rotary.store.profile_names import checked_name, folder_name, same_name, slug, token
from rotary.store.profiles import Damaged, copy, keep, load, load_from, rename


def noted(job: Job, note: str) -> Job:
    return job.model_copy(update={"note": note})


def test_what_is_kept_comes_back(job: Job, store: Path) -> None:
    """The same job under its name, whichever way the name is spelled; the file is a job file by itself."""
    saved = keep(job, "Regatta bottle", store)
    found = load(" regatta  BOTTLE ", store)
    assert (found.profile.job, found.label, found.doubt, found.beside) == (job, "1", "", ())
    assert found.profile.saved.name == "Regatta bottle"
    assert job_from_file(saved.path) == job
    assert load(saved.id, store).version == found.version


def test_no_place_on_this_machine_is_kept(job: Job, store: Path) -> None:
    """A drawing and a font are kept by name alone, whichever way their path was written."""
    piece = {"file": "C:\\mine\\oars.svg", "font": "/fonts/../plain.ttf"}
    tables = {"artwork": job.artwork.model_copy(update={"pieces": (Piece.model_construct(**piece),)})}
    keep(job.model_copy(update=tables), "a", store)
    (kept,) = load("a", store).profile.job.artwork.pieces
    assert (kept.file, kept.font) == ("oars.svg", "plain.ttf")


def test_every_version_stays(job: Job, store: Path) -> None:
    """Keeping again adds a version; the older ones stay to the byte and can be loaded."""
    first = keep(job, "a", store)
    before = first.path.read_bytes()
    assert keep(noted(job, "second"), "a", store).label == "2"
    assert first.path.read_bytes() == before
    assert load("a", store).profile.job.note == "second"
    assert load("a", store, "1").profile.job == job
    with pytest.raises(FileTrouble, match="write 1 or 2"):
        load("a", store, "3")


def test_two_that_save_at_once_both_stand(job: Job, store: Path) -> None:
    """A window that saves over what it did not see is told of the other version, and neither is lost."""
    first = keep(job, "a", store)
    mine = keep(noted(job, "mine"), "a", store, based_on=first.stamp)
    theirs = keep(noted(job, "theirs"), "a", store, based_on=first.stamp)
    assert (mine.conflict, theirs.beside) == ("", ("2",))
    assert "both saved" in theirs.conflict
    assert load("a", store).beside == ("2", "3")
    assert entries(store)[0].beside == ("2", "3")
    assert [past.beside for past in history_of(first.path.parent)] == [True, True, False]


def test_many_that_begin_one_name_begin_one_profile(job: Job, store: Path) -> None:
    """Eight windows that keep a new name at the same moment make eight versions of one profile."""
    notes = [f"note {number}" for number in range(8)]
    threads = [threading.Thread(target=keep, args=(noted(job, note), "a", store)) for note in notes]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    (entry,) = entries(store)
    among = places.versions(store / entry.home)
    assert sorted(load("a", store, version.stamp).profile.job.note for version in among) == notes


def test_drives_without_hard_links_are_served_too(job: Job, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A memory stick that knows no second names still gets whole files and no overwriting."""

    def none(*_: object) -> None:
        raise PermissionError(1, "no links here")

    monkeypatch.setattr(Path, "hardlink_to", none)
    assert [keep(job, "a", store).label for _ in range(3)] == ["1", "2", "3"]
    assert not files.write_new(load("a", store).version.path, b"other")
    assert load("a", store).profile.job == job


def test_a_network_drive_that_loses_an_answer_is_believed(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A link that was made but reported as already there is our own, and counts as written."""
    real = Path.hardlink_to

    def twice(path: Path, target: Path) -> None:
        real(path, target)
        raise FileExistsError(17, "File exists")

    store.mkdir()
    monkeypatch.setattr(Path, "hardlink_to", twice)
    assert files.write_new(store / "a.toml", b"x")
    assert [path.name for path in store.iterdir()] == ["a.toml"]


def test_a_full_disk_leaves_no_half_file(job: Job, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk at the worst moment leaves the profile as it was."""
    saved = keep(job, "a", store)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(FileTrouble, match=r"No space left on device\): make room on this disk"):
        keep(job, "a", store)
    assert list(saved.path.parent.iterdir()) == [saved.path]


HOSTILE = [
    "../../etc/passwd",
    "con",
    "NUL.txt",
    "a/b\\c:d",
    "...name...",
    "🚣🏽‍♀️",
    "Ж 5",
    "ل",
    "x" * 300,
    "a\x1b[31mb",
    "COM1 ",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_names(job: Job, store: Path, name: str) -> None:
    """Slashes, dots, emoji, reserved words, 300 letters: the name is kept, the folder is one plain part."""
    keep(job, name, store)
    (entry,) = entries(store)
    assert entry.name == " ".join(unicodedata.normalize("NFC", name).split())
    assert load(name, store).profile.job == job
    assert (store / entry.home).parent == store
    assert [path.name for path in store.parent.iterdir()] == [store.name]


@given(st.text(max_size=80))
def test_no_name_leads_out_of_the_folder(name: str) -> None:
    """Whatever the name, the folder is one plain part of a path, short, and allowed on any system."""
    part = folder_name(name, token(10))
    assert Path(part).name == part
    assert set(part) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert len(part) < 80


@given(st.text(max_size=60))
def test_unicode_form_and_case_never_tell_two_names_apart(name: str) -> None:
    """A name composed, decomposed or in capitals is the same name, and finds the same folder."""
    forms = {same_name(unicodedata.normalize(form, name)) for form in ("NFC", "NFD")}
    assert len(forms) == 1
    assert {slug(same_name(unicodedata.normalize(form, name))) for form in ("NFC", "NFD")} == {slug(same_name(name))}


def test_names_that_look_alike_in_a_path_stay_two(job: Job, mug: Job, store: Path) -> None:
    """Two names that would be filed alike are two profiles all the same."""
    keep(job, "bottle, green", store)
    keep(mug, "bottle green", store)
    assert load("bottle, green", store).profile.job == job
    assert load("bottle green", store).profile.job == mug


@pytest.mark.parametrize("name", ["", "  ", "../..", "/", "\0", "…", "x" * 401])
def test_a_name_of_nothing_is_refused(name: str) -> None:
    """Without a letter or figure, or without end, there is no name to keep under."""
    with pytest.raises(Refused, match="write a name"):
        checked_name(name)


def test_strangers_files_do_no_harm(job: Job, store: Path) -> None:
    """Letters, empty folders, links and pipes in the store neither stop the list nor stand in it."""
    saved = keep(job, "newer", store)
    (store / "letter.txt").write_text("x", encoding="utf-8")
    (store / "empty").mkdir()
    (saved.path.parent / "0002 copy.toml").write_text("x", encoding="utf-8")
    (store / "broken").mkdir()
    (store / "broken" / "0001.toml").write_bytes(b"\xff[[[")
    if hasattr(os, "mkfifo"):
        (store / "pipe").mkdir()
        os.mkfifo(store / "pipe" / "0001.toml")
    listed = {entry.name: entry for entry in entries(store)}
    assert listed["newer"].label == "1"
    assert "line 1" in listed["broken"].trouble
    assert set(listed) - {"pipe"} == {"newer", "broken"}
    assert entries(store / "none") == []


def test_a_name_that_is_not_kept_gets_the_nearest(job: Job, store: Path) -> None:
    """A slip of the finger is answered with the name that was meant."""
    keep(job, "regatta bottle", store)
    with pytest.raises(FileTrouble, match='did you mean "regatta bottle"'):
        load("regata bottle", store)
    with pytest.raises(FileTrouble, match="rotary profile list"):
        load("zzz", store)


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
    with pytest.raises(FileTrouble, match="--store"):
        keep(job, "a", tmp_path / "file")


def test_a_copy_is_a_profile_of_its_own(job: Job, store: Path) -> None:
    """A copy goes on by itself, and takes no name that another has."""
    keep(job, "a", store)
    copied = copy("a", "b", store)
    keep(noted(job, "b alone"), "b", store)
    assert load("a", store).profile.job == job
    assert load("b", store).profile.saved.id == copied.id != load("a", store).profile.saved.id
    with pytest.raises(Refused, match="another saved job"):
        copy("a", "B", store)


def test_a_renamed_profile_keeps_its_past(job: Job, mug: Job, store: Path) -> None:
    """Another name, the same history; the old name is free again, for another profile."""
    first = keep(job, "a", store)
    rename("a", "b", store)
    assert load("b", store, "1").version.stamp == first.stamp
    keep(mug, "a", store)
    assert load("a", store).profile.job == mug
    assert load("b", store).profile.job == job
    with pytest.raises(Refused, match="another saved job"):
        rename("b", "A", store)


def test_the_last_good_version_is_offered(job: Job, store: Path) -> None:
    """A damaged newest version is told with its reason and its line, and the last good one is named."""
    keep(job, "a", store)
    second = keep(noted(job, "x"), "a", store)
    text = second.path.read_text("utf-8")
    second.path.write_text(text.replace('wall = "0.5 mm"', 'wall = "half"'), "utf-8")
    with pytest.raises(Damaged, match=r"item\.wall: line \d+: .*last good version is 1") as told:
        load("a", store)
    assert told.value.good == "1"
    assert load_from(second.path.parent, told.value.good).profile.job == job
    # Saving goes on from the last good one; the damaged file stays where it is.
    assert keep(noted(job, "y"), "a", store).label == "3"
    assert second.path.exists()


def test_nothing_is_saved_onto_a_newer_format(job: Job, store: Path) -> None:
    """What a newer tool saved is not followed by a version of an older one, which would drop what it doesn't know."""
    saved = keep(job, "a", store)
    later = saved.path.with_name("0002-newerr.toml")
    later.write_text(saved.path.read_text("utf-8").replace("format = 7", "format = 9"), "utf-8")
    assert "newer" in load("a", store).read_only
    for act in (lambda: keep(job, "a", store), lambda: rename("a", "b", store)):
        with pytest.raises(FileTrouble, match="under another name"):
            act()
    assert keep(job, "c", store).label == "1"


def test_profiles_of_the_first_tool_go_on(job: Job, store: Path) -> None:
    """A folder of numbered files of the first format is listed, opened and saved onto."""
    from rotary.job import job_text

    home = store / "spring-mugs"
    home.mkdir(parents=True)
    for number in (1, 2):
        at = datetime(2024, 3, number, tzinfo=UTC).isoformat()
        text = job_text(noted(job, str(number))) + f'\n[saved]\nas = "Spring mugs"\nat = {at}\nby = "rotary 0.0.1"\n'
        (home / f"{number:04d}.toml").write_text(text, "utf-8")
    assert load("spring mugs", store).profile.job.note == "2"
    saved = keep(noted(job, "3"), "Spring mugs", store)
    assert (saved.label, saved.path.parent, saved.beside) == ("3", home, ())


def test_the_memory_of_the_list_may_be_anything(job: Job, store: Path) -> None:
    """Thrown away, damaged or made up, it changes nothing that is listed."""
    keep(job, "a", store)
    keep(job, "b", store)
    right = entries(store)
    index = store / places.INDEX
    for junk in (b"", b"{", b"[]", b'{"layout": 1, "names": [], "homes": 3}', b"[" * 100_000):
        index.write_bytes(junk)
        assert entries(store) == right
    index.unlink()
    index.mkdir()
    assert entries(store) == right


def test_the_list_follows_what_changes(job: Job, store: Path) -> None:
    """Remembered or not, a file that was edited, added or taken away shows in the very next list."""
    saved = keep(job, "a", store)
    old = 1_600_000_000
    for path in (saved.path, saved.path.parent):
        os.utime(path, (old, old))
    assert entries(store) == entries(store)
    assert [entry.note for entry in entries(store)] == [job.note]
    saved.path.write_text(saved.path.read_text("utf-8").replace(job.note, "edited"), "utf-8")
    assert [(entry.note, bool(entry.doubt)) for entry in entries(store)] == [("edited", True)]
    keep(noted(job, "later"), "a", store)
    assert [entry.note for entry in entries(store)] == ["later"]


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
