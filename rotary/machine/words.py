"""A machine in words: what is known, what lapsed, what was read; and a reading from the words a person types."""

import math
import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final

from rotary.errors import Predicate, Refused, brief, counted, refuse
from rotary.finishes import COATINGS, METALS
from rotary.formulas.estimate import HOLDS_95
from rotary.machine.equipment import FACTS, answer_text
from rotary.machine.quantities import CHANGES, FOR_ONE_COATING, QUANTITIES
from rotary.machine.reading_data import reading_from_data
from rotary.machine.readings import findings
from rotary.machine.record import ENTERED, KnownMachine, MachineRecord, known

COUNTS = ("ticks", "back")
LISTS = ("heights", "widths", *COUNTS)
"""Values of a reading that are several, divided by semicolons, or commas with a space; counts also by commas alone."""


_UNSIGNED = ("pupil-x", "pupil-y", "rayleigh", "spot", "backlash", "marked-width", "stops-whole", "stops-free")
_CHANGES = {**CHANGES, ENTERED: "you entered laser and lens:"}


def known_text(one: KnownMachine) -> str:
    """A quantity's value as it is told: in its unit, with its 95 % half width, and where it comes from."""
    unit = QUANTITIES[one.quantity].unit
    factor, shown = {"": (100.0, " %"), "mm": (1.0, " mm"), "rad": (math.degrees(1), "°")}[unit]
    if one.quantity.endswith("lean"):
        factor, shown = 1.0, " mm"
    unknown = "no reading used" if one.odd else "not measured"
    if one.value is None:
        return unknown
    source = "measured" if one.source == "measured" else f"{unknown}, assumed"
    within = factor * HOLDS_95 * one.u
    # As many digits as it is known to.
    digits = max(1 - math.floor(math.log10(within)), 0) if within > 0 else 3
    sign = "" if one.quantity in _UNSIGNED else "+"
    value = f"{factor * one.value:{sign}.{digits}f}" if one.value else "0"
    return f"{source} {value}{shown}, right within {within:.2g}{shown}"


def reading_name(reading: Any) -> str:
    """A reading by the test that it was read off, with its item or coating."""
    kinds = {"turn": "full-turn", "strip": "seam-test", "flanks": "edge (flanks)", "stairs": "focus-lines"}
    kinds["motor-test"] = f"motor-{getattr(reading, 'row', '')}"
    of = getattr(reading, "item", "") or getattr(reading, "coating", "")
    return f"{kinds.get(reading.kind, reading.kind)}{f' on {COATINGS.get(of) or METALS.get(of, of)}' if of else ''}"


WITHOUT_PAPER: Final = {"line-width": "mark one line on the item, measure its width with a loupe"}
"""What a person does for a reading that no test on paper tape gives."""


def machine_lines(machine: MachineRecord, item: str | None, coating: str | None = None) -> list[str]:
    """What is known of a machine: every quantity, what has to be told about it, the readings by number."""
    now = known(machine, item, coating)
    read = {finding.quantity for reading in machine.readings for finding in findings(reading)}
    lines = [f"{machine.name}: {counted(len(machine.readings), 'reading')}, {counted(len(machine.changes), 'change')}"]
    if machine.former:
        lines.append(
            f"  earlier names of this machine: {', '.join(machine.former)}. Jobs with these names still use it"
        )
    for name, one in now.items():
        elsewhere = one.source == "believed" and name in read and not one.says
        of = "coating" if FOR_ONE_COATING in QUANTITIES[name].lapses_with else "item"
        given = coating if of == "coating" else item
        text = f"measured for another {of}" if given else f"measured for one {of} only"
        text = text if elsewhere else known_text(one)
        test = QUANTITIES[name].tape
        do = WITHOUT_PAPER.get(test, f"test: {test}")
        rests = do if one.source == "believed" else f"from {counted(one.used, 'reading')}"
        lines.append(f"  {QUANTITIES[name].says + ':  ':<57}{text}   ({rests})")
    lines.append("Each value is right within the amount beside it in 19 of 20 cases.")
    told = dict.fromkeys(says for one in now.values() for says in one.says)
    lines += [f"  ! {says}" for says in told]
    lines += ["your readings, by number:"] if machine.readings else []
    for number, reading in enumerate(machine.readings, 1):
        line = f"  {number:>3}  {reading.at.date().isoformat()}  {reading_name(reading)}  {reading.note}"
        lines.append(line.rstrip())
    lines += ["what you changed on the machine:"] if machine.changes else []
    lines += [
        f"       {c.at.date().isoformat()}  {_CHANGES.get(c.what, c.what)}  {c.note}".rstrip() for c in machine.changes
    ]
    return [*lines, "your program, laser and eyewear:", *(f"  {line}" for line in equipment_lines(machine))]


def equipment_lines(machine: MachineRecord) -> list[str]:
    """What the machine's file holds for every job on it: the program's answers and labels, laser, lens, eyewear."""
    program, head, shop = machine.program, machine.laser, machine.shop
    pairs: list[tuple[str, str]] = [
        (question, answer_text(getattr(program, field))) for field, question in FACTS.values()
    ]
    if program.least_pause_s:
        pairs.insert(1, ("Its shortest pause:", f"{program.least_pause_s:g} s"))
    pairs += [(f'Your program calls "{row_text(row)}":', text) for row, text in program.labels.items()]
    laser = f"{head.name}, {head.rated_power_w:g} W, {head.focal_length_mm:g} mm lens" if head else "those of each job"
    pairs += [("Laser and lens:", laser)]
    pairs += [("Eyewear:", f"{pair.name}, {pair.from_nm:g} to {pair.to_nm:g} nm") for pair in shop.eyewear]
    pairs += [("Another laser:", f"{one.name}, {one.wavelength_nm:g} nm") for one in shop.other_lasers]
    return [f"{name + '  ':<57}{text}" for name, text in pairs]


_ROWS = {"file_slice_width": "slice in the file", "fill_direction": "lines", "typed_diameter": "diameter to type"}


def row_text(row: str) -> str:
    """A row that is typed, in words.

    >>> row_text("typed_steps_per_turn"), row_text("line_spacing")
    ('steps per turn', 'line spacing')
    """
    return _ROWS.get(row, row.removeprefix("typed_").replace("_", " "))


def machine_data(machine: MachineRecord, item: str | None) -> dict[str, Any]:
    """All of a machine's file, and what is known of every quantity, in the core's units."""
    kept = machine.model_dump(mode="json", by_alias=False)
    return {**kept, "known": {name: one.model_dump(mode="json") for name, one in known(machine, item).items()}}


def reading_from_words(words: Sequence[str], at: datetime, note: str = "") -> Any:
    """A reading from its kind and NAME=VALUE words; raises Refused with every fault.

    >>> from datetime import UTC
    >>> words = ["field", "axis=x", "drawn=100 mm", "measured=99.8 mm"]
    >>> reading_from_words(words, datetime(2026, 5, 1, tzinfo=UTC)).measured_mm
    99.8
    """
    if not words:
        raise refuse(
            "reading", Predicate('is empty: write for example field axis=x drawn="140 mm" measured="139.6 mm".')
        )
    kind = "turn" if words[0] == "full-turn" else words[0]
    data: dict[str, Any] = {"kind": kind, "at": at.replace(microsecond=0), "note": note}
    for text in words[1:]:
        name, sign, value = text.partition("=")
        if not sign or not name or name in ("kind", "at"):
            raise refuse("reading", f'{brief(text)} is not a value: write NAME=VALUE, such as measured="99.8 mm".')
        if name in data and name != "note":
            raise refuse(name, Predicate("is there twice: leave one of the two out."))
        parts = re.split("; *|, *" if name in COUNTS else "; *|, ", value.strip("[]"))
        data[name] = [part.strip().strip('"') for part in parts] if name in LISTS else value
    try:
        return reading_from_data(data, "must")
    except Refused as refused:
        # Behind the command a value has its bare name.
        raise Refused(fault._replace(where=fault.where.removeprefix("reading.")) for fault in refused.faults) from None
