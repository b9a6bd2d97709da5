"""A paper as plain text: for a pipe, a screen reader, or a printer that knows nothing else."""

from collections.abc import Callable, Sequence
from typing import Final

from rotary.errors import single_line
from rotary.papers.cells import cells, cut, folded, left
from rotary.papers.lines import WIDTH, figures, large, listed, packed, table, title, wrapped
from rotary.papers.model import (
    FIRST_RULE,
    Block,
    Entry,
    Keyed,
    Notes,
    Pairs,
    Paper,
    PictureRow,
    Section,
    Sentences,
    Table,
)
from rotary.papers.model import Ticks as TickBoxes

FIGURES_AT: Final = 44
"""The column where the large figures begin; what they are stands left of them."""

_MARKS: Final = {"box": "  [ ] ", "dash": "  - ", "warn": "  * ", "better": "  > ", "none": "  "}


def text_lines(paper: Paper) -> list[str]:
    """A whole paper, line by line, at most 100 columns wide."""
    top = head_lines(paper.kind.upper(), paper.name, paper.day.isoformat())
    top += wrapped(paper.banner, "") if paper.banner else []
    top += banner_lines(paper.verdict, paper.lead) if paper.verdict else []
    top += [line for text in paper.facts for line in wrapped(text)]
    lead = [] if paper.verdict else wrapped(paper.lead, "")
    first = [*lead, *listed((f"STOP: {text}" for text in paper.stops), "  ! ")] if paper.lead else []
    foot = [FIRST_RULE]
    behind = wrapped(paper.behind_says, "") if paper.behind and paper.behind_says else []
    return joined(top, first, *map(section_lines, paper.sections), foot, behind, *map(section_lines, paper.behind))


def head_lines(kind: str, name: str, day: str) -> list[str]:
    """What a paper is and of what, the day at the right edge, and a rule."""
    return [left(cut(f"{kind}  {name}", WIDTH - 12), WIDTH - 10) + day, "=" * WIDTH]


def banner_lines(verdict: str, says: str) -> list[str]:
    """How the numbers stand, in a frame of its own, and the sentence that goes with it.

    >>> banner_lines("PROVEN", "29 October 2026")
    ['##########', '# PROVEN #  29 October 2026', '##########']
    """
    tab = f"# {verdict} #"
    inner = wrapped(says, f"{tab}  ")
    return ["#" * len(tab), *inner, "#" * len(tab)]


def joined(*parts: Sequence[str]) -> list[str]:
    """Parts with an empty line after each, of printable signs only."""
    return [single_line(line).rstrip() for part in parts if part for line in [*part, ""]]


def section_lines(section: Section) -> list[str]:
    """A heading and its blocks; tables that follow tables stand apart."""
    lines = [title(section.title)]
    before: Block | None = None
    for block in section.blocks:
        lines += [""] if isinstance(block, Table) and isinstance(before, Table) else []
        lines += block_lines(block)
        before = block
    return lines


def block_lines(block: Block) -> list[str]:
    """Any block; a picture is its own words."""
    return _WRITERS[type(block)](block)


def keyed_lines(entries: Sequence[Entry]) -> list[str]:
    """Numbers to key in, three lines high; what warns of one stands on its last line, or where that is full below."""
    lines: list[str] = []
    for place, entry in enumerate(entries, 1):
        strokes, start = large(entry.text), f"{place:>3}  {entry.label}"
        if len(strokes[2]) > WIDTH - 60 or not strokes[1]:
            whole = f"{left(start, FIGURES_AT)}{entry.figure}  {entry.why}".rstrip()
            if cells(whole) <= WIDTH:
                lines.append(whole)
                continue
            lines += wrapped(entry.figure, left(start, FIGURES_AT))
            lines += wrapped(entry.why, "     ") if entry.why else []
            continue
        strokes[2] += f"  {entry.unit}"
        if entry.leave:
            room = WIDTH - FIGURES_AT - cells(strokes[2]) - 2
            strokes[2:] = [f"{strokes[2]}  {entry.leave}"] if cells(entry.leave) <= room else [strokes[2], entry.leave]
        beside = [start, *folded(entry.why, FIGURES_AT - 7)]
        for row in range(max(len(strokes), len(beside))):
            words = ("     " if row else "") + (beside[row] if row < len(beside) else "")
            lines.append(left(words, FIGURES_AT) + (strokes[row] if row < len(strokes) else ""))
    return lines


def _keyed(block: Keyed) -> list[str]:
    return keyed_lines(block.entries)


def _sentences(block: Sentences) -> list[str]:
    return listed(block.texts, _MARKS[block.mark])


def _pairs(block: Pairs) -> list[str]:
    return figures(block.pairs)


def _table(block: Table) -> list[str]:
    marked = (
        tuple(f"*{cell}" if (at, column) in block.strong else cell for column, cell in enumerate(row))
        for at, row in enumerate(block.rows)
    )
    rows = [block.head, *marked]
    if block.boxed:
        rows = [(row[0] if not place else f"[ ] {row[0]}", *row[1:]) for place, row in enumerate(rows)]
    # The last column of a table of text is flush left; a table of figures has none.
    return table(rows if block.wide == len(block.head) - 1 else [(*row, "") for row in rows])


def _ticks(block: TickBoxes) -> list[str]:
    groups = [f"{name} {'[ ]' * many}" for name, many in block.groups]
    wide = max(map(cells, groups), default=0)
    lines = (
        [line for group in groups for line in packed([group], 0)]
        if wide > WIDTH - 4
        else packed([left(group, wide) for group in groups], 4)
    )
    return [*(wrapped(block.says) if block.says else []), *lines]


def _notes(block: Notes) -> list[str]:
    return ["  " + "_" * (WIDTH - 4)] * block.lines


def _shown(block: PictureRow) -> list[str]:
    return [line for picture in block.pictures for line in wrapped(f"{picture.title}: {picture.says}")]


_WRITERS: Final[dict[type, Callable[..., list[str]]]] = {
    Keyed: _keyed, Sentences: _sentences, Pairs: _pairs, Table: _table, TickBoxes: _ticks, Notes: _notes,
    PictureRow: _shown,
}  # fmt: skip
