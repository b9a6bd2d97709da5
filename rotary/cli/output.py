"""What the command line says and where: exit codes, answers, reports, complaints."""

import os
import sys
from collections.abc import Iterable, Sequence
from contextlib import suppress
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.errors import FileTrouble, brief, single_line

if TYPE_CHECKING:
    from rotary.artwork.sets import Over

OK: Final = 0
BROKEN: Final = 1
USAGE: Final = 2
REFUSED: Final = 3
FILE_TROUBLE: Final = 4
NO_PASSES: Final = 5
STOPPED: Final = 130

EXIT_CODES: Final = {
    OK: "done",
    BROKEN: "a fault of the tool itself",
    USAGE: "a bad argument",
    REFUSED: "a job that can't be planned",
    FILE_TROUBLE: "the disk: a file or folder can't be read or written",
    NO_PASSES: "planned, but no passes are offered",
    STOPPED: "stopped by Ctrl+C",
}

quiet: ContextVar[bool] = ContextVar("quiet", default=False)
"""Whether only what was asked for is printed: no reports of what was written, no hints."""

said_yes: ContextVar[bool] = ContextVar("said_yes", default=False)
"""Whether what stands there may be replaced."""


def over() -> "Over":
    """What may be replaced."""
    return "all" if said_yes.get() else "no"


def complain(text: str) -> None:
    """One line on the error output."""
    with suppress(OSError, ValueError):
        print(f"rotary: {single_line(text)}", file=sys.stderr)


def hint(text: str) -> None:
    """As `complain`, for what may be left out with -q."""
    if not quiet.get():
        complain(text)


def say(text: str) -> None:
    """Write to the output, at once; raises FileTrouble where it takes nothing."""
    if sys.stdout is None:
        raise FileTrouble("there is no output to write to: use --to FILE, or leave the output open")
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as trouble:
        drop_output()
        raise FileTrouble(f"the output can't be written ({trouble.strerror}): write it elsewhere") from None


def say_lines(lines: Iterable[str]) -> int:
    """Lines of an answer, each of printable signs; the exit code."""
    say("".join(f"{single_line(line).rstrip()}\n" for line in lines))
    return OK


def say_json(data: object) -> int:
    """An answer as JSON; the exit code."""
    import json

    say(json.dumps(data, indent=2, ensure_ascii=False, default=str) + "\n")
    return OK


def report(lines: Iterable[str]) -> int:
    """What was done, which -q leaves out; the exit code."""
    return OK if quiet.get() else say_lines(lines)


def report_files(title: str, paths: Iterable[Path], *parts: Sequence[str]) -> int:
    """What was written, and what is to be said of it; the exit code."""
    lines = [title, *(f"  wrote {brief(path, 200)}" for path in paths)]
    return report([*lines, *(f"  - {line}" for part in parts for line in part)])


def flush() -> None:
    """Have everything written."""
    if sys.stdout is not None:
        sys.stdout.flush()


def drop_output() -> None:
    """Point the output at nothing, so that the interpreter's last flush has nothing to complain of."""
    with suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)
