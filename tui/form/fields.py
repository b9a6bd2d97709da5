"""What a field of the desk is: its name in the job file, its words, its unit. No terminal, no core."""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Final, NamedTuple, TypeAlias

from rotary import units
from rotary.defaults import default_of

Tables: TypeAlias = dict[str, Any]
"""Tables of a job file by their names, or what one of them holds, as text or number."""

JobTables: TypeAlias = Mapping[str, Any]
"""The same where it is only read."""

YES_NO: Final = ("no", "yes")


class Field(NamedTuple):
    """One field: `key` is its dotted name in a job file, `unit` its canonical unit or None for a plain word.

    `options` makes it a choice; `options_from` names the reference file whose tables are the
    options. `usual` is what holds while the field is empty, else what the models hold for the dotted name `model_key`.
    `only` says that the field is there only while another field has that value. `rare` fields hide behind one more key
    press. `lines` says that the text may have several lines, which are typed with ``\\n`` between them, `instead` that
    it is another way to give what the field before it gives.
    """

    key: str
    label: str
    help: str
    unit: str | None = None
    options: tuple[str, ...] = ()
    options_from: str = ""
    usual: str = ""
    only: tuple[str, str] | None = None
    rare: bool = False
    several: bool = False
    number: bool = False
    width: int = 12
    lines: bool = False
    instead: bool = False
    model_key: str = ""

    @property
    def stands(self) -> str:
        """What holds while the field is empty, as a person would type it."""
        return self.usual or (default_text(self, self.model_key) if self.model_key else "")

    @property
    def is_choice(self) -> bool:
        """Whether the value is chosen and not typed."""
        return bool(self.options or self.options_from)


class Table(NamedTuple):
    """Rows of the same fields: `key` is the list's dotted name, `columns` a row's fields (keys without the row).

    `more` are fields of a row that have no column: they hide below it until asked for or filled.
    """

    key: str
    label: str
    row: str
    columns: tuple[Field, ...]
    only: tuple[str, str] | None = None
    rare: bool = False
    more: tuple[Field, ...] = ()

    @property
    def is_deep(self) -> bool:
        """Whether so much hides below a row that each asks for its own."""
        return len(self.more) > 3

    @property
    def every(self) -> tuple[Field, ...]:
        """All fields of a row."""
        return self.columns + self.more

    def cell(self, row: int, column: Field) -> str:
        """The dotted name of one cell."""
        return f"{self.key}.{row}.{column.key}"


class Group(NamedTuple):
    """Fields that belong to one step of the flow, folded and unfolded together."""

    key: str
    title: str
    content: tuple[Field | Table, ...]
    open: bool = False


def fields_of(table: str, *entries: Field | Table) -> tuple[Field | Table, ...]:
    """Fields and tables by their dotted names; `table` goes before each."""
    return tuple(entry._replace(key=f"{table}.{entry.key}") for entry in entries)


def row_and_column(key: str, table: Table) -> tuple[int, str] | None:
    """Which row and column of a table a dotted name means; None where it means none.

    >>> stations = Table("item.measurements", "", "", (Field("at", "", ""),))
    >>> row_and_column("item.measurements.3.at", stations), row_and_column("item.name", stations)
    ((3, 'at'), None)
    """
    if not key.startswith(table.key + "."):
        return None
    number, _, column = key[len(table.key) + 1 :].partition(".")
    return (int(number), column) if number.isdigit() and column else None


def each_field(groups: tuple[Group, ...]) -> Iterator[Field]:
    """Every field that stands alone, in the order of the flow."""
    for group in groups:
        yield from (entry for entry in group.content if isinstance(entry, Field))


def each_table(groups: tuple[Group, ...]) -> Iterator[Table]:
    """Every table, in the order of the flow."""
    for group in groups:
        yield from (entry for entry in group.content if isinstance(entry, Table))


def with_defaults(groups: tuple[Group, ...], prefix: str = "") -> tuple[Group, ...]:
    """The groups whose fields know where the models say what holds while they are empty.

    `prefix` goes before keys that have no table.
    """

    def filled(entry: Field, key: str) -> Field:
        return entry if entry.usual or entry.options else entry._replace(model_key=key)

    def of(entry: Field | Table) -> Field | Table:
        if isinstance(entry, Field):
            return filled(entry, entry.key if "." in entry.key else prefix + entry.key)
        columns, more = (tuple(filled(f, f"{entry.key}.{f.key}") for f in part) for part in (entry.columns, entry.more))
        return entry._replace(columns=columns, more=more)

    return tuple(group._replace(content=tuple(of(entry) for entry in group.content)) for group in groups)


@cache
def default_text(entry: Field, key: str) -> str:
    """What holds for a dotted name while its field is empty, as a person would type it; an angle to two digits."""

    def text(value: Any) -> str:
        if isinstance(value, tuple):
            return ", ".join(text(one) for one in value)
        if entry.unit is None:
            return value if isinstance(value, str) else f"{value:g}"
        if entry.unit == "rad":
            return units.text_from_value(value, entry.unit, digits=2)
        return units.shortest_text(value, entry.unit)

    return " or ".join(text(value) for value in default_of(key))
