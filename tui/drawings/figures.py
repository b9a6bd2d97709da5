"""Figures three lines high, in half blocks, that can be read from an arm's length."""

from functools import lru_cache
from typing import Final

# Five rows of three pixels, made of two rows a line; drawn for this tool.
_PIXELS: Final[dict[str, tuple[str, ...]]] = {
    "0": ("###", "# #", "# #", "# #", "###"), "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"), "3": ("###", "  #", " ##", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"), "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"), "7": ("###", "  #", "  #", " # ", " # "),
    "8": ("###", "# #", "###", "# #", "###"), "9": ("###", "# #", "###", "  #", "###"),
    ".": (" ", " ", " ", " ", "#"), ",": (" ", " ", " ", "#", "#"), " ": (" ", " ", " ", " ", " "),
    "-": ("   ", "   ", "###", "   ", "   "), "+": ("   ", " # ", "###", " # ", "   "),
    ":": (" ", "#", " ", "#", " "), "%": ("# #", "  #", " # ", "#  ", "# #"), "/": ("  #", "  #", " # ", "#  ", "#  "),
}  # fmt: skip
_HALVES: Final = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def can_be_large(text: str) -> bool:
    """Whether every sign of a text has a large figure."""
    return bool(text) and set(_signs(text)) <= set(_PIXELS)


@lru_cache(maxsize=256)
def large(text: str) -> tuple[str, ...]:
    """A text in large figures, three lines of the same width.

    >>> print("\\n".join(line.rstrip() for line in large("1.5")))
    ▄█    █▀▀
     █    ▀▀█
    ▀▀▀ ▀ ▀▀▀
    """
    lines = []
    for upper in (0, 2, 4):
        cells = []
        for sign in _signs(text):
            rows = (*_PIXELS[sign], " " * len(_PIXELS[sign][0]))
            pair = zip(rows[upper], rows[upper + 1], strict=True)
            cells.append("".join(_HALVES[top == "#", bottom == "#"] for top, bottom in pair))
        lines.append(" ".join(cells))
    return tuple(lines)


def large_width(text: str) -> int:
    """How many cells wide a text is in large figures."""
    return sum(len(_PIXELS[sign][0]) + 1 for sign in _signs(text)) - 1


def _signs(text: str) -> str:
    return text.replace("−", "-").replace("–", "-")
