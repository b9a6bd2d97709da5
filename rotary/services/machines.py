"""The machine as measured: what is recorded of it, and what it changes for a job.

Front ends import this at once, so it loads the core only when it is called.
"""

import math
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rotary.services import Folders

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.machine.correct import Correction
    from rotary.machine.readings import Reading
    from rotary.machine.record import MachineRecord
    from rotary.machine.strip import Strip
    from rotary.plan import Plan


class MachineOfJob(NamedTuple):
    """A job as written and as its machine was measured, the machine, and what slices are drawn with on it."""

    job: "Job"
    corrected: "Job"
    machine: "MachineRecord"
    drawn_with: "Correction"
    folder: Path


def machine_named(name: str | None, folder: Path, begins: bool = False) -> "MachineRecord":
    """The machine of a name, the first one where none is named. Raises UnknownName where there is none of that name,
    unless what is done `begins` it.
    """
    from rotary.machine.lookup import refuse_unknown
    from rotary.machine.store import first_machine, load_machine, machine_path

    if name is not None:
        machine_path(name, folder)
    if name and not begins:
        refuse_unknown(name, folder)
    return load_machine(name or first_machine(folder), folder)


def machine_of_job(job: "Job", name: str | None, folder: Path, begins: bool = False) -> MachineOfJob:
    """What the machine that is asked for, or that the job names, changes for a job."""
    from rotary.machine.correct import corrected, correction

    machine = machine_named(name or job.machine.strip() or None, folder, begins)
    return MachineOfJob(job, corrected(job, machine), machine, correction(job, machine), folder)


def as_measured(at: MachineOfJob, compares: bool, folders: Folders) -> list[str]:
    """What the machine changes for a job; with `compares`, its slices and seams as written and as measured."""
    from rotary.machine.level import focus_words
    from rotary.machine.record import known
    from rotary.sentences.slices import cost_words
    from rotary.services.planning import plan_for

    how, after = at.drawn_with, plan_for(at.corrected, folders)
    lines = [
        "Nobody has done the seam test on this machine yet, so rotary makes slices as large as in the job. To do the "
        "test: rotary machine seam-test JOB"
        if how.source == "belief"
        else f"Because of the {how.source}, rotary makes slices {how.scale_across:.5f} times as wide and "
        f"{how.scale_along:.5f} times as high as in the job, and turns them {abs(math.degrees(how.turn_rad)):.3f}° "
        f"{'anti' if how.turn_rad >= 0 else ''}clockwise",
        *focus_words(after, known(at.machine, at.job.item.name)),
    ]
    if not compares:
        return lines
    before = plan_for(at.job.but(machine=""), folders)
    return [
        *lines,
        *(
            _split_line(name, made)
            for name, made in (("With the job's own values", before), ("With your readings", after))
        ),
        *(cost_words(cost, after.split.slices) for cost in after.split.seam_costs),
    ]


def _split_line(name: str, made: "Plan") -> str:
    from rotary.sentences.slices import all_seams_words

    return f"{name}: slices of {made.split.slice_width_mm:.3g} mm, {all_seams_words(made.seams.within_mm)}"


OLD_KINDS: Final = ("stairs", "motor-test", "strip")
"""Kinds of readings that are typed by other names, or by none."""


def add_reading(name: str, reading: "Reading", folder: Path) -> "tuple[MachineRecord, Path]":
    """The machine as its file now stands, with one more reading, and the file."""
    from rotary.machine.record import with_reading
    from rotary.machine.store import change_machine

    return change_machine(name, folder, lambda machine: with_reading(machine, reading))


def record_reading(
    machine: "MachineRecord", words: Sequence[str], folder: Path, note: str = "", job: "Job | None" = None
) -> list[str]:
    """Save a reading, typed as its kind and NAME=VALUE words; what it shows. A row of the motor test is of a `job`.

    Raises UnknownName, Refused, FileTrouble.
    """
    from rotary.errors import listing, unknown_name
    from rotary.machine.level import focus_habit
    from rotary.machine.quantities import QUANTITIES
    from rotary.machine.readings import KINDS, findings
    from rotary.machine.record import known
    from rotary.machine.seam_tests import MOTOR_ROWS
    from rotary.machine.words import known_text, reading_from_words

    kind = words[0]
    if kind not in {*KINDS, *OLD_KINDS, *MOTOR_ROWS, "full-turn"}:
        names = ["full-turn", *(name for name in KINDS if name not in (*OLD_KINDS, "turn")), *MOTOR_ROWS, "program"]
        own = "For the seam test: rotary machine seam-test JOB --from FORM"
        raise unknown_name("reading", kind, names, f"write {listing(names, 'or')}. {own}")
    if kind in MOTOR_ROWS and job is not None:
        row = MOTOR_ROWS[kind]
        words = ["motor-test", f"row={row}", *words[1:], *full_step_words(job, row)]
    reading = reading_from_words(words, datetime.now().astimezone(), note)
    after, path = add_reading(machine.name, reading, folder)
    now = known(after, getattr(reading, "item", None), getattr(reading, "coating", None))
    lines: list[str] = []
    for finding in findings(reading):
        one = now[finding.quantity]
        lines += [f"{QUANTITIES[finding.quantity].says}: {known_text(one)}", *one.says]
        if finding.quantity == "focus" and one.measured is not None:
            lines.append(focus_habit(one.measured))
    return [*lines, f"saved in {path}"]


def record_program(
    machine: "MachineRecord", values: Sequence[str], labels: Sequence[str], job: "Job | None", folder: Path
) -> "tuple[MachineRecord, list[str]]":
    """The machine with what its marking program can do and how it calls rows of the setup sheet, as NAME=VALUE, and
    with laser, lens and eyewear of a job, saved where that changes it; and what is to be said of it.

    Raises BadArgument, Refused, FileTrouble.
    """
    from rotary.machine.equipment import LABEL, equipment_of, program_with
    from rotary.machine.store import change_machine

    texts = {name.replace("_", "-"): text for name, text in map(_named, values)}
    texts |= {LABEL + name.replace("-", "_"): text for name, text in map(_named, labels)}
    at = datetime.now().astimezone().replace(microsecond=0)

    def change(machine: "MachineRecord") -> "tuple[MachineRecord, list[str]]":
        after = machine.but(program=program_with(machine.program, texts))
        return (after, []) if job is None else equipment_of(job, after, at)

    after, lines = change(machine)
    if after == machine:
        return after, lines
    after, path = change_machine(machine.name, folder, lambda machine: change(machine)[0])
    return after, [*lines, f"saved in {path}"]


def _named(text: str) -> tuple[str, str]:
    from rotary.errors import BadArgument, brief

    name, equals, value = text.partition("=")
    if not equals or not name:
        raise BadArgument(f"{brief(text) or 'an empty text'} has no = in it: write NAME=VALUE, for example pause=yes")
    return name.strip(), value.strip()


def record_change(machine: "MachineRecord", what: str, folder: Path, note: str = "") -> list[str]:
    """Save that something was changed, so that readings are out of date; which they are."""
    from rotary.machine.quantities import QUANTITIES
    from rotary.machine.readings import findings
    from rotary.machine.record import with_change
    from rotary.machine.store import change_machine

    at = datetime.now().astimezone().replace(microsecond=0)
    _, path = change_machine(machine.name, folder, lambda machine: with_change(machine, what, at, note))
    read = {finding.quantity for reading in machine.readings for finding in findings(reading)}
    stale = dict.fromkeys(one.tape for name, one in QUANTITIES.items() if name in read and what in one.lapses_with)
    again = f"Plans no longer use what you read before in these tests: {', '.join(stale)}. Do these tests again."
    again = again if stale else "None of your readings depends on this change."
    return [again, f"saved in {path}"]


def ignore_reading(machine: "MachineRecord", number: int, folder: Path) -> list[str]:
    """Take a reading out by its number."""
    from rotary.machine.record import without_reading
    from rotary.machine.store import change_machine
    from rotary.machine.words import reading_name

    without_reading(machine, number)
    gone = machine.readings[number - 1]

    def change(machine: "MachineRecord") -> "MachineRecord":
        # Another program may have taken one out, or put one in, since the list was read.
        return without_reading(machine, machine.readings.index(gone) + 1) if gone in machine.readings else machine

    _, path = change_machine(machine.name, folder, change)
    done = f"{machine.name} no longer has reading {number} ({reading_name(gone)}, {gone.at.date().isoformat()})"
    return [done, f"saved in {path}"]


def seam_test(at: MachineOfJob, tape_mm: float) -> "Strip":
    """The seam test of a job on its machine, for tape so thick."""
    from rotary.machine.strip import seam_strip

    return seam_strip(at.corrected, at.drawn_with, tape_mm)


def seam_test_read(at: MachineOfJob, tape_mm: float, form: Path, folders: Folders, saves: bool) -> list[str]:
    """What a filled-in form of the seam test shows; saved for the machine where that is asked for.

    Raises Refused, FileTrouble.
    """
    from rotary.errors import FileTrouble, brief
    from rotary.files import LARGEST_JOB_BYTES, bytes_of_file
    from rotary.machine.diagnosis import diagnosis, strip_result
    from rotary.machine.strip_reading import reading_from_form
    from rotary.services.planning import plan_for

    try:
        text = bytes_of_file(form, LARGEST_JOB_BYTES, "name the form that you filled in").decode("utf-8")
    except UnicodeDecodeError:
        raise FileTrouble(
            f"{brief(form)} can't be read as text: write the seam test again, and fill in its new form"
        ) from None
    drawn = seam_test(at, tape_mm)
    read = reading_from_form(text, drawn, brief(form))
    shows = diagnosis(read, drawn, plan_for(at.corrected, folders).focus.plane_over_apex_mm)
    if shows.setting:
        return [*shows.sentences, "rotary saved nothing."]
    if not saves:
        return [*shows.sentences, "rotary saved nothing, because of --dry-run."]
    result = strip_result(shows, at.job.item.name, at.drawn_with, datetime.now().astimezone().replace(microsecond=0))
    _, path = add_reading(at.machine.name, result, at.folder)
    return [*shows.sentences, f"saved in {path}"]


def record_gap_ladder(made: "Plan", closed: int, machine: str, at: datetime, folder: Path) -> "Reading":
    """Record which gap of a plan's first ladder was the widest that closed, by its number, in the machine's file.

    Raises Refused where all or none closed, with what to mark next; nothing is recorded then.
    """
    from rotary.machine.correct import seam_material
    from rotary.machine.reading_data import reading_from_data
    from rotary.machine.seam_tests import rungs_of

    gaps = rungs_of(made)
    reading: Reading = reading_from_data(
        {
            "kind": "gap-ladder", "coating": seam_material(made.job), "settings": made.seams.settings,
            "first": f"{gaps.first_mm} mm", "step": f"{gaps.step_mm} mm", "closed": closed, "at": at,
        }
    )  # fmt: skip
    add_reading(machine, reading, folder)
    return reading


def full_step_words(job: "Job", row: Literal["whole", "free"]) -> tuple[str, str]:
    """What a row of a job's motor test is recorded with besides its ticks."""
    from rotary.machine.seam_tests import full_step_on_tape

    full_step_mm, across_mm = full_step_on_tape(job, row)
    return f"full_step={full_step_mm:.6f} mm", f"across={across_mm:.6f} mm"
