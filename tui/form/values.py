"""The values of a form: what its fields hold, how it is shown in mm or inch, undo and redo. No terminal in here.

The value is the truth, the text only how it was typed: a field keeps its value in the core's
unit, and changing between mm and inch only writes it anew.
"""

from collections.abc import Mapping, Set
from functools import lru_cache
from math import isclose
from typing import Final

from rotary import units
from rotary.old_keys import new_name, new_word
from tui.form.fields import YES_NO, Field, Group, JobTables, Table, default_text, each_field, each_table, row_and_column
from tui.form.own_coating import NONE, OWN
from tui.form.tables import EMPTY, Entry, reference_tables

OWN_LASER: Final = "own"
DEFAULT: Final = "default"
"""What is chosen where the field is to hold what stands there anyway."""

MOST_STEPS_BACK: Final = 500
"""How many changes can be undone."""

Entries = dict[str, Entry]


class FormValues:
    """The entries of a form by dotted name, in one unit system."""

    def __init__(self, system: str, groups: tuple[Group, ...] = ()) -> None:
        self.system, self.groups = system, groups
        self.fields: dict[str, Field] = {field.key: field for field in each_field(groups)}
        self.tables: dict[str, Table] = {table.key: table for table in each_table(groups)}
        self.entries: Entries = {}
        self.number = 0
        self._undone: list[tuple[str, Entries]] = []
        self._done: list[tuple[str, Entries]] = []
        self._typing = ""

    @property
    def unasked(self) -> Set[str]:
        """The choices that nobody has made yet."""
        return frozenset()

    def complaints(self) -> dict[str, str]:
        """What is wrong, by field."""
        raise NotImplementedError

    @property
    def complaints_mark(self) -> object:
        """Another object whenever there may be other complaints."""
        raise NotImplementedError

    # -- what stands there

    def field(self, key: str) -> Field | None:
        """The field that a dotted name means, in a table or alone."""
        if key in self.fields:
            return self.fields[key]
        for table in self.tables.values():
            place = row_and_column(key, table)
            if place:
                return next((column for column in table.every if column.key == place[1]), None)
        return None

    def text(self, key: str) -> str:
        """What stands in a field; of a choice, what is chosen."""
        entry = self.entries.get(key)
        if entry is not None and entry.text:
            return entry.text
        field = self.field(key)
        if field is None or not field.is_choice:
            return ""
        return field.options[0] if field.options else field.stands

    def value(self, key: str) -> float | None:
        """The value of a field in the core's unit, None where there is none."""
        return self.entries.get(key, EMPTY).value

    def is_there(self, entry: Field | Table) -> bool:
        """Whether a field belongs to this kind of item and drive."""
        return entry.only is None or self.text(entry.only[0]) == entry.only[1]

    def rows(self, table: Table) -> int:
        """How many rows a table has."""
        return int(self.entries.get(f"{table.key}.#", Entry("0")).text)

    def options(self, field: Field) -> tuple[str, ...]:
        """What can be chosen in a field."""
        if not field.options_from:
            return field.options
        names = tuple(reference_tables(field.options_from))
        more = {"heads.toml": (OWN_LASER,), "coatings.toml": (OWN, NONE)}
        return (*names, *more.get(field.options_from, ()))

    def stands(self, key: str) -> str:
        """What holds while the field is empty, as a text in the units that are shown."""
        field = self.field(key)
        if field is None:
            return ""
        text = field.stands
        if key.startswith("turning."):
            text = default_text(field, f"{self.text('turning.kind')}.{key.removeprefix('turning.')}") or text
        if key.startswith("laser.") and self.text("use_laser") != OWN_LASER:
            shipped = reference_tables("heads.toml").get(self.text("use_laser"), {}).get(key.removeprefix("laser."), "")
            text = ", ".join(shipped) if isinstance(shipped, list) else str(shipped)
        return self._rewritten(field, text) if self.system != "mm" else text

    def is_usual(self, field: Field) -> bool:
        """Whether a field is empty, or says what would hold anyway."""
        entry = self.entries.get(field.key)
        if entry is None or entry.text.strip() in ("", DEFAULT):
            return True
        stands, options = self.stands(field.key), [one for one in field.options if one != DEFAULT]
        if options == list(YES_NO):
            stands = YES_NO[stands in ("1", "yes")]
        return _is_same(entry.text, stands or next(iter(options), ""), field.unit, self.system)

    def _rewritten(self, field: Field, text: str) -> str:
        if field.unit is None or not text or field.several:
            return text
        try:
            value = units.value_from_text(text, field.unit, units.bare_unit(field.unit, "mm"))
        except units.UnitError:
            return text
        return units.text_from_value(value, field.unit, self.system, digits=4)

    def other_system(self, key: str) -> str:
        """The value in the unit system that isn't shown, or nothing where both would say the same."""
        field, value = self.field(key), self.value(key)
        if field is None or field.unit is None or value is None:
            return ""
        other = "in" if self.system == "mm" else "mm"
        here = units.text_from_value(value, field.unit, self.system, digits=5)
        there = units.text_from_value(value, field.unit, other, digits=5)
        return there if there != here else ""

    def _entry(self, field: Field, text: str) -> Entry:
        if field.unit is None or field.several or not text.strip():
            return Entry(text)
        try:
            return Entry(text, units.value_from_text(text, field.unit, units.bare_unit(field.unit, self.system)))
        except units.FarValueError as far:
            return Entry(text, None, self._far(field, text, far.too_big))
        except units.UnitError as trouble:
            return Entry(text, None, str(trouble))

    def _far(self, field: Field, text: str, too_big: bool) -> str:
        """What to say of a value that is out of all proportion."""
        from rotary.sentences.repairs import repair_text
        from rotary.services.repairs import TypedLength, unusual_length

        where = field.key if "." in field.key else f"item.measurements.{field.key}"
        repair = (
            unusual_length([TypedLength(where, text, float("inf") if too_big else 0.0)], self.system)
            if field.unit == "mm"
            else None
        )
        return repair_text(text, repair.likely if repair and too_big else "", too_big)

    def _written_anew(self, key: str, entry: Entry) -> Entry:
        field = self.field(key)
        if entry.value is None or field is None or field.unit is None:
            return entry
        return entry._replace(text=units.text_from_value(entry.value, field.unit, self.system, digits=5))

    # -- changes

    def edit(self, key: str, text: str) -> None:
        """Write a text into a field; letters typed one after another are one change."""
        field = self.field(key)
        if field is None or self.entries.get(key, EMPTY).text == text:
            return
        if self._typing != key:
            self._remember()
        self._typing = key
        self.entries[key] = self._entry(field, text)
        for table in self.tables.values():
            # The first thing that is written in a row begins it.
            if (place := row_and_column(key, table)) and place[0] >= self.rows(table):
                self.entries[f"{table.key}.#"] = Entry(str(place[0] + 1))
        self._changed()

    def edit_all(self, texts: Mapping[str, str]) -> None:
        """Write several fields as one change; a table's own name with `.#` holds how many rows it has."""
        self._remember()
        for key, text in texts.items():
            field = self.field(key)
            self.entries[key] = self._entry(field, text) if field is not None else Entry(text)
        self._changed()

    def settle(self) -> None:
        """The field was left: what is typed next is a change of its own."""
        self._typing = ""

    def add_row(self, table: Table) -> int:
        """A new, empty row at the end of a table; its number."""
        self._remember()
        row = self.rows(table)
        self.entries[f"{table.key}.#"] = Entry(str(row + 1))
        self._changed()
        return row

    def remove_row(self, table: Table, row: int) -> None:
        """Take a row out of a table; those after it move up."""
        self._remember()
        last = self.rows(table) - 1
        for place in range(row, last + 1):
            for column in table.every:
                below = self.entries.get(table.cell(place + 1, column)) if place < last else None
                self.entries.pop(table.cell(place, column), None)
                if below is not None:
                    self.entries[table.cell(place, column)] = below
        self.entries[f"{table.key}.#"] = Entry(str(max(last, 0)))
        self._changed()

    def undo(self) -> bool:
        """Take the last change back; False if there is none."""
        return self._travel(self._done, self._undone)

    def redo(self) -> bool:
        """Make the change again that was taken back; False if there is none."""
        return self._travel(self._undone, self._done)

    def _travel(self, source: list[tuple[str, Entries]], target: list[tuple[str, Entries]]) -> bool:
        if not source:
            return False
        target.append((self.system, self.entries))
        system, self.entries = source.pop()
        if system != self.system:
            self.entries = {key: self._written_anew(key, entry) for key, entry in self.entries.items()}
        self._typing = ""
        self._changed()
        return True

    def _remember(self) -> None:
        self._done.append((self.system, dict(self.entries)))
        del self._done[:-MOST_STEPS_BACK]
        self._undone.clear()
        self._typing = ""

    def _changed(self) -> None:
        self.number += 1

    def toggle_system(self) -> None:
        """Show mm in place of inch, or inch in place of mm; no value changes."""
        self.system = "in" if self.system == "mm" else "mm"
        self.entries = {key: self._written_anew(key, entry) for key, entry in self.entries.items()}
        self._typing = ""
        self._changed()


def entries_from(pairs: JobTables) -> Entries:
    """The entries that a draft holds; raises TypeError or ValueError on other data."""
    found = {}
    for key, (text, value, fault) in pairs.items():
        name = new_name(str(key))
        found[name] = Entry(new_word(name, str(text)), None if value is None else float(value), str(fault))
    return found


@lru_cache(4096)
def _is_same(text: str, stands: str, unit: str | None, system: str) -> bool:
    """Whether two texts of a field say the same, however they are written; what stands there anyway is rounded."""
    try:
        bare = units.bare_unit(unit, system) if unit else None
        first, second = (units.value_from_text(one, unit, bare) if unit else float(one) for one in (text, stands))
    except ValueError:
        return text.strip() == stands.strip()
    return isclose(first, second, rel_tol=0.01)
