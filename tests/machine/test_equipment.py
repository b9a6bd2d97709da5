"""What belongs to the machine: answered once, taken by every job that names it, and never a shipped example's."""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.cli import main
from rotary.errors import Refused
from rotary.examples import BANNER
from rotary.job import Job, job_from_data, job_from_file, job_text
from rotary.laser import LaserAndLens
from rotary.machine.correct import corrected, correction
from rotary.machine.equipment import ANSWERS, FACTS, equipment_of, equipped, program_with, with_laser_of, with_shop_of
from rotary.machine.lookup import on_its_machine, with_its_laser
from rotary.machine.quantities import QUANTITIES
from rotary.machine.reading_data import reading_from_data
from rotary.machine.record import MachineRecord, with_reading
from rotary.machine.store import load_machine, machine_from_text, machine_text, save_machine
from rotary.machine.tapes import tapes
from rotary.machine.words import machine_lines
from rotary.plan import plan
from rotary.program import ROW_IDS, Program
from rotary.repeat.machine import machine_run
from rotary.services.jobs import tables_of_job
from rotary.services.planning import plan_for
from rotary.shipped import examples
from rotary.shop import Eyewear, OtherLaser, Shop
from rotary.store.changes import setup_changes
from tests.setups import shipped_heads

NOW = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)
EXAMPLE = job_from_file(examples()["regatta-bottle"])
# Invented, as all demo data.
HEAD = LaserAndLens(
    name="boathouse source", rated_power_w=50, largest_pulse_mj=1.0, lowest_frequency_khz=30, highest_frequency_khz=60,
    focal_length_mm=254, field_mm=170, field_axis="x",
)  # fmt: skip
PAIR = Eyewear(name="green pair", from_nm=900, to_nm=1100, optical_density=7.0)
POINTER = OtherLaser(name="our pointer", wavelength_nm=635, power_w=0.001)
OWN = EXAMPLE.model_copy(update={"laser": HEAD, "shop": Shop(eyewear=(PAIR,), other_lasers=(POINTER,))})
CAN = Program(can_pause=True, least_pause_s=0.5, can_change_setting=False, labels={"power": "Output", "speed": "Rate"})


def full_machine() -> MachineRecord:
    machine, left = equipment_of(OWN, MachineRecord(name="Boathouse rig", program=CAN), NOW)
    assert left == []
    return machine


def test_the_machine_s_file_reads_back_and_old_ones_open() -> None:
    """Program, labels, laser, lens and eyewear as they were kept, readings and changes beside them."""
    machine = full_machine()
    assert machine_from_text(machine_text(machine)) == machine
    assert (machine.laser, machine.shop, machine.program) == (OWN.laser, OWN.shop, CAN)
    old = machine_from_text('name = "Boathouse rig"\n[[changes]]\nwhat = "lens"\nat = 2026-05-01T09:30:00+00:00\n')
    assert (old.program, old.shop, old.laser) == (Program(), Shop(), None)
    assert "[program]" not in machine_text(old)


@given(st.dictionaries(st.sampled_from(ROW_IDS), st.text(min_size=1, max_size=70), max_size=5))
def test_whatever_a_label_is_it_reads_back_or_is_refused(labels: dict[str, str]) -> None:
    """Quotes, backslashes, other scripts: nothing that was kept comes back as something else."""
    try:
        program = program_with(Program(), {f"label.{row}": text for row, text in labels.items()})
    except Refused:
        return
    machine = MachineRecord(name="a rig", program=program)
    assert machine_from_text(machine_text(machine)) == machine


def test_nothing_of_an_example_gets_into_a_machine_s_file() -> None:
    """Neither taken from a job, nor copied there by hand, under whatever name."""
    for name in examples():
        with pytest.raises(Refused, match="example"):
            equipment_of(job_from_file(examples()[name]), MachineRecord(name="a rig"), NOW)
    mixed = OWN.model_copy(update={"shop": Shop(eyewear=(*EXAMPLE.shop.eyewear, PAIR))})
    assert with_shop_of(MachineRecord(name="a rig"), mixed).shop.eyewear == (PAIR,)
    for head in shipped_heads().values():
        with pytest.raises(Refused):
            with_laser_of(MachineRecord(name="a rig"), OWN.model_copy(update={"laser": head}), NOW)
        with pytest.raises(ValueError, match="example"):
            MachineRecord(name="a rig", laser=head.model_copy(update={"name": "ours"}))
    with pytest.raises(ValueError, match="example"):
        MachineRecord(name="a rig", shop=EXAMPLE.shop)
    only_laser, left = equipment_of(OWN.model_copy(update={"shop": EXAMPLE.shop}), MachineRecord(name="a rig"), NOW)
    assert (only_laser.laser, only_laser.shop, len(left)) == (HEAD, Shop(), 1)


def test_a_job_takes_what_its_machine_has() -> None:
    """The machine's answers, labels and eyewear go first; its laser stands where the job's is an example's."""
    machine = full_machine()
    asked = Program(can_change_setting=True, can_store_start=True, labels={"power": "P", "pause": "Wait"})
    job = equipped(EXAMPLE.model_copy(update={"program": asked}), machine)
    assert job.laser == HEAD
    assert job.shop.eyewear == (PAIR,)
    facts = (job.program.can_pause, job.program.can_change_setting, job.program.can_store_start)
    assert facts == (True, False, True)
    assert job.program.least_pause_s == 0.5
    assert job.program.labels == {"power": "Output", "speed": "Rate", "pause": "Wait"}
    assert equipped(job, machine) == job


def test_what_the_machine_lacks_stays_the_job_s() -> None:
    """An own laser stays, a laser that only the job lists goes on being warned of, answers of the job count."""
    other = HEAD.model_copy(update={"name": "borrowed source"})
    lone = OtherLaser(name="engraver", wavelength_nm=450, power_w=5)
    shop = Shop(other_lasers=(lone, POINTER.model_copy(update={"power_w": 1.0})))
    own = OWN.model_copy(update={"laser": other, "shop": shop, "program": CAN})
    job = equipped(own, full_machine())
    assert job.laser == other
    assert job.shop.other_lasers == (POINTER, lone)
    assert equipped(own, MachineRecord(name="new machine")) == own


def test_the_plan_is_made_with_the_machine_s_laser(tmp_path: Path) -> None:
    """A job on an example's laser that names the machine is planned for the person's own, without a banner."""
    save_machine(full_machine(), tmp_path)
    job = EXAMPLE.model_copy(update={"machine": "Boathouse rig"})
    there = on_its_machine(job, tmp_path)
    assert (there.laser.name, there.program.can_change_setting) == (HEAD.name, False)
    made = plan_of(there)
    assert BANNER not in made.safety.example
    assert made.removal.last_when is None
    assert BANNER in plan_of(EXAMPLE).safety.example


def plan_of(job: Job) -> Any:
    return plan_for(job, draws=50)


def test_a_changed_laser_ends_a_proof_and_a_changed_label_does_not() -> None:
    """Answers and labels are no setup; another laser in the machine's file is one for a job that has no own."""
    other = EXAMPLE.model_copy(update={"program": CAN})
    assert setup_changes(EXAMPLE, other) == []
    again = with_laser_of(
        full_machine(), OWN.model_copy(update={"laser": HEAD.model_copy(update={"name": "new"})}), NOW
    )
    assert len(again.changes) == len(full_machine().changes) + 1
    assert with_laser_of(full_machine(), OWN, NOW) == full_machine()


def test_a_proof_knows_the_laser_of_the_machine(tmp_path: Path) -> None:
    """A proof is held against the machine's laser for a job on an example's, and not for one with its own."""
    save_machine(full_machine(), tmp_path)
    own, without = (
        machine_run(job.model_copy(update={"machine": "Boathouse rig"}), machines=tmp_path) for job in (OWN, EXAMPLE)
    )
    assert own.readings == ()
    assert [one.of for one in without.readings] == ["changed: laser"]
    assert without.corrected(EXAMPLE).laser.name == HEAD.name


@pytest.mark.parametrize("name", FACTS)
def test_each_question_is_answered_by_yes_no_or_not_asked(name: str) -> None:
    """And by nothing else; an answer can be taken back."""
    field = FACTS[name][0]
    for text, answer in ANSWERS.items():
        assert getattr(program_with(CAN, {name: text}), field) is answer
    with pytest.raises(Refused) as caught:
        program_with(CAN, {name: "perhaps", "least-pause": "3 kg", "label.powr": "", "turns": "yes"})
    assert [fault.where for fault in caught.value.faults] == [name, "least-pause", "label.powr", "turns"]
    with pytest.raises(Refused, match=r'-3 s is less than 0: write for example "0.5 s"'):
        program_with(CAN, {"least-pause": "-3 s"})


def test_the_command_keeps_answers_labels_and_equipment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Said once, shown by both commands, as JSON too; nothing is written where anything is refused."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    assert main(["machine", "record", "program"]) == 0
    assert not (tmp_path / "rigs").exists()
    assert main(["machine", "record", "program", "pause=perhaps", "change-setting=no"]) == 2
    assert main(["machine", "record", "program", "pause"]) == 2
    assert main(["machine", "record", "program", "change-setting=no", "--from", "regatta-bottle"]) == 2
    assert not (tmp_path / "rigs").exists()
    mine = tmp_path / "mine.toml"
    mine.write_text(job_text(OWN), "utf-8")
    said = [
        "machine",
        "record",
        "program",
        "pause=yes",
        "least_pause=500 ms",
        "change-setting=no",
        "repeat-slice=not asked",
    ]
    assert main([*said, "--label", "power=Output", "--label", "line-spacing=x", "--from", str(mine)]) == 0
    assert main(["machine", "record", "program", "--label", "line_spacing="]) == 0
    capsys.readouterr()
    kept = load_machine("main", tmp_path / "rigs")
    assert kept.program == CAN.model_copy(update={"labels": {"power": "Output"}})
    assert (kept.laser, kept.shop) == (OWN.laser, OWN.shop)
    assert main(["machine", "list", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == ["main"]
    for command in (["machine", "show"], ["machine", "record", "program"]):
        assert main(command) == 0
        told = capsys.readouterr().out
        assert all(text in told for text in ("0.5 s", 'calls "power":', "Output", HEAD.name, PAIR.name, POINTER.name))
        assert main([*command, "--json"]) == 0
        tables = json.loads(capsys.readouterr().out)
        assert tables["program"]["labels"] == {"power": "Output"}
        assert tables["laser"]["focal_length_mm"] == 254
        assert "turn" in tables["known"]


def test_a_job_file_without_a_laser_gets_its_machine_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the command line and for the screen; where the machine has none, it is asked for."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    text = examples()["regatta-bottle"].read_text("utf-8").replace('use_laser = "', 'machine = "Boathouse rig" # "')
    path = tmp_path / "bottle.toml"
    path.write_text(text, "utf-8")
    assert main(["plan", str(path), "--samples", "0"]) == 2
    assert 'there is no machine "Boathouse rig"' in capsys.readouterr().err
    save_machine(full_machine(), tmp_path / "rigs")
    assert main(["plan", str(path), "--samples", "0", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["job"]["laser"]["name"] == HEAD.name
    assert job_from_data(tables_of_job(path)).laser == HEAD
    assert "laser" not in with_its_laser({"machine": "Boathouse rig", "use_laser": "fibre-30w-160"})


def test_readings_correct_the_machine_s_laser_too() -> None:
    """What was read at the machine goes on top of the laser and lens that its file has."""
    assert (EXAMPLE.laser.field_axis, HEAD.field_axis) == ("y", "x")
    across = {"kind": "field", "at": NOW, "axis": "y", "drawn": "100 mm", "measured": "99 mm"}
    machine = with_reading(full_machine(), reading_from_data(across))
    # The axis of the machine's field says which reading corrects the slices' width.
    assert correction(EXAMPLE, machine).scale_across == pytest.approx(1 / 0.99, rel=1e-3)
    assert corrected(EXAMPLE, machine).laser.slice_wide_share == correction(EXAMPLE, machine).scale_across


def test_every_quantity_says_what_to_print_or_to_do() -> None:
    """A test that stands beside a quantity is one that is printed; where there is none, what to do stands there."""
    printed = {*tapes(plan(EXAMPLE, draws=0)), "seam-test"}
    for quantity in QUANTITIES.values():
        line = next(line for line in machine_lines(MachineRecord(name="a"), None) if f"{quantity.says}: " in line)
        does = line.rpartition("   (")[2].rstrip(")")
        assert does.startswith("mark one line") if quantity.tape not in printed else does == f"test: {quantity.tape}"
