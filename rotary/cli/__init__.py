"""The command line: the headless front end.

Only what the help text needs is imported at once; each command imports its own when it runs.
"""

import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

from rotary.cli.arguments import parser
from rotary.cli.fronts import NO_FRONTS, Fronts
from rotary.cli.output import BROKEN, FILE_TROUBLE, OK, REFUSED, STOPPED, USAGE, complain, drop_output, flush
from rotary.errors import Refused, RotaryError, Taken, brief

if TYPE_CHECKING:
    import argparse

REPORT: Final = (
    "This is a fault of the tool, not of your input. Set ROTARY_DEBUG=1, run the command again,"
    " and report what it prints together with the job file."
)


def main(arguments: Sequence[str] | None = None, fronts: Fronts = NO_FRONTS) -> int:
    """Run one command, which may open one of `fronts`; returns its exit code.

    Nothing escapes but what ROTARY_DEBUG lets through.
    """
    for stream in (sys.stdout, sys.stderr):
        # A terminal with few letters shows a question mark rather than an error.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = _run(arguments, fronts)
        flush()
    except BrokenPipeError:
        drop_output()
        return OK
    except KeyboardInterrupt:
        complain("stopped")
        return STOPPED
    except SystemExit as leave:
        return leave.code if isinstance(leave.code, int) else USAGE
    except Exception as trouble:
        # The last resort: nobody at a machine should meet a traceback.
        if os.environ.get("ROTARY_DEBUG"):
            raise
        return _explained(trouble)
    return code


def _explained(trouble: Exception) -> int:
    if isinstance(trouble, Refused):
        for fault in trouble.faults:
            complain(str(fault))
        return REFUSED
    if isinstance(trouble, Taken):
        complain(f"{trouble}, or add --over to replace it")
        return FILE_TROUBLE
    if isinstance(trouble, RotaryError):
        complain(str(trouble))
        return FILE_TROUBLE
    complain(f"{type(trouble).__name__}: {brief(str(trouble), 200)}")
    complain(REPORT)
    return BROKEN


def _run(arguments: Sequence[str] | None, fronts: Fronts) -> int:
    asked = parser().parse_args(arguments)
    asked.fronts = fronts
    command: Callable[[argparse.Namespace], int] = asked.run
    return command(asked)
