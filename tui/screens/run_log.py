"""How did it go: one letter, a few fields, and the run stands in the logbook; then what is to be done next."""

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.message import Message

from rotary.errors import Refused
from rotary.files import named_path
from tui.disk.drafts import Drafts
from tui.drawings.canvas import Line, Run, cells, fitted
from tui.drawings.standing import INKS, KEYS
from tui.drawings.words import sentence, wrapped
from tui.form.choices import Option
from tui.form.rows import Cell
from tui.screens.form_screen import FormScreen
from tui.screens.machine_form import PageForm, PageValues
from tui.screens.questions import ReadFirstScreen
from tui.screens.run_fields import ITEMS, NUMBERS, OUTCOMES, PHOTO, PROVES, WHICH, pictures_in, run_rows
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from rotary.repeat.standing import Repeat
    from rotary.services.profiles import LoggedRun
    from rotary.store.profiles import Saved


class RunOf(NamedTuple):
    """Whose run it is: the profile's folder and version ("" for the newest), its name, the batch that is marked today,
    and what warns of the numbers on the desk."""

    home: Path
    version: str
    name: str
    batch: str = ""
    warning: str = ""


class RunEnd(NamedTuple):
    """With what the screen was left: the action that does the next step, "" for none; the version that was proven."""

    action: str = ""
    saved: "Saved | None" = None


class RunForm(PageForm):
    """The fields; Enter logs the run, Tab and arrows move."""

    class Entered(Message):
        """Enter was pressed."""

    folder = Path()

    def go_on(self) -> None:
        """Nothing is missing: Enter is for the run."""
        self.post_message(self.Entered())

    def options(self, cell: Cell) -> tuple[Option, ...]:
        """What can be chosen; of a photograph the pictures beside the job."""
        if cell.key == PHOTO:
            return tuple(Option(name, name) for name in pictures_in(self.folder))
        return super().options(cell)

    def _press_closed(self, event: events.Key) -> bool:
        # What stands there is answered already: Enter is for the run here too.
        if event.key == "enter":
            self.go_on()
            return True
        return super()._press_closed(event)

    def _press_choice(self, key: str, character: str | None) -> bool:
        # Enter takes what is chosen from the list, and logs nothing yet.
        return super()._press_choice("tab" if key == "enter" else key, character)


class RunLog(ReadFirstScreen[RunEnd], FormScreen[RunEnd]):
    """Logs one run, and says what is to be done next; with `logs` off it only marks the numbers as proven."""

    AUTO_FOCUS = ""
    BINDINGS: ClassVar = [Binding("escape", "back", "Back", show=False)]
    DEFAULT_CSS = """
    RunLog { layout: vertical; background: $background; }
    RunLog #whose { dock: none; }
    RunLog #verdict { height: 3; overflow: hidden hidden; background: $surface; }
    RunLog #outcomes { background: $background; margin: 0; }
    RunLog #run { height: 1fr; }
    RunLog #said { height: 2; overflow: hidden hidden; background: $panel; }
    RunLog #keys { dock: none; }
    """

    def __init__(self, run: RunOf, system: str, beside: Path, logs: bool = True) -> None:
        super().__init__()
        self.run_of, self.system, self.beside, self.logs = run, system, beside, logs
        self._typed = PageValues(system)
        self.repeat: Repeat | None = None
        self.state, self.verdict = "", "The numbers are being worked out."
        self.outcome = ""
        self.items = 1
        self.logged: LoggedRun | None = None
        self.is_busy = False
        self.trouble = self.notice = ""
        self._asks_numbers = False
        self.draft = Drafts(run.home.parent, f"{'run' if logs else 'proof'}-{run.home.name}")

    # -- what is where

    def compose(self) -> ComposeResult:
        """Whose run, how the job stands, how it came out, the fields, what they are for, the keys."""
        yield Bar(self._title, id="whose")
        yield Panel(self._verdict, id="verdict").not_focusable()
        yield Bar(self._outcomes, id="outcomes")
        yield RunForm(self.values, id="run")
        yield Panel(self._said, id="said").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The profile is read and planned apart from the screen, which takes the letter meanwhile."""
        super().on_mount()
        self.form.folder = self.beside
        if left := self.draft.texts():
            self.values.edit_all(left)
            self.notice = "You typed this last time, but did not log the run. F7 empties the fields."
        self._show_rows()
        home, version, system = self.run_of.home, self.run_of.version, self.system

        def read() -> "tuple[Repeat, str, str, int]":
            from rotary.store.logbook import logbook
            from tui.planner.repeat import repeat_of_profile, standing_of

            repeat = repeat_of_profile(home, version)
            last = logbook(home.parent, repeat.found.profile.saved.id).runs[:1]
            return repeat, *standing_of(repeat, system), last[0].items if last else 1

        self._in_thread(read, self._take, "repeat")

    def _take(self, found: "tuple[Repeat, str, str, int]") -> None:
        self.repeat, self.state, self.verdict, self.items = found
        self._show_rows()
        if self.is_busy:
            self._log()

    def _show_rows(self) -> None:
        can_prove = self.logs and self.outcome == "clear" and self.repeat is not None and self.repeat.run is None
        is_bare = self.repeat is not None and self.repeat.job.item.coating is None
        ran = self.repeat and (self.repeat.run or self.repeat.found.profile.saved.plan)
        power = f"{100 * ran.power_share:g}" if ran and ran.power_share else ""
        rows = run_rows(self.items, self.run_of.batch, self._asks_numbers, can_prove, self.logs, is_bare, power)
        self.values.take_rows(rows)
        self.form.show(self.values)
        self._refresh()

    def _listen(self) -> None:
        super()._listen()
        if not self.logs and not self.outcome:
            self.action_outcome("clear")

    def on_unmount(self) -> None:
        """What is typed and not logged stays for the next time."""
        self.draft.end()

    @property
    def form(self) -> RunForm:
        """The fields."""
        return self.query_one(RunForm)

    @property
    def values(self) -> PageValues:
        """What stands in them."""
        return self._typed

    def refresh_all(self) -> None:
        """The fields were changed from outside the form."""
        self.form.reload()
        self.on_form_changed()

    def _title(self, width: int) -> Line:
        asks = "HOW DID IT GO?" if self.logs else "MARK AS PROVEN"
        return [Run(fitted(f" {asks}   {self.run_of.name}", width).ljust(width), "strong")]

    def _verdict(self, width: int, height: int) -> list[Line]:
        warning = wrapped(self.run_of.warning, width - 1, "bad", " ") if self.run_of.warning else []
        return [*warning, *wrapped(self.verdict, width - 1, INKS.get(self.state, "muted"), " ")][:height]

    def _outcomes(self, width: int) -> Line:
        if self.outcome:
            named = next(text for word, text in OUTCOMES.values() if word == self.outcome)
            other = "   Esc: another answer" if self.logs else ""
            return [Run(f" Came out: {named}", "strong"), Run(other, "muted", "screen.back")]
        gap = "  " if sum(len(text) + 2 for _, text in OUTCOMES.values()) < width else " "
        texts = [Run(f"{gap if place else ' '}{text}", "strong", f"screen.outcome('{word}')")
                 for place, (word, text) in enumerate(OUTCOMES.values())]  # fmt: skip
        return texts if sum(cells(run.text) for run in texts) <= width else [Run(fitted(" G L E S X", width), "strong")]

    def _said(self, width: int, height: int) -> list[Line]:
        if self.logged is not None:
            step = self.logged.steps[0].text
            return wrapped(f"The run is in the logbook. Next: {step}", width - 1, "warn", " ")[:height]
        if self.is_busy:
            return [[Run(" The run is being logged.", "muted")]]
        if self.trouble:
            return wrapped(self.trouble, width - 1, "bad", " ! ")[:height]
        if self.notice:
            return wrapped(self.notice, width - 1, "warn", " ")[:height]
        field = self.form.cell.field if self.outcome else None
        says = field.help if field is not None else "Press the letter that fits. Nothing is saved yet."
        return wrapped(says, width - 1, "muted", " ")[:height]

    def _keys(self, width: int) -> Line:
        if not self._listens:
            return []
        does = "logs the run" if self.logs else "marks it proven"
        if self.logged is not None:
            keys = [("Enter", "do it now", "screen.next"), ("Esc", "later", "screen.back")]
        elif self.outcome:
            keys = [("Enter", does, "screen.log"), ("Tab", "next field", ""), ("F7", "undo", "screen.undo")]
            keys.append(("Esc", "back", "screen.back"))
        else:
            keys = [("G L E S X", "how it came out", ""), ("Esc", "back without logging", "screen.back")]
        return key_line(keys, width)

    # -- what a person can do

    def on_key(self, event: events.Key) -> None:
        """A letter says how it came out; Enter goes to the next step."""
        letter = (event.character or "").lower()
        if self.logged is not None:
            if event.key == "enter":
                event.stop()
                self.action_next()
        elif not self.outcome and letter in OUTCOMES:
            event.stop()
            self.action_outcome(OUTCOMES[letter][0])

    def action_outcome(self, outcome: str) -> None:
        """It came out so; the fields are next."""
        if self.logged is None and not self.is_busy:
            self.outcome = outcome
            self._show_rows()
            self.form.focus()
            self.form.go_to(ITEMS)

    def action_back(self) -> None:
        """Another answer; without one, leave and log nothing."""
        if self.outcome and self.logged is None and self.logs:
            if not self.is_busy:
                self.outcome, self.trouble = "", ""
                self.set_focus(None)
                self._refresh()
        else:
            if self.logged is None and any(entry.text for entry in self.values.entries.values()):
                self.notify("You logged nothing. Next time you find here what you typed.", timeout=6, markup=False)
            self.dismiss(RunEnd("", self.logged.saved if self.logged else None))

    def on_run_form_entered(self) -> None:
        """Enter in the fields."""
        self.action_log()

    def on_form_changed(self) -> None:
        """Something was typed."""
        self.trouble, self.notice, self.values.faults = "", "", {}
        self.draft.keep_texts(self.values.exact_texts())
        self._refresh()

    def on_form_moved(self) -> None:
        """Explain the field with the focus."""
        self._refresh()

    def action_log(self) -> None:
        """Write the run down, once."""
        if not self.outcome or self.is_busy or self.logged is not None:
            return
        self.is_busy, self.trouble = True, ""
        self._refresh()
        if self.repeat is not None:
            self._log()

    def _log(self) -> None:
        repeat, texts = self.repeat, {key: self.values.text(key) for key in self.values.fields}
        if repeat is None:
            return
        texts = {**texts, "outcome": self.outcome, "batch": texts.get("batch") or self.run_of.batch}
        which, photo = WHICH.get(texts.pop(NUMBERS, ""), ""), texts.pop(PHOTO, "").strip().strip("'\"")
        proves, logs = texts.pop(PROVES, "") == "yes", self.logs
        if logs:
            texts[ITEMS] = texts[ITEMS] or f"{self.items}"
        picture = (self.beside / named_path(photo)) if photo else None

        def act() -> "LoggedRun | Refused":
            from rotary.services.profiles import log_run, prove_texts

            try:
                came = log_run(repeat, texts, which, picture, proves) if logs else prove_texts(repeat, texts, which)
            except Refused as refused:
                return refused
            self.draft.clear()
            return came

        self._in_thread(act, self._done, "log")

    def _done(self, came: "LoggedRun | Refused") -> None:
        self.is_busy = False
        if isinstance(came, Refused):
            self._complain(came)
            return
        self.logged = came
        items = f"Run of {came.run.items} item{'s' * (came.run.items != 1)} saved in the logbook." if self.logs else ""
        proven = f" Saved as proven, version {came.saved.label}." if came.saved is not None else ""
        self.notify(f"{items}{proven}".strip(), title="Logged" if self.logs else "", timeout=5, markup=False)
        if not came.steps:
            self.dismiss(RunEnd("", came.saved))
            return
        self.set_focus(None)
        self.listen_anew()
        self._refresh()

    def _complain(self, refused: Refused) -> None:
        faults = {fault.where: sentence(fault.says) for fault in refused.faults}
        self.values.faults = faults
        self.trouble = next(iter(faults.values()))
        if NUMBERS in faults:
            self._asks_numbers = True
            self.trouble = "The plan has changed since you saved the job. Choose which numbers you ran."
            self._show_rows()
        self.form.go_to(next(iter(faults)))
        self.form.refresh()
        self._refresh()

    def _tell(self, trouble: str) -> None:
        self.is_busy, self.trouble = False, sentence(trouble)
        self._refresh()

    def action_next(self) -> None:
        """Go on to what the run asks for."""
        if self._listens and self.logged is not None and self.logged.steps:
            self.dismiss(RunEnd(KEYS[self.logged.steps[0].does][1], self.logged.saved))
