"""Tapes and the card of a stopped job as papers: what to mark, what to read to which tenth, where to write it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from rotary.actions.files import comes_up, zones_of
from rotary.artwork.rings import list_from_rings
from rotary.finishes import COATINGS, METALS
from rotary.item import ENDS, Item
from rotary.machine.resume import Remainder, lies_alone, turn_to
from rotary.machine.strip_papers import NAME_OF_JOB
from rotary.machine.tapes import CAUTION, THEN_TYPE, Tape
from rotary.papers.model import Block, Keyed, Notes, Pairs, Paper, Section, Sentences, Table
from rotary.papers.text import entries_said
from rotary.papers.true_size import true_size_picture
from rotary.plan import Plan
from rotary.sentences.plan import actions_in_words
from rotary.sentences.rows import BY_FILE, BY_TURN, entries, row_texts
from rotary.sentences.run_texts import BLANK, resumed_texts
from rotary.sentences.safety import paper_of
from rotary.sentences.short_rows import SIDES, fills_of
from rotary.sheet.reread import drawing_from_text

ROOM_MM: Final = (90.0, 62.0)
WRITE: Final = "______________"
_TESTS: Final = (
    "Do these tests before the job. Each test measures one thing that your machine does a little wrong. "
    "To get the drawings to mark, type: rotary machine tests {job} --to tests"
)
_LEFT: Final = "These passes are still to do on the item as it sits now."
FROM_THE_CROSSES: Final = (
    "Before each slice bring the crosses to the top. From there turn the item as listed. Forward: the slices on the "
    "{side} come up."
)
CROSSES_ON_TOP: Final = "Before each file bring the crosses to the top, under the pointer."
OF_PARTS: Final = (
    "Each part has files of its own (part 1: zone-1), marked at its own focus (see MOUNT). The slices below are left "
    "in every part: skip those that you finished. With --done name only slices that are finished in all parts."
)
KEEP_TAPE: Final = "Leave the tape with the two pen crosses on the item until the job is done."
_LADDER: Final = "Mark the ladder on scrap. It shows the widest gap in a drawing that the marking still fills."


def tapes_paper(made: Plan, tapes: Sequence[Tape], day: date | None = None, job_name: str = NAME_OF_JOB) -> Paper:
    """Tapes of a plan's machine and item: each with its drawing, what to do, and a place for what was read."""
    sections = [part for tape in tapes for part in _tape(tape, made.job.item, job_name)]
    if [tape.name for tape in tapes] == ["gap-ladder"]:
        return paper_of(made, "gap ladder", _LADDER, sections, day)
    lead = _TESTS.format(job=job_name)
    return replace(paper_of(made, "machine tests", lead, sections, day, (CAUTION,)), one_page=False)


def _tape(tape: Tape, item: Item, job_name: str) -> tuple[Section, ...]:
    said = entries_said(tape.typed)
    steps = tuple(text for text in tape.instructions if text not in (CAUTION, *said))
    # Numbers are typed where their lines stand among the others.
    first = next((at for at, text in enumerate(tape.instructions[1:]) if text in said), len(steps))
    blocks: list[Block] = [Sentences(steps[:first], "box")]
    blocks += [Keyed(tape.typed), Sentences(steps[first:], "box")] if said else []
    if tape.reading:
        blocks += _places(tape, item, job_name)
    name = tape.title
    if not tape.svg:
        return (Section(name, tuple(blocks)),)
    found = drawing_from_text(tape.svg)
    parts = {part: list_from_rings(rings) for part, rings in found.parts.items()}
    shown = true_size_picture(parts, found.width_mm, found.height_mm, ROOM_MM, f"tape {tape.name}")
    return (Section(name, (Sentences(steps[:first], "box", picture=shown), *blocks[1:])),)


def _places(tape: Tape, item: Item, job_name: str) -> tuple[Block, ...]:
    """A place to write for every value that is read, and how it is then typed."""
    asked: list[str] = []
    base, rim = map(item.end_words, ENDS)
    given: dict[str, str] = {}
    for fields in tape.fields_by_line:
        axis = dict(fields).get("axis", "")
        for name, value in fields:
            many = range(1, value.count("?") + 1)
            seams = [f"seam {k}-{k + 1}{', second tape' * (name == 'back')}" for k in many]
            asked += (seams[1:] and seams) or [_asked(tape.name, name, axis).format(base=base, rim=rim) for _ in many]
        given |= {
            ("metal" if value in METALS else name.replace("_", " ")): COATINGS.get(value) or METALS.get(value, value)
            for name, value in fields
            if name in _GIVEN
        }
    if tape.name == "focus-lines":
        # One width a height.
        asked = [f"line width, lens at {height.strip()}" for height in dict(tape.fields)["heights"].split(";")]
    rows = tuple((name, WRITE, WRITE, WRITE) for name in asked)
    head = ("what you read", "first time", "second time", "third time")
    table = Table(head, rows, "write here what you read, lengths with their unit")
    typed = Sentences((THEN_TYPE, *tape.commands(job_name)), "none")
    return (*((Pairs(tuple(given.items())),) if given else ()), *((table,) if rows else ()), typed)


_GIVEN: Final = ("item", "coating", "settings")
"""What says whose readings they are; all other figures stand in the steps, and in the line to type."""

_ASKED: Final[dict[tuple[str, str], str]] = {
    ("full-turn", "gap"): "first tick to second",
    ("field", "measured"): "measured length",
    ("two-heights", "low"): "lower line",
    ("two-heights", "high"): "higher line",
    ("pointer", "right"): "spot towards +X",
    ("pointer", "up"): "spot towards +Y",
    ("pointer", "second_right"): "10 mm higher: towards +X",
    ("pointer", "second_up"): "10 mm higher: towards +Y",
    ("edge", "off"): "rule, {rim} minus {base}",
    ("edge", "left"): "pointer, left side",
    ("edge", "right"): "pointer, right side",
    ("level", "base_end"): "apex near {base}",
    ("level", "rim_end"): "apex near {rim}",
    ("backlash", "apart"): "one line to the other",
    ("gap-ladder", "closed"): "widest pair that closed",
}
"""What a person reads there, by the test and the field it is typed into."""


def _asked(tape: str, field: str, axis: str) -> str:
    name = _ASKED.get((tape, field), field.replace("_", " "))
    return f"{name}, {axis.upper()}" if axis else name


def resume_sections(made: Plan, left: Remainder) -> tuple[Section, Section]:
    """How the item sits now and what is done about it; and what is left of each slice, to tick."""
    run = actions_in_words(made).run
    # The first slice went up the ladder: what the second one took is for the rest.
    counted = "second" if run.files.second else "first"
    blank = f"Where this sheet says {BLANK} passes, mark as many as cleaned the {counted} slice."
    steps = (*left.steps, *([blank] if any(BLANK in says for says in left.says) else []), KEEP_TAPE)
    passes = left.says or tuple(fills_of(run, rest) or f"{rest} pass{'es' * (rest != 1)}" for _, rest in left.slices)
    head: tuple[str, ...] = ("slice", "passes left")
    told = resumed_texts(run)
    rows: tuple[tuple[str, ...], ...] = tuple(
        (f"{number}", text) for (number, _), text in zip(left.slices, passes, strict=True)
    )
    if zones_of(made):
        told = (*told, OF_PARTS)
    if lies_alone(made):
        # In its file a slice lies in the middle, wherever it lies on the item.
        told = (*told, FROM_THE_CROSSES.format(side=SIDES[comes_up(made)]))
        # In the order in which it is done: turn, then mark.
        head = ("slice", "from the crosses turn", "then mark")
        turns = (_turn_text(turn_to(made, number)) for number, _ in left.slices)
        rows = tuple((row[0], turn, row[1]) for row, turn in zip(rows, turns, strict=True))
    elif len(rows) > 1:
        told = (*told, CROSSES_ON_TOP)
    ticks = "tick each slice when done; leave out a slice that has no file: it is blank"
    table = Table(head, rows, ticks, True, len(head) - 1)
    blocks = (Sentences(told), table) if told else (table,)
    line_up = Sentences(steps[:1], "none"), Sentences(steps[1:], "box")
    return Section("LINE UP", line_up), Section("STILL TO MARK", blocks)


def _turn_text(steps: int) -> str:
    """A turn as it is commanded.

    >>> _turn_text(576), _turn_text(-1), _turn_text(0)
    ('576 steps forward', '1 step back', 'not at all')
    """
    way = f"{abs(steps)} step{'s' * (abs(steps) != 1)} {'forward' if steps > 0 else 'back'}"
    return way if steps else "not at all"


def resume_paper(made: Plan, left: Remainder, system: str = "mm") -> Paper:
    """What is left of a stopped job, as the item sits now."""
    find, slices = resume_sections(made, left)
    actions = actions_in_words(made, system=system)
    mount = row_texts(row for row in actions.by_hand if row.id.startswith(("shim", "level", "focus", "lens_first")))
    # Each slice has its own count, in the table, and a ladder its power found at the machine.
    noted = ("power",) if len(actions.run.rungs) > 1 else ()
    rows = [row for row in actions.type if row.id != "passes"]
    by_split = [row for row in rows if row.id in (*BY_FILE, *BY_TURN)]
    by_laser = entries(row for row in rows if row not in by_split)
    by_laser = tuple(replace(one, text=BLANK) if one.id in noted else one for one in by_laser)
    sections = (
        *([Section("MOUNT", (Sentences(mount, "box"),))] if mount else []),
        find,
        Section("TURN", (Keyed(entries(by_split)),)),
        *([Section("LASER", (Keyed(by_laser),))] if by_laser else []),
        slices,
        Section("NOTES", (Sentences(("Date, name, why it stopped:",), "none"), Notes(3))),
    )
    return replace(paper_of(made, "resume sheet", _LEFT, sections), ids=tuple(row.id for row in rows))
