"""The rig: what is known of this machine, what is worth measuring, how; a reading is typed and kept."""

import shlex
from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import wrapped
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel

KEYS = (
    ("Enter", "keep what is typed", "screen.keep"),
    ("F3", "tapes or what matters", "screen.other"),
    ("PgUp PgDn", "scroll", "screen.scroll_by(10)"),
    ("Esc", "back", "screen.back"),
)
HOW = (
    'Type a reading as its tape says, for example field axis=x drawn="140 mm" measured="139.6 mm"; '
    "changed lens when something was changed; strike 3 to take reading 3 out."
)


class Shown:
    """What there is to show, as lines: the machine, the tapes, what matters."""

    def __init__(self, known: Sequence[str], tapes: Sequence[str], matters: Sequence[str]) -> None:
        self.known, self.tapes, self.matters = known, tapes, matters


class RigScreen(Screen[None]):
    """What is known of this machine; readings are kept in its file."""

    AUTO_FOCUS = "#words"
    DEFAULT_CSS = """
    RigScreen { background: $background; }
    RigScreen #title, RigScreen #words { dock: top; }
    RigScreen #keys { dock: bottom; }
    RigScreen #words { height: 1; border: none; padding: 0 1; background: $surface; margin-top: 1; }
    RigScreen Horizontal { height: 1fr; margin-top: 1; }
    RigScreen #known { width: 1fr; height: 1fr; }
    RigScreen #other { width: 1fr; height: 1fr; border-left: vkey $panel; }
    .ascii RigScreen #other { border-left: ascii $panel; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("f3", "other", "Tapes or what matters", show=False, priority=True),
        Binding("pageup", "scroll_by(-10)", "Up", show=False, priority=True),
        Binding("pagedown", "scroll_by(10)", "Down", show=False, priority=True),
    ]

    def __init__(self, data: dict[str, Any], system: str) -> None:
        super().__init__()
        self.data, self.system = data, system
        self.shown = Shown((), (), ())
        self.matters = False
        self.said = "reading the rig"

    def compose(self) -> ComposeResult:
        """A line to type in over two halves: what is known, and how to know more."""
        yield Bar(self._title, id="title")
        yield Input(placeholder='field axis=x drawn="140 mm" measured="139.6 mm"', id="words", select_on_focus=False)
        with Horizontal():
            yield Panel(self._known, id="known").not_focusable()
            yield Panel(self._other, id="other").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The rig is read, and the plan made, apart from the screen."""
        self._apart(self._read)

    def _title(self, width: int) -> Line:
        return [Run(fitted(f" The rig: {self.said}", width), "strong")]

    def _keys(self, width: int) -> Line:
        return key_line(KEYS, width)

    def _known(self, width: int, _height: int) -> list[Line]:
        lines = wrapped(HOW, width - 2, "muted", " ")
        lines.append([])
        for text in self.shown.known:
            ink = "bad" if text.lstrip().startswith("!") else "plain"
            lines += wrapped(text, width - 2, ink, " ")
        return lines

    def _other(self, width: int, _height: int) -> list[Line]:
        lines: list[Line] = []
        for text in self.shown.matters if self.matters else self.shown.tapes:
            if self.matters:
                lines.append([Run(f" {text}"[:width])])
            else:
                lines += wrapped(text, width - 2, "strong" if not text.startswith(" ") else "plain", " ")
        return lines

    def _refresh(self) -> None:
        for name in ("known", "other"):
            self.query_one(f"#{name}", Panel).redraw()
        for bar in self.query(Bar):
            bar.refresh()

    # -- apart from the screen

    def _apart(self, work: Callable[[], tuple[Shown, str]]) -> None:
        """Do something slow in a thread; what it refuses becomes a notice."""

        def run() -> None:
            from rotary.errors import RotaryError

            try:
                shown, said = work()
            except RotaryError as trouble:
                self.app.call_from_thread(self._tell, str(trouble).splitlines()[0])
                return
            self.app.call_from_thread(self._take, shown, said)

        self.run_worker(run, thread=True, exclusive=True, group="rig")

    def _take(self, shown: Shown, said: str) -> None:
        if self.is_attached:
            self.shown, self.said = shown, said
            self.query_one("#words", Input).value = ""
            self._refresh()

    def _tell(self, trouble: str) -> None:
        if self.is_attached:
            self.said = "not done"
            self.notify(trouble, title="not done", severity="error", timeout=8, markup=False)
            self._refresh()

    def _read(self) -> tuple[Shown, str]:
        from rotary.rig.store import FIRST_RIG, load_rig, rig_folder

        rig = load_rig(FIRST_RIG, rig_folder())
        return self._all(rig), f"{len(rig.readings)} readings"

    def _all(self, rig: Any) -> Shown:
        """Everything about a rig; tapes and table for the job on the desk, where it can be planned."""
        from rotary.errors import Refused
        from rotary.job import job_from_data
        from rotary.plan import plan
        from rotary.rig.correct import corrected
        from rotary.rig.matters import matters, matters_lines
        from rotary.rig.tapes import tapes
        from rotary.rig.words import rig_lines
        from tui.verdict import DRAWS, readings

        try:
            job = job_from_data(self.data, units=self.system)
            # As the desk and the card plan it: another setting would have another focal plane.
            made = plan(corrected(job, rig), draws=DRAWS, readings=readings())
        except Refused:
            why = ["The job on the desk can't be planned yet: put it right there, then tapes can be drawn for it."]
            return Shown(rig_lines(rig, None), why, why)
        steps: list[str] = []
        for tape in tapes(made).values():
            steps += [tape.name, *(f"  {step}" for step in tape.instructions[-2:])]
            steps += [f"  type: {tape.reading}"] if tape.reading else []
        return Shown(rig_lines(rig, job.item.name), steps, matters_lines(matters(made)))

    def _kept(self, text: str) -> tuple[Shown, str]:
        """Keep a reading, a change, or strike one out; nothing is kept where anything is refused."""
        from datetime import datetime

        from rotary.errors import refuse
        from rotary.rig.record import with_change, with_reading, without_reading
        from rotary.rig.store import FIRST_RIG, load_rig, rig_folder, save_rig
        from rotary.rig.words import reading_from_words

        try:
            words = shlex.split(text.replace("″", '"'))
        except ValueError:
            raise refuse("reading", "has a quotation mark that is not closed: close it.") from None
        folder, now = rig_folder(), datetime.now().astimezone()
        rig = load_rig(FIRST_RIG, folder)
        if words and words[0] == "changed":
            after, said = with_change(rig, " ".join(words[1:]), now.replace(microsecond=0)), "change kept"
        elif words and words[0] == "strike":
            number = words[1] if len(words) == 2 and words[1].isascii() and words[1].isdigit() else ""
            after, said = without_reading(rig, int(number[:9] or 0)), "struck out"
        else:
            after, said = with_reading(rig, reading_from_words(words, now)), "reading kept"
        save_rig(after, folder)
        return self._all(after), f"{said}, {len(after.readings)} readings"

    # -- what a person can do

    def on_input_submitted(self, _: Input.Submitted) -> None:
        """Enter keeps what is typed."""
        self.action_keep()

    def action_keep(self) -> None:
        """Keep what is typed."""
        text = self.query_one("#words", Input).value
        if text.strip():
            self._apart(lambda: self._kept(text))

    def action_other(self) -> None:
        """Show the tapes, or what matters most."""
        self.matters = not self.matters
        self.query_one("#other", Panel).to_top()
        self._refresh()

    def action_scroll_by(self, lines: int) -> None:
        """Scroll both halves."""
        for name in ("known", "other"):
            self.query_one(f"#{name}", Panel).scroll_relative(y=lines, animate=False)

    def action_back(self) -> None:
        """Leave the screen."""
        self.dismiss(None)
