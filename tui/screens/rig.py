"""The rig: what this machine really does. Readings and tapes, the joint strip, level, focus, pointer, an item taken
off, and which machine the job goes by; one page at a time."""

from collections.abc import Callable
from typing import Any, ClassVar, NamedTuple

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import wrapped
from tui.screens.form_screen import FormScreen, TwoPages
from tui.screens.rig_form import PageForm, PageValues
from tui.screens.rig_level import FocusPage, LevelPage, PointerPage
from tui.screens.rig_names import NamesPage
from tui.screens.rig_pages import Bench, Page, Reader, Told, told_or_said
from tui.screens.rig_program import ProgramPage
from tui.screens.rig_readings import ReadingsPage, Shown
from tui.screens.rig_resume import ResumePage
from tui.screens.rig_strip import StripPage
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel


class Left(NamedTuple):
    """With what the screen was left: the rig that the job is to go by, whether anything there has changed."""

    name: str
    changed: bool


class RigScreen(FormScreen[Left]):
    """Pages about one machine; what is kept goes into its file, and nothing else is stored."""

    AUTO_FOCUS = "#words"
    CSS_PATH: ClassVar = ["../styles/rig.tcss"]
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("f1", "help", "Help", show=False, priority=True),
        Binding("f3", "turn(-1)", "Page before", show=False, priority=True),
        Binding("f4", "turn(1)", "Next page", show=False, priority=True),
        Binding("f5,ctrl+x", "files", "Write the files", show=False, priority=True),
        Binding("f6", "keep", "Keep", show=False, priority=True),
        Binding("pageup", "scroll_by(-10)", "Up", show=False, priority=True),
        Binding("pagedown", "scroll_by(10)", "Down", show=False, priority=True),
    ]

    def __init__(self, data: dict[str, Any], system: str) -> None:
        super().__init__()
        self.data, self.system = data, system
        self.named = str(data.get("rig", ""))
        self.readings = ReadingsPage()
        on_item = (StripPage(), LevelPage(), FocusPage(), PointerPage(), ResumePage())
        self.pages: tuple[Page, ...] = (*on_item, ProgramPage(), NamesPage())
        self.typed = [PageValues(system) for _ in self.names]
        self.page = 0
        self.shown = Shown((), (), {})
        self.matters = self.changed = False
        self.bench: Bench | None = None
        self.answer = Told(())
        self.said, self.working = "", "reading the rig"
        self._asked: tuple[Any, ...] | None = None
        self._busy = False
        self._kept: dict[int, int] = {}

    # -- what is where

    def compose(self) -> ComposeResult:
        """The readings' line and halves, or a page's form and answer, between a title and the keys."""
        yield Bar(self._title, id="title")
        yield Bar(self._tabs, id="pages")
        yield Input(placeholder='field axis=x drawn="140 mm" measured="139.6 mm"', id="words", select_on_focus=False)
        with Horizontal(id="halves"):
            yield Panel(self._known, id="known").not_focusable()
            yield Panel(self._other, id="other").not_focusable()
        with Horizontal(id="form-and-answer"):
            yield PageForm(self.typed[0], id="sheet")
            yield Panel(self._answer, id="answer").not_focusable()
        yield Panel(self._hint, id="about").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The rig is read, and the plan made, apart from the screen."""
        self._arrange()
        self._work(lambda: self.readings.all(self.data, self.system, self.named), "reading the rig")

    def on_resize(self) -> None:
        """Side by side where there is room."""
        self.set_class(self.size.width < TwoPages.NARROW, "narrow")

    @property
    def names(self) -> list[str]:
        """The pages' names, in the order of the tabs."""
        return ["readings", *(page.name for page in self.pages)]

    @property
    def on_form(self) -> Page | None:
        """The page with a form that is shown; none on the readings."""
        return self.pages[self.page - 1] if self.page else None

    @property
    def form(self) -> PageForm:
        """The form of the page."""
        return self.query_one("#sheet", PageForm)

    @property
    def values(self) -> PageValues:
        """What was typed into the page that is shown."""
        return self.typed[self.page]

    def _reader(self) -> Reader:
        return Reader(self.values.exact_texts(), self.system)

    def _arrange(self) -> None:
        page = self.on_form
        self.set_class(page is not None, "form")
        if page is None:
            self.query_one("#words", Input).focus()
        else:
            self._show_form(page)
            self.form.focus()
            self._ask()
        self._refresh()

    def _show_form(self, page: Page) -> None:
        self.values.take_rows(page.rows(self.bench) if self.bench is not None else ())
        self.form.show(self.values)

    def _title(self, width: int) -> Line:
        bench = self.bench
        name = f"The rig: {bench.rig.name}" if bench is not None else "The rig"
        says = f"{self.working} …" if self.working else self.said
        if bench is not None and bench.named != bench.rig.name:
            says += "  (not the desk's rig yet: page rigs)"
        return [Run(fitted(f" {name}   {says}", max(width - 4, 0)).ljust(max(width - 4, 0)), "strong"),
                Run(f" {self.system} ", "muted")]  # fmt: skip

    def _tabs(self, width: int) -> Line:
        line: Line = []
        names = self.names
        bare = sum(len(name) + 3 for name in names) > width
        for place, name in enumerate(names):
            shown = name if not bare or place == self.page else name[: max(width // len(names) - 3, 3)].rstrip()
            here = place == self.page
            line.append(Run(f"[{shown}] " if here else f" {shown}  ", "strong" if here else "muted",
                            f"screen.show({place})"))  # fmt: skip
        return line

    def _keys(self, width: int) -> Line:
        page = self.on_form
        keys = [("F1", "help", "screen.help"), ("F3 F4", "pages", "screen.turn(1)")]
        if page is None:
            keys += [("Enter", "keep what is typed", "screen.keep"), ("F5", "tapes or what matters", "screen.files")]
        else:
            wide = width >= TwoPages.NARROW
            keys += [("F6", page.keeps if wide else "keep", "screen.keep")] if page.keeps else []
            keys += [("F5", page.writes if wide else "files", "screen.files")] if page.writes else []
            keys += [("F7", "undo", "screen.undo"), ("F2", "mm/inch", "screen.system")]
        return key_line([*keys, ("PgDn", "scroll", "screen.scroll_by(10)"), ("Esc", "back", "screen.back")], width)

    def _known(self, width: int, _height: int) -> list[Line]:
        return self.readings.known_lines(self.shown, width, self.system)

    def _other(self, width: int, _height: int) -> list[Line]:
        return self.readings.other_lines(self.shown, self.matters, width, self.system)

    def _answer(self, width: int, _height: int) -> list[Line]:
        if self.bench is None:
            return [[Run(f" {self.working} …", "muted")]]
        lines: list[Line] = []
        for ink, text in self.answer.lines:
            # Columns stay columns as long as there is room for them.
            fits = len(text) < width or "[ ]" in text
            lines += [[Run(fitted(f" {text}", width), ink)]] if fits else wrapped(text, width - 1, ink, " ")
        return lines

    def _hint(self, width: int, height: int) -> list[Line]:
        field, faults = self.form.cell.field, self.answer.faults
        if self.on_form is None or field is None:
            return []
        return (self._wrong(faults, width) or wrapped(field.help, width - 1, "muted", " "))[:height]

    # -- apart from the screen

    def _work(self, work: Callable[[], tuple[Bench, Shown, str]], says: str) -> None:
        self.working = says
        self._refresh()
        self._apart(work, self._take, only=False)

    def _take(self, found: tuple[Bench, Shown, str]) -> None:
        (self.bench, self.shown, self.said), self.working = found, ""
        self._asked = None
        if self.on_form is not None:
            self._show_form(self.on_form)
            self._ask()
        self._refresh()

    def _tell(self, trouble: str) -> None:
        self.said, self.working = "not done", ""
        super()._tell(trouble)

    def _ask(self) -> None:
        """Have the answer follow the typing: one question at a time, the newest next."""
        page, bench = self.on_form, self.bench
        if page is None or bench is None:
            return
        wanted = (self.page, self.values.number, self.system, bench)
        if self._busy or wanted == self._asked:
            return
        self._busy, self._asked = True, wanted
        reader = self._reader()
        self._apart(lambda: (wanted, told_or_said(page, bench, reader)), self._answered, "answer", only=False)

    def _answered(self, found: tuple[tuple[Any, ...], Told]) -> None:
        self._busy, (wanted, answer) = False, found
        if wanted[0] == self.page:
            self.answer = answer
            self.values.faults = answer.faults
            self.form.refresh()
            self._refresh()
        self._ask()

    # -- what a person can do

    def on_form_changed(self) -> None:
        """Something was typed."""
        self._ask()
        self.query_one("#about", Panel).redraw()

    def on_form_moved(self) -> None:
        """Explain the field with the focus."""
        self.query_one("#about", Panel).redraw()

    def on_input_submitted(self, _: Input.Submitted) -> None:
        """Enter keeps what is typed."""
        self.action_keep()

    def action_keep(self) -> None:
        """Keep what is typed; nothing is stored where anything is refused."""
        page = self.on_form
        if page is None:
            text = self.query_one("#words", Input).value
            if text.strip():
                self._work(lambda: self._kept_line(text), "keeping")
        elif page.keeps:
            self._do(page, page.keep)

    def _kept_line(self, text: str) -> tuple[Bench, Shown, str]:
        bench = self.bench
        name = bench.rig.name if bench is not None else self.named
        if bench is not None and text.split()[0] == "tape":
            said = self.readings.written(bench, text.split()[1:])
            self.app.call_from_thread(self._line_is_kept, self.changed)
            return bench, self.shown, said
        said = self.readings.kept(text, name)
        self.app.call_from_thread(self._line_is_kept)
        return self._anew(said, name)

    def _line_is_kept(self, changed: bool = True) -> None:
        self.changed = changed
        self.query_one("#words", Input).value = ""

    def _anew(self, said: str, name: str) -> tuple[Bench, Shown, str]:
        bench, shown, count = self.readings.all(self.data, self.system, name, self.named)
        return bench, shown, f"{said}, {count}" if count not in said else said

    def action_files(self) -> None:
        """Write the files of this page; on the readings the tapes and what matters take turns."""
        page = self.on_form
        if page is None:
            self.matters = not self.matters
            self.query_one("#other", Panel).to_top()
            self._refresh()
        elif page.writes:
            self._do(page, page.files, stores=False)

    def _do(self, page: Page, act: Callable[[Bench, Reader], str], stores: bool = True) -> None:
        bench = self.bench
        if bench is None or self.working:
            return
        typed = self.page
        if stores and self._kept.get(typed) == self.values.number:
            self.notify("This is kept already: type what you read anew to keep another reading.", timeout=6)
            return
        reader = self._reader()

        def work() -> tuple[Bench, Shown, str]:
            said = act(bench, reader)
            if not stores:
                return bench, self.shown, said
            self.changed, name = True, bench.rig.name
            if isinstance(page, NamesPage):
                self.named = page.name_after(bench, Reader(reader.texts, self.system))
                name = self.named
                self.app.call_from_thread(self._chosen)
            else:
                self.app.call_from_thread(self._done_with, typed, page.done_with(bench))
            return self._anew(said, name)

        self._work(work, "keeping" if stores else "writing")

    def _done_with(self, place: int, keys: tuple[str, ...]) -> None:
        """What was kept is not kept again."""
        self.typed[place].clear(keys)
        self._kept[place] = self.typed[place].number

    def _chosen(self) -> None:
        """What was asked of the names is done: their fields are empty again."""
        self.typed[-1].clear(("choose", "new", "rename"))

    def action_turn(self, by: int) -> None:
        """The next page, or the one before."""
        self.action_show((self.page + by) % len(self.names))

    def action_show(self, place: int) -> None:
        """One page."""
        self.page = place
        self.answer, self._asked = Told(()), None
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
        self._arrange()

    def action_scroll_by(self, lines: int) -> None:
        """Scroll what is shown."""
        for name in ("known", "other", "answer"):
            self.query_one(f"#{name}", Panel).scroll_relative(y=lines, animate=False)

    def action_help(self) -> None:
        """What to measure on this page, and how."""
        from tui.screens.help import Help, rig_lines

        page = self.on_form or self.readings
        self.app.push_screen(Help(lambda width: rig_lines(page.name, page.about, width)))

    def action_back(self) -> None:
        """Leave the screen; a job that goes by no rig takes the one that something was kept in."""
        named = self.named
        if not named and self.changed and self.bench is not None and self.page != len(self.pages):
            named = self.bench.rig.name
        self.dismiss(Left(named, self.changed))
