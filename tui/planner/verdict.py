"""What the core says of what is typed. No terminal in here."""

import logging
import os
from copy import deepcopy
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.errors import Fault, FileTrouble, Missing, Refused, Unknown
from rotary.services.actions import with_time
from rotary.services.planning import plan_for
from rotary.services.profiles import timed_runs
from rotary.services.repairs import FAR, TypedLength, blamed_last, likely_repair, unusual_length
from tui.form.fields import JobTables, Tables
from tui.form.tables import put
from tui.planner.repeat import quick_actions, repeat_of_kept, repeat_shown
from tui.planner.request import Request, Verdict

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


def judge(request: Request) -> Verdict:
    """Ask the core for a plan; whatever comes of it is a verdict."""
    try:
        return _judged(request)
    except Exception as trouble:
        # A fault of ours must not take the screen and the typed work with it: it is logged and said.
        logging.getLogger("tui").exception("no plan")
        says = f"this is a fault in rotary itself ({type(trouble).__name__}): change the last value back"
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
            raise Refused([Fault(where, Missing("is missing: choose it")) for where in request.unasked])
        told = _machine_told(job)
        if slips := _unusual(request, FAR):
            return Verdict(request.number, None, job, slips, machine=told)
        made, words = _planned(job, request)
        stands, said = _standing(request, job, made), plan_in_words(made)
        # Of a plan in mm that nothing is known beside, they are its own.
        has_own = stands is None and request.system == "mm"
        actions = said.actions if has_own else quick_actions(made, stands, request.system)
        actions = with_time(actions, made, timed_runs(Path(request.kept.kept) if request.kept.kept else None))
        seen, unusual = repeat_shown(stands, request.system), _unusual(request)
        return Verdict(request.number, said, job, (), None, told, seen, actions, words, unusual)
    except Refused as refused:
        faults = _at_their_cause(request, refused.faults)
        seen = repeat_shown(_standing(request, job, None), request.system)
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

    typed, blamed = [TypedLength(*one) for one in request.typed], {fault.where for fault in faults}
    empty = tuple(fault for fault in faults if isinstance(fault.says, Missing | Unknown))
    repair = None if empty else likely_repair(typed, blamed, request.system, partial(_with_value, request))
    faults = tuple(
        fault if fault in empty else Fault(blamed_last(fault.where, request.last), fault.says) for fault in faults
    )
    if typed and typed[0].where.endswith(".round"):
        # Of two readings where one is enough, that which was typed last is one too many.
        other = f"{typed[0].where.removesuffix('round')}across"
        faults = tuple(Fault(typed[0].where, fault.says) if fault.where == other else fault for fault in faults)
    if repair is not None:
        return (Fault(repair.where, repair_text(repair.text, repair.likely, repair.too_big)), *empty)
    unusual = tuple(Fault(*one) for one in _unusual(request))
    return (*unusual, *empty) if unusual else faults


def _unusual(request: Request, beyond: float = 1.0) -> tuple[tuple[str, str], ...]:
    """The last typed of the lengths that no bench sees, and what was probably meant."""
    from rotary.sentences.repairs import repair_text

    found = unusual_length([TypedLength(*one) for one in request.typed], request.system, beyond)
    return ((found.where, repair_text(found.text, found.likely, found.too_big)),) if found else ()


def _with_value(request: Request, where: str, text: str) -> JobTables:
    tables: Tables = deepcopy(dict(request.data))
    put(tables, where, text)
    return tables


def _standing(request: Request, job: "Job | None", made: "Plan | None") -> "Repeat | None":
    if not request.kept.kept or job is None:
        return None
    return repeat_of_kept(request.kept, job, made, request.system, Path(request.beside))


def _machine_told(job: "Job") -> tuple[str, ...]:
    """The name of the machine that a job goes by, and what has lapsed there; nothing where it names none.

    Raises Refused where nothing is kept of that machine.
    """
    if not job.machine.strip():
        return ()
    from rotary.machine.lookup import machine_of, machine_summary

    machine = machine_of(job)
    return () if machine is None else machine_summary(machine, job.item.name)
