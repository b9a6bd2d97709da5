"""The logbook: what was run, when, with what outcome and which settings, and totals."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.runs import run_lines, setting_lines
from tui.screens.once import Once
from tui.widgets.bar import Bar, key_line
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from rotary.store.logbook import Run as LoggedRun

KEYS = (
    ("F6", "this one or all", "screen.all"),
    ("F2", "mm/inch", "screen.system"),
    ("Up Down", "run", "screen.move(1)"),
    ("Esc", "back", "screen.back"),
)


class LogbookScreen(Once[None]):
    """The runs of one profile or of all, the latest first."""

    DEFAULT_CSS = """
    LogbookScreen { background: $background; }
    LogbookScreen #title { dock: top; }
    LogbookScreen #keys { dock: bottom; }
    LogbookScreen Horizontal { height: 1fr; margin-top: 1; }
    LogbookScreen #runs { width: 60%; height: 1fr; }
    LogbookScreen #one { width: 1fr; height: 1fr; border-left: vkey $panel; }
    .ascii LogbookScreen #one { border-left: ascii $panel; }
    """
    BINDINGS: ClassVar = [
        Binding("escape", "back", "Back", show=False, priority=True),
        Binding("up", "move(-1)", "Later run", show=False, priority=True),
        Binding("down", "move(1)", "Earlier run", show=False, priority=True),
        Binding("pageup", "move(-20)", "Later", show=False, priority=True),
        Binding("pagedown", "move(20)", "Earlier", show=False, priority=True),
        Binding("f2", "system", "mm or inch", show=False),
        Binding("f6", "all", "This profile or all", show=False),
    ]

    def __init__(self, folder: Path, profile_id: str, name: str, system: str = "mm") -> None:
        super().__init__()
        self.folder, self.profile_id, self.name_of, self.system = folder, profile_id, name, system
        self.only = profile_id
        self.runs: Sequence[LoggedRun] = ()
        self.troubles: Sequence[str] = ()
        self.settings: Sequence[tuple[str, str]] = ()
        self.says = "reading the logbook"
        self.chosen = self.top = 0

    def compose(self) -> ComposeResult:
        """The totals over two halves: the runs, and what was set in the one under the pointer."""
        yield Bar(self._title, id="title")
        with Horizontal():
            yield Panel(self._runs, id="runs").not_focusable()
            yield Panel(self._one, id="one").not_focusable()
        yield Bar(self._keys, id="keys")

    def on_mount(self) -> None:
        """The logbook is read apart from the screen."""
        self._read()

    def _title(self, width: int) -> Line:
        whose = self.name_of if self.only else "all profiles"
        return [Run(fitted(f" Logbook of {whose}: {self.says}", width), "strong")]

    def _keys(self, width: int) -> Line:
        return key_line(KEYS, width)

    def _runs(self, width: int, height: int) -> list[Line]:
        self.top = min(max(self.top, self.chosen - height + 1), self.chosen)
        return run_lines(self.runs, self.troubles, self.chosen, self.top, width, height)

    def _one(self, width: int, _height: int) -> list[Line]:
        run = self.runs[self.chosen] if self.runs else None
        return setting_lines(run, self.settings, width) if run else []

    def _refresh(self) -> None:
        for name in ("runs", "one"):
            self.query_one(f"#{name}", Panel).redraw()
        for bar in self.query(Bar):
            bar.refresh()

    def _read(self) -> None:
        only = self.only

        def read() -> None:
            from rotary.errors import RotaryError
            from rotary.store.logbook import logbook, totals

            try:
                found = logbook(self.folder, only)
                says, runs, troubles = totals(found.runs).summary(), found.runs, found.troubles
            except RotaryError as trouble:
                says, runs, troubles = str(trouble).splitlines()[0], (), ()
            self.app.call_from_thread(self._take, says, runs, troubles)

        self.run_worker(read, thread=True, exclusive=True, group="runs")

    def _take(self, says: str, runs: "Sequence[LoggedRun]", troubles: Sequence[str]) -> None:
        if self.is_attached:
            self.says, self.runs, self.troubles, self.chosen, self.top = says, runs, troubles, 0, 0
            self._look()

    def _look(self) -> None:
        from rotary.store.changes import run_values

        plan = self.runs[self.chosen].plan if self.runs else None
        self.settings = run_values(plan, self.system) if plan is not None else ()
        self._refresh()

    # -- what a person can do

    def action_move(self, by: int) -> None:
        """Another run."""
        if self.runs:
            self.chosen = min(max(self.chosen + by, 0), len(self.runs) - 1)
            self._look()

    def action_system(self) -> None:
        """Show mm or inch."""
        self.system = "in" if self.system == "mm" else "mm"
        self._look()

    def action_all(self) -> None:
        """The runs of this profile, or of all."""
        self.only = "" if self.only else self.profile_id
        self._read()

    def action_back(self) -> None:
        """Leave the screen."""
        self.dismiss(None)
