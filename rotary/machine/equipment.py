"""What belongs to the machine and not to a job: its laser and lens, the eyewear, and what the program can do.

Asked once, kept in the machine's file, and taken by every job that names the machine. Nothing of a shipped example
ever gets there.
"""

from collections.abc import Mapping
from datetime import datetime
from functools import partial
from typing import Any, Final, Literal

from rotary.errors import Fault, Predicate, Refused, brief, listing, refuse, refuse_all
from rotary.examples import laser_example, own_shop
from rotary.faults import model_from_texts
from rotary.job import Job
from rotary.machine.record import ENTERED, MachineChange, MachineRecord
from rotary.program import Program
from rotary.shop import Shop

FACTS: Final[dict[str, tuple[str, str]]] = {
    "pause": ("can_pause", "Can the program pause between two passes?"),
    "change-setting": ("can_change_setting", "Can the program mark a slice at two settings, then turn?"),
    "repeat-slice": ("can_repeat_slice", "Can the program mark a slice several times, then turn?"),
    "stored-start": ("can_store_start", "Can the program store a start angle in its file?"),
}
"""What is asked of the marking program: a name to answer under, the field of the answer, the question."""

LEAST_PAUSE: Final = "least-pause"
LABEL: Final = "label."
"""Goes before a row's id where its label is meant."""

Answer = Literal["yes", "no", "not answered"]
ANSWERS: Final[dict[Answer, bool | None]] = {"yes": True, "no": False, "not answered": None}


def answer_text(answer: bool | None) -> Answer:
    """An answer as it is typed.

    >>> answer_text(False), answer_text(None)
    ('no', 'not answered')
    """
    return next(text for text, value in ANSWERS.items() if value is answer)


def program_with(program: Program, texts: Mapping[str, str], units: str = "must") -> Program:
    """The program with other answers and labels, as typed; a label without a text goes.

    Names are those of `FACTS`, `LEAST_PAUSE`, and a row's id after `LABEL`. Raises Refused with every fault, each
    under the name that was typed.
    """
    faults: list[Fault] = []
    update: dict[str, Any] = {}
    labels = dict(program.labels)
    for name, text in texts.items():
        given = next((answer for answer in ANSWERS if text in (answer, answer.replace("answered", "asked"))), None)
        if name in FACTS and given is not None:
            update[FACTS[name][0]] = ANSWERS[given]
        elif name in FACTS:
            faults.append(
                Fault(name, f'{brief(text) or "nothing"} is not an answer: write yes, no or (in quotes) "not answered"')
            )
        elif name == LEAST_PAUSE and text.strip().startswith("-"):
            faults.append(Fault(name, f'{brief(text)} is less than 0: write for example "0.5 s"'))
        elif name == LEAST_PAUSE:
            update |= _field(name, "least_pause", text, units, faults)
        elif name.startswith(LABEL):
            row, empty = name.removeprefix(LABEL), not text.strip()
            labels |= _field(name, "labels", {row: "-" if empty else text}, units, faults)
            if empty:
                labels.pop(row, None)
        else:
            says = f"is no question about your program: write {listing([*FACTS, LEAST_PAUSE], 'or')}"
            faults.append(Fault(name, Predicate(says)))
    refuse_all(faults)
    return Program.model_validate({**dict(program), **update, "labels": labels})


def _field(name: str, field: str, text: Any, units: str, faults: list[Fault]) -> dict[str, Any]:
    """One field as typed, by its name in the model, a label by its row; what is wrong with it goes to the faults."""
    try:
        read = model_from_texts(Program, {field: text}, units)
    except Refused as refused:
        faults += [Fault(name, fault.says) for fault in refused.faults]
        return {}
    return dict(read.labels) if field == "labels" else {"least_pause_s": read.least_pause_s}


def with_laser_of(machine: MachineRecord, job: Job, at: datetime) -> MachineRecord:
    """The machine with the laser and lens of a job; raises Refused where they are a shipped example's."""
    laser = job.laser
    if laser_example(laser.model_dump(by_alias=True)):
        raise refuse("laser", "laser and lens of this job are examples: enter your own in the job first.")
    if laser == machine.laser:
        return machine
    entered = MachineChange(at=at, what=ENTERED, note=brief(laser.name, 120))
    return machine.but(laser=laser, changes=(*machine.changes, entered))


def with_shop_of(machine: MachineRecord, job: Job) -> MachineRecord:
    """The machine with the eyewear and the other lasers of a job, those of a shipped example left out.

    Raises Refused where none is left.
    """
    shop = Shop.model_validate(own_shop(job.shop.model_dump(by_alias=True)))
    if shop == Shop():
        raise refuse("shop", "the job lists no eyewear and no other laser of your own: enter them in the job first.")
    return machine.but(shop=shop)


def equipment_of(job: Job, machine: MachineRecord, at: datetime) -> tuple[MachineRecord, list[str]]:
    """The machine with laser, lens, eyewear and other lasers of a job, as far as they are no example's.

    A sentence says what was left where it was. Raises Refused where nothing of them is the person's own.
    """
    says: list[str] = []
    for take in (partial(with_laser_of, at=at), with_shop_of):
        try:
            machine = take(machine, job)
        except Refused as refused:
            says += [fault.says for fault in refused.faults]
    if len(says) == 2:
        raise refuse("from", " ".join(f"{text[0].upper()}{text[1:]}." for text in says))
    return machine, says


def equipped(job: Job, machine: MachineRecord) -> Job:
    """The job with what its machine's file holds of program, eyewear, other lasers, laser and lens.

    The machine's answers, labels, pairs of eyewear and lasers go first; what it has none of stays the job's, and a
    laser that only the job lists stays too, since it may hurt. The machine's laser and lens stand where the job's are
    a shipped example's; a job's own stay.
    """
    update: dict[str, Any] = {"program": _program(job.program, machine.program), "shop": _shop(job.shop, machine.shop)}
    if machine.laser is not None and job.laser.use:
        update["laser"] = machine.laser
    return job.but(**update)


def _program(job: Program, machine: Program) -> Program:
    own = {name: value for name, value in machine if value is not None and name != "labels"}
    if machine.can_pause is None and not machine.least_pause_s:
        own.pop("least_pause_s")
    return job.but(**own, labels={**job.labels, **machine.labels})


def _shop(job: Shop, machine: Shop) -> Shop:
    here = {laser.name for laser in machine.other_lasers}
    others = tuple(laser for laser in job.other_lasers if laser.name not in here)
    return Shop(eyewear=machine.eyewear or job.eyewear, other_lasers=(*machine.other_lasers, *others))
