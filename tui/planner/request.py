"""What the core is asked, and what it says. No terminal and no core in here."""

from typing import TYPE_CHECKING, Final, NamedTuple

from tui.form.fields import JobTables

if TYPE_CHECKING:
    from rotary.actions.models import Actions
    from rotary.job import Job
    from rotary.plan import Plan


class Today(NamedTuple):
    """What is repeated: the file of the saved job that stands on the screen, "" for none; the batch of the coating,
    "" where nobody said; whether today's plan is wanted in place of the numbers that were run ("anew", else "").
    """

    kept: str = ""
    batch: str = ""
    anew: str = ""


class RepeatShown(NamedTuple):
    """What the screen shows of a proof, as plain texts.

    `rows` are label, text, unit and warning of what was typed and done; empty where today's plan is shown in their
    place.
    `changed` are the values that differ from the proven ones, by the names that a file has; `newer` that today's plan
    is another one than was run.
    """

    verdict: str
    banner: str
    rows: tuple[tuple[str, str, str, str], ...] = ()
    changed: tuple[tuple[str, str, str], ...] = ()
    notes: tuple[str, ...] = ()
    newer: bool = False


NOT_KEPT: Final = Today()


class Request(NamedTuple):
    """Values to judge: which state of the fields they are, the job's tables, and the unit system shown.

    `kept` is the saved job that it was opened from; `typed` are the lengths that stand there as they were typed, the
    last one first: name, text, value [mm]; `unasked` are the choices of a new job that nobody has made: without them
    there is no plan; a font of the words lies `beside` the job; `last` is the field that was typed last.
    """

    number: int
    data: JobTables
    system: str
    kept: Today = NOT_KEPT
    typed: tuple[tuple[str, str, float], ...] = ()
    unasked: tuple[str, ...] = ()
    beside: str = ""
    last: str = ""

    @property
    def what(self) -> str:
        """Its kind, for a worker."""
        return "plan"

    @property
    def key(self) -> int:
        """What it is asked for."""
        return self.number


class Verdict(NamedTuple):
    """What came of a request: the plan and its job, or the faults as (dotted name, sentence).

    `machine` is the name of the machine that was planned with, then what a person should know of it; `repeat` how the
    job stands to a proof, where it was opened from a proven profile. `actions` are what a person does, in words, with
    the artwork not laid out yet; `words` is how an inscription comes out: "passes" or "fails", and a line. `unusual`
    are lengths of a plan that no bench sees, as (dotted name, sentence).
    """

    number: int
    plan: "Plan | None" = None
    job: "Job | None" = None
    faults: tuple[tuple[str, str], ...] = ()
    bug: BaseException | None = None
    machine: tuple[str, ...] = ()
    repeat: RepeatShown | None = None
    actions: "Actions | None" = None
    words: tuple[str, str] = ("", "")
    unusual: tuple[tuple[str, str], ...] = ()
