"""Files that belong together are replaced together: no folder ever shows some of the old and some of the new."""

import errno
import os
import stat
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest

from rotary.artwork import sets
from rotary.artwork.dxf_write import dxf_bytes
from rotary.artwork.outfiles import Mark, is_ours, mark_of, marked, refuse_file, refuse_folder, write_file
from rotary.artwork.rings import rings_from_list
from rotary.artwork.sets import NOT_WHOLE, not_whole, write_set
from rotary.errors import FileTrouble, Taken
from rotary.exports.png import png_bytes
from rotary.files import flushed_together
from rotary.sheet.dots_reread import drawing_from_dots
from rotary.sheet.svg import drawing
from rotary.simulate.files import sheets_of

TRIANGLE: Final = rings_from_list([[(0, 0), (1, 0), (0, 1)]])


def page(text: str = "a page") -> bytes:
    """A small SVG as the tool draws it."""
    return drawing(10, 4, {"slice-1": TRIANGLE}, text, text, ticks=True).encode()


def slices(stem: str, count: int, text: str = "a page") -> dict[str, bytes]:
    """A set of slice files."""
    return {f"{stem}-slice-{k + 1:02d}-of-{count:02d}.svg": page(text) for k in range(count)}


def names(folder: Path) -> set[str]:
    """What a person sees in a folder and in its folders."""
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file() and p.name[0] != "."}


NEW_SETS: Final[dict[str, dict[str, bytes]]] = {
    "fewer slices": slices("heron", 3),
    "as many slices": slices("heron", 5),
    "sliced": {f"heron-{part}.svg": page() for part in ("sliced", "first", "second", "rest")},
    "sliced, as they were once called": {f"heron-sheet{part}.svg": page() for part in ("", "-first", "-rest")},
    "flat": {f"heron-flat{part}.svg": page() for part in ("", "-first", "-second", "-rest")},
    "lines": {"heron-sliced.dxf": dxf_bytes({"slice-1": TRIANGLE}, 10, 4, "a page")},
    "dots": {"heron-sliced.png": png_bytes(np.eye(3, dtype=np.uint8) * 255, 20_000, False, "a page")},
    "zones": {f"zone-{z}/{name}": data for z in (1, 2) for name, data in slices("heron", 2).items()},
    "faces": {f"heron-flat-{k:02d}.svg": page() for k in (1, 2)},
    "one file": {"heron.svg": page()},
}


@pytest.mark.parametrize("before", NEW_SETS)
@pytest.mark.parametrize("after", NEW_SETS)
def test_a_set_takes_the_place_of_the_one_before(before: str, after: str, tmp_path: Path) -> None:
    """Whatever kind either is, the folder then shows the new files, the person's own, and nothing else."""
    old, new = NEW_SETS[before], NEW_SETS[after]
    write_set(tmp_path, "heron", old, item="mug")
    (tmp_path / "notes.txt").write_text("mine", "utf-8")
    (tmp_path / "heron-slice-09-of-99.txt").write_text("mine, whatever it is called", "utf-8")
    (tmp_path / "kept copy.svg").write_bytes((tmp_path / next(iter(old))).read_bytes())
    write_set(tmp_path, "oars", {"oars-sheet.svg": page()}, item="mug", over=True) if "slice" not in str(
        [*old, *new]
    ) else None
    others = names(tmp_path) - set(old)
    said = write_set(tmp_path, "heron", new, item="mug", over="oars-sheet.svg" in others).instead
    assert names(tmp_path) == set(new) | others
    assert said == sets._instead(len(old))
    assert not any(path.name.startswith("zone") for path in tmp_path.iterdir() if "zone" not in str([*new]))


def test_files_of_before_there_were_marks_are_known_by_their_names(tmp_path: Path) -> None:
    """Those of an earlier version go too, of this artwork and no other; a file that another drew stays."""
    for name, data in slices("heron", 4).items():
        (tmp_path / name).write_bytes(data)
    for name in ("heron-sheet.svg", "heron-sheet-first.svg", "heron-2-sheet.svg", "heron-rest-sheet.svg"):
        (tmp_path / name).write_bytes(page())
    (tmp_path / "heron-flat.svg").write_text("<svg>drawn by somebody else</svg>", "utf-8")
    write_set(tmp_path, "heron", {"heron-sliced.svg": page()}, item="mug")
    assert names(tmp_path) == {"heron-sliced.svg", "heron-2-sheet.svg", "heron-rest-sheet.svg", "heron-flat.svg"}


def test_like_names_are_not_one_set(tmp_path: Path) -> None:
    """A drawing called heron 2, or heron rest, is another than heron."""
    stems = ("heron-2", "heron-rest", "heron-first")
    for stem in stems:
        write_set(tmp_path, stem, {f"{stem}-sliced.svg": page()})
    write_set(tmp_path, "heron", NEW_SETS["sliced"])
    write_set(tmp_path, "heron", {"heron-flat.svg": page()})
    assert names(tmp_path) == {*(f"{stem}-sliced.svg" for stem in stems), "heron-flat.svg"}
    # A person may give a file the name of another drawing's part: neither takes the other's place unasked.
    write_set(tmp_path, "heron-first", {"heron-first.svg": page()})
    with pytest.raises(Taken, match="of another drawing"):
        write_set(tmp_path, "heron", NEW_SETS["sliced"])


def test_slices_lie_alone(tmp_path: Path) -> None:
    """Beside slices of another drawing nothing is written, not even where the person is sure to replace files."""
    write_set(tmp_path, "xyz", slices("xyz", 4))
    (tmp_path / "notes.txt").write_text("mine", "utf-8")
    before = names(tmp_path)
    for new in (slices("i", 2), {"i-sheet.svg": page()}):
        for over in (False, True):
            with pytest.raises(FileTrouble, match="another drawing, xyz"):
                write_set(tmp_path, "i", new, over=over)
        assert names(tmp_path) == before
    write_set(tmp_path, "xyz", {"xyz-sheet.svg": page()})
    write_set(tmp_path, "oars", {"oars-sheet.svg": page()})
    with pytest.raises(FileTrouble, match="another drawing, oars"):
        write_set(tmp_path, "xyz", slices("xyz", 2), over=True)
    assert names(tmp_path) == {"xyz-sheet.svg", "oars-sheet.svg", "notes.txt"}


def test_another_item_is_not_overwritten_unasked(tmp_path: Path) -> None:
    """The same crest on a bottle and on a mug makes files of one name; which item they are for stands in them."""
    write_set(tmp_path, "heron", {"heron-sheet.svg": page("bottle")}, item="Regatta bottle")
    with pytest.raises(Taken, match="for another item, regatta-bottle"):
        write_set(tmp_path, "heron", {"heron-sheet.svg": page("mug")}, item="Boathouse mug")
    assert b"bottle" in (tmp_path / "heron-sheet.svg").read_bytes()
    write_set(tmp_path, "heron", {"heron-sheet.svg": page("mug")}, item="Boathouse mug", over=True)
    assert mark_of(tmp_path / "heron-sheet.svg") == Mark("heron", "boathouse-mug", "heron-sheet.svg")


def test_what_is_not_ours_is_not_replaced_unasked(tmp_path: Path) -> None:
    """A person's own file, one renamed to that name, a link, what is read: refused, and nothing is touched."""
    path = tmp_path / "heron-sheet.svg"
    path.write_text("<svg/>", "utf-8")
    with pytest.raises(Taken, match="may be your own"):
        write_set(tmp_path, "heron", {path.name: page()})
    path.unlink()
    write_set(tmp_path, "oars", {"oars-sheet.svg": page("oars")})
    (tmp_path / "oars-sheet.svg").rename(path)
    with pytest.raises(Taken, match="another drawing"):
        write_set(tmp_path, "heron", {path.name: page()})
    assert b"oars" in path.read_bytes()
    (tmp_path / "elsewhere").write_bytes(page())
    path.unlink()
    path.symlink_to("elsewhere")
    for over in (False, True):
        with pytest.raises(FileTrouble, match="is a link"):
            write_set(tmp_path, "heron", {path.name: page()}, over=over)
    path.unlink()
    path.write_bytes(page())
    with pytest.raises(FileTrouble, match="is the file you read from"):
        write_set(tmp_path, "heron", {path.name: page()}, [path], "all")
    assert names(tmp_path) == {"heron-sheet.svg", "elsewhere"}


@pytest.mark.parametrize("kind", ["folder", "pipe"])
def test_a_folder_or_a_pipe_never_gives_way_to_a_file(kind: str, tmp_path: Path) -> None:
    """A person's own folder that is named like a file of the set stays, whatever they said."""
    path = tmp_path / "heron-sheet.svg"
    if kind == "folder":
        path.mkdir()
    else:
        os.mkfifo(path)
    before = path.stat().st_ino
    with pytest.raises(FileTrouble, match=f"is a {kind}.*, not a file"):
        write_set(tmp_path, "heron", {path.name: page()}, over=True)
    assert ([one.name for one in tmp_path.iterdir()], path.stat().st_ino) == ([path.name], before)


def test_what_is_read_does_not_go_with_the_old_set(tmp_path: Path) -> None:
    """A sheet that a job has for its artwork is not taken away by the flat drawing of the same name."""
    write_set(tmp_path, "heron", {"heron-sheet.svg": page()})
    with pytest.raises(FileTrouble, match="is the file you read from"):
        write_set(tmp_path, "heron", {"heron-flat.svg": page()}, [tmp_path / "heron-sheet.svg"], "all")
    assert names(tmp_path) == {"heron-sheet.svg"}


CALLS: Final = ("open", "write", "fsync", "rename", "replace", "unlink", "mkdir", "rmdir")


def _each_call(at: int, then: Callable[[], None]) -> None:
    """Have the call of that number that changes something do this in place of its work."""
    count = [0]

    def guarded(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            count[0] += 1
            if count[0] == at:
                then()
            return real(*arguments, **named)

        return call

    for name in CALLS:
        setattr(os, name, guarded(getattr(os, name)))


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="a child is made to be killed")
def test_no_kill_leaves_a_mixture(tmp_path: Path) -> None:
    """Killed at any call: all of the old, or some of one set alone with a note that it is not whole; then it mends."""
    old, new = slices("heron", 4, "old"), slices("heron", 3, "new")
    at, done = 0, False
    while not done:
        at += 1
        folder = tmp_path / str(at)
        write_set(folder, "heron", old)
        (folder / "notes.txt").write_text("mine", "utf-8")
        child = os.fork()
        if child == 0:
            _each_call(at, lambda: os._exit(9))
            write_set(folder, "heron", new)
            os._exit(0)
        done = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
        shown = names(folder) - {"notes.txt"}
        note = f"heron{NOT_WHOLE}"
        assert shown - {note} in (set(old), set(new)) or note in shown, f"call {at}: {shown}"
        texts = {b"old" in (folder / name).read_bytes() for name in shown - {note}}
        assert len(texts) < 2, f"call {at}: a mixture of {shown}"
        assert (folder / "notes.txt").read_text("utf-8") == "mine"
        if note in shown:
            with pytest.raises(FileTrouble, match="not complete"):
                sheets_of(folder)
        write_set(folder, "heron", new)
        assert names(folder) == {*new, "notes.txt"}
        assert not not_whole(folder)
    assert at > 20


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="calls are replaced in a child")
@pytest.mark.parametrize("count", [2, 3])
def test_a_disk_that_fails_leaves_all_as_it_was(count: int, tmp_path: Path) -> None:
    """An error at any call: the old set whole, or the new one; nothing half, under other names or the same."""
    old, new = slices("heron", 3, "old"), slices("heron", count, "new")
    for at in range(1, 60):
        folder = tmp_path / str(at)
        write_set(folder, "heron", old)
        child = os.fork()
        if child == 0:
            _each_call(at, _full)
            try:
                write_set(folder, "heron", new)
            except FileTrouble:
                os._exit(4)
            except BaseException:  # noqa: BLE001  (a child, whose code tells)
                os._exit(1)
            os._exit(0)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        assert code in (0, 4), f"call {at}"
        shown = names(folder) - {f"heron{NOT_WHOLE}"}
        assert shown in (set(old), set(new)), f"call {at}: {shown}"
        assert code == 4 or shown == set(new)
        texts = {b"old" in (folder / name).read_bytes() for name in shown}
        assert texts in ({True}, {False}), f"call {at}: a mixture"
        assert code == 4 or texts == {False}


def _full() -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_two_programs_that_write_at_once_leave_one_set(tmp_path: Path) -> None:
    """They wait for each other: in the end the folder is one's or the other's."""
    both = [slices("heron", count, str(count)) for count in (5, 7)]
    for _ in range(5):
        threads = [threading.Thread(target=write_set, args=(tmp_path, "heron", files)) for files in both]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert names(tmp_path) in [set(files) for files in both]


def test_what_stands_in_a_folder_is_looked_at_when_no_other_program_writes_there(tmp_path: Path) -> None:
    """A file that comes and goes while another program swaps its set refuses nothing."""
    fcntl = pytest.importorskip("fcntl")
    passing = tmp_path / "heron-sheet.svg"
    passing.write_text("another's, for a moment", "utf-8")
    holding = os.open(tmp_path, os.O_RDONLY)
    fcntl.flock(holding, fcntl.LOCK_EX)
    with ThreadPoolExecutor(1) as pool:
        writing = pool.submit(write_set, tmp_path, "heron", {"heron-sheet.svg": page()})
        wait([writing], timeout=0.3)
        passing.unlink()
        os.close(holding)
        assert writing.result().paths == (passing,)


def test_what_was_left_hidden_goes_after_a_day(tmp_path: Path) -> None:
    """Of a kill, hidden files are left; a day later the next writing takes ours away, and no one else's."""
    left, other = tmp_path / ".heron-sheet.svg.0123456789ab.part", tmp_path / ".mine.0123456789ab.part"
    left.write_bytes(page())
    other.write_text("mine", "utf-8")
    write_set(tmp_path, "heron", {"heron-sheet.svg": page()})
    assert left.exists()
    for path in (left, other):
        os.utime(path, (0, 0))
    write_set(tmp_path, "heron", {"heron-sheet.svg": page()})
    assert (left.exists(), other.exists()) == (False, True)


def test_modes_are_kept(tmp_path: Path) -> None:
    """A file that was closed to others stays so when it is replaced."""
    write_set(tmp_path, "heron", {"heron-sheet.svg": page()})
    (tmp_path / "heron-sheet.svg").chmod(0o600)
    write_set(tmp_path, "heron", {"heron-sheet.svg": page("new")})
    assert stat.S_IMODE((tmp_path / "heron-sheet.svg").stat().st_mode) == 0o600


def test_a_mark_changes_nothing_of_what_is_drawn(tmp_path: Path) -> None:
    """Marked files read back the same; names with any signs in them come back whole."""
    data = png_bytes(np.eye(3, dtype=np.uint8) * 255, 20_000, False, "20000 dots to the metre")
    strange = Mark("a b)ä", 'it"em', "zone-1/x <y> & (z) -- 1.png")
    for name, raw in (("dots.png", data), ("page.svg", page()), ("card.txt", b"card\n")):
        (tmp_path / name).write_bytes(marked(raw, strange._replace(name=name)))
        assert mark_of(tmp_path / name) == strange._replace(name=name)
        assert is_ours(tmp_path / name)
    assert drawing_from_dots(tmp_path / "dots.png").about.startswith("20000 dots")


def test_in_a_new_folder_nothing_is_looked_at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A list of a thousand names would look at a thousand files a thousand times."""
    monkeypatch.setattr(sets, "_standing", lambda *_: pytest.fail("was looked at"))
    with flushed_together(tmp_path):
        write_set(tmp_path, "heron", {"heron-sheet.svg": page()})


# -- one file


def test_one_file_is_written_where_it_was_named(tmp_path: Path) -> None:
    """Through a link to what it leads to, with that one's mode; over what is not ours only when asked."""
    own, link = tmp_path / "own.txt", tmp_path / "link.txt"
    own.write_text("mine", "utf-8")
    own.chmod(0o600)
    link.symlink_to("own.txt")
    for path in (own, link):
        with pytest.raises(Taken, match="may be your own"):
            write_file(path, b"(drawn by rotary)")
    assert own.read_text("utf-8") == "mine"
    write_file(link, b"(drawn by rotary)", over=True)
    assert link.is_symlink()
    assert own.read_bytes() == b"(drawn by rotary)"
    assert stat.S_IMODE(own.stat().st_mode) == 0o600
    write_file(link, b"(drawn by rotary) again")
    assert own.read_bytes().endswith(b"again")
    with pytest.raises(FileTrouble, match="is the file you read from"):
        refuse_file(link, [own], over=True)
    (tmp_path / "round").symlink_to("round")
    with pytest.raises(FileTrouble):
        write_file(tmp_path / "round", b"x")


def test_as_long_a_name_as_the_disk_takes_is_written(tmp_path: Path) -> None:
    """Letters of four bytes: the hidden name beside a file is never the longer one."""
    path = tmp_path / ("\U00020000" * 62 + ".txt")
    write_file(path, b"once")
    assert sets.write_all({path.with_suffix(".svg"): page()}) == (path.with_suffix(".svg"),)
    assert path.read_bytes() == b"once"


def test_a_folder_is_looked_at_before_long_work(tmp_path: Path) -> None:
    """A file, a file's name, a place below a file: one sentence each; a new folder in a new folder is fine."""
    (tmp_path / "file").touch()
    for path, says in (
        (tmp_path / "file", "is a file"), (tmp_path / "crest.svg", "a file name"),
        (tmp_path / "file" / "below", "no file can be written into"),
    ):  # fmt: skip
        with pytest.raises(FileTrouble, match=says):
            refuse_folder(path)
    refuse_folder(tmp_path / "new" / "newer")
    (tmp_path / "folder.svg").mkdir()
    refuse_folder(tmp_path / "folder.svg")
