"""A kept job for the machine as measured, with what was read at that machine."""

import argparse
from typing import TYPE_CHECKING

from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.repeat.machine import MachineRun


def named_rig(job: "Job", asked: argparse.Namespace) -> "Job":
    """The job with the rig that is asked for, if one is; raises FileTrouble where nothing is kept of that one."""
    if asked.rig is None:
        return job
    from rotary.files import is_there
    from rotary.rig.store import rig_file, rig_folder

    if not is_there(rig_file(asked.rig, rig_folder(asked.rigs))):
        raise FileTrouble(f"no readings of a machine named {brief(asked.rig)} are kept: keep some with rotary gauge")
    return job.model_copy(update={"rig": asked.rig})


def machine_asked_for(job: "Job", asked: argparse.Namespace, proven_at: str = "") -> "MachineRun":
    """The machine as measured that is asked for or that the job names."""
    from rotary.repeat.machine import NO_MACHINE, machine_of
    from rotary.rig.store import rig_folder

    named = getattr(asked, "rig", None)
    if named is None and not job.rig:
        return NO_MACHINE
    return machine_of(
        job if named is None else named_rig(job, asked), proven_at, rig_folder(getattr(asked, "rigs", None))
    )
