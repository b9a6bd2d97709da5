"""Screens with a form: what undo, redo, mm and inch do; fields and answers side by side, or as two pages."""

from collections.abc import Mapping
from typing import ClassVar, Generic

from textual import events
from textual.binding import Binding

from tui.drawings.canvas import Line
from tui.drawings.words import wrapped
from tui.form.values import FormValues
from tui.screens.questions import BaseScreen, T
from tui.widgets.form import Form
from tui.widgets.job_form import JobForm
from tui.widgets.panel import Panel


class FormScreen(BaseScreen[T], Generic[T]):
    """A screen whose fields can be undone and shown in the other unit system."""

    BINDINGS: ClassVar = [
        Binding("f2", "system", "mm or inch", show=False, priority=True),
        Binding("f7,ctrl+z", "undo", "Undo", show=False, priority=True),
        Binding("ctrl+y", "redo", "Redo", show=False, priority=True),
    ]

    @property
    def form(self) -> Form:
        """The fields."""
        raise NotImplementedError

    @property
    def values(self) -> FormValues:
        """What stands in them."""
        raise NotImplementedError

    def refresh_all(self) -> None:
        """The values were changed from outside the form."""
        raise NotImplementedError

    def on_screen_suspend(self) -> None:
        """Another screen comes over this one: a key that closes it takes back nothing here."""
        for form in self.query(Form):
            form.finish_field()

    def _wrong(self, faults: Mapping[str, str], width: int) -> list[Line]:
        """What is wrong with the field under the focus, else with the first that is wrong."""
        if not faults:
            return []
        here = self.form.cell.key
        key = here if here in faults else next(iter(faults))
        field = self.values.field(key)
        name = f"{field.label}: " if field is not None and key != here else ""
        return wrapped(f"{name}{faults[key]}", width - 1, "bad", " ! ")

    def action_system(self) -> None:
        """Show mm in place of inch and back; values don't change."""
        self.values.toggle_system()
        self.refresh_all()

    def action_undo(self) -> None:
        """Take the last change back."""
        self._travelled(self.values.undo(), "Nothing to undo.")

    def action_redo(self) -> None:
        """Make a change again that was taken back."""
        self._travelled(self.values.redo(), "Nothing to redo.")

    def _travelled(self, done: bool, otherwise: str) -> None:
        if done:
            # A list of choices that is open was of what stood there before.
            self.form.close_choice()
            self.refresh_all()
        else:
            self.notify(otherwise, timeout=2)


class TwoPages(FormScreen[T], Generic[T]):
    """Fields on the left and answers on the right, or one of the two where it is narrow."""

    BINDINGS: ClassVar = [Binding("f6", "page", "Fields or answers", show=False)]

    NARROW: ClassVar = 100
    """Below so many columns fields and answers are two pages."""
    ANSWER: ClassVar[str]
    """The panel that has the focus among the answers."""
    LOW: ClassVar[int]
    """Below so many lines the hint is shorter."""
    page = "fields"

    @property
    def form(self) -> JobForm:
        """The fields."""
        return self.query_one(JobForm)

    def ask(self) -> None:
        """Have the core look at what stands now."""
        raise NotImplementedError

    def on_resize(self, _event: events.Resize) -> None:
        """Two columns where there is room, else two pages."""
        self._arrange()

    def on_form_moved(self) -> None:
        """The focus stands elsewhere: explain that field."""
        self.query_one("#hint", Panel).redraw()

    @property
    def narrow(self) -> bool:
        """Whether fields and answers are two pages."""
        return self.size.width < self.NARROW

    @property
    def _left_width(self) -> int:
        return min(max(self.size.width * 2 // 5, 49), 66)

    def _arrange(self) -> None:
        self.set_class(self.narrow, "narrow")
        self.set_class(self.size.height < self.LOW, "low")
        self.set_class(self.page == "answers", "answers")
        self.query_one("#left").styles.width = "1fr" if self.narrow else self._left_width

    def action_page(self) -> None:
        """Turn between fields and answers."""
        self.page = "answers" if self.page == "fields" else "fields"
        self._arrange()
        (self.form if self.page == "fields" else self.query_one(self.ANSWER)).focus()
