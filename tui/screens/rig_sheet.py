"""The form of a page of the rig's screen: rows of fields in one widget, edited in place."""

from collections.abc import Mapping
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.strip import Strip

from tui.drawings.canvas import fitted
from tui.screens.rig_entries import Entries, stands_in
from tui.screens.rig_pages import Cell, Row
from tui.widgets.editor import Editor
from tui.widgets.inked import Inked

LABEL = 19
"""Cells for the label of a row."""


class Sheet(Inked, can_focus=True):
    """Fields in rows; it tells the screen what was changed and where the focus is."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"sheet--cell", "sheet--wrong", "sheet--focus"}
    DEFAULT_CSS = """
    Sheet {
        & > .sheet--cell { background: $surface; color: $foreground; }
        & > .sheet--wrong { background: $error-muted; color: $text-error; text-style: bold; }
        & > .sheet--focus { background: $primary; color: $text; text-style: bold; }
    }
    """

    class Changed(Message):
        """Something was typed or chosen."""

    class Moved(Message):
        """The focus stands on another field."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.rows: list[Row] = []
        self.entries = Entries()
        self.system = "mm"
        self.faults: Mapping[str, str] = {}
        self.row = self.column = 0
        self.editor = Editor()
        self._before = ""
        self._places: dict[int, list[tuple[int, int]]] = {}

    # -- what is shown

    def show(self, rows: list[Row], entries: Entries, system: str) -> None:
        """The fields of a page with what was typed into them."""
        same = self.entries is entries and [r.label for r in rows] == [r.label for r in self.rows]
        self.rows, self.entries, self.system = rows, entries, system
        if not same or self.cell is None:
            self.row = next((place for place, row in enumerate(rows) if row.cells), 0)
            self.column = 0
        self.load()
        self._resized()
        self.refresh()

    def show_faults(self, faults: Mapping[str, str]) -> None:
        """Mark the fields that can't be used."""
        if dict(faults) != dict(self.faults):
            self.faults = faults
            self.refresh()

    @property
    def cell(self) -> Cell | None:
        """The field with the focus."""
        cells = self.rows[self.row].cells if self.row < len(self.rows) else ()
        return cells[min(self.column, len(cells) - 1)] if cells else None

    @property
    def cells(self) -> list[Cell]:
        """All fields."""
        return [cell for row in self.rows for cell in row.cells]

    def label_of(self, key: str) -> str:
        """The label of the row that a field stands in."""
        return next((row.label for row in self.rows for cell in row.cells if cell.key == key), "")

    def load(self) -> None:
        """Take what stands in the field with the focus over into the line that is edited."""
        cell = self.cell
        text = self.entries.texts.get(cell.key, "") if cell else ""
        self.editor, self._before = Editor.of("" if cell is None or cell.options else text), text

    def _resized(self) -> None:
        if self.is_attached:
            self.virtual_size = Size(self.scrollable_content_region.width, len(self.rows))

    def on_resize(self) -> None:
        """Keep the focus in sight."""
        self._resized()
        self._scroll_to_focus()

    def _scroll_to_focus(self) -> None:
        if self.is_attached and self.size.height > 0:
            self.scroll_to_region(Region(0, max(self.row - 1, 0), 1, 2), animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        """One row."""
        place, width = y + int(self.scroll_offset.y), self.scrollable_content_region.width
        if not 0 <= place < len(self.rows):
            return Strip.blank(width, self.rich_style)
        row = self.rows[place]
        self._places[place] = []
        if not row.cells:
            segments = [Segment(fitted(f" {row.label}", width), self.ink("strong"))]
        else:
            segments = [Segment(f" {row.label:<{LABEL}.{LABEL}} ", self.ink("plain"))]
            at = LABEL + 2
            for column, cell in enumerate(row.cells):
                here = self.has_focus and (place, column) == (self.row, self.column)
                size = min(cell.width, max(width - at - 2, 4))
                segments += self._field(cell, size, here)
                self._places[place].append((at, at + size))
                at += size + 1
        if self.app.has_class("ascii"):
            segments = [Segment(self.signs(segment.text), segment.style) for segment in segments]
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _field(self, cell: Cell, size: int, here: bool) -> list[Segment]:
        wrong = cell.key in self.faults
        mark = Segment("!" if wrong else " ", self.ink("bad"))
        plain = self.rich_style + self.get_component_rich_style("sheet--wrong" if wrong else "sheet--cell")
        focus = self.rich_style + self.get_component_rich_style("sheet--focus")
        text = self.entries.texts.get(cell.key, "")
        if cell.options:
            shown = f"‹{text or cell.options[0]}›"
            return [Segment(fitted(shown, size).ljust(size), focus if here else plain), mark]
        if here and not self.editor.text and cell.stands:
            # What holds while nothing is typed stays in sight, with the cursor on it.
            shown = fitted(stands_in(cell, self.system), size).ljust(size)
            muted = plain + Style(color=self.ink("muted").color)
            return [Segment(shown[:1], focus), Segment(shown[1:], muted), mark]
        if here:
            if self.editor.whole:
                return [Segment(fitted(self.editor.text, size).ljust(size), focus), mark]
            seen, cursor = self.editor.window(size - 1)
            seen = seen.ljust(size)
            under = plain + Style(color=self.ink("strong").color, bold=True)
            return [
                Segment(seen[:cursor], under),
                Segment(seen[cursor : cursor + 1], focus),
                Segment(seen[cursor + 1 :], under),
                mark,
            ]
        if not text and cell.stands:
            return [
                Segment(
                    fitted(stands_in(cell, self.system), size).ljust(size), plain + Style(color=self.ink("muted").color)
                ),
                mark,
            ]
        return [Segment(fitted(text, size).ljust(size), plain), mark]

    # -- keys, mouse, paste

    def on_key(self, event: events.Key) -> None:
        """Edit, move, choose."""
        if self._press(event):
            event.stop()
            event.prevent_default()

    def _press(self, event: events.Key) -> bool:
        key, cell = event.key, self.cell
        if key in _MOVES:
            self._move(*_MOVES[key])
        elif cell is None:
            return False
        elif cell.options:
            if key not in ("left", "right", "space", "backspace"):
                return False
            self._choose(cell, -1 if key in ("left", "backspace") else 1)
        elif self.editor.press(key):
            self._typed(cell)
        elif event.is_printable and event.character:
            self.editor.write(event.character)
            self._typed(cell)
        else:
            return False
        return True

    def _choose(self, cell: Cell, by: int) -> None:
        now = self.entries.texts.get(cell.key, "") or cell.options[0]
        place = cell.options.index(now) if now in cell.options else 0
        self.entries.edit(cell.key, cell.options[(place + by) % len(cell.options)], self.system)
        self.entries.settle()
        self.refresh()
        self.post_message(self.Changed())

    def _typed(self, cell: Cell) -> None:
        before = self.entries.number
        self.entries.edit(cell.key, self.editor.text, self.system)
        self.refresh()
        if self.entries.number != before:
            self.post_message(self.Changed())

    def _move(self, down: int, right: int) -> None:
        filled = [place for place, row in enumerate(self.rows) if row.cells]
        if not filled:
            return
        row, column = self.row, self.column + right
        if right and not 0 <= column < len(self.rows[row].cells):
            row = filled[(filled.index(row) + right) % len(filled)]
            column = 0 if right > 0 else len(self.rows[row].cells) - 1
        if down:
            row = filled[min(max(filled.index(row) + down, 0), len(filled) - 1)]
        self._go(row, min(column, len(self.rows[row].cells) - 1))

    def _go(self, row: int, column: int) -> None:
        self.row, self.column = row, column
        self.entries.settle()
        self.load()
        self._scroll_to_focus()
        self.refresh()
        self.post_message(self.Moved())

    def on_paste(self, event: events.Paste) -> None:
        """Paste text into a field that is typed."""
        cell = self.cell
        if cell is not None and not cell.options:
            self.editor.write(event.text.strip()[:400])
            self._typed(cell)
            event.stop()

    def on_click(self, event: events.Click) -> None:
        """Focus a field; a second click changes a choice."""
        at = event.get_content_offset(self) or Offset(event.x, event.y)
        place = at.y + int(self.scroll_offset.y)
        for column, (start, end) in enumerate(self._places.get(place, [])):
            if start <= at.x < end and place < len(self.rows):
                same, cell = (place, column) == (self.row, self.column), self.rows[place].cells[column]
                self._go(place, column)
                if same and cell.options:
                    self._choose(cell, 1)

    def on_focus(self) -> None:
        """Show where the focus is."""
        self.refresh()

    def on_blur(self) -> None:
        """Typing elsewhere begins a new change."""
        self.entries.settle()
        self.refresh()


_MOVES = {"up": (-1, 0), "down": (1, 0), "enter": (1, 0), "tab": (0, 1), "shift+tab": (0, -1)}
