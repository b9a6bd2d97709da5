"""The one folder in which files may be chosen, where the desk runs for a browser; in a terminal, any."""

import os
from pathlib import Path
from typing import Final

HELD_TO: Final = "ROTARY_HELD_TO"
"""The environment variable that names the folder."""


def folder_held_to() -> Path | None:
    """The folder that file names are held to, None where they are free."""
    named = os.environ.get(HELD_TO, "")
    return Path(named).resolve() if named else None


def why_outside(path: Path) -> str:
    """A sentence if a file lies outside the folder, links followed; else nothing.

    >>> why_outside(Path("anywhere.svg"))
    ''
    """
    folder = folder_held_to()
    if folder is None or (folder / path).resolve().is_relative_to(folder):
        return ""
    return f"in a browser only files in {folder.name}, and folders in it, can be named: put the file there"


def placed(path: Path) -> Path:
    """Where a name leads: from the folder that names are held to, else as it stands."""
    folder = folder_held_to()
    return path if folder is None else folder / path
