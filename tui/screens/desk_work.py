"""What the desk has worked out beside itself: artwork, pictures, the actions with the artwork laid out, files."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from textual.message import Message

from rotary.shipped import profile_folder
from tui.background.client import errand_worker
from tui.background.results import Results
from tui.background.tasks import Done, Errand, Share
from tui.drawings.canvas import Canvas, Line
from tui.drawings.panel_content import Content, image_rows, with_note
from tui.drawings.pictures import BESIDE
from tui.drawings.pixels import Pixels
from tui.form.facts import has_ink
from tui.form.placement import first_drawing, frame, frame_texts
from tui.form.progress import did
from tui.widgets.panel import Painter
from tui.widgets.picture import PicturePanel

if TYPE_CHECKING:
    from textual.timer import Timer

    from tui.screens.desk import Desk
    from tui.terminal.images import Images

REST_S: Final = 0.3
"""How long typing has to rest before longer work is begun."""

LOOK_S: Final = 0.25
"""How often the progress of longer work is painted."""

SIZE: Final = "size:"
"""How the key of an errand begins that asks for a drawing's own size."""

SLOW: Final = (
    "One part of rotary did not start, so the numbers come more slowly. Leave rotary with Ctrl+Q and start it again."
)


class ErrandNews(Message):
    """How far an errand is, or what came of it."""

    def __init__(self, said: Share | Done) -> None:
        super().__init__()
        self.said = said


class DeskWork:
    """Longer work of the desk, and who is told what came of it; typing never waits for any of it."""

    images: "Images"

    def __init__(self, desk: "Desk", folder: Path) -> None:
        self.desk, self.session = desk, desk.session
        self.beside = Results(folder)
        self.errands = errand_worker(lambda said: desk.post_message(ErrandNews(said)))
        self.preview: Callable[[Share | Done], None] | None = None
        self.papers: Callable[[Share | Done], None] | None = None
        self.answered: Callable[[], None] | None = None
        """Who is told that the core has answered, besides the desk."""
        self._writes, self._wrote_of, self._told_slow = 0, 0, False
        self._drawing, self._sides = first_drawing(self.session), frame(self.session)
        self._size_rest: Timer | None = None
        self._rest: Timer | None = None
        self._look: Timer | None = None

    def picture_panel(self, painter: Painter) -> PicturePanel:
        """The panel of the pictures, with an image over what the item will look like."""
        self.images.panel = PicturePanel(painter, self._image, id="picture")
        return self.images.panel

    def _image(self, width: int, height: int) -> tuple[int, Pixels] | None:
        """The image of what the panel shows in cells, and how many rows of it have room."""
        desk = self.desk
        if desk.picture_name != "front" or self.session.plan is None or desk.ascii_only:
            return None
        return image_rows(width, height, self.shown("front"))

    def noted(self, lines: list[Line], width: int) -> list[Line]:
        """The lines of a picture, and which key shows it otherwise."""
        has_key = self.desk.picture_name == "front" and self.images.says and not self.desk.ascii_only
        return with_note(lines, f"i: {self.images.says}", "app.images", width) if has_key else lines

    def shown(self, what: str) -> Content:
        """What there is to draw of a kind."""
        return self.beside.shown(what)

    def has_beside(self, name: str) -> bool:
        """Whether a picture shows anything besides the plan in this job."""
        return name in BESIDE and (name != "unrolled" or has_ink(self.session))

    def is_laid_out(self) -> bool:
        """Whether the numbers are of the drawing itself; so they are where there is none, or none that can be."""
        found = self.shown("actions")
        return not self.has_beside("unrolled") or found.fresh or found.bad

    def changed(self) -> None:
        """Nothing that was worked out goes with what is typed now."""
        self.drawing_changed()
        self.beside.changed(*BESIDE.values(), "actions")

    def look_again(self) -> None:
        """A run, a reading or a file may have been added: the same fields may be answered otherwise now."""
        self._writes += 1
        self._drawing = first_drawing(self.session)
        self.changed()

    def drawing_changed(self) -> None:
        """Another drawing may be named: where width or height is empty, its own size follows once typing rests."""
        before, self._drawing = self._drawing, first_drawing(self.session)
        if self._drawing != before:
            self.size_later()

    def size_later(self) -> None:
        """Have the drawing's own size looked up for the fields that are empty."""
        if self._size_rest is not None:
            self._size_rest.stop()
            self._size_rest = None
        self._sides = frame(self.session)
        if self._drawing and not all(self._sides):
            self._size_rest = self.desk.set_timer(REST_S, self._ask_size)

    def _ask_size(self) -> None:
        """Read the drawing as its preview is read, apart from the screen."""
        path = str(self.beside.folder / self._drawing)
        self.errands.ask(Errand("preview", SIZE + path, {}, self.session.system, "", ("drawing", path)))

    def _take_size(self, said: Share | Done) -> None:
        """Fill in what is empty, as one change that can be undone; nothing where the file states no size."""
        path = str(self.beside.folder / self._drawing)
        if isinstance(said, Share) or said.key != SIZE + path or said.answer is None or not said.answer.size_stated:
            return
        texts = frame_texts(self.session, (said.answer.width_mm, said.answer.height_mm))
        # Whoever types a size meanwhile wants another.
        if texts and frame(self.session) == self._sides:
            self.session.edit_all(texts)
            self.session.settle()
            self.desk.refresh_all()

    def later(self) -> None:
        """Something has changed: begin once it rests."""
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.desk.set_timer(REST_S, self.now)

    def now(self) -> None:
        """Ask for what is wanted and not known yet; what is wanted no more is stopped."""
        if not self.desk.is_attached:
            return
        wanted = self._wanted()
        given_up = [what for what in self.beside.under_way if what not in wanted]
        if given_up:
            self.beside.give_up(*given_up)
            self.errands.stop(*given_up)
        if not wanted:
            return
        data, system, profiles = self.session.data(), self.session.system, str(profile_folder())
        for what in wanted:
            errand = self.beside.wanted(what, data, system, profiles, self._more(what))
            if errand is not None:
                self.errands.ask(errand)
            self._told(what)
        if self._look is None and self.beside.under_way:
            self._look = self.desk.set_interval(LOOK_S, self._watch)

    def _wanted(self) -> tuple[str, ...]:
        """The artwork wherever there is any, because its fields have to say what is wrong; others while in sight."""
        if self.session.verdict is None or self.session.verdict.plan is None:
            return ()
        names = [name for name in BESIDE if self.has_beside(name)]
        shown = [BESIDE[name] for name in names if name in ("unrolled", self.desk.picture_name)]
        if "front" in shown and self.images.is_awaited():
            shown.remove("front")
        return (*shown, *(["actions"] if self.has_beside("unrolled") else []))

    def _more(self, what: str) -> tuple[str, ...]:
        """The saved file that the job comes from; and how often files were written, since they are looked at again. Of
        the picture from the front how many cells it has with its words, how high they are, and their pixels."""
        if what == "front":
            room, cell = self.desk.panel("picture").scrollable_content_region, self.images.cell
            return f"{room.width}", f"{room.height}", f"{Canvas.aspect:.2f}", *(cell.words() if cell else ())
        return (*self.session.today, f"{self._writes}") if what == "actions" else ()

    def _watch(self) -> None:
        for what in self.beside.under_way:
            self._told(what)
        if not self.beside.under_way and self._look is not None:
            self._look.stop()
            self._look = None

    def _told(self, what: str) -> None:
        """Paint what has come, and mark the fields that it complains of."""
        if what == "actions":
            found = self.shown(what)
            is_new = found.value is not None and self.session.actions is not found.value.actions
            if found.fresh and is_new and not self.session.stale:
                self.session.actions = found.value.actions
                self.desk.panel("standing").redraw()
                self.desk.panel("numbers").redraw()
                self.tell_answered()
        if what == "artwork":
            before = self.session.complaints()
            self.session.found_beside(self.beside.faults(what))
            if self.session.complaints() != before:
                self.desk.form.refresh_states()
                self.desk.panel("standing").redraw()
                self.desk.panel("hint").redraw()
        if BESIDE.get(self.desk.picture_name) == what:
            self.desk.panel("picture").redraw()

    def tell_answered(self) -> None:
        """Tell whoever looks at the same job; once, that the answers come from this process."""
        if self.desk.planner.process.is_given_up and not self._told_slow:
            self._told_slow = True
            self.desk.notify(SLOW, severity="warning", timeout=10, markup=False)
        if self.answered is not None:
            self.answered()

    def take(self, said: Share | Done) -> None:
        """Take an answer over; previews, papers and files go to whoever asked for them."""
        if said.what == "files":
            self._wrote(said)
        elif said.key.startswith(SIZE):
            self._take_size(said)
        elif said.what in ("preview", "print"):
            taker = self.preview if said.what == "preview" else self.papers
            if taker is not None:
                taker(said)
        else:
            self.beside.take(said)
            if isinstance(said, Done):
                self._told(said.what)

    # -- the files to import

    def write_files(self) -> None:
        """Write the files that the marking program imports."""
        session = self.session
        if session.stale:
            self.desk.notify("First correct the fields marked !.", timeout=4, markup=False)
        elif not has_ink(session):
            self.desk.no_drawing()
        else:
            self._writes += 1
            self._wrote_of = session.number
            more = tuple(session.today)
            self.errands.ask(
                Errand("files", f"{self._writes}", session.data(), session.system, str(self.beside.folder), more)
            )

    def _wrote(self, said: Share | Done) -> None:
        if isinstance(said, Share) or said.stopped:
            return
        if said.faults:
            says = "\n".join(f"{text}." for _, text in said.faults)
            self.desk.notify(says, title="Not written", severity="error", timeout=10, markup=False)
            return
        names = [path.rpartition("/")[2] for path in said.answer.paths]
        title = f"Written to {self.beside.folder}"
        self.desk.notify("\n".join(names[:6]), title=title, timeout=6, markup=False)
        if self.session.number == self._wrote_of:
            did(self.session, "files")
            self.desk.say_next()
        self.beside.changed("actions")
        self.later()

    def take_ink(self) -> None:
        """Have the plan reckon with the share of the frame that the artwork really inks."""
        found = self.shown("artwork")
        if self.session.words.get("text"):
            self.desk.notify("The plan already uses the real dark share of your words.", timeout=4)
            return
        if found.value is None or not found.fresh:
            self.desk.notify("There is no drawing yet: press Ctrl+E to choose a drawing.", timeout=4, markup=False)
            return
        self.session.edit_all({"artwork.ink": f"{100 * found.value.ink_share:.2g} %"})
        self.desk.refresh_all()
