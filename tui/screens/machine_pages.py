"""Pages of the machine's screen: what each asks for, what it answers as one types, what it keeps. No terminal in here.

A page names its fields; `told` gives the answer to what stands in them, with a complaint for each field that can't
be used; `keep` and `files` do what the keys for them promise, or refuse and store nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary import units
from rotary.errors import Refused, RotaryError, brief, refuse
from rotary.files import named_path
from rotary.item import ENDS
from rotary.papers.sizes import Sizes
from rotary.services.machines import add_reading
from tui.drawings.words import refusal

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.machine.correct import Correction
    from rotary.machine.readings import Reading
    from rotary.machine.record import KnownMachine, MachineRecord
    from rotary.plan import Plan

NO_PLAN: Final = "This job can't be planned yet. Press Esc and correct the job first."

READ_TO: Final = "How far off your reading may be (you are closer 2 times in 3)."

UNREAD: Final = ("", "?")
"""What stands in a field that has not been read."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One field: `unit` "mm" or none, `options` what can be chosen, `stands` what holds while it is empty."""

    key: str
    help: str
    unit: str | None = None
    options: tuple[str, ...] = ()
    stands: str = ""
    width: int = 12


class Row(NamedTuple):
    """A line of the form: its label and its fields; a line without fields is a heading."""

    label: str
    cells: tuple[Cell, ...] = ()


class Answer(NamedTuple):
    """The answer to what stands in the fields: lines as (ink, text), complaints by field, what can be done now."""

    lines: tuple[tuple[str, str], ...]
    faults: Mapping[str, str] = {}
    can_keep: bool = False


class Bench(NamedTuple):
    """What a page works on: the job as on the desk, the machine shown, and the plan for that machine.

    `trouble` says why there is no plan; `names` are all machines that are kept.
    """

    job: "Job | None"
    machine: "MachineRecord"
    folder: Path
    made: "Plan | None"
    how: "Correction | None"
    now: "dict[str, KnownMachine]"
    names: tuple[str, ...]
    named: str
    trouble: str = ""


@dataclass(slots=True)
class Reader:
    """Reads what stands in the fields, in the unit system that is shown, and gathers complaints."""

    texts: Mapping[str, str]
    system: str = "mm"
    faults: dict[str, str] = field(default_factory=dict)
    width: int = 0
    """Columns that the answer has."""

    def text(self, key: str) -> str:
        """What stands there, without blanks around it; nothing where it has not been read."""
        text = self.texts.get(key, "").strip()
        return "" if text in UNREAD else text

    def length(self, key: str, otherwise: float | None = None) -> float | None:
        """A length [mm]; `otherwise` where the field is empty, None where it can't be used."""
        text = self.text(key)
        if not text:
            return otherwise
        try:
            return units.value_from_text(text, "mm", units.bare_unit("mm", self.system))
        except units.UnitError as trouble:
            self.faults[key] = str(trouble)
            return None

    def exact(self, key: str, otherwise: float | None = None) -> str:
        """A length as a text with its unit, as the core reads it; empty where there is none."""
        value = self.length(key, otherwise)
        return "" if value is None else f"{value!r} mm"


class Page:
    """One page; the classes below say what it asks and answers."""

    name = ""
    deed = ""
    """What a next step does on this page, as `Deed` names it."""
    about: tuple[str, ...] = ()
    keeps = ""
    writes = ""

    def rows(self, bench: Bench) -> list[Row]:
        """Its fields, where they are always the same."""
        raise NotImplementedError

    def rows_for(self, bench: Bench, texts: Mapping[str, str]) -> list[Row]:  # noqa: ARG002
        """Its fields while these texts stand in them."""
        return self.rows(bench)

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """The answer to what stands in them."""
        raise NotImplementedError

    def keep(self, bench: Bench, reader: Reader) -> str:
        """Keep it; a sentence about what was kept. Raises Refused, and then nothing is stored."""
        raise NotImplementedError

    def done_with(self, bench: Bench) -> tuple[str, ...]:  # noqa: ARG002
        """The fields that are emptied once it is kept: nothing is to be kept twice."""
        return ()

    def files(self, bench: Bench, reader: Reader) -> str:
        """Write its files; a sentence about them. Raises Refused or FileTrouble, and then nothing is written."""
        raise NotImplementedError


def page_answer(page: Page, bench: Bench, reader: Reader) -> Answer:
    """A page's answer; a fault of the tool itself is told in its place."""
    import logging

    try:
        return page.told(bench, reader)
    except RotaryError as trouble:
        return Answer((("bad", refusal(trouble)),), reader.faults)
    except Exception as trouble:
        logging.getLogger("tui").exception("no answer")
        says = f"this is a fault in rotary itself ({type(trouble).__name__}): change the last value back"
        return Answer((("bad", says),), reader.faults)


def keep_reading(bench: Bench, reading: "Reading") -> str:
    """Put a reading into the machine's file as it stands now."""
    machine, _ = add_reading(bench.machine.name, reading, bench.folder)
    return f"reading saved: {machine.name} now has {readings_text(len(machine.readings))}"


def write_tapes(bench: Bench, names: Sequence[str], folder: str) -> Sequence[Path]:
    """Write drawings of tapes at true size into a folder: those that are named, else all of them."""
    from rotary.artwork.sets import write_all
    from rotary.machine.tapes import tapes

    if bench.made is None:
        raise refuse("tape", NO_PLAN)
    found = {name: tape.files for name, tape in tapes(bench.made).items() if tape.files}
    for name in names:
        if name not in found:
            raise refuse("tape", f"{brief(name)} is not the name of a test: write one of {', '.join(found)}.")
    place = named_path(folder or "tapes")
    return write_all({place / file: svg for name in (names or found) for file, svg in found[name].items()})


def ends(bench: Bench) -> tuple[tuple[str, str], tuple[str, str]]:
    """The two ends of the item: the name of each, and the same in a sentence."""
    item = bench.job.item if bench.job is not None else None
    base, rim = ((item.end_name(end), item.end_words(end)) if item else (end, f"the {end}") for end in ENDS)
    return base, rim


def readings_text(count: int) -> str:
    """So many readings.

    >>> readings_text(1), readings_text(3)
    ('1 reading', '3 readings')
    """
    return f"{count} reading" if count == 1 else f"{count} readings"


def now() -> datetime:
    """The time, to a second."""
    return datetime.now().astimezone().replace(microsecond=0)


def by_field(refused: "Refused", names: Mapping[str, str], otherwise: str) -> dict[str, str]:
    """The complaints of the core by the field that each is about."""
    found: dict[str, str] = {}
    for fault in refused.faults:
        where = fault.where.removeprefix("reading.").removeprefix("level.")
        found.setdefault(names.get(where, otherwise), _sentence(fault.says))
    return found


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def short(mm: float, system: str, signed: bool = False) -> str:
    """A length with its unit."""
    return Sizes(system).length(mm, signed)


def fine(mm: float, system: str, signed: bool = False) -> str:
    """A small length: micrometres or thousandths of an inch.

    >>> fine(0.02, "mm", signed=True), fine(0.0254, "in")
    ('+20 µm', '1.0 thou')
    """
    sign = "+" if signed else ""
    return f"{mm / 0.0254 + 0.0:{sign}.1f} thou" if system == "in" else f"{1000 * mm + 0.0:{sign}.0f} µm"
