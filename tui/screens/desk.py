"""The desk: fields in the order of the flow, the numbers to key in, and one picture at a time."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message

from rotary.examples import BANNER
from rotary.shipped import profile_folder
from tui.background.tasks import Done, Share
from tui.drawings.canvas import Line, Run, fitted, greyed, padded
from tui.drawings.numbers import picture as numbers_picture
from tui.drawings.numbers import picture_as_run, rows_needed, waiting
from tui.drawings.pictures import BESIDE, PICTURES, key_of, picture, tabs
from tui.drawings.shown import NOTHING
from tui.form.hints import hint, place_of, proof_ended
from tui.form.job_form import Session
from tui.form.placing import put_piece, shown_name
from tui.form.status import is_invented
from tui.planner.client import Apart
from tui.planner.request import Judge, Verdict, judge
from tui.screens.form_screen import TwoPages
from tui.screens.working import Working
from tui.widgets.bar import Bar, key_line
from tui.widgets.form import JobForm
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from tui.screens.artwork import Chosen


class Desk(TwoPages[None], Working):
    """One job on one screen."""

    AUTO_FOCUS = "#form"
    ANSWER = "#picture"
    LOW = 14
    BINDINGS: ClassVar = [
        Binding("f3", "picture(-1)", "Picture before", show=False),
        Binding("f4", "picture(1)", "Next picture"),
        Binding("space,plus", "large", "The picture alone, or with the numbers", show=False),
        Binding("ctrl+d", "leave_out", "Take out what is unknown", show=False),
        Binding("ctrl+k", "app.papers", "Papers", priority=True),
        Binding("enter", "app.artwork", "A drawing for this piece", show=False),
        Binding("escape", "stop", "Stop what is being worked out", show=False),
        *(
            Binding("minus" if key_of(place) == "-" else key_of(place), f"show({place})", name, show=False)
            for place, name in enumerate(PICTURES)
        ),
    ]

    class Judged(Message):
        """The core has answered."""

        def __init__(self, verdict: Verdict) -> None:
            super().__init__()
            self.verdict = verdict

    def __init__(
        self, session: Session, ascii_only: bool = False, apart: Apart | None = None, folder: Path | None = None
    ) -> None:
        super().__init__()
        self.begin_work(folder or Path.cwd(), self._job_beside)
        self.session, self.ascii_only = session, ascii_only
        self.shown = 0
        self.large = False
        self.apart = apart
        self.on_change: Callable[[], None] | None = None
        self.preview: Callable[[Share | Done], None] | None = None
        self.papers: Callable[[Share | Done], None] | None = None
        self.judge = Judge(lambda verdict: self.post_message(self.Judged(verdict)), apart.ask if apart else judge)
        self._touched = False

    # -- what is where

    def compose(self) -> ComposeResult:
        """Two columns between a title and the keys."""
        yield Bar(self._title, id="title")
        with Vertical(id="left"):
            yield JobForm(self.session, id="form")
            yield Panel(self._hint, id="hint").not_focusable()
        with Vertical(id="right"):
            yield Panel(self._numbers, id="numbers").not_focusable()
            yield Bar(self._tabs, id="tabs")
            yield Panel(self._picture, id="picture")
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
        if self.apart is not None and self.apart.is_there:
            self._begin()
        else:
            self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self.judge.start()
        self.ask()

    def on_unmount(self) -> None:
        """Nobody is left to be told."""
        self.judge.stop()
        self.end_work()

    def _arrange(self) -> None:
        super()._arrange()
        wide, high = self.size.width, self.size.height
        wanted = max(
            high // 2 + 1,
            rows_needed(self.session.plan, wide if self.narrow else wide * 3 // 5, self.session.repeat) if wide else 0,
        )
        self.panel("numbers").styles.height = max(min(wanted, high - 6, 30), 3)
        self.set_class(self.large, "large")
        for bar in self.query(Bar):
            bar.refresh()

    # -- contents of the panels

    def _title(self, width: int) -> Line:
        name = self.session.text("item.name") or "an item without a name"
        mark = " *" if self.session.unsaved else ""
        right = f"{self.session.system}  {'two pages, F6 turns' if self.narrow else 'rotary'} "
        if width < len(right) + 16:
            right = f" {self.session.system} "
        plan = None if self.session.stale else self.session.plan
        first = is_invented(self.session) or (plan is not None and plan.safety.example)
        banner = fitted(f" {BANNER} ", width - len(right)) if first else ""
        room = max(width - len(right) - len(banner), 0)
        left = fitted(f" {name}{mark}{self._by_rig()}", room)
        return [Run(banner, "bad"), Run(padded(left, room), "strong"), Run(right, "muted")]

    def _by_rig(self) -> str:
        """Which machine as measured the numbers are for, and how many things there have lapsed or don't agree."""
        told = self.session.rig_told
        if not told:
            return ""
        doubts = f", {len(told) - 1} to read again" if len(told) > 1 else ""
        return f"  by rig {told[0]}{doubts}"

    def _tabs(self, width: int) -> Line:
        return tabs(self.shown, width)

    def _keys(self, width: int) -> Line:
        keys = [
            ("F1", "help", "app.help"), ("^N", "new", "app.new_job"), ("^E", "artwork", "app.artwork"),
            ("F6", "answers" if self.page == "fields" else "fields", "screen.page"),
            ("F4", "picture", "screen.picture(1)"), ("^K", "papers", "app.papers"), ("^S", "save", "app.save"),
            ("^P", "commands", "app.command_palette"), ("^Q", "leave", "app.quit"), ("^O", "profiles", "app.profiles"),
            ("F2", "mm/inch", "screen.system"), ("F7", "undo", "screen.undo"), ("F8", "redo", "screen.redo"),
            ("^T", "proof patch", "app.patch"), ("^R", "rig", "app.rig"), ("^B", "inscription", "app.inscription"),
        ]  # fmt: skip
        return key_line(keys, width)

    def _hint(self, width: int, height: int) -> list[Line]:
        return hint(self.session, self.form.cell, self._touched, self.narrow, width - 1)[:height]

    def place_of(self, key: str) -> str:
        """Group and label of a field, as a sentence about it begins."""
        return place_of(self.session, key)

    def _numbers(self, width: int, height: int) -> list[Line]:
        plan, repeat = self.session.plan, self.session.repeat
        if repeat is not None and repeat.rows:
            return picture_as_run(repeat, width, height, self.ascii_only)
        if plan is None:
            return waiting(bool(self.session.faults()), width)
        changed = proof_ended(self.session)
        return numbers_picture(plan, self.session.system, width, height, self.ascii_only, self.session.stale, changed)

    def _picture(self, width: int, height: int) -> list[Line]:
        plan = self.session.plan
        if plan is None:
            return []
        name = self.picture_name
        given = self.shown_beside(BESIDE[name]) if self._has_beside(name) else NOTHING
        lines = picture(name, plan, self.session.system, width, height, self.ascii_only, given)
        return greyed(lines) if self.session.stale else lines

    # -- the answer follows the typing

    def ask(self) -> None:
        """Have the core judge what stands now."""
        self.judge.submit(self.session.request())
        if self.on_change is not None:
            self.on_change()

    def on_form_changed(self) -> None:
        """A field was changed."""
        self._touched = True
        self.beside.changed(*BESIDE.values())
        self.ask()
        self._refresh_words()

    def on_desk_judged(self, message: Judged) -> None:
        """Take the answer over and paint it."""
        first, by = self.session.plan is None or self.session.repeat is None, self.session.rig_told
        self.session.accept(message.verdict)
        if self.session.rig_told != by:
            self.query_one("#title").refresh()
        if first:
            self._arrange()
        self._refresh_answers()
        self.work_later()

    # -- what takes longer than an answer

    def _job_beside(self) -> tuple[dict[str, Any], str, str]:
        return self.session.data(), self.session.system, str(profile_folder())

    def _has_beside(self, name: str) -> bool:
        """Whether a picture shows anything besides the plan in this job."""
        return name in BESIDE and (name != "unrolled" or self.session.rows(self.session.tables["artwork.pieces"]) > 0)

    def work_wanted(self) -> tuple[str, ...]:
        """The artwork wherever there is any, because its fields have to say what is wrong; others while in sight."""
        if self.session.verdict is None or self.session.verdict.plan is None:
            return ()
        names = [name for name in BESIDE if self._has_beside(name)]
        return tuple(BESIDE[name] for name in names if name == "unrolled" or name == self.picture_name)

    def work_told(self, what: str) -> None:
        """Paint what has come, and mark the fields that it complains of."""
        if what == "artwork":
            self.session.found_beside(self.beside.faults(what))
            self.form.refresh_states()
            self.panel("hint").redraw()
        if BESIDE.get(self.picture_name) == what:
            self.panel("picture").redraw()

    def work_said(self, said: Share | Done) -> None:
        """Previews and papers go to the screen that asked for them."""
        if said.what not in ("preview", "print"):
            super().work_said(said)
            return
        taker = self.preview if said.what == "preview" else self.papers
        if taker is not None:
            taker(said)

    def take_artwork(self, found: "Chosen", number: int | None) -> None:
        """Put chosen artwork into the job, and show where it lands."""
        name = found.name if found.kind == "text" else shown_name(Path(found.name), self.beside.folder)
        placed = bool(self.session.text("artwork.centre"))
        at = put_piece(self.session, found.kind, name, number, found.size_mm)
        self._touched = True
        self.refresh_all()
        # What was put in for want of anything else is what a person looks at next.
        self.form.reveal(f"artwork.pieces.{at}.width" if placed else "artwork.centre")
        self.action_show(list(PICTURES).index("unrolled"))

    def action_take_ink(self) -> None:
        """Have the plan reckon with the share of the frame that the artwork really inks."""
        found = self.shown_beside("artwork")
        if found.value is None or not found.fresh:
            self.notify("No artwork has been read yet: Ctrl+E looks for one.", timeout=4, markup=False)
            return
        self.session.edit_all({"artwork.ink": f"{100 * found.value.ink_share:.2g} %"})
        self.refresh_all()

    def on_app_focus(self) -> None:
        """The window is looked at again: a drawing may have been changed meanwhile."""
        self.work_later()

    def _refresh_words(self) -> None:
        self.panel("hint").redraw()
        self.query_one("#title").refresh()
        if self.session.faults():
            self._refresh_answers()

    def _refresh_answers(self) -> None:
        self.form.refresh_states()
        for name in ("numbers", "picture", "hint"):
            self.panel(name).redraw()

    def refresh_all(self) -> None:
        """The session was changed from outside the form."""
        self.beside.changed(*BESIDE.values())
        self.form.reload()
        self._refresh_answers()
        for bar in self.query(Bar):
            bar.refresh()
        self.ask()

    def begin_new(self, machine_of: str) -> None:
        """A new job has been begun on the machine of an item, or, where there is no such, on none."""
        self.session.machine_of = machine_of
        if not self.session.text("head.rated_power"):
            # Its figures are to be put in: Enter goes through what is open.
            self.form.folds.open.add("head")
        self.form.rebuild()
        self.form.go_to("item.name")
        self.page = "fields"
        self._arrange()
        self.form.focus()

    # -- what a person can do

    def action_page(self) -> None:
        """Turn between fields and answers."""
        self.large = False
        super().action_page()

    def action_picture(self, by: int) -> None:
        """Show the next picture, or the one before."""
        self.action_show((self.shown + by) % len(PICTURES))

    def action_show(self, place: int) -> None:
        """Show one picture."""
        self.shown = place
        self.panel("picture").to_top()
        self.panel("picture").redraw()
        self.beside.retry(BESIDE.get(list(PICTURES)[place], ""))
        self.work_now()
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
        self._travelled(self.session.leave_out_unknown(), "Nothing in this job is unknown.")
