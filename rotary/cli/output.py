"""What the command line says and where: exit codes, answers, reports, complaints."""

import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from contextvars import ContextVar
from typing import Any, Final

from rotary.errors import FileTrouble, single_line

OK, BROKEN, USAGE, REFUSED, FILE_TROUBLE, NO_PASSES, STOPPED = 0, 1, 2, 3, 4, 5, 130

EXIT_CODES: Final = {
    OK: "done",
    BROKEN: "a fault in rotary itself",
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


def complain(text: str) -> None:
    """One line on the error output."""
    with suppress(OSError, ValueError):
        print(f"rotary: {single_line(text)}", file=sys.stderr)


def say(text: str) -> int:
    """Write to the output, at once; the exit code. Raises FileTrouble where it takes nothing."""
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
    return OK


def text_of(lines: Iterable[str]) -> str:
    """Lines of an answer, each of printable signs."""
    return "".join(f"{single_line(line).rstrip()}\n" for line in lines)


def say_lines(lines: Iterable[str]) -> int:
    """Lines of an answer; the exit code."""
    return say(text_of(lines))


def json_text(data: object) -> str:
    """An answer as JSON."""
    import json

    def plain(one: Any) -> Any:
        return one.model_dump(mode="json") if hasattr(one, "model_dump") else str(one)

    return json.dumps(data, indent=2, ensure_ascii=False, default=plain) + "\n"


def say_json(data: object) -> int:
    """An answer as JSON; the exit code."""
    return say(json_text(data))


def answer(json: bool, data: object, lines: Iterable[str]) -> int:
    """An answer as JSON or as lines; the exit code."""
    return say(json_text(data) if json else text_of(lines))


def report(lines: Iterable[str]) -> int:
    """What was done, which -q leaves out; the exit code."""
    return OK if quiet.get() else say_lines(lines)


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
