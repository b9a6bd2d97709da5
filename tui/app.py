"""The screen program: themes, the desk, saving and leaving. The heavy core is not loaded here."""

import gc
import os
import sys
import tomllib
from pathlib import Path
from typing import Any, ClassVar

os.environ.setdefault("TEXTUAL_FPS", "120")

from textual.app import App
from textual.binding import Binding

from rotary.shipped import profiles
from tui.screens.desk import Desk
from tui.session import Session
from tui.themes import THEMES

FIRST_EXAMPLE = "regatta-bottle.toml"


class Rotary(App[int]):
    """The desk as a program."""

    TITLE = "rotary"
    CSS_PATH: ClassVar = ["styles/desk.tcss"]
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar = [
        Binding("f1", "help", "Help"),
        Binding("ctrl+s", "save", "Save", priority=True),
        Binding("ctrl+q", "quit", "Leave", priority=True),
        Binding("f9", "theme", "Light or dark"),
    ]

    def __init__(self, data: dict[str, Any], system: str = "mm", ascii_only: bool = False) -> None:
        super().__init__()
        self.session = Session(data, system)
        self.desk = Desk(self.session, ascii_only)

    def on_mount(self) -> None:
        """Put the desk up."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = THEMES[0].name
        self.push_screen(self.desk)

    def action_theme(self) -> None:
        """Change between the dark and the light theme."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)] if self.theme in names else names[0]


def run(job_path: str | None = None) -> int:
    """Open the desk on a job file, or on the worked example; the exit code is 0 unless the file can't be read."""
    data = tomllib.loads(
        Path(job_path).read_text("utf-8") if job_path else (profiles() / FIRST_EXAMPLE).read_text(encoding="utf-8")
    )
    gc.disable()
    app = Rotary(data, ascii_only=not _can_draw())
    app.run()
    return app.return_value or 0


def _can_draw() -> bool:
    """Whether this terminal can be expected to show braille dots and half blocks."""
    asked = os.environ.get("ROTARY_PICTURES", "")
    if asked:
        return asked != "ascii"
    return (sys.stdout.encoding or "").lower().replace("-", "") == "utf8" and os.environ.get("TERM") not in ("linux", "dumb")
