"""A kept job for the machine as measured, with what was read at that machine."""

import argparse
from typing import TYPE_CHECKING

from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.store.record import RigReading


def on_rig(job: "Job", asked: argparse.Namespace) -> "tuple[Job, str, tuple[RigReading, ...]]":
    """The job for the machine as measured, where one is asked for, with its name and what was read at it."""
    if asked.rig is None:
        return job, "", ()
    from rotary.files import is_there
    from rotary.rig.correct import corrected
    from rotary.rig.store import load_rig, readings_told, rig_folder, rig_path
    from rotary.store.joining import rig_readings

    folder = rig_folder(asked.rigs)
    if not is_there(rig_path(asked.rig, folder)):
        raise FileTrouble(f"no readings of a machine named {brief(asked.rig)} are kept: keep some with rotary gauge")
    rig = load_rig(asked.rig, folder)
    return corrected(job, rig), rig.name, rig_readings(readings_told(rig))
