"""Carrying: what goes out comes in whole; what comes in is not trusted, and nothing here is touched."""

import re
import shutil
import struct
import zipfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rotary.errors import FileTrouble, Refused, RotaryError
from rotary.job import Job
from rotary.store import history, places, transfer
from rotary.store.additions import add_note
from rotary.store.index import entries
from rotary.store.logbook import Run, log, logbook
from rotary.store.profiles import add_as_it_is, copy, keep, load, rename
from rotary.store.record import now


@pytest.fixture
def sent(job: Job, mug: Job, store: Path, tmp_path: Path) -> Path:
    """Two profiles, one with two versions and a run, in one file."""
    keep(job, "bottle", store)
    saved = keep(job.model_copy(update={"note": "second"}), "bottle", store)
    keep(mug, "mug", store)
    log(Run(on=now(), profile=saved.id, name="bottle", outcome="clear", items=3), store)
    target = tmp_path / "sent.zip"
    assert transfer.export([], store, target) == 2
    return target


def against(source: Path, folder: Path) -> dict[str, str]:
    return {one.name: one.against for one in transfer.preview(source, folder).profiles}


def test_what_goes_out_comes_in_whole(sent: Path, store: Path, tmp_path: Path) -> None:
    """Every version to the byte, and the runs; a second time there is nothing new."""
    other = tmp_path / "other"
    assert against(sent, other) == {"bottle": "new", "mug": "new"}
    assert not other.exists()
    transfer.take(transfer.preview(sent, other), other)
    assert against(sent, other) == {"bottle": "same", "mug": "same"}
    for entry in entries(store):
        (twin,) = [one for one in entries(other) if one.id == entry.id]
        here, there = (places.versions(folder / home) for folder, home in ((store, entry.home), (other, twin.home)))
        assert [(v.stamp, v.path.read_bytes()) for v in here] == [(v.stamp, v.path.read_bytes()) for v in there]
    assert logbook(other).runs == logbook(store).runs
    assert transfer.take(transfer.preview(sent, other), other) == []


def test_only_what_is_named_is_taken(sent: Path, tmp_path: Path) -> None:
    """One profile of several, by its name."""
    transfer.take(transfer.preview(sent, tmp_path / "o"), tmp_path / "o", ["MUG"])
    assert [entry.name for entry in entries(tmp_path / "o")] == ["mug"]
    assert logbook(tmp_path / "o").runs == ()


def test_a_run_at_the_turn_of_a_month_comes_in_once(job: Job, store: Path, tmp_path: Path) -> None:
    """Half past midnight on the first of a month, east of Greenwich: the file's name says the month before."""
    first = datetime(2026, 5, 1, 0, 30, tzinfo=timezone(timedelta(hours=2)))
    log(Run(on=first, profile=keep(job, "bottle", store).id, name="bottle", outcome="clear"), store)
    transfer.export([], store, tmp_path / "all.zip")
    before = logbook(store).runs
    for folder in (store, tmp_path / "other"):
        transfer.take(transfer.preview(tmp_path / "all.zip", folder), folder)
        assert logbook(folder).runs == before


def test_no_path_of_this_machine_goes_along(sent: Path, tmp_path: Path) -> None:
    """Neither names nor contents of what is sent say where it lay."""
    with zipfile.ZipFile(sent) as archive:
        for name in archive.namelist():
            assert str(tmp_path).encode() not in name.encode() + archive.read(name)


def test_parted_ways_stand_side_by_side(sent: Path, job: Job, store: Path, tmp_path: Path) -> None:
    """A colleague's newer versions follow mine; where both went on, both stand and I am asked."""
    other = tmp_path / "other"
    transfer.take(transfer.preview(sent, other), other)
    keep(job.model_copy(update={"note": "third, there"}), "bottle", other)
    transfer.export(["bottle"], other, sent, over=True)
    assert against(sent, store) == {"bottle": "more"}
    keep(job.model_copy(update={"note": "third, here"}), "bottle", store)
    assert against(sent, store) == {"bottle": "different"}
    home = next(entry.home for entry in entries(store) if entry.name == "bottle")
    before = {v.stamp: v.path.read_bytes() for v in places.versions(store / home)}
    transfer.take(transfer.preview(sent, store), store)
    bottle = next(entry for entry in entries(store) if entry.name == "bottle")
    assert len(bottle.beside) == 2
    after = {v.stamp: v.path.read_bytes() for v in places.versions(store / bottle.home)}
    assert len(after) == 4
    assert before.items() <= after.items()


def test_an_edited_version_never_takes_the_place_of_mine(sent: Path, store: Path) -> None:
    """The same stamp with other contents: mine stays to the byte, the other stands beside it."""
    edited = sent.with_name("edited.zip")
    with zipfile.ZipFile(sent) as archive, zipfile.ZipFile(edited, "w") as forged:
        for name in archive.namelist():
            forged.writestr(name, archive.read(name).replace(b'wall = "0.5 mm"', b'wall = "0.9 mm"'))
    home = store / next(entry.home for entry in entries(store) if entry.name == "bottle")
    before = {path.name: path.read_bytes() for path in home.iterdir()}
    assert against(edited, store)["bottle"] == "different"
    transfer.take(transfer.preview(edited, store), store)
    assert all((home / name).read_bytes() == raw for name, raw in before.items())
    assert len(places.versions(home)) == 4


def forged(target: Path, files: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, raw in files.items():
            archive.writestr(name, raw)
    return target


def test_no_name_in_the_file_leads_anywhere(sent: Path, tmp_path: Path) -> None:
    """Ways up, whole paths, drives, reserved folders and links: left out by name, and nothing is written outside."""
    with zipfile.ZipFile(sent) as archive:
        good = archive.read(next(name for name in archive.namelist() if name.startswith("mug")))
    names = ["../0001-aaaaaa.toml", "/etc/0001-aaaaaa.toml", "C:\\x\\0001-aaaaaa.toml", "a/../../0001-aaaaaa.toml"]
    names += [
        "bin/0001-aaaaaa.toml",
        "logbook/0001-aaaaaa.toml",
        ".spare/0001.toml",
        "x/0001-aaaaaa.toml.exe",
        "x" * 200,
    ]
    source = forged(tmp_path / "evil.zip", dict.fromkeys(names, good))
    other = tmp_path / "deep" / "other"
    found = transfer.preview(source, other)
    assert found.profiles == []
    assert len(found.refused) == len(names)
    assert transfer.take(found, other) == []
    assert not (tmp_path / "deep").exists()


def test_an_id_in_the_file_leads_nowhere_else(sent: Path, tmp_path: Path) -> None:
    """The folder is made from name and id by this tool's own rules; an id that is a path is refused."""
    with zipfile.ZipFile(sent) as archive:
        good = archive.read(next(name for name in archive.namelist() if name.startswith("mug"))).decode()
    start = good.index('id = "') + 6
    evil = good[:start] + "../../up" + good[good.index('"', start) :]
    source = forged(tmp_path / "evil.zip", {"x/0001-aaaaaa.toml": evil.encode()})
    found = transfer.preview(source, tmp_path / "other")
    assert (found.profiles, len(found.refused)) == ([], 1)


def test_bombs_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Too large, too many, too deep: a sentence, within a moment and without the memory."""
    zeros = forged(tmp_path / "zeros.zip", {"x/0001-aaaaaa.toml": b"#" * 5_000_000})
    assert "too large for a saved job" in transfer.preview(zeros, tmp_path).refused[0]
    deep = forged(tmp_path / "deep.zip", {"x/0001-aaaaaa.toml": b"a = " + b"[" * 400_000})
    assert transfer.preview(deep, tmp_path).refused == ["x/0001-aaaaaa.toml has too many tables or names"]
    # The size that an entry claims is not believed either.
    raw = bytearray(zeros.read_bytes())
    place = raw.index(b"PK\x01\x02")
    raw[place + 24 : place + 28] = struct.pack("<I", 10)
    (tmp_path / "liar.zip").write_bytes(raw)
    assert transfer.preview(tmp_path / "liar.zip", tmp_path).refused
    monkeypatch.setattr(transfer, "MOST_BYTES", 1000)
    many = forged(tmp_path / "many.zip", {f"x/000{n}-aaaaaa.toml": b"#" * 400 for n in range(5)})
    with pytest.raises(Refused, match="unpacks to more"):
        transfer.preview(many, tmp_path)
    monkeypatch.setattr(transfer, "MOST_ENTRIES", 3)
    with pytest.raises(Refused, match="holds 5 files"):
        transfer.preview(many, tmp_path)


@pytest.mark.parametrize("raw", [b"", b"PK", b"[saved]\n", b"\0" * 1000, b"PK\x05\x06" + b"\0" * 18 + b"junk"])
def test_what_is_no_export_is_told(tmp_path: Path, raw: bytes) -> None:
    """Any other file, a folder, or nothing: a sentence."""
    (tmp_path / "f").write_bytes(raw)
    with pytest.raises(Refused, match="a file of exported jobs"):
        transfer.preview(tmp_path / "f", tmp_path)
    for place in (tmp_path, tmp_path / "none"):
        with pytest.raises(FileTrouble, match="a file of exported jobs"):
            transfer.preview(place, tmp_path)


@pytest.mark.slow
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_damage_to_the_file_ends_in_a_traceback(sent: Path, tmp_path: Path, data: st.DataObject) -> None:
    """Bytes flipped or lost anywhere: refused in words, or read with what is damaged left out."""
    raw = bytearray(sent.read_bytes())
    for _ in range(data.draw(st.integers(1, 5))):
        at = data.draw(st.integers(0, len(raw) - 1))
        if data.draw(st.booleans()):
            raw[at] ^= data.draw(st.integers(1, 255))
        else:
            del raw[at : at + data.draw(st.integers(1, 60))]
    (tmp_path / "damaged.zip").write_bytes(raw)
    try:
        found = transfer.preview(tmp_path / "damaged.zip", tmp_path / "other")
    except Refused:
        return
    assert all(one.name in ("bottle", "mug") for one in found.profiles)


def test_a_number_that_leaves_no_room_is_left_out(sent: Path, tmp_path: Path) -> None:
    """A version numbered to the last digit would hide the next save: it is left out, and a high one has room above."""
    other = tmp_path / "other"
    with zipfile.ZipFile(sent) as archive:
        name = next(name for name in archive.namelist() if name.startswith("mug"))
        good, home = archive.read(name), name.split("/")[0]
    found = transfer.preview(forged(tmp_path / "last.zip", {f"{home}/999999999-aaaaaa.toml": good}), other)
    assert (found.profiles, len(found.refused)) == ([], 1)
    transfer.take(transfer.preview(forged(tmp_path / "high.zip", {f"{home}/99999999-aaaaaa.toml": good}), other), other)
    saved = add_note(other / entries(other)[0].home, "next")
    assert saved.label == "100000000"
    assert load(saved.name, other).label == "100000000"


def test_what_is_in_a_file_fifty_times_is_one_version(sent: Path, tmp_path: Path) -> None:
    """Entries that are alike to the byte are counted, and taken, once."""
    with zipfile.ZipFile(sent) as archive:
        name = next(name for name in archive.namelist() if name.startswith("mug"))
        good = archive.read(name)
    many = tmp_path / "many.zip"
    with zipfile.ZipFile(many, "w") as archive:
        archive.writestr(name, good)
        for _ in range(49):
            with pytest.warns(UserWarning, match="Duplicate name"):
                archive.writestr(name, good)
    found = transfer.preview(many, tmp_path / "other")
    assert [one.versions for one in found.profiles] == [1]
    assert transfer.take(found, tmp_path / "other") == ["mug: 1 version added"]


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_what_is_unpacked_whole_is_not_unpacked(sent: Path, tmp_path: Path, method: int) -> None:
    """Some ways of packing give no part of a file without all of it: none is opened, however small it looks."""
    with zipfile.ZipFile(sent) as archive:
        name = archive.namelist()[0]
        raw = archive.read(name)
    target = tmp_path / "packed.zip"
    with zipfile.ZipFile(target, "w", method) as archive:
        archive.writestr(name, raw)
    seen = transfer.preview(target, tmp_path / "empty")
    assert (seen.profiles, len(seen.refused)) == ([], 1)


def test_a_link_in_a_file_is_read_as_bytes_only(tmp_path: Path) -> None:
    """An entry that says it is a link to another place leads nowhere: its bytes are no profile."""
    link = zipfile.ZipInfo("mug-aaaa/0001-aaaaaa.toml")
    link.create_system, link.external_attr = 3, 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "link.zip", "w") as archive:
        archive.writestr(link, "/etc/passwd")
    found = transfer.preview(tmp_path / "link.zip", tmp_path / "other")
    assert (found.profiles, len(found.refused)) == ([], 1)
    assert not (tmp_path / "other").exists()


def test_a_file_that_is_there_is_not_written_over_unasked(sent: Path, store: Path) -> None:
    """An export never takes the place of another file unless that is said; nor is a name too long a traceback."""
    before = sent.read_bytes()
    with pytest.raises(FileTrouble, match="there is already a file"):
        transfer.export([], store, sent)
    assert sent.read_bytes() == before
    with pytest.raises(FileTrouble):
        transfer.export([], store, sent.with_name("x" * 400))


def test_one_id_stays_one_profile(job: Job, store: Path, tmp_path: Path) -> None:
    """Kept, sent, thrown away, imported, taken back: one profile with every version, whatever it was called since."""
    keep(job, "a", store)
    rename("a", "b", store)
    transfer.export([], store, tmp_path / "sent.zip")
    late = keep(job.model_copy(update={"note": "after the export"}), "b", store)
    history.discard("b", store)
    transfer.take(transfer.preview(tmp_path / "sent.zip", store), store)
    history.restore_from_bin("b", store)
    (entry,) = entries(store)
    assert (entry.id, entry.count, history.bin_entries(store)) == (late.id, 3, [])
    assert load("b", store).profile.job.note == "after the export"
    assert len(places.versions(store / places.SPARE / entry.home)) == 3


@pytest.mark.parametrize("where", ["store", "bin", "spare"])
def test_a_name_that_an_import_had_before_begins_a_profile_of_its_own(
    where: str, job: Job, store: Path, tmp_path: Path
) -> None:
    """Its id was made of the old name; a new profile of that name gets another, wherever the first lies by now."""
    keep(job, "a", store)
    rename("a", "b", store)
    transfer.export([], store, tmp_path / "sent.zip")
    other = tmp_path / "other"
    transfer.take(transfer.preview(tmp_path / "sent.zip", other), other)
    (came,) = entries(other)
    if where == "bin":
        history.discard("b", other)
    elif where == "spare":
        shutil.rmtree(other / came.home)
    assert keep(job, "a", other).id != came.id
    if where != "store":
        history.restore_from_bin("b", other)
    assert sorted(entry.name for entry in entries(other)) == ["a", "b"]


def test_a_folder_that_was_copied_by_hand_can_be_named(job: Job, store: Path) -> None:
    """Two folders of one id: what the refusal says to write is understood."""
    saved = keep(job, "a", store)
    shutil.copytree(saved.path.parent, store / "copied")
    for name in ("a", saved.id):
        with pytest.raises(RotaryError) as told:
            load(name, store)
        offered = re.findall(r'write "(.+)" or "(.+)" in', str(told.value))[0]
        assert sorted(load(one, store).home.name for one in offered) == sorted([saved.path.parent.name, "copied"])
        assert {keep(job, one, store).path.parent.name for one in offered} == {saved.path.parent.name, "copied"}
    assert {entry.name for entry in entries(store)} == {"a"}


def test_a_save_that_met_a_discard_stays_one_profile(job: Job, store: Path) -> None:
    """A version that came in while its profile went to the bin lies in a folder of the same name: they join again."""
    saved = keep(job, "a", store)
    raw = saved.path.read_bytes()
    history.discard("a", store)
    add_as_it_is(saved.path.parent, "0002-zzzzzz", raw)
    assert history.restore_from_bin("a", store) == saved.path.parent
    assert [(entry.id, entry.count) for entry in entries(store)] == [(saved.id, 2)]
    assert history.bin_entries(store) == []


def test_names_that_begin_with_a_dash_go_everywhere(job: Job, store: Path, tmp_path: Path) -> None:
    """A name is a name: kept, noted, sent, thrown away and taken back, however it begins."""
    for name in ("-flag", "--to", "-"):
        if name == "-":
            with pytest.raises(Refused):
                keep(job, name, store)
            continue
        saved = keep(job, name, store)
        assert add_note(load(name, store).home, "-x").label == "2"
        transfer.export([name], store, tmp_path / "dash.zip", over=True)
        history.discard(name, store)
        history.restore_from_bin(name, store)
        assert load(name, store).profile.saved.id == saved.id
    assert copy("-flag", "-copy", store).name == "-copy"
