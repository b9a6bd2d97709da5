"""The pages of the documentation that are made from the code: commands, old words, keys, fields.

`MADE=update` in the environment of tests/flow/test_words.py writes them anew.
"""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Final

from rotary.cli.help_text import description, options
from rotary.cli.old_words import _OPTIONS, _OWN_OPTIONS, OLD_WORDS
from rotary.cli.words import EVERYWHERE, RENAMED, WORDS, tree
from rotary.old_keys import OLD_KEYS, OLD_VALUES
from tui.catalogue import GROUPS
from tui.catalogue.inscription import INSCRIPTION
from tui.catalogue.keys import SCREENS
from tui.form.fields import Field, Group, Table
from tui.screens.help import PICTURES

if TYPE_CHECKING:
    from cyclopts import App

MADE: Final = "Made from the code."

TABLES: Final = {
    "coating": ": `[item]`", "files": "", **dict.fromkeys(("words", "letters", "place", "depth"), ": `[inscription]`")
}  # fmt: skip
"""The table of a job file in which the keys of a group stand, where it has another name than the group."""

SHARED: Final = 2
"""So many commands share an option before it stands once for all of them."""


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A table in Markdown."""
    lines = [[cell.replace("|", "\\|") for cell in row] for row in (head, *rows)]
    first, *others = ["| " + " | ".join(line) + " |" for line in lines]
    return "\n".join([first, "|" + "---|" * len(head), *others])


def leaves() -> Iterator[tuple[str, "App"]]:
    """Every command with the words that it is called by."""
    root = tree()
    for word in WORDS:
        inner = [name for name in root[word] if not name.startswith("-")]
        for name in inner:
            yield f"{word} {name}", root[word][name]
        if not inner:
            yield word, root[word]


def commands() -> str:
    """Every command with its options; what several commands share in the same words stands once, on top."""
    rows = {name: options(app) for name, app in leaves()}
    places = Counter((row.names, row.meaning) for of_command in rows.values() for row in of_command)
    # Of two meanings of one name the more common is shared.
    shared = {*dict(row for row, count in reversed(places.most_common()) if count >= SHARED).items()}
    parts = [
        f"# Commands\n\n{MADE} [The command line](command-line.md) has what all share, and the exit codes.",
        "## Shared options\n\n" + _option_table(row for row in places if row in shared),
        "Every command understands these:\n\n" + _option_table(EVERYWHERE.items()),
    ]
    for name, app in leaves():
        parts.append(f"## rotary {name}\n\n" + "\n\n".join(description(app)))
        own = [row[:2] for row in rows[name] if row[:2] not in shared]
        others = [f"`{row.names.split()[0]}`" for row in rows[name] if row[:2] in shared]
        parts += [_option_table(own)] if own else []
        parts += ["[Shared](#shared-options): " + " ".join(others)] if others else []
    return "\n\n".join(parts) + "\n"


def _option_table(rows: Iterable[tuple[str, str]]) -> str:
    return table(("", ""), ((f"`{names}`", meaning) for names, meaning in rows))


def old_words() -> str:
    """The words of earlier versions, and of today."""
    words = {old: now for old, now in OLD_WORDS.items() if old != now}
    names = (
        _OPTIONS
        | RENAMED
        | {
            f"rotary {word} {old}": f"rotary {OLD_WORDS[word]} {new}"
            for word, own in _OWN_OPTIONS.items()
            for old, new in own.items()
            if old != new
        }
    )
    return "\n\n".join((
        f"# Names from earlier versions\n\n{MADE} Each old name still does its work, and tells you today's name.",
        table(("before", "now"), ((f"`rotary {old}`", f"`rotary {now}`") for old, now in words.items())),
        table(("option before", "now"), ((f"`{old}`", f"`{new}`") for old, new in names.items())),
        "Files with the keys of an earlier version open. They are written with today's keys.",
        table(("key before", "now"), ((f"`{old}`{of}", f"`{new}`") for of, old, new in _old_keys())),
        table(("word before", "now"), (
            (f"`{old}` as `{key}` in `[{of}]`", f"`{new}`")
            for (of, key), words in OLD_VALUES.items() if of
            for old, new in words.items()
        )),
    )) + "\n"  # fmt: skip


def _old_keys() -> Iterator[tuple[str, str, str]]:
    """In which tables a key stands, what it was and what it is."""
    tables: dict[tuple[str, str, bool], list[str]] = {}
    for table_of, names in OLD_KEYS.items():
        for old, new in names.items() if table_of != "job" else ():
            tables.setdefault((old, new, table_of == ""), []).append(f"`[{table_of}]`")
    for (old, new, is_top), of in tables.items():
        yield "" if is_top else " in " + ", ".join(of), old, new


def keys() -> str:
    """The keys of every screen, and the pictures."""
    parts = [f"# Keys\n\n{MADE} F1 on each screen lists the same."]
    parts += [f"## {title}\n\n" + table(("key", "does"), rows) for title, rows in SCREENS.values()]
    signs = "1234567890-=" if len(PICTURES) > 11 else "1234567890-"
    rows = ((f"{sign} {name}", text) for sign, (name, text) in zip(signs, PICTURES, strict=False))
    parts.append("## Pictures\n\n" + table(("", "shows"), rows))
    return "\n\n".join(parts) + "\n"


def _rows(content: Iterable[Field | Table], row: str = "") -> Iterator[tuple[str, ...]]:
    for entry in content:
        if isinstance(entry, Table):
            yield f"`{entry.key}`", entry.label, f"One row for each {entry.row}:", ""
            yield from _rows(entry.every, "row: ")
        else:
            choices = [name for name in entry.options if name not in ("default", "")]
            values = " One of " + ", ".join(f"`{name}`" for name in choices) + "." if choices else ""
            key = re.sub(r"^(item|turning|laser|artwork|passes|tolerances|shop|inscription)\.", "", entry.key)
            if key.startswith(("depth.", "write.")):
                # Of these only the depth that is wanted stands in a job.
                key = "depth" if key == "depth.wanted" else ""
            where = "^ " if key in ("machine", "use_laser") else row
            yield f"{where}`{key}`" * bool(key), entry.label, entry.help + values, entry.stands


def fields() -> str:
    """Every field with its name in a job file, its name on the screen, how to find it out, and what stands for it."""
    parts = [
        f"# Fields\n\n{MADE} [The job file](job-file.md) shows how values are written. A key without a dot "
        "stands in the table beside its heading, `order.pieces` in `[order]`, a key after ^ at the top of the "
        "file. A field without a key is only on the screen."
    ]
    head = ("job file", "screen", "meaning", "if left out")
    groups: Iterable[Group] = (*GROUPS, *INSCRIPTION)
    parts += [
        f"## {group.title}{TABLES.get(group.key, f': `[{group.key}]`')}\n\n" + table(head, _rows(group.content))
        for group in groups
    ]
    return "\n\n".join(parts) + "\n"


PAGES: Final[dict[str, Callable[[], str]]] = {
    "commands": commands, "old-words": old_words, "keys": keys, "fields": fields,
}  # fmt: skip
"""The pages in docs/reference by their names."""
