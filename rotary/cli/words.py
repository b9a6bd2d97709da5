"""The twelve words behind `rotary`, and what stands anywhere; no module of a word is loaded before it is typed."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cyclopts import App

WORDS: Final = {
    "open": ("open_command:app", "the screen, in a terminal, a browser, or as questions in plain lines"),
    "plan": ("plan_command:app", "the plan of a job: verdict, what to type, what to do"),
    "print": ("print_commands:app", "papers: setup sheet, test patch, machine tests, template"),
    "art": ("art_commands:app", "files for the marking program, and a simulation of them"),
    "inscribe": ("inscribe_command:app", "words on small parts: their size, their files"),
    "patch": ("patch_commands:app", "test patches, and their readings"),
    "depth": ("depth_commands:app", "depth in bare metal, planned and measured"),
    "machine": ("machine_commands:app", "your machine as measured, and what your program can do"),
    "profile": ("profile_commands:app", "saved jobs, to find and repeat what worked"),
    "log": ("log_commands:app", "runs: what you ran, and how it came out"),
    "resume": ("print_commands:resume_app", "a job that was stopped, or an item that was re-mounted"),
    "job": ("job_commands:app", "job files: examples, schema, the job as measured"),
}
"""Every word behind `rotary`, in the order of the work: where its commands are, and what it is for."""

OLD_TOO: Final = frozenset({"plan", "inscribe", "patch", "depth", "resume"})
"""Words that earlier versions had as well, seldom with the same behind them."""

ALONE: Final = {
    "--version": ("open_command:version", "print the version"),
    "--completion": ("open_command:completion", "print the completion script for your shell"),
}
"""What stands alone behind `rotary`."""

EVERYWHERE: Final = {
    "-q": "says less", "--quiet": "says less", "--yes": "replaces without asking", "-y": "replaces without asking",
    "--dry-run": "writes nothing",
}  # fmt: skip
"""What stands anywhere behind any command."""


RENAMED: Final = {"--card": "--sheet", "--band-from": "--usable-from", "--band-to": "--usable-to"}
"""Options that had another name before, which is still read."""

LIKE: Final[dict[str, tuple[str, ...]]] = {
    "add": ("new", "save"), "create": ("new", "save", "example"), "init": ("job example", "machine new"),
    "start": ("new", "open"), "edit": ("open",), "search": ("find", "list"), "ls": ("list", "example"),
    "list": ("example",), "show": ("list",),
    "grep": ("find",), "rm": ("delete", "ignore"), "remove": ("delete", "ignore"), "mv": ("rename",), "cp": ("copy",),
    "clone": ("copy", "import"), "fork": ("copy",), "status": ("show", "list"), "get": ("show",), "view": ("show",),
    "info": ("show",), "log": ("history",), "undo": ("restore", "ignore"), "revert": ("restore",),
    "reset": ("restore",), "checkout": ("restore", "open"), "diff": ("compare",), "merge": ("resolve",),
    "commit": ("save",), "stash": ("save",), "push": ("export",), "pull": ("import",), "fetch": ("import",),
    "backup": ("export",), "tag": ("note",), "label": ("note", "record program"), "fix": ("repair",),
    "trash": ("bin",), "read": ("record",), "write": ("record", "art slice"), "set": ("record",),
    "config": ("machine record program", "machine show"), "settings": ("machine show",),
    "check": ("tests", "plan"), "validate": ("plan",), "run": ("repeat", "plan"), "preview": ("print picture",),
    "draw": ("print picture",), "result": ("record",), "help": ("--help",), "-v": ("--version",),
    "version": ("--version",), "completion": ("--completion",), "card": ("setup",), "sheet": ("setup",),
    "branch": ("copy",), "duplicate": ("copy",), "blame": ("history",), "doctor": ("repair",), "remote": ("export",),
    "measure": ("record", "machine record"), "calibrate": ("tests", "machine tests"), "test": ("tests", "print patch"),
    "mark": ("plan", "art slice"), "focus": ("plan",), "power": ("plan",), "speed": ("plan",), "passes": ("plan",),
    "text": ("inscribe",), "engrave": ("inscribe", "depth plan"), "letters": ("inscribe",), "words": ("inscribe",),
    "simulate": ("art check",), "continue": ("resume",), "photo": ("art dots",), "image": ("art dots",),
    "gui": ("open",), "tui": ("open",), "ui": ("open",), "app": ("open",), "web": ("open --browser",),
    "serve": ("open --browser",), "slice": ("art slice",), "slices": ("art slice",), "svg": ("art slice",),
    "dxf": ("art slice --dxf",), "serial": ("inscribe",), "all": ("setup",), "runs": ("log list",),
    "proof": ("patch new",), "tilt": ("machine level",), "shim": ("machine level",), "safety": ("plan",),
}  # fmt: skip
"""Words that other tools have, and the commands here that do the same, likeliest first."""

LIKE_OPTIONS: Final = {
    "--force": "--yes", "-f": "--yes", "--output": "--to", "-o": "--to", "--format": "--json", "--imperial": "--inches",
    "--head": "--laser",
    "--verbose": "--details", "-v": "--details", "--silent": "--quiet", "-n": "--dry-run", "--no-act": "--dry-run",
}  # fmt: skip
"""Options that other tools have, and those here that do the same, where a command has them."""


def renamed(words: Sequence[str], names: Mapping[str, str]) -> list[str]:
    """Every option under its name of today; behind -- every word is meant as it stands."""
    end = [*words, "--"].index("--")
    parts = [word.partition("=") for word in words[:end]]
    return [*(names.get(name, name) + sign + value for name, sign, value in parts), *words[end:]]


def tree() -> "App":
    """The whole command line; no module of a word is loaded yet."""
    from cyclopts import App, Parameter

    app = App(
        name="rotary",
        help="From a measured round item to the numbers to type. Without a command it opens the screen.",
        version_flags=[],
        exit_on_error=False,
        print_error=False,
        suppress_keyboard_interrupt=False,
        result_action="return_value",
        default_parameter=Parameter(negative="", show_default=False),
    )
    for place, (word, (where, line)) in enumerate({**WORDS, **ALONE}.items()):
        app.command(f"rotary.cli.{where}", name=word, help=line, sort_key=place)
    return app
