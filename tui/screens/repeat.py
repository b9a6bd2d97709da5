"""A saved job opened again: how it stands, three checks for today, its last runs, the numbers as run; then print."""

from typing import TYPE_CHECKING, ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input

from tui.drawings.actions import action_lines
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import sentence, wrapped
from tui.form.hints import place_of
from tui.planner.repeat import SavedFacts, facts_of
from tui.screens.questions import ReadFirstScreen
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from tui.screens.desk import Desk

WIDE: Final = 100
"""Columns from which checks and numbers stand side by side."""

BATCH: Final = "batch"

ELSEWHERE: Final = {
    "f5,ctrl+l": "screen.write_files", "f8": "app.how_it_went", "ctrl+t,ctrl+g": "app.patch",
    "ctrl+r,ctrl+x": "app.machine", "ctrl+b,f10": "app.inscription", "ctrl+o": "app.profiles",
}  # fmt: skip
"""Keys that the steps of a verdict name, and where each leads from here."""


class RepeatPage(ReadFirstScreen[str]):
    """Looks at the job on the desk as it was saved and run; gives back the action that goes on, "" for the desk."""

    AUTO_FOCUS = ""
    BINDINGS: ClassVar = [
        Binding("enter,ctrl+k", "print", "Print", show=False),
        *(Binding(key, f"go('{action}')", show=False, priority=True) for key, action in ELSEWHERE.items()),
        Binding("escape", "back", "To the screen", show=False, priority=True),
        Binding("f6", "anew", "Today's plan, or as run", show=False, priority=True),
        Binding("b", "batch", "Today's batch", show=False),
        *(Binding(f"{place}", f"tick({place})", "Checked", show=False) for place in (1, 2, 3)),
        *(Binding(key, f"scroll({by})", "Scroll", show=False)
          for key, by in (("up", -1), ("down", 1), ("pageup", -8), ("pagedown", 8))),
    ]  # fmt: skip
    DEFAULT_CSS = """
    RepeatPage { layout: vertical; background: $background; }
    RepeatPage #repeated { dock: none; }
    RepeatPage #verdict { height: 4; overflow: hidden hidden; background: $surface; }
    RepeatPage.low #verdict { height: 3; }
    RepeatPage #pages { height: 1fr; }
    RepeatPage #checks { width: 1fr; height: 1fr; }
    RepeatPage #as-run { width: 1fr; height: 1fr; border-left: vkey $panel; }
    RepeatPage.narrow #as-run { display: none; }
    RepeatPage #batch { padding: 0 1; background: $surface; display: none; }
    RepeatPage #keys { dock: none; }
    """

    def __init__(self, desk: "Desk") -> None:
        super().__init__()
        self.desk, self.session = desk, desk.session
        self.facts = SavedFacts()
        self.ticked: set[str] = set()

    # -- what is where

    def compose(self) -> ComposeResult:
        """How it stands above, checks with runs and numbers below, the keys."""
        yield Bar(self._title, id="repeated")
        yield Panel(self._standing, id="verdict").not_focusable()
        with Horizontal(id="pages"):
            yield Panel(self._checks, id="checks").not_focusable()
            yield Panel(self._as_run, id="as-run").not_focusable()
        yield Input(
            placeholder="type the batch that you mark today, then press Enter", id="batch", max_length=120, compact=True
        )
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """What is stored of its past is read apart from the screen."""
        super().on_mount()
        self.desk.work.answered = self._refresh
        self._read()

    def on_unmount(self) -> None:
        """Nobody is left to be told."""
        self.desk.work.answered = None

    def on_resize(self) -> None:
        """Side by side where there is room."""
        self.set_class(self.size.width < WIDE, "narrow")
        self.set_class(self.size.height < 24, "low")

    def _read(self) -> None:
        home, version, system = self.session.home, self.session.follows or "", self.session.system

        def take(facts: SavedFacts) -> None:
            self.facts = facts
            self._refresh()

        self._in_thread(lambda: facts_of(home, version, system), take, "facts")

    def _title(self, width: int) -> Line:
        name = self.session.kept_as[0] or self.session.text("item.name")
        return [Run(fitted(f" REPEAT   {name}", width).ljust(width), "strong")]

    def _standing(self, width: int, height: int) -> list[Line]:
        """The verdict as on the desk; what Enter does there is one key further from here."""
        lines = self.desk.standing(width, height)
        return [[run._replace(text=run.text.replace("[Enter]", "  [Esc]")) for run in line] for line in lines]

    def _checks(self, width: int, _height: int) -> list[Line]:
        lines: list[Line] = [[Run(" CHECK TODAY", "strong")]]
        for place, (name, text) in enumerate(self.facts.checks, 1):
            box = "[x]" if name in self.ticked else "[ ]"
            said = f"{text}. Today: {self.session.batch}" if name == BATCH and self.session.batch else text
            lines += wrapped(said, width - 1, "plain", f" {place} {box} ", "strong")
        lines.append([Run(" LAST RUNS", "strong")])
        for text in self.facts.runs or ("You logged no run yet. F8 logs a run.",):
            lines += wrapped(text, width - 1, "plain", "   ")
        lines += self._changed(width)
        if self.size.width < WIDE:
            lines += self._as_run(width, 0)
        return lines

    def _changed(self, width: int) -> list[Line]:
        """What differs from what was run; and that today's plan is another one."""
        repeat = self.session.repeat
        if repeat is None:
            return []
        lines: list[Line] = []
        if repeat.changed:
            lines.append([Run(" CHANGED SINCE IT WAS PROVEN", "strong")])
            for where, before, after in repeat.changed:
                said = f"{place_of(self.desk.session, where) or f'{where}: '}{before} → {after}"
                lines += wrapped(said, width - 1, "warn", "   ")
        for note in repeat.notes[: len(repeat.notes) - repeat.newer] if repeat.rows else ():
            lines += wrapped(sentence(note), width - 1, "warn", " ")
        if repeat.newer or self.session.anew:
            says = " The numbers that you ran:" if self.session.anew else " There is a newer plan, not tested yet:"
            lines.append([Run(f"{says} ", "warn"), Run("[F6]", "a")])
        return lines

    def _as_run(self, width: int, height: int) -> list[Line]:
        session, repeat = self.session, self.session.repeat
        if session.actions is None:
            return []
        ran = repeat is not None and bool(repeat.rows)
        title = " THE NUMBERS YOU RAN" if ran else " TODAY'S PLAN, not run yet"
        numbers = action_lines(session.actions, session.system, width, height, self.desk.ascii_only, session.stale)
        return [[Run(title, "strong")], *numbers]

    def _keys(self, width: int) -> Line:
        if not self._listens:
            return []
        other = "numbers you ran" if self.session.anew else "newer plan"
        keys = [
            ("Enter", "print", "screen.print"), ("Esc", "to the job", "screen.back"), ("1 2 3", "tick", ""),
            ("B", "batch", "screen.batch"), ("F6", other, "screen.anew"),
            ("F8", "log run", "screen.go('app.how_it_went')"),
            ("PgDn", "more", "screen.scroll(8)"),
        ]  # fmt: skip
        return key_line(keys, width)

    # -- what a person can do

    def action_print(self) -> None:
        """Go on to print; not before it was said how the job stands."""
        if self._listens and self.session.verdict is not None:
            self.dismiss("app.papers")

    def action_go(self, action: str) -> None:
        """Go on to what a step asks for."""
        if self._listens:
            self.dismiss(action)

    def action_back(self) -> None:
        """Leave the batch as it was, or go to the job."""
        box = self.query_one(Input)
        if box.has_focus:
            self._close_batch()
        else:
            self.dismiss("")

    def action_tick(self, place: int) -> None:
        """It was checked, or was not after all; the batch is typed."""
        if place > len(self.facts.checks):
            return
        name = self.facts.checks[place - 1][0]
        if name == BATCH and name not in self.ticked:
            self.action_batch()
        else:
            self.ticked ^= {name}
            self._refresh()

    def action_batch(self) -> None:
        """Type which batch is marked today."""
        box = self.query_one(Input)
        box.value = self.session.batch or self.facts.batch
        box.display = True
        box.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Another batch than the proven one wants a patch: the verdict says so at once."""
        event.stop()
        self._close_batch()
        self.ticked.add(BATCH)
        self.session.repeat_as(event.value.strip(), self.session.anew)
        self._asked_anew()

    def _close_batch(self) -> None:
        self.query_one(Input).display = False
        self.set_focus(None)
        self._refresh()

    def action_anew(self) -> None:
        """Today's plan, untested, in place of the numbers that were run; again for those."""
        repeat = self.session.repeat
        if repeat is None:
            return
        if not self.session.anew and not repeat.newer:
            self.notify("Today's plan has the same numbers that you ran.", timeout=4, markup=False)
            return
        self.session.repeat_as(self.session.batch, "" if self.session.anew else "anew")
        self._asked_anew()

    def _asked_anew(self) -> None:
        self.desk.refresh_all()
        self._refresh()

    def action_scroll(self, lines: int) -> None:
        """Scroll what is shown."""
        for name in ("checks", "as-run"):
            self.query_one(f"#{name}", Panel).scroll_relative(y=lines, animate=False)
