"""Choosing artwork: walk through folders, narrow by typing, see the drawing before it is taken; or type a text."""

import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual import events
from textual.binding import Binding
from textual.timer import Timer
from textual.widget import Widget

from rotary.files import is_folder, named_path
from rotary.shipped import profile_folder
from tui.background.results import Results
from tui.background.tasks import Done, Errand, Share
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.file_list import Entry, Listing, entry_lines, listing, narrowed, preview_lines
from tui.drawings.panel_content import NOTHING, Content
from tui.drawings.words import named_line, wrapped
from tui.form.hints import fault_text
from tui.form.placement import piece_file
from tui.form.print_choice import outcome_text
from tui.screens.halves import Halves
from tui.widgets.bar import Bar, key_line
from tui.widgets.editor import Editor
from tui.widgets.panel import Panel

if TYPE_CHECKING:
    from tui.screens.desk import Desk

HELD_TO = "ROTARY_HELD_TO"
"""Names the folder above which nobody looks, where others than the owner may use this screen."""

REST_S = 0.08


class ArtworkChoice(NamedTuple):
    """What was chosen: a drawing or a text, and how large its file says that it is."""

    kind: str
    name: str
    size_mm: tuple[float, float] | None


class ArtworkScreen(Halves[ArtworkChoice | None]):
    """Folders and drawings left, the one under the pointer right."""

    AUTO_FOCUS = ""
    BINDINGS: ClassVar = [
        Binding("enter", "take", "Open the folder, take the drawing", show=False),
        Binding("pageup", "page(-1)", "Up", show=False),
        Binding("pagedown", "page(1)", "Down", show=False),
        Binding("f2", "system", "mm or inch", show=False),
        Binding("f6", "text", "A text in place of a drawing", show=False),
    ]

    def __init__(self, desk: "Desk", number: int | None) -> None:
        super().__init__()
        self.desk, self.number = desk, number
        held = os.environ.get(HELD_TO, "")
        self.held_to = Path(held).resolve() if held else None
        here = piece_file(desk.session, number, desk.work.beside.folder)
        start = here.parent if here is not None and is_folder(here.parent) else desk.work.beside.folder
        self.found = Listing(self._allowed(start.absolute()))
        self.wants = here.name if here is not None else ""
        self.editor = Editor()
        self.types_text = False
        self.work = Results(self.found.folder, "To stop the work, go to another file or press Esc")
        self._rest: Timer | None = None
        self.writing: float | None = None
        # What was written last and how it is marked; it stands in place of the preview until the pointer moves.
        self.written: tuple[str, ...] = ()
        self._number = 0

    # -- what is where

    def _line(self) -> Iterable[Widget]:
        yield Bar(self._words, id="words")

    def on_mount(self) -> None:
        """The folder is looked into apart from the screen; a drive far away may take its time."""
        self.desk.work.preview, self.desk.work.papers = self._told, self._written
        self._go(self.found.folder)

    def on_unmount(self) -> None:
        """No more previews."""
        self.desk.work.preview = self.desk.work.papers = None
        self.desk.work.errands.stop("preview")

    def _title(self, width: int) -> Line:
        if self.writing is not None:
            return [Run(f" rotary is writing the file of dots: {self.writing:.0%} done. Esc stops this.", "strong")]
        whose = "a new piece" if self.number is None else f"piece {self.number + 1}"
        what, where = ("Text", "") if self.types_text else ("Drawing", str(self.found.folder))
        return [Run(f" {what} for {whose}: ", "strong"), Run(_tail(where, width - 22 - len(whose)), "plain")]

    def _words(self, width: int) -> Line:
        says = "type a text (\\n begins a new line): " if self.types_text else "type to search: "
        says = says if width > 50 else "> "
        text, at = self.editor.window(max(width - len(says) - 2, 4))
        return [Run(f" {says}", "muted"), Run(text[:at], "strong"), Run("▌" if at >= len(text) else "|", "a"),
                Run(text[at:], "strong")]  # fmt: skip

    def _keys(self, width: int) -> Line:
        keys = [
            ("Enter", "take this", "screen.take"),
            ("F6", "a drawing" if self.types_text else "a text", "screen.text"),
            ("Esc", "back", "screen.back"),
            *(() if self.types_text else (("Backspace", "folder above", "screen.above"),)),
            ("F2", "mm/inch", "screen.system"),
            *(() if self.types_text else (("Up Down", "another", "screen.move(1)"),)),
        ]
        return key_line(keys, width)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """What is listed."""
        return () if self.types_text else narrowed(self.found, self.editor.text)

    @property
    def entry(self) -> Entry | None:
        """What is under the pointer."""
        entries = self.entries
        return entries[min(self.chosen, len(entries) - 1)] if entries else None

    def _list(self, width: int, height: int) -> list[Line]:
        if self.types_text:
            return [[Run(fitted(" This is rotary's own font.", width), "muted")],
                    [Run(fitted(" Change it in the piece's fields.", width), "muted")]]  # fmt: skip
        top = self._top(height)
        return entry_lines(self.entries, self.chosen, top, width, height, self.found, self.editor.text)

    def _one(self, width: int, height: int) -> list[Line]:
        name = self._asked()[1]
        if self.written:
            return [line for text in self.written for line in wrapped(text, width - 1, "plain", " ")]
        entry = self.entry
        if not name:
            return [named_line(entry.name, "[Enter opens it]", width)] if entry is not None else []
        session = self.desk.session
        frame = (session.value("artwork.width"), session.value("artwork.height"))
        label = name if self.types_text else Path(name).name
        return preview_lines(self.shown, label, frame, session.system, (width, height), self.desk.ascii_only)

    @property
    def shown(self) -> Content:
        """The preview of what is under the pointer; never that of another."""
        found = self.work.shown("preview")
        return found if found.fresh or found.says else NOTHING

    # -- folders and previews

    def _allowed(self, folder: Path) -> Path:
        if self.held_to is not None and not folder.resolve().is_relative_to(self.held_to):
            return self.held_to
        return folder

    def _go(self, folder: Path) -> None:
        folder = self._allowed(folder)
        left = self.found.folder

        self._in_thread(lambda: listing(folder, self.held_to), lambda found: self._take_listing(found, left))

    def _take_listing(self, found: Listing, left: Path) -> None:
        self.found, self.editor = found, Editor()
        name = self.wants or (left.name if left.parent == found.folder else "")
        names = [entry.name for entry in found.entries]
        self.chosen = names.index(name) if name in names else min(1, max(len(names) - 1, 0))
        if ".." not in names[:1] and name not in names:
            self.chosen = 0
        self.wants, self.top = "", 0
        self._look()

    def _asked(self) -> tuple[str, str]:
        """Kind and name of what is to be previewed; no name where there is nothing."""
        if self.types_text:
            return "text", self.editor.text.strip()
        entry = self.entry
        if entry is None or entry.is_folder:
            return "", ""
        return entry.kind, str(self.found.folder / entry.name)

    def _look(self) -> None:
        self._show_written(())
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(REST_S, self._preview)

    def _preview(self) -> None:
        kind, name = self._asked()
        self.work.changed("preview")
        if name:
            text = name.replace("\\n", "\n") if kind == "text" else name
            pieces = {"artwork": {"pieces": [{"file": name}]}} if kind != "text" else {"text": text}
            errand = self.work.wanted("preview", pieces, self.desk.session.system)
            if errand is not None:
                self.desk.work.errands.ask(errand._replace(more=(kind, text)))
        self._refresh()

    def _told(self, said: Share | Done) -> None:
        self.work.take(said)
        for panel in self.query("#one").results(Panel):
            panel.redraw()

    # -- what a person can do

    def on_key(self, event: events.Key) -> None:
        """Type to narrow, or type the text."""
        if event.key == "backspace" and not self.editor.text and not self.types_text:
            self.action_above()
        elif self.editor.take(event):
            self._typed()
        else:
            return
        event.stop()

    def on_paste(self, event: events.Paste) -> None:
        """Pasted text: several lines of a text stay several; the path of a file is gone to."""
        text = event.text.strip()[:2000]
        path = named_path(text.strip("'\"").removeprefix("file://")) if text and "\n" not in text else None
        if not self.types_text and path is not None and path.is_absolute():
            self.wants = path.name
            self._go(path if is_folder(path) else path.parent)
        else:
            self.editor.write("\\n".join(text.splitlines()) if self.types_text else text)
            self._typed()
        event.stop()

    def _typed(self) -> None:
        self.chosen = self.top = 0
        self._look()

    @property
    def _many(self) -> int:
        return len(self.entries)

    def action_above(self) -> None:
        """The folder above."""
        if not self.types_text and self.found.folder != self.held_to:
            self._go(self.found.folder.parent)

    def action_text(self) -> None:
        """A text in place of a drawing, and back."""
        self.types_text = not self.types_text
        text = "" if self.number is None else self.desk.session.text(f"artwork.pieces.{self.number}.text")
        self.editor = Editor.of(text if self.types_text else "")
        self._typed()

    def action_page(self, by: int) -> None:
        """Ten entries on; in what was written, a page on."""
        if not self.written:
            self.action_move(10 * by)
            return
        for panel in self.query("#one").results(Panel):
            panel.scroll_relative(y=by * max(panel.size.height - 1, 1), animate=False)

    def action_system(self) -> None:
        """Show mm or inch; the desk follows."""
        self.desk.action_system()
        self._refresh()

    def action_take(self) -> None:
        """Open the folder under the pointer, or take the drawing or the text."""
        kind, name = self._asked()
        entry = self.entry
        if entry is not None and entry.is_folder and not self.types_text:
            self.action_above() if entry.name == ".." else self._go(self.found.folder / entry.name)
        elif kind == "picture":
            self._ask_dots(name)
        elif name:
            value = self.shown.value if self.shown.fresh else None
            size = (value.width_mm, value.height_mm) if value is not None and value.size_stated else None
            self.dismiss(ArtworkChoice(kind, name, size))

    def _ask_dots(self, name: str) -> None:
        """A picture made of dots is no piece among lines: it becomes a sheet of its own."""
        from tui.screens.ask import Ask

        def answered(mark: str | None) -> None:
            if mark in ("lighter", "darker"):
                self.writing = 0.0
                self._number += 1
                more = ("picture", name, mark, str(profile_folder()), "")
                session, beside = self.desk.session, str(self.desk.work.beside.folder)
                self.desk.work.errands.ask(
                    Errand("print", f"dots {self._number}", session.data(), session.system, beside, more)
                )
                self._refresh()

        question = (
            f"{Path(name).name} is a picture made of dots. rotary turns it into a file that you import, as large as "
            "the artwork's frame. Does a mark on this item look lighter or darker than the wall beside it?"
        )
        self.app.push_screen(Ask(question, ("lighter", "darker", "back")), answered)

    def _written(self, said: Share | Done) -> None:
        """How far the sheet of dots is, or what came of it."""
        if said.key != f"dots {self._number}":
            return
        self.writing = said.share if isinstance(said, Share) else None
        if isinstance(said, Done) and said.stopped:
            self.notify("You stopped it: no file was written.", title="stopped", timeout=4, markup=False)
        elif isinstance(said, Done) and said.faults:
            says = "; ".join(fault_text(self.desk.session, where, text) for where, text in said.faults)
            self.notify(says, title="not written", severity="error", timeout=12, markup=False)
        elif isinstance(said, Done):
            # All that is done with the sheet is more than fits into a notice, and is read for longer than one stays.
            self._show_written(outcome_text(said.answer))
        self._refresh()

    def _show_written(self, says: tuple[str, ...]) -> None:
        self.written = says
        for panel in self.query("#one").results(Panel):
            panel.to_top()
        self._refresh()

    def action_back(self) -> None:
        """Stop what is being written, else leave everything as it is."""
        if self.writing is not None:
            self.desk.work.errands.stop("print")
        else:
            self.dismiss(None)

    def on_click(self, event: events.Click) -> None:
        """Point with the mouse; a second click takes."""
        panel = self.query_one("#list", Panel)
        at = event.screen_offset - panel.content_region.offset
        place = at.y + self.top
        if event.widget is not panel or not 0 <= place < len(self.entries):
            return
        if place == self.chosen:
            self.action_take()
        else:
            self.chosen = place
            self._look()


def _tail(text: str, width: int) -> str:
    return text if len(text) <= width else "…" + text[len(text) - max(width - 1, 1) :]
