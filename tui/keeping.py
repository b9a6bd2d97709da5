"""Keeping the job on the desk as a profile. No terminal in here; the core is loaded where it is used."""

from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.store.record import AsRun
    from tui.session import Session


def save(session: "Session", folder: Path | None = None) -> str:
    """Keep the job as a profile under the item's name; what went wrong, or nothing."""
    from rotary.errors import RotaryError
    from rotary.job import job_from_data
    from rotary.store.keeping import keep
    from rotary.store.places import profile_folder

    try:
        job = job_from_data(session.data(), units=session.system)
        numbers = None if session.stale else _run_of(session.plan, job)
        # Under the name that it was opened from, unless the person has called the item something else since.
        kept_as, item_name = session.kept_as
        same = job.item.name == item_name
        name = kept_as if kept_as and same else job.item.name
        kept = keep(job, name, folder or profile_folder(), numbers, session.follows if same else None)
    except RotaryError as trouble:
        return str(trouble).splitlines()[0]
    says = f"version {kept.label} of {kept.name}\n{kept.conflict or kept.path.parent}"
    session.saved(kept.stamp, (kept.name, job.item.name), says, str(kept.path))
    return ""


def _run_of(plan: Any, job: "Job") -> "AsRun":
    """The numbers of a plan and their sheet; it may have come from another process, without the core's classes."""
    from rotary.plan import Plan
    from rotary.repeat.run import whole_run

    if isinstance(plan, Plan):
        return whole_run(plan)
    tables = {name: value for name, value in _tables(plan).items() if name in Plan.model_fields}
    return whole_run(Plan.model_validate({**tables, "job": job}))


def _tables(thing: Any) -> Any:
    """Names and values as tables that the core's classes read."""
    if isinstance(thing, SimpleNamespace):
        return {name: _tables(value) for name, value in vars(thing).items()}
    return tuple(map(_tables, thing)) if isinstance(thing, tuple) else thing
