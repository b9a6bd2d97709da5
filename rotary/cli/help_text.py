"""Help as plain text: names on the left, what they mean beside them, as wide as the terminal."""

import re
import textwrap
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from cyclopts.help import HelpEntry, HelpPanel

WIDEST_NAMES: Final = 24
"""Longer names stand on a line of their own."""

NARROWEST: Final = 40

_TAKES: Final = {
    "STR": "TEXT",
    "INT": "N",
    "PATH": "FILE",
    "CHOICE": "WORD",
    "FLOAT": "LENGTH",
    "PATH...": "FILE",
    "STR...": "TEXT",
}
"""What an option takes, in a person's words."""


class PlainHelp:
    """Writes the parts of a help page, as cyclopts asks for them."""

    def __call__(self, console: Any, options: Any, panel: "HelpPanel") -> None:  # noqa: ARG002
        """A list of commands, of words or of options."""
        if not panel.entries:
            return
        rows = [(_names(entry), _meaning(entry, console)) for entry in panel.entries]
        left = min(max(len(names) for names, _ in rows), WIDEST_NAMES) + 4
        lines = ["Options:" if panel.title == "Parameters" else f"{panel.title}:"]
        for names, meaning in rows:
            indent = " " * left
            first = f"  {names}".ljust(left) if len(names) <= left - 4 else f"  {names}\n{indent}"
            room = max(_width(console), NARROWEST) - left
            lines.append(first + f"\n{indent}".join(textwrap.wrap(meaning, room) or [""]))
        _put(console, "\n".join(lines) + "\n")

    def render_usage(self, console: Any, _options: Any, usage: Any) -> None:
        """The line that says what is typed."""
        _put(console, f"Usage: {_plain(usage, console).strip()}\n")

    def render_description(self, console: Any, _options: Any, description: Any) -> None:
        """What a command does, with an example."""
        parts = [" ".join(part.split()) for part in re.split(r"\n\s*\n", _plain(description, console))]
        wide = max(_width(console), NARROWEST)
        _put(
            console,
            "\n\n".join(textwrap.fill(part, wide, break_on_hyphens=False) for part in parts if part) + "\n",
        )


def _names(entry: "HelpEntry") -> str:
    names = ", ".join(dict.fromkeys(entry.display_labels))
    takes = _TAKES.get(entry.metavar or "", entry.metavar or "")
    return f"{names} {takes}" if takes and names.startswith("-") else names


def _meaning(entry: "HelpEntry", console: Any) -> str:
    meaning = " ".join(_plain(entry.description, console).split())
    return f"{meaning} [required]" if entry.required else meaning


def _plain(text: Any, console: Any) -> str:
    """The text of what the library would draw, on lines as long as they are."""
    if text is None or isinstance(text, str):
        return text or ""
    return "".join(part.text for part in console.render(text, console.options.update(width=10_000)))


def _width(console: Any) -> int:
    return min(int(console.width), 100)


def _put(console: Any, text: str) -> None:
    console.print(text, highlight=False, markup=False, soft_wrap=True)
