"""Help as plain text: names on the left, what they mean beside them, as wide as the terminal.

It is made from the tree of commands itself: the library's own pages draw with colours and take twice as long to come.
"""

import re
import shutil
import textwrap
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, get_args

from rotary.cli.output import EXIT_CODES
from rotary.cli.words import ALONE, WORDS

if TYPE_CHECKING:
    from cyclopts import App, Argument

WIDEST_NAMES: Final = 24
"""Longer names stand on a line of their own."""

NARROWEST, WIDEST = 40, 100

_TAKES: Final = {bool: "", int: " N", float: " LENGTH", Path: " FILE", str: " TEXT"}
"""What an option takes, in a person's words."""

_LENGTH: Final = re.compile(r'like "-?[\d.]+ (mm|um|cm)"')
_ALSO_FILE: Final = re.compile(r"\.[a-z]{3}\b|\bor (the )?folder")
"""In what an option means: that its text is a length, that its folder may be a file too."""

_OPTIONS: Final = re.compile(r"^ *:param (\w+): ", re.M)
"""Where the help of an option begins in a docstring."""

_MEANINGS: Final = re.compile(r":param (\w+): (.+(?:\n {8,}\S.*)*)")

LAST: Final = ("machine", "machines", "store", "samples", "inches")
"""Options that most commands have, which stand behind the others."""

EVERYWHERE: Final = (
    "With any command: -q (--quiet) prints only the answer, -y (--yes) replaces files without asking, --dry-run "
    "writes nothing, --help explains the command."
)


class HelpRow(NamedTuple):
    """A word or an option of a command."""

    names: str
    meaning: str
    is_word: bool
    required: bool
    field: str = ""


def help_page(root: "App", words: Sequence[str]) -> str:
    """What the help of a command, or of a group of commands, says."""
    chain, apps, _ = root.parse_commands([*words])
    app = apps[-1]
    if app.default_command:
        with root.app_stack(apps):
            rows = options(app)
    else:
        shown = [name for name in app if name not in app.help_flags and (app is root or not name.startswith("-"))]
        lines = {word: line for word, (_, line) in {**WORDS, **ALONE}.items()} if app is root else {}
        rows = [HelpRow(name, lines.get(name) or description(app[name])[0], True, False) for name in shown]
    needed = [row.names for row in rows if row.required and not row.is_word]
    taken = [row.names if row.required else f"[{row.names}]" for row in rows if row.is_word]
    usage = [*needed, "[OPTIONS]", *taken] if app.default_command else ["COMMAND"]
    codes = ", ".join(f"{code} {meaning}" for code, meaning in EXIT_CODES.items())
    wide = min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)
    fill = partial(textwrap.fill, width=wide, break_on_hyphens=False)
    tables = {
        "Arguments" if app.default_command else "Commands": [row for row in rows if row.is_word],
        "Options": [row for row in rows if not row.is_word],
    }
    parts = [fill(part) for part in (" ".join(["Usage: rotary", *chain, *usage]), *description(app))]
    parts += [f"{title}:\n{_table(part, wide)}" for title, part in tables.items() if part]
    return "\n\n".join([*parts, fill(EVERYWHERE), fill(f"Exit codes: {codes}.")]) + "\n"


def description(app: "App") -> list[str]:
    """What a command does and its example, each as one line."""
    doc = (app.default_command.__doc__ if app.default_command else app.help) or ""
    return [" ".join(part.split()) for part in _OPTIONS.split(doc)[0].split("\n\n") if part.strip()]


def options(app: "App") -> list[HelpRow]:
    """The words and options of a command, each with what it means, as the command or its group of options says."""
    arguments = app.assemble_argument_collection()
    groups = [kind for one in arguments if one.children for kind in reversed(one.hint.__mro__)]
    docs = [thing.__doc__ or "" for thing in (*groups, app.default_command)]
    meanings = {name: " ".join(meaning.split()) for doc in docs for name, meaning in _MEANINGS.findall(doc)}
    return [
        HelpRow(_names(one, meaning), meaning, one.index is not None, one.required, one.field_info.name)
        for one in sorted(arguments, key=lambda one: one.field_info.name in LAST)
        if one.parse and not one.children
        for meaning in [one.parameter.help or meanings.get(one.field_info.name, "")]
    ]


def _names(one: "Argument", meaning: str) -> str:
    """Its names and what it takes; of a flag without the opposite that the library makes of its own accord."""
    opposites = () if one.parameter.negative else ("--no-", "--empty-")
    names = ", ".join(name for name in dict.fromkeys(one.names) if not (opposites and name.startswith(opposites)))
    if one.index is not None:
        names = names.lstrip("-").upper()
        return f"{names} ..." if one.field_info.kind is one.field_info.VAR_POSITIONAL else names
    kinds = (one.hint, *get_args(one.hint), *(kind for part in get_args(one.hint) for kind in get_args(part)))
    takes = next((takes for kind, takes in _TAKES.items() if kind in kinds), " WORD")
    if takes == _TAKES[Path] and "folder" in meaning:
        takes = " PATH" if _ALSO_FILE.search(meaning) else " FOLDER"
    return names + (_TAKES[float] if takes == _TAKES[str] and _LENGTH.search(meaning) else takes)


def _table(rows: list[HelpRow], wide: int) -> str:
    left = min(max(len(row.names) for row in rows), WIDEST_NAMES) + 4
    lines = []
    for row in rows:
        meaning = textwrap.wrap(f"{row.meaning} [required]" if row.required else row.meaning, wide - left)
        alone = len(row.names) > left - 4
        first = f"  {row.names}\n{' ' * left}" if alone else f"  {row.names}".ljust(left)
        lines.append(first + f"\n{' ' * left}".join(meaning))
    return "\n".join(lines)
