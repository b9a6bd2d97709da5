"""What every front end does with the core: command line, screen, questions in plain lines, browser.

=================  ==================================================================
``jobs``           job files as they are opened, finished or not
``artwork``        the artwork of a job, as it lies on the item
``planning``       the plan of a job: for the machine as measured, after what was read
``files``          sliced and flat files on disk, whole or not at all, read back
``drawing``        sliced, flat and dotted files, with all that is to be said of them
``machines``       the machine as measured: what is recorded, tests on tape, seam test, a stopped job
``simulation``     what a written file will do
``patches``        proof patches and what they teach
``profiles``       how a kept profile stands today; a run that came out as wanted
``papers``         every paper, written where it was asked for
=================  ==================================================================
"""

from collections.abc import Callable
from pathlib import Path
from typing import Final, NamedTuple

Tell = Callable[[float], None]
"""Is told the share that is done; may raise to stop."""


def quiet(_: float) -> None:
    """Tells nobody."""


USUAL_DRAWS: Final = 1000
"""Whatever belongs to one job is planned with as many, so that card, sheet and tapes go together."""


class Folders(NamedTuple):
    """Where profiles lie with what was read, and machines as measured; None: where this person keeps them."""

    profiles: Path | None = None
    machines: Path | None = None


USUAL_FOLDERS: Final = Folders()
