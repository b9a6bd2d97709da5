"""The logbook: what was run, when, with what outcome and which settings, and totals."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.runs import run_lines, setting_lines
from tui.screens.halves import Halves

if TYPE_CHECKING:
    from rotary.store.logbook import Run as LoggedRun


class LogbookScreen(Halves[None]):
    """The runs of one profile or of all, the latest first."""

    KEYS = (
        ("F6", "this job or all", "screen.all"),
        ("F2", "mm/inch", "screen.system"),
        ("Up Down", "run", "screen.move(1)"),
        ("Esc", "back", "screen.back"),
    )
    DEFAULT_CSS = "LogbookScreen #list { width: 60%; max-width: 100%; }"
    BINDINGS: ClassVar = [
        Binding("pageup", "move(-20)", "Later", show=False, priority=True),
        Binding("pagedown", "move(20)", "Earlier", show=False, priority=True),
        Binding("f2", "system", "mm or inch", show=False),
        Binding("f6", "all", "This job or all", show=False),
    ]

    def __init__(self, folder: Path, profile_id: str, name: str, system: str = "mm") -> None:
        super().__init__()
        self.folder, self.profile_id, self.name_of, self.system = folder, profile_id, name, system
        self.only = profile_id
        self.runs: Sequence[LoggedRun] = ()
        self.troubles: Sequence[str] = ()
        self.settings: Sequence[tuple[str, str]] = ()
        self.says = "reading the logbook"

    def on_mount(self) -> None:
        """The logbook is read apart from the screen."""
        self._read()

    def _title(self, width: int) -> Line:
        whose = self.name_of if self.only else "all jobs"
        return [Run(fitted(f" Logbook of {whose}: {self.says}", width), "strong")]

    def _list(self, width: int, height: int) -> list[Line]:
        return run_lines(self.runs, self.troubles, self.chosen, self._top(height), width, height)

    def _one(self, width: int, _height: int) -> list[Line]:
        run = self.runs[self.chosen] if self.runs else None
        return setting_lines(run, self.settings, width) if run else []

    def _read(self) -> None:
        only = self.only

        def read() -> "tuple[str, Sequence[LoggedRun], Sequence[str]]":
            from rotary.store.logbook import logbook, totals

            found = logbook(self.folder, only)
            return totals(found.runs).summary(), found.runs, found.troubles

        self._in_thread(read, self._take)

    def _take(self, found: "tuple[str, Sequence[LoggedRun], Sequence[str]]") -> None:
        (self.says, self.runs, self.troubles), self.chosen, self.top = found, 0, 0
        self._look()

    def _tell(self, trouble: str) -> None:
        self._take((trouble, (), ()))

    def _look(self) -> None:
        from rotary.store.changes import run_values

        plan = self.runs[self.chosen].plan if self.runs else None
        self.settings = run_values(plan, self.system) if plan is not None else ()
        self._refresh()

    # -- what a person can do

    @property
    def _many(self) -> int:
        return len(self.runs)

    def action_system(self) -> None:
        """Show mm or inch."""
        self.system = "in" if self.system == "mm" else "mm"
        self._look()

    def action_all(self) -> None:
        """The runs of this profile, or of all."""
        self.only = "" if self.only else self.profile_id
        self._read()
