"""The screen program: themes, the desk, saving and leaving. The heavy core is not loaded here."""

import asyncio
import gc
import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any, ClassVar, Final

os.environ.setdefault("TEXTUAL_FPS", "120")

from textual import events
from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.screen import Screen

from rotary.scratch import sweep
from rotary.shipped import profile_folder
from tui.disk import settings
from tui.drawings.canvas import USUAL_ASPECT, Canvas, Line
from tui.drawings.standing import deed_of, short_standing
from tui.form.fields import Tables
from tui.form.job_form import Session
from tui.job_files import JobFiles, read_job
from tui.planner.client import Planner
from tui.screens.desk import Desk
from tui.screens.questions import Question
from tui.session_drafts import SessionDrafts
from tui.terminal.images import Images, can_draw, driver_class
from tui.themes import THEMES

if TYPE_CHECKING:
    from textual.driver import Driver

    from tui.planner.last import LastVerdict
    from tui.screens.machine import MachineResult
    from tui.terminal.answers import TerminalAnswer

MOST_WAIT_S: Final = 0.5
"""How long a save waits for letters at most: a field that is being taken away never answers [s]."""


class Rotary(App[int]):
    """The desk as a program."""

    TITLE = "rotary"
    CSS_PATH: ClassVar = ["styles/desk.tcss"]
    ENABLE_COMMAND_PALETTE = True
    # What is painted here is no text that Textual could select; a click while a screen changes made it fail.
    ALLOW_SELECT = False
    BINDINGS: ClassVar = [
        Binding("f1", "help", "Help"),
        Binding("ctrl+s", "save", "Save", priority=True),
        Binding("ctrl+q", "quit", "Leave", priority=True),
        Binding("f9", "theme", "Light or dark"),
        Binding("ctrl+o", "profiles", "Saved jobs"),
        Binding("ctrl+e", "artwork", "Artwork"),
        Binding("ctrl+n,ctrl+f", "new_job", "New job"),
        Binding("ctrl+t,ctrl+g", "patch", "Test patch"),
        Binding("ctrl+r,ctrl+x", "machine", "Machine"),
        Binding("ctrl+b,f10", "inscription", "Inscription"),
    ]

    def __init__(
        self,
        data: Tables,
        system: str = "mm",
        ascii_only: bool = False,
        core: Planner | None = None,
        beside: Path | None = None,
    ) -> None:
        super().__init__()
        self.session, self.folder = Session(data, system), profile_folder()
        self.settings = settings.Settings()
        self.told_aspect: float | None = None
        self.inscription: Tables = {}
        self.desk = Desk(self.session, ascii_only, core, beside)
        self.images = self.desk.work.images = Images(self._images_changed, self.set_timer)
        for theme in THEMES:
            self.register_theme(theme)

    def get_default_screen(self) -> Screen[Any]:
        """The desk itself: an empty screen below it would be built for nobody."""
        self._begin_settings()
        self.set_class(self.desk.ascii_only, "ascii")
        return self.desk

    def get_driver_class(self) -> "type[Driver]":
        """The usual one; in a terminal that may show images one that can ask it."""
        return driver_class(super().get_driver_class())

    def on_terminal_answer(self, message: "TerminalAnswer") -> None:
        """The terminal has said what it shows."""
        self.images.take(message)

    def _end_update(self) -> None:
        """Images go over the cells that an update has painted, within the same update."""
        self.images.follow(self.screen, self.images.panel)
        super()._end_update()

    def _images_changed(self) -> None:
        self.desk.panel("picture").redraw()
        self.desk.work.now()

    def action_images(self) -> None:
        """Show pictures in cells, or as images where the terminal shows any."""
        self.images.is_on = not self.images.is_on
        self.settings.cells_only = not self.images.is_on
        self._keep_settings()
        self._images_changed()

    @property
    def stands(self) -> Line:
        """How the job stands, for screens that cover it."""
        return short_standing(self.session.actions, self.session.stale)

    def on_mount(self) -> None:
        """Drafts are looked for, and what is loaded later is."""
        self.images.begin(self._driver, self.no_color)
        self.drafts = SessionDrafts(self)
        self.files = JobFiles(self, self.drafts)
        self.drafts.begin()
        self.set_timer(0.5, _collect_again)
        if self.desk.core is not None:
            self.set_timer(3.0, self._load_store)

    def on_unmount(self) -> None:
        """The program ends."""
        self.drafts.end()

    async def action_save(self) -> None:
        """Save the job as a profile, what was typed last included."""
        await self.typing_settled()
        if (save_own := getattr(self.screen, "save_own", None)) is not None:
            save_own()
            return
        if (hand_over := getattr(self.screen, "hand_over", None)) is not None:
            hand_over()
        self.files.save()

    async def typing_settled(self) -> None:
        """Wait for the letters typed before, which may still be on their way to their field."""
        field, settled = self.focused, asyncio.Event()
        if field is not None and field.task is not asyncio.current_task() and field.call_later(settled.set):
            with suppress(TimeoutError):
                await asyncio.wait_for(settled.wait(), MOST_WAIT_S)

    def action_profiles(self) -> None:
        """Look for a saved job, and open it."""
        self.files.find()

    def action_repeat(self) -> None:
        """Look at the job's past: checks, last runs, the numbers as run; then print it or change it."""
        self.files.look_back()

    def action_how_it_went(self) -> None:
        """Log a run of the job that was opened or saved here; go on with what it asks for."""
        self.files.log_run()

    def action_new_job(self) -> None:
        """An empty job for another item, on the machine of this one or of the one saved last. Asks if unsaved."""
        self.files.begin_new()

    def watch_app_focus(self, focus: bool) -> None:
        """A screen that came up while the terminal was not in front has its focus as soon as it is."""
        screen = self.screen
        if focus and screen.focused is None:
            wanted = self.AUTO_FOCUS if screen.AUTO_FOCUS is None else screen.AUTO_FOCUS
            found = screen.query(wanted) if wanted else ()
            screen.set_focus(next((widget for widget in found if widget.focusable), None))

    def action_command_palette(self) -> None:
        """Show the list of commands."""
        from tui.screens.commands import Commands

        if not isinstance(self.screen, Commands):
            self.push_screen(Commands(placeholder="What do you want to do?", id="--command-palette"))

    def _load_store(self) -> None:
        """Keeping a job and the list of profiles want the core here too: it is loaded while nobody types."""
        if self.desk.planner.rested_s() < 3.0:
            self.set_timer(1.0, self._load_store)
        else:
            Thread(target=_load_store, name="load", daemon=True).start()

    def _begin_settings(self) -> None:
        """What was set before: theme, characters, how high a cell is."""
        self.settings = settings.read(self.folder)
        names = [theme.name for theme in THEMES]
        # Set as if from the start: a change of theme would have all of it styled again.
        self.set_reactive(Rotary.theme, self.settings.theme if self.settings.theme in names else names[0])
        self.stylesheet.set_variables(self.get_css_variables())
        if self.settings.ascii_only is not None and "ROTARY_PICTURES" not in os.environ:
            self.desk.ascii_only = self.settings.ascii_only
        self.images.is_on = self.images.is_on and not self.desk.ascii_only and not self.settings.cells_only
        Canvas.aspect = self.settings.aspect or USUAL_ASPECT

    def on_resize(self, event: events.Resize) -> None:
        """A page that came back knows nothing: paint all anew. Some terminals say how large their cells are."""
        if self.is_web:
            self.screen.refresh()
        self.images.resized()
        if event.pixel_size is None or not (event.size.width and event.size.height and event.pixel_size.width):
            return
        aspect = event.pixel_size.height / event.size.height / (event.pixel_size.width / event.size.width)
        if settings.LEAST_ASPECT <= aspect <= settings.MOST_ASPECT:
            self.told_aspect = aspect
            Canvas.aspect = self.settings.aspect or aspect

    def action_round(self) -> None:
        """Set by eye how high the cells of this terminal are."""
        from tui.screens.round import Round

        def kept(found: settings.Settings | None) -> None:
            if found is not None:
                self.settings = found
                self._keep_settings()
                self.desk.ascii_only = self.desk.ascii_only if found.ascii_only is None else found.ascii_only
                self.set_class(self.desk.ascii_only, "ascii")
            self.desk.refresh_all()

        if self.screen is self.desk:
            self.push_screen(Round(replace(self.settings), self.desk.ascii_only, self.told_aspect), kept)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a question is open, nothing goes past it: no saving, no leaving, no palette."""
        asked = any(isinstance(screen, Question) for screen in self.screen_stack[-1:])
        return not asked and super().check_action(action, parameters)

    def action_theme(self) -> None:
        """Change between the dark and the light theme."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)] if self.theme in names else names[0]
        self.settings.theme = self.theme
        self._keep_settings()

    def _keep_settings(self) -> None:
        settings.keep(self.settings, self.folder)

    def action_help(self) -> None:
        """Explain this screen, and every field; of the field under the focus first."""
        from tui.catalogue.keys import SCREENS
        from tui.screens.help import Help, explained, help_lines

        name = type(self.screen).__name__
        if self.screen is not self.desk:
            if name in SCREENS:
                self.push_screen(Help(lambda width: help_lines(width, name)))
            return
        cell = self.desk.form.cell
        at = ("", "")
        if cell.field is not None:
            at = (cell.field.label, explained(cell.field, self.session.stands(cell.key)))
        self.push_screen(Help(lambda width: help_lines(width, "Desk", at)))

    def action_artwork(self) -> None:
        """Look for a drawing, or type a text, and lay it on the item."""
        from tui.form.placement import piece_at
        from tui.screens.artwork import ArtworkChoice, ArtworkScreen

        if self.screen is not self.desk:
            return
        number = piece_at(self.session, self.desk.form.cell.key)

        def chosen(found: ArtworkChoice | None) -> None:
            if found is not None:
                self.desk.take_artwork(found, number)

        self.push_screen(ArtworkScreen(self.desk, number), chosen)

    def action_machine(self) -> None:
        """What is known of this machine; keep what was read at it."""
        from tui.screens.machine import MachineScreen

        if self.screen is self.desk:
            deed = deed_of(self.session.actions, "app.machine")
            self.push_screen(MachineScreen(self.session.data(), self.session.system, deed), self._left_machine)

    def _left_machine(self, left: "MachineResult | None") -> None:
        """The job goes by the machine that was chosen, and is planned anew where anything was read there."""
        if left is None:
            return
        if left.name != self.session.text("machine"):
            self.session.settle()
            self.session.edit("machine", left.name)
            self.session.settle()
        if left.changed or left.name != (self.session.machine_told or ("",))[0]:
            self.session.number += 1
            self.desk.refresh_all()

    def action_inscription(self) -> None:
        """Words on a small part: sized, read, gauged, written. They are the job's, and kept with it."""
        self.files.set_words()

    def action_papers(self) -> None:
        """Write a paper or the sliced file."""
        from rotary.printer import usual_sheet
        from tui.screens.print_paper import PrintPaper

        if self.screen is self.desk:
            self.push_screen(PrintPaper(self.desk, self.folder, usual_sheet(self.session.system)))

    def action_patch(self) -> None:
        """Choose a proof patch for the coating on the desk, read it, see what it taught."""
        from tui.screens.patch import Patch

        if self.screen is self.desk and not self.desk.asks_first():
            session = self.session
            self.push_screen(
                Patch(session.data(), session.system, self.folder, self.desk.ascii_only),
                lambda _: self.desk.refresh_all(),
            )

    async def action_quit(self) -> None:
        """Leave; ask first if something is not saved."""
        await self.typing_settled()

        def answered(answer: str) -> None:
            if answer == "save":
                self.files.save(then_leave=True)
            elif answer == "leave":
                self.files.leave()

        self.files.ask_unsaved("leave", answered)

    def action_pictures(self) -> None:
        """Draw with plain characters, or with braille dots."""
        self.desk.ascii_only = self.settings.ascii_only = not self.desk.ascii_only
        self._keep_settings()
        self.set_class(self.desk.ascii_only, "ascii")
        self.desk.refresh_all()

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that a person can do, for the palette."""
        from tui.screens.commands import every_command

        return every_command(self, screen)


def _collect_again() -> None:
    gc.freeze()
    gc.enable()


def _load_store() -> None:
    import rotary.store.near_profiles
    import rotary.store.profiles  # noqa: F401


def run(job_path: str | None = None, core: Planner | None = None, last: "LastVerdict | None" = None) -> int:
    """Open the desk on a job file, or on the worked example, with the last verdict on it where there is one.

    The exit code is 0 unless the file can't be read.
    """
    sweep()
    data = read_job(job_path)
    if isinstance(data, str):
        print(data, file=sys.stderr)
        return 2
    # The echo of a key must not wait for a thread that computes: it gives way after half a millisecond.
    sys.setswitchinterval(0.0005)
    beside = None if job_path is None else Path(job_path).absolute().parent
    app = Rotary(data, ascii_only=not can_draw(), core=core, beside=beside)
    app.session.kept_file = job_path or ""
    if last is not None:
        app.desk.show_last(last)
    app.run()
    # Textual gives a code of its own where the screen ended by a fault.
    return app.return_value or app.return_code or 0
