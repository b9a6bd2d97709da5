"""The form: all its fields in one widget, because a widget a field would cost the start a second."""

from textual import events
from textual.geometry import Offset, Region, Size
from textual.message import Message

from tui.catalogue.words import words_of
from tui.form.choices import OpenChoice, Option
from tui.form.fields import Table
from tui.form.rows import Cell, Row, step_last_digit, with_options
from tui.form.values import FormValues
from tui.form.walk import next_field, next_missing, pasted, row_with_cells
from tui.widgets.editor import Editor
from tui.widgets.form_paint import NOWHERE, PaintedForm

MOST_PASTED = 20_000
"""Signs of a paste that are looked at."""


class Form(PaintedForm, can_focus=True):
    """The fields, edited in place. It tells the screen what was changed and where the focus is."""

    class Changed(Message):
        """Something was typed, chosen, added or taken out."""

    class Moved(Message):
        """The focus stands on another cell."""

    def __init__(self, session: FormValues, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(session, id=id)
        self._were_faults = False
        self.rebuild()

    def made_rows(self) -> list[Row]:
        """The rows as the values stand."""
        raise NotImplementedError

    def shown_rows(self) -> list[Row]:
        """The rows, with the list of the choice that is open after its own."""
        return with_options(self.made_rows(), self.choice)

    def rebuild(self) -> None:
        """The fields have changed in kind or number: make the rows anew, keep the focus on its field."""
        here = self.cell.key if self.rows else "item.measurements.0.across"
        self.rows = self.shown_rows()
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

    def go_to(self, key: str, tell: bool = True) -> bool:
        """Put the focus on a field; False, and the focus stays near, where the form has it not."""
        for place, row in enumerate(self.rows):
            for column, cell in enumerate(row.cells):
                if cell.key == key and cell.act not in ("more", "remove"):
                    self._focus_cell(place, column, tell)
                    return True
        self._focus_cell(min(self.row, len(self.rows) - 1), self.column, tell)
        return False

    def _focus_cell(self, row: int, column: int, tell: bool = True) -> None:
        filled = [place for place, one in enumerate(self.rows) if one.cells]
        if not filled:
            return
        row = max((place for place in filled if place <= row), default=filled[0])
        if self.choice is not None and self.choice.key not in {cell.key for cell in self.rows[row].cells}:
            self.choice = None
            self.rows = self.made_rows()
        left = self.cell if self.row < len(self.rows) and self.rows[self.row].cells else None
        rows, top = {self.row, row}, int(self.scroll_offset.y)
        self.row, self.column = row, min(column, max(len(self.rows[row].cells) - 1, 0))
        if left is None or left.key != self.cell.key or left.act != self.cell.act:
            self.session.settle()
            self._load()
        self._scroll_to_focus()
        if top == int(self.scroll_offset.y):
            for place in rows:
                self.refresh(Region(0, place - top, self.size.width, 1))
        else:
            self.refresh()
        if tell:
            self.post_message(self.Moved())

    def _load(self) -> None:
        text = self.session.entries[self.cell.key].text if self.cell.key in self.session.entries else ""
        self.editor, self._before = Editor.of(text if self.cell.act == "type" else ""), text

    def refresh_states(self) -> None:
        """The plan has changed: the state lines of the groups with it, not the rows."""
        fresh, faults = self.shown_rows(), self._faults
        if len(fresh) != len(self.rows) or faults or self._were_faults:
            self.rows = fresh if len(fresh) == len(self.rows) else self.rows
            self.refresh()
        else:
            top = int(self.scroll_offset.y)
            changed = [place for place, row in enumerate(fresh) if row != self.rows[place]]
            self.rows = fresh
            for place in changed:
                self.refresh(Region(0, place - top, self.size.width, 1))
        self._were_faults = bool(faults)

    def reload(self) -> None:
        """The session changed under the form: undo, redo, another unit system, another job."""
        self.rebuild()
        self._load()
        self.refresh()

    def _scroll_to_focus(self) -> None:
        if self.is_attached and self.size.height > 0:
            self._show_lines(1, 1 if self.row and self.rows[self.row - 1].kind in ("group", "names") else 0)

    def _show_lines(self, lines: int, above: int = 0) -> None:
        region = Region(0, self.row - above, 1, lines + above)
        self.scroll_to_region(region, animate=False, force=True)

    # -- keys, mouse, paste

    def on_key(self, event: events.Key) -> None:
        """Edit, move, fold, choose."""
        if self._press(event):
            event.stop()
            event.prevent_default()

    def _press(self, event: events.Key) -> bool:
        if self.cell is NOWHERE:
            return False
        key, act = event.key, self.cell.act
        if self.choice is not None and self._press_choice(key, event.character):
            return True
        if self.goes_to:
            return self._jump(event.character)
        if key in _MOVES:
            self._move(*_MOVES[key])
            return True
        if act == "type":
            return self._type(event)
        if act == "choose":
            return self._press_closed(event)
        if act == "remove":
            # A space may be part of what was meant for another field: it takes no row away.
            pressed = key in ("enter", "delete")
        else:
            pressed = key in ("enter", "space") or (act == "fold" and key in ("left", "right"))
        if pressed:
            self._act(key)
            return True
        # A space among the fields means nothing else on the desk either.
        return self._sideways(key) or key == "space"

    def _sideways(self, key: str) -> bool:
        if key in ("left", "right"):
            self._move(0, -1 if key == "left" else 1)
            return True
        return False

    def _type(self, event: events.Key) -> bool:
        key = event.key
        if key == "enter":
            if not self.editor.text and self._open_choice():
                return True
            self.finish_field()
            self.go_on()
        elif key == "escape":
            if self.editor.text == self._before:
                # Nothing to put back: it may stop what is being worked out.
                return False
            self.editor = Editor.of(self._before)
            self._typed()
        elif key in ("ctrl+up", "ctrl+down"):
            self.editor = Editor.of(step_last_digit(self.editor.text, key == "ctrl+up"))
            self._typed()
        elif self.editor.take(event):
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
        options, now = [one.value for one in self.options(self.cell)], self.session.text(self.cell.key)
        if options:
            self._chosen(options[((options.index(now) if now in options else 0) + by) % len(options)])

    def _chosen(self, option: str) -> None:
        self.choice = None
        self.session.edit(self.cell.key, option)
        self.session.settle()
        self.rebuild()
        self._load()
        self.post_message(self.Changed())

    def options(self, cell: Cell) -> tuple[Option, ...]:
        """What can be chosen in a field."""
        field = cell.field if cell.act == "choose" else None
        return tuple(Option(one, words_of(field, one)) for one in self.session.options(field)) if field else ()

    def _open_choice(self, typed: str = "") -> bool:
        """Open the list of the field under the focus; False where it has none."""
        options = self.options(self.cell)
        if not options:
            return False
        now = None if self.cell.key in self.session.unasked else self.session.text(self.cell.key)
        self.choice = OpenChoice.of(self.cell.key, options, now)
        if typed:
            self.choice.press("", typed)
        self._show_choice()
        return True

    def _show_choice(self) -> None:
        self.rebuild()
        if self.choice is not None and self.is_attached:
            self._show_lines(len(self.choice.window) + 2)

    def close_choice(self) -> None:
        """The list goes, nothing is chosen."""
        if self.choice is not None:
            self.choice = None
            self.rebuild()

    def _press_closed(self, event: events.Key) -> bool:
        """A key on a choice whose list is not open."""
        key = event.key
        if key in ("left", "right") and self.cell.key not in self.session.unasked:
            self._choose(-1 if key == "left" else 1)
        elif key in ("enter", "space", "left", "right", "backspace", "delete"):
            self._open_choice()
        elif event.character and event.character.isalnum():
            self._open_choice(event.character)
        else:
            return False
        return True

    def _press_choice(self, key: str, character: str | None) -> bool:
        choice = self.choice
        if choice is None:
            return False
        outcome = choice.press(key, character)
        chosen = choice.chosen
        if outcome == "open":
            self._show_choice()
        elif outcome in ("chosen", "next") and chosen is not None:
            here = self.cell.key
            self._chosen(chosen.value)
            # What is chosen may lead to a field by itself.
            if self.cell.key == here:
                self.go_on() if outcome == "next" else self._move(0, 1)
        else:
            self.close_choice()
        return outcome != ""

    def show_letters(self) -> None:
        """Show the letter of each group; the next key goes to one."""
        self.close_choice()
        self.goes_to = not self.goes_to
        self.refresh()

    def _jump(self, letter: str | None) -> bool:
        self.goes_to = False
        self.refresh()
        place = next((at for at, row in enumerate(self.rows) if row.letter and row.letter == letter), None)
        if place is not None:
            self._focus_cell(place, 0)
        return True

    def _act(self, key: str) -> None:
        cell, row, before = self.cell, self.focused_row, len(self.rows)
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
        if (opened := len(self.rows) - before) > 0:
            # As much as there is room for of what has been opened.
            self._show_lines(min(opened + 1, self.size.height))
        self.post_message(self.Moved())

    def _move(self, down: int, right: int) -> None:
        """To another row, or to the next cell and on to the next row."""
        row, column = self.row, self.column
        if right:
            column += right
            if not 0 <= column < len(self.rows[row].cells):
                row = row_with_cells(self.rows, row, right)
                column = 0 if right > 0 else len(self.rows[row].cells) - 1
        for _ in range(abs(down)):
            row = row_with_cells(self.rows, row, 1 if down > 0 else -1, wrap=False)
        self._focus_cell(row, column)

    def go_on(self) -> None:
        """To what is still missing; where nothing is, to what is filled in next."""
        here = (self.row, self.column)
        if key := next_missing(self.rows, self.missing(), here, self.cell.key):
            self.ask(key)
        elif (place := next_field(self.rows, self.session, here)) is not None:
            self._focus_cell(*place)

    def ask(self, key: str) -> None:
        """Go to what has to be filled in or chosen; its list opens."""
        self.reveal(key)
        if not self.session.text(key) or self.cell.act == "choose":
            self._open_choice()

    def missing(self) -> list[str]:
        """The fields that have to be filled in, in their order."""
        return []

    def reveal(self, key: str) -> None:
        """Go to a field, however it is hidden."""
        self.go_to(key)

    def on_paste(self, event: events.Paste) -> None:
        """Paste into a field that is typed; several lines go down a table's column, tabs across its columns."""
        if self.cell.act != "type":
            return
        event.stop()
        lines = [line for line in event.text[:MOST_PASTED].splitlines() if line.strip()]
        table = self.focused_row.table
        field = self.cell.field
        if len(lines) > 1 and field is not None and field.lines:
            self.editor.write("\\n".join(line.strip() for line in lines))
            self._typed()
        elif table is not None and (len(lines) > 1 or "\t" in event.text.strip()):
            self._paste_rows(table, [line.split("\t") for line in lines])
        else:
            self.editor.write(event.text.strip()[:400])
            self._typed()

    def _paste_rows(self, table: Table, lines: list[list[str]]) -> None:
        texts = pasted(self.session, table, self.cell.key, lines)
        if not texts:
            return
        self.session.edit_all(texts)
        self.rebuild()
        self._load()
        self.post_message(self.Changed())

    def on_click(self, event: events.Click) -> None:
        """Focus, and do at once what a fold, a choice or a button does."""
        self._click(event.get_content_offset(self) or Offset(event.x, event.y))

    def _click(self, at: Offset) -> None:
        place = at.y + int(self.scroll_offset.y)
        if self.choice is not None and place < len(self.rows) and self.rows[place].kind == "option":
            self._chosen(self.rows[place].state)
            return
        self.close_choice()
        for column, (start, end) in enumerate(self._places.get(place, [])):
            if start <= at.x < end and place < len(self.rows):
                self._focus_cell(place, column)
                if self.cell.act in ("fold", "more", "add", "remove"):
                    self._act("enter")
                elif self.cell.act == "choose" and self.choice is None:
                    self._open_choice()

    def on_focus(self) -> None:
        """Show where the focus is."""
        self.refresh()

    def on_blur(self) -> None:
        """Typing elsewhere begins a new change."""
        self.close_choice()
        self.finish_field()
        self.refresh()


_MOVES = {
    "up": (-1, 0), "down": (1, 0), "pageup": (-10, 0), "pagedown": (10, 0), "tab": (0, 1), "shift+tab": (0, -1),
}  # fmt: skip
