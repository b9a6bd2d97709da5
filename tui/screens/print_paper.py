"""Papers of the job on the desk: which, as what, on which sheet, into which file. Written beside the screen."""

from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from rotary.files import is_there
from rotary.services.papers import TITLES
from tui.background.tasks import Done, Errand, Share
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import wrapped
from tui.form.hints import fault_text
from tui.form.print_choice import ABOUT, KINDS, ROWS, PrintChoice, outcome_text
from tui.form.progress import did
from tui.screens.desk import Desk
from tui.screens.questions import BaseScreen
from tui.widgets.panel import Panel

LABEL = 8
WRITE, CLOSE = "[ Enter writes it ]", "[ Esc closes ]"


class PrintPaper(BaseScreen[None], ModalScreen[None]):
    """Chooses a paper and has it written; says where it is."""

    BINDINGS: ClassVar = [
        # Before the panel takes one for scrolling, which it would while it is not yet as high as its lines.
        Binding("up,shift+tab", "move(-1)", show=False, priority=True),
        Binding("down,tab", "move(1)", show=False, priority=True),
        Binding("enter", "write", show=False),
        Binding("escape", "close", show=False),
    ]
    DEFAULT_CSS = """
    PrintPaper { align: center bottom; background: $background 60%; }
    PrintPaper #paper { width: 76; max-width: 96%; height: auto; min-height: 14; max-height: 92%;
        border: round $primary; background: $surface; }
    """

    def __init__(self, desk: Desk, profiles: Path, size: str) -> None:
        super().__init__()
        self.desk, self.profiles = desk, profiles
        self.wanted = PrintChoice(desk.session.text("item.name"), size, desk.work.beside.folder)
        self.said: tuple[tuple[str, str], ...] = ()
        self.share: float | None = None
        self._sure = self._asked = ""
        self._number = 0

    def compose(self) -> ComposeResult:
        """One panel over the desk."""
        yield Panel(self._lines, id="paper")

    def on_mount(self) -> None:
        """From now on the desk hands over what is said of papers."""
        self.desk.work.papers = self.take

    def on_unmount(self) -> None:
        """Nobody is left to be told."""
        self.desk.work.papers = None

    # -- what is shown

    def _lines(self, width: int, _height: int) -> list[Line]:
        wanted = self.wanted
        lines: list[Line] = [
            [
                Run(" Papers of this job", "strong"),
                Run(fitted("   Up and Down: go to a row. Left and Right: change it", width - 20), "muted"),
            ],
            [],
        ]
        values = (TITLES[wanted.paper], KINDS[wanted.kind], wanted.size, wanted.file.text)
        for place, (name, value) in enumerate(zip(ROWS, values, strict=True)):
            lines.append(self._row(place, name, value, width))
        lines += [[], *wrapped(ABOUT[wanted.paper], width - 1, "muted", " ")]
        lines += (
            wrapped(f"Press Enter to write the paper to the file {wanted.path}", width - 1, "muted", " ")
            if wanted.file.text.strip()
            else [[]]
        )
        lines.append([])
        trouble = self._trouble()
        if self.share is not None:
            done = max(round(self.share * 20), 1)
            lines.append([Run(f" working {'━' * done}{'─' * (20 - done)} Esc stops it", "a")])
        elif self.said:
            for ink, text in self.said:
                lines += wrapped(text, width - 1, ink, " ")
        elif trouble:
            lines += wrapped(trouble, width - 1, "bad", " ! ")
        lines += [[], [Run(" "), Run(WRITE, "strong"), Run("  "), Run(CLOSE, "muted")]]
        return lines

    def _row(self, place: int, name: str, value: str, width: int) -> Line:
        here = place == self.wanted.row
        label = Run(f"{'>' if here else ' '} {name:<{LABEL}}", "strong" if here else "muted")
        if name != "file":
            return [label, Run(f"‹ {value} ›" if here else f"  {value}", "strong" if here else "plain")]
        room = max(width - LABEL - 4, 4)
        if not here:
            return [label, Run(f"  {fitted(value, room)}", "plain")]
        shown, at = self.wanted.file.window(room)
        ink = "a" if self.wanted.file.whole else "strong"
        return [label, Run("  "), Run(shown[:at], ink), Run("▏", "a"), Run(shown[at:], ink)]

    def _trouble(self) -> str:
        """Why nothing is printed now: what is wrong with the fields, or with the name."""
        session = self.desk.session
        if session.plan is None and not session.faults():
            return "The numbers are still being worked out."
        if faults := session.faults():
            where, says = next(iter(faults.items()))
            return (
                "These numbers are old, so no paper is written. Correct first: "
                f"{fault_text(self.desk.session, where, says)}"
            )
        return self.wanted.trouble()

    # -- what a person does

    def on_key(self, event: events.Key) -> None:
        """Choose, or type the name."""
        if event.key in ("up", "down", "tab", "shift+tab", "enter", "escape"):
            return
        if ROWS[self.wanted.row] != "file":
            if event.key in ("left", "right", "space"):
                self.wanted.choose(-1 if event.key == "left" else 1)
                self._changed()
                event.stop()
            return
        if self.wanted.file.take(event):
            self._typed(event)

    def on_paste(self, event: events.Paste) -> None:
        """A pasted name."""
        if ROWS[self.wanted.row] == "file":
            self.wanted.file.write(event.text)
            self._typed(event)

    def _typed(self, event: events.Event) -> None:
        self.wanted.typed()
        self._changed()
        event.stop()

    def _repaint(self) -> None:
        """Paint what changed; a key may come before there is anything to paint on."""
        for panel in self.query(Panel):
            panel.redraw()

    def _changed(self) -> None:
        self.said, self._sure = (), ""
        self._repaint()

    def action_move(self, by: int) -> None:
        """To another row."""
        self.wanted.move(by)
        self._repaint()

    def action_write(self) -> None:
        """Have the paper written; a file that is there already is written over only when asked twice."""
        if self.share is not None:
            return
        if trouble := self._trouble():
            self.said = (("bad", f"! {trouble}"),)
        elif is_there(self.wanted.path) and self._sure != str(self.wanted.path):
            self.call_after_refresh(self.rest, partial(self._read, str(self.wanted.path)))
            self.said = (
                ("warn", f"There is already a file {self.wanted.path.name}. Press Enter again to replace this file."),
            )
        else:
            self._ask()
        self._repaint()

    def _read(self, path: str) -> None:
        """From now on Enter is an answer to what was said of this file; the rest of a burst was none."""
        self._sure = path

    def _ask(self) -> None:
        session, wanted = self.desk.session, self.wanted
        sure = ("sure",) if self._sure == str(wanted.path) else ()
        self.said, self._sure, self.share, self._asked = (), "", 0.0, wanted.paper
        self._number += 1
        more = (wanted.paper, str(wanted.path), wanted.size, str(self.profiles), *session.today, *sure)
        beside = str(self.desk.work.beside.folder)
        self.desk.work.errands.ask(Errand("print", f"{self._number}", session.data(), session.system, beside, more))

    def take(self, said: Share | Done) -> None:
        """How far the paper is, or what came of it."""
        if said.key != f"{self._number}":
            return
        if isinstance(said, Share):
            self.share = said.share
        else:
            self.share = None
            if said.stopped:
                self.said = (("warn", "Stopped: nothing was written."),)
            elif said.faults:
                self.said = tuple(
                    ("bad", f"! Not written. {fault_text(self.desk.session, where, says)}")
                    for where, says in said.faults
                )
            else:
                if self._asked == "setup":
                    did(self.desk.session, "sheet")
                    self.desk.say_next()
                first, *rest = outcome_text(said.answer)
                self.said = (("good", first), *(("plain", text) for text in rest[:8]))
        self._repaint()

    def action_close(self) -> None:
        """Stop what is being written, else close."""
        if self.share is not None:
            self.desk.work.errands.stop("print")
        else:
            self.dismiss(None)

    def on_click(self, event: events.Click) -> None:
        """A row by mouse; its left and right half choose; the words below write and close."""
        panel = self.query_one("#paper", Panel)
        at = event.screen_offset - panel.content_region.offset
        line = at.y + int(panel.scroll_offset.y)
        rows = len(panel.content_lines())
        if 2 <= line < 2 + len(ROWS):
            self.wanted.row = line - 2
            if ROWS[self.wanted.row] != "file":
                self.wanted.choose(-1 if at.x < LABEL + 4 else 1)
                self._changed()
            else:
                panel.redraw()
        elif line == rows - 1:
            if at.x <= len(WRITE):
                self.action_write()
            elif at.x <= len(WRITE) + len(CLOSE) + 3:
                self.action_close()
