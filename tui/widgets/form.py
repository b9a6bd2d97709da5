"""The form: every field of the desk in one widget, because a widget a field would cost the start a second."""

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.strip import Strip

from tui.drawings.canvas import fitted
from tui.rows import Cell, Folds, Row, rows, step_last_digit
from tui.session import Session
from tui.widgets.editor import Editor
from tui.widgets.inked import Inked

LABEL = 18
"""Cells for the label of a field."""

MARK = "!"
"""What stands beside a wrong value besides its colour."""


class Form(Inked, can_focus=True):
    """The fields, edited in place. It tells the desk what was changed and where the focus is."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"form--cell", "form--wrong", "form--focus", "form--group", "form--row"}
    DEFAULT_CSS = """
    Form {
        & > .form--cell { background: $surface; color: $foreground; }
        & > .form--wrong { background: $error-muted; color: $text-error; text-style: bold; }
        & > .form--focus { background: $primary; color: $text; text-style: bold; }
        & > .form--group { color: $text-primary; text-style: bold; }
        & > .form--row { background: $panel; }
    }
    """

    class Changed(Message):
        """Something was typed, chosen, added or taken out."""

    class Moved(Message):
        """The focus stands on another cell."""

    def __init__(self, session: Session, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.session = session
        self.folds = Folds()
        self.rows: list[Row] = []
        self.row = self.column = 0
        self.editor = Editor()
        self._before = ""
        self._places: dict[int, list[tuple[int, int]]] = {}
        self.rebuild()

    # -- what is shown

    def rebuild(self) -> None:
        """The fields have changed in kind or number: make the rows anew, keep the focus on its field."""
        here = self.cell.key if self.rows else "item.stations.0.across"
        self.rows = rows(self.session, self.folds)
        self.go_to(here, tell=False)
        self._resized()
        self.refresh()

    def _resized(self) -> None:
        if self.is_attached:
            self.virtual_size = Size(self.scrollable_content_region.width, len(self.rows))

    def on_mount(self) -> None:
        """The first size."""
        self._resized()

    def on_resize(self) -> None:
        """Keep the focus in sight."""
        self._resized()
        self._scroll_to_focus()

    @property
    def cell(self) -> Cell:
        """The cell with the focus."""
        row = self.rows[min(self.row, len(self.rows) - 1)]
        return row.cells[min(self.column, len(row.cells) - 1)]

    def go_to(self, key: str, tell: bool = True) -> bool:
        """Put the focus on a field; False, and the focus stays near, where the form has it not."""
        for place, row in enumerate(self.rows):
            for column, cell in enumerate(row.cells):
                if cell.key == key and cell.act not in ("more", "remove"):
                    self._focus_cell(place, column, tell)
                    return True
        self._focus_cell(min(self.row, len(self.rows) - 1), self.column, tell)
        return False

    def reveal(self, key: str) -> None:
        """Unfold whatever hides a field, and go there."""
        self.folds.reveal(self.session, key)
        self.rows = rows(self.session, self.folds)
        self._resized()
        if not self.go_to(key):
            self.go_to(f"{key}.0.at")
        self.refresh()

    def _focus_cell(self, row: int, column: int, tell: bool = True) -> None:
        while row > 0 and not self.rows[row].cells:
            row -= 1
        left = self.cell if self.rows and self.row < len(self.rows) and self.rows[self.row].cells else None
        self.row, self.column = row, min(column, max(len(self.rows[row].cells) - 1, 0))
        if left is None or left.key != self.cell.key or left.act != self.cell.act:
            self.session.settle()
            self._load()
        self._scroll_to_focus()
        self.refresh()
        if tell:
            self.post_message(self.Moved())

    def _load(self) -> None:
        text = self.session.entries[self.cell.key].text if self.cell.key in self.session.entries else ""
        self.editor, self._before = Editor.of(text if self.cell.act == "type" else ""), text

    def refresh_states(self) -> None:
        """The plan has changed: the state lines of the groups with it, not the rows."""
        fresh = rows(self.session, self.folds)
        self.rows = fresh if len(fresh) == len(self.rows) else self.rows
        self.refresh()

    def reload(self) -> None:
        """The session changed under the form: undo, redo, another unit system, another job."""
        self.rebuild()
        self._load()
        self.refresh()

    def _scroll_to_focus(self) -> None:
        if self.is_attached and self.size.height > 0:
            above = 1 if self.row and self.rows[self.row - 1].kind in ("group", "names") else 0
            region = Region(0, self.row - above, 1, 1 + above)
            self.scroll_to_region(region, animate=False, force=True)

    # -- painting

    def render_line(self, y: int) -> Strip:
        """One row of the form."""
        place = y + int(self.scroll_offset.y)
        width = self.scrollable_content_region.width
        if not 0 <= place < len(self.rows):
            return Strip.blank(width, self.rich_style)
        segments = self._segments(place, self.rows[place], width)
        if self.app.has_class("ascii"):
            segments = [Segment(self.signs(segment.text), segment.style) for segment in segments]
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _segments(self, place: int, row: Row, width: int) -> list[Segment]:
        self._places[place] = []
        focused = place == self.row and self.has_focus
        if row.kind == "group":
            return self._group(place, row, width, focused)
        if row.kind == "names":
            return self._names(row)
        if row.kind in ("add", "more"):
            sign = "+" if row.kind == "add" else "…"
            self._places[place].append((3, width))
            text = fitted(f"   {sign} {row.label}", width)
            return [Segment(text, self._part("form--focus") if focused else self.ink("a"))]
        if row.kind == "cells":
            return self._cells(place, row, focused)
        return self._field(place, row, width, focused)

    def _group(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        self._places[place].append((0, width))
        wrong = "to put right" in row.state
        arrow = "▾" if row.group in self.folds.open else "▸"
        mark = MARK if wrong else " "
        title = f"{mark}{arrow} {row.label} "
        style = self._part("form--focus") if focused else self._part("form--group")
        state = fitted(row.state, width - len(title) - 1)
        return [Segment(title, style), Segment(f" {state}", self.ink("bad" if wrong else "muted"))]

    def _names(self, row: Row) -> list[Segment]:
        table = row.table
        columns = table.columns if table else ()
        names = "".join(f"{fitted(column.label, column.width):<{column.width + 2}}" for column in columns)
        return [Segment("     " + names, self.ink("muted"))]

    def _cells(self, place: int, row: Row, focused: bool) -> list[Segment]:
        segments = [Segment(f"{row.label:>3}  ", self.ink("muted"))]
        at = 5
        for column, cell in enumerate(row.cells):
            here = focused and column == self.column
            if cell.field is None:
                self._places[place].append((at, at + 3))
                segments.append(Segment(" × ", self._part("form--focus") if here else self.ink("muted")))
                continue
            wide = cell.field.width
            self._places[place].append((at, at + wide + 1))
            segments += self._value(cell, wide, here)
            at += wide + 2
        return segments

    def _field(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        cell = row.cells[0]
        wide = max(min(cell.field.width if cell.field else 12, width - LABEL - 6), 6)
        self._places[place].append((0, LABEL + 3 + wide))
        ink = "strong" if focused else "plain"
        segments = [Segment(f"   {fitted(row.label, LABEL - 1):<{LABEL}}", self.ink(ink))]
        segments += self._value(cell, wide, focused)
        other = self.session.other_system(cell.key)
        room = width - LABEL - 5 - wide
        if other and len(other) + 2 <= room:
            segments.append(Segment(f" {other}", self.ink("muted")))
        return segments

    def _value(self, cell: Cell, wide: int, here: bool) -> list[Segment]:
        wrong = cell.key in self._faults
        mark = Segment(MARK if wrong else " ", self.ink("bad" if wrong else "plain"))
        style = self._part("form--wrong" if wrong else "form--cell")
        if cell.act == "choose":
            text = self.session.text(cell.key)
            shown = f"‹{fitted(text, wide - 2)}›" if here else f"{fitted(text, wide - 2)} ▾"
            return [
                Segment(f"{shown:<{wide}}", self._part("form--focus") if here else style),
                mark,
                Segment(" ", self.rich_style),
            ]
        if here:
            return [*self._edited(wide, style), mark, Segment(" ", self.rich_style)]
        text = self.session.entries[cell.key].text if cell.key in self.session.entries else ""
        if text:
            return [Segment(f"{fitted(text, wide):<{wide}}", style), mark, Segment(" ", self.rich_style)]
        stands = fitted(self.session.stands(cell.key), wide)
        return [
            Segment(f"{stands:<{wide}}", style + self.ink("muted") + Style(bgcolor=style.bgcolor)),
            mark,
            Segment(" ", self.rich_style),
        ]

    def _edited(self, wide: int, style: Style) -> list[Segment]:
        text, at = self.editor.window(wide)
        shown = f"{text:<{wide}}"
        focus = self._part("form--focus")
        base = style if self.cell.key in self._faults else self._part("form--row")
        if self.editor.whole:
            return [Segment(shown[: len(text)], focus), Segment(shown[len(text) :], base)]
        cursor = Style(reverse=True)
        return [Segment(shown[:at], base), Segment(shown[at : at + 1], base + cursor), Segment(shown[at + 1 :], base)]

    @property
    def _faults(self) -> dict[str, str]:
        key = (self.session.number, id(self.session.verdict))
        if self._fault_cache[0] != key:
            self._fault_cache = (key, self.session.faults())
        return self._fault_cache[1]

    _fault_cache: tuple[tuple[int, int], dict[str, str]] = ((-1, -1), {})

    def _part(self, name: str) -> Style:
        style = self._ink_styles.get(name)
        if style is None:
            style = self._ink_styles[name] = self.get_component_rich_style(name)
        return style

    # -- keys, mouse, paste

    def on_key(self, event: events.Key) -> None:
        """Edit, move, fold, choose."""
        if self._press(event):
            event.stop()
            event.prevent_default()

    def _press(self, event: events.Key) -> bool:
        key, act = event.key, self.cell.act
        if key in _MOVES:
            self._move(*_MOVES[key])
            return True
        if act == "type":
            return self._type(event)
        if act == "choose" and key in ("left", "right", "space", "enter", "backspace", "delete"):
            self._choose(-1 if key in ("left", "backspace") else 1)
            return True
        if act == "choose" and event.character and event.character.isalnum():
            self._choose_by_letter(event.character)
            return True
        if key in ("enter", "space") or (act == "fold" and key in ("left", "right")):
            self._act(key)
            return True
        if key == "delete" and act == "remove":
            self._act(key)
            return True
        return self._sideways(key)

    def _sideways(self, key: str) -> bool:
        if key in ("left", "right"):
            self._move(0, -1 if key == "left" else 1)
            return True
        return False

    def _type(self, event: events.Key) -> bool:
        key = event.key
        if key == "enter":
            self._move(1, 0)
        elif key == "escape":
            self.editor = Editor.of(self._before)
            self._typed()
        elif key in ("ctrl+up", "ctrl+down"):
            self.editor = Editor.of(step_last_digit(self.editor.text, key == "ctrl+up"))
            self._typed()
        elif self.editor.press(key):
            self._typed()
        elif event.is_printable and event.character:
            self.editor.write(event.character)
            self._typed()
        else:
            return False
        return True

    def _typed(self) -> None:
        before = self.session.number
        self.session.edit(self.cell.key, self.editor.text)
        top = int(self.scroll_offset.y)
        self.refresh(Region(0, self.row - top, self.size.width, 1))
        if self.session.number != before:
            self.post_message(self.Changed())

    def _choose(self, by: int) -> None:
        field = self.cell.field
        if field is None:
            return
        options = self.session.options(field)
        now = self.session.text(self.cell.key)
        place = options.index(now) if now in options else 0
        self._chosen(options[(place + by) % len(options)])

    def _choose_by_letter(self, letter: str) -> None:
        field = self.cell.field
        options = self.session.options(field) if field else ()
        now = self.session.text(self.cell.key)
        later = options[options.index(now) + 1 :] + options if now in options else options
        found = next((option for option in later if option.lower().startswith(letter.lower())), None)
        if found:
            self._chosen(found)

    def _chosen(self, option: str) -> None:
        self.session.edit(self.cell.key, option)
        self.session.settle()
        self.rebuild()
        self.post_message(self.Changed())

    def _act(self, key: str) -> None:
        cell, row = self.cell, self.rows[self.row]
        if cell.act == "fold":
            is_open = cell.key in self.folds.open
            if not (key == "left" and not is_open) and not (key == "right" and is_open):
                self.folds.toggle(cell.key)
            self.rebuild()
        elif cell.act == "more":
            self.folds.toggle_rare(cell.key)
            self.rebuild()
            self._focus_cell(self.row, 0)
        elif row.table is not None and cell.act == "add":
            number = self.session.add_row(row.table)
            self.rebuild()
            self.go_to(row.table.cell(number, row.table.columns[0]))
            self.post_message(self.Changed())
        elif row.table is not None and cell.act == "remove":
            self.session.remove_row(row.table, int(cell.key.rpartition(".")[2]))
            self.rebuild()
            self.post_message(self.Changed())
        self.post_message(self.Moved())

    def _move(self, down: int, right: int) -> None:
        """To another row, or to the next cell and on to the next row."""
        row, column = self.row, self.column
        if right:
            column += right
            if not 0 <= column < len(self.rows[row].cells):
                row = self._row_with_cells(row, right)
                column = 0 if right > 0 else len(self.rows[row].cells) - 1
        for _ in range(abs(down)):
            row = self._row_with_cells(row, 1 if down > 0 else -1, wrap=False)
        self._focus_cell(row, column)

    def _row_with_cells(self, row: int, by: int, wrap: bool = True) -> int:
        place = row
        while True:
            place += by
            if not 0 <= place < len(self.rows):
                if not wrap:
                    return row
                place %= len(self.rows)
            if self.rows[place].cells:
                return place

    def on_paste(self, event: events.Paste) -> None:
        """Paste text into a field that is typed."""
        if self.cell.act == "type":
            self.editor.write(event.text.strip()[:400])
            self._typed()
            event.stop()

    def on_click(self, event: events.Click) -> None:
        """Focus, and do at once what a fold, a choice or a button does."""
        self._click(event.get_content_offset(self) or Offset(event.x, event.y))

    def _click(self, at: Offset) -> None:
        place = at.y + int(self.scroll_offset.y)
        for column, (start, end) in enumerate(self._places.get(place, [])):
            if start <= at.x < end and place < len(self.rows):
                same = (place, column) == (self.row, self.column)
                self._focus_cell(place, column)
                if self.cell.act in ("fold", "more", "add", "remove"):
                    self._act("enter")
                elif self.cell.act == "choose" and same:
                    self._choose(1)

    def on_focus(self) -> None:
        """Show where the focus is."""
        self.refresh()

    def on_blur(self) -> None:
        """Typing elsewhere begins a new change."""
        self.session.settle()
        self.refresh()


_MOVES = {
    "up": (-1, 0), "down": (1, 0), "pageup": (-10, 0), "pagedown": (10, 0), "tab": (0, 1), "shift+tab": (0, -1),
}  # fmt: skip
