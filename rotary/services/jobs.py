"""Job files as a front end opens them, finished or not.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
    from rotary.job import Job


def job_on_machine(tables: Mapping[str, Any], system: str) -> "Job":
    """The job of some tables on its machine as measured; raises Refused where either can't be had."""
    from rotary.job import job_from_data
    from rotary.machine.lookup import on_its_machine

    return on_its_machine(job_from_data(tables, units=system))


def tables_of_job(path: Path, name: str = "") -> dict[str, Any]:
    """The tables of a job file, which `name` stands for, with the laser of its machine where it has none.

    Raises FileTrouble, or Refused where they can't be read.
    """
    from rotary.files import bytes_of_job_file, toml_tables

    raw = bytes_of_job_file(path)
    try:
        tables = toml_tables(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        from rotary.job import job_from_bytes

        # It says in its own words what is wrong.
        job_from_bytes(raw, brief(name or path, 80))
        raise FileTrouble(f"{name or path} can't be read: name another job file") from None
    if "machine" not in tables:
        return tables
    from rotary.machine.lookup import with_its_laser

    return with_its_laser(tables)
