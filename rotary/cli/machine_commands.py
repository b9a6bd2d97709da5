"""Your machine as measured, and what your marking program can do."""

import shlex
from typing import Annotated, Final

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import Machine, Machines, PaperTo, group
from rotary.cli.output import answer, complain, refuse_folder, report, said_yes, say, typed, wrote
from rotary.cli.papers import print_paper, refuse_paper
from rotary.cli.values import FLAGS, File, Json, Length, Note, Number, Tape
from rotary.errors import BadArgument, listing, unknown_name
from rotary.files import is_dry_run

OLD_TESTS: Final = {"stairs": "focus-lines"}
Begins = Annotated[bool, Parameter(help="add the machine, if no machine has this name yet")]
MachineName = Annotated[str, Parameter(name="MACHINE")]


def show(
    name: Annotated[str | None, Parameter(name="MACHINE")] = None,
    /,
    *,
    on: Machine,
    item: str | None = None,
    program: bool = False,
    json: Json = False,
) -> int:
    """Show a machine's readings, and which of them are out of date.

    Example: rotary machine show

    :param name: the name of the machine (if left out, your first one)
    :param item: the name of an item: also show the readings that hold only for this item
    :param program: show only what your marking program can do, the laser and the eyewear
    """
    machine = core.machines.machine_named(name if name is not None else on.machine, on.folder)
    lines = core.words.equipment_lines(machine)
    if not program:
        place = core.machine_files.machine_path(machine.name, on.folder)
        saved = f"this machine's file: {place}"
        unsaved = "you have not saved this machine yet. To add it: rotary machine new " + shlex.quote(machine.name)
        lines = [*core.words.machine_lines(machine, item), saved if place.exists() else unsaved]
    return answer(json, core.words.machine_data(machine, item), lines)


def list_(on: Machines, json: Json = False) -> int:
    """List your machines.

    Example: rotary machine list
    """
    names, troubles = core.lookup.names_and_troubles(on.folder)
    for trouble in troubles:
        complain(trouble)
    none = [] if troubles else ["you have saved no machine yet. To add one: rotary machine new NAME"]
    return answer(json, names, names or none)


def new(name: MachineName, /, on: Machines) -> int:
    """Add a new machine, which has no readings yet.

    Example: rotary machine new "boathouse"

    :param name: your name for the machine
    """
    return report([f"machine added: {core.lookup.add_machine(name, on.folder)}"])


def rename(name: MachineName, new_name: Annotated[str, Parameter(name="NEW")], /, on: Machines) -> int:
    """Give a machine another name.

    Example: rotary machine rename "my laser" "boathouse"

    :param name: the name that the machine has today
    :param new_name: the new name (the old name still works)
    """
    core.lookup.refuse_unknown(name, on.folder)
    return report([f"machine renamed: {core.lookup.rename_machine(name, new_name, on.folder)}"])


def tape_tests(job: NamedJob, test: str | None = None, /, *, sheet: PaperTo, json: Json = False) -> int:
    """Show the tests to mark on paper tape, and how to read them. With --to you get drawings to mark, or a paper.

    Example: rotary machine tests regatta-bottle field --to tests

    :param test: one test, like field (if left out, all tests)
    :param to: a folder for the drawings at true size; or a name ending in .pdf, .html, .txt or .json for a page with
        the steps of every test
    """
    if sheet.is_file:
        if test is not None or json:
            extra = listing([*([test] if test is not None else []), *["--json"] * json], "and")
            raise BadArgument(
                f"a paper always has all tests: leave out {extra}. To get the drawing of one test, name a folder "
                "after --to"
            )
        return print_paper(job, "tests", sheet)
    refuse_folder(sheet.to)
    plan = job.plan_of_marks()
    every, test = core.tapes.tapes(plan), OLD_TESTS.get(test or "", test)
    if test is not None and test not in every:
        raise unknown_name("test", test, [*every], f"write one of {', '.join(every)}")
    chosen = [every[test]] if test else list(every.values())
    lines = [core.examples.banner(plan.job.laser.use)] if plan.job.laser.use else []
    lines += [line for one in chosen for line in one.lines(*filter(None, (job.typed_name,)))]
    lines += _drawn({name: svg for one in chosen for name, svg in one.files.items()}, sheet.to)
    return answer(json, [one._asdict() | {"svg": bool(one.svg), "more": [*dict(one.more)]} for one in chosen], lines)


def _drawn(files: dict[str, bytes], to: File | None) -> list[str]:
    """Write drawings where a folder is named; the lines that say so."""
    by_path = {to / name: data for name, data in files.items()} if to else {}
    return wrote(core.sets.write_all(by_path, said_yes.get())) if by_path else []


def record(
    kind: str,
    /,
    *values: Annotated[str, Parameter(name="NAME=VALUE")],
    on: Machine,
    note: Note = "",
    label: Annotated[list[str] | None, FLAGS] = None,
    from_: str | None = None,
    new: Begins = False,
    json: Json = False,
) -> int:
    """Record a reading that you took at the machine, or what your marking program can do.

    Example: rotary machine record field axis=x drawn="140 mm" measured="139.6 mm"

    Example: rotary machine record motor-whole ticks=0,1,0,-1,0,2,1,0 --from regatta-bottle

    Example: rotary machine record program pause=yes least-pause="0.5 s" --label power="Output"

    :param kind: a test, like field, or the word program (rotary machine tests shows what to write for each test)
    :param values: your readings, each length with its unit, like measured="139.6 mm"
    :param label: with program: what your program calls a row of the setup sheet, like power="Output" (power= removes
        this name)
    :param from_: with motor-whole and motor-free: the job for which you marked this test; with program: the job from
        which to copy lasers, lens and eyewear
    """
    job = None if from_ is None else NamedJob(name=from_, machines=on.machines)
    is_motor_test = kind in core.seam_tests.MOTOR_ROWS
    if kind == "program":
        wanted = job.job() if job else None
        name = on.machine if on.machine is not None or wanted is None else wanted.machine or None
        machine = core.machines.machine_named(name, on.folder, new or not on.machine)
        after, lines = core.machines.record_program(machine, values, label or (), wanted, on.folder)
        return answer(json, core.words.machine_data(after, None), [*core.words.equipment_lines(after), *lines])
    if is_motor_test and job is None:
        raise BadArgument(f"{kind} belongs to a job: add --from and the job for which you marked this test")
    if label or (job and not is_motor_test):
        raise BadArgument(
            "leave out --label and --from: --label is only for program, --from only for program and the motor tests"
        )
    machine, part = on.named(new), job.on_machine() if job else None
    return report(core.machines.record_reading(machine, [kind, *values], on.folder, note, part))


def seam_test(job: NamedJob, sheet: PaperTo, from_: File | None = None, tape: Tape = 0.12, new: Begins = False) -> int:
    """Make the drawing and the form of the seam test. With --from, read your form and save the correction.

    Example: rotary machine seam-test regatta-bottle --to seams

    :param to: a folder for the drawing to mark, the form and the steps; or a name ending in .pdf, .html, .txt or .json
        for a page with the steps alone
    :param from_: the form you filled in: rotary finds why seams are off, and saves the correction
        (--dry-run saves nothing)
    """
    is_paper = sheet.is_file and from_ is None
    if is_paper:
        refuse_paper(job, sheet.to, "seam-test")
    else:
        refuse_folder(sheet.to)
    at = job.measured(new or job.machine is None)
    if is_paper:
        # The paper has the numbers of the drawing: of the same machine, and the same tape.
        plan = job.planned(at.corrected)
        return print_paper(job, "seam-test", sheet, plan, drawn_with=at.drawn_with, tape_mm=tape)
    if from_ is not None:
        with typed():
            return report(core.machines.seam_test_read(at, tape, from_, job.folders, not is_dry_run()))
    drawn = core.machines.seam_test(at, tape)
    name = job.typed_name or core.strip_papers.NAME_OF_JOB
    lines = core.strip_papers.numbered_lines(drawn, job.system, name)
    return say([*lines, *_drawn(core.strip_papers.strip_files(drawn, name), sheet.to)])


def level(job: NamedJob, base_end: Length, rim_end: Length, apart: Length, pivot: Length | None = None) -> int:
    """Say under which end to put a shim, and how thick, to level the item.

    First measure the height of the item's apex over the bed near both ends of the artwork.

    Example: rotary machine level regatta-bottle --base-end "95.2 mm" --rim-end "96.0 mm" --apart "60 mm"

    :param base_end: height of the apex over the bed near the base
    :param rim_end: height of the apex over the bed near the rim
    :param apart: distance along the item between the two places where you measured
    :param pivot: distance from the shim to the other end, which stays on the bed (if left out, the item's length)
    """
    plan = job.plan_of_marks()
    with typed():
        return say(core.level.levelling(plan, base_end, rim_end, apart, base_mm=pivot, system=job.system).says)


def changed(what: str, /, on: Machine, note: Note = "") -> int:
    """Say what you changed on the machine. Plans then leave out earlier readings that no longer hold.

    Example: rotary machine changed lens

    :param what: lens (changed or refocused), head (laser or mirrors), field (field correction), axis (rotary set up
        again), rollers (changed or moved), drive (motor, gear or microsteps), pointer (moved) or item (re-mounted)
    """
    return report(core.machines.record_change(on.named(), what, on.folder, note))


def ignore(number: Annotated[Number, Parameter(name="N")], /, on: Machine) -> int:
    """Delete a reading for good. Later readings then have other numbers.

    Example: rotary machine ignore 3

    :param number: the number of the reading, from rotary machine show
    """
    machine = on.named()
    if not machine.readings:
        raise BadArgument(
            f"there is no reading {number}: no reading is saved yet. "
            "To save one write rotary machine record (rotary machine tests shows what to write)"
        )
    return report(core.machines.ignore_reading(machine, number, on.folder))


app = group(show, list_, new, rename, tape_tests, record, seam_test, level, changed, ignore)
