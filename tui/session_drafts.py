"""A program that keeps drafts: what is not saved on its desk survives a crash and a closed window."""

import asyncio
import os
import signal
import time
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from tui.disk.drafts import Drafts, LeftDraft

if TYPE_CHECKING:
    from tui.app import Rotary


class SessionDrafts:
    """The draft of a program's session, and those that others left behind."""

    def __init__(self, app: "Rotary") -> None:
        self.app, self.session, self.desk = app, app.session, app.desk
        self.drafts = Drafts(app.folder)

    def begin(self) -> None:
        """Offer what a program left behind that ended without asking; from here on keep a draft of this one."""
        self.desk.on_change = self.keep
        for name in ("SIGHUP", "SIGTERM"):
            # Where there are no such signals, or no loop that takes them, a draft is at most a moment old.
            with suppress(NotImplementedError, ValueError, RuntimeError, AttributeError):
                asyncio.get_running_loop().add_signal_handler(getattr(signal, name), self._ended, name)
        self._offer(self.drafts.left_behind())

    def _offer(self, left: list[LeftDraft]) -> None:
        """One draft after the other, the newest first."""
        from tui.screens.ask import Ask

        if not left:
            return
        first, others = left[0], left[1:]
        when = time.strftime("%d %B, %H:%M", time.localtime(first.at_s))

        def answered(answer: str | None) -> None:
            if answer == "open" and self._take_up(first):
                return
            if answer == "discard":
                self.drafts.drop(first)
            self._offer(others)

        more = f" If you don't open it, you are asked about {len(others)} more." if others else ""
        self.app.push_screen(
            Ask(f"You have unsaved work on {first.name}, from {when}: the window closed before you saved.{more}",
                ("open", "discard", "later")), answered,
        )  # fmt: skip

    def _take_up(self, left: LeftDraft) -> bool:
        try:
            self.session.restore(left.state)
        except (KeyError, TypeError, ValueError):
            self.app.notify(
                "This unsaved work is from another version of rotary and can't be opened here. It stays as it is.",
                severity="warning",
            )
            return False
        folder = left.state.get("beside")
        if isinstance(folder, str) and folder:
            self.desk.work.beside.folder = Path(folder)
        self.desk.refresh_all()
        self.drafts.taken(left)
        return True

    def keep(self) -> None:
        """What stands on the desk has changed."""
        if self.session.unsaved:
            self.drafts.keep({**self.session.state(), "beside": str(self.desk.work.beside.folder)})
        else:
            self.drafts.clear()

    def _ended(self, name: str) -> None:
        self.drafts.end()
        if name == "SIGHUP":
            # There is no terminal any more that could be tidied up.
            os._exit(129)
        self.app.exit(143)

    def clear(self) -> None:
        """What stood on the desk is saved, or was given up."""
        self.drafts.clear()

    def end(self) -> None:
        """The program ends; only a person who was asked, or a save, clears the draft."""
        self.drafts.end()
