"""The twelve words behind `rotary`, and what stands anywhere; no module of a word is loaded before it is typed."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from cyclopts import App

WORDS: Final = {
    "open": ("open_command:app", "the screen, in a terminal, a browser, or as questions in plain lines"),
    "plan": ("plan_command:app", "the plan of a job: whether it is ready, what to type, what to do"),
    "print": ("print_commands:app", "papers: setup sheet, test patch, machine tests, template"),
    "art": ("art_commands:app", "files for your marking program, and where their marks will land"),
    "inscribe": ("inscribe_command:app", "words on small parts: the largest letters that fit, and the files to mark"),
    "patch": ("patch_commands:app", "test patches: make them, and record what you saw"),
    "depth": ("depth_commands:app", "depth in bare metal: plan the passes, record what you measured"),
    "machine": ("machine_commands:app", "your machine: its tests, your readings, what your program can do"),
    "profile": ("profile_commands:app", "saved jobs: find and repeat what worked"),
    "log": ("log_commands:app", "your runs, and how they came out"),
    "resume": ("print_commands:resume_app", "finish an item after a stop, or after it came off the rotary"),
    "job": ("job_commands:app", "job files: examples to start from, and your measurements written into a job"),
}
"""Every word behind `rotary`, in the order of the work: where its commands are, and what it is for."""

OLD_TOO: Final = frozenset({"plan", "inscribe", "patch", "depth", "resume"})
"""Words that earlier versions had as well, seldom with the same behind them."""

ALONE: Final = {
    "--version": ("open_command:version", "print the version"),
    "--completion": ("open_command:completion", "print a script that lets your shell complete commands"),
}
"""What stands alone behind `rotary`."""

EVERYWHERE: Final = {
    "-q": "print only the answer, no hints and no list of written files",
    "--quiet": "print only the answer, no hints and no list of written files",
    "--yes": "replace files without asking", "-y": "replace files without asking",
    "--dry-run": "try the command, but write nothing",
}  # fmt: skip
"""What stands anywhere behind any command."""


RENAMED: Final = {"--card": "--sheet", "--band-from": "--usable-from", "--band-to": "--usable-to"}
"""Options that had another name before, which is still read."""

_LIKE_OURS: Final = {
    "new": "add create start", "add": "new create record", "save": "add create commit stash new",
    "job example": "init new", "machine new": "init", "find": "search grep", "delete": "rm remove",
    "rename": "mv", "copy": "cp clone fork branch duplicate",
    "import": "clone pull fetch", "history": "log blame", "show": "status get view info log",
    "list": "search ls show status", "example": "create ls list new", "restore": "undo revert reset checkout",
    "open": "start edit checkout gui tui ui app", "ignore": "rm remove undo delete reset", "compare": "diff",
    "resolve": "merge", "export": "push backup remote sync", "note": "tag label", "record program": "label",
    "repair": "fix doctor", "bin": "trash empty purge", "record": "add read write set result measure edit new",
    "machine record program": "config eyewear", "check": "verify simulate validate", "dots": "png photo image",
    "job schema": "coatings metals materials lasers", "art names": "batch", "machine show": "config settings",
    "tests": "check calibrate test", "repeat": "run", "art slice": "write mark slice slices svg",
    "plan": "check verify validate run mark focus power speed passes safety time quote",
    "print picture": "preview draw", "--help": "help", "--version": "-v version", "--completion": "completion",
    "setup": "card sheet all pdf", "machine record": "measure", "machine tests": "calibrate", "print patch": "test",
    "inscribe": "text engrave letters words serial", "depth plan": "engrave", "art check": "simulate",
    "resume": "continue", "art dots": "photo image", "open --browser": "web serve", "art slice --dxf": "dxf",
    "log list": "runs", "patch new": "proof", "machine level": "tilt shim",
    "--yes": "--force -f", "--browser": "--web", "--to": "--output -o", "--json": "--format", "--inches": "--imperial",
    "--laser": "--head", "--details": "--verbose -v", "--quiet": "--silent",
    "--dry-run": "-n --no-act", "--as": "--name",
}  # fmt: skip
"""Commands and options here, and the words of other tools for the same; of two for one word the likelier is first."""

LIKE: Final[dict[str, tuple[str, ...]]] = {
    word: tuple(ours for ours, others in _LIKE_OURS.items() if word in others.split())
    for word in " ".join(_LIKE_OURS.values()).split()
}
"""The same by the words of other tools."""


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
        help="rotary works out the numbers to type for marking a round item. Without a command, it opens the screen.",
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
