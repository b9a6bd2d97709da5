"""What was typed into the pages of the rig's screen: texts by field, undo, mm and inch. No terminal in here."""

from collections.abc import Iterable

from rotary import units
from tui.screens.rig_pages import Cell

MOST_STEPS_BACK = 200


class Entries:
    """Texts of one page; letters typed one after another into one field are one change."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}
        self.number = 0
        self._done: list[tuple[str, dict[str, str]]] = []
        self._undone: list[tuple[str, dict[str, str]]] = []
        self._typing = ""
        self._before: dict[str, tuple[str, str, str]] = {}

    def edit(self, key: str, text: str, system: str) -> None:
        """Write a text into a field."""
        if self.texts.get(key, "") == text:
            return
        if self._typing != key:
            self._done.append((system, dict(self.texts)))
            del self._done[:-MOST_STEPS_BACK]
            self._undone.clear()
        self._typing = key
        self.texts[key] = text
        self.number += 1

    def settle(self) -> None:
        """The field was left: what is typed next is a change of its own."""
        self._typing = ""

    def clear(self, keys: Iterable[str], system: str) -> None:
        """Empty fields, as one change."""
        self.settle()
        for key in keys:
            if self.texts.get(key):
                self.edit(key, "", system)
                self._typing = key
                for other in keys:
                    self.texts[other] = ""
        self.settle()

    def undo(self, system: str, cells: Iterable[Cell]) -> bool:
        """Take the last change back; False if there is none."""
        return self._travel(self._done, self._undone, system, cells)

    def redo(self, system: str, cells: Iterable[Cell]) -> bool:
        """Make it again; False if there is none."""
        return self._travel(self._undone, self._done, system, cells)

    def _travel(
        self,
        source: list[tuple[str, dict[str, str]]],
        target: list[tuple[str, dict[str, str]]],
        system: str,
        cells: Iterable[Cell],
    ) -> bool:
        if not source:
            return False
        target.append((system, dict(self.texts)))
        was, self.texts = source.pop()
        if was != system:
            self.written_anew(was, system, cells)
        self._typing = ""
        self.number += 1
        return True

    def written_anew(self, was: str, system: str, cells: Iterable[Cell]) -> None:
        """Show lengths in the other unit system; no value changes, what can't be read stays as it is.

        What was typed comes back as it was typed, as long as it has not been changed in between.
        """
        for cell in cells:
            text = self.texts.get(cell.key, "").strip()
            if cell.unit is None or not text:
                continue
            shown, before_system, before = self._before.get(cell.key, ("", "", ""))
            if shown == text and before_system == system:
                self.texts[cell.key] = before
                continue
            try:
                value = units.value_from_text(text, cell.unit, units.bare_unit(cell.unit, was))
            except units.UnitError:
                continue
            self.texts[cell.key] = units.text_from_value(value, cell.unit, system, digits=7)
            self._before[cell.key] = self.texts[cell.key], was, text
        self.number += 1


def stands_in(cell: Cell, system: str) -> str:
    """What holds while a field is empty, in the units that are shown.

    >>> stands_in(Cell("a", "", "mm", (), "25.4 mm"), "in")
    '1 in'
    """
    if cell.unit is None or system == "mm" or not cell.stands:
        return cell.stands
    value = units.value_from_text(cell.stands, cell.unit, units.bare_unit(cell.unit, "mm"))
    return units.text_from_value(value, cell.unit, system, digits=5)
