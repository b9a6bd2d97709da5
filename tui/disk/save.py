"""Keeping the job on the desk as a profile. No terminal in here; the core is loaded where it is used."""

from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from rotary.errors import Fault, Refused, RotaryError
from rotary.services.planning import plan_for
from rotary.services.profiles import SaveWish, save_job
from tui.planner.client import WORKED_OUT

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from tui.form.job_form import Session


def save(session: "Session", profiles: Path, beside: Path = Path()) -> Fault | None:
    """Keep the job, with drawings `beside` it, as a profile under the item's name; what went wrong."""
    from rotary.inscription.actions import drawn_marks, plan_of_marks
    from rotary.job import job_from_data

    if session.unasked:
        return Fault(min(session.unasked), "choose a value for this field before you save")
    try:
        job = job_from_data(session.data(), units=session.system)
        made = None if session.stale else plan_from(session.plan, job)
        # Under the name that it was opened from, unless the person has called the item something else since.
        kept_as, item_name = session.kept_as
        same = job.item.name == item_name
        name = kept_as if kept_as and same else job.item.name
        wish = SaveWish(name, session.follows if same else None)
        drawn_by = drawn_marks if job.is_inscribed else None
        if job.is_inscribed:
            made = plan_of_marks(made.job if made else job, plan_for, beside)
        kept = save_job(job, made, wish, profiles, beside, drawn_by)
    except Refused as refused:
        return refused.faults[0]
    except RotaryError as trouble:
        return Fault("", str(trouble))
    says = f"version {kept.label} of {kept.name}\n{kept.conflict or kept.path.parent}"
    session.saved(kept.stamp, (kept.name, job.item.name), says, str(kept.path))
    return None


def plan_from(plan: "Plan | None", job: "Job") -> "Plan":
    """A job's plan in the core's classes; it may have come from another process, without them."""
    from rotary.machine.lookup import on_its_machine
    from rotary.plan import Plan

    if isinstance(plan, Plan):
        return plan
    tables = {name: value for name, value in _tables(plan).items() if name in Plan.model_fields}
    return Plan.model_validate({**tables, "job": on_its_machine(job)})


def _tables(thing: Any) -> Any:
    """Names and values as tables that the core's classes read."""
    if isinstance(thing, SimpleNamespace):
        worked_out = (WORKED_OUT, *getattr(thing, WORKED_OUT, ()))
        return {name: _tables(value) for name, value in vars(thing).items() if name not in worked_out}
    return tuple(map(_tables, thing)) if isinstance(thing, tuple) else thing
