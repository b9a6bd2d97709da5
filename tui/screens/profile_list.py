"""The list of kept profiles: search, nearest to an item, look at versions, compare two; a line that asks."""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.widget import Widget
from textual.widgets import Input

from rotary.errors import RotaryError, refuse
from tui.disk.opened_job import Opened
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.saved_jobs import SavedJobView, list_lines, preview_lines
from tui.form.fields import JobTables
from tui.screens.halves import Halves
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from rotary.store.index import ProfileEntry

MOST_VERSIONS = 60
"""So many versions are shown; the command line lists all."""

MOST_NEAR = 20
"""So many of the nearest are listed."""

Asked = Callable[[str], None]


class ProfileList(Halves[Opened | None]):
    """The profiles of one folder, looked at; what a person does with them is for the screen built on it."""

    AUTO_FOCUS = "#words"
    BINDINGS: ClassVar = [
        Binding("pageup", "version(-1)", "Newer version", show=False, priority=True),
        Binding("pagedown", "version(1)", "Older version", show=False, priority=True),
        Binding("f2", "system", "mm or inch", show=False),
        Binding("f3", "mark", "Compare two", show=False),
        Binding("ctrl+n,ctrl+f", "nearest", "Most like the item on the screen", show=False, priority=True),
        Binding("f6", "proven", "Proven only", show=False),
    ]

    def __init__(self, folder: Path, system: str, data: JobTables | None = None, beside: Path = Path()) -> None:
        super().__init__()
        self.folder, self.system, self.data, self.beside = folder, system, data, beside
        self.everything: Sequence[ProfileEntry] = ()
        self.found: Sequence[ProfileEntry] = ()
        self.shown: SavedJobView | None = None
        self.version = ""
        self.marked = ""
        self.only_proven = False
        self.near: dict[str, Sequence[str]] = {}
        self.question = ""
        self.answer: Asked | None = None
        self.waiting = True
        self._opens = False
        self._words = ""

    # -- what is where

    def _line(self) -> Iterable[Widget]:
        yield Input(
            placeholder="type to search: name, note, coating, laser, turning",
            id="words",
            select_on_focus=False,
            compact=True,
        )

    def on_mount(self) -> None:
        """The list is read apart from the screen, which goes on answering."""
        self._reload()

    def _title(self, width: int) -> Line:
        if self.answer:
            return [Run(fitted(f" {self.question}, Esc cancels", width), "strong")]
        counted = f"{len(self.found)} of {len(self.everything)} saved jobs"
        counted = "reading the saved jobs" if self.waiting else counted
        counted += ", only proven jobs" if self.only_proven else ""
        counted += ", most like the item on the screen first" if self.near else ""
        return [Run(fitted(f" {counted}", width), "strong")]

    def _list(self, width: int, height: int) -> list[Line]:
        if self.waiting:
            return [[Run(" reading the saved jobs", "muted")]]
        return list_lines(self.found, self.chosen, self.marked, width, height, self._top(height - 1))

    def _one(self, width: int, _height: int) -> list[Line]:
        return preview_lines(self.shown, self.system, width) if self.shown and self.found else []

    # -- reading, apart from the screen

    @property
    def _entry(self) -> "ProfileEntry":
        return self.found[self.chosen]

    def _tell(self, trouble: str) -> None:
        self.waiting = False
        super()._tell(trouble)

    def _reload(self, keep: str = "") -> None:
        def read() -> "Sequence[ProfileEntry]":
            from rotary.store.index import entries

            return entries(self.folder)

        def take(everything: "Sequence[ProfileEntry]") -> None:
            self.waiting, self.everything = False, everything
            self._search(keep)
            if self._opens:
                self._opens = False
                self.action_open()

        self._in_thread(read, take, "list")

    def _search(self, keep: str = "") -> None:
        from rotary.store.index import search

        among = [entry for entry in self.everything if entry.id in self.near] if self.near else self.everything
        order = list(self.near)
        among = sorted(among, key=lambda entry: order.index(entry.id)) if self.near else among
        self.found = search(among, self._words, proven=self.only_proven)
        places = [place for place, entry in enumerate(self.found) if entry.id == keep]
        self.chosen = places[0] if places else 0
        self.version = ""
        self._look()

    def _look(self) -> None:
        """Show the profile under the pointer at once, and its versions when they have been read."""
        if not self.found:
            self.shown = None
            self._refresh()
            return
        entry, version, marked = self._entry, self.version, self.marked
        same = self.shown is not None and self.shown.entry is entry
        self.shown = self.shown._replace(chosen=version) if same and self.shown else SavedJobView(entry)
        self.shown = self.shown._replace(near=self.near.get(entry.id, ()))
        self._refresh()

        def read() -> SavedJobView:
            return _shown(self.folder, entry, version, marked, self.everything, self.system)

        def take(shown: SavedJobView) -> None:
            # What was asked for before the last key is no answer to it.
            if self.found and shown.entry is self._entry and self.version == version:
                self.shown, self.version = shown._replace(near=self.near.get(entry.id, ())), shown.chosen
                self.query_one("#one", Panel).redraw()

        self._in_thread(read, take, "one")

    # -- what a person can do

    def on_input_changed(self, event: Input.Changed) -> None:
        """Every key narrows the list."""
        if not self.answer and event.value != self._words:
            self._words = event.value
            self._search()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter opens, or takes what was asked for."""
        if self.answer is not None:
            take = self.answer
            self._stop_asking()
            take(event.value)
        elif self.waiting:
            # What was searched for is opened as soon as it can be.
            self._opens = True
        else:
            self.action_open()

    def action_open(self) -> None:
        """Open the version under the pointer."""

    def _ask(self, question: str, answer: Asked, text: str = "") -> None:
        """Have the line ask for something; what is typed goes to `answer`."""
        self.question, self.answer = question, answer
        words = self.query_one("#words", Input)
        words.value = text
        words.cursor_position = len(text)
        self._refresh()

    def _stop_asking(self) -> None:
        self.question, self.answer = "", None
        self.query_one("#words", Input).value = self._words
        self._refresh()

    def action_back(self) -> None:
        """Leave the question, or the screen."""
        if self.answer:
            self._stop_asking()
        else:
            self.dismiss(None)

    def action_nearest(self) -> None:
        """Put those first whose items are like the one on the desk, with what differs; again for all."""
        if self.answer:
            return
        if self.near:
            self.near = {}
            self._search(self._entry.id if self.found else "")
            return

        def read() -> dict[str, Sequence[str]]:
            from rotary.job import job_from_data
            from rotary.store.near_profiles import nearest

            job = job_from_data(self.data or {}, units=self.system)
            found = nearest(job.item, self.everything, MOST_NEAR, self.system)
            if not found:
                raise refuse("", "no saved job has an item like the item on the screen")
            return {one.entry.id: (one.summary(self.system), *one.differs) for one in found}

        def take(near: dict[str, Sequence[str]]) -> None:
            self.near = near
            self._search()

        self._in_thread(read, take, "near")

    @property
    def _many(self) -> int:
        return 0 if self.answer else len(self.found)

    def action_move(self, by: int) -> None:
        """Another profile."""
        if self._many:
            self.version = ""
        super().action_move(by)

    def action_version(self, by: int) -> None:
        """Another version of this profile."""
        if self.shown is None or not self.shown.past or self.answer:
            return
        labels = [past.label for past in self.shown.past]
        at = labels.index(self.version) if self.version in labels else 0
        self.version = labels[min(max(at + by, 0), len(labels) - 1)]
        self._look()

    def action_system(self) -> None:
        """Show mm or inch."""
        self.system = "in" if self.system == "mm" else "mm"
        self._look()

    def action_proven(self) -> None:
        """Show only those that are proven, or all."""
        self.only_proven = not self.only_proven
        self._search(self._entry.id if self.found else "")

    def action_mark(self) -> None:
        """Mark this profile; the next one looked at is compared with it."""
        if self.found:
            self.marked = "" if self.marked == self._entry.id else self._entry.id
            self._look()


def _shown(
    folder: Path, entry: "ProfileEntry", version: str, marked: str, everything: "Sequence[ProfileEntry]", system: str
) -> SavedJobView:
    """What there is to say of a profile: its versions, and what differs from another or from the newest."""
    from rotary.store.changes import change_lines, profile_changes
    from rotary.store.history import history_of
    from rotary.store.profiles import load_from

    home = folder / entry.home
    past = history_of(home, MOST_VERSIONS)
    chosen = version or (past[0].label if past else "")
    other = next((one for one in everything if one.id == marked and one.id != entry.id), None)
    try:
        if other is not None:
            before, after = load_from(folder / other.home), load_from(home, chosen)
            against = f"What differs from {other.name} to {entry.name}, version {after.label}"
        else:
            older = next((one.label for at, one in enumerate(past[1:], 1) if past[at - 1].label == chosen), "")
            if not older:
                return SavedJobView(entry, past, chosen)
            before, after = load_from(home, older), load_from(home, chosen)
            against = f"What version {chosen} changed"
        changes = change_lines(profile_changes(before.profile, after.profile, system))
    except RotaryError as trouble:
        return SavedJobView(entry, past, chosen, trouble=(str(trouble).splitlines()[0],) if not entry.trouble else ())
    return SavedJobView(entry, past, chosen, changes, against)
