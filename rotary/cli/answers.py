"""What a command answers with: text or a file that was asked for, what was typed for it, the exit code of a plan."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

from rotary.cli import core
from rotary.cli.output import NO_PASSES, OK, complain, report, said_yes, say
from rotary.errors import BadArgument, Fault, NoPlan, Refused, brief

if TYPE_CHECKING:
    W = TypeVar("W", bound=core.model.Model)

MOST_FAULTS: Final = 4
"""So many faults of what was typed are said in one sentence."""


MOST_NAMED: Final = 50
"""So many misfits are named; all of them stand in the table."""


def over() -> "core.sets.Over":
    """What may be replaced."""
    return "all" if said_yes.get() else "no"


def wrote(paths: Iterable[Path]) -> list[str]:
    """Lines that name what was written."""
    return [f"wrote {brief(path, 200)}" for path in paths]


def report_files(title: str, paths: Iterable[Path], says: Sequence[str]) -> int:
    """What was written, and what is to be said of it; the exit code."""
    return report([title, *(f"  {line}" for line in wrote(paths)), *(f"  - {line}" for line in says)])


def misfit_lines(misfits: list[str], done: str) -> list[str]:
    """Those that don't fit, by name as far as a person reads."""
    if not misfits:
        return []
    more = [f"  and {len(misfits) - MOST_NAMED} more, all in the table"] if len(misfits) > MOST_NAMED else []
    return [f"{len(misfits)} can't be {done}:", *(f"  misfit in {one}" for one in misfits[:MOST_NAMED]), *more]


def report_saved(saved: "core.keeping.Saved", done: str) -> int:
    """Say which version was saved; the exit code."""
    if saved.conflict:
        complain(f"{saved.conflict}: rotary profile compare, rotary profile resolve")
    return report([f"{done} {saved.name}, version {saved.label}: {saved.path}"])


@contextmanager
def typed(options: Mapping[str, str] | None = None) -> Iterator[None]:
    """What is refused in the block was typed behind the command: it is no fault of a job.

    Where `options` are given, only what is refused of these fields, each said by what was typed for it.
    """
    try:
        yield
    except NoPlan:
        raise
    except Refused as refused:
        says = [str(fault) for fault in refused.faults]
        if options is not None:
            fields = [_field(fault.where) for fault in refused.faults]
            if not options.keys() >= {*fields}:
                raise
            says = [str(Fault(options[field], fault.says)) for field, fault in zip(fields, refused.faults, strict=True)]
        more = [f"and {len(says) - MOST_FAULTS} more"] if len(says) > MOST_FAULTS else []
        raise BadArgument("; ".join([*says[:MOST_FAULTS], *more])) from None


def _field(where: str) -> str:
    """A field without the number of its row."""
    return ".".join(part for part in where.split(".") if not part.isdecimal())


def wish_of(model: "type[W]", given: Mapping[str, Any], fields: Mapping[str, str] | None = None) -> "W":
    """What options ask for, with lengths as texts; raises BadArgument with every fault, each by its option.

    `fields` are those that have another name than the option that fills them.
    """
    fields = fields or {}
    options = {field: option for option, field in fields.items()}
    texts = {fields.get(name, name): one for name, one in given.items() if one is not None}
    try:
        return core.faults.model_from_texts(model, texts)
    except Refused as refused:
        faults = [(options.get(fault.where, fault.where).replace("_", "-"), fault.says) for fault in refused.faults]
        raise BadArgument("; ".join(f"--{option} {says}" for option, says in faults)) from None


def write(to: Path, data: str | bytes, sources: Iterable[Path]) -> list[str]:
    """Write a file that was asked for, never over what it is made from; the lines that say so."""
    core.outfiles.write_file(to, data if isinstance(data, bytes) else data.encode("utf-8"), sources, over() != "no")
    return wrote([to])


def deliver(text: str, to: Path | None, sources: Iterable[Path], json: bool = False) -> int:
    """To the output, or to the file asked for, where lines end with one that says whose they are."""
    if to is None:
        return say(text)
    return report(write(to, text if json else f"{text}({core.outfiles.MADE_BY})\n", sources))


def refuse_file(to: Path | None, sources: Iterable[Path], kind_of: "Callable[[Path], str] | None" = None) -> None:
    """Raise FileTrouble or BadArgument where the file asked for can't be written, before anything is planned.

    `kind_of` raises where its name doesn't say what kind of file it is.
    """
    if to is None:
        return
    if str(to) == "." or "\0" in str(to):
        raise BadArgument("no file is named after --to: write --to setup.txt")
    if kind_of is not None:
        kind_of(to)
    core.outfiles.refuse_file(to, sources, over() != "no")


def write_paper(
    make: "Callable[[float], core.Paper]", to: Path, paper: "core.printer.SheetName | None", sources: Iterable[Path]
) -> list[str]:
    """Write a paper, never over the job; the lines that say so."""
    sheet = paper or core.printer.usual_sheet()
    (line,) = write(to, core.formats.document(make, core.formats.ending_of(to), sheet).data, sources)
    return [f"{line}, for {sheet}"]


def refuse_paper_name(to: Path | None, instead: str) -> None:
    """Raise BadArgument where a text is asked for under the name of a paper or a drawing."""
    if to is not None and to.suffix.lower() in (".pdf", ".html", ".htm", ".svg", ".png", ".dxf"):
        raise BadArgument(f"{brief(to.name, 60)} is a paper's or a drawing's name: {instead}")


def refuse_two_forms(json: bool, plain: bool) -> None:
    """Raise BadArgument where an answer is wanted in two forms."""
    if json and plain:
        raise BadArgument("--json and --plain are two forms of one answer: ask for one of them")


def verdict(plan: "core.plan.Plan") -> int:
    """The exit code of a plan; why there are no passes goes to the error output."""
    if plan.removal.setting is not None:
        return OK
    complain(core.first_line(plan))
    return NO_PASSES
