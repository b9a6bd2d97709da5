"""The screen in any of its forms, the version, and what a shell completes by."""

import sys
from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import Parameter

from rotary.cli.fronts import fronts
from rotary.cli.jobs import NamedJob
from rotary.cli.options import CHOICE, HERE, JOB, Inches, Store, Where, store_of, whole
from rotary.cli.output import OK, say
from rotary.errors import BadArgument, FileTrouble, brief

PORT: Final = 7480
MOST_SCREENS: Final = 3


def start() -> int:
    """No command: the screen, or the setup sheet of a shipped example where there is no terminal."""
    if _in_terminal():
        return _screen(None)
    from rotary.cli.print_commands import setup_in_lines
    from rotary.shipped import FIRST

    return setup_in_lines(NamedJob(FIRST))


def version() -> int:
    """Print the version.

    Example: rotary --version
    """
    from rotary.shipped import tool_version

    say(f"rotary {tool_version()}\n")
    return OK


def completion(shell: Annotated[Literal["bash", "zsh", "fish"], CHOICE], /) -> int:
    """Print what a shell completes this command line by.

    Example: rotary --completion bash > ~/.local/share/bash-completion/completions/rotary

    :param shell: bash, zsh or fish
    """
    from rotary.cli.words import tree

    say(tree().generate_completion(shell=shell))
    return OK


def open_(
    job: Annotated[str | None, JOB, Parameter(name="JOB", help="a job file, an example, or a saved profile")] = None,
    /,
    *,
    browser: bool = False,
    ask: bool = False,
    all: bool = False,  # noqa: A002  (the word that is typed)
    inches: Inches = False,
    store: Store = None,
    address: str = "127.0.0.1",
    port: Annotated[int, whole(1, 65535)] = PORT,
    called: list[str] | None = None,
    most: Annotated[int, whole(1, 20)] = MOST_SCREENS,
    files: Path | None = None,
) -> int:
    """Open the screen, which answers while you type.

    Example: rotary open regatta-bottle

    :param browser: for a web browser, such as a tablet's beside the machine
    :param ask: as questions in plain lines, for screen readers and pipes
    :param all: with --ask: the facts that few need, too
    :param address: with --browser: this computer's address for a tablet (if left out, only this computer reaches it)
    :param port: with --browser: the port (7480)
    :param called: with --browser: another name by which a tablet calls this computer
    :param most: with --browser: how many screens at once (3)
    :param files: with --browser: the one folder whose files may be chosen (this one)
    """
    if browser and ask:
        raise BadArgument("--browser and --ask are two ways to open: write one of them")
    if browser:
        return _in_browser(job, address, port, tuple(called or ()), most, files or Path())
    if ask:
        return _questions(job, Where(store=store, inches=inches), all)
    if not _in_terminal():
        raise BadArgument("the screen needs a terminal; for plain text write: rotary print setup JOB")
    if job is None:
        return _screen(None)
    from rotary.services.jobs import tables_of_job

    path = NamedJob(job).path
    # A file that is only unfinished is for the screen to mend.
    tables_of_job(path, job)
    return _screen(str(path))


def _in_terminal() -> bool:
    # The screen is drawn on the third of them, so that one led to a file would leave it blank.
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def _screen(job_path: str | None) -> int:
    try:
        return fronts.get().desk(job_path)
    except ModuleNotFoundError as missing:
        says = f"the screen can't open, {missing.name} is not installed: install it, or write: rotary print setup JOB"
        raise FileTrouble(says) from None


def _questions(name: str | None, where: Where, everything: bool) -> int:
    from rotary.services.jobs import tables_of_job

    if sys.stdin is None or sys.stdout is None:
        raise FileTrouble("questions need an input to be answered from and an output: leave both open")
    data, path = None, None
    if name is not None:
        path = NamedJob(name, where).path
        data = tables_of_job(path, name)
    try:
        return fronts.get().ask(data, where.system, store_of(where.store), everything, path)
    except ModuleNotFoundError as missing:
        raise FileTrouble(f"the questions can't be asked, {missing.name} is not installed: install it") from None


def _in_browser(name: str | None, address: str, port: int, called: tuple[str, ...], most: int, folder: Path) -> int:
    """Serve the screen until Ctrl+C."""
    from rotary.files import bytes_of_job_file

    job = None
    if name is not None:
        path = NamedJob(name, HERE).path
        # What can't be read is said here, once, and not on every page.
        bytes_of_job_file(path)
        job = str(path.resolve())
    if not folder.is_dir():
        raise FileTrouble(f"{brief(folder, 80)} is no folder: name one that is there after --files")
    try:
        return fronts.get().browser(job, address, port, called, most, folder)
    except ModuleNotFoundError as missing:
        says = f"the screen in a browser needs {missing.name}: write pip install 'rotary[browser]'"
        raise FileTrouble(says) from None
