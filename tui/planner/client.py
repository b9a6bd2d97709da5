"""The planner: the core in a process that is kept, which answers to typing. No terminal in here."""

import logging
import os
from collections.abc import Callable
from typing import Final

from tui.background.tasks import Share
from tui.background.worker import CoreProcess, Worker
from tui.planner.request import Request, Verdict

WORKED_OUT: Final = "worked_out_names"
"""Where a model that came as names and values says which of them were no fields, but worked out of those."""

Planner = CoreProcess[Request, Verdict]


def planner_process(at_once: bool = True) -> Planner:
    """The core's process: started at once where there is a core to spare, else when it is first asked."""
    return CoreProcess("tui.planner.process", _here, at_once and can_spare_a_core())


def planner(tell: Callable[[Verdict], object], process: Planner | None = None) -> Worker[Request, Verdict]:
    """Asks for a plan of the newest values; without a process the core is asked in this one."""

    def told(verdict: Share | Verdict) -> None:
        if isinstance(verdict, Verdict):
            if verdict.bug is not None:
                logging.getLogger("tui").error("no plan: %s", verdict.bug)
            tell(verdict)

    return Worker(told, process or CoreProcess("", _here), _lost, short=True)


def _here(request: Request, _tell: object) -> Verdict:
    from tui.planner.verdict import judge

    return judge(request)


def _lost(request: Request, is_stopped: bool) -> Verdict:
    return Verdict(request.number) if is_stopped else _here(request, None)


def can_spare_a_core() -> bool:
    """Whether a second process would run beside this one, and not in turn with it."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    busy = os.getloadavg()[0] if hasattr(os, "getloadavg") else 0.0
    # On a machine that is busy anyway, the second process would take its time from the first frame.
    return cores >= 2 and busy <= cores - 1
