"""A paper as plain lines: nothing drawn, no columns, no big figures, signs as words. For screen readers."""

import re
from collections.abc import Callable, Iterator
from typing import Final

from rotary.errors import single_line
from rotary.papers.model import FIRST_RULE, Entry, Keyed, Notes, Pairs, Paper, PictureRow, Section, Sentences, Table
from rotary.papers.model import Ticks as TickBoxes

_BEFORE: Final = {"box": "To do: ", "dash": "", "warn": "Caution: ", "better": "Better: ", "none": ""}

_SIGNS: Final = {
    "____": "blank",
    "⌀": "diameter ", "→": " to ", "±": " plus or minus ", "×": " by ", "µm": "micrometres", "²": " squared",
    "³": " cubed", "°C": " degrees Celsius",
    "°": " degrees", "≤": " at most ", "≥": " at least ", "–": " to ", "…": "", "▾": "", "·": ",",
    "[ ]": "", "■": "", "□": "",
}  # fmt: skip


def spoken(text: str) -> str:
    """Signs that screen readers read badly or not at all, as words; one line.

    >>> spoken("⌀88 → ⌀70 mm, taper 3.4°, ± 0.02 %, 22 µm a step")
    'diameter 88 to diameter 70 mm, taper 3.4 degrees, plus or minus 0.02 %, 22 micrometres a step'
    """
    for sign, words in _SIGNS.items():
        text = text.replace(sign, words)
    return " ".join(single_line(text).split())


def plain_lines(paper: Paper) -> list[str]:
    """A whole paper, a line for each thing that is said, in the order in which it is done."""
    title = f"{paper.title}. {paper.day.isoformat()}"
    verdict = f"{paper.verdict}. {paper.lead}"
    first = [verdict, title, *paper.facts] if paper.verdict else [title, *paper.facts, paper.lead]
    first = [paper.banner, *first] if paper.verdict else [first[0], paper.banner, *first[1:]]
    stops = [f"Stop. {text}" for text in paper.stops]
    behind = [paper.behind_says] if paper.behind else []
    lines = [*first, *stops, *_of(paper.sections), FIRST_RULE, *behind, *_of(paper.behind)]
    return [sentence(line) for line in lines if line.strip()]


def keyed_entries(entries: tuple[Entry, ...]) -> list[str]:
    """Numbers to key in, each with its place in the order and what it means.

    >>> keyed_entries((Entry("Column width", "2.169", "mm", "each turns 95 steps"),))
    ['1. Column width: 2.169 mm. Each turns 95 steps']
    """
    lines = []
    for place, entry in enumerate(entries, 1):
        why = f". {entry.why[0].upper()}{entry.why[1:]}" if entry.why else ""
        lines.append(f"{place}. {entry.label}: {entry.figure}{why}")
    return lines


def sentence(text: str) -> str:
    """A line that ends, so that a voice falls at its end.

    >>> sentence("± 0.2 mm"), sentence("Ready?")
    ('plus or minus 0.2 mm.', 'Ready?')
    """
    said = spoken(text)
    return said if said.endswith((".", "!", "?", ":")) else f"{said}."


def plain_section(section: Section) -> list[str]:
    """One section, a line for each thing that is said.

    >>> plain_section(Section("Repeat", (Sentences(("changed: lens",), "warn"), Sentences(("touch off",), "box"))))
    ['Repeat.', 'Caution: changed: lens.', 'To do: touch off.']
    """
    return [sentence(line) for line in _of((section,))]


def _of(sections: tuple[Section, ...]) -> Iterator[str]:
    for section in sections:
        lines = [line for block in section.blocks for line in _WRITERS[type(block)](block)]
        if lines:
            yield section.title
            yield from lines


def _keyed(block: Keyed) -> list[str]:
    return keyed_entries(block.entries)


def _sentences(block: Sentences) -> list[str]:
    return [_BEFORE[block.mark] + text for text in block.texts]


def _pairs(block: Pairs) -> list[str]:
    return [f"{name}: {value}" for name, value in block.pairs]


def _table(block: Table) -> list[str]:
    return [block.caption, *(_row(block, place, row) for place, row in enumerate(block.rows))]


def _row(block: Table, place: int, row: tuple[str, ...]) -> str:
    cells = []
    for at, (name, cell) in enumerate(zip(block.head, row, strict=True)):
        if re.fullmatch(r"_+", cell.strip()):
            cells.append(f"{name} to be written down" if name else "a place to write")
        elif cell.strip():
            changed = ", changed" if (place, at) in block.strong else ""
            cells.append(f"{name} {cell}{changed}".strip())
    return ("To tick: " if block.boxed else "") + ", ".join(cells)


def _ticks(block: TickBoxes) -> list[str]:
    return [block.says, *(f"{name}: {many} to tick" for name, many in block.groups)]


def _notes(_block: Notes) -> list[str]:
    return ["To be written down"]


def _shown(block: PictureRow) -> list[str]:
    return [f"Picture, {picture.title}: {picture.says}" for picture in block.pictures]


_WRITERS: Final[dict[type, Callable[..., list[str]]]] = {
    Keyed: _keyed, Sentences: _sentences, Pairs: _pairs, Table: _table, TickBoxes: _ticks, Notes: _notes,
    PictureRow: _shown,
}  # fmt: skip
