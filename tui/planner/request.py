"""What the core says of what is typed: asked in a thread of its own, the newest values first. No terminal in here."""

import logging
import os
import threading
import time
from collections.abc import Callable
from copy import deepcopy
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.errors import Fault, FileTrouble, Refused
from rotary.services.actions import with_time
from rotary.services.planning import plan_for
from rotary.services.profiles import timed_runs
from tui.form.fields import JobTables, Tables
from tui.planner.repeating import Today, quick_actions

if TYPE_CHECKING:
    from rotary.actions.models import Actions
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from tui.planner.repeating import RepeatShown

NOT_KEPT: Final = Today()

BURST_S: Final = 0.12
"""Changes that follow each other faster than this are a burst: only its first and its last are judged."""

REST_S: Final = 0.07
"""How long a burst has to be over before its last change is judged."""


class Request(NamedTuple):
    """Values to judge: which state of the fields they are, the job's tables, and the unit system shown.

    `kept` is the saved job that it was opened from; `typed` are the lengths that stand there as they were typed, the
    last one first: name, text, value [mm]; `unasked` are the choices of a new job that nobody has made: without them
    there is no plan; a font of the words lies `beside` the job.
    """

    number: int
    data: JobTables
    system: str
    kept: Today = NOT_KEPT
    typed: tuple[tuple[str, str, float], ...] = ()
    unasked: tuple[str, ...] = ()
    beside: str = ""


class Verdict(NamedTuple):
    """What came of a request: the plan and its job, or the faults as (dotted name, sentence).

    `machine` is the name of the machine that was planned with, then what a person should know of it; `repeat` how the
    job stands to a proof, where it was opened from a proven profile. `actions` are what a person does, in words, with
    the artwork not laid out yet; `words` is how an inscription comes out: "passes" or "fails", and a line.
    """

    number: int
    plan: "Plan | None" = None
    job: "Job | None" = None
    faults: tuple[tuple[str, str], ...] = ()
    bug: BaseException | None = None
    machine: tuple[str, ...] = ()
    repeat: "RepeatShown | None" = None
    actions: "Actions | None" = None
    words: tuple[str, str] = ("", "")


def judge(request: Request) -> Verdict:
    """Ask the core for a plan; whatever comes of it is a verdict."""
    try:
        return _judged(request)
    except Exception as trouble:
        # A fault of ours must not take the screen and the typed work with it: it is logged and said.
        logging.getLogger("tui").exception("no plan")
        says = f"these values found a fault in rotary itself ({type(trouble).__name__}): change the last one back"
        return Verdict(request.number, None, None, (("", says),), trouble)


def load() -> None:
    """Load the heavy libraries: here, at the first request, and nowhere else."""
    # Looking for plugins that nobody has costs a tenth of the libraries' start.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    import rotary.sentences.plan  # noqa: F401


def _judged(request: Request) -> Verdict:
    load()
    from rotary.job import job_from_data
    from rotary.sentences.plan import plan_in_words

    job = None
    told: tuple[str, ...] = ()
    try:
        job = job_from_data(request.data, units=request.system)
        if request.unasked:
            raise Refused([Fault(where, "is missing: choose it", "missing") for where in request.unasked])
        told = _machine_told(job)
        made, words = _planned(job, request)
        stands = _standing(request, job, made)
        seen, actions = _shown(stands, request.system), quick_actions(made, stands, request.system)
        actions = with_time(actions, made, timed_runs(Path(request.kept.kept) if request.kept.kept else None))
        return Verdict(
            request.number, plan_in_words(made), job, machine=told, repeat=seen, actions=actions, words=words
        )
    except Refused as refused:
        faults = _at_their_cause(request, refused.faults)
        seen = _shown(_standing(request, job, None), request.system)
        pairs = tuple((fault.where, fault.says) for fault in faults)
        return Verdict(request.number, None, job, pairs, machine=told, repeat=seen)
    except FileTrouble as trouble:
        return Verdict(request.number, None, job, (("", str(trouble)),))


def _planned(job: "Job", request: Request) -> "tuple[Plan, tuple[str, str]]":
    """The plan of what is marked, and how words come out where there are some."""
    if not job.is_inscribed:
        return plan_for(job), ("", "")
    from rotary.inscription.actions import marks_of
    from rotary.inscription.card import words_line

    made, facts = marks_of(job, plan_for, Path(request.beside))
    return made, words_line(facts, request.system) if facts is not None else ("", "")


def _at_their_cause(request: Request, faults: "tuple[Fault, ...]") -> "tuple[Fault, ...]":
    """The faults; where one typed value alone makes the job impossible, that one with its likely repair."""
    from rotary.sentences.repairs import repair_text
    from rotary.services.repairs import TypedLength, likely_repair, unusual_length

    typed, blamed = [TypedLength(*one) for one in request.typed], {fault.where for fault in faults}
    empty = tuple(fault for fault in faults if fault.kind)
    repair = None if empty else likely_repair(typed, blamed, request.system, partial(_with_value, request))
    repair = repair or unusual_length(typed, request.system)
    if repair is None:
        return faults
    return (Fault(repair.where, repair_text(repair.text, repair.likely, repair.too_big)), *empty)


def _with_value(request: Request, where: str, text: str) -> JobTables:
    from tui.form.tables import put

    tables: Tables = deepcopy(dict(request.data))
    put(tables, where, text)
    return tables


def _standing(request: Request, job: "Job | None", made: "Plan | None") -> "Repeat | None":
    if not request.kept.kept or job is None:
        return None
    from tui.planner.repeating import repeat_of_kept

    return repeat_of_kept(request.kept, job, made, request.system, Path(request.beside))


def _shown(repeat: "Repeat | None", system: str) -> "RepeatShown | None":
    if repeat is None:
        return None
    from tui.planner.repeating import shown

    return shown(repeat, system)


def _machine_told(job: "Job") -> tuple[str, ...]:
    """The name of the machine that a job goes by, and what has lapsed there; nothing where it names none.

    Raises Refused where nothing is kept of that machine.
    """
    if not job.machine.strip():
        return ()
    from rotary.machine.lookup import machine_of, machine_summary

    machine = machine_of(job)
    return () if machine is None else machine_summary(machine, job.item.name)


class Judge:
    """One thread that takes the newest request only and hands each verdict to `tell`, which must be safe to call."""

    def __init__(self, tell: Callable[[Verdict], object], ask: Callable[[Request], Verdict] = judge) -> None:
        self._tell, self._ask = tell, ask
        self._newest: Request | None = None
        self._came_s = self._before_s = float("-inf")
        self._wake = threading.Condition()
        self._stopped = False
        self._thread = threading.Thread(target=self._work, name="judge", daemon=True)

    def start(self) -> None:
        """Begin to work; called once the first frame is painted."""
        self._thread.start()

    def submit(self, request: Request) -> None:
        """Put a request in place of any that still waits."""
        with self._wake:
            self._before_s, self._came_s = self._came_s, time.monotonic()
            self._newest = request
            self._wake.notify()

    def rested_s(self) -> float:
        """How long ago the last request came."""
        return time.monotonic() - self._came_s

    def stop(self) -> None:
        """No more verdicts from here on."""
        with self._wake:
            self._stopped = True
            self._wake.notify()

    def join(self, timeout_s: float) -> None:
        """Wait for the thread to end."""
        self._thread.join(timeout_s)

    def _work(self) -> None:
        while True:
            with self._wake:
                while self._newest is None and not self._stopped:
                    self._wake.wait()
                while not self._stopped and self._came_s - self._before_s < BURST_S:
                    rest_s = self._came_s + REST_S - time.monotonic()
                    if rest_s <= 0:
                        break
                    self._wake.wait(rest_s)
                if self._stopped:
                    return
                request, self._newest = self._newest, None
            if request is not None:
                verdict = self._ask(request)
                if not self._stopped:
                    self._tell(verdict)
