"""Saving the job on the screen as a profile, opening saved ones, beginning new ones on the same machine."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.errors import RotaryError
from rotary.services.jobs import tables_of_job
from rotary.shipped import profiles
from tui.disk.opened_job import Opened, first_example
from tui.form.fields import Tables
from tui.session_drafts import SessionDrafts

if TYPE_CHECKING:
    from tui.app import Rotary


def example() -> Tables:
    """The tables of the worked example that the first start opens; its drawing lies where it ships."""
    tables = tables_of_job(first_example())
    for piece in tables["artwork"]["pieces"]:
        piece["file"] = str(profiles() / piece["file"])
    return tables


def read_job(path: str | None) -> Tables | str:
    """The tables of a job file, or of the worked example; a sentence where they can't be had."""
    if path is None:
        return example()
    try:
        return tables_of_job(Path(path))
    except RotaryError as trouble:
        return str(trouble)


class JobFiles:
    """What happens to whole jobs; a person is asked before anything that is not saved goes."""

    def __init__(self, app: "Rotary", drafts: SessionDrafts) -> None:
        self.app, self.session, self.desk, self.drafts = app, app.session, app.desk, drafts

    def save(self, then_leave: bool = False) -> None:
        """Save the job as a profile under the item's name, as a new version of it."""
        from tui.disk.save import save

        trouble = save(self.session, self.app.folder, self.desk.work.beside.folder)
        if trouble is not None:
            from tui.form.hints import why_not

            self.app.notify(
                why_not(self.session, trouble), title="not saved", severity="error", timeout=8, markup=False
            )
            return
        self.desk.query_one("#title").refresh()
        self.desk.panel("standing").redraw()
        self._keep_machine()
        self.app.notify(self.session.saved_as, title="saved", timeout=4, markup=False)
        self.drafts.clear()
        if then_leave:
            self.leave()

    def _keep_machine(self) -> None:
        """The next new job begins on the machine of this one."""
        from tui.disk import last_machine as machine

        machine.keep(self.app.folder, self.session.text("item.name"), self.session.data())

    def find(self) -> None:
        """Look for a kept profile, and open it."""
        from tui.screens.profiles import Profiles

        def chosen(opened: Opened | None) -> None:
            if opened is not None:
                self.ask_unsaved("discard", lambda answer: self._open_again(opened, answer))

        if self.app.screen is self.desk:
            beside = self.desk.work.beside.folder
            self.app.push_screen(Profiles(self.app.folder, self.session.system, self.session.data(), beside), chosen)

    async def _go_on(self, action: str) -> None:
        if self.app.screen is self.desk:
            await self.desk.run_action(action)

    def _open_again(self, opened: Opened, answer: str) -> None:
        """Open a saved job, and go on with its past or what its last run asks for."""
        if self.open(opened, answer) and opened.then:
            self.app.call_after_refresh(self._go_on, opened.then)

    def look_back(self) -> None:
        """Look at the job's past: checks, last runs, the numbers as run; then print it or change it."""
        from tui.screens.repeat import RepeatPage

        def left(action: str | None) -> None:
            if action:
                self.app.call_after_refresh(self._go_on, action)

        if self.app.screen is not self.desk:
            return
        if self.session.follows:
            self.app.push_screen(RepeatPage(self.desk), left)
        else:
            self.app.notify("First press Ctrl+S to save the job.", timeout=6, markup=False)

    def log_run(self) -> None:
        """Log a run of the job that was opened or saved here; go on with what it asks for."""
        from tui.screens.run_log import RunEnd, RunLog, RunOf

        session = self.session
        if self.app.screen is not self.desk:
            return
        if not session.follows or not session.kept_file:
            self.app.notify(
                "First press Ctrl+S to save the job. Then press F8 to say how it went.", timeout=6, markup=False
            )
            return

        def left(end: RunEnd | None) -> None:
            if end is not None and end.saved is not None:
                session.follows, session.kept_file = end.saved.stamp, str(end.saved.path)
            # What was run is known now: the verdict follows.
            session.number += 1
            self.desk.refresh_all()
            if end is not None and end.action:
                self.app.call_after_refresh(self._go_on, end.action)

        old = "OLD NUMBERS on the screen: this run is logged with the numbers that you saved."
        warning = old if session.stale else ""
        if session.unsaved and not warning:
            warning = (
                "Your last changes are not saved: you log this run without them. To save them first, press Esc, then "
                "Ctrl+S."
            )
        run = RunOf(session.home, session.follows, session.kept_as[0], session.batch, warning)
        self.app.push_screen(RunLog(run, session.system, self.desk.work.beside.folder), left)

    def set_words(self) -> None:
        """Words on a small part: sized, read, gauged, written. They are the job's, and kept with it."""
        from tui.screens.inscription import InscriptionScreen

        if self.app.screen is not self.desk:
            return
        if not self.session.words:
            self.desk.begin_words()
            return
        if self.desk.asks_first():
            return
        session, folders = self.session, (self.desk.work.beside.folder, self.app.folder)

        session.settle()
        job = {name: table for name, table in session.data().items() if name != "inscription"}

        def left(visit: Tables | None) -> None:
            self.app.inscription = visit or {}
            session.settle()
            # A depth that was gauged there is in the plan from now on.
            self.desk.refresh_all()

        def take(words: Tables) -> None:
            session.take_words(words)
            self.drafts.keep()

        screen = InscriptionScreen(
            job, session.system, folders, self.desk.ascii_only, session.words, self.app.inscription, take
        )
        self.app.push_screen(screen, left)

    def ask_unsaved(self, lose: str, then: Callable[[str], None]) -> None:
        """Ask whether to save what is not; with nothing unsaved it goes on as if it had been given up."""
        from tui.screens.ask import Ask

        if not self.session.unsaved:
            then(lose)
            return
        question = f"{self.session.text('item.name') or 'this job'} has changes that are not saved."
        self.app.push_screen(Ask(question, ("save", lose, "back")), lambda answer: then(answer or "back"))

    def begin_new(self) -> None:
        """An empty job for another item, on the machine of this one or of the one saved last. Asks if unsaved."""
        if self.app.screen is self.desk:
            self.ask_unsaved("discard", self._new)

    def _new(self, answer: str) -> None:
        from tui.disk.last_machine import for_new_job

        tables, machine_of = for_new_job(self.session, self.app.folder)
        if self.open(Opened(tables), answer):
            self.desk.begin_new(machine_of)

    def open(self, opened: Opened, answer: str) -> bool:
        """Put a kept job on the desk, once what stood there is saved or given up; False where it stays."""
        if answer == "save":
            self.save()
        if answer != "discard" and (answer != "save" or self.session.unsaved):
            return False
        self.session.open(opened.data, opened.follows or None, opened.name, opened.file)
        self.desk.refresh_all()
        self.desk.form.go_to("item.name")
        return True

    def leave(self) -> None:
        """End the program; nothing of the session is wanted any more."""
        self.drafts.clear()
        self.app.exit(0)
