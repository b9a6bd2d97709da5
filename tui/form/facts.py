"""The facts that every job asks for, in the order of the work, and which of them are still missing.

No terminal in here. All other fields follow behind one line, which says how many of them are not as usual.
"""

from collections.abc import Iterator
from typing import Final

from tui.catalogue import GROUPS
from tui.catalogue.item import ITEM
from tui.catalogue.work import WORDS
from tui.form import own_coating, rows
from tui.form.fields import Field, Group, Table, row_and_column
from tui.form.job_form import Session
from tui.form.rows import REST, Cell, Folds, Row
from tui.form.values import OWN_LASER

FILE: Final = "artwork.pieces.0.file"
TEXT: Final = "artwork.pieces.0.text"

LASER: Final = (
    ("laser.rated_power", "power"), ("laser.focal_length", "lens"),
    ("laser.largest_pulse", "pulse"), ("laser.field", "field"),
    ("laser.lowest_frequency", "kHz from"), ("laser.highest_frequency", "to"),
)  # fmt: skip
"""What is asked of ones own laser and lens, with a short name; two stand on a line."""

_FLATS: Final = (("item.flats", "flats"), ("item.across_flats", "across"), ("item.length", "length"))


def job_rows(session: Session, folds: Folds) -> list[Row]:
    """The form as it stands, line by line."""
    rest = [Group(group.key, group.title, tuple(_others(session, group)), group.open) for group in GROUPS]
    fields = [field for group in rest for entry in group.content for field in _fields_in(entry)]
    changed = sum(
        session.is_there(field) and not field.key.endswith("name") and not session.is_usual(field) for field in fields
    )
    says = f"{len(fields)} more fields" + (f", {changed} filled in" if changed else "")
    lines = list(_facts(session, folds))
    lines.append(Row("more", says, (Cell(REST, None, "more"),), letter="r"))
    if REST in folds.rare:
        lines += rows.rows(session, folds, tuple(rest))
    return lines


def _fields_in(entry: Field | Table) -> tuple[Field, ...]:
    return entry.every if isinstance(entry, Table) else (entry,)


def _others(session: Session, group: Group) -> Iterator[Field | Table]:
    facts = set(fact_keys(session))
    for entry in group.content:
        if entry.key not in facts and entry.key not in ("item.measurements", "turning.ticks", WORDS.key):
            yield entry


def fact_keys(session: Session) -> Iterator[str]:
    """The facts by their dotted names, in the order in which they stand."""
    yield "item.name"
    if session.text("item.section") == "flats":
        yield from (key for key, _ in _FLATS)
    measurements = session.tables["item.measurements"]
    for row in range(session.rows(measurements) if session.is_there(measurements) else 0):
        yield from (f"{measurements.key}.{row}.{name}" for name in ("at", "across", "round"))
    if lines := session.rows(WORDS):
        yield from (line_key(number) for number in range(lines))
    else:
        yield TEXT if _has_text(session) else FILE
        yield from ("artwork.width", "artwork.height", "artwork.centre")
    yield own_coating.COATING
    if session.text(own_coating.COATING) == own_coating.OWN:
        yield from (own_coating.COLOUR, own_coating.KIND)
    if session.text(own_coating.COATING) != own_coating.NONE:
        yield "item.colour"
    else:
        yield "item.solid"
    yield from ("item.metal", "item.wall", "turning.kind", _turned_by(session), "use_laser")
    if _has_own_laser(session):
        yield from (key for key, _ in LASER)


def line_key(number: int) -> str:
    """The dotted name of a line of the words."""
    return WORDS.cell(number, WORDS.columns[0])


def has_ink(session: Session) -> bool:
    """Whether there are words or a drawing, so that files can be written."""
    return bool(session.words.get("text")) or session.rows(session.tables["artwork.pieces"]) > 0


def _has_text(session: Session) -> bool:
    return bool(session.text(TEXT)) and not session.text(FILE)


def _turned_by(session: Session) -> str:
    return "turning.roller_diameter" if session.text("turning.kind") == "rollers" else "turning.gear_ratio"


def _has_own_laser(session: Session) -> bool:
    return session.text("use_laser") == OWN_LASER and not session.text("machine")


def missing(session: Session) -> list[str]:
    """The facts that are still to be filled in or chosen, and what the core can't use, in the order of the form."""
    faults = session.faults()
    keys = [key for key in fact_keys(session) if key in faults or is_missing(session, key)]
    return [*keys, *(key for key in faults if key and key not in keys and session.field(key) is not None)]


def is_missing(session: Session, key: str) -> bool:
    """Whether a fact has no value yet, or nobody was asked for it."""
    if key in session.unasked:
        return True
    if session.text(key).strip() or key in ("item.name", "item.colour", "item.wall", *_BY_DEFAULT):
        return False
    if key.endswith(".round") or (key.endswith(".across") and session.text(f"{key[:-6]}round")):
        return False
    # The words are missing while none of their lines has any.
    return row_and_column(key, WORDS) is None or (key == line_key(0) and not session.words.get("text"))


_BY_DEFAULT: Final = ("turning.roller_diameter", "turning.gear_ratio")


# -- the lines


def _facts(session: Session, folds: Folds) -> Iterator[Row]:
    yield _fact("ITEM", "i", _cell(session, "item.name", "", 21))
    yield from _size(session, folds)
    yield from _marked(session)
    yield _fact("COATING", "c", _cell(session, own_coating.COATING, "", 21))
    coating = session.text(own_coating.COATING)
    if coating == own_coating.OWN:
        yield _fact("", "", _cell(session, own_coating.COLOUR, "", 10), _cell(session, own_coating.KIND, "", 10))
    if coating != own_coating.NONE:
        yield _fact("", "", _cell(session, "item.colour", "colour", 12))
    yield _fact("METAL", "m", _cell(session, "item.metal", "", 15), _cell(session, "item.wall", "", 6))
    if coating == own_coating.NONE:
        yield _fact("", "", _cell(session, "item.solid", "solid, not hollow", 6))
    on_rollers = session.text("turning.kind") == "rollers"
    turned_by = _cell(session, _turned_by(session), *(("⌀", 9) if on_rollers else ("gear", 6)))
    yield _fact("TURNING", "t", _cell(session, "turning.kind", "", 10), turned_by)
    if on_rollers:
        ticks = session.tables["turning.ticks"]
        yield from rows.table_rows(session, folds, GROUPS[1], ticks)
    yield _fact("LASER", "l", _cell(session, "use_laser", "", 21))
    if _has_own_laser(session):
        for left, right in zip(LASER[::2], LASER[1::2], strict=True):
            yield _fact("", "", *(_cell(session, key, name, 8) for key, name in (left, right)))


def _marked(session: Session) -> Iterator[Row]:
    """What goes on the item: words line by line, or a drawing or a text with its size and place."""
    if lines := session.rows(WORDS):
        for number in range(lines):
            label, letter = (" ", "") if number else ("WORDS", "a")
            yield _fact(label, letter, _cell(session, line_key(number), "", 21))
        return
    art = TEXT if _has_text(session) else FILE
    yield _fact("WORDS" if art == TEXT else "ARTWORK", "a", _cell(session, art, "", 21))
    yield _fact("", "", _cell(session, "artwork.width", "wide", 8), _cell(session, "artwork.height", "high", 8))
    yield _fact("", "", _cell(session, "artwork.centre", "middle at", 9))


def _size(session: Session, folds: Folds) -> Iterator[Row]:
    """How large the item is: its diameters at heights, or its flats."""
    measurements = session.tables["item.measurements"]
    if session.is_there(measurements):
        yield from rows.table_rows(session, folds, ITEM, measurements, "height")
        return
    yield _fact("", "", *(_cell(session, key, name, 8) for key, name in _FLATS[:2]))
    yield _fact("", "", _cell(session, *_FLATS[2], 8))


def _fact(label: str, letter: str, *cells: Cell) -> Row:
    return Row("fact", label, cells, letter=letter)


def _cell(session: Session, key: str, name: str, wide: int) -> Cell:
    return Cell.of(session.field(key) or Field(key, "", ""), key).named(name, wide)
