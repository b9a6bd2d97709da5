"""The job that a command names: its file, its drawings, its plan, and how it stands as a profile."""

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.output import say
from rotary.errors import FileTrouble, brief
from rotary.services import USUAL_DRAWS, Folders
from rotary.services.planning import plan_for
from rotary.services.profiles import MachineAt, proven_profile

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.store.keeping import OpenedProfile


def path_of_job(name: str) -> Path:
    """The file that JOB names: a file of that name, else the shipped example, else the newest of a kept profile."""
    from rotary.files import is_file, is_there
    from rotary.shipped import examples

    path = Path(name)
    shipped = examples()
    if name in shipped and not is_file(path):
        return shipped[name]
    return path if is_there(path) else _kept_path(name) or path


def _kept_path(name: str) -> Path | None:
    """The newest version of a profile of this name; None where nothing is kept under it, or the store can't be read."""
    from rotary.errors import RotaryError
    from rotary.store.keeping import located
    from rotary.store.places import profile_folder, versions

    try:
        folder = profile_folder()
        return versions(folder / located(name, folder).home)[-1].path
    except (RotaryError, IndexError):
        return None


def drawings_folder(name: str) -> Path:
    """The folder from which a job's drawings count: the job's own, or this one where it comes from the store."""
    return Path() if name == "-" or is_profile(name) else path_of_job(name).parent


def is_profile(name: str) -> bool:
    """Whether a job comes from the store, which holds no drawings."""
    from rotary.store.places import profile_folder

    return name != "-" and profile_folder().resolve() in path_of_job(name).resolve().parents


def repeat_of_job(asked: argparse.Namespace) -> "Repeat | None":
    """How the profile stands that JOB names; None where it is a job without a proof."""
    if asked.job == "-":
        return None
    found = proven_profile(path_of_job(asked.job))
    return None if found is None else repeat_asked_for(found, found.profile.job, asked)


def plan_to_draw(asked: argparse.Namespace, method: str = "") -> "Plan":
    """The plan that files are drawn for: with the numbers that were run, where JOB names a profile that is proven.

    `method` is how what is drawn is divided; a proof of the other way does not hold for it.
    """
    repeat = repeat_of_job(asked)
    if repeat is not None and repeat.run is not None:
        if method and not repeat.job.item.flats and repeat.run.slices > 1 and repeat.run.method != method:
            proven = "rotary sheet" if method == "plain" else "rotary flat"
            say(f"TEST FIRST: what was proven is the file of {proven}. This one needs other numbers.\n")
            return repeat.to_draw(USUAL_DRAWS)
        say(f"{repeat.verdict}: {repeat.banner}\n  drawn for the numbers that were run\n")
        return repeat.to_draw(USUAL_DRAWS)
    return plan_asked_for(asked, USUAL_DRAWS)


def job_of(name: str) -> "Job":
    """The job that JOB names."""
    from rotary.files import LARGEST_JOB_BYTES
    from rotary.job import job_from_bytes, job_from_file
    from rotary.rig.machine import with_its_laser

    if name != "-":
        return job_from_file(path_of_job(name), with_its_laser)
    if sys.stdin is None:
        raise FileTrouble("there is no standard input to read: name a job file")
    return job_from_bytes(sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1), "the standard input", with_its_laser)


def plan_asked_for(asked: argparse.Namespace, draws: int) -> "Plan":
    """The plan of the job, for the machine as measured that is asked for or that the job names."""
    from rotary.rig.store import rig_folder

    return plan_for(named_rig(job_of(asked.job), asked), Folders(machines=rig_folder(asked.rigs)), draws)


def named_rig(job: "Job", asked: argparse.Namespace) -> "Job":
    """The job with the rig that is asked for, if one is; raises FileTrouble where nothing is kept of that one."""
    if getattr(asked, "rig", None) is None:
        return job
    from rotary.files import is_there
    from rotary.rig.store import rig_file, rig_folder

    if not is_there(rig_file(asked.rig, rig_folder(asked.rigs))):
        raise FileTrouble(f"no readings of a machine named {brief(asked.rig)} are kept: keep some with rotary gauge")
    return job.model_copy(update={"rig": asked.rig})


def system_of(asked: argparse.Namespace) -> str:
    """The system in which lengths are shown."""
    return "in" if asked.inches else "mm"


def repeat_asked_for(found: "OpenedProfile", job: "Job", asked: argparse.Namespace) -> "Repeat":
    """How a profile stands today, for the machine that is asked for."""
    from rotary.rig.store import rig_folder

    planned = partial(plan_for, draws=getattr(asked, "draws", USUAL_DRAWS))
    system = "in" if getattr(asked, "inches", False) else "mm"
    at = MachineAt(rig_folder(getattr(asked, "rigs", None)), named_rig(job, asked).rig)
    from rotary.inscription.actions import repeat_of_marks

    return repeat_of_marks(found, job, planned, system, at, drawings_folder(getattr(asked, "job", "-")))


def plan_of_marks_asked_for(made: "Plan", asked: argparse.Namespace, draws: int = USUAL_DRAWS) -> "Plan":
    """The plan of a job's words in place of its artwork's, where it has some; raises Refused where they don't fit."""
    if not made.job.is_inscribed:
        return made
    from rotary.inscription.actions import plan_of_marks
    from rotary.rig.store import rig_folder

    folders = Folders(machines=rig_folder(getattr(asked, "rigs", None)))
    return plan_of_marks(made.job, partial(plan_for, folders=folders, draws=draws), drawings_folder(asked.job))
