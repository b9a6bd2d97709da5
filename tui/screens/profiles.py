"""Kept profiles: what a person does with them, from opening one on the desk to bringing a colleague's in."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from rotary.errors import refuse
from rotary.files import is_file, named_path
from tui.disk.opened_job import Opened
from tui.drawings.words import count
from tui.screens.ask import Ask
from tui.screens.profile_list import ProfileList
from tui.screens.questions import A
from tui.screens.run_log import RunEnd, RunLog, RunOf

if TYPE_CHECKING:
    from rotary.store.profiles import Saved
    from rotary.store.transfer import Preview


class Profiles(ProfileList):
    """The profiles of one folder; gives back the job to open, or nothing."""

    KEYS = (
        ("Enter", "open", "screen.open"),
        ("PgUp PgDn", "version", "screen.version(1)"),
        ("Ctrl+N", "similar", "screen.nearest"),
        ("F8", "log run", "screen.ask_run"),
        ("Ctrl+L", "logbook", "screen.logbook"),
        ("Ctrl+Y", "mark proven", "screen.ask_proof"),
        ("F3", "compare", "screen.mark"),
        ("F4", "make newest", "screen.restore"),
        ("F6", "proven only", "screen.proven"),
        ("F7", "copy", "screen.ask_name('copy')"),
        ("Shift+F7", "rename", "screen.ask_name('rename')"),
        ("Ctrl+E", "export", "screen.ask_export"),
        ("Ctrl+B", "import", "screen.ask_import"),
        ("Ctrl+D", "to the bin", "screen.discard"),
        ("Esc", "back", "screen.back"),
    )
    BINDINGS: ClassVar = [
        Binding("f4", "restore", "Make this version the newest", show=False),
        Binding("f8", "ask_run", "Log a run", show=False),
        Binding("ctrl+x", "ask_run", "Log a run", show=False, priority=True),
        Binding("f7", "ask_name('copy')", "Copy", show=False),
        Binding("shift+f7", "ask_name('rename')", "Rename", show=False),
        Binding("ctrl+b", "ask_import", "Import jobs from a file", show=False, priority=True),
        Binding("ctrl+d", "discard", "Move to the bin", show=False, priority=True),
        Binding("ctrl+e", "ask_export", "Export the listed jobs", show=False, priority=True),
        Binding("ctrl+l", "logbook", "Logbook", show=False, priority=True),
        Binding("ctrl+y", "ask_proof", "Mark it proven", show=False, priority=True),
    ]

    then = ""
    """What goes on with the job that is opened."""

    @property
    def _ready(self) -> bool:
        """Whether there is a profile under the pointer, and no question stands open."""
        return bool(self.found) and self.answer is None

    def action_open(self) -> None:
        """Open this version on the desk."""
        if not self._ready:
            return
        entry, version, then = self._entry, self.version, self.then

        def read() -> Opened:
            from rotary.files import toml_tables
            from rotary.job import job_text
            from rotary.store.logbook import logbook
            from rotary.store.profiles import load_from

            found = load_from(self.folder / entry.home, version or None)
            tables, at = toml_tables(job_text(found.profile.job)), found.version
            kept = found.profile.saved
            has_past = kept.proof is not None or bool(logbook(self.folder, kept.id).runs)
            return Opened(tables, at.stamp, kept.name, str(at.path), then or ("app.repeat" if has_past else ""))

        self._in_thread(read, self._give, "act")

    def _give(self, opened: Opened) -> None:
        self.dismiss(opened)

    def action_restore(self) -> None:
        """Make this version the newest; it settles versions that stand side by side."""
        if not self._ready or not self.version:
            return
        entry, version = self._entry, self.version

        def act() -> "Saved":
            from rotary.store.history import restore

            return restore(self.folder / entry.home, version)

        self._in_thread(
            act,
            lambda saved: self._done(saved, f"version {version} is back: saved again as version {saved.label}"),
            "act",
        )

    def _done(self, saved: "Saved", says: str) -> None:
        self._say(says)
        self._reload(saved.id)

    def _say(self, says: str) -> None:
        self.notify(says, timeout=5, markup=False)

    def action_ask_name(self, what: str) -> None:
        """Ask for the name of a copy, or for another name."""
        if not self._ready:
            return
        entry, version = self._entry, self.version

        def act(name: str) -> "Saved":
            from rotary.store.profiles import copy, rename

            if what == "copy":
                return copy(entry.id, name, self.folder, version or None)
            return rename(entry.id, name, self.folder)

        names = {
            "copy": f"Name for the copy of {entry.name}? Enter copies",
            "rename": f"New name for {entry.name}? Enter renames",
        }
        self._ask_for(names[what], act, lambda saved: self._done(saved, f"saved as {saved.name}"), entry.name)

    def _ask_for(self, question: str, act: Callable[[str], A], then: Callable[[A], None], text: str = "") -> None:
        """Have the line ask, and do with the answer what takes longer."""
        self._ask(question, lambda answer: self._in_thread(lambda: act(answer), then, "act"), text)

    def action_discard(self) -> None:
        """Move this profile to the bin, after a question."""
        if not self._ready:
            return
        entry = self._entry

        def act() -> Path:
            from rotary.store.history import discard

            return discard(entry.id, self.folder)

        versions = count(entry.count, "version")
        question = f"Move {entry.name} and its {versions} to the bin?"
        self._sure(question, "move", lambda: self._in_thread(act, lambda _: self._reload(), "act"))

    def _sure(self, question: str, answer: str, then: Callable[[], None]) -> None:
        self.app.push_screen(Ask(question, ("back", answer)), lambda said: then() if said == answer else None)

    # -- what was found out at the machine

    def action_ask_run(self) -> None:
        """Write a run of this profile into the logbook."""
        if self._ready:
            run = RunOf(self.folder / self._entry.home, "", self._entry.name)
            self.app.push_screen(RunLog(run, self.system, self.beside), self._ran)

    def action_ask_proof(self) -> None:
        """Write down that this version was run as planned and came out as wanted."""
        if self._ready:
            run = RunOf(self.folder / self._entry.home, self.version, self._entry.name)
            self.app.push_screen(RunLog(run, self.system, self.beside, logs=False), self._ran)

    def _ran(self, end: RunEnd | None) -> None:
        if end is not None and end.action:
            self.then, self.version = end.action, ""
            self.action_open()
        else:
            self._reload(self._entry.id if self.found else "")

    def action_logbook(self) -> None:
        """The runs of this profile, and of all, with totals."""
        from tui.screens.logbook import LogbookScreen

        if self.answer is None and not self.waiting:
            entry = self._entry if self.found else None
            profile_id, name = (entry.id, entry.name) if entry else ("", "")
            self.app.push_screen(LogbookScreen(self.folder, profile_id, name, self.system))

    # -- to another machine and back

    def action_ask_export(self) -> None:
        """Write the profiles that are listed, with all versions and runs, to one file."""
        if not self._ready:
            return
        ids = [entry.id for entry in self.found]

        def take(text: str) -> None:
            def act() -> str:
                from rotary.store.transfer import export

                many = export(ids, self.folder, _file(text), over=True)
                return f"{text.strip()} now has {count(many, 'job')}."

            def write() -> None:
                self._in_thread(act, self._say, "act")

            if text.strip() and is_file(_file(text)):
                self._sure(f"There is already a file {text.strip()}.", "replace it", write)
            else:
                write()

        what = f"{self.found[0].name}" if len(ids) == 1 else f"the {len(ids)} listed jobs"
        self._ask(f"Name of the file for {what}? Enter exports", take, "profiles.zip")

    def action_ask_import(self) -> None:
        """Look at what a file from elsewhere holds, before any of it is taken."""
        if self.answer is not None:
            return

        def act(text: str) -> "Preview":
            from rotary.store.transfer import preview

            return preview(_file(text), self.folder)

        self._ask_for("Name of the file? Enter shows its jobs first", act, self._look_at)

    def _look_at(self, coming: "Preview") -> None:
        from tui.screens.incoming_file import IncomingFile

        def answered(wanted: bool | None) -> None:
            if not wanted:
                return

            def act() -> list[str]:
                from rotary.store.transfer import take

                return take(coming, self.folder)

            def done(lines: list[str]) -> None:
                self._say("; ".join(lines[:4]) if lines else "There was nothing to import in the file.")
                self._reload()

            self._in_thread(act, done, "act")

        self.app.push_screen(IncomingFile(coming), answered)


def _file(text: str) -> Path:
    if not text.strip():
        raise refuse("", "you named no file: type a name like jobs.zip")
    return named_path(text.strip())
