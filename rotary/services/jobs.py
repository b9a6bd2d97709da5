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


def file_of_job(name: str, profiles: Path) -> Path:
    """The file that a job is meant by: one of that name, else a shipped example, else a profile's newest version.

    Raises UnknownName where nothing is called so.
    """
    from rotary.errors import RotaryError, UnknownName, nearest_name, unknown_name
    from rotary.files import is_file, is_there
    from rotary.shipped import examples
    from rotary.store.index import entries
    from rotary.store.places import versions
    from rotary.store.profiles import located

    path, shipped = Path(name), examples()
    if name in shipped and not is_file(path):
        return shipped[name]
    if is_there(path):
        return path
    beside = _files_beside(path)
    if path.suffix or len(path.parts) != 1:
        if near := nearest_name(path.stem, beside):
            shown = brief(path, 80)
            raise FileTrouble(f'there is no {shown}: did you mean "{brief(beside[near], 80)}"?')
        return path
    try:
        return versions(profiles / located(name, profiles).home)[-1].path
    except UnknownName:
        names = [*shipped, *(entry.name for entry in entries(profiles))]
        if file := beside.get(nearest_name(name, [*beside, *names])):
            raise UnknownName(f'there is no job "{brief(name)}": did you mean "{brief(file, 80)}"?') from None
        otherwise = "name a job file, an example (rotary job example), or a saved job (rotary profile list)"
        raise unknown_name("job", name, names, otherwise) from None
    except (RotaryError, IndexError):
        return path


def _files_beside(path: Path) -> dict[str, Path]:
    """The job files of the folder where a path would be, and the examples where it names no folder, by their stems."""
    from rotary.shipped import examples

    try:
        files = {file.stem: file for file in sorted(path.parent.glob("*.toml"))}
    except (OSError, ValueError):
        files = {}
    shipped = {} if len(path.parts) != 1 or not path.suffix else {name: Path(name) for name in examples()}
    return {**shipped, **files}


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
