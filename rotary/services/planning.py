"""The plan of a job as every front end makes it: for the machine as measured, after what was read.

Front ends import this at once, so it loads the core only when it is called.
"""

from typing import TYPE_CHECKING

from rotary.services import USUAL_DRAWS, USUAL_FOLDERS, Folders

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan


def plan_for(job: "Job", folders: Folders = USUAL_FOLDERS, draws: int = USUAL_DRAWS) -> "Plan":
    """The plan of a job for the machine as measured that it names, with the readings of its coating or metal; of a
    shipped example with those that ship with it.

    The draws choose the setting, and with it the focal plane that a sheet is drawn for: what goes with the card must
    be planned with as many as the card. Raises Refused, or FileTrouble where readings are kept that can't be read.
    """
    from rotary.plan import plan
    from rotary.store.depths import depth_readings
    from rotary.store.places import profile_folder
    from rotary.store.readings import invented_readings, readings_in

    profiles = folders.profiles or profile_folder()
    readings = (*readings_in(profiles), *invented_readings(job))
    if job.machine.strip():
        from rotary.machine.lookup import on_its_machine

        job = on_its_machine(job, folders.machines)
    return plan(job, draws, readings, depth_readings(profiles))
