"""A list of names or numbers: its entries, read from a table or counted, each with its whole text.

::

      names.csv ──┐
      1 to 250  ──┴─> line, name, words
"""

from datetime import date
from pathlib import Path
from typing import Final, NamedTuple

from rotary.errors import Predicate, brief, refuse
from rotary.series.table import Headings, table_from_file

MOST_ENTRIES: Final = 100_000
PLACE: Final = "{name}"
TODAY: Final = "{date}"


class ListRow(NamedTuple):
    """One entry of a list: its line, the name as it stands there, the whole text as it is cut."""

    line: int
    name: str
    text: str


Entries = tuple[tuple[ListRow, ...], tuple[str, ...], str]
"""Entries of a list, notes on how it was read, and the sign between its columns."""


def words_of(name: str, text: str, today: date | None = None) -> str:
    """The text of one entry: the name put into the words around it, or alone.

    >>> words_of("17", "No. {name}", None), words_of("Heron", ""), words_of("Heron", "{name} {date}", date(2026, 5, 2))
    ('No. 17', 'Heron', 'Heron 2026-05-02')
    """
    if PLACE not in text:
        return name
    return text.replace(TODAY, (today or date.today()).isoformat()).replace(PLACE, name)


def from_list(table: Path, column: str | None, text: str, headings: Headings = None) -> Entries:
    """The entries of a CSV file; raises Refused."""
    read = table_from_file(table, column, headings)
    return tuple(ListRow(row.line, row.name, words_of(row.name, text)) for row in read.rows), read.notes, read.sign


def from_numbers(numbers: str, digits: int, text: str) -> Entries:
    """Serial numbers, with leading noughts up to `digits`; raises Refused for none or too many.

    >>> [one.text for one in from_numbers("9-10", 3, "No. {name}")[0]]
    ['No. 009', 'No. 010']
    """
    lowest, sign, highest = (part.strip() for part in numbers.partition("-"))
    if not (sign and lowest.isdecimal() and highest.isdecimal() and len(numbers) < 24):
        raise refuse("numbers", f'{brief(numbers)} is not a range: write for example "1-250"')
    first, last = int(lowest), int(highest)
    if first > last:
        raise refuse("numbers", Predicate(f"{first}-{last} runs backwards: write {last}-{first}"))
    if last - first >= MOST_ENTRIES:
        says = f"{first}-{last} is more than {MOST_ENTRIES} numbers: write a shorter range"
        raise refuse("numbers", Predicate(says))
    named = (f"{number:0{digits}d}" for number in range(first, last + 1))
    return tuple(ListRow(place, name, words_of(name, text)) for place, name in enumerate(named, 1)), (), ","
