"""What the command line says and where: exit codes, output, complaints."""

import os
import sys
from contextlib import suppress
from typing import Final

from rotary.errors import FileTrouble, single_line

OK: Final = 0
BROKEN: Final = 1
USAGE: Final = 2
REFUSED: Final = 3
FILE_TROUBLE: Final = 4
NO_PASSES: Final = 5
STOPPED: Final = 130

EXIT_CODES: Final = """\
exit codes:
  0    done
  1    a fault of the tool itself
  2    the command was not understood
  3    the job can't be used; every fault is told
  4    a file or folder can't be read or written
  5    planned, but no passes are offered; the reasons are told
  130  stopped by Ctrl+C
"""


def complain(text: str) -> None:
    """One line on the error output."""
    with suppress(OSError, ValueError):
        print(f"rotary: {single_line(text)}", file=sys.stderr)


def say(text: str) -> None:
    """Write to the output, at once; raises FileTrouble where it takes nothing."""
    if sys.stdout is None:
        raise FileTrouble("there is no output to write to: use --out FILE, or leave the output open")
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as trouble:
        drop_output()
        raise FileTrouble(f"the output can't be written ({trouble.strerror}): write it elsewhere") from None


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
