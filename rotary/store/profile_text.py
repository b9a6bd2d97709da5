"""A profile as text: a job file that reads well, with what is kept below it and a last line that proves it whole."""

import hashlib
import re
from typing import Final

from rotary.job import Job, job_text
from rotary.model import Model
from rotary.store.record import Profile
from rotary.toml import value_text

LAST_LINE: Final = "# Whole as saved: "
"""How the last line begins; the sum of all bytes before it follows."""

_REMARKS: Final = {
    "saved": "What was saved, when, and which version it follows. Write dates without quotes.",
    "saved.plan": "The numbers as planned when you saved this job.",
    "saved.proof": "The run that worked, and its numbers.",
    "saved.proof.plan.actions": "The numbers typed and the things done, row by row.",
    "saved.proof.job": "The whole job as it was in this run. Anything that differs above was changed later.",
}


def profile_text(profile: Profile) -> str:
    """The file of a profile; it reads back as exactly the same profile."""
    text = job_text(profile.job) + "\n".join(table_lines(profile.saved, "saved")) + "\n"
    # The last line says that everything before it is there.
    return f"{text}{LAST_LINE}{hashlib.sha256(text.encode()).hexdigest()}\n"


def table_lines(table: Model, path: str = "") -> list[str]:
    """Plain values first, then lists, then the tables inside, under their headings; without a path as a whole file."""
    values, tables = [], []
    for name, info in type(table).model_fields.items():
        value, key = getattr(table, name), info.alias or name
        inner = f"{path}.{key}" if path else key
        if isinstance(value, Job):
            tables += _job_lines(value, inner)
        elif isinstance(value, Model):
            tables += table_lines(value, inner)
        elif value not in (None, (), "") or info.is_required():
            values.append(f"{key} = {value_text(value, info)}")
    if not path:
        return [*values, *tables]
    remark = [f"# {_REMARKS[path]}"] if path in _REMARKS else []
    return ["", *remark, f"[{path}]", *values, *tables]


def _job_lines(job: Job, path: str) -> list[str]:
    """A job inside a profile: as in a job file, its tables under `path`, without the remarks of the first."""
    lines = ["", f"# {_REMARKS[path]}", f"[{path}]"] if path in _REMARKS else ["", f"[{path}]"]
    for line in job_text(job).splitlines():
        if line.startswith("#"):
            continue
        lines.append(re.sub(r"^\[(?=[a-z])", f"[{path}.", line))
    return lines
