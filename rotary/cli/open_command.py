"""The screen in any of its forms, the version, and what a shell completes by."""

import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Final, Literal

from rotary.cli import core
from rotary.cli.fronts import fronts
from rotary.cli.jobs import NamedJob
from rotary.cli.options import PaperTo, options, with_job
from rotary.cli.output import say
from rotary.cli.values import CHOICE, JOB, File, Inches, Store, whole
from rotary.cli.words import tree
from rotary.errors import BadArgument, FileTrouble, brief
from rotary.files import bytes_of_job_file, is_folder

LINES: Final = "write: rotary print setup JOB"
NO_SCREEN: Final = f"the screen can't open, because {{}} is not installed: install rotary again, or {LINES}"
NO_QUESTIONS: Final = "rotary can't ask questions, because {} is not installed: install rotary again"
ZSH_CALLS_IT: Final = 'if [ "$funcstack[1]" = _rotary ]; then _rotary "$@"; else compdef _rotary rotary; fi\n'
"""The shell takes the script in a file that is called as its function, or sourced."""
BASH_TAKES_FILES: Final = "complete -o default -F _rotary rotary\n"
"""Where no word fits, a job file may."""
NO_BROWSER: Final = "a screen in the browser needs {}, which is not installed: write pip install 'rotary[browser]'"


@options
class Served:
    """How the screen is served to a browser.

    :param address: with --browser: this computer's network address, so that a tablet can open the screen (if left out,
        only this computer can)
    :param port: with --browser: the port number of the address (7480 if left out)
    :param called: with --browser: another network name of this computer, like shop-pc.local
    :param most: with --browser: how many screens can be open at once (3 if left out)
    :param files: with --browser: the only folder that the screen reads and writes (if left out, the folder you are in)
    """

    address: str = "127.0.0.1"
    port: Annotated[int, whole(1, 65535)] = 7480
    called: list[str] | None = None
    most: Annotated[int, whole(1, 20)] = 3
    files: File = Path()


def start() -> int:
    """No command: the screen, or the setup sheet of a shipped example where there is no terminal."""
    if _in_terminal():
        return _front(lambda: fronts.get().desk(None), NO_SCREEN)
    from rotary.cli.print_commands import setup

    return setup(NamedJob(name=core.shipped.FIRST), PaperTo())


def version() -> int:
    """Print the version.

    Example: rotary --version
    """
    return say(f"rotary {core.shipped.tool_version()}\n")


def completion(shell: Annotated[Literal["bash", "zsh", "fish"], CHOICE], /) -> int:
    """Print a script that lets your shell complete rotary's commands when you press Tab.

    Make the folder first, then open a new terminal. For zsh, save the script as _rotary in a folder of your fpath.

    Example: rotary --completion bash > ~/.local/share/bash-completion/completions/rotary

    Example: rotary --completion fish > ~/.config/fish/completions/rotary.fish

    :param shell: bash, zsh or fish
    """
    script = tree().generate_completion(shell=shell)
    if shell == "zsh":
        script = script.replace("_cyclopts_rotary", "_rotary") + ZSH_CALLS_IT
    return say(script + BASH_TAKES_FILES if shell == "bash" else script)


def open_(
    job: Annotated[str | None, JOB] = None,
    /,
    *,
    served: Served,
    browser: bool = False,
    ask: bool = False,
    all: bool = False,  # noqa: A002  (the word that is typed)
    inches: Inches = False,
    store: Store = None,
) -> int:
    """Open the screen: you fill in what you know, and the numbers change while you type.

    Example: rotary open regatta-bottle

    :param job: the name of a job file, an example or a saved job
    :param browser: open the screen in a web browser, for example on a tablet at the machine
    :param ask: ask one question after another instead of opening the screen (for a screen reader, or answers from a
        file)
    :param all: with --ask: also ask for facts that few jobs need
    """
    if browser and ask:
        raise BadArgument("--browser and --ask can't be used together: leave one out")
    if not browser and not ask and not _in_terminal():
        raise BadArgument(f"the screen needs a terminal. For plain text, {LINES}")
    if ask and (sys.stdin is None or sys.stdout is None):
        raise FileTrouble(
            "rotary can't ask you questions here: start rotary open --ask in a terminal, or send answers from a file"
        )
    named = NamedJob(name=job or "-", store=store, inches=inches)
    path = named.path if job else None
    if browser:
        return _in_browser(path, served)
    # A file that is only unfinished is for the screen to mend.
    data = None if path is None else core.jobs.tables_of_job(path, named.name)
    if not ask:
        return _front(lambda: fronts.get().desk(str(path) if path else None), NO_SCREEN)
    return _front(lambda: fronts.get().ask(data, named.system, named.profiles, all, path), NO_QUESTIONS)


def _in_terminal() -> bool:
    # The screen is drawn on the third of them, so that one led to a file would leave it blank.
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def _front(opens: Callable[[], int], says: str) -> int:
    try:
        return opens()
    except ModuleNotFoundError as missing:
        raise FileTrouble(says.format(missing.name)) from None


def _in_browser(path: Path | None, how: Served) -> int:
    """Serve the screen until Ctrl+C."""
    if path is not None:
        # What can't be read is said here, once, and not on every page.
        bytes_of_job_file(path)
    if not is_folder(how.files):
        raise FileTrouble(f"{brief(how.files, 80)} is not a folder: name an existing folder after --files")
    if not how.address.strip():
        # An empty one would be every address of this computer.
        raise BadArgument(
            "--address is empty: write this computer's own address, such as 192.168.1.20, or leave --address out"
        )
    if wrong := [name for name in how.called or () if not re.fullmatch(r"[\w.-]{1,253}", name)]:
        raise BadArgument(f"--called {brief(wrong[0])} is not a network name: write a name like shop-pc.local")
    job, called = str(path.resolve()) if path else None, tuple(how.called or ())
    return _front(lambda: fronts.get().browser(job, how.address, how.port, called, how.most, how.files), NO_BROWSER)


app = with_job(open_)
