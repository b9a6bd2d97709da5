"""The form of the desk: the facts of a job first, all other fields folded behind one line."""

from collections.abc import Callable
from pathlib import Path

from rotary.defaults import STEP_FIGURES
from tui.catalogue.work import WORDS
from tui.form import own_coating
from tui.form.choices import Option
from tui.form.facts import job_rows, line_key, missing
from tui.form.job_form import Session
from tui.form.rows import Cell, Row
from tui.widgets.job_form import JobForm

LOOK = Option("", "look at the drawings")
LETTERS = Option("words", "words in place of a drawing")
MOST_FILES = 200
_BESIDE = {own_coating.COATING: "item.colour", "turning.kind": "turning.roller_diameter"}


class FactsForm(JobForm):
    """Asks for what every job needs; Enter goes from one missing fact to the next."""

    session: Session
    lines = WORDS.key

    def __init__(self, session: Session, folder: Callable[[], Path], *, id: str | None = None) -> None:  # noqa: A002
        self.folder = folder
        super().__init__(session, id=id)

    def made_rows(self) -> list[Row]:
        """The rows as the session stands."""
        return job_rows(self.session, self.folds)

    def missing(self) -> list[str]:
        """The facts that are still to be filled in or chosen, then the turning figures that are only assumed."""
        steps = self.session.actions.steps if self.session.actions is not None else ()
        asked = any(step.id == "enter_steps" for step in steps)
        assumed = (key for name in STEP_FIGURES if asked and not self.session.text(key := f"turning.{name}"))
        return [*missing(self.session), *assumed]

    @property
    def wants_drawing(self) -> bool:
        """Whether the field under the focus names a drawing."""
        return self.cell.key.startswith("artwork.pieces.") and self.cell.key.endswith(".file")

    def options(self, cell: Cell) -> tuple[Option, ...]:
        """What can be chosen in a field; of a drawing the files beside the job."""
        if not (self.wants_drawing and cell.key == self.cell.key):
            return super().options(cell)
        from tui.drawings.file_list import listing

        entries = [entry for entry in listing(self.folder()).entries if entry.kind == "drawing"][:MOST_FILES]
        return (*(Option(entry.name, entry.name) for entry in entries), LOOK, LETTERS)

    def _chosen(self, option: str) -> None:
        if not self.wants_drawing or option not in (LOOK.value, LETTERS.value):
            super()._chosen(option)
            return
        self.close_choice()
        if option == LETTERS.value:
            self.begin_words()
        else:
            self.call_next(self._look, self.cell.key)

    async def _look(self, drawing: str) -> None:
        """Look for a file for that field, to which Esc leads back: Enter has gone on to the next meanwhile."""
        self.go_to(drawing)
        await self.run_action("app.artwork")

    def go_on(self) -> None:
        """To what is missing, but first to the fact beside a choice, while nobody has typed it."""
        beside = _BESIDE.get(self.cell.key, "")
        if not beside or self.session.text(beside) or not self.go_to(beside):
            super().go_on()

    def begin_words(self) -> None:
        """A first line for words, which go on the item in place of a drawing."""
        self.close_choice()
        self.session.add_row(WORDS)
        self.rebuild()
        self.go_to(line_key(0))
        self._load()
        self.post_message(self.Changed())
