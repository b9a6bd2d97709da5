"""The one entry point, ``rotary`` and ``python -m rotary``: it alone knows the command line and the screen."""

import atexit
import gc
from collections.abc import Sequence
from typing import Final

from rotary import cli
from tui.fronts import FRONTS

OBJECTS_BETWEEN: Final = 100_000
"""So many objects more before any are looked through for what nobody needs: a short command ends before."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, with every front end at hand."""
    if arguments is None:
        # To look through all that a program loads, at its start and at its end, takes a sixth of a short command.
        gc.set_threshold(OBJECTS_BETWEEN)
        atexit.register(gc.freeze)
    return cli.main(arguments, FRONTS)


if __name__ == "__main__":
    raise SystemExit(main())
