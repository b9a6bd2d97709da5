"""What a person has set for their screen: how high its cells are, theme, characters. No terminal in here."""

import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble
from rotary.files import make_shared, regular_bytes, write_whole
from tui.form.fields import JobTables

FILE: Final = ".desk.json"
MOST_BYTES: Final = 100_000
LEAST_ASPECT, MOST_ASPECT = 1.4, 3.2
STEP: Final = 0.05


@dataclass(slots=True)
class Settings:
    """Settings of the screen; None is what was never set."""

    aspect: float | None = None
    theme: str | None = None
    ascii_only: bool | None = None
    cells_only: bool | None = None

    def stepped(self, now: float, by: int) -> float:
        """The next cell height up or down.

        >>> Settings().stepped(2.0, 1), Settings().stepped(1.4, -1)
        (2.05, 1.4)
        """
        self.aspect = min(max(round(now + by * STEP, 2), LEAST_ASPECT), MOST_ASPECT)
        return self.aspect


def read(folder: Path) -> Settings:
    """What is set in this folder; what can't be read was never set."""
    try:
        found = json.loads(regular_bytes(folder / FILE, MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return Settings()
    return _checked(found) if isinstance(found, Mapping) else Settings()


def _checked(found: JobTables) -> Settings:
    aspect, theme = found.get("aspect"), found.get("theme")
    plain, cells = (
        value if isinstance(value, bool) else None for value in map(found.get, ("ascii_only", "cells_only"))
    )
    good = isinstance(aspect, int | float) and LEAST_ASPECT <= aspect <= MOST_ASPECT
    return Settings(
        float(aspect) if good and aspect is not None else None,
        theme if isinstance(theme, str) else None,
        plain,
        cells,
    )


def keep(settings: Settings, folder: Path) -> None:
    """Keep them; where that can't be they hold until the program ends."""
    with suppress(OSError, FileTrouble):
        make_shared(folder)
        write_whole(folder / FILE, json.dumps(asdict(settings)).encode(), shared=True)
