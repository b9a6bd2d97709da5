"""What a command answers with: text or a file, and the exit code of a plan."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from rotary.cli.output import NO_PASSES, OK, complain, over, say
from rotary.errors import BadArgument, Refused, brief

if TYPE_CHECKING:
    from rotary.model import Model
    from rotary.papers.model import Paper
    from rotary.plan import Plan
    from rotary.printer import SheetName

    W = TypeVar("W", bound=Model)


@contextmanager
def typed() -> Iterator[None]:
    """What is refused in the block was typed behind the command: it is no fault of a job."""
    try:
        yield
    except Refused as refused:
        raise BadArgument("; ".join(map(str, refused.faults))) from None


def wish_of(model: "type[W]", given: Mapping[str, Any], fields: Mapping[str, str] | None = None) -> "W":
    """What options ask for, with lengths as texts; raises BadArgument with every fault, each by its option.

    `fields` are those that have another name than the option that fills them.
    """
    from rotary.faults import model_from_texts

    fields = fields or {}
    options = {field: option for option, field in fields.items()}
    try:
        return model_from_texts(model, {fields.get(name, name): one for name, one in given.items() if one is not None})
    except Refused as refused:
        faults = [(options.get(fault.where, fault.where).replace("_", "-"), fault.says) for fault in refused.faults]
        raise BadArgument("; ".join(f"--{option} {says}" for option, says in faults)) from None


def deliver(text: str, to: Path | None, sources: Iterable[Path], json: bool = False) -> None:
    """To the output, or to the file asked for, where lines end with one that says whose they are."""
    if to is None:
        say(text)
        return
    from rotary.artwork.outfiles import MADE_BY, write_file

    whole = text if json else f"{text}({MADE_BY})\n"
    write_file(to, whole.encode("utf-8"), sources, over() != "no")


def refuse_blank(to: Path) -> None:
    """Raise BadArgument where a file's name is empty."""
    if not str(to).strip() or str(to) == ".":
        raise BadArgument("no file is named after --to: write --to card.txt")


def refuse_file_asked_for(to: Path | None, sources: Iterable[Path]) -> None:
    """Raise FileTrouble or BadArgument where the file asked for can't be written, before anything is planned."""
    if to is None:
        return
    refuse_blank(to)
    from rotary.artwork.outfiles import refuse_file

    refuse_file(to, sources, over() != "no")


def verdict(plan: "Plan") -> int:
    """The exit code of a plan; why there are no passes goes to the error output."""
    if plan.removal.setting is not None:
        return OK
    from rotary.sentences.passes import first_line

    complain(first_line(plan))
    return NO_PASSES


def refuse_paper(to: Path | None, sources: Iterable[Path]) -> None:
    """Raise where a paper can't be written there, before any long work."""
    if to is not None:
        from rotary.papers.formats import ending_of

        ending_of(to)
        refuse_file_asked_for(to, sources)


def write_paper(
    make: "Callable[[float], Paper]", to: Path, paper: "SheetName | None", sources: Iterable[Path]
) -> list[str]:
    """Write a paper, never over the job; the lines that say so."""
    from rotary.artwork.outfiles import write_file
    from rotary.papers.formats import document, ending_of
    from rotary.printer import usual_sheet

    sheet = paper or usual_sheet()
    done = document(make, ending_of(to), sheet)
    write_file(to, done.data, sources, over() != "no")
    return [f"wrote {brief(to, 200)}, for {sheet}"]
