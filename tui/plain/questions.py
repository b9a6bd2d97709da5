"""Which questions a job brings up, in the order of the flow. No terminal in here."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from rotary import units
from tui.catalogue import GROUPS
from tui.catalogue.laser import HEAD
from tui.catalogue.words import words_of
from tui.form.fields import Field, Group, Table
from tui.form.job_form import Session
from tui.form.placement import PIECES
from tui.form.status import state
from tui.form.values import OWN_LASER

SELDOM = ("round", "corner")
"""Columns that are asked for only where the one before is empty, or where everything is asked for."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question: `key` is the field, the table that may get another row, or the group that may be gone through."""

    key: str
    kind: Literal["field", "row", "part"]
    group: Group
    field: Field | None = None
    table: Table | None = None
    row: int = 0

    @property
    def label(self) -> str:
        """What is asked for, in a few words."""
        if self.field is None:
            return self.table.label if self.table is not None else self.group.title
        return f"{self.table.row} {self.row + 1}, {self.field.label}" if self.table is not None else self.field.label


def questions(session: Session, opened: set[str], everything: bool = False) -> list[Question]:
    """All questions of a job as it stands; parts in `opened` are gone through, the others are offered."""
    return [question for group in GROUPS for question in _of_group(session, group, opened, everything)]


def _of_group(session: Session, group: Group, opened: set[str], everything: bool) -> Iterator[Question]:
    if not group.open and group.key != HEAD.key:
        yield Question(group.key, "part", group)
        if group.key not in opened:
            return
    # A drawing is named before its size is asked for: it has one to offer.
    for entry in sorted(group.content, key=lambda entry: entry.key not in ("artwork.name", PIECES)):
        if not session.is_there(entry):
            continue
        if isinstance(entry, Table):
            yield from _of_table(session, group, entry, everything)
        elif _is_asked(session, group, entry, everything):
            yield Question(entry.key, "field", group, entry)


def _is_asked(session: Session, group: Group, field: Field, everything: bool) -> bool:
    if everything or session.entries.get(field.key):
        return True
    if group.key == HEAD.key and field.key != "use_laser" and session.text("use_laser") != OWN_LASER:
        return False
    return not field.rare


def _of_table(session: Session, group: Group, table: Table, everything: bool) -> Iterator[Question]:
    if table.rare and not everything and session.rows(table) == 0:
        return
    for row in range(session.rows(table)):
        before = False
        for column in table.every:
            key = table.cell(row, column)
            filled = bool(session.text(key).strip()) and (not column.is_choice or key in session.entries)
            usual = column in table.columns and column.key not in SELDOM
            instead = column.key == "round" and not before
            if everything or filled or usual or instead:
                yield Question(key, "field", group, column, table, row)
            before = filled
    yield Question(table.key, "row", group, table=table)


def asked(session: Session, question: Question, offer: str = "") -> str:
    """The question as one line: what, in which unit, what stands there, what an empty answer does.

    `offer` is the drawing's own width or height, where the field is empty.
    """
    if question.kind == "part":
        return (
            f"{question.group.title}: {state(session, question.group)}. Go through these questions? Type yes, or press "
            "Enter for no"
        )
    if question.kind == "row":
        return _asked_for_row(session, question)
    field = question.field
    assert field is not None
    parts = [f"{question.group.title}, {question.label}{_unit(session, field)}"]
    if field.is_choice:
        options = session.options(field)
        parts += [f"{place}: {words_of(field, option)}" for place, option in enumerate(options, 1)]
    stands = f"Press Enter for {offer}, the drawing's own size" if offer else _stands(session, question)
    return f"{'. '.join(parts)}. {stands}"


def _asked_for_row(session: Session, question: Question) -> str:
    table = question.table
    assert table is not None
    count = session.rows(table)
    have = f"{count} so far" if count else "none yet"
    add = f"Add {'another' if count else 'a'} {table.row}?"
    return f"{question.group.title}, {table.label}: {have}. {add} Type yes, or press Enter for no"


def _unit(session: Session, field: Field) -> str:
    if field.unit is None:
        return ", a number" if field.number else ""
    unit = units.bare_unit(field.unit, session.system)
    return f", in {SPOKEN_UNITS.get(unit, unit)}" if unit and not field.label.endswith(unit) else ""


def _stands(session: Session, question: Question) -> str:
    text = session.text(question.key)
    if text:
        field = question.field
        return f"Now {words_of(field, text) if field and field.is_choice else text}. Press Enter to leave this as it is"
    stands = session.stands(question.key)
    return f"Press Enter for {stands}" if stands else "Press Enter to leave this empty"


SPOKEN_UNITS = {"°": "degrees", "um": "micrometres", "µm": "micrometres", "in": "inches", "%": "per cent"}
