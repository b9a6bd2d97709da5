"""The reference of the commands, as docs/reference/commands.md has it: made from the code."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rotary.cli.help_text import description, options
from rotary.cli.output import EXIT_CODES
from rotary.cli.words import EVERYWHERE, WORDS, tree

if TYPE_CHECKING:
    from cyclopts import App

HEAD = """# Commands

Made from the code. [The command line](command-line.md) says what they have in common, [old words](old-words.md) what
the commands of earlier versions are now.
"""


def leaves() -> Iterator[tuple[str, "App"]]:
    """Every command with the words that it is called by."""
    root = tree()
    for word in WORDS:
        inner = [name for name in root[word] if not name.startswith("-")]
        for name in inner:
            yield f"{word} {name}", root[word][name]
        if not inner:
            yield word, root[word]


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for name, app in leaves():
        parts.append(f"## rotary {name}\n\n" + "\n\n".join(description(app)) + "\n")
        rows = [f"| `{row.names}` | {row.meaning} |" for row in options(app)]
        parts.append("\n".join(["| | |", "|---|---|", *rows]) + "\n")
    codes = "\n".join(f"| {code} | {meaning} |" for code, meaning in EXIT_CODES.items())
    everywhere = "\n".join(f"| `{option}` | {meaning} |" for option, meaning in EVERYWHERE.items())
    parts.append(f"## Everywhere\n\n| | |\n|---|---|\n{everywhere}\n\n## Exit codes\n\n| | |\n|---|---|\n{codes}\n")
    return "\n".join(parts)
