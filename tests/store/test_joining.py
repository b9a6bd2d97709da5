"""What was read of patches and of the machine goes along with a proof, and what was read since is told."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.job import Job
from rotary.machine.record import MachineRecord, with_reading
from rotary.machine.store import reading_lines, save_machine
from rotary.machine.words import reading_from_words
from rotary.passes.learning.reading import Look, reading_of
from rotary.passes.learning.reading import Reading as Cell
from rotary.plan import plan
from rotary.repeat.machine import MachineRun
from rotary.repeat.standing import _ended
from rotary.store.profiles import keep, load
from rotary.store.proof_readings import machine_changes, machine_readings, readings_with_cells
from rotary.store.readings import add_readings
from rotary.store.readings import strike as strike_cell
from rotary.store.record import MachineReading, Proof, RunReading, now


@pytest.fixture
def cell(job: Job) -> Cell:
    made = plan(job)
    assert made.removal.setting is not None
    return reading_of(job, made.removal.setting, Look("clear", "2026-05-01", cell=3))


def test_cells_of_this_coating_and_head_go_along_once(job: Job, cell: Cell) -> None:
    """Another coating, another head and what was not read stay out; a cell struck since is struck here too."""
    own = RunReading(on=now(), of="diameter", shows="88.0 mm")
    others = [
        cell.model_copy(update={"number": 2, "coating": "other"}),
        cell.model_copy(update={"number": 3, "laser": "other"}),
        cell.model_copy(update={"number": 4, "outcome": "not read"}),
    ]
    once = readings_with_cells((own,), [cell, *others], job)
    assert [reading.of for reading in once] == ["diameter", "test patch, saved reading 1"]
    assert once[1].power_share == cell.power_share
    assert (once[1].place, once[1].shows) == ("cell 3", "clear")
    again = readings_with_cells(once, [cell.model_copy(update={"ignored": True}), *others], job)
    assert [reading.ignored for reading in again] == [False, True]
    # Named as earlier versions did, it is the same reading.
    old = once[1].model_copy(update={"of": "proof patch, kept reading 1"})
    assert [reading.of for reading in readings_with_cells((own, old), [cell], job)] == [own.of, once[1].of]


def measured(machine: MachineRecord, text: str, day: int) -> MachineRecord:
    return with_reading(machine, reading_from_words(text.split(), datetime(2026, 5, day, 9, 30, 0, 1234, tzinfo=UTC)))


def test_another_machine_is_said_once(job: Job) -> None:
    """In words, not as a field of the job that is another one too."""
    named = job.model_copy(update={"machine": "bench"})
    ended = _ended(Proof(on=now(), job=job), named, MachineRun(name="bench"), "mm")
    assert ended == ('you proved this job with no machine chosen, and now machine "bench" is chosen',)


@pytest.mark.slow
def test_a_reading_of_the_machine_since_takes_the_proof_away(
    job: Job, store: Path, tmp_path: Path, cell: Cell, capsys: pytest.CaptureFixture[str]
) -> None:
    """Proven for the machine as measured, its readings stand in the file; one more, and the proof no longer counts."""
    machines, where = tmp_path / "rigs", ["--store", str(store)]
    of_bench = ["--machine", "bench", "--machines", str(machines)]
    machine = measured(MachineRecord(name="bench"), "field axis=x drawn=140mm measured=139.6mm", 1)
    save_machine(machine, machines)
    keep(job, "bottle", store)
    add_readings([cell], store)
    assert main(["profile", "proven", "bottle", "--passes", "6", *where, *of_bench]) == 0
    kept = load("bottle", store).profile.saved
    assert kept.proof is not None
    assert (kept.proof.machine, kept.proof.machine_readings) == ("bench", machine_readings(reading_lines(machine)))
    assert kept.proof.machine_readings[0].of == "field"
    assert "139.6 mm" in kept.proof.machine_readings[0].shows
    assert [reading.of for reading in kept.readings] == ["test patch, saved reading 1"]
    capsys.readouterr()
    assert main(["profile", "repeat", "bottle", *where, *of_bench]) == 0
    assert "no longer counts" not in capsys.readouterr().out
    save_machine(measured(machine, "field axis=y drawn=140mm measured=140.5mm", 2), machines)
    assert main(["profile", "repeat", "bottle", *where, *of_bench]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "the proof no longer counts" in told
    assert "the machine has a new reading: field, 2026-05-02" in told
    assert main(["profile", "repeat", "bottle", *where]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert 'you proved this job on machine "bench", and now no machine is chosen' in told
    strike_cell(1, store)
    assert main(["profile", "proven", "bottle", "--passes", "6", *where, *of_bench]) == 0
    assert [reading.ignored for reading in load("bottle", store).profile.saved.readings] == [True]


def test_a_machine_that_nobody_measured_is_told(
    job: Job, store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A machine without a file is a sentence, and nothing is written."""
    keep(job, "bottle", store)
    assert (
        main(
            [
                "profile",
                "proven",
                "bottle",
                "--store",
                str(store),
                "--machine",
                "bench",
                "--machines",
                str(tmp_path / "none"),
            ]
        )
        == 2
    )
    assert "rotary machine new" in capsys.readouterr().err
    assert load("bottle", store).label == "1"


def test_a_change_of_the_machine_without_a_remark_ends_with_its_day(job: Job) -> None:
    """Nothing hangs behind the last comma."""
    day = datetime(2026, 5, 2, tzinfo=UTC)
    proof = Proof(on=day, machine="bench", job=job)
    changed = MachineReading(on=day, of="changed: lens")
    assert machine_changes(proof, "bench", (changed,)) == ["the machine has a new reading: changed: lens, 2026-05-02"]
