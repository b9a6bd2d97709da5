"""A kept job for the machine as measured, with what was read at that machine."""

import argparse
from typing import TYPE_CHECKING

from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.store.record import RigReading


def named_rig(job: "Job", asked: argparse.Namespace) -> "Job":
    """The job with the rig that is asked for, if one is; raises FileTrouble where nothing is kept of that one."""
    if asked.rig is None:
        return job
    from rotary.files import is_there
    from rotary.rig.store import kept_path, rig_folder

    if not is_there(kept_path(asked.rig, rig_folder(asked.rigs))):
        raise FileTrouble(f"no readings of a machine named {brief(asked.rig)} are kept: keep some with rotary gauge")
    return job.model_copy(update={"rig": asked.rig})


def on_rig(job: "Job", asked: argparse.Namespace, proven_at: str = "") -> "tuple[Job, str, tuple[RigReading, ...]]":
    """The job for the machine as measured, where one is asked for or named, its name and what was read at it.

    The name is the one that a proof was given with, where the same rig has another one now.
    """
    named = asked.rig if asked.rig is not None else job.rig
    if not named:
        return job, "", ()
    from rotary.rig.correct import corrected
    from rotary.rig.machine import answers_to, rig_of
    from rotary.rig.store import readings_told, rig_folder
    from rotary.store.joining import rig_readings

    rig = rig_of(named_rig(job, asked), rig_folder(asked.rigs))
    if rig is None:
        return job, "", ()
    name = proven_at if answers_to(rig, proven_at, rig_folder(asked.rigs)) else rig.name
    return corrected(job, rig), name, rig_readings(readings_told(rig))
