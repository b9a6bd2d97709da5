"""What longer work is asked for, and what it answers. No terminal in here, and no core."""

from typing import Any, NamedTuple

from tui.form.fields import JobTables


class Stopped(Exception):  # noqa: N818  (no error: nobody wants the answer any more)
    """The errand is not wanted any more."""


class Errand(NamedTuple):
    """Something to find out: what, for which job, with files beside which folder; `key` says what it was asked for."""

    what: str
    key: str
    data: JobTables
    system: str
    beside: str
    more: tuple[str, ...] = ()


class Share(NamedTuple):
    """How much of an errand is done, from 0 to 1."""

    what: str
    key: str
    share: float


class Done(NamedTuple):
    """What came of an errand: an answer, or none with (dotted name, sentence) that say why; or it was stopped."""

    what: str
    key: str
    answer: Any = None
    faults: tuple[tuple[str, str], ...] = ()
    stopped: bool = False
