"""What the desk has worked out beside itself: artwork, pictures, the actions with the artwork laid out, files."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from rotary.shipped import profile_folder
from tui.background.tasks import Done, Errand, Share
from tui.drawings.canvas import Canvas
from tui.drawings.pictures import BESIDE
from tui.form.facts import has_ink
from tui.form.fields import Tables
from tui.screens.working import Working

if TYPE_CHECKING:
    from tui.form.job_form import Session
    from tui.terminal.images import Images
    from tui.widgets.panel import Panel


class DeskWork(Working):
    """Longer work of the desk, and who is told what came of it."""

    session: "Session"
    preview: Callable[[Share | Done], None] | None = None
    papers: Callable[[Share | Done], None] | None = None
    answered: Callable[[], None] | None = None
    """Who is told that the core has answered, besides the desk."""
    images: "Images"
    _writes = 0

    @property
    def picture_name(self) -> str:
        """Which picture is shown."""
        raise NotImplementedError

    def refresh_form(self) -> None:
        """What is wrong with the fields has changed."""
        raise NotImplementedError

    def panel(self, name: str) -> "Panel":
        """One of the panels."""
        raise NotImplementedError

    def refresh_all(self) -> None:
        """The session was changed from outside the form."""
        raise NotImplementedError

    def no_drawing(self) -> None:
        """There is nothing to write yet: ask for the drawing."""
        raise NotImplementedError

    def _job_beside(self) -> tuple[Tables, str, str]:
        return self.session.data(), self.session.system, str(profile_folder())

    def has_beside(self, name: str) -> bool:
        """Whether a picture shows anything besides the plan in this job."""
        return name in BESIDE and (name != "unrolled" or has_ink(self.session))

    def work_wanted(self) -> tuple[str, ...]:
        """The artwork wherever there is any, because its fields have to say what is wrong; others while in sight."""
        if self.session.verdict is None or self.session.verdict.plan is None:
            return ()
        names = [name for name in BESIDE if self.has_beside(name)]
        shown = [BESIDE[name] for name in names if name == "unrolled" or name == self.picture_name]
        if "front" in shown and self.images.is_awaited():
            shown.remove("front")
        return (*shown, *(["actions"] if self.has_beside("unrolled") else []))

    def work_more(self, what: str) -> tuple[str, ...]:
        """The saved file that the job comes from; and how often files were written, since they are looked at again. Of
        the picture from the front how many cells it has with its words, how high they are, and their pixels."""
        if what == "front":
            room, cell = self.panel("picture").scrollable_content_region, self.images.cell
            return f"{room.width}", f"{room.height}", f"{Canvas.aspect:.2f}", *(cell.words() if cell else ())
        return (*self.session.today, f"{self._writes}") if what == "actions" else ()

    def work_told(self, what: str) -> None:
        """Paint what has come, and mark the fields that it complains of."""
        if what == "actions":
            found = self.shown_beside(what)
            if found.fresh and found.value is not None and not self.session.stale:
                self.session.actions = found.value.actions
                self.panel("standing").redraw()
                self.panel("numbers").redraw()
                self.tell_answered()
        if what == "artwork":
            self.session.found_beside(self.beside.faults(what))
            self.refresh_form()
            self.panel("standing").redraw()
            self.panel("hint").redraw()
        if BESIDE.get(self.picture_name) == what:
            self.panel("picture").redraw()

    def tell_answered(self) -> None:
        """Tell whoever looks at the same job."""
        if self.answered is not None:
            self.answered()

    def work_said(self, said: Share | Done) -> None:
        """Previews, papers and files go to whoever asked for them."""
        if said.what == "files":
            self._wrote(said)
        elif said.what in ("preview", "print"):
            taker = self.preview if said.what == "preview" else self.papers
            if taker is not None:
                taker(said)
        else:
            super().work_said(said)

    # -- the files to import

    async def action_write_files(self) -> None:
        """Write the files that the marking program imports."""
        session = self.session
        if session.stale:
            self.notify("Put right what is marked ! first.", timeout=4, markup=False)
        elif not has_ink(session):
            self.no_drawing()
        else:
            self._writes += 1
            more = tuple(session.today)
            self.errands.ask(
                Errand("files", f"{self._writes}", session.data(), session.system, str(self.beside.folder), more)
            )

    def _wrote(self, said: Share | Done) -> None:
        if isinstance(said, Share) or said.stopped:
            return
        if said.faults:
            says = "\n".join(f"{text}." for _, text in said.faults)
            self.notify(says, title="Not written", severity="error", timeout=10, markup=False)
            return
        names = [path.rpartition("/")[2] for path in said.answer.paths]
        self.notify("\n".join(names[:6]), title=f"Written to {self.beside.folder}", timeout=6, markup=False)
        self.beside.changed("actions")
        self.work_later()

    def action_take_ink(self) -> None:
        """Have the plan reckon with the share of the frame that the artwork really inks."""
        found = self.shown_beside("artwork")
        if self.session.words.get("text"):
            self.notify("The plan counts the words' own ink already.", timeout=4)
            return
        if found.value is None or not found.fresh:
            self.notify("No artwork has been read yet: Ctrl+E looks for one.", timeout=4, markup=False)
            return
        self.session.edit_all({"artwork.ink": f"{100 * found.value.ink_share:.2g} %"})
        self.refresh_all()

    def on_app_focus(self) -> None:
        """The window is looked at again: a drawing may have been changed meanwhile."""
        self.work_later()
