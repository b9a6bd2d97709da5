"""The form of a job: groups that fold, and what has to be unfolded to show a field."""

from textual import events

from tui.form.fields import row_and_column
from tui.form.job_form import Session
from tui.widgets.form import Form


class JobForm(Form):
    """The fields of a job in groups that fold."""

    session: Session
    lines = ""
    """The table whose rows are lines of one text: Enter begins another, Backspace takes out an empty one, and Esc one
    that was just begun."""

    def _type(self, event: events.Key) -> bool:
        table = self.session.tables.get(self.lines)
        place = None if table is None else row_and_column(self.cell.key, table)
        if table is None or place is None or event.key not in ("enter", "backspace", "escape"):
            return super()._type(event)
        row, last, is_empty = place[0], self.session.rows(table) - 1, not self.editor.text.strip()
        if event.key == "escape" and (self._before.strip() or not self.may_be_none):
            return super()._type(event)
        if event.key == "enter" and row == last and not is_empty:
            self.session.add_row(table)
            self._to_line(row + 1)
            self.post_message(self.Changed())
            return True
        if is_empty and (last > 0 or (self.may_be_none and event.key != "enter")):
            self.session.remove_row(table, row)
            self._to_line(max(row - 1, 0))
            if event.key == "enter":
                self.go_on()
            self.post_message(self.Changed())
            return True
        return super()._type(event)

    may_be_none = True
    """Whether the last line can be taken out too."""

    def _to_line(self, number: int) -> None:
        self.rebuild()
        self.go_to(f"{self.lines}.{number}.line")
        self._load()

    def on_paste(self, event: events.Paste) -> None:
        """Several lines that are pasted into a line stay several lines of it."""
        if self.lines and self.cell.key.startswith(f"{self.lines}."):
            event.text = "\\n".join(line.strip() for line in event.text.strip().splitlines())

    def reveal(self, key: str) -> None:
        """Unfold whatever hides a field, and go there."""
        if self.choice is not None and self.choice.key != key:
            self.close_choice()
        if self.go_to(key):
            return
        self.folds.reveal(self.session, key)
        self.rows = self.shown_rows()
        self._resized()
        if not self.go_to(key):
            self.go_to(f"{key}.0.at")
        self.refresh()
