"""The core in a process of its own: the same answers, whatever becomes of the process."""

import io
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.patience import until
from tests.tui.conftest import Person
from tui.app import Rotary
from tui.background import worker
from tui.background.tasks import Done, Errand
from tui.background.worker import MOST_BEGUN, READY, CoreProcess, send
from tui.drawings.pictures import PICTURES, picture
from tui.planner import client as apart_module
from tui.planner.client import Planner, planner, planner_process
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge
from tui.screens.desk_work import SLOW

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def apart(monkeypatch: pytest.MonkeyPatch) -> Any:
    """A core apart, however busy the machine is."""
    monkeypatch.setattr(apart_module, "can_spare_a_core", lambda: True)
    started = planner_process()
    yield started
    started.close()


class Scripted:
    """A process that has already written what it will; it takes its time to end once it is killed."""

    def __init__(self, *answers: str, is_ready: bool = True) -> None:
        self.stdin, self.stdout, self.kills = io.BytesIO(), io.BytesIO(), 0
        if is_ready:
            self.stdout.write(READY)
        for answer in answers:
            send(self.stdout, pickle.dumps(Done("artwork", "1", answer)))
        self.stdout.seek(0)

    def poll(self) -> None:
        return None

    def wait(self, _timeout_s: float) -> None:
        return None

    def kill(self) -> None:
        self.kills += 1
        self.stdout.seek(0, io.SEEK_END)


@pytest.fixture
def scripted(monkeypatch: pytest.MonkeyPatch) -> list[Scripted]:
    """The processes that are begun, in their order."""
    waiting: list[Scripted] = []
    monkeypatch.setattr(worker, "started", lambda module: waiting.pop(0) if module == "any" else None)
    return waiting


TASK = Errand("artwork", "1", {}, "mm", "")


def test_a_process_that_was_stopped_gets_no_other_task(scripted: list[Scripted]) -> None:
    """It may look alive for a moment still: the next task goes to another one."""
    first, second = Scripted("one", "never"), Scripted("two")
    scripted += [first, second]
    core: CoreProcess[Errand, Done] = CoreProcess("any", lambda *_: Done("", "", "here"))
    assert core.ask(TASK).answer == "one"
    core.stop()
    core.is_stopped = False
    # As it was before the kill came through.
    first.stdout.seek(0)
    first.stdout.read(len(READY))
    assert core.ask(TASK).answer == "two"


def test_what_was_stopped_before_its_process_stood_is_not_done(scripted: list[Scripted]) -> None:
    """Nobody wants the answer: the process is ended as soon as there is one."""
    begun = Scripted("unwanted")
    scripted.append(begun)
    core: CoreProcess[Errand, Done] = CoreProcess("any", lambda *_: Done("", "", "here"))
    core.stop()
    with pytest.raises(EOFError):
        core.ask(TASK)
    assert begun.kills


def test_processes_that_end_before_they_are_ready_are_begun_so_often_and_no_more(scripted: list[Scripted]) -> None:
    """One that can't load ends at once each time: after a few the work is done here, and that can be told."""
    scripted += [Scripted(is_ready=False) for _ in range(MOST_BEGUN)]
    core: CoreProcess[Errand, Done] = CoreProcess("any", lambda *_: Done("", "", "here"))
    for _ in range(MOST_BEGUN):
        assert not core.is_given_up
        with pytest.raises(EOFError):
            core.ask(TASK)
    assert core.is_given_up
    assert core.ask(TASK).answer == "here"


@pytest.mark.parametrize("is_ready", [True, False])
def test_those_that_are_stopped_while_they_load_or_end_over_their_work_count_for_nothing(
    scripted: list[Scripted], is_ready: bool
) -> None:
    """Typing stops many, and a large drawing may take more memory than there is."""
    scripted += [Scripted(is_ready=is_ready) for _ in range(MOST_BEGUN)]
    core: CoreProcess[Errand, Done] = CoreProcess("any", lambda *_: Done("", "", "here"))
    for _ in range(MOST_BEGUN):
        core.is_stopped = not is_ready
        with pytest.raises(EOFError):
            core.ask(TASK)
    assert not core.is_given_up


def test_a_plan_whose_process_was_lost_is_made_here(scripted: list[Scripted], bottle: dict[str, Any]) -> None:
    """The person gets the numbers all the same; of what nobody wants any more there are none."""
    told: list[Verdict] = []
    scripted.append(Scripted(is_ready=False))
    asking = planner(told.append, CoreProcess("any", lambda *_: Verdict(0)))
    asking.ask(Request(5, bottle, "mm"))
    until(lambda: told)
    assert told[0].number == 5
    assert told[0].plan is not None
    assert asking._lost(Request(6, bottle, "mm"), True) == Verdict(6)
    asking.end()


async def test_the_screen_tells_once_that_a_part_of_it_does_not_start(
    scripted: list[Scripted], bottle: dict[str, Any]
) -> None:
    """One plain sentence, and the numbers come."""
    scripted += [Scripted(is_ready=False) for _ in range(MOST_BEGUN)]
    core: Planner = CoreProcess("any", lambda request, _: judge(request))
    app = Rotary(bottle, core=core)
    async with app.run_test(size=(100, 30)) as pilot:
        person = Person(app, pilot)
        for place in range(MOST_BEGUN + 1):
            said = app.desk.session.verdict
            await person.press(str(place))
            await person.until(lambda said=said: app.desk.session.verdict is not said)  # type: ignore[misc]
        assert [note.message for note in app._notifications] == [SLOW]


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
