"""An inscription for the item on the desk: typed, sized at every key, seen as it lies, gauged, written."""

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical

from tui.background.tasks import Done
from tui.catalogue.inscription import INSCRIPTION
from tui.drawings.canvas import Line, Run, fitted, greyed
from tui.drawings.inscription import WHERE, answer_lines, gist, picture, rows_wanted
from tui.drawings.words import wrapped
from tui.form.fields import JobTables, Tables
from tui.form.inscription import job_table, of_one_visit, together
from tui.form.lettering import Lettering, group_summary, saved_data
from tui.form.rows import Folds, Row, rows
from tui.planner.request import Verdict
from tui.screens.desk_work import ErrandNews
from tui.screens.inscription_files import InscriptionFiles
from tui.widgets.bar import Bar, TitleBar, key_line
from tui.widgets.job_form import JobForm
from tui.widgets.panel import Panel


class InscriptionForm(JobForm):
    """The fields of an inscription."""

    lines, may_be_none = "text", False

    def made_rows(self) -> list[Row]:
        """The rows as the session stands."""
        return rows(self.session, self.folds, INSCRIPTION, group_summary)


class InscriptionScreen(InscriptionFiles):
    """Words on a small part: they are the job's, and handed over as they are typed.

    What is of one run alone, the list, the folder, a gauge reading, is given back in the end.
    """

    AUTO_FOCUS = "#form"
    ANSWER = "#answer"
    LOW = 16
    DEFAULT_CSS = """
    InscriptionScreen #gist { dock: top; background: $surface; margin-top: 1; }
    InscriptionScreen #answer { height: 1fr; }
    InscriptionScreen #lies { height: 8; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("f1", "help", "Help", show=False),
        Binding("f5,ctrl+x", "write", "Write files", show=False),
        Binding("ctrl+x", "write", "Write files", show=False, priority=True),
        Binding("f4", "keep", "Save reading", show=False),
    ]

    def __init__(
        self,
        job: JobTables,
        system: str,
        folders: tuple[Path, Path],
        ascii_only: bool = False,
        words: JobTables | None = None,
        visit: JobTables | None = None,
        take: Callable[[Tables], object] = lambda _: None,
    ) -> None:
        """`folders`: what file names are counted from, and where profiles and readings are kept.

        `words` is the job's inscription, `visit` what an earlier visit gave back; `take` is told the inscription
        whenever it is another.
        """
        super().__init__(Lettering(together(words or {}, visit or {}), system, job), folders)
        self._words, self._take = dict(words or {}), take
        self._began = job_table(self.session.data())
        self.ascii_only = ascii_only

    def compose(self) -> ComposeResult:
        """Fields left, the answer and the picture right, the gist of it over both."""
        yield TitleBar(self._title, id="title")
        yield Bar(self._gist, id="gist")
        with Vertical(id="left"):
            yield InscriptionForm(self.session, id="form")
            yield Panel(self._hint, id="hint").not_focusable()
        with Vertical(id="right"):
            yield Panel(self._answer, id="answer")
            yield Panel(self._picture, id="lies").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """All groups of words and letters open; the first answer is asked for."""
        self.form.folds = Folds({group.key for group in INSCRIPTION if group.open}, set())
        self.form.rebuild()
        self.form.go_to("text.0.line")
        self._arrange()
        self.ask()

    def on_unmount(self) -> None:
        """Nobody is left to be told; what is not whole goes."""
        self.looking.end()
        self.writing.end()
        self._clear_part()

    def _arrange(self) -> None:
        super()._arrange()
        self._refresh()

    # -- contents

    def _title(self, width: int) -> Line:
        item = str(self.session.job.get("item", {}).get("name", "") or "an item without a name")
        right = f"{self.session.system} "
        left = fitted(f" Inscription {WHERE[self.session.text('around')]}: {item}", width - len(right))
        return [Run(left.ljust(max(width - len(right), 0)), "strong"), Run(right, "muted")]

    def _gist(self, width: int) -> Line:
        if self._share is not None:
            return [Run(fitted(f" {self.doing}, {100 * self._share:.0f} %: Esc stops the work", width), "warn")]
        if self.shown is None:
            return [Run(" working it out", "muted")]
        stale = self.stale
        return [Run(fitted(f" {gist(self.shown, self.session.system)}", width), "muted" if stale else "strong")]

    @property
    def stale(self) -> bool:
        """Whether the answer is of something that no longer stands there."""
        verdict = self.session.verdict
        return verdict is None or verdict.plan is None or bool(self.session.faults())

    def _keys(self, width: int) -> Line:
        keys = [
            ("F1", "help", "screen.help"), ("F6", "answer" if self.page == "fields" else "fields", "screen.page"),
            ("F5", "write", "screen.write"), ("F4", "save reading", "screen.keep"), ("F2", "mm/inch", "screen.system"),
            ("F7", "undo", "screen.undo"), ("Esc", "back", "screen.back"), ("Ctrl+S", "save", "app.save"),
            ("Ctrl+Y", "redo", "screen.redo"),
        ]  # fmt: skip
        if self._share is not None:
            keys = [("Esc", "stop it", "screen.back"), *(key for key in keys if key[0] not in ("Esc", "F5"))]
        return key_line(keys, width)

    def _hint(self, width: int, height: int) -> list[Line]:
        if wrong := self._wrong(self.session.faults(), width):
            return wrong[:height]
        if self.told:
            lines = [line for text in self.told for line in wrapped(text, width - 1, self.told_ink, " ")]
            return lines[:height]
        field = self.form.cell.field
        return wrapped(field.help if field else "Enter opens or closes this group.", width - 1, "muted", " ")[:height]

    def _answer(self, width: int, _height: int) -> list[Line]:
        lines: list[Line] = []
        for text in self.told:
            lines += wrapped(text, width - 1, self.told_ink, " ")
        if self.shown is None:
            return lines
        found = answer_lines(self.shown, self.session.system, width)
        return [*lines, *(greyed(found) if self.stale else found)]

    def _picture(self, width: int, height: int) -> list[Line]:
        if self.shown is None:
            return []
        drawn = picture(self.shown, self.session.system, width, height, self.ascii_only)
        return greyed(drawn) if self.stale else drawn

    def _refresh(self) -> None:
        if self.shown is not None and self.size.width:
            # The panel may not have been laid out yet, or be on the other page: its width follows from the screen's.
            wide = self.size.width - (0 if self.narrow else self._left_width) - 1
            most = max(self.size.height * 5 // 9, 4)
            self.query_one("#lies", Panel).styles.height = rows_wanted(self.shown, wide, most)
        super()._refresh()

    # -- the answer follows the typing

    def ask(self) -> None:
        """Have the core look at what stands now; while it looks, only the newest waits."""
        if self._asked is None:
            self._asked = self.session.number
            self.looking.ask(self._errand("inscription"))

    def hand_over(self) -> None:
        """Give the desk the words as they stand; those that nobody has touched stay as they were written."""
        now = job_table(self.session.data())
        self._take(self._words if now == self._began else now)

    def on_form_changed(self) -> None:
        """A field was changed."""
        self.told = ()
        self.hand_over()
        self.ask()
        self._refresh()

    def on_errand_news(self, message: ErrandNews) -> None:
        """Take over what was found out."""
        said = message.said
        if said.what == "inscribed":
            self._written(said)
        elif isinstance(said, Done):
            asked, self._asked = self._asked, None
            self.session.accept(Verdict(int(said.key), said.answer, None, said.faults))
            if said.answer is not None:
                self.shown = said.answer
            if asked != self.session.number:
                self.ask()
            self.form.refresh_states()
            self._refresh()

    # -- what a person can do

    def refresh_all(self) -> None:
        """The fields were changed from outside the form."""
        self.hand_over()
        self.form.reload()
        self.ask()
        self._refresh()

    def action_help(self) -> None:
        """Explain the screen and every field."""
        from tui.screens.help import Help, inscription_lines

        self.app.push_screen(Help(inscription_lines))

    def action_back(self) -> None:
        """Stop what is being written, or leave the screen."""
        if self._share is not None:
            self.writing.stop()
        else:
            self.hand_over()
            self.dismiss(of_one_visit(saved_data(self.session)))
