"""The first page of the machine's screen: what is known, what matters, and every test's reading as a form."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.errors import Refused, refuse
from rotary.machine.quantities import CHANGES
from rotary.papers.sizes import Sizes
from rotary.services.machines import ignore_reading, record_change
from rotary.services.planning import plan_for
from tui.catalogue.machine_tests import OF_ITEM, READ_TO_MM, TESTS, MachineTest, Value
from tui.drawings.words import refusal, sentence
from tui.form.fields import Tables
from tui.screens.machine_pages import (
    NO_PLAN,
    READ_TO,
    Answer,
    Bench,
    Cell,
    Page,
    Reader,
    Row,
    by_field,
    keep_reading,
    now,
    readings_text,
    write_tapes,
)

if TYPE_CHECKING:
    from rotary.machine.readings import Reading

WHAT, CHANGE, NUMBER, DRAWINGS = "what", "change", "number", "drawings"
KNOWN, MATTERS, CHANGED, TAKE_OUT = "what-is-known", "what-to-measure-next", "something-was-changed", "remove-a-reading"
HOW: Final = "Choose the test that you did, or what you want to see. Left and Right change it, Enter opens the list."
THIS, ALL = "this-drawing", "all-drawings"

WHOLE_TABLE: Final = 75
"""Columns that the table of what matters takes as far as its shares of the fluence."""


def bench_of(data: Tables, system: str, name: str, named: str | None = None) -> tuple[Bench, str]:
    """Everything about a machine, planned for the job on the desk where that can be; and how much was read there."""
    from rotary.inscription.actions import numbered, plan_of_marks
    from rotary.job import job_from_data
    from rotary.machine.correct import corrected, correction, seam_material
    from rotary.machine.lookup import machine_names
    from rotary.machine.record import known
    from rotary.machine.store import first_machine, load_machine
    from rotary.shipped import machine_folder

    folder = machine_folder()
    machine = load_machine(name or first_machine(folder), folder)
    names, said = tuple(machine_names(folder)), readings_text(len(machine.readings))
    named = name if named is None else named
    try:
        job = job_from_data(data, units=system)
        # As the desk and the sheet plan it: another setting would have another focal plane.
        made = numbered(plan_of_marks(corrected(job, machine), plan_for, Path()), Path())
    except Refused as refused:
        # In whose field it stands is said on the screen of the job, in its own words.
        trouble = f"{NO_PLAN} {sentence(refusal(refused))}"
        return Bench(None, machine, folder, None, None, known(machine), names, named, trouble), said
    now_known = known(machine, job.item.name, seam_material(job))
    return Bench(job, machine, folder, made, correction(job, machine), now_known, names, named), said


class ReadingsPage(Page):
    """What is known, what matters; a reading, a change, or one taken out, each as a few fields."""

    name = "readings"
    deed = "tests"
    keeps = "save"
    writes = "write the drawing"
    about = (
        "Choose a test: you see how to do it, and fields for what you read. F5 writes its drawing into the folder "
        "tapes. Mark the drawing at true size.",
        "Ctrl+S saves the reading. If the reading can't be right, you see why, and your typing stays.",
        'The choice "what is known" shows what you measured on this machine, and lists your readings. The choice "what '
        'to measure next" shows how far each value puts the seams off: measure the largest first.',
        'If you changed something at the machine, choose "something was changed", so that plans no longer use the '
        'readings that depend on it. If you misread something, choose "remove a reading".',
        "Use paper masking tape, never vinyl: vinyl fumes are poisonous. Wear eyewear marked for your laser, switch "
        "the extraction on, keep your hands clear of turning parts. Tape can smoulder: watch it. Local rules and "
        "licensed experts come first.",
    )

    def rows_for(self, bench: Bench, texts: Mapping[str, str]) -> list[Row]:
        """The choice, then the fields of what is chosen."""
        chosen = texts.get(WHAT) or KNOWN
        options = (KNOWN, MATTERS, *TESTS, CHANGED, TAKE_OUT)
        rows = [Row("choose", (Cell(WHAT, HOW, None, options, "", 24),))]
        if chosen == CHANGED:
            rows.append(
                Row(
                    "what changed",
                    (Cell(CHANGE, "Choose what you changed at the machine.", None, tuple(CHANGES), "", 48),),
                )
            )
        elif chosen == TAKE_OUT:
            rows.append(
                Row(
                    "reading number",
                    (Cell(NUMBER, 'Type the number that the reading has in the list "your readings, by number".'),),
                )
            )
        elif (test := TESTS.get(chosen)) is not None:
            rows += _test_rows(bench, test)
        return rows

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """What is known, or the table of what matters, or how a test is done and what it would teach."""
        chosen = reader.text(WHAT) or KNOWN
        if chosen in TESTS:
            return _told_of_test(bench, TESTS[chosen], reader)
        if chosen == MATTERS:
            return Answer(tuple(("plain", line) for line in _matters_lines(bench, reader)), reader.faults)
        from rotary.machine.correct import seam_material
        from rotary.machine.words import machine_lines

        of = (bench.job.item.name, seam_material(bench.job)) if bench.job is not None else (None, None)
        lines = Sizes(reader.system).texts(machine_lines(bench.machine, *of))
        inks = ("bad" if line.lstrip().startswith("!") else "plain" for line in lines)
        return Answer(tuple(zip(inks, lines, strict=True)), reader.faults, chosen != KNOWN)

    def keep(self, bench: Bench, reader: Reader) -> str:
        """Keep a reading or a change, or take a reading out; nothing is kept where anything is refused."""
        chosen = reader.text(WHAT) or KNOWN
        if chosen == CHANGED:
            what = reader.text(CHANGE) or next(iter(CHANGES))
            record_change(bench.machine, what, bench.folder)
            return "the change is saved"
        if chosen == TAKE_OUT:
            text = reader.text(NUMBER)
            number = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
            ignore_reading(bench.machine, number, bench.folder)
            return "the reading is removed"
        if chosen not in TESTS:
            raise refuse("reading", "first choose the test that you did.")
        reading = _reading(bench, TESTS[chosen], reader)
        if reading is None:
            raise refuse("reading", next(iter(reader.faults.values()), "fill in every field first."))
        return keep_reading(bench, reading)

    def done_with(self, bench: Bench) -> tuple[str, ...]:  # noqa: ARG002
        """What was read is not kept twice; which test it was stays."""
        values = (value for test in TESTS.values() for value in test.values)
        return (NUMBER, *dict.fromkeys(key for value in values for key in _keys(value)))

    def files(self, bench: Bench, reader: Reader) -> str:
        """Write the drawing of the test that is chosen, or those of all."""
        test = TESTS.get(reader.text(WHAT))
        if test is not None and not test.tape:
            raise refuse("tape", "this test has no drawing: mark one line with the job's settings.")
        chosen = (test.tape,) if test is not None and reader.text(DRAWINGS) != ALL else ()
        many = len(write_tapes(bench, chosen, ""))
        return f"{'1 drawing is' if many == 1 else f'{many} drawings are'} now in the folder tapes"


def _test_rows(bench: Bench, test: MachineTest) -> Iterator[Row]:
    given = _given(bench, test)
    for value in test.values:
        stands = given.get(value.name, "")
        if value.many > 1:
            for first in range(0, value.many, 4):
                keys = _keys(value)[first : first + 4]
                cells = tuple(Cell(key, value.help, None, (), "", 5) for key in keys)
                yield Row(f"{value.label} {value.many}" if not first else "", cells)
            continue
        options = ("x", "y") if value.name == "axis" else ()
        yield Row(value.label, (Cell(value.name, value.help, value.unit, options, stands),))
    if test.kind != "gap-ladder":
        yield Row("reading, ±", (Cell("u", READ_TO, "mm", (), f"{READ_TO_MM.get(test.kind, 0.05):g} mm"),))
    if test.tape:
        yield Row(
            "F5 writes",
            (
                Cell(
                    DRAWINGS,
                    "Choose what F5 writes: the drawing of this test, or the drawings of all tests.",
                    None,
                    (THIS, ALL),
                    "",
                    14,
                ),
            ),
        )


def _keys(value: Value) -> tuple[str, ...]:
    """The fields of a value, one each where it is several."""
    return (value.name,) if value.many == 1 else tuple(f"{value.name} {place}" for place in range(1, value.many + 1))


def _given(bench: Bench, test: MachineTest) -> dict[str, str]:
    """What the drawing of a test says of its reading already."""
    if bench.made is None or not test.tape:
        return {}
    from rotary.machine.tapes import tapes

    drawn = tapes(bench.made).get(test.tape)
    # Of a name that stands twice, as of both axes, the first counts.
    return {name: value for name, value in reversed(drawn.fields if drawn is not None else ()) if "?" not in value}


def _reading(bench: Bench, test: MachineTest, reader: Reader) -> "Reading | None":
    """The reading, or None where something is still to be typed or wrong; that is told at its field."""
    from rotary.machine.reading_data import reading_from_data

    given = _given(bench, test)
    data: Tables = {"kind": test.kind, "at": now(), **test.fixed}
    data |= {name: given[name] for name in ("coating", "settings", "steps") if name in given}
    if test.kind in OF_ITEM:
        data["item"] = bench.job.item.name if bench.job is not None else given.get("item", "")
    for value in test.values:
        data[value.name] = _typed(value, given.get(value.name, ""), reader)
    if (u := reader.exact("u")) and test.kind != "gap-ladder":
        data["u"] = u
    lacks = [value.name for value in test.values if not data[value.name] and value.name != "back"]
    if reader.faults or lacks:
        return None
    try:
        return reading_from_data({name: one for name, one in data.items() if one})
    except Refused as refused:
        names = {value.name: _keys(value)[0] for value in test.values} | {"u": "u"}
        reader.faults.update(by_field(refused, names, _keys(test.values[0])[0]))
        return None


def _typed(value: Value, stands: str, reader: Reader) -> str | list[str]:
    """What stands in the fields of a value: several numbers as a list, a length exactly, else a word."""
    if value.many > 1:
        texts = [reader.text(key) for key in _keys(value)]
        return texts if all(texts) else []
    if value.unit is None:
        return reader.text(value.name) or ("x" if value.name == "axis" else stands)
    return reader.exact(value.name) or ("" if value.name in reader.faults else stands)


def _told_of_test(bench: Bench, test: MachineTest, reader: Reader) -> Answer:
    """How the test is done; once all is typed, what it says of the machine."""
    from rotary.machine.quantities import QUANTITIES
    from rotary.machine.readings import findings
    from rotary.machine.record import known, with_reading
    from rotary.machine.words import known_text

    sizes, lines = Sizes(reader.system), []
    if bench.made is not None and test.tape:
        from rotary.machine.tapes import tapes

        drawn = tapes(bench.made).get(test.tape)
        lines = [("plain", text) for text in sizes.texts(drawn.instructions)] if drawn is not None else []
    elif not test.tape:
        lines = [("plain", test.values[0].help)]
    reading = _reading(bench, test, reader)
    if reading is None:
        todo = f"Do this test, then type what you read{':' if lines else '.'}"
        first = ("strong", todo) if bench.made is not None else ("bad", bench.trouble or NO_PLAN)
        return Answer((first, *lines), reader.faults)
    item = bench.job.item.name if bench.job is not None else None
    after = known(with_reading(bench.machine, reading), item, getattr(reading, "coating", None))
    shown = []
    for quantity in dict.fromkeys(one.quantity for one in findings(reading)):
        shown.append(("strong", f"{QUANTITIES[quantity].says}: {sizes.text(known_text(after[quantity]))}"))
        shown += [("warn", says) for says in after[quantity].says]
    return Answer((*shown, *lines), reader.faults, True)


def _matters_lines(bench: Bench, reader: Reader) -> list[str]:
    if bench.made is None:
        return [bench.trouble or NO_PLAN]
    from rotary.machine.error_budget import error_budget, error_budget_lines

    return error_budget_lines(error_budget(bench.made), reader.system, narrow=reader.width < WHOLE_TABLE)
