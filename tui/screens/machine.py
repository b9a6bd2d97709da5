"""Your machine: what it really does. Readings, the seam test, level, focus, pointer, an item taken off, your program,
and which machine the job goes by; one page at a time, each a form and its answer."""

from collections.abc import Callable
from hashlib import sha256
from typing import ClassVar, Final, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal

from rotary.shipped import profile_folder
from tui.disk.drafts import Drafts
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.pictures import tab_line
from tui.drawings.words import wrapped
from tui.form.fields import Tables
from tui.screens.form_screen import FormScreen, TwoPages
from tui.screens.machine_form import PageForm, PageValues
from tui.screens.machine_level import FocusPage, LevelPage
from tui.screens.machine_names import NamesPage
from tui.screens.machine_pages import Answer, Bench, Page, Reader, page_answer
from tui.screens.machine_pointer import PointerPage
from tui.screens.machine_program import ProgramPage
from tui.screens.machine_readings import ReadingsPage, bench_of
from tui.screens.machine_resume import ResumePage
from tui.screens.machine_strip import StripPage
from tui.widgets.bar import Bar, TitleBar, key_line
from tui.widgets.panel import Panel

LOW: Final = 12
"""With fewer lines the answer would leave no room for a field."""


class MachineResult(NamedTuple):
    """With what the screen was left: the machine that the job is to go by, whether anything there has changed."""

    name: str
    changed: bool


class MachineScreen(FormScreen[MachineResult]):
    """Pages about one machine; what is kept goes into its file, and nothing else is stored."""

    AUTO_FOCUS = "#sheet"
    CSS_PATH: ClassVar = ["../styles/machine.tcss"]
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("f1", "help", "Help", show=False, priority=True),
        Binding("f3", "turn(-1)", "Page before", show=False, priority=True),
        Binding("f4", "turn(1)", "Next page", show=False, priority=True),
        Binding("f5,ctrl+x", "files", "Write the files", show=False, priority=True),
        Binding("ctrl+s", "keep", "Save", show=False, priority=True),
        Binding("pageup", "scroll_by(-10)", "Up", show=False, priority=True),
        Binding("pagedown", "scroll_by(10)", "Down", show=False, priority=True),
    ]

    def __init__(self, data: Tables, system: str, deed: str = "") -> None:
        super().__init__()
        self.data, self.system = data, system
        self.named = str(data.get("machine", ""))
        on_item = (StripPage(), LevelPage(), FocusPage(), PointerPage(), ResumePage())
        self.pages: tuple[Page, ...] = (ReadingsPage(), *on_item, ProgramPage(), NamesPage())
        self.typed = [PageValues(system) for _ in self.pages]
        # What the screen was opened to do has its page shown first.
        self.page = next((at for at, page in enumerate(self.pages) if deed and page.deed == deed), 0)
        self.changed = False
        self.bench: Bench | None = None
        self.answer = Answer(())
        self.said, self.working = "", "reading the machine"
        self._asked: tuple[object, ...] | None = None
        self._busy = False
        self._kept: dict[int, int] = {}
        self.draft = Drafts(profile_folder(), f"machine-{sha256(self.named.encode()).hexdigest()[:16]}")

    # -- what is where

    def compose(self) -> ComposeResult:
        """A page's form and answer, between a title and the keys."""
        yield TitleBar(self._title, id="title")
        yield Bar(self._tabs, id="pages")
        with Horizontal(id="form-and-answer"):
            yield PageForm(self.values, id="sheet")
            yield Panel(self._answer, id="answer").not_focusable()
        yield Panel(self._hint, id="about").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The machine is read, and the plan made, apart from the screen."""
        self._arrange()
        self._work(lambda: bench_of(self.data, self.system, self.named), "reading the machine")

    def on_unmount(self) -> None:
        """What is typed and not saved stays for the next time."""
        self.draft.end()

    def _unsaved(self) -> dict[str, str]:
        """What is typed and not saved, by page and field; a choice alone is nothing typed."""
        found: dict[str, str] = {}
        for place, (page, values) in enumerate(zip(self.pages, self.typed, strict=True)):
            texts, fields = values.exact_texts(), values.fields
            typed = any(text and key in fields and not fields[key].is_choice for key, text in texts.items())
            if typed and self._kept.get(place) != values.number and not isinstance(page, NamesPage):
                found |= {f"{page.name}.{key}": text for key, text in texts.items()}
        return found

    def on_resize(self) -> None:
        """Side by side where there is room; in a very low window the field under the focus and its hint alone."""
        self.set_class(self.size.width < TwoPages.NARROW, "narrow")
        self.set_class(self.size.height < LOW, "low")

    @property
    def on_form(self) -> Page:
        """The page that is shown."""
        return self.pages[self.page]

    @property
    def form(self) -> PageForm:
        """The form of the page."""
        return self.query_one("#sheet", PageForm)

    @property
    def values(self) -> PageValues:
        """What was typed into the page that is shown."""
        return self.typed[self.page]

    def _reader(self) -> Reader:
        return Reader(self.values.exact_texts(), self.system, width=self.query_one("#answer").size.width)

    def _arrange(self) -> None:
        self._show_form()
        self.form.focus()
        self._ask()
        self._refresh()

    def _show_form(self, again: bool = False) -> None:
        """The fields of the page; `again` leaves the form alone where they are the same as before."""
        values, before = self.values, self.values.lines
        texts = {key: entry.text for key, entry in values.entries.items()}
        values.take_rows(self.on_form.rows_for(self.bench, texts) if self.bench is not None else ())
        if values is not self.form.session or values.lines != before or not again:
            self.form.show(values)

    def _title(self, width: int) -> Line:
        bench = self.bench
        called = "none yet" if bench is not None and not bench.names else bench and bench.machine.name
        name = f"Your machine: {called}" if bench is not None else "Your machine"
        says = f"{self.working} …" if self.working else self.said
        if bench is not None and self._goes_by() != bench.machine.name:
            uses = f"the machine {bench.named}" if bench.named else "no machine"
            says += f'  (this job uses {uses}: see the page "machines")'
        return [Run(fitted(f" {name}   {says}", max(width - 4, 0)).ljust(max(width - 4, 0)), "strong"),
                Run(f" {self.system} ", "muted")]  # fmt: skip

    def _tabs(self, width: int) -> Line:
        names = [page.name for page in self.pages]
        only = [Run(fitted(f"[{names[self.page]}]  (F3 F4: {len(names)} pages)", width), "strong")]
        return tab_line(names, ["…"] * len(names), self.page, width) or only

    def _keys(self, width: int) -> Line:
        page = self.on_form
        keys = [("F1", "help", "screen.help"), ("F3 F4", "pages", "screen.turn(1)")]
        wide = width >= TwoPages.NARROW
        keys += [("Ctrl+S", page.keeps if wide else "save", "screen.keep")] if page.keeps else []
        keys += [("F5", page.writes if wide else "files", "screen.files")] if page.writes else []
        keys += [("F7", "undo", "screen.undo"), ("F2", "mm/inch", "screen.system")]
        return key_line([*keys, ("PgDn", "scroll", "screen.scroll_by(10)"), ("Esc", "back", "screen.back")], width)

    def _answer(self, width: int, _height: int) -> list[Line]:
        if self.bench is None:
            return [[Run(f" {self.working} …", "muted")]]
        lines: list[Line] = []
        for ink, text in self.answer.lines:
            # Columns stay columns as long as there is room for them.
            lines += [[Run(f" {text}", ink)]] if len(text) < width else wrapped(text, width - 1, ink, " ")
        return lines

    def _hint(self, width: int, height: int) -> list[Line]:
        field, faults = self.form.cell.field, self.answer.faults
        if field is None:
            return []
        return (self._wrong(faults, width) or wrapped(field.help, width - 1, "muted", " "))[:height]

    # -- apart from the screen

    def _work(self, work: Callable[[], tuple[Bench, str]], says: str) -> None:
        self.working = says
        self._refresh()
        self._in_thread(work, self._take, only=False)

    def _take(self, found: tuple[Bench, str]) -> None:
        is_first = self.bench is None
        (self.bench, self.said), self.working = found, ""
        if is_first:
            self._take_draft(found[0])
        self._asked = None
        self._show_form()
        self._ask()
        self._refresh()

    def _take_draft(self, bench: Bench) -> None:
        """What was typed the last time and not saved stands in its fields again."""
        left = self.draft.texts()
        for page, values in zip(self.pages, self.typed, strict=True):
            if texts := {key.partition(".")[2]: text for key, text in left.items() if key.startswith(f"{page.name}.")}:
                values.take_rows(page.rows_for(bench, texts))
                values.edit_all(texts)
        if left:
            self.notify("What you typed here and did not save is back. F7 empties a page.", timeout=8, markup=False)

    def _tell(self, trouble: str) -> None:
        self.said, self.working = "not done", ""
        super()._tell(trouble)

    def _ask(self) -> None:
        """Have the answer follow the typing: one question at a time, the newest next."""
        page, bench = self.on_form, self.bench
        if bench is None:
            return
        wanted = (self.page, self.values.number, self.system, bench)
        if self._busy or wanted == self._asked:
            return
        self._busy, self._asked = True, wanted
        reader = self._reader()
        self._in_thread(lambda: (wanted, page_answer(page, bench, reader)), self._answered, "answer", only=False)

    def _answered(self, found: tuple[tuple[object, ...], Answer]) -> None:
        self._busy, (wanted, answer) = False, found
        if wanted[0] == self.page:
            self.answer = answer
            self.values.faults = answer.faults
            self.form.refresh()
            self._refresh()
        self._ask()

    # -- what a person can do

    def on_form_changed(self) -> None:
        """Something was typed; another choice may have other fields."""
        self._show_form(again=True)
        self.draft.keep_texts(self._unsaved())
        self._ask()
        self.query_one("#about", Panel).redraw()

    def on_form_moved(self) -> None:
        """Explain the field with the focus."""
        self.query_one("#about", Panel).redraw()

    def save_own(self) -> None:
        """Ctrl+S saves what is typed here, not the job below."""
        self.action_keep()

    def action_keep(self) -> None:
        """Keep what is typed; nothing is stored where anything is refused."""
        if self.on_form.keeps:
            self._do(self.on_form, self.on_form.keep)

    def _anew(self, said: str, name: str) -> tuple[Bench, str]:
        bench, count = bench_of(self.data, self.system, name, self.named)
        return bench, f"{said} ({count})" if count not in said else said

    def action_files(self) -> None:
        """Write the files of this page."""
        if self.on_form.writes:
            self._do(self.on_form, self.on_form.files, stores=False)

    def _do(self, page: Page, act: Callable[[Bench, Reader], str], stores: bool = True) -> None:
        bench = self.bench
        if bench is None or self.working:
            return
        typed = self.page
        if stores and self._kept.get(typed) == self.values.number:
            self.notify("You saved this reading already. Type a new reading, then press Ctrl+S.", timeout=6)
            return
        reader = self._reader()

        def work() -> tuple[Bench, str]:
            said = act(bench, reader)
            if not stores:
                return bench, said
            self.changed, name = True, bench.machine.name
            if isinstance(page, NamesPage):
                self.named = page.name_after(bench, Reader(reader.texts, self.system))
                name = self.named
                self.app.call_from_thread(self._chosen)
            else:
                self.app.call_from_thread(self._done_with, typed, page.done_with(bench))
            return self._anew(said, name)

        self._work(work, "saving" if stores else "writing")

    def _done_with(self, place: int, keys: tuple[str, ...]) -> None:
        """What was kept is not kept again."""
        self.typed[place].clear(keys)
        self._kept[place] = self.typed[place].number
        self.draft.keep_texts(self._unsaved())

    def _chosen(self) -> None:
        """What was asked of the names is done: their fields are empty again."""
        self.typed[-1].clear(("choose", "new", "rename"))

    def action_turn(self, by: int) -> None:
        """The next page, or the one before."""
        self.action_show((self.page + by) % len(self.pages))

    def action_show(self, place: int) -> None:
        """One page."""
        self.page = place
        self.answer, self._asked = Answer(()), None
        self.query_one("#answer", Panel).to_top()
        self._arrange()

    def action_system(self) -> None:
        """Show mm in place of inch and back; no value changes."""
        self.system = "in" if self.system == "mm" else "mm"
        for values in self.typed:
            values.toggle_system()
        self._arrange()

    def refresh_all(self) -> None:
        """The fields were changed from outside the form."""
        self.draft.keep_texts(self._unsaved())
        self._arrange()

    def action_scroll_by(self, lines: int) -> None:
        """Scroll what is shown."""
        self.query_one("#answer", Panel).scroll_relative(y=lines, animate=False)

    def action_help(self) -> None:
        """What to measure on this page, and how."""
        from tui.screens.help import Help, machine_lines

        page = self.on_form
        self.app.push_screen(Help(lambda width: machine_lines(page.name, page.about, width)))

    def action_back(self) -> None:
        """Leave the screen."""
        if self._unsaved():
            self.notify("What you typed is not saved. It is back the next time.", timeout=6, markup=False)
        self.dismiss(MachineResult(self._goes_by(), self.changed))

    def _goes_by(self) -> str:
        """The machine that the job goes by on leaving: where it named none, the one that something was kept in."""
        if not self.named and self.changed and self.bench is not None and self.page != len(self.pages) - 1:
            return self.bench.machine.name
        return self.named
