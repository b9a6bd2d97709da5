"""What the fields hold and how it is shown: texts, values, what holds while a field is empty. No terminal in here."""

from collections.abc import Mapping
from typing import Any, Final

from rotary import units
from tui.catalogue import GROUPS
from tui.fields import Field, Table, default_text, each_field, each_table, row_and_column
from tui.own_coating import NONE as NO_COATING
from tui.own_coating import OWN
from tui.tables import EMPTY, Entry, reference_tables

OWN_HEAD: Final = "own"
__all__ = ["NO_COATING", "OWN_HEAD", "Entries", "Held", "entries_from"]

Entries = dict[str, Entry]


class Held:
    """The entries of a job by dotted name, in one unit system."""

    def __init__(self, system: str) -> None:
        self.system = system
        self.fields: dict[str, Field] = {field.key: field for field in each_field(GROUPS)}
        self.tables: dict[str, Table] = {table.key: table for table in each_table(GROUPS)}
        self.entries: Entries = {}

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
        more = {"heads.toml": (OWN_HEAD,), "coatings.toml": (OWN, NO_COATING)}
        return (*names, *more.get(field.options_from, ()))

    def stands(self, key: str) -> str:
        """What holds while the field is empty, as a text in the units that are shown."""
        field = self.field(key)
        if field is None:
            return ""
        text = field.stands
        if key.startswith("drive."):
            text = default_text(field, f"{self.text('drive.kind')}.{key[6:]}") or text
        if key.startswith("head.") and self.text("use_head") != OWN_HEAD:
            shipped = reference_tables("heads.toml").get(self.text("use_head"), {}).get(key[5:], "")
            text = ", ".join(shipped) if isinstance(shipped, list) else str(shipped)
        return self._rewritten(field, text) if self.system != "mm" else text

    def _rewritten(self, field: Field, text: str) -> str:
        if field.unit is None or not text or field.several:
            return text
        try:
            value = units.value_from_text(text, field.unit, units.bare_unit(field.unit, "mm"))
        except units.UnitError:
            return text
        return units.text_from_value(value, field.unit, self.system, digits=6)

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
        except units.UnitError as trouble:
            return Entry(text, None, str(trouble))

    def _written_anew(self, key: str, entry: Entry) -> Entry:
        field = self.field(key)
        if entry.value is None or field is None or field.unit is None:
            return entry
        return entry._replace(text=units.text_from_value(entry.value, field.unit, self.system, digits=5))


def entries_from(pairs: Mapping[str, Any]) -> Entries:
    """The entries that a draft holds; raises TypeError or ValueError on other data."""
    found = {}
    for key, (text, value, fault) in pairs.items():
        found[str(key)] = Entry(str(text), None if value is None else float(value), str(fault))
    return found
