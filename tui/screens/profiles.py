"""Kept profiles: search, look at versions, compare two, open, copy, rename, go back, discard."""

import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Input

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.kept import Shown, list_lines, preview_lines
from tui.widgets.bar import Bar
from tui.widgets.panel import Panel

MOST_VERSIONS = 60
"""So many versions are shown; the command line lists all."""

KEYS = (
    ("Enter", "open", "screen.open"),
    ("PgUp PgDn", "version", "screen.version(1)"),
    ("F3", "compare", "screen.mark"),
    ("F4", "make newest", "screen.restore"),
    ("F6", "proven only", "screen.proven"),
    ("F7", "copy", "screen.ask_name('copy')"),
    ("F8", "rename", "screen.ask_name('rename')"),
    ("^D", "discard", "screen.discard"),
    ("Esc", "back", "screen.back"),
)

Opened = tuple[dict[str, Any], str, str]
"""A job as tables of texts, the stamp of the version that it comes from, and the profile's name."""


class Profiles(Screen[Opened | None]):
    """The profiles of one folder; gives back the job to open, or nothing."""

    AUTO_FOCUS = "#words"
    DEFAULT_CSS = """
    Profiles { background: $background; }
    Profiles #title, Profiles #words { dock: top; }
    Profiles #keys { dock: bottom; }
    Profiles #words { height: 1; border: none; padding: 0 1; background: $surface; margin-top: 1; }
    Profiles Horizontal { height: 1fr; margin-top: 1; }
    Profiles #list { width: 45%; max-width: 64; height: 1fr; }
    Profiles #one { width: 1fr; height: 1fr; border-left: vkey $panel; }
    .ascii Profiles #one { border-left: ascii $panel; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("up", "move(-1)", "Up", show=False, priority=True),
        Binding("down", "move(1)", "Down", show=False, priority=True),
        Binding("pageup", "version(-1)", "Newer version", show=False, priority=True),
        Binding("pagedown", "version(1)", "Older version", show=False, priority=True),
        Binding("f2", "system", "mm or inch", show=False),
        Binding("f3", "mark", "Compare two", show=False),
        Binding("f4", "restore", "Make this version the newest", show=False),
        Binding("f6", "proven", "Proven only", show=False),
        Binding("f7", "ask_name('copy')", "Copy", show=False),
        Binding("f8", "ask_name('rename')", "Rename", show=False),
        Binding("ctrl+d", "discard", "Discard", show=False, priority=True),
    ]

    def __init__(self, folder: Path | None, system: str) -> None:
        super().__init__()
        self.folder, self.system = folder, system
        self.everything: Sequence[Any] = ()
        self.found: Sequence[Any] = ()
        self.chosen = self.top = 0
        self.shown: Shown | None = None
        self.version = ""
        self.marked = ""
        self.only_proven = False
        self.naming = ""
        self.waiting = True
        self._words = ""

    # -- what is where

    def compose(self) -> ComposeResult:
        """The search over two halves: the list, and the profile under the pointer."""
        yield Bar(self._title, id="title")
        yield Input(placeholder="search: name, note, coating, head, drive", id="words", select_on_focus=False)
        with Horizontal():
            yield Panel(self._list, id="list").not_focusable()
            yield Panel(self._one, id="one").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The list is read apart from the screen, which goes on answering."""
        self._reload()

    def _title(self, width: int) -> Line:
        if self.naming:
            verb = "copy" if self.naming == "copy" else "rename"
            return [
                Run(
                    fitted(f" {verb} {self._entry.name}: type the new name, Enter does it, Esc does not", width),
                    "strong",
                )
            ]
        counted = f"{len(self.found)} of {len(self.everything)} kept profiles"
        counted = "reading the profiles" if self.waiting else counted
        return [Run(fitted(f" {counted}{', proven only' if self.only_proven else ''}", width), "strong")]

    def _keys(self, width: int) -> Line:
        line: Line = []
        for key, name, action in KEYS:
            if sum(len(run.text) for run in line) + len(key) + len(name) + 3 > width:
                break
            line += [Run(f" {key}", "strong", action), Run(f" {name} ", "muted", action)]
        return line

    def _list(self, width: int, height: int) -> list[Line]:
        if self.chosen < self.top:
            self.top = self.chosen
        elif self.chosen >= self.top + height:
            self.top = self.chosen - height + 1
        if self.waiting:
            return [[Run(" reading", "muted")]]
        return list_lines(self.found, self.chosen, self.marked, width, height, self.top)

    def _one(self, width: int, _height: int) -> list[Line]:
        return preview_lines(self.shown, self.system, width) if self.shown and self.found else []

    def _refresh(self) -> None:
        for name in ("list", "one"):
            self.query_one(f"#{name}", Panel).redraw()
        for bar in self.query(Bar):
            bar.refresh()

    # -- reading, apart from the screen

    @property
    def _entry(self) -> Any:
        return self.found[self.chosen]

    @property
    def _place(self) -> Path:
        from rotary.store.places import profile_folder

        return self.folder or profile_folder()

    def _apart(self, work: Callable[[], Any], then: Callable[[Any], None], group: str) -> None:
        """Do something slow in a thread; what it refuses becomes a notice."""

        def run() -> None:
            from rotary.errors import RotaryError

            try:
                answer = work()
            except RotaryError as trouble:
                self.app.call_from_thread(self._tell, str(trouble).splitlines()[0])
                return
            self.app.call_from_thread(self._if_here, then, answer)

        self.run_worker(run, thread=True, exclusive=True, group=group)

    def _if_here(self, then: Callable[[Any], None], answer: Any) -> None:
        if self.is_attached:
            then(answer)

    def _tell(self, trouble: str) -> None:
        self.waiting = False
        self.notify(trouble, title="not done", severity="error", timeout=8, markup=False)
        self._refresh()

    def _reload(self, keep: str = "") -> None:
        def read() -> Sequence[Any]:
            from rotary.store.index import entries

            return entries(self._place)

        def take(everything: Sequence[Any]) -> None:
            self.waiting, self.everything = False, everything
            self._search(keep)

        self._apart(read, take, "list")

    def _search(self, keep: str = "") -> None:
        from rotary.store.finding import search

        self.found = search(self.everything, self._words, proven=self.only_proven)
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
        self.shown = self.shown._replace(chosen=version) if same and self.shown else Shown(entry)
        self._refresh()

        def read() -> Shown:
            return _shown(self._place, entry, version, marked, self.everything, self.system)

        def take(shown: Shown) -> None:
            if self.found and shown.entry is self._entry:
                self.shown, self.version = shown, shown.chosen
                self.query_one("#one", Panel).redraw()

        self._apart(read, take, "one")

    # -- what a person can do

    def on_input_changed(self, event: Input.Changed) -> None:
        """Every key narrows the list."""
        if not self.naming and event.value != self._words:
            self._words = event.value
            self._search()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter opens, or takes the name that was typed."""
        if self.naming:
            self._take_name(event.value)
        else:
            self.action_open()

    def action_move(self, by: int) -> None:
        """Another profile."""
        if self.found and not self.naming:
            self.chosen = min(max(self.chosen + by, 0), len(self.found) - 1)
            self.version = ""
            self._look()

    def action_version(self, by: int) -> None:
        """Another version of this profile."""
        if self.shown is None or not self.shown.past or self.naming:
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

    def action_open(self) -> None:
        """Open this version on the desk."""
        if not self.found or self.naming:
            return
        entry, version = self._entry, self.version

        def read() -> Opened:
            from rotary.job import job_text
            from rotary.store.keeping import load_from

            found = load_from(self._place / entry.home, version or None)
            return tomllib.loads(job_text(found.profile.job)), found.version.stamp, found.profile.kept.name

        self._apart(read, self._give, "act")

    def _give(self, opened: Opened) -> None:
        self.dismiss(opened)

    def action_restore(self) -> None:
        """Make this version the newest; it settles versions that stand side by side."""
        if not self.found or self.naming or not self.version:
            return
        entry, version = self._entry, self.version

        def act() -> Any:
            from rotary.store.history import restore

            return restore(self._place / entry.home, version)

        self._apart(act, lambda saved: self._done(saved, f"version {version} is now version {saved.label}"), "act")

    def _done(self, saved: Any, says: str) -> None:
        self.notify(says, timeout=4, markup=False)
        self._reload(saved.id)

    def action_ask_name(self, what: str) -> None:
        """Ask for the name of a copy, or for another name."""
        if self.found and not self.naming:
            self.naming = what
            words = self.query_one("#words", Input)
            words.value = self._entry.name
            words.cursor_position = len(words.value)
            self._refresh()

    def _take_name(self, name: str) -> None:
        what, entry, version = self.naming, self._entry, self.version

        def act() -> Any:
            from rotary.store.keeping import copy, rename

            if what == "copy":
                return copy(entry.id, name, self._place, version or None)
            return rename(entry.id, name, self._place)

        self._stop_naming()
        self._apart(act, lambda saved: self._done(saved, f"kept as {saved.name}"), "act")

    def _stop_naming(self) -> None:
        self.naming = ""
        self.query_one("#words", Input).value = self._words
        self._refresh()

    def action_discard(self) -> None:
        """Move this profile to the bin, after a question."""
        from tui.screens.ask import Ask

        if not self.found or self.naming:
            return
        entry = self._entry

        def act() -> Any:
            from rotary.store.history import discard

            return discard(entry.id, self._place)

        def answered(answer: str | None) -> None:
            if answer == "discard":
                self._apart(act, lambda _: self._reload(), "act")

        question = f"Move {entry.name} with its {entry.count} versions to the bin? rotary restore takes it back."
        self.app.push_screen(Ask(question, ("back", "discard")), answered)

    def action_back(self) -> None:
        """Leave the name unasked, or the screen."""
        if self.naming:
            self._stop_naming()
        else:
            self.dismiss(None)


def _shown(folder: Path, entry: Any, version: str, marked: str, everything: Sequence[Any], system: str) -> Shown:
    """What there is to say of a profile: its versions, and what differs from another or from the newest."""
    from rotary.errors import RotaryError
    from rotary.store.changes import profile_changes
    from rotary.store.history import history_of
    from rotary.store.keeping import load_from

    home = folder / entry.home
    past = history_of(home, MOST_VERSIONS)
    chosen = version or (past[0].label if past else "")
    other = next((one for one in everything if one.id == marked and one.id != entry.id), None)
    try:
        if other is not None:
            before, after = load_from(folder / other.home), load_from(home, chosen)
            against = f"From {other.name} to {entry.name}, version {after.label}"
        else:
            older = next((one.label for at, one in enumerate(past[1:], 1) if past[at - 1].label == chosen), "")
            if not older:
                return Shown(entry, past, chosen)
            before, after = load_from(home, older), load_from(home, chosen)
            against = f"What version {chosen} changed"
        changes = [str(change) for change in profile_changes(before.profile, after.profile, system)]
    except RotaryError as trouble:
        return Shown(entry, past, chosen, trouble=(str(trouble).splitlines()[0],) if not entry.trouble else ())
    return Shown(entry, past, chosen, changes, against)
