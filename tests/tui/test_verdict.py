"""The thread that asks the core: the newest values only."""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tui.background.worker import CoreProcess, Worker
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge


def planning(tell: Callable[[Verdict], object], ask: Callable[[Request], Verdict]) -> Worker:
    """A worker for short tasks that are done in this process."""
    return Worker(tell, CoreProcess("", lambda request, _: ask(request)), lambda request, _: ask(request), short=True)


def test_of_a_burst_only_the_first_and_the_last_are_judged() -> None:
    """Typing fast never queues up work: what lies between the first key and the last is left out."""
    asked: list[int] = []
    done = threading.Event()

    def ask(request: Request) -> Verdict:
        asked.append(request.number)
        return Verdict(request.number)

    def tell(verdict: Verdict) -> None:
        if verdict.number == 30:
            done.set()

    worker = planning(tell, ask)
    with worker._wake:  # its thread can't take one between two asked
        for number in range(1, 31):
            worker.ask(Request(number, {}, "mm"))
    assert done.wait(60)
    worker.end()
    assert asked == [30]


def test_a_verdict_that_comes_after_the_end_is_not_told() -> None:
    """A desk that was left gets no more messages."""
    told: list[int] = []
    inside, go_on = threading.Event(), threading.Event()

    def ask(request: Request) -> Verdict:
        inside.set()
        go_on.wait(60)
        return Verdict(request.number)

    worker = planning(lambda verdict: told.append(verdict.number), ask)
    worker.ask(Request(1, {}, "mm"))
    assert inside.wait(60)
    worker.end()
    go_on.set()
    worker.join(60)
    assert told == []


def test_the_desk_rests_on_the_kept_readings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bottle: dict[str, Any]
) -> None:
    """What a proof patch taught counts on the desk as on the command line; a broken file of readings is told."""
    from rotary.store.readings import FILE_NAME

    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path))
    assert judge(Request(1, bottle, "mm")).plan is not None
    (tmp_path / FILE_NAME).write_text("no readings = at all", "utf-8")
    verdict = judge(Request(2, bottle, "mm"))
    assert verdict.plan is None
    assert FILE_NAME in verdict.faults[0][1]
