"""Lines of plain text for papers: titles, wrapped sentences, columns, large figures, times."""

import re
from collections.abc import Iterable, Sequence
from typing import Final, TypeVar

from rotary.papers.cells import cells, cut, folded, left, right

Row = TypeVar("Row")

WIDTH: Final = 100
"""Columns: what A4 and Letter take on their side, and upright in a small type."""


def title(text: str) -> str:
    """A heading with a rule to the right edge; units in brackets keep their letters.

    >>> title("Seams [um]: + gap")[:22]
    'SEAMS [um]: + gap ----'
    """
    head, colon, rest = text.partition(":")
    loud = re.sub(r"[^\[\]]+(?![^\[]*\])", lambda found: found[0].upper(), head)
    return cut(left(f"{loud}{colon}{rest} ", WIDTH, "-"), WIDTH)


def wrapped(text: str, first: str = "  ", rest: str | None = None) -> list[str]:
    """A sentence wrapped to the width, `first` before its first line, `rest` before the others."""
    after = " " * cells(first) if rest is None else rest
    plain = " ".join(text.split())
    return folded(plain, WIDTH, first, after) or [first.rstrip()]


def listed(texts: Iterable[str], mark: str = "  - ") -> list[str]:
    """Sentences, each behind a mark."""
    return [line for text in texts for line in wrapped(text, mark)]


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Columns as wide as they need, the first flush left; the last is wrapped beside them or, for want of room, below.

    >>> print("\\n".join(table([("at", "mm", "why"), ("1", "12.5", "so")])))
      at    mm  why
      1   12.5  so
    """
    columns = list(zip(*rows, strict=True))
    widths = [max(map(cells, column)) for column in columns[:-1]]
    room = WIDTH - sum(widths) - 2 * len(columns)
    longest = max(map(cells, columns[-1]))
    lines = []
    for row in rows:
        padded = [(right if at else left)(*of) for at, of in enumerate(zip(row[:-1], widths, strict=True))]
        start = "  " + "  ".join(padded) + "  "
        if min(longest, 24) <= room:
            pieces = folded(" ".join(row[-1].split()), room) or [""]
            lines += [(" " * cells(start) if place else start) + piece for place, piece in enumerate(pieces)]
        else:
            lines += [start, *(wrapped(row[-1], "      ") if row[-1] else [])]
    return lines


def packed(pieces: Sequence[str], apart: int) -> list[str]:
    """Short pieces side by side, as many a line as fit.

    >>> packed(["[ ] a", "[ ] b"], 2)
    ['  [ ] a  [ ] b']
    """
    lines: list[str] = []
    for piece in pieces:
        if lines and cells(lines[-1]) + apart + cells(piece) <= WIDTH:
            lines[-1] += " " * apart + piece
        else:
            lines.append(f"  {piece}")
    return lines


_LENGTHS: Final = re.compile(
    r"(?<![\w.])[+-]?\d+(?:\.\d+)?(?:(?: to | and | × | or | → ⌀| to ⌀|, )[+-]?\d+(?:\.\d+)?)* [mµ]m(?![\w/²³])"
)


def in_inches(text: str) -> str:
    """A sentence with its lengths in inches, and its micrometres in thousandths of an inch, about as fine as before.

    >>> in_inches("Levelled with 20.2 mm over 150 mm; 88 and 80 mm across, 25 µm a seam, at 1200 mm/s")
    'Levelled with 0.795 in over 5.91 in; 3.46 and 3.15 in across, 0.98 thou a seam, at 1200 mm/s'
    >>> in_inches("⌀88 → ⌀70 mm"), in_inches("⌀52 to ⌀76 mm, measured at 6 heights")
    ('⌀3.46 → ⌀2.76 in', '⌀2.05 to ⌀2.99 in, measured at 6 heights')
    """

    def converted(found: re.Match[str]) -> str:
        values, unit = found[0][:-3], found[0][-2:]

        def one(number: re.Match[str]) -> str:
            decimals = min(len(number[0].partition(".")[2]) + 2, 4)
            sign = "+" if number[0][0] == "+" else ""
            return f"{float(number[0]) / 25.4:{sign}.{decimals}f}"

        return re.sub(r"[+-]?\d+(?:\.\d+)?", one, values) + (" in" if unit == "mm" else " thou")

    return _LENGTHS.sub(converted, text)


def figures(pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Names and values in two columns, with a blank between them however long a name is.

    >>> figures([("a name that is longer than its whole column", "84 °C")])
    ['  a name that is longer than its whole column 84 °C']
    """
    return [line for name, value in pairs for line in wrapped(value, f"  {left(name, 37)} ")]


def few(rows: Sequence[Row], most: int = 9) -> list[Row]:
    """At most so many rows, evenly spread, the first and the last among them."""
    if len(rows) <= most:
        return list(rows)
    return [rows[round(place * (len(rows) - 1) / (most - 1))] for place in range(most)]


def percent(share: float) -> str:
    """A share as a whole number of per cent.

    >>> percent(0.353)
    '35 %'
    """
    return f"{100 * share:.0f} %"


def clock(seconds: float) -> str:
    """A duration as it is read off a watch.

    >>> clock(4.26), clock(75), clock(4000)
    ('4.3 s', '1 min 15 s', '1 h 07 min')
    """
    if seconds < 59.95:
        return f"{seconds:.1f} s"
    if seconds < 3570:
        return f"{round(seconds) // 60} min {round(seconds) % 60:02d} s"
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min"
