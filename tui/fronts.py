"""The screen's front ends, as the command line opens them; each loads its own libraries when it is opened."""

from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.cli.fronts import Fronts

if TYPE_CHECKING:
    from tui.form.fields import Tables


def _desk(job_path: str | None) -> int:
    from tui.start import run

    return run(job_path)


def _ask(data: "Tables | None", system: str, folder: Path, everything: bool, job: Path | None) -> int:
    from tui.plain.run import run

    return run(data, system, folder, everything, job)


def _browser(job: str | None, address: str, port: int, called: tuple[str, ...], most: int, folder: Path) -> int:
    from tui.browser.server import run

    return run(job, address, port, called, most, folder)


FRONTS: Final = Fronts(_desk, _ask, _browser)
