"""The machine's program on the screen: asked once, by keys alone, at the smallest size."""

from pathlib import Path

import pytest

from rotary.actions.verdict import step
from rotary.errors import Refused
from rotary.job import job_from_file
from rotary.machine.record import MachineRecord
from rotary.machine.store import load_machine
from rotary.plan import plan
from rotary.program import Program
from rotary.shipped import examples
from rotary.shop import Shop
from tui.screens.machine_pages import Bench, Reader
from tui.screens.machine_program import BOTH, EYEWEAR, TAKE, ProgramPage

from .conftest import Desk


@pytest.mark.slow
async def test_answers_and_names_are_kept_by_keys_alone(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 80 × 24: an answer changed, undone, made again; a name typed; Ctrl+S keeps both; an example gives nothing."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    async with desk(80, 24) as person:
        await person.press("ctrl+r")
        await person.see("0 readings")
        await person.see("Can the program pause")
        await person.press("right")
        await person.see("yes ▾")
        await person.press("enter")
        await person.see("> yes")
        await person.press("f7")
        await person.until(lambda: "> " not in person.screen())
        assert "yes ▾" not in person.screen()
        await person.press("ctrl+y", "down")
        await person.write("0.5")
        await person.press("down", "right", "right")
        assert "no ▾" in person.screen()
        await person.press(*["down"] * 3, "right")
        await person.see("are examples")
        await person.press("ctrl+s")
        await person.see("not done")
        assert not (tmp_path / "rigs").exists()
        await person.press("left", *["down"] * 7)
        await person.write("Output")
        await person.see('calls "power"')
        await person.press("ctrl+s")
        await person.see("saved for the machine")
        program = load_machine("main", tmp_path / "rigs").program
        assert (program.can_pause, program.least_pause_s, program.can_change_setting) == (True, 0.5, False)
        assert program.labels == {"power": "Output"}


async def test_the_key_of_a_step_opens_the_page_that_the_step_is_about(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A step that asks about the program leads to its questions; no step, or a machine test, to the readings."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    async with desk(120, 40) as person:
        actions = person.session.actions
        assert actions is not None
        cases = {("program", "write_file"): "program", ("machine_test", "program"): "readings", (): "readings"}
        for steps, page in cases.items():
            chosen = tuple(step(name, 1) for name in steps)
            person.session.actions = actions.model_copy(update={"steps": chosen})
            await person.press("ctrl+r")
            await person.see(f"[{page}]")
            await person.press("escape")


def test_of_all_that_a_job_has_only_its_own_is_taken(tmp_path: Path) -> None:
    """A laser of one's own goes to the machine's file, while the job still lists an example's eyewear."""
    job = job_from_file(examples()["boathouse-mug"])
    head = job.laser.model_copy(update={"use": "", "name": "mine", "rated_power_w": 21.0})
    mine, machine = job.model_copy(update={"laser": head}), MachineRecord(name="main")
    bench = Bench(mine, machine, tmp_path, None, None, {}, (), "main")
    ProgramPage().keep(bench, Reader({TAKE: BOTH}))
    kept = load_machine("main", tmp_path)
    assert kept.laser is not None
    assert (kept.laser.name, kept.shop) == ("mine", Shop())
    with pytest.raises(Refused, match="lists no eyewear"):
        ProgramPage().keep(bench, Reader({TAKE: EYEWEAR}))


def test_what_the_plan_depends_on_is_asked_first(tmp_path: Path) -> None:
    """Of four questions one is open for this plan: it stands at the top, the three others below a line of their own."""
    job = job_from_file(examples()["regatta-bottle"])
    program = Program(can_pause=True, can_repeat_slice=True)
    made = plan(job.model_copy(update={"program": program}), draws=0)
    rows = ProgramPage().rows(Bench(job, MachineRecord(name="main"), tmp_path, made, None, {}, (), "main"))
    titles = [place for place, row in enumerate(rows) if not row.cells]
    assert [cell.key for row in rows[: titles[1]] for cell in row.cells] == ["change-setting"]
    assert {cell.key for row in rows[titles[1] : titles[2]] for cell in row.cells} >= {"pause", "repeat-slice"}
