"""The setup sheet of a repeat: the rows as they were run, word for word, under a banner that says how they stand."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from rotary.card.essence import in_short, whole
from rotary.errors import Refused
from rotary.papers.lines import percent
from rotary.papers.model import Entry, Keyed, Notes, Pairs, Paper, PictureRow, Section, Sentences, Table, Ticks
from rotary.papers.sizes import Sizes
from rotary.pictures import NAMES, picture
from rotary.plan import Plan
from rotary.repeat.standing import Repeat
from rotary.repeat.telling import repeat_section
from rotary.sentences.cautions import stops
from rotary.sentences.passes import before_and_after
from rotary.store.changes import plan_changes
from rotary.store.record import AsRun, PassesRun, RunSheet, SheetRow, as_run

MOST_BOXES: Final = 150
"""More boxes than this take the page from everything else; then one stands for several slices."""

PICTURE_MM: Final = 60.0

REBUILT: Final = "rebuilt"

CAUTIONS: Final = (
    "Today's tool can't work out the cautions of this job. Ask your laser safety officer before you start.",
    "Enclosure closed, interlock on; eyewear for this laser's wavelength, as marked on it.",
    "Extract at the mark. Stay with the machine. Keep sleeves and hair away from what turns.",
)
"""Where there is no plan to take the cautions from. Common practice, no source."""


def sheet_of(run: AsRun) -> RunSheet:
    """The sheet of a run that is printed; it always has one."""
    return run.sheet or RunSheet(column_mm=0.0)


def typed_rows(run: AsRun, system: str = "mm") -> tuple[SheetRow, ...]:
    """The rows that are typed, and the move of the lens, as they were stored.

    In inches the move of the lens is converted; what the marking program takes in mm stays in mm.
    """
    return tuple(_in_system(row, system) if row.id == "focus" else row for row in sheet_of(run).typed)


def rows_by_hand(run: AsRun, system: str = "mm") -> tuple[SheetRow, ...]:
    """What is done by hand, as it was stored; in inches where they are asked for."""
    return tuple(_in_system(row, system) for row in sheet_of(run).by_hand)


def _in_system(row: SheetRow, system: str) -> SheetRow:
    if system != "in":
        return row
    sizes = Sizes(system)
    update = {"label": sizes.text(row.label), "why": sizes.text(row.why)}
    if row.unit == "mm":
        sides = [sizes.length(float(side)).split() for side in row.text.split(" × ")]
        update |= {"text": " × ".join(side[0] for side in sides), "unit": sides[0][1]}
    return row.model_copy(update=update)


def repeat_paper(
    repeat: Repeat, run: AsRun, system: str = "mm", day: date | None = None, picture_mm: float = 0.0
) -> Paper:
    """The sheet of a repeat; `picture_mm` is the height of its pictures, 0 for none."""
    sizes, drawn = Sizes(system), _drawn(repeat)
    sections = (
        repeat_section(repeat, system),
        Section("Key in, in this order", (Keyed(entries(typed_rows(run, system), system)),), "left"),
        _check(run),
        Section("By hand", (Pairs(tuple(_pair(row) for row in rows_by_hand(run, system))),), "right"),
        _set_up(run, sizes),
        _shown(run, drawn, system, picture_mm),
        _before_and_after(drawn, repeat.state == "proven"),
        _passes(run),
        _ticks(run),
        _cautions(drawn),
        Section("What happened: date, who, what was seen", (Notes(3),)),
    )
    return Paper(
        kind="setup card",
        name=repeat.job.item.name,
        day=day or date.today(),
        banner=drawn.safety.example if drawn else "",
        verdict=repeat.verdict,
        lead=repeat.banner,
        doubtful=repeat.state != "proven",
        stops=stops(drawn.safety) if drawn else (),
        sections=tuple(part for part in sections if any(_is_full(block) for block in part.blocks)),
        behind=_behind(drawn),
        behind_says="The first page holds all that is done at the machine. From here on: the cautions in whole.",
    )


def _drawn(repeat: Repeat) -> Plan | None:
    """What cautions and setting up are taken from: a plan of the numbers as run, else today's, else none."""
    try:
        return repeat.to_draw()
    except Refused:
        return repeat.made


def _is_full(block: object) -> bool:
    if isinstance(block, Keyed):
        return bool(block.entries)
    if isinstance(block, Sentences):
        return bool(block.texts)
    return not isinstance(block, Pairs) or bool(block.pairs)


def why_of(row: SheetRow) -> str:
    """What a row means, a warning first."""
    return "; ".join(part for part in (row.leave, row.why) if part)


def label_of(row: SheetRow) -> str:
    """What a row is called, and that it was rebuilt where it was: no form of the sheet leaves a label out."""
    return f"{row.label} ({REBUILT})" if row.rebuilt else row.label


def entries(rows: Sequence[SheetRow], system: str = "mm") -> tuple[Entry, ...]:
    """The rows as papers and screens have them, what warns of a number beside it."""
    return tuple(replace(row.entry(system), label=label_of(row)) for row in rows)


def _pair(row: SheetRow) -> tuple[str, str]:
    value, why = f"{row.text} {row.unit}".strip(), why_of(row)
    return label_of(row), f"{value}, {why}" if why else value


def _check(run: AsRun) -> Section:
    see, name = sheet_of(run).check, sheet_of(run).file
    see = (f"The file is {name}, written for these numbers.", *see) if name else see
    return Section("Before the first slice, see that", (Sentences(see, "box"),), "right")


def _set_up(run: AsRun, sizes: Sizes) -> Section:
    notes = tuple(sizes.texts(sheet_of(run).set_up))
    return Section("Set up: the item on its drive", (Sentences(notes),), "right", aside=2)


def _shown(run: AsRun, drawn: Plan | None, system: str, high: float) -> Section:
    """Pictures, where the plan they are drawn from is that of the numbers."""
    if drawn is None or not high or plan_changes(run, as_run(drawn)):
        return Section("To scale", (Pairs(()),))
    return Section(
        "To scale", (PictureRow(tuple(picture(drawn, name, system, PICTURE_MM, high) for name in NAMES[:3])),)
    )


def _before_and_after(drawn: Plan | None, is_proven: bool) -> Section:
    """What was proven needs no patch but where the batch of the coating is another, which the first checks ask."""
    before, after = before_and_after(drawn.removal if drawn else None, is_proven)
    texts = (*(f"before: {text}" for text in before), *(f"after: {text}" for text in after))
    return Section("Before and after the passes", (Sentences(texts, "box"),), "two", fills=True)


def _passes(run: AsRun) -> Section:
    head = ("pass", "kind", "power", "mm/s", "lines mm", "lines", "pause", "look for")
    sheet = sheet_of(run)
    lifts = [one for one in sheet.passes if one.kind == "lift"]
    last = [one for one in sheet.passes if one.kind == "finish"]
    if lifts:
        # On a coating nobody runs the passes that were planned, but as many as it takes.
        counted = run.passes_counted
        look = "as counted when proven; look, and stop where it is clean" if counted else "look, then again"
        # The plan's own first pass has no pause before it, and may be its only one.
        pause_s = max(one.pause_s for one in (*lifts, *last))
        lift = lifts[-1].model_copy(update={"pause_s": pause_s})
        rows = [(f"{counted or 1}", "removal", *_cells(lift), look)]
        rows += [("once", "last", *_cells(one), one.look) for one in last]
    else:
        rows = [
            (
                f"{one.first}" if one.first == one.last else f"{one.first} to {one.last}",
                one.kind,
                *_cells(one),
                one.look,
            )
            for one in sheet.passes
        ]
    told = (Sentences(sheet.run, "box"), Sentences(passes_in_words(run), "none"))
    table = (Table(head, tuple(rows), "the passes as they were run", True, 7),) if rows else ()
    return Section("Passes, as run", (*table, *told), aside=0 if sheet.run else 1)


def _cells(one: PassesRun) -> tuple[str, ...]:
    """How passes are run: power, speed, lines, their direction, pause."""
    power, speed = percent(one.power_share), f"{one.scan_speed_mm_s:.0f}"
    return power, speed, f"{one.hatch_mm:.3f}", one.direction, f"{one.pause_s:g} s"


def passes_in_words(run: AsRun) -> tuple[str, ...]:
    """In which order, and how many passes it took where somebody counted."""
    sheet = sheet_of(run)
    told = [f"Order: {sheet.order}."] if sheet.order else []
    if run.passes_counted is not None:
        told.append(f"It took {run.passes_counted} passes, as counted at the first slice.")
    elif sheet.run or any(one.kind == "lift" for one in sheet.passes):
        told.append("How many it took was not noted: count them at the first slice.")
    return tuple(told)


def _ticks(run: AsRun) -> Section:
    slices, each = run.slices, 1
    while slices > MOST_BOXES * each:
        each *= 10
    starts = range(1, slices + 1, each)
    groups = tuple((f"{at}" if each == 1 else f"{at} to {min(at + each - 1, slices)}", 1) for at in starts)
    what = "a slice once all its passes are done" if each == 1 else f"{each} slices a box, all passes done"
    return Section(f"Tick off: {what}", (Ticks(groups, ""),), aside=4, fills=True)


def _cautions(drawn: Plan | None) -> Section:
    title = "Cautions in short: local rules and licensed practice go first"
    if drawn is None:
        return Section(title, (Sentences(CAUTIONS, "warn"),), "two")
    warns, others = in_short(drawn)
    return Section(title, (Sentences(warns, "warn"), Sentences(others)), "two")


def _behind(drawn: Plan | None) -> tuple[Section, ...]:
    if drawn is None:
        return ()
    warns, notes = whole(drawn)
    title = "Cautions: local rules and licensed practice go first"
    return (Section(title, (Sentences(warns, "warn"), Sentences(notes))),)
