"""What stands on a paper, whatever it is written as: a head, what comes first, sections of a few kinds of blocks."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal, TypeAlias

from rotary.papers.drawing import PaperPicture

FIRST_RULE: Final = "Local rules and licensed practice go first."
"""Stands on every page of every paper."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A number to key in: what it is, what is typed, its unit, what it really means.

    `leave` is the warning of a number that is not the real one, "NOT 79: leave it". It stands beside the number
    wherever that stands, as large as words are there, and is never parted from it.
    """

    label: str
    text: str
    unit: str = ""
    why: str = ""
    leave: str = ""

    @property
    def figure(self) -> str:
        """The number with its unit and its warning, for a line of words.

        >>> Entry("Item diameter", "22.400", "mm", leave="NOT 79: leave it").figure
        '22.400 mm, NOT 79: leave it'
        """
        return f"{self.text} {self.unit}".strip() + (f", {self.leave}" if self.leave else "")


@dataclass(frozen=True, slots=True)
class Keyed:
    """Numbers to key in, in their order, large."""

    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Sentences:
    """Sentences one by one: with a box to tick, a dash, a bar where they warn, an arrow to what is better, or none."""

    texts: tuple[str, ...]
    mark: Literal["box", "dash", "warn", "better", "none"] = "dash"


@dataclass(frozen=True, slots=True)
class Pairs:
    """Names and values."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Columns with a head; `wide` is the column of words that are wrapped, `boxed` puts a box before each row.

    A cell of underscores is a place to write. `caption` says what it is for those who can't see it. `strong` are the
    cells that stand out, as row and column counted from 0; the head is no row.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str
    boxed: bool = False
    wide: int | None = None
    strong: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True, slots=True)
class Ticks:
    """Boxes to tick: each group has a name and so many boxes; `says` tells what one of them is."""

    groups: tuple[tuple[str, int], ...]
    says: str


@dataclass(frozen=True, slots=True)
class Notes:
    """Empty lines to write on."""

    lines: int


@dataclass(frozen=True, slots=True)
class PictureRow:
    """Pictures side by side."""

    pictures: tuple[PaperPicture, ...]


Block: TypeAlias = Keyed | Sentences | Pairs | Table | Ticks | Notes | PictureRow


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it.

    On a page that has to hold all, `column` says where it stands: across the page, in the left or the right column,
    or in two columns of its own. `aside` from 1 on lets it move behind where the page has no room, lower numbers last;
    `fills` lets it move up into a right column that is that much shorter than the left one.
    """

    title: str
    blocks: tuple[Block, ...]
    column: Literal["full", "left", "right", "two"] = "full"
    aside: int = 0
    fills: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper of this tool.

    `kind` is its name ("setup card"), `name` what it belongs to, `facts` small lines under the head, `banner` what goes
    before all else, `lead` the sentence that has to be read first (`beside_tab` the same where a tab stands before it)
    and `doubtful` whether it is one of doubt, `stops` what forbids the start.
    `verdict` are one or two words ("PROVEN") that stand before the lead, larger than all else.
    `sections` are followed at the machine; `behind` is an appendix, on pages of its own, that `behind_says` explains.
    """

    kind: str
    name: str
    day: date
    sections: tuple[Section, ...]
    banner: str = ""
    lead: str = ""
    beside_tab: str = ""
    doubtful: bool = False
    verdict: str = ""
    stops: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    behind: tuple[Section, ...] = ()
    behind_says: str = ""

    @property
    def title(self) -> str:
        """Kind and name on one line."""
        return f"{self.kind[:1].upper()}{self.kind[1:]}: {self.name}"


def words_of(paper: Paper) -> Iterator[str]:
    """All words of a paper, for a look at which letters it needs."""
    yield from (
        paper.kind,
        paper.name,
        paper.banner,
        paper.verdict,
        paper.lead,
        *paper.stops,
        *paper.facts,
        paper.behind_says,
        FIRST_RULE,
    )
    for section in (*paper.sections, *paper.behind):
        yield section.title
        for block in section.blocks:
            yield from _words(block)


def _words(block: Block) -> Iterator[str]:
    if isinstance(block, Keyed):
        for entry in block.entries:
            yield from (entry.label, entry.text, entry.unit, entry.why, entry.leave)
    elif isinstance(block, Sentences):
        yield from block.texts
    elif isinstance(block, Pairs):
        for pair in block.pairs:
            yield from pair
    elif isinstance(block, Table):
        yield from block.head
        for row in block.rows:
            yield from row
    elif isinstance(block, Ticks):
        yield block.says
        yield from (name for name, _ in block.groups)
