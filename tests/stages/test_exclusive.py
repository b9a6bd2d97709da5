"""Two programs that write readings at the same instant: none is lost."""

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread

import pytest

from rotary import lock as locking
from rotary.errors import FileTrouble
from rotary.lock import exclusive
from rotary.machine.record import MachineRecord, with_reading
from rotary.machine.store import change_machine, load_machine
from rotary.machine.words import reading_from_words
from rotary.store.readings import add_readings, readings_in, strike
from tests.patience import until
from tests.stages.test_learning import by_fluence, read

_WRITER = """
import sys, time
from pathlib import Path
from rotary.store.readings import add_patch, add_readings, readings_in
folder, mine = Path(sys.argv[1]), sys.argv[2]
one = readings_in(folder)[0].model_copy(update={"note": mine})
(folder / f"{mine}.ready").touch()
while not (folder / "go").exists():
    time.sleep(0.001)
for _ in range(25):
    add_readings([one], folder)
    add_patch([one], folder)
"""


@pytest.mark.slow
def test_two_programs_that_write_at_once_lose_no_reading(tmp_path: Path) -> None:
    """Twice fifty readings by two processes that start together: a hundred are kept, each with a number of its own,
    each patch with a name of its own."""
    add_readings([read(by_fluence(1.0, 1.6), "covered")], tmp_path)
    both = [subprocess.Popen([sys.executable, "-c", _WRITER, str(tmp_path), name]) for name in ("left", "right")]
    until(lambda: len(list(tmp_path.glob("*.ready"))) == 2)
    (tmp_path / "go").touch()
    assert [process.wait(100) for process in both] == [0, 0]
    kept = readings_in(tmp_path)
    assert len(kept) == 101
    assert [r.number for r in kept] == list(range(1, 102))
    assert sum(r.note == "left" for r in kept) == sum(r.note == "right" for r in kept) == 50
    patches = [r.patch for r in kept if r.patch.startswith("patch ")]
    assert len(set(patches)) == len(patches) == 50


_PRINTER = """
import os, sys, time
from pathlib import Path
from rotary.store.readings import add_patch, readings_in
from rotary.passes.patch.cells import patches_in, same_cells
folder = Path(sys.argv[1])
cells = readings_in(folder)[:1]
def kept(now):
    return next((one.name for one in patches_in(now) if one.unread and same_cells(one, cells)), "")
(folder / f"{os.getpid()}.ready").touch()
while not (folder / "go").exists():
    time.sleep(0.001)
for _ in range(10):
    add_patch(cells, folder, kept)
"""


@pytest.mark.slow
def test_two_programs_that_print_one_patch_at_once_keep_one(tmp_path: Path) -> None:
    """Whoever comes second finds the cells kept already, although neither knew when it began."""
    one = read(by_fluence(1.0, 1.6), "not read").model_copy(update={"source": "patch", "cell": 1})
    add_readings([one], tmp_path)
    both = [subprocess.Popen([sys.executable, "-c", _PRINTER, str(tmp_path)]) for _ in range(2)]
    until(lambda: len(list(tmp_path.glob("*.ready"))) == 2)
    (tmp_path / "go").touch()
    assert [process.wait() for process in both] == [0, 0]
    assert [r.patch for r in readings_in(tmp_path)] == ["", "patch 1"]


def test_a_writer_that_never_ends_is_told_and_one_that_died_is_no_hindrance(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While another holds the readings one waits, then says so and writes nothing; a program that died holds none."""
    add_readings([read(by_fluence(1.0, 1.6), "covered")], tmp_path)
    monkeypatch.setattr(locking, "LONGEST_S", 0.05)
    with exclusive(tmp_path), pytest.raises(FileTrouble, match="another program"):
        strike(1, tmp_path)
    assert not readings_in(tmp_path)[0].ignored
    died = "import sys, os\nfrom pathlib import Path\nfrom rotary.lock import exclusive\n"
    died += "with exclusive(Path(sys.argv[1])):\n    os._exit(3)\n"
    assert subprocess.run([sys.executable, "-c", died, str(tmp_path)], check=False).returncode == 3
    assert strike(1, tmp_path).ignored


def test_two_programs_that_record_at_one_machine_at_once_lose_no_reading(tmp_path: Path) -> None:
    """While one changes a machine's file the other waits, and then adds to what the first one wrote."""
    field = "axis=x drawn=140mm measured=139.6mm"

    def with_one(machine: MachineRecord, hour: int) -> MachineRecord:
        at = datetime(2026, 5, 1, hour, tzinfo=UTC)
        return with_reading(machine, reading_from_words(["field", *field.split()], at, ""))

    other = Thread(target=change_machine, args=("bench", tmp_path, lambda machine: with_one(machine, 2)))

    def first(machine: MachineRecord) -> MachineRecord:
        other.start()
        other.join(0.3)
        return with_one(machine, 1)

    change_machine("bench", tmp_path, first)
    other.join()
    assert [reading.at.hour for reading in load_machine("bench", tmp_path).readings] == [1, 2]
