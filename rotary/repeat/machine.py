"""The machine of today, as measured: what a repeat is planned for, and what a proof is held against."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from rotary.job import Job
from rotary.machine.correct import corrected
from rotary.machine.lookup import answers_to, machine_of
from rotary.machine.record import ENTERED
from rotary.machine.store import reading_lines
from rotary.shipped import machine_folder
from rotary.store.proof_readings import machine_readings
from rotary.store.record import MachineReading


def _as_it_is(job: Job) -> Job:
    return job


@dataclass(frozen=True, slots=True)
class MachineRun:
    """The machine of today: what makes a job one for it as measured, its name, and what was read at it."""

    corrected: Callable[[Job], Job] = _as_it_is
    name: str = ""
    readings: tuple[MachineReading, ...] = ()


NO_MACHINE: Final = MachineRun()
"""None is named: jobs are planned as they stand."""


def machine_run(job: Job, proven_at: str = "", machines: Path | None = None) -> MachineRun:
    """The machine that a job names, as measured; raises Refused where nothing is kept of it.

    The name is the one that a proof was given with, where the same machine has another one now.
    """
    machine = machine_of(job, machines)
    if machine is None:
        return NO_MACHINE
    name = proven_at if answers_to(machine, proven_at, machines or machine_folder()) else machine.name
    # Another laser in the machine's file says nothing of a job that has its own.
    changes = tuple(one for one in machine.changes if job.laser.use or one.what != ENTERED)
    readings = machine_readings(reading_lines(machine.but(changes=changes)))
    return MachineRun(lambda other: corrected(other, machine), name, readings)
