"""Job files: the shipped examples, the schemas, a job for the machine as measured."""

from pathlib import Path
from typing import Annotated, Literal

from rotary.cli import core
from rotary.cli.answers import refuse_file, refuse_paper_name, write
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, Where, group
from rotary.cli.output import answer, report, say, say_json, say_lines
from rotary.cli.values import CHOICE, JobName, Json
from rotary.errors import unknown_name
from rotary.files import bytes_of_job_file, toml_tables


def example(name: str | None = None, /, *, json: Json = False) -> int:
    """List the shipped examples, or print one to start from.

    Example: rotary job example regatta-bottle > mine.toml

    :param name: the example to print
    """
    shipped = core.shipped.examples()
    if name is not None and name not in shipped:
        raise unknown_name("example", name, [*shipped], f"write one of {', '.join(shipped)}")
    texts = {one: bytes_of_job_file(path).decode("utf-8") for one, path in shipped.items() if name in (one, None)}
    if name is not None:
        return say_json(toml_tables(texts[name])) if json else say(texts[name])
    notes = {one: toml_tables(text).get("note", "") for one, text in texts.items()}
    return answer(json, notes, [f"{one.ljust(max(map(len, notes)))}  {note}" for one, note in notes.items()])


def schema(of: Annotated[Literal["job", "profile", "plan"], CHOICE] = "job", /) -> int:
    """Print the JSON schema of a job, a profile or a plan.

    Example: rotary job schema plan

    :param of: job, profile or plan (job)
    """
    if of == "job":
        return say_json(core.job.job_schema())
    return say_json(core.schema.profile_schema() if of == "profile" else core.plan_schema())


def as_measured(job: JobName, /, *, to: Path | None = None, where: Where = HERE) -> int:
    """Say what the machine as measured changes for a job, and write the job with its values.

    Example: rotary job as-measured regatta-bottle --to mine.toml

    :param to: the job file to write, with this machine's drive, head and tolerances
    """
    named = NamedJob(job, where)
    refuse_paper_name(to, "write --to mine.toml")
    refuse_file(to, named.sources)
    at = named.measured()
    lines = core.machines.as_measured(at, to is None, where.folders)
    if to is None:
        return say_lines(lines)
    return report([*lines, *write(to, core.job.job_text(at.corrected, "As measured at the machine."), named.sources)])


app = group("job", "Job files: examples, schema, the job as measured.", example, schema, as_measured)
