"""The desk's questions as plain lines: what the command takes, and how it begins."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.options import Adder, folder_argument, inches_argument
from rotary.errors import FileTrouble
from rotary.services.jobs import tables_of_job

if TYPE_CHECKING:
    from rotary.cli.fronts import Fronts


def add_ask_command(command: Adder) -> None:
    """Add the command that asks."""
    added = command(
        "ask", ask, "ask for a job field by field in plain lines, for screen readers and pipes", "rotary ask"
    )
    added.add_argument("job", metavar="JOB", nargs="?", help="a job to go through (a new one if left out)")
    added.add_argument("--all", action="store_true", help="ask the fields that few need, too")
    inches_argument(added)
    folder_argument(added)


def ask(asked: argparse.Namespace) -> int:
    """Ask, then say the numbers, and offer to keep profile and card."""
    from rotary.cli.jobs import path_of_job, system_of
    from rotary.store.places import profile_folder

    if sys.stdin is None or sys.stdout is None:
        raise FileTrouble("questions need an input to be answered from and an output: leave both open")
    data, job = None, None
    if asked.job is not None:
        job = path_of_job(asked.job)
        data = tables_of_job(job, asked.job)
    folder = Path(asked.folder) if asked.folder else profile_folder()
    fronts: Fronts = asked.fronts
    try:
        return fronts.ask(data, system_of(asked), folder, asked.all, job)
    except ModuleNotFoundError as missing:
        raise FileTrouble(f"the questions can't be asked, {missing.name} is not installed: install it") from None
