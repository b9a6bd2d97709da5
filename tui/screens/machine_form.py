"""The form of a page of the machine's screen: its fields, edited as on the desk."""

from collections.abc import Iterable, Mapping

from textual import events

from tui.form.fields import Field
from tui.form.rows import Cell, Row
from tui.form.values import FormValues
from tui.screens import machine_pages
from tui.widgets.form import Form


class PageValues(FormValues):
    """What was typed into one page, in which rows it stands, and what the page's answer complains of."""

    def __init__(self, system: str) -> None:
        super().__init__(system)
        self.lines: list[Row] = []
        self.faults: Mapping[str, str] = {}

    def take_rows(self, rows: Iterable[machine_pages.Row]) -> None:
        """The rows that the page has now; one without fields is a heading."""
        self.lines = []
        for row in rows:
            fields = [
                Field(c.key, row.label, c.help, c.unit, c.options, "", c.stands, width=c.width) for c in row.cells
            ]
            self.fields |= {field.key: field for field in fields}
            self.lines.append(Row("field" if fields else "names", row.label, tuple(map(Cell.of, fields))))

    def complaints(self) -> dict[str, str]:
        """What the page's answer complains of, by field."""
        return dict(self.faults)

    @property
    def complaints_mark(self) -> object:
        """Another object whenever there may be other complaints."""
        return self.faults

    def exact_texts(self) -> dict[str, str]:
        """What stands in the fields; a length as its value, however it is shown."""
        return {
            key: entry.text if entry.value is None else f"{entry.value!r} mm" for key, entry in self.entries.items()
        }

    def clear(self, keys: Iterable[str]) -> None:
        """Empty fields, as one change."""
        filled = [key for key in keys if key in self.entries and self.entries[key].text]
        if filled:
            self.edit_all(dict.fromkeys(filled, ""))


class PageForm(Form):
    """The fields of one page."""

    session: PageValues
    _waits = False
    """Whether Enter led nowhere yet: what was chosen may bring the next fields."""

    def go_on(self) -> None:
        """To what is filled in next, as soon as it is there."""
        here = self.row, self.column
        super().go_on()
        self._waits = here == (self.row, self.column)

    def _press(self, event: events.Key) -> bool:
        self._waits = False
        return super()._press(event)

    def made_rows(self) -> list[Row]:
        """The rows of the page."""
        return self.session.lines

    def show(self, values: PageValues) -> None:
        """The fields of a page with what was typed into them."""
        if values is not self.session:
            self.session, self.rows, self.row, self.column, self._waits = values, [], 0, 0, False
        self.reload()
        if self._waits:
            self.go_on()
