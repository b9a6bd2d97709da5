"""The desk: how the job stands, its facts, what to type and do for it, and one picture at a time."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message

from rotary.examples import BANNER
from tui.drawings.canvas import Line, Run, greyed
from tui.drawings.panel_content import NOTHING
from tui.drawings.pictures import BESIDE, KEY_NAMES, PICTURES, key_of, picture, tabs
from tui.drawings.standing import FLOW, standing_lines
from tui.form.desk_lines import desk_keys, lines_needed, number_lines, standing_height, title_line
from tui.form.facts import FILE, missing
from tui.form.hints import hint, missing_text, notes_now, with_the_rest, wrong_now
from tui.form.job_form import Session
from tui.form.placement import put_piece, shown_name
from tui.form.progress import done_last
from tui.form.status import is_invented
from tui.planner.client import Planner, planner
from tui.planner.request import Verdict
from tui.screens.desk_work import DeskWork, ErrandNews
from tui.screens.form_screen import TwoPages
from tui.widgets.bar import Bar, key_line
from tui.widgets.facts_form import FactsForm
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from tui.planner.last import LastVerdict
    from tui.screens.artwork import ArtworkChoice

LEAST_PICTURE = 7
"""Lines that a picture needs; where the numbers leave fewer, it has a page of its own."""


class Desk(TwoPages[None]):
    """One job on one screen."""

    AUTO_FOCUS = "#form"
    ANSWER = "#picture"
    LOW = 20
    NARROW = 76
    BINDINGS: ClassVar = [
        Binding("f3", "letters", "To a group by its letter", show=False, priority=True),
        *(
            Binding(f"alt+{place}", action, f"To {name}", show=False, priority=True)
            for place, (name, action) in enumerate(FLOW.items(), 1)
        ),
        Binding("f4", "picture(1)", "Next picture"),
        Binding("shift+f4", "picture(-1)", "Picture before", show=False),
        Binding("f5,ctrl+l", "write_files", "Write the files to import", show=False),
        Binding("space,plus", "large", "The picture alone, or with the numbers", show=False),
        Binding("ctrl+d", "leave_out", "Remove what is unknown", show=False),
        Binding("ctrl+k", "app.papers", "Print", priority=True),
        Binding("f8", "app.how_it_went", "How did it go?", show=False, priority=True),
        Binding("enter", "next_missing", "What is missing", show=False),
        Binding("escape", "stop", "Stop what is being worked out", show=False),
        *(
            Binding(KEY_NAMES.get(key_of(place), key_of(place)), f"show({place})", name, show=False)
            for place, name in enumerate(PICTURES)
        ),
    ]

    class NewVerdict(Message):
        """The core has answered."""

        def __init__(self, verdict: Verdict) -> None:
            super().__init__()
            self.verdict = verdict

    def __init__(
        self, session: Session, ascii_only: bool = False, core: Planner | None = None, folder: Path | None = None
    ) -> None:
        super().__init__()
        self.session, self.ascii_only = session, ascii_only
        self.work = DeskWork(self, folder or Path.cwd())
        self.shown = 0
        self.large = False
        self.core = core
        self._last: LastVerdict | None = None
        self.on_change: Callable[[], None] | None = None
        self.planner = planner(lambda verdict: self.post_message(self.NewVerdict(verdict)), core)

    def show_last(self, last: "LastVerdict") -> None:
        """Show the last verdict on this job, where there is one; the first answer of the core is stored as the next."""
        self._last = last
        if last.verdict is not None:
            self.session.accept(last.verdict._replace(number=self.session.number))

    # -- what is where

    def compose(self) -> ComposeResult:
        """How it stands above, facts and numbers side by side, a hint and the keys below."""
        with Vertical(id="top"):
            yield Bar(self._title, id="title")
            yield Panel(self.standing, id="standing").not_focusable()
        with Vertical(id="left"):
            yield FactsForm(self.session, lambda: self.work.beside.folder, id="form")
        with Vertical(id="right"):
            yield Panel(self._numbers, id="numbers")
            yield Bar(self._tabs, id="tabs")
            yield self.work.picture_panel(self._picture)
        with Vertical(id="foot"):
            yield Panel(self._hint, id="hint").not_focusable()
            yield Bar(self._keys, id="keys")

    @property
    def values(self) -> Session:
        """What stands in the fields."""
        return self.session

    @property
    def picture_name(self) -> str:
        """Which picture is shown."""
        return list(PICTURES)[self.shown]

    def panel(self, name: str) -> Panel:
        """One of the panels."""
        return self.query_one(f"#{name}", Panel)

    def on_mount(self) -> None:
        """In this process the first frame is painted before the heavy core is loaded; another has no need to wait."""
        self._arrange()
        self.call_after_refresh(self._draw)
        if self.core is not None and self.core.process is not None:
            self._begin()
        else:
            self.call_after_refresh(self._begin)

    def _draw(self) -> None:
        """The picture comes after the first frame: the numbers wait for nothing."""
        self._draws = True
        self.panel("picture").redraw()

    def _begin(self) -> None:
        self._begun = True
        self.ask()

    def on_unmount(self) -> None:
        """Nobody is left to be told."""
        self.planner.end()
        self.work.errands.end()

    @property
    def _left_width(self) -> int:
        return min(max(self.size.width * 2 // 5, 33), 60)

    @property
    def _standing_lines(self) -> int:
        return standing_height(self.session, self.size.width, self.size.height)

    def _arrange(self) -> None:
        super()._arrange()
        wide, high = self.size.width, self.size.height
        standing, hints = self._standing_lines, (1 if high < 30 else 2)
        self.query_one("#top").styles.height = 1 + standing
        self.query_one("#foot").styles.height = 1 + hints
        room = max(high - standing - hints - 2, 1)
        whole = self.narrow or (self.page == "answers" and self.crowded)
        right = wide if whole or not wide else wide - self._left_width - 1
        wanted = lines_needed(self.session, right) if self.session.actions is not None and wide else room // 2
        self.crowded = room - wanted - 1 < LEAST_PICTURE
        has_picture = not self.crowded or self.large
        self.set_class(not has_picture, "no-picture")
        self.panel("numbers").styles.height = (
            min(max(wanted, room // 2), room - LEAST_PICTURE - 1) if has_picture else "1fr"
        )
        self.set_class(self.large, "large")
        self.query(Bar).refresh()
        if self.picture_name == "front":
            # Its dots are made for so many cells.
            self.work.later()

    _draws = _begun = False
    crowded = False
    """Whether the numbers leave no room for a picture."""

    # -- contents of the panels

    def _title(self, width: int) -> Line:
        return title_line(self.session, width)

    def standing(self, width: int, height: int) -> list[Line]:
        """How the job stands, and what to do next."""
        session = self.session
        if session.verdict is None and session.actions is None:
            banner = f" {BANNER}." if is_invented(session) else ""
            return [[Run(banner, "bad"), Run(" The numbers are being worked out.", "muted")]]
        lacks, wrong, after = missing_text(session), wrong_now(session), done_last(session)
        return standing_lines(session.actions, lacks, wrong, notes_now(session), session.stale, width, height, after)

    def say_next(self) -> None:
        """Something was done with these numbers: say what comes next."""
        self._arrange()
        self._refresh_words()

    def _tabs(self, width: int) -> Line:
        return tabs(self.shown, width)

    def _keys(self, width: int) -> Line:
        return key_line(desk_keys("numbers" if self.page == "fields" else "fields"), width)

    def _hint(self, width: int, height: int) -> list[Line]:
        choice = self.form.choice
        waits = choice is not None and choice.chosen is None
        return with_the_rest(hint(self.session, self.form.cell, width - 1, waits), width, height)

    def _numbers(self, width: int, height: int) -> list[Line]:
        has_page, is_laid_out = self.page == "fields", self.work.is_laid_out()
        return number_lines(self.session, width, height, self.ascii_only, has_page, is_laid_out)

    def _picture(self, width: int, height: int) -> list[Line]:
        plan = self.session.plan
        if plan is None or not self._draws:
            return []
        name = self.picture_name
        given = self.work.shown(BESIDE[name]) if self.work.has_beside(name) else NOTHING
        lines = picture(name, plan, self.session.system, width, height, self.ascii_only, given)
        return greyed(lines) if self.session.stale else self.work.noted(lines, width)

    # -- the answer follows the typing

    def ask(self) -> None:
        """Have the core judge what stands now."""
        if self._begun:
            self.planner.ask(self.session.request()._replace(beside=str(self.work.beside.folder)))
        if self.on_change is not None:
            self.on_change()

    def on_form_changed(self) -> None:
        """A field was changed."""
        self.work.changed()
        self.ask()
        self._refresh_words()

    def on_desk_new_verdict(self, message: NewVerdict) -> None:
        """Take the answer over and paint it."""
        first, before = self.session.actions is None, (self.session.machine_told, self._standing_lines)
        if not self.session.accept(message.verdict):
            return
        last, self._last = self._last, None
        if last is not None and message.verdict.number == self.session.first_number:
            last.store(message.verdict)
        self.query_one("#title", Bar).redraw()
        if first or (self.session.machine_told, self._standing_lines) != before:
            self._arrange()
        self._refresh_answers()
        self.work.later()
        self.work.tell_answered()

    @property
    def form(self) -> FactsForm:
        """The facts."""
        return self.query_one(FactsForm)

    def _to_form(self) -> FactsForm:
        """The facts, in sight and with the focus."""
        # Under a large picture a narrow window has no room for them.
        self.page, self.large = "fields", False
        self._arrange()
        self.form.focus()
        return self.form

    def take_artwork(self, found: "ArtworkChoice", number: int | None) -> None:
        """Put chosen artwork into the job, and show where it lands."""
        name = found.name if found.kind == "text" else shown_name(Path(found.name), self.work.beside.folder)
        placed = bool(self.session.text("artwork.centre"))
        at = put_piece(self.session, found.kind, name, number, found.size_mm)
        self.refresh_all()
        self.work.size_later()
        # What was put in for want of anything else is what a person looks at next.
        self.form.reveal(f"artwork.pieces.{at}.width" if placed and at else "artwork.centre")
        self.action_show(list(PICTURES).index("unrolled"))

    def _refresh_words(self) -> None:
        self.panel("hint").redraw()
        self.panel("standing").redraw()
        self.query_one("#title", Bar).redraw()
        if self.session.faults():
            self._refresh_answers()

    def _refresh_answers(self) -> None:
        self.form.refresh_states()
        for name in ("standing", "numbers", "picture", "hint"):
            self.panel(name).redraw()

    def refresh_all(self) -> None:
        """The session was changed from outside the form."""
        self.work.look_again()
        self.form.reload()
        self._refresh_answers()
        self.query(Bar).refresh()
        self.ask()

    def on_errand_news(self, message: ErrandNews) -> None:
        """Something has come of longer work."""
        self.work.take(message.said)

    def on_app_focus(self) -> None:
        """The window is looked at again: a drawing may have been changed meanwhile."""
        self.work.later()

    def begin_new(self, machine_of: str) -> None:
        """A new job has been begun on the machine of an item, or, where there is no such, on none."""
        self.session.begin_new(machine_of)
        self.session.actions = None
        self.form.rebuild()
        self.form.go_to("item.measurements.0.at")
        self.page = "fields"
        self._arrange()
        self._refresh_answers()
        self.form.focus()

    # -- what a person can do

    def action_stop(self) -> None:
        """Stop what is being worked out."""
        self.work.errands.stop()

    def action_write_files(self) -> None:
        """Write the files that the marking program imports."""
        self.work.write_files()

    def action_next_missing(self) -> None:
        """To the next thing that is missing, or to what the first step is about."""
        self._to_form().go_on()

    def action_check(self) -> None:
        """To the numbers: what the program must show, what is set by hand."""
        self.page, self.large = "answers", False
        self._arrange()
        self.panel("numbers").focus()

    def action_letters(self) -> None:
        """Show the letter of each group: the next key goes to one."""
        self.form.focus()
        # Letters typed before the key still belong to their field.
        self.form.call_later(self.form.show_letters)

    def action_page(self) -> None:
        """Turn between facts and answers."""
        self.large = False
        super().action_page()
        self._arrange()
        if self.page == "answers" and self.crowded:
            self.panel("numbers").focus()

    def action_picture(self, by: int) -> None:
        """Show the next picture, or the one before."""
        if self.crowded and not self.large:
            self.action_large()
            self.action_show(self.shown)
        else:
            self.action_show((self.shown + by) % len(PICTURES))

    def action_show(self, place: int) -> None:
        """Show one picture."""
        self.shown = place
        self.panel("picture").to_top()
        self.panel("picture").redraw()
        self.work.beside.retry(BESIDE.get(list(PICTURES)[place], ""))
        self.work.now()
        self.query_one("#tabs").refresh()

    def action_large(self) -> None:
        """Give the picture the room of the numbers, or give it back."""
        self.large = not self.large
        self.page = "answers" if self.large else self.page
        self._arrange()
        if self.large:
            self.panel("picture").focus()

    def action_leave_out(self) -> None:
        """Take out of the job what the core does not know."""
        self._travelled(
            self.session.leave_out_unknown(), "There is nothing to remove: rotary knows every entry of the job file."
        )

    def asks_first(self) -> bool:
        """Ask for the choices that nobody has made yet, where there are any: nothing is worked out without them."""
        unasked = self.session.unasked
        if unasked:
            self._to_form().ask(next((key for key in missing(self.session) if key in unasked), min(unasked)))
        return bool(unasked)

    def go_to_field(self, key: str) -> None:
        """To a field, however it is hidden."""
        self._to_form().reveal(key)

    def begin_words(self) -> None:
        """Words in place of a drawing, typed among the facts."""
        self._to_form().begin_words()

    def no_drawing(self) -> None:
        """There is nothing to write yet: ask for the drawing."""
        self.go_to_field(FILE)
