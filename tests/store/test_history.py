"""The past of a profile: going back, choosing, the bin, spares and mending; nothing is ever gone."""

import shutil
from pathlib import Path

import pytest

from rotary.errors import FileTrouble
from rotary.job import Job
from rotary.store import history, places, spare
from rotary.store.additions import prove
from rotary.store.changes import profile_changes
from rotary.store.index import entries
from rotary.store.profiles import Saved, keep, load


def noted(job: Job, note: str) -> Job:
    return job.model_copy(update={"note": note})


@pytest.fixture
def three(job: Job, store: Path) -> list[Saved]:
    """Three versions of one profile."""
    return [keep(noted(job, note), "a", store) for note in ("one", "two", "three")]


def test_the_history_tells_every_version(three: list[Saved]) -> None:
    """Newest first, each with when and why."""
    past = history.history_of(three[0].path.parent)
    assert [(one.label, one.why, one.trouble) for one in past] == [
        ("3", "kept", ""),
        ("2", "kept", ""),
        ("1", "kept", ""),
    ]


def test_compare_says_what_changed_in_the_units_shown(job: Job, store: Path) -> None:
    """One changed length is one line, in mm or in inches."""
    saved = keep(job, "a", store)
    keep(job.model_copy(update={"item": job.item.model_copy(update={"wall_mm": 0.635})}), "a", store)
    one, two = (load("a", store, version).profile for version in ("1", "2"))
    assert saved.label == "1"
    assert [str(change) for change in profile_changes(one, two)] == ["item.wall: 0.5 mm → 0.635 mm"]
    assert [str(change) for change in profile_changes(one, two, "in")] == ["item.wall: 0.019685 in → 0.025 in"]
    assert profile_changes(two, two) == []


def test_an_older_version_is_restored_on_top(three: list[Saved]) -> None:
    """Going back is a new version with the old content; all that was there stays."""
    home = three[0].path.parent
    restored = history.restore(home, "1")
    assert (restored.label, restored.beside) == ("4", ())
    assert load("a", home.parent).profile.job.note == "one"
    assert len(places.versions(home)) == 4


def test_choosing_settles_what_stood_side_by_side(job: Job, store: Path) -> None:
    """One of two goes on, the other stays in the history, and the conflict is over."""
    first = keep(job, "a", store)
    keep(noted(job, "mine"), "a", store, based_on=first.stamp)
    assert keep(noted(job, "theirs"), "a", store, based_on=first.stamp).beside
    chosen = history.choose(first.path.parent, "2")
    assert chosen.beside == ()
    assert load("a", store).profile.job.note == "mine"
    assert entries(store)[0].beside == ()


def test_two_versions_of_one_number_are_told_apart(three: list[Saved]) -> None:
    """Two machines may give one number twice: both are listed, and each has a name of its own."""
    home = three[0].path.parent
    shutil.copy(three[2].path, home / "0003-zzzzzz.toml")
    among = places.versions(home)
    assert [places.label(version, among) for version in among] == ["1", "2", f"3-{three[2].stamp[5:]}", "3-zzzzzz"]
    assert places.version_named("3", among) is None
    assert places.version_named("3-ZZZZZZ", among) == among[-1]
    assert [version.number for version in places.side_by_side(among)] == [3, 3]


@pytest.mark.usefixtures("three")
def test_the_bin_gives_everything_back(store: Path) -> None:
    """A discarded profile is out of the list with all its versions, and comes back with all of them."""
    history.discard("a", store)
    assert entries(store) == []
    (binned,) = history.bin_entries(store)
    assert (binned.entry.name, binned.entry.count, len(binned.at)) == ("a", 3, 10)
    with pytest.raises(FileTrouble, match="rotary profile bin"):
        history.restore_from_bin("b", store)
    history.restore_from_bin("A", store)
    assert [one.label for one in history.history("a", store)] == ["3", "2", "1"]
    assert history.bin_entries(store) == []


def test_the_name_of_a_discarded_profile_is_free(three: list[Saved], job: Job, store: Path) -> None:
    """A new profile of the old name is another one; both can be had."""
    history.discard("a", store)
    assert keep(noted(job, "new"), "a", store).id != three[0].id
    history.restore_from_bin("a", store)
    assert sorted(entry.count for entry in entries(store)) == [1, 3]


def test_a_profile_deleted_by_hand_comes_back(three: list[Saved], store: Path) -> None:
    """Who empties the wrong folder finds the profile in the bin, whole."""
    shutil.rmtree(three[0].path.parent)
    assert entries(store) == []
    assert [(one.entry.name, one.at) for one in history.bin_entries(store)] == [("a", "")]
    history.restore_from_bin("a", store)
    assert load("a", store).profile.job.note == "three"
    assert len(history.history("a", store)) == 3


def test_mending_puts_damaged_and_deleted_versions_right(three: list[Saved], store: Path) -> None:
    """A damaged file goes aside with its reason, and the version as saved takes its place; a deleted one comes back."""
    first, second, third = (saved.path for saved in three)
    good = second.read_bytes()
    second.write_bytes(good[:900])
    first.unlink()
    left = third.with_name(".0004-aaaaaa.toml.00.part")
    left.write_bytes(b"half")
    assert len(history.history_of(third.parent)) == 2
    repair = history.mend(store)
    assert [(one.label, "deleted" in one.reason) for one in repair.done] == [("1", True), ("2", False)]
    assert second.read_bytes() == good
    aside = [path for path in (store / places.ASIDE).iterdir() if path.suffix == ".toml"]
    assert [path.read_bytes() for path in aside] == [good[:900]]
    assert "set aside" in aside[0].with_suffix(".why.txt").read_text("utf-8")
    assert [one.trouble for one in history.history_of(third.parent)] == ["", "", ""]
    # What may belong to a save that is going on is left alone for a day.
    assert (repair.left_over, left.exists()) == (0, True)
    assert places.clear_left_overs(third.parent, older_than_s=-1.0) == 1
    assert history.mend(store) == history.Repair((), 0, ())


def test_without_its_spare_the_last_good_version_stands(three: list[Saved], store: Path) -> None:
    """Where no second copy is left, mending says which version is the last good one."""
    shutil.rmtree(store / places.SPARE)
    three[2].path.write_bytes(b"\0" * 4096)
    (done,) = history.mend(store).done
    assert (done.label, done.good) == ("3", "2")
    assert load("a", store).profile.job.note == "two"


def test_what_was_changed_outside_is_told_line_by_line(three: list[Saved]) -> None:
    """A figure edited by hand is named with its line, as it was and as it is."""
    path = three[2].path
    text = path.read_text("utf-8")
    line = text[: text.index('wall = "0.5 mm"')].count("\n") + 1
    path.write_text(text.replace('wall = "0.5 mm"', 'wall = "0.6 mm"'), "utf-8")
    version = places.versions(path.parent)[-1]
    says = f'line {line} of the saved file was changed: wall = "0.5 mm" → wall = "0.6 mm"'
    assert [str(edit) for edit in spare.edits(version)] == [says]
    rows = text.splitlines()
    path.write_text("\n".join(rows[:4]), "utf-8")
    rest = sum(bool(row.strip()) for row in rows[4:])
    says = f"after line 4 of the saved file {rest} lines are gone, the first of them: {rows[4].strip()}"
    assert [str(edit) for edit in spare.edits(version)] == [says]
    path.write_text(text.replace('wall = "0.5 mm"', 'wall = "0.5 mm"\nx = 1'), "utf-8")
    assert [str(edit) for edit in spare.edits(version)] == [
        f"from line {line + 1} of the saved file on 1 line is new: x = 1"
    ]
    path.write_text(text.replace('wall = "0.5 mm"', 'wall = "0.6 mm"'), "utf-8")
    assert "changed by hand" in load("a", path.parent.parent).doubt


def test_an_empty_text_is_no_change(job: Job, store: Path) -> None:
    """A proof without a remark has no row that says nothing; a note taken out is gone."""
    saved = keep(noted(job, "one"), "a", store)
    first = load("a", store).profile
    prove(saved.path.parent, None, "B1")
    proven = load("a", store).profile
    where = {change.where for change in profile_changes(first, proven)}
    assert where == {"saved.proof.on", "saved.proof.batch"}
    keep(noted(job, ""), "a", store)
    assert [str(one) for one in profile_changes(proven, load("a", store).profile)] == ["note: one → -"]
