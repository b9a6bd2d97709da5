"""Your machine as measured, and what your marking program can do."""

from collections.abc import Sequence
from typing import Annotated, Final

from cyclopts import Parameter

from rotary.cli import core
from rotary.cli.jobs import NamedJob
from rotary.cli.options import Machine, PaperTo, group
from rotary.cli.output import answer, over, report, say, typed, wrote
from rotary.cli.papers import print_paper, refuse_paper
from rotary.cli.values import FLAGS, File, Json, Length, Note, Number, Tape
from rotary.errors import BadArgument, brief, unknown_name
from rotary.files import is_dry_run

OLD_TESTS: Final = {"stairs": "focus-lines"}
OLD_KINDS: Final = {*OLD_TESTS, "motor-test", "strip"}
Begins = Annotated[bool, Parameter(help="add the machine, if there is none of that name")]
MachineName = Annotated[str, Parameter(name="MACHINE")]


def _machine(name: str | None, on: Machine, begins: bool = False) -> "core.machine_record.MachineRecord":
    """The machine of a name, the first one where none is named."""
    if name is not None:
        core.machine_files.machine_path(name, on.folder)
    return core.machines.machine_named(name, on.folder, begins)


def show(
    name: Annotated[str | None, Parameter(name="MACHINE")] = None,
    /,
    *,
    on: Machine,
    item: str | None = None,
    program: bool = False,
    json: Json = False,
) -> int:
    """Show a machine's readings, and which are out of date.

    Example: rotary machine show

    :param name: the machine's name (the first one if left out)
    :param item: with the readings for this item
    :param program: show only what the program can do, and the machine's laser and eyewear
    """
    machine = _machine(name if name is not None else on.machine, on)
    if json:
        return say(core.words.machine_json(machine, item) + "\n")
    if program:
        return say(core.words.equipment_lines(machine))
    return say(
        [
            *core.words.machine_lines(machine, item),
            f"saved in {core.machine_files.machine_path(machine.name, on.folder)}",
        ]
    )


def list_(on: Machine, json: Json = False) -> int:
    """List your machines.

    Example: rotary machine list
    """
    names = core.lookup.machine_names(on.folder)
    return answer(json, names, names or ["no machine is saved yet: rotary machine new NAME, or record a reading"])


def new(name: MachineName, /, on: Machine) -> int:
    """Add a new machine, without readings yet.

    Example: rotary machine new "boathouse"

    :param name: its name
    """
    return report([f"added in {core.lookup.add_machine(name, on.folder)}"])


def rename(name: MachineName, new_name: Annotated[str, Parameter(name="NEW")], /, on: Machine) -> int:
    """Give a machine another name.

    Example: rotary machine rename "my laser" "boathouse"

    :param name: its name today
    :param new_name: its new name; the old one still works
    """
    core.lookup.refuse_unknown(name, on.folder)
    return report([f"renamed, saved in {core.lookup.rename_machine(name, new_name, on.folder)}"])


def tape_tests(job: NamedJob, test: str | None = None, /, *, sheet: PaperTo, json: Json = False) -> int:
    """Tests to mark on paper tape, and how to read them; writes the drawings, or prints them with room for readings.

    Example: rotary machine tests regatta-bottle field --to tests

    :param test: one test (all if left out)
    :param to: the folder to write drawings at true size into, or the file of the paper, with every test: .pdf …
    """
    if (to := sheet.to) is not None:
        if to.suffix:
            if test is not None or json:
                raise BadArgument(
                    "the paper has every test: leave out the test and --json, or name a folder after --to"
                )
            return print_paper(job, "tests", sheet)
        core.outfiles.refuse_folder(to)
    plan = job.plan_of_marks()
    every, test = core.tapes.tapes(plan), OLD_TESTS.get(test or "", test)
    if test is not None and test not in every:
        raise unknown_name("test", test, [*every], f"write one of {', '.join(every)}")
    chosen = [every[test]] if test else list(every.values())
    lines = [core.examples.banner(plan.job.laser.use)] if plan.job.laser.use else []
    for one in chosen:
        lines += [one.name, *(f"  - {step}" for step in one.instructions)]
        lines += [f"  then write: rotary machine record {one.to_type}"] if one.reading else []
    if to is not None:
        lines += _drawn({f"tape-{one.name}.svg": one.svg.encode() for one in chosen if one.svg}, to)
    return answer(json, [one._asdict() | {"svg": bool(one.svg)} for one in chosen], lines)


def _drawn(files: dict[str, bytes], to: File) -> list[str]:
    return wrote(core.sets.write_all({to / name: data for name, data in files.items()}, over=over() != "no"))


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
    """Record a reading at the machine, or what your marking program can do.

    Example: rotary machine record field axis=x drawn="140 mm" measured="139.6 mm"

    Example: rotary machine record motor-whole ticks=0,1,0,-1,0,2,1,0 --from regatta-bottle

    Example: rotary machine record program pause=yes least-pause="0.5 s" --label power="Output"

    :param kind: turn, field, two-heights, focus-lines, motor-whole, …; or program
    :param values: the readings, lengths with their unit
    :param label: with program: its word for a row of the setup sheet, ROW=TEXT (no text removes it)
    :param from_: the job of a motor test; with program: copy laser, lens, eyewear and other lasers from this job
    """
    job = None if from_ is None else NamedJob(name=from_, machines=on.machines)
    if row := core.seam_tests.MOTOR_ROWS.get(kind):
        if job is None:
            raise BadArgument(f"{kind} needs its job: add --from JOB, the job you marked the test for")
        full_steps = core.machines.full_step_words(job.on_machine(), row)
        kind, job, values = "motor-test", None, (f"row={row}", *values, *full_steps)
    if kind == "program":
        return _program(values, label or (), job.job() if job else None, new, json, on)
    kinds = core.reading_kinds.KINDS
    if kind not in {*kinds, *OLD_KINDS}:
        names = [*(name for name in kinds if name not in OLD_KINDS), *core.seam_tests.MOTOR_ROWS, "program"]
        raise unknown_name("reading", kind, names, f"write one of {', '.join(names)}")
    if label or job:
        raise BadArgument("--label and --from go only with: rotary machine record program, or a motor test")
    return report(core.machines.record_reading(_machine(on.machine, on, new), [kind, *values], on.folder, note))


def _program(
    values: tuple[str, ...], labels: Sequence[str], job: "core.job.Job | None", new: bool, json: bool, on: Machine
) -> int:
    """Record what the marking program can do, and what it calls the rows of the setup sheet."""
    machine = _machine(on.machine or (job.machine if job else "") or None, on, new or not on.machine)
    texts = dict(_named(text, "_", "-") for text in values)
    texts |= {core.equipment.LABEL + name: text for name, text in (_named(one, "-", "_") for one in labels)}
    after, lines = core.machines.record_program(machine, texts, job, on.folder)
    if json:
        return say(core.words.machine_json(after, None) + "\n")
    return say([*core.words.equipment_lines(after), *lines])


def _named(text: str, sign: str, instead: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name:
        raise BadArgument(f"{brief(text) or 'an empty text'} has no = in it: write NAME=VALUE, for example pause=yes")
    return name.strip().replace(sign, instead), value.strip()


def seam_test(job: NamedJob, sheet: PaperTo, from_: File | None = None, tape: Tape = 0.12, new: Begins = False) -> int:
    """Draw the seam test and its form, or read the filled-in form and save the correction.

    Example: rotary machine seam-test regatta-bottle --to seams

    :param to: the folder for the drawing, the form and the steps, or the file of the paper: .pdf …
    :param from_: a filled-in form: find the cause, and save the correction (--dry-run saves nothing)
    """
    to = sheet.to if from_ is not None or sheet.to is None or not sheet.to.suffix else None
    if to is not None:
        core.outfiles.refuse_folder(to)
    if to is not sheet.to:
        refuse_paper(job, sheet.to, "seam-test")
    at = job.measured(new or job.machine is None)
    if to is not sheet.to:
        # The paper has the numbers of the drawing: of the same machine, and the same tape.
        plan = job.planned(at.corrected)
        return print_paper(job, "seam-test", sheet, plan, drawn_with=at.drawn_with, tape_mm=tape)
    if from_ is not None:
        with typed():
            return report(core.machines.seam_test_read(at, tape, from_, job.folders, not is_dry_run()))
    drawn = core.machines.seam_test(at, tape)
    lines = core.strip_papers.numbered_lines(drawn, job.system)
    return say([*lines, *(_drawn(core.strip_papers.strip_files(drawn), to) if to is not None else ())])


def level(job: NamedJob, base_end: Length, rim_end: Length, apart: Length, pivot: Length | None = None) -> int:
    """Level the item: what to put under which end, from heights read at both ends of the artwork.

    Example: rotary machine level regatta-bottle --base-end "95.2 mm" --rim-end "96.0 mm" --apart "60 mm"

    :param base_end: height over the bed towards the base, as read
    :param rim_end: height over the bed towards the rim, as read
    :param apart: distance between the two readings
    :param pivot: from the end that stays down to the shim (the item's length)
    """
    plan = job.plan_of_marks()
    with typed():
        return say(core.level.levelling(plan, base_end, rim_end, apart, base_mm=pivot, system=job.system).says)


def changed(what: str, /, on: Machine, note: Note = "") -> int:
    """Record a change to the machine, so that its old readings no longer count.

    Example: rotary machine changed lens

    :param what: what changed: lens, head, field, axis, rollers, drive, pointer or item
    """
    return report(core.machines.record_change(_machine(on.machine, on), what, on.folder, note))


def ignore(number: Annotated[Number, Parameter(name="N")], /, on: Machine) -> int:
    """Ignore a reading, by its number.

    Example: rotary machine ignore 3

    :param number: its number in rotary machine show
    """
    return report(core.machines.ignore_reading(_machine(on.machine, on), number, on.folder))


app = group(show, list_, new, rename, tape_tests, record, seam_test, level, changed, ignore)
