"""The rows of the form: groups that fold, fields, tables. No terminal in here."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from tui.catalogue import GROUPS
from tui.form import status as states
from tui.form.choices import OpenChoice
from tui.form.fields import Field, Group, Table, row_and_column
from tui.form.job_form import Session


class Cell(NamedTuple):
    """A place that can have the focus: `key` is the field, or the action's target; `act` what Enter does there.

    `name` stands before it where several share a line, `wide` is how wide it is there.
    """

    key: str
    field: Field | None = None
    act: Literal["type", "choose", "fold", "more", "add", "remove"] = "type"
    name: str = ""
    wide: int = 0

    @classmethod
    def of(cls, field: Field, key: str = "") -> "Cell":
        """The cell of a field, under its own name or that of its row in a table."""
        return cls(key or field.key, field, "choose" if field.is_choice else "type")

    def named(self, name: str, wide: int) -> "Cell":
        """The same on a line with others."""
        return self._replace(name=name, wide=wide)


class Row(NamedTuple):
    """One line of the form."""

    kind: Literal["group", "fact", "field", "names", "cells", "add", "more", "option"]
    label: str
    cells: tuple[Cell, ...] = ()
    state: str = ""
    group: str = ""
    wrong: bool = False
    table: Table | None = None
    letter: str = ""


REST = "the rest"
"""What stands for all fields that are no facts, among what is folded."""


@dataclass(slots=True)
class Folds:
    """Which groups are open, and which show their rare fields too."""

    open: set[str] = field(default_factory=lambda: {group.key for group in GROUPS if group.open})
    rare: set[str] = field(default_factory=set)

    def toggle(self, group: str) -> None:
        """Fold or unfold a group."""
        self.open ^= {group}

    def toggle_rare(self, group: str) -> None:
        """Show or hide a group's rare fields."""
        self.rare ^= {group}

    def reveal(self, session: Session, key: str) -> None:
        """Unfold whatever hides a field."""
        group = session.group_of(key)
        if group is not None:
            self.rare.add(REST)
            self.open.add(group.key)
            self.rare.add(group.key) if _is_rare(session, group, key) else None
            for table in (entry for entry in group.content if isinstance(entry, Table)):
                place = row_and_column(key, table)
                if place and any(field.key == place[1] for field in table.more):
                    self.rare.add(f"{table.key}.{place[0]}" if table.is_deep else group.key)


def _is_rare(session: Session, group: Group, key: str) -> bool:
    for entry in group.content:
        if entry.key == key or (isinstance(entry, Table) and key.startswith(entry.key + ".")):
            return _hides(session, entry)
    return False


def _hides(session: Session, entry: Field | Table) -> bool:
    """Rare fields hide unless something is written in them."""
    if not entry.rare:
        return False
    if isinstance(entry, Table):
        return session.rows(entry) == 0
    return not session.entries.get(entry.key)


Says = Callable[[Session, Group], str]


def rows(session: Session, folds: Folds, groups: tuple[Group, ...] = GROUPS, says: Says = states.state) -> list[Row]:
    """The form as it stands, line by line; `says` tells what a group comes to."""
    return [row for group in groups for row in _group_rows(session, folds, group, says(session, group))]


def _group_rows(session: Session, folds: Folds, group: Group, state: str) -> Iterator[Row]:
    is_open = group.key in folds.open
    wrong = bool(session.group_faults(group))
    yield Row("group", group.title, (Cell(group.key, None, "fold"),), state, group.key, wrong=wrong)
    if not is_open:
        return
    there = [entry for entry in group.content if session.is_there(entry)]
    hidden = [entry for entry in there if _hides(session, entry)]
    for entry in there:
        if entry in hidden and group.key not in folds.rare:
            continue
        if isinstance(entry, Table):
            yield from table_rows(session, folds, group, entry)
        else:
            yield Row("field", entry.label, (Cell.of(entry),), group=group.key)
    more = sum(
        len(table.more) for table in there if isinstance(table, Table) and not table.is_deep and session.rows(table)
    )
    if hidden or more:
        label = "fewer fields" if group.key in folds.rare else _more_fields(len(hidden) + (more > 0))
        yield Row("more", label, (Cell(group.key, None, "more"),), group=group.key)


def table_rows(session: Session, folds: Folds, group: Group, table: Table, row: str = "") -> Iterator[Row]:
    """The lines of a table; `row` is what one more of its rows is called."""
    count = session.rows(table)
    if count:
        yield Row("names", table.label, group=group.key, table=table)
    for number in range(count):
        cells = [Cell.of(column, table.cell(number, column)) for column in table.columns]
        remove = Cell(f"{table.key}.{number}", None, "remove")
        yield Row("cells", str(number + 1), (*cells, remove), group=group.key, table=table)
        yield from _more_of_a_row(session, folds, group, table, number)
    yield Row("add", f"add a {row or table.row}", (Cell(table.key, None, "add"),), group=group.key, table=table)


def _more_of_a_row(session: Session, folds: Folds, group: Group, table: Table, number: int) -> Iterator[Row]:
    """The fields of a row that have no column: those that are filled, and the others once asked for.

    A table of much detail asks row by row, any other with the rare fields of its group.
    """
    row_key = f"{table.key}.{number}"
    asks = row_key if table.is_deep else group.key
    hidden = 0
    for column in table.more:
        key = table.cell(number, column)
        hides = column.rare and not session.entries.get(key)
        hidden += hides
        if not hides or asks in folds.rare:
            yield Row("field", column.label, (Cell.of(column, key),), group=group.key)
    if hidden and table.is_deep:
        many = "fewer fields" if row_key in folds.rare else _more_fields(hidden)
        yield Row("more", f"{many} of {table.row} {number + 1}", (Cell(row_key, None, "more"),), group=group.key)


def _more_fields(number: int) -> str:
    return f"{number} more field{'' if number == 1 else 's'}"


def with_options(lines: list[Row], choice: OpenChoice | None) -> list[Row]:
    """The rows, with the list of the choice that is open after its own."""
    if choice is None:
        return lines
    at = next((at for at, row in enumerate(lines) if any(cell.key == choice.key for cell in row.cells)), len(lines))
    options = [Row("option", one.words, state=one.value, wrong=place == choice.at) for place, one in choice.window]
    return [
        *lines[: at + 1],
        *(options or [Row("option", "none fits: press Backspace")]),
        *lines[at + 1 :],
    ]


def step_last_digit(text: str, up: bool) -> str:
    """The text with the last digit of its first number one up or down.

    >>> step_last_digit("88.9 mm", True), step_last_digit("0.10 in", False), step_last_digit("9", True)
    ('89.0 mm', '0.09 in', '10')
    """
    import re
    from decimal import Decimal

    found = re.search(r"[-+]?\d+(?:[.,]\d+)?", text)
    if not found or "/" in text:
        return text
    number = Decimal(found[0].replace(",", "."))
    exponent = number.as_tuple().exponent
    step = Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)
    written = str(number + (step if up else -step))
    return text[: found.start()] + (written.replace(".", ",") if "," in found[0] else written) + text[found.end() :]
