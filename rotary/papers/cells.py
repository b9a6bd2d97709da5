"""How many cells a text takes where every sign stands in a grid: a terminal, a printer's fixed letters."""

import textwrap
import unicodedata
from typing import Final

_WITHIN: Final = "\ue000"
"""A sign that no text has (private use): the second cell of a wide one, while a text is wrapped."""


def cells(text: str) -> int:
    """Cells of a text: signs of wide scripts take two, what is written over another sign none (Unicode annex 11).

    >>> cells("Heron"), cells("鷺"), cells("e\\u0301")
    (5, 2, 1)
    """
    return len(text) if text.isascii() else sum(map(_cells_of, text))


def left(text: str, wide: int, fill: str = " ") -> str:
    """A text with blanks after it, up to so many cells.

    >>> left("鷺", 4) + "|"
    '鷺  |'
    """
    return text + fill * (wide - cells(text))


def right(text: str, wide: int) -> str:
    """A text with blanks before it, up to so many cells."""
    return " " * (wide - cells(text)) + text


def cut(text: str, wide: int) -> str:
    """The beginning of a text that goes into so many cells.

    >>> cut("Heron", 3), cut("鷺のレガッタ", 5)
    ('Her', '鷺の')
    """
    while cells(text) > wide:
        text = text[:-1]
    return text


def folded(text: str, wide: int, first: str = "", rest: str = "") -> list[str]:
    """Lines of at most so many cells, broken between words where that can be; none for no words.

    >>> folded("鷺 のレガッタ", 9)
    ['鷺 のレガ', 'ッタ']
    """
    if text.isascii():
        return textwrap.wrap(text, wide, initial_indent=first, subsequent_indent=rest)
    doubled = "".join(sign + _WITHIN if _cells_of(sign) == 2 else sign for sign in text)
    # A word longer than a line may be broken within a wide sign, whose other half then goes back over the edge.
    most = wide - 1 if _WITHIN in doubled else wide
    lines = textwrap.wrap(doubled, most, initial_indent=first, subsequent_indent=rest)
    return [line.replace(_WITHIN, "") for line in lines]


def _cells_of(sign: str) -> int:
    # Vowels and ends of Korean syllables that are written letter by letter stand in the cells of their beginning.
    if unicodedata.category(sign) in ("Mn", "Me") or "\u1160" <= sign <= "\u11ff" or "\ud7b0" <= sign <= "\ud7ff":
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1
