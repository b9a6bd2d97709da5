"""The one entry point, ``rotary`` and ``python -m rotary``: it alone knows the command line and the screen."""

import _thread
import atexit
import gc
import sys
import threading
from collections.abc import Sequence
from typing import Any, Final

from rotary import cli
from tui.fronts import FRONTS

OBJECTS_BETWEEN: Final = 100_000
"""So many objects more before any are looked through for what nobody needs: a short command ends before."""
AGAIN_S: Final = 0.05
"""So long after it was lost, Ctrl+C comes again."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, with every front end at hand."""
    if arguments is None:
        # To look through all that a program loads, at its start and at its end, takes a sixth of a short command.
        gc.set_threshold(OBJECTS_BETWEEN)
        atexit.register(gc.freeze)
        sys.unraisablehook = _heard_again
    return cli.main(arguments, FRONTS)


def _heard_again(lost: Any) -> None:
    """Where Python can raise nothing, as in a callback of an import, Ctrl+C would be lost: let it come once more."""
    if lost.exc_type is KeyboardInterrupt:
        threading.Timer(AGAIN_S, _thread.interrupt_main).start()
    else:
        sys.__unraisablehook__(lost)


if __name__ == "__main__":
    raise SystemExit(main())
