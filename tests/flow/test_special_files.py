"""What is no file, never ends, or is far too large, under any name that a person may give: a sentence, at once."""

import os
import resource
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from rotary import files
from rotary.artwork.fonts import face_from_file
from rotary.artwork.outfiles import is_ours
from rotary.artwork.raster_read import picture_from_file
from rotary.artwork.read import read_artwork
from rotary.errors import FileTrouble, Refused, RotaryError, refuse
from rotary.files import bytes_of_file, bytes_of_job_file
from rotary.series.table import table_from_file
from rotary.sheet.dots_reread import drawing_from_dots
from rotary.sheet.reread import drawing_from_file
from rotary.store.additions import artwork_file
from rotary.store.depths import depths_in
from rotary.store.transfer import preview

pytestmark = pytest.mark.skipif(os.name != "posix", reason="the system has no such files")

READERS: list[Callable[[Path], Any]] = [
    read_artwork,
    face_from_file,
    lambda path: table_from_file(path, None),
    lambda path: preview(path, path.parent / "store"),
    drawing_from_file,
    drawing_from_dots,
    bytes_of_job_file,
    picture_from_file,
    artwork_file,
    depths_in,
]


@pytest.fixture
def special(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Path]]:
    """A pipe that nobody writes to, a device that never ends, a socket, a folder, a link to each."""
    pipe, folder = tmp_path / "pipe.svg", tmp_path / "folder.svg"
    os.mkfifo(pipe)
    folder.mkdir()
    with socket.socket(socket.AF_UNIX) as ear:
        monkeypatch.chdir(tmp_path)
        ear.bind("ear.svg")
        made = {"pipe": pipe, "device": Path("/dev/zero"), "socket": tmp_path / "ear.svg", "folder": folder}
        for name, path in list(made.items()):
            made[f"link to a {name}"] = tmp_path / f"to-{name}.svg"
            made[f"link to a {name}"].symlink_to(path)
        yield made


@pytest.mark.parametrize("read", READERS)
def test_what_is_no_file_is_refused_at_once(
    read: Callable[[Path], Any], special: dict[str, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No reader waits for a pipe, or reads from what never ends; each says what to do instead."""
    monkeypatch.setattr(files.os, "read", lambda *_: pytest.fail("was read"))
    for name, path in special.items():
        with pytest.raises(RotaryError) as trouble:
            read(path)
        says = str(trouble.value)
        assert says.count("\n") == 0, name
        assert ("folder" if "folder" in name else "pipe or a device") in says, name


@pytest.mark.parametrize("read", READERS)
def test_a_file_that_says_it_is_huge_is_not_read(read: Callable[[Path], Any], tmp_path: Path) -> None:
    """Ten gigabytes of nothing take no memory: the size is looked at first."""
    huge = tmp_path / "huge.svg"
    with huge.open("wb") as file:
        file.truncate(10 << 30)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    try:
        answer = read(huge)
    except (FileTrouble, Refused):
        pass
    else:
        assert len(answer) == files.LARGEST_JOB_BYTES + 1
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 50_000
    assert not is_ours(huge)


def test_a_file_that_grows_while_it_is_read_ends_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One byte more than is allowed is read, however much comes after."""
    path, given = tmp_path / "grows.svg", []
    path.write_bytes(b"x")

    def endless(_: int, count: int) -> bytes:
        given.append(count)
        return b"x" * count

    monkeypatch.setattr(files.os, "read", endless)
    with pytest.raises(Refused, match="too much"):
        bytes_of_file(path, 1_000_000, "name another", refuse("", "too much"))
    assert sum(given) == 1_000_001
    assert len(bytes_of_file(path, 1000, "name another")) == 1001


def test_a_link_to_a_file_is_the_file(tmp_path: Path) -> None:
    """Links are followed, as often as the system follows them; one that leads nowhere is told."""
    (tmp_path / "a").write_bytes(b"whole")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    (tmp_path / "c").symlink_to("b")
    assert bytes_of_file(tmp_path / "c", 100, "") == b"whole"
    (tmp_path / "round").symlink_to("round")
    with pytest.raises(FileTrouble):
        bytes_of_file(tmp_path / "round", 100, "name another")


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the system has no such files")
@pytest.mark.parametrize("name", ["/proc/self/mem", "/proc/kcore", "/proc/kmsg", "/proc/self/status"])
def test_files_that_the_system_makes_up_end(name: str) -> None:
    """They have no size, or a wrong one, and some wait for news: so many bytes at most, or a sentence."""
    with suppress(FileTrouble):
        assert len(bytes_of_file(Path(name), 1000, "name another")) <= 1001


@pytest.mark.slow
@pytest.mark.parametrize(
    "arguments",
    [
        ("plan", "{}"),
        ("art", "slice", "regatta-bottle", "--art", "{}", "--to", "s"),
        ("art", "names", "regatta-bottle", "{}", "--to", "s"),
        ("profile", "import", "{}"),
        ("art", "check", "regatta-bottle", "{}"),
        ("art", "dots", "regatta-bottle", "{}", "--to", "s"),
    ],
)
def test_commands_say_so(arguments: tuple[str, ...], special: dict[str, Path], tmp_path: Path) -> None:
    """From the command line too: an exit code of its own and one sentence, with little memory."""
    room = 3 << 30
    for name in ("pipe", "device"):
        done = subprocess.run(
            [sys.executable, "-m", "rotary", *(part.format(special[name]) for part in arguments)],
            cwd=tmp_path, capture_output=True, text=True, check=False, timeout=120,
            env=os.environ | {"PYTHONPATH": str(Path(files.__file__).parents[1]), "HOME": str(tmp_path)},
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (room, room)),
        )  # fmt: skip
        assert done.returncode not in (0, 1), done.stderr
        assert "pipe or a device" in done.stderr
        assert "Traceback" not in done.stderr
