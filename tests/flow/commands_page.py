"""The reference of the commands, as docs/commands.md has it: made from the code."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rotary.cli.output import EXIT_CODES
from rotary.cli.words import EVERYWHERE, WORDS, tree

if TYPE_CHECKING:
    from cyclopts import App, Argument

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
            root[word].help = None
            yield word, root[word]


def options(app: "App") -> dict[str, str]:
    """Every option and word of a command, and what it means."""
    return {
        ", ".join(_names(argument)): str(argument.parameter.help or "")
        for argument in app.assemble_argument_collection(parse_docstring=True)
        if argument.parse and not argument.children
    }


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for name, app in leaves():
        text = "\n\n".join(" ".join(part.split()) for part in description(app).split("\n\n"))
        parts.append(f"## rotary {name}\n\n{text}\n")
        rows = [f"| `{names}` | {meaning} |" for names, meaning in options(app).items()]
        parts.append("\n".join(["| | |", "|---|---|", *rows]) + "\n")
    codes = "\n".join(f"| {code} | {meaning} |" for code, meaning in EXIT_CODES.items())
    everywhere = "\n".join(f"| `{option}` | {meaning} |" for option, meaning in EVERYWHERE.items())
    parts.append(f"## Everywhere\n\n| | |\n|---|---|\n{everywhere}\n\n## Exit codes\n\n| | |\n|---|---|\n{codes}\n")
    return "\n".join(parts)


def description(app: "App") -> str:
    """What a command does, with its example; without its options."""
    doc = app.default_command.__doc__ if app.default_command else app.help
    lines = [line.strip() for line in (doc or "").splitlines()]
    return "\n".join(line for line in lines if not line.startswith(":param")).strip()


def _names(argument: "Argument") -> list[str]:
    """Its names; of a flag without the opposite that the library would make of its own accord."""
    made = () if argument.parameter.negative else ("--no-", "--empty-")
    return [name for name in dict.fromkeys(argument.names) if not name.startswith(tuple(made) or "\0")]
