"""Job files: the shipped examples, the schemas, a job for the machine as measured."""

from pathlib import Path
from typing import Annotated, Literal

from rotary.cli.answers import refuse_file_asked_for
from rotary.cli.jobs import NamedJob
from rotary.cli.options import CHOICE, HERE, JobName, Json, Where, group
from rotary.cli.output import OK, over, report, say, say_json, say_lines
from rotary.errors import unknown_name

app = group("job", "Job files: examples, schema, the job as measured.")


@app.command
def example(name: str | None = None, /, *, json: Json = False) -> int:
    """List the shipped examples, or print one to start from.

    Example: rotary job example regatta-bottle > mine.toml

    :param name: the example to print
    """
    from rotary.files import bytes_of_job_file, toml_tables
    from rotary.shipped import examples

    shipped = examples()
    if name is not None:
        if name not in shipped:
            raise unknown_name("example", name, [*shipped], f"write one of {', '.join(shipped)}")
        text = bytes_of_job_file(shipped[name]).decode("utf-8")
        if json:
            return say_json(toml_tables(text))
        say(text)
        return OK
    notes = {one: toml_tables(bytes_of_job_file(path).decode("utf-8")).get("note", "") for one, path in shipped.items()}
    if json:
        return say_json(notes)
    wide = max(map(len, notes))
    return say_lines(f"{one.ljust(wide)}  {note}" for one, note in notes.items())


@app.command
def schema(of: Annotated[Literal["job", "profile", "plan"], CHOICE] = "job", /) -> int:
    """Print the JSON schema of a job, a profile or a plan.

    Example: rotary job schema plan

    :param of: job, profile or plan (job)
    """
    if of == "job":
        from rotary.job import job_schema as schema_of
    elif of == "profile":
        from rotary.store.schema import profile_schema as schema_of
    else:
        from rotary.sentences.plan import plan_schema as schema_of
    return say_json(schema_of())


@app.command(name="as-measured")
def as_measured(job: JobName, /, *, to: Path | None = None, where: Where = HERE) -> int:
    """Say what the machine as measured changes for a job, and write the job with its values.

    Example: rotary job as-measured regatta-bottle --to mine.toml

    :param to: the job file to write, with this machine's drive, head and tolerances
    """
    from rotary.services.machines import as_measured as measured_lines
    from rotary.services.machines import machine_of_job

    named = NamedJob(job, where)
    refuse_file_asked_for(to, named.sources)
    at = machine_of_job(named.job(), where.machine, where.folder)
    lines = measured_lines(at, to is None, where.folders)
    if to is None:
        return say_lines(lines)
    from rotary.artwork.outfiles import write_file
    from rotary.job import job_text

    write_file(to, job_text(at.corrected, "As measured at the machine.").encode(), named.sources, over() != "no")
    return report([*lines, f"wrote {to}"])
