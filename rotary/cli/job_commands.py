"""Job files: the shipped examples, the schemas, a job for the machine as measured."""

from typing import Annotated, Literal

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import group
from rotary.cli.output import answer, json_text, refuse_file, refuse_paper_name, report, say, write
from rotary.cli.values import CHOICE, File, Json
from rotary.errors import unknown_name
from rotary.files import bytes_of_job_file, toml_tables


def example(name: str | None = None, /, to: File | None = None, json: Json = False) -> int:
    """List the examples that come with rotary, or print one to start from.

    Example: rotary job example regatta-bottle --to mine.toml

    :param name: the example to print (if left out, rotary lists them all)
    :param to: the job file to write, like mine.toml
    """
    shipped = core.shipped.examples()
    if name is not None and name not in shipped:
        raise unknown_name("example", name, [*shipped], f"write one of {', '.join(shipped)}")
    refuse_paper_name(to, "end the name in .toml, like mine.toml")
    refuse_file(to, shipped.values())
    texts = {one: bytes_of_job_file(path).decode("utf-8") for one, path in shipped.items() if name in (one, None)}
    if name is not None:
        # A job's text is left as it is, so that it can be read again.
        text = json_text(toml_tables(texts[name])) if json else texts[name]
        return say(text) if to is None else report(write(to, text, shipped.values()))
    notes = {one: toml_tables(text).get("note", "") for one, text in texts.items()}
    lines = [f"{one.ljust(max(map(len, notes)))}  {note}" for one, note in notes.items()]
    return answer(json, notes, lines, to)


def schema(of: Annotated[Literal["job", "profile", "plan"], CHOICE] = "job", /) -> int:
    """For programmers: print the JSON schema of a job, a profile or a plan.

    Example: rotary job schema plan

    :param of: which schema: job, profile or plan (job if left out)
    """
    if of == "job":
        return say(json_text(core.job.job_schema()))
    return say(json_text(core.schema.profile_schema() if of == "profile" else core.plan_words.plan_schema()))


def as_measured(job: NamedJob, to: File | None = None) -> int:
    """Put your own measurements of the machine into a job, and show what they change.

    Example: rotary job as-measured regatta-bottle --to mine.toml

    :param to: the job file to write with your measurements, like mine.toml
    """
    refuse_paper_name(to, "end the name in .toml, like mine.toml")
    refuse_file(to, job.sources)
    at = job.measured()
    lines = core.sizes.Sizes(job.system).texts(core.machines.as_measured(at, to is None, job.folders))
    if to is None:
        return say(lines)
    return report([*lines, *write(to, core.job.job_text(at.corrected, "As measured at the machine."), job.sources)])


app = group(example, schema, as_measured)
