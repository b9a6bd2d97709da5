"""The desk for a web browser: what the command takes, and how it opens."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.cli.options import Adder, whole
from rotary.errors import FileTrouble, brief

if TYPE_CHECKING:
    from rotary.cli.fronts import Fronts

PORT: Final = 7480
MOST_DESKS: Final = 3

NEEDS: Final = "the desk in a browser needs {}: write pip install 'rotary[browser]'"


def add_browser_command(command: Adder) -> None:
    """Add the command that serves the desk to a browser."""
    added = command(
        "browser", browser, "open the desk for a web browser, such as a tablet's beside the machine", "rotary browser"
    )
    added.add_argument("job", metavar="JOB", nargs="?", help="a job file or the name of a shipped example")
    added.add_argument(
        "--address",
        metavar="ADDRESS",
        default="127.0.0.1",
        help="this machine's own address that a tablet calls (only this machine reaches it if left out)",
    )
    added.add_argument("--port", metavar="N", type=whole(1, 65535), default=PORT, help=f"the port ({PORT})")
    added.add_argument(
        "--called",
        metavar="NAME",
        action="append",
        default=[],
        help="another name by which the tablet calls this machine; several times for several",
    )
    added.add_argument(
        "--most", metavar="N", type=whole(1, 20), default=MOST_DESKS, help=f"how many desks at once ({MOST_DESKS})"
    )
    added.add_argument(
        "--files", metavar="FOLDER", help="the one folder whose files may be chosen (where you are, if left out)"
    )


def browser(asked: argparse.Namespace) -> int:
    """Serve the desk until Ctrl+C."""
    from rotary.cli.jobs import path_of_job
    from rotary.files import bytes_of_job_file

    job = None
    if asked.job is not None:
        path = path_of_job(asked.job)
        # What can't be read is said here, once, and not on every page.
        bytes_of_job_file(path)
        job = str(path.resolve())
    folder = Path(asked.files) if asked.files is not None else Path()
    if not folder.is_dir():
        raise FileTrouble(f"{brief(folder, 80)} is no folder: name one that is there after --files")
    fronts: Fronts = asked.fronts
    try:
        return fronts.browser(job, asked.address, asked.port, tuple(asked.called), asked.most, folder)
    except ModuleNotFoundError as missing:
        raise FileTrouble(NEEDS.format(missing.name)) from None
