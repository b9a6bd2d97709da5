"""The core in a process of its own: the same answers, whatever becomes of the process."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.patience import until
from tui.background.worker import CoreProcess
from tui.drawings.pictures import PICTURES, picture
from tui.planner import client as apart_module
from tui.planner.client import planner_process
from tui.planner.judging import judge
from tui.planner.request import Request

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def apart(monkeypatch: pytest.MonkeyPatch) -> Any:
    """A core apart, however busy the machine is."""
    monkeypatch.setattr(apart_module, "can_spare_a_core", lambda: True)
    started = planner_process()
    yield started
    started.close()


@pytest.mark.slow
def test_the_other_process_answers_as_this_one_does(apart: CoreProcess, bottle: dict[str, Any]) -> None:
    """Every picture drawn from the plan that came through the pipe is the picture of the plan made here."""
    request = Request(7, bottle, "mm")
    there, here = apart.ask(request), judge(request)
    assert apart.process is not None
    assert there.number == 7
    for name in PICTURES:
        assert picture(name, there.plan, "mm", 70, 20) == picture(name, here.plan, "mm", 70, 20)


def test_faults_come_through(apart: CoreProcess, bottle: dict[str, Any]) -> None:
    """What is wrong is said in the same words, at the same field."""
    wrong = {**bottle, "item": {**bottle["item"], "wall": "-1 mm"}}
    there, here = apart.ask(Request(1, wrong, "mm")), judge(Request(1, wrong, "mm"))
    assert there.faults == here.faults
    assert "item.wall" in dict(there.faults)
    assert apart.process is not None


def test_a_process_that_has_ended_costs_no_answer(apart: CoreProcess, bottle: dict[str, Any]) -> None:
    """Where the process was killed, another answers."""
    process = apart.process
    assert process is not None
    process.kill()
    process.wait(60)
    assert apart.ask(Request(2, bottle, "mm")).plan is not None
    assert apart.process not in (None, process)


@pytest.mark.slow
def test_on_a_busy_machine_the_process_waits_for_the_first_question(
    monkeypatch: pytest.MonkeyPatch, bottle: dict[str, Any]
) -> None:
    """Without a core to spare nothing takes time from the first frame."""
    monkeypatch.setattr(apart_module, "can_spare_a_core", lambda: False)
    later = planner_process()
    assert later.process is None
    assert later.ask(Request(3, bottle, "mm")).plan is not None
    assert later.process is not None
    later.close()


def test_where_no_process_can_be_the_answer_comes_from_this_one(
    monkeypatch: pytest.MonkeyPatch, bottle: dict[str, Any]
) -> None:
    """Without a second interpreter the desk works all the same."""
    monkeypatch.setattr(sys, "executable", "")
    alone = planner_process()
    assert alone.ask(Request(4, bottle, "mm")).plan is not None
    assert alone.process is None


def test_the_process_ends_with_the_one_that_started_it() -> None:
    """Killed outright, the screen leaves nothing running behind it."""
    code = (
        "from tui.planner import client as apart; apart.can_spare_a_core = lambda: True\n"
        "print(apart.planner_process().process.pid, flush=True); import time; time.sleep(60)"
    )
    parent = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    child = int(parent.stdout.readline())
    parent.kill()
    parent.wait(60)
    parent.stdout.close()
    until(lambda: not _runs(child))


def _runs(pid: int) -> bool:
    state = Path(f"/proc/{pid}/stat")
    if not Path("/proc").exists():
        pytest.skip("no list of processes to look at")
    return state.exists() and state.read_text().rpartition(")")[2].split()[0] != "Z"
