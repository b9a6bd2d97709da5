"""Your machine as measured, and what your marking program can do."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from rotary.cli.answers import typed
from rotary.cli.jobs import NamedJob
from rotary.cli.options import HERE, JobName, Json, Length, Machine, Number, Text, Where, group
from rotary.cli.output import over, report, say, say_json, say_lines
from rotary.errors import BadArgument, brief
from rotary.files import only_said

if TYPE_CHECKING:
    from rotary.rig.record import Rig

Note = Annotated[Text, Parameter(help="a remark that is stored with it")]
Begins = Annotated[bool, Parameter(help="begin the machine, where there is none of that name")]
MachineName = Annotated[str | None, Parameter(name="MACHINE", help="the machine's name (the first one if left out)")]
ON: Machine = Machine()

app = group("machine", "Your machine as measured, and what your program can do.")


def _machine(on: Machine, begins: bool = False) -> "Rig":
    from rotary.services.machines import machine_named

    return machine_named(on.machine, on.folder, begins)


@app.command
def show(
    name: MachineName = None, /, *, item: str | None = None, program: bool = False, json: Json = False, on: Machine = ON
) -> int:
    """Say what is known of a machine, and what is out of date.

    Example: rotary machine show

    :param item: with what holds for this item only
    :param program: only what the marking program can do, and what belongs to the machine
    """
    from rotary.rig.store import rig_path
    from rotary.rig.words import equipment_lines, rig_json, rig_lines
    from rotary.services.machines import machine_named

    machine = machine_named(name or on.machine, on.folder)
    if json:
        say(rig_json(machine, item) + "\n")
        return 0
    if program:
        return say_lines(equipment_lines(machine))
    return say_lines([*rig_lines(machine, item), f"saved in {rig_path(machine.name, on.folder)}"])


@app.command(name="list")
def list_(*, json: Json = False, on: Machine = ON) -> int:
    """List your machines.

    Example: rotary machine list
    """
    from rotary.rig.machine import rig_names

    names = rig_names(on.folder)
    if json:
        return say_json(names)
    return say_lines(names or ["no machine is saved yet: rotary machine new NAME, or record a reading"])


@app.command
def new(name: Annotated[str, Parameter(name="MACHINE", help="its name")], /, *, on: Machine = ON) -> int:
    """Begin a machine of which nothing is known yet.

    Example: rotary machine new "boathouse"
    """
    from rotary.rig.machine import added

    with typed():
        return report([f"begun in {added(name, on.folder)}"])


@app.command
def rename(
    name: Annotated[str, Parameter(name="MACHINE", help="its name today")],
    new_name: Annotated[str, Parameter(name="NEW", help="its name from now on; the old one still finds it")],
    /,
    *,
    on: Machine = ON,
) -> int:
    """Give a machine another name.

    Example: rotary machine rename rig "boathouse"
    """
    from rotary.rig.machine import refuse_unknown, renamed

    refuse_unknown(name, on.folder)
    with typed():
        return report([f"renamed, saved in {renamed(name, new_name, on.folder)}"])


@app.command(name="tests")
def tape_tests(
    job: JobName,
    test: Annotated[str | None, Parameter(name="TEST", help="one test (all if left out)")] = None,
    /,
    *,
    to: Annotated[Path | None, Parameter(help="the folder to write drawings at true size into")] = None,
    json: Json = False,
    where: Where = HERE,
) -> int:
    """Say what to mark on paper tape and what to read; write the drawings.

    Example: rotary machine tests regatta-bottle field --to tests
    """
    from rotary.artwork.outfiles import refuse_folder
    from rotary.artwork.sets import write_all
    from rotary.errors import unknown_name
    from rotary.examples import banner
    from rotary.rig.tapes import tapes

    if to is not None:
        refuse_folder(to)
    made = NamedJob(job, where).plan()
    every = tapes(made)
    if test is not None and test not in every:
        raise unknown_name("test", test, [*every], f"write one of {', '.join(every)}")
    chosen = [every[test]] if test else list(every.values())
    if json:
        return say_json([one._asdict() | {"svg": bool(one.svg)} for one in chosen])
    lines = [banner(made.job.head.use)] if made.job.head.use else []
    for one in chosen:
        lines += [f"{one.name}", *(f"  - {step}" for step in one.instructions)]
        lines += [f"  then write: rotary machine record {one.reading}"] if one.reading else []
    if to is not None:
        drawings = {to / f"tape-{one.name}.svg": one.svg.encode() for one in chosen if one.svg}
        lines += [f"wrote {path}" for path in write_all(drawings, over=over() != "no")]
    return say_lines(lines)


@app.command
def record(
    kind: Annotated[str, Parameter(name="KIND", help="turn, field, two-heights, stairs, …; or program")],
    /,
    *values: Annotated[str, Parameter(name="NAME=VALUE", help="what was read, lengths with their unit")],
    note: Note = "",
    label: Annotated[list[str] | None, Parameter(negative="")] = None,
    from_: Annotated[str | None, Parameter(name="--from")] = None,
    new: Begins = False,
    json: Json = False,
    on: Machine = ON,
) -> int:
    """Record what was read at the machine, or what your marking program can do.

    Example: rotary machine record field axis=x drawn="140 mm" measured="139.6 mm"

    Example: rotary machine record program pause=yes least-pause="0.5 s" --label power="Output"

    :param label: with program: what it calls a row of the setup sheet, ROW=TEXT (no text takes it out)
    :param from_: with program: take laser, lens, eyewear and other lasers from this job
    """
    from rotary.services.machines import recorded

    if kind == "program":
        return _program(values, label or [], from_, new, json, on)
    if label or from_:
        raise BadArgument("--label and --from belong to: rotary machine record program")
    machine = _machine(on, new)
    with typed():
        return report(recorded(machine, [kind, *values], on.folder, note))


def _program(
    answers: tuple[str, ...], labels: list[str], source: str | None, begins: bool, json: bool, on: Machine
) -> int:
    from rotary.rig.equipment import LABEL
    from rotary.rig.words import equipment_lines, rig_json
    from rotary.services.machines import machine_named, program_recorded

    job = None if source is None else NamedJob(source, Where(machines=on.machines)).job()
    named = on.machine or (job.rig if job else "")
    machine = machine_named(named or None, on.folder, begins or not on.machine)
    texts = dict(_named(text, "_", "-") for text in answers)
    texts |= {LABEL + name: text for name, text in (_named(label, "-", "_") for label in labels)}
    with typed():
        after, lines = program_recorded(machine, texts, job, on.folder)
    if json:
        say(rig_json(after, None) + "\n")
        return 0
    return say_lines([*equipment_lines(after), *lines])


def _named(text: str, sign: str, instead: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name:
        raise BadArgument(f"{brief(text)} has no = in it: write NAME=VALUE, such as pause=yes")
    return name.strip().replace(sign, instead), value.strip()


@app.command(name="seam-test")
def seam_test(
    job: JobName,
    /,
    *,
    to: Annotated[Path | None, Parameter(help="the folder for the drawing, the form and what to do")] = None,
    from_: Annotated[Path | None, Parameter(name="--from")] = None,
    tape: Length = 0.12,
    new: Begins = False,
    where: Where = HERE,
) -> int:
    """Draw the seam test and its form, or read the filled-in form and save the correction.

    Example: rotary machine seam-test regatta-bottle --to seams

    :param from_: a filled-in form: say what fits, and save the correction (--dry-run saves nothing)
    :param tape: how thick the tape is, "0.12 mm"
    """
    from rotary.artwork.outfiles import refuse_folder
    from rotary.artwork.sets import write_all
    from rotary.rig.strip_papers import numbered_lines, strip_files
    from rotary.services import machines

    if to is not None:
        refuse_folder(to)
    begins = new or where.machine is None
    at = machines.machine_of_job(NamedJob(job, where).job(), where.machine, where.folder, begins)
    if from_ is not None:
        with typed():
            return report(machines.seam_test_read(at, tape, from_, where.folders, not only_said()))
    drawn = machines.seam_test(at, tape)
    lines = numbered_lines(drawn, where.system)
    if to is not None:
        files = {to / name: data for name, data in strip_files(drawn).items()}
        lines += [f"wrote {path}" for path in write_all(files, over=over() != "no")]
    return say_lines(lines)


@app.command
def level(
    job: JobName,
    /,
    *,
    base_end: Length,
    rim_end: Length,
    apart: Length,
    pivot: Length | None = None,
    where: Where = HERE,
) -> int:
    """Say what to put under which end, from heights read at both ends of the artwork.

    Example: rotary machine level regatta-bottle --base-end "95.2 mm" --rim-end "96.0 mm" --apart "60 mm"

    :param base_end: height over the bed towards the base, as read
    :param rim_end: height over the bed towards the rim, as read
    :param apart: how far apart the two were read
    :param pivot: from the edge that stays down to the shim (the item's length)
    """
    from rotary.rig.level import levelling

    made = NamedJob(job, where).plan()
    with typed():
        return say_lines(levelling(made, base_end, rim_end, apart, base_mm=pivot, system=where.system).says)


@app.command
def changed(
    what: Annotated[str, Parameter(name="WHAT", help="lens, head, field, axis, rollers, drive, pointer or item")],
    /,
    *,
    note: Note = "",
    on: Machine = ON,
) -> int:
    """Say that something was changed, so that readings are out of date.

    Example: rotary machine changed lens
    """
    from rotary.services.machines import changed as out_of_date

    machine = _machine(on)
    with typed():
        return report(out_of_date(machine, what, on.folder, note))


@app.command
def ignore(
    number: Annotated[Number, Parameter(name="N", help="its number, as rotary machine show says it")],
    /,
    *,
    on: Machine = ON,
) -> int:
    """Take a reading out by its number.

    Example: rotary machine ignore 3
    """
    from rotary.services.machines import ignored

    machine = _machine(on)
    with typed():
        return report(ignored(machine, number, on.folder))
