"""The proof patch: choose cells, read them, see the window and what the readings taught."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final, Literal

from textual import events
from textual.binding import Binding
from textual.widget import Widget
from textual.widgets import Input

from rotary.errors import RotaryError
from tui.catalogue.words import words_of
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.patches import EVERY, answer_lines, choice_lines, detail_lines, head_line, reading_line
from tui.drawings.words import refusal, wrapped
from tui.form import own_coating
from tui.form.fields import Field, Tables
from tui.form.patch import OUTCOME_KEYS, PatchView, draw_next_patch, looks_on, patch_view, what_helps
from tui.screens.halves import Halves
from tui.widgets.bar import key_line

if TYPE_CHECKING:
    from rotary.passes.learning.reading import Outcome, Reading
    from tui.form.patch import PatchRow

NARROW: Final = 90
"""Columns below which what the readings taught stands below them."""

WITHOUT_CELLS: Final = ("F5", "I", "W", "Esc")
"""The keys that do something before there are any cells to read."""

_COATING: Final = Field(own_coating.COATING, "", "")


class Patch(Halves[None]):
    """Readings of the coating on the desk; every key press is kept at once and the picture follows."""

    AUTO_FOCUS = ""
    KEYS = (
        ("C", "coating left", ""),
        ("H", "residue", ""),
        ("O", "clean", ""),
        ("T", "heat tint", ""),
        ("X", "engraved", ""),
        ("-", "can't judge", "screen.seen('not read')"),
        ("N", "note", "screen.note"),
        ("Del", "ignore", "screen.strike"),
        ("P", "which patch", "screen.which"),
        ("F5", "make a patch", "screen.next_patch"),
        ("A", "another patch", "screen.next_patch('scrap', True)"),
        ("I", "on the item", "screen.next_patch('item')"),
        ("W", "better odds", "screen.what_helps"),
        ("Esc", "back", "screen.back"),
    )
    DEFAULT_CSS = """
    Patch #words { display: none; }
    Patch #list { width: 52; }
    Patch.narrow Horizontal { layout: vertical; }
    Patch.narrow #list { width: 1fr; max-width: 100%; }
    Patch.narrow #one { border-left: none; border-top: hkey $panel; }
    """
    BINDINGS: ClassVar = [
        Binding("n", "note", "A note", show=False),
        Binding("p", "which", "Choose the patch to read", show=False),
        Binding("enter", "take", "Read the chosen patch", show=False),
        Binding("delete", "strike", "Ignore, or use again", show=False),
        Binding("i", "next_patch('item')", "Choose the next patch, in a slice of the item", show=False),
        Binding("w", "what_helps", "Plan again with one thing changed each time", show=False),
        Binding("f5", "next_patch", "Choose the next patch", show=False),
        Binding("a", "next_patch('scrap', True)", "Another patch, even if the last is not read yet", show=False),
        Binding("ctrl+x", "next_patch", "Choose the next patch", show=False, priority=True),
    ]

    def __init__(self, data: Tables, system: str, folder: Path, ascii_only: bool = False) -> None:
        super().__init__()
        self.data, self.system, self.folder, self.ascii_only = data, system, folder, ascii_only
        self.shown: PatchView | None = None
        # The patch whose cells are shown, EVERY for all readings; None until one is chosen or only one can be meant.
        self.only: str | None = None
        self.asking, self.working = False, "computing"
        self.trouble = self.beside = ""
        self._again = self._chooses = False

    def _line(self) -> Iterable[Widget]:
        yield Input(
            placeholder="type a note on this cell, then press Enter to save it",
            id="words",
            select_on_focus=False,
            compact=True,
        )

    def on_mount(self) -> None:
        """The first look is computed apart from the screen."""
        self._do(lambda: "", "computing")

    def on_resize(self) -> None:
        """Below each other where there is no room beside each other."""
        self.set_class(self.size.width < NARROW, "narrow")

    # -- what is where

    def _keys(self, width: int) -> Line:
        has_cells = self.shown is not None and bool(self.shown.readings)
        return key_line([key for key in self.KEYS if has_cells or key[0] in WITHOUT_CELLS], width)

    def _title(self, width: int) -> Line:
        if self.working:
            return [Run(fitted(f" {self.working} …", width), "strong")]
        name = self.shown.coating if self.shown else ""
        coating = "bare metal" if name == own_coating.NONE else words_of(_COATING, name)
        here = next((patch.says for patch in self._patches if patch.name == self.only), "")
        says = here or f"test patches and readings of {coating}"
        return [Run(fitted(f" {says}", width), "strong")]

    def _list(self, width: int, height: int) -> list[Line]:
        if self.trouble:
            return wrapped(self.trouble, width - 1, "bad", " ")
        if self.shown is None:
            return []
        if not self.shown.readings:
            return wrapped(
                "Bare metal needs no test patch. Press Esc, then Ctrl+B: there you plan its depth."
                if self.shown.coating == own_coating.NONE
                else "There is no test patch yet. Press F5 to make a patch: nine cells to mark on scrap.",
                width - 1,
                "plain",
                " ",
            )
        if self.asking:
            return choice_lines(self._patches, self.chosen, width)
        reading = self._reading
        detail = detail_lines(self._settings(reading), width)[: max(height // 2 - 1, 2)]
        room = max(height - 1 - len(detail), 1)
        top = self._top(room)
        lines = [head_line(width, bool(self.only))]
        for place, row in enumerate(self._rows[top : top + room], top):
            lines.append(reading_line(row, place == self.chosen, width, bool(self.only)))
        return [*lines, *detail]

    def _one(self, width: int, height: int) -> list[Line]:
        return answer_lines(self.shown, self.beside, width, height, self.ascii_only) if self.shown else []

    # -- work apart from the screen

    def _do(self, work: Callable[[], object], says: str) -> None:
        """Do something, then look again, in a thread; what is refused becomes a sentence on the screen."""
        self.working = says
        self._refresh()

        def run() -> PatchView:
            done = work()
            self.beside = done if isinstance(done, str) else ""
            return patch_view(self.data, self.system, self.folder)

        self._in_thread(run, self._take, only=False)

    def _take(self, found: PatchView) -> None:
        self._chooses = False
        if self._again:
            # What was written down meanwhile is not in it.
            self._again, beside = False, self.beside
            self._do(lambda: beside, self.working)
            return
        self.shown, self.working, self.trouble = found, "", ""
        self._settle()
        self._refresh()

    def _tell(self, trouble: str) -> None:
        self.working, self.trouble, self._again, self._chooses = "", trouble, False, False
        self._refresh()

    def _write(self, reading: "Reading", write: Callable[[], object], says: str, **changes: object) -> bool:
        """Write one reading down at once, whatever is being worked out: a letter in a row of letters is never lost.

        False where it was not written. While another patch is chosen nobody knows which cell a letter will be about.
        """
        if self._chooses:
            return False
        try:
            write()
        except RotaryError as trouble:
            super()._tell(refusal(trouble))
            return False
        if self.shown is not None:
            changed = reading.model_copy(update=changes)
            rows = (changed if one.number == reading.number else one for one in self.shown.readings)
            self.shown = self.shown._replace(readings=tuple(rows))
        if self.working:
            self._again, self.working = True, says
            self._refresh()
        else:
            self._do(lambda: "", says)
        return True

    def _settle(self) -> None:
        """Show the one patch that can be meant; where several wait to be read, ask which."""
        waiting = [patch.name for patch in self._patches if patch.to_read]
        if self.only is None and len(waiting) > 1:
            self.asking = True
        elif self.only is None:
            self.only = waiting[0] if waiting else EVERY
        self.chosen = min(self.chosen, max(self._many - 1, 0))

    # -- what a person can do

    @property
    def _patches(self) -> "tuple[PatchRow, ...]":
        """The patches of this coating, those that are still to be read first."""
        return tuple(sorted(self.shown.patches, key=lambda patch: not patch.to_read)) if self.shown else ()

    @property
    def _rows(self) -> "tuple[Reading, ...]":
        """The readings that are shown: of the chosen patch, or all."""
        every = self.shown.readings if self.shown else ()
        return tuple(reading for reading in every if self.only in (None, EVERY, reading.patch))

    def _settings(self, reading: "Reading | None") -> str:
        """Every setting that a reading is kept with, in one line."""
        from rotary.passes.learning.reading_text import settings_text

        return settings_text(reading, self.system) if reading is not None else ""

    @property
    def _reading(self) -> "Reading | None":
        return self._rows[self.chosen] if self._rows and not self.asking else None

    def on_key(self, event: events.Key) -> None:
        """The letter of an outcome writes it down."""
        outcome = OUTCOME_KEYS.get(event.key.lower())
        if outcome and not self.query_one("#words", Input).has_focus:
            event.stop()
            self.action_seen(outcome)

    def action_seen(self, outcome: "Outcome") -> None:
        """Write down what the chosen cell looks like, and go to the next."""
        from rotary.passes.learning.reading import OUTCOME_NAMES
        from rotary.store.readings import read_as

        reading = self._reading
        if reading is None:
            return
        if self.only == EVERY and reading.patch:
            # Among all readings it is not said which patch lies on the bench.
            self.asking, self.top = True, 0
            self.chosen = [patch.name for patch in self._patches].index(reading.patch)
            self._refresh()
            return
        place, number = self.folder, reading.number
        by, says = (
            looks_on(self._rows[self.chosen :], outcome),
            f"cell {reading.cell or number}: {OUTCOME_NAMES.get(outcome, outcome)}",
        )
        if self._write(reading, lambda: read_as(number, outcome, place), says, outcome=outcome):
            self.action_move(by)

    @property
    def _many(self) -> int:
        return len(self._patches) + 1 if self.asking else len(self._rows)

    def action_which(self) -> None:
        """The list of patches: which of them is read."""
        if self.shown and self.shown.readings and not self.working and not self.asking:
            self.asking, self.chosen, self.top = True, 0, 0
            self._refresh()

    def action_take(self) -> None:
        """Read the patch that is chosen in the list."""
        if self.asking and not self.working:
            names = [*(patch.name for patch in self._patches), EVERY]
            self.only, self.asking = names[self.chosen], False
            self.chosen = self.top = 0
            self._refresh()

    def action_note(self) -> None:
        """Type a free note."""
        reading, box = self._reading, self.query_one("#words", Input)
        if reading is not None:
            box.value = reading.note
            box.display = True
            box.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the note."""
        from rotary.store.readings import read_as

        event.input.display = False
        self.set_focus(None)
        reading, place, note = self._reading, self.folder, event.value[:400]
        if reading is not None:
            self._write(reading, lambda: read_as(reading.number, reading.outcome, place, note), "saving", note=note)

    def action_strike(self) -> None:
        """Strike the reading out, or let it count again; in the list, read nothing more of a patch."""
        from rotary.store.readings import close_patch, strike

        reading, place = self._reading, self.folder
        if self.asking and self.chosen < len(self._patches) and not self.working:
            name = self._patches[self.chosen].name
            self._do(lambda: close_patch(name, place), f"{name} is closed: you won't read its other cells")
        elif reading is not None:
            ignored = not reading.ignored
            self._write(reading, lambda: strike(reading.number, place, ignored), "learning", ignored=ignored)

    def action_next_patch(self, surface: Literal["scrap", "item"] = "scrap", new: bool = False) -> None:
        """Choose the next nine cells, on scrap or in a slice of the item, and draw them; `new` ones in any case."""
        if self.working:
            return
        place = self.folder

        def work() -> str:
            self.only, says = draw_next_patch(self.data, self.system, place, surface, new)
            self.asking, self.chosen, self.top = False, 0, 0
            return says

        self._chooses = True
        says = f"choosing the cells of the next patch, on {'the item' if surface == 'item' else 'scrap'}"
        self._do(work, says)

    def action_what_helps(self) -> None:
        """Plan again with one thing changed each time, and tell the chances."""
        if not self.working:
            place = self.folder
            self._do(
                lambda: what_helps(self.data, self.system, place, self._told),
                "trying one change after another",
            )

    def _told(self, share: float) -> None:
        self.working = f"trying one change after another: {share:.0%} done"
        self.app.call_from_thread(self._refresh)

    def action_back(self) -> None:
        """Leave the note, or the screen."""
        box = self.query_one("#words", Input)
        if box.has_focus:
            box.display = False
            self.set_focus(None)
        elif self.asking and self.only is not None:
            self.asking, self.chosen, self.top = False, 0, 0
            self._refresh()
        else:
            self.dismiss()
