"""How the form looks: groups, fields, tables, the line being edited."""

from pathlib import PurePath
from typing import Final

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from tui.catalogue.words import words_of
from tui.drawings.canvas import cells, fitted, padded
from tui.form.choices import OpenChoice
from tui.form.rows import Cell, Folds, Row
from tui.form.values import FormValues
from tui.widgets.editor import Editor
from tui.widgets.inks import Inked

HEAD = 10
"""Cells for the name of a group of facts."""

LABEL = 18
"""Cells for the label of a field."""

NOWHERE = Cell("")
"""What has the focus while there is no field."""

TAKES, TAKES_SHORT = "  [Enter takes it]", " [Enter]"
"""What stands in the marked line of an open list."""

MARK = "!"
"""What stands beside a wrong value besides its colour."""


_PARTS: Final = {
    "cell": ("foreground", "surface", False), "wrong": ("text-error", "error-muted", True),
    "focus": ("text", "primary", True), "group": ("text-primary", "", True), "row": ("foreground", "panel", False),
}  # fmt: skip
"""Colours of the theme for each part of the form, sign and ground, and whether it is bold."""


class PaintedForm(Inked):
    """Paints the rows of a session; what keys and mouse do to them is the business of the class above."""

    def __init__(self, session: FormValues, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.session = session
        self.folds = Folds()
        self.rows: list[Row] = []
        self.row = self.column = 0
        self.editor, self._before = Editor(), ""
        self.choice: OpenChoice | None = None
        self.goes_to = False
        self._places: dict[int, list[tuple[int, int]]] = {}

    def finish_field(self) -> None:
        """What is typed now stays: Esc goes no further back, and typing on is another change."""
        self.session.settle()
        self._before = self.editor.text

    @property
    def focused_row(self) -> Row:
        """The row with the focus; the rows may have become fewer since it was set."""
        return self.rows[min(self.row, len(self.rows) - 1)]

    @property
    def cell(self) -> Cell:
        """The cell with the focus."""
        cells = self.focused_row.cells if self.rows else ()
        return cells[min(self.column, len(cells) - 1)] if cells else NOWHERE

    def render_line(self, y: int) -> Strip:
        """One row of the form."""
        place = y + int(self.scroll_offset.y)
        width = self.scrollable_content_region.width
        if not 0 <= place < len(self.rows):
            return Strip.blank(width, self.ground)
        segments = self._segments(place, self.rows[place], width)
        if self.app.has_class("ascii"):
            segments = [Segment(self.signs(segment.text), segment.style) for segment in segments]
        return Strip(segments).adjust_cell_length(width, self.ground)

    def _segments(self, place: int, row: Row, width: int) -> list[Segment]:
        self._places[place] = []
        focused = place == self.row and self.has_focus
        if row.kind == "group":
            return self._group(place, row, width, focused)
        if row.kind == "names":
            return self._names(row)
        if row.kind == "option":
            style = self._part("focus") if row.wrong else self._part("row")
            text, does = f"   {'>' if row.wrong else ' '} {row.label}", TAKES if row.wrong else ""
            does = does if cells(text) + cells(does) <= width else TAKES_SHORT if row.wrong else ""
            return [Segment(padded(fitted(text, width - cells(does)) + does, width), style)]
        if row.kind in ("add", "more"):
            return self._button(place, row, width, focused)
        if row.kind == "fact":
            return self._fact(place, row, width, focused)
        if row.kind == "cells":
            return self._cells(place, row, focused)
        return self._field(place, row, width, focused)

    def _group(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        self._places[place].append((0, width))
        arrow = "▾" if row.group in self.folds.open else "▸"
        mark = MARK if row.wrong else " "
        title = f"{mark}{arrow} {row.label} "
        style = self._part("focus") if focused else self._part("group")
        state = fitted(row.state, width - len(title) - 1)
        return [Segment(title, style), Segment(f" {state}", self.ink("bad" if row.wrong else "muted"))]

    def _button(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        sign = "+" if row.kind == "add" else "…"
        if self.goes_to and row.letter:
            sign = f"{row.letter})"
        self._places[place].append((2, width))
        wrong = row.kind == "add" and row.cells[0].key in self._faults
        text = fitted(f"  {sign} {row.label}{f' {MARK}' if wrong else ''}", width)
        return [Segment(text, self._part("focus") if focused else self.ink("bad" if wrong else "muted"))]

    def _fact(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        """One or more facts on a line, the name of their group before them."""
        head = f"{row.letter}){row.label}" if self.goes_to and row.letter else f" {row.label}"
        wrong = row.label and row.kind == "fact" and any(cell.key in self._faults for cell in row.cells)
        segments = (
            [Segment(padded(fitted(head, HEAD), HEAD), self.ink("bad" if wrong else "strong"))] if row.label else []
        )
        at = HEAD if row.label else 0
        segments += [] if row.label else [Segment("  ", self.ground)]
        at = at if row.label else 2
        for column, cell in enumerate(row.cells):
            name = f"{cell.name} " if cell.name else ""
            here = focused and column == self.column
            last = column == len(row.cells) - 1
            wide = max(width - at - len(name) - 1, 4) if last and cell.wide > 12 and width - at < 40 else cell.wide
            wide = max(min(wide, width - at - len(name) - 1), 4)
            self._places[place].append((at, at + len(name) + wide))
            segments += [Segment(name, self.ink("strong" if here else "plain")), *self._value(cell, wide, here)]
            at += len(name) + wide + 1
        return segments

    def _names(self, row: Row) -> list[Segment]:
        if row.table is None:
            return [Segment(f" {row.label}", self.ink("strong"))]
        columns = row.table.columns
        names = "".join(f"{fitted(column.label, column.width):<{column.width + 1}}" for column in columns)
        return [Segment("   " + names, self.ink("muted"))]

    def _cells(self, place: int, row: Row, focused: bool) -> list[Segment]:
        segments = [Segment(f"{row.label:>2} ", self.ink("muted"))]
        at = 3
        for column, cell in enumerate(row.cells):
            here = focused and column == self.column
            if cell.field is None:
                self._places[place].append((at, at + 3))
                segments.append(Segment(" × ", self._part("focus") if here else self.ink("muted")))
                continue
            wide = cell.field.width
            self._places[place].append((at, at + wide + 1))
            segments += self._value(cell, wide, here)
            at += wide + 1
        return segments

    def _field(self, place: int, row: Row, width: int, focused: bool) -> list[Segment]:
        ink = "strong" if focused else "plain"
        segments = [Segment(f"   {fitted(row.label, LABEL - 1):<{LABEL}}", self.ink(ink))]
        start, at = 0, LABEL + 3
        for column, cell in enumerate(row.cells):
            wide = max(min(cell.field.width if cell.field else 12, width - at - 3), 6)
            self._places[place].append((start, at + wide))
            segments += self._value(cell, wide, focused and column == self.column)
            start = at = at + wide + 1
        other = self.session.other_system(row.cells[-1].key)
        if other and len(other) + 3 <= width - at:
            segments.append(Segment(f"  {other}", self.ink("muted")))
        return segments

    def _value(self, cell: Cell, wide: int, here: bool) -> list[Segment]:
        wrong = cell.key in self._faults
        mark = Segment(MARK if wrong else " ", self.ink("bad" if wrong else "plain"))
        style = self._part("wrong" if wrong else "cell")
        if cell.act == "choose":
            return [self._choice(cell, wide, here, style), mark]
        if here:
            return [*self._edited(wide, style), mark]
        text = self.session.entries[cell.key].text if cell.key in self.session.entries else ""
        if text and cell.key.endswith(".file"):
            # The name counts, not the way to it.
            text = PurePath(text).name
        if text:
            return [Segment(padded(fitted(text, wide), wide), style), mark]
        return [Segment(padded(self._stands(cell, wide), wide), self._muted(style)), mark]

    def _choice(self, cell: Cell, wide: int, here: bool, style: Style) -> Segment:
        """A choice in a person's words; while its list is open, what narrows it."""
        if self.choice is not None and self.choice.key == cell.key:
            text = f"{self.choice.typed}_"
        else:
            now = self.session.text(cell.key)
            text = words_of(cell.field, now) if cell.field is not None else now
            text = "choose" if cell.key in self.session.unasked else text
        shown = padded(f"{fitted(text, wide - 2)} ▾", wide)
        return Segment(shown, self._part("focus") if here else style)

    def _stands(self, cell: Cell, wide: int) -> str:
        """What holds while the field is empty."""
        return fitted(self.session.stands(cell.key), wide)

    def _muted(self, style: Style) -> Style:
        return style + self.ink("muted") + Style(bgcolor=style.bgcolor)

    def _edited(self, wide: int, style: Style) -> list[Segment]:
        text, at = self.editor.window(wide)
        # What holds while nothing is typed stays in sight, with the cursor on it.
        shown = padded(text or self._stands(self.cell, wide), wide)
        focus = self._part("focus")
        base = style if self.cell.key in self._faults else self._part("row")
        base = base if text else self._muted(base)
        if self.editor.whole:
            return [Segment(shown[: len(text)], focus), Segment(shown[len(text) :], base)]
        cursor = Style(reverse=True)
        return [Segment(shown[:at], base), Segment(shown[at : at + 1], base + cursor), Segment(shown[at + 1 :], base)]

    @property
    def _faults(self) -> dict[str, str]:
        mark = self.session.complaints_mark
        if self._fault_cache[0] != mark:
            self._fault_cache = (mark, self.session.complaints())
        return self._fault_cache[1]

    _fault_cache: tuple[object, dict[str, str]] = (None, {})

    def _part(self, name: str) -> Style:
        style = self._ink_styles.get(name)
        if style is None:
            sign, ground, bold = _PARTS[name]
            behind = self.background_colors[1]
            behind = self.colour(ground, behind) if ground else behind
            colours = Style(color=self.colour(sign, behind).rich_color, bgcolor=behind.rich_color)
            style = self._ink_styles[name] = colours + Style(bold=bold)
        return style
