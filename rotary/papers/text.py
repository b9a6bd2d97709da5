"""A paper as lines of text, 100 columns wide: for a pipe, a search, a printer that knows nothing else; or `plain` for a
screen reader: a line for each thing that is said, nothing drawn, signs as words."""

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from rotary.errors import single_line
from rotary.papers.cells import cells, cut, left
from rotary.papers.lines import WIDTH, figures, listed, packed, table, title, wrapped
from rotary.papers.model import (
    FIRST_RULE,
    Block,
    Entry,
    Keyed,
    Mark,
    Notes,
    Pairs,
    Paper,
    PictureRow,
    Section,
    Sentences,
    Table,
    Ticks,
)

_MARKS: Final[dict[Mark, str]] = {
    "box": "  [ ] ",
    "dash": "  - ",
    "warn": "  ! ",
    "better": "  > ",
    "note": "  - ",
    "none": "  ",
}
_SPOKEN: Final[dict[Mark, str]] = {
    "box": "To do: ", "dash": "", "warn": "Caution: ", "better": "Better: ", "note": "", "none": "",
}  # fmt: skip
_SIGNS: Final = {
    "⌀": "diameter ", "→": " to ", "±": " plus or minus ", "×": " by ", "µm": "micrometres", "²": " squared",
    "³": " cubed", "°C": " degrees Celsius",
    "°": " degrees", "≤": " at most ", "≥": " at least ", "–": " to ", "…": "", "▾": "", "·": ",",
    "[ ]": "", "■": "", "□": "",
}  # fmt: skip


def voice_text(text: str) -> str:
    """Signs that screen readers read badly or not at all, as words; one line.

    >>> voice_text("⌀88 → ⌀70 mm, taper 3.4°, ± 0.02 %, 22 µm a step")
    'diameter 88 to diameter 70 mm, taper 3.4 degrees, plus or minus 0.02 %, 22 micrometres a step'
    >>> voice_text("gap, ±, in mm"), voice_text("100 × 57.9 mm, 1 × slice width")
    ('gap, plus or minus, in mm', '100 by 57.9 mm, 1 times slice width')
    >>> voice_text("12800 steps (± 0.02 %)")
    '12800 steps (plus or minus 0.02 %)'
    """
    text = re.sub(r"×\s(?=[a-z])", "times ", re.sub("_{4,}", "(write it here)", text))
    for sign, words in _SIGNS.items():
        text = text.replace(sign, words)
    return " ".join(single_line(text).split()).replace(" ,", ",").replace("( ", "(")


def sentence(text: str) -> str:
    """A line that ends, so that a voice falls at its end.

    >>> sentence("± 0.2 mm"), sentence("Ready?")
    ('plus or minus 0.2 mm.', 'Ready?')
    """
    words = voice_text(text)
    return words if words.endswith((".", "!", "?", ":")) else f"{words}."


def text_lines(paper: Paper) -> list[str]:
    """A whole paper, line by line, at most 100 columns wide; blank lines between its parts."""
    day = paper.day.isoformat()
    top = [left(cut(f"{paper.kind.upper()}  {paper.name}", WIDTH - 12), WIDTH - 10) + day, "=" * WIDTH]
    for text in _first(paper):
        top += wrapped(text, "")
    top += [line for text in paper.facts for line in wrapped(text)]
    top += listed((f"STOP: {text}" for text in paper.stops), "  ! ")
    details = wrapped(paper.details_text, "") if paper.details else []
    return joined(
        top,
        *map(section_lines, (*paper.sections, *paper.tables)),
        [FIRST_RULE],
        details,
        *map(section_lines, paper.details),
    )


def _first(paper: Paper) -> Iterator[str]:
    stands = ". ".join(text.removesuffix(".") for text in (paper.verdict, paper.lead) if text)
    yield from filter(None, (paper.banner, stands and f"{stands}.", paper.minutes))


def joined(*parts: Sequence[str]) -> list[str]:
    """Parts with an empty line after each, of printable signs only."""
    return [single_line(line).rstrip() for part in parts if part for line in [*part, ""]]


def section_lines(section: Section) -> list[str]:
    """A heading and its blocks; a table that follows a table stands apart."""
    lines = [title(f"{section.number} {section.title}".strip())]
    before: Block | None = None
    for block in section.blocks:
        lines += [""] if isinstance(block, Table) and isinstance(before, Table) else []
        lines += block_lines(block)
        before = block
    return lines


def block_lines(block: Block) -> list[str]:
    """Any block; a picture is its own words."""
    return _WRITERS[type(block)](block)


def entry_lines(entries: Sequence[Entry]) -> list[str]:
    """Numbers to type, a line each that can be searched and copied, with what warns of one beside it.

    >>> entry_lines([Entry("Diameter to type", "22.400", "mm", leave="type this, not 79")])
    ['  Diameter to type                22.400 mm, type this, not 79']
    """
    widest = max((cells(entry.label) for entry in entries), default=0)
    # A long label that stands alone begins a sentence; all others are a column.
    apart = " " if len(entries) == 1 and widest > 30 else "  "
    return [
        line
        for entry in entries
        for line in wrapped(
            entry.figure + (f" ({entry.why})" if entry.why else ""), f"  {left(entry.label, max(30, widest))}{apart}"
        )
    ]


def _table(block: Table) -> list[str]:
    marked = (
        tuple(f"*{cell}" if (at, column) in block.strong else cell for column, cell in enumerate(row))
        for at, row in enumerate(block.rows)
    )
    rows = [block.head, *marked]
    if block.boxed:
        rows = [(row[0] if not place else f"[ ] {row[0]}", *row[1:]) for place, row in enumerate(rows)]
    # The last column of a table of text is flush left; a table of figures has none.
    return [
        *wrapped(block.caption),
        *table(rows if block.wide == len(block.head) - 1 else [(*row, "") for row in rows]),
    ]


def _ticks(block: Ticks) -> list[str]:
    wide = max(map(cells, block.names), default=0)
    return [
        *(wrapped(block.says) if block.says else []),
        *packed([left(f"{name} [ ]", wide + 4) for name in block.names], 2),
    ]


def _pictures(block: PictureRow) -> list[str]:
    return [line for picture in block.pictures for line in wrapped(f"{picture.title}: {picture.says}")]


_WRITERS: Final[dict[type, Callable[..., list[str]]]] = {
    Keyed: lambda block: entry_lines(block.entries),
    Sentences: lambda block: listed(block.texts, _MARKS[block.mark]),
    Pairs: lambda block: figures(block.pairs),
    Table: _table,
    Ticks: _ticks,
    Notes: lambda block: ["  " + "_" * (WIDTH - 4)] * block.lines,
    PictureRow: _pictures,
}


def plain_lines(paper: Paper) -> list[str]:
    """A whole paper for a screen reader, in the order in which it is done."""
    head = f"{paper.title}. {paper.day.isoformat()}"
    lines = [head, *_first(paper), *paper.facts, *(f"Stop. {text}" for text in paper.stops)]
    sections = (*paper.sections, *paper.tables)
    details = [paper.details_text, *_said(paper.details)] if paper.details else []
    return [sentence(line) for line in (*lines, *_said(sections), FIRST_RULE, *details) if line.strip()]


def _said(sections: Sequence[Section]) -> Iterator[str]:
    for section in sections:
        lines = [line for block in section.blocks for line in _VOICES[type(block)](block)]
        if lines:
            yield f"{section.number} {section.title}".strip()
            yield from lines


def entries_said(entries: Sequence[Entry]) -> list[str]:
    """Numbers to type, in their order.

    >>> entries_said((Entry("Slice width in the file", "2.169", "mm"),))
    ['Slice width in the file: 2.169 mm']
    """
    return [f"{one.label}: {one.figure}" + (f" ({one.why})" if one.why else "") for one in entries]


def _row_said(block: Table, place: int, row: tuple[str, ...]) -> str:
    said = []
    for at, (name, cell) in enumerate(zip(block.head, row, strict=True)):
        if re.fullmatch(r"_+", cell.strip()):
            said.append(f"{name} to be written down" if name else "a place to write")
        elif cell.strip():
            # A heading with a colon of its own leads on by itself.
            called = f"{name} " if not name or ":" in name else f"{name}: "
            said.append(f"{called}{cell}{', changed' if (place, at) in block.strong else ''}".strip())
    return ("To tick: " if block.boxed else "") + ", ".join(said)


_VOICES: Final[dict[type, Callable[..., list[str]]]] = {
    Keyed: lambda block: entries_said(block.entries),
    Sentences: lambda block: [_SPOKEN[block.mark] + text for text in block.texts],
    Pairs: lambda block: [f"{name}: {value}" for name, value in block.pairs],
    Table: lambda block: [block.caption, *(_row_said(block, place, row) for place, row in enumerate(block.rows))],
    Ticks: lambda block: [block.says, *(f"{name}: to tick" for name in block.names)],
    Notes: lambda _: ["Your notes (write them here)"],
    PictureRow: lambda block: [f"Picture, {picture.title}: {picture.says}" for picture in block.pictures],
}
