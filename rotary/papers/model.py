"""What stands on a paper, whatever it is written as: a head, what comes first, sections of a few kinds of blocks."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, is_dataclass, replace
from datetime import date
from typing import Final, Literal, NamedTuple, TypeAlias, TypeVar

from rotary.papers.drawing import PaperPicture

Part = TypeVar("Part")

FIRST_RULE: Final = "Local rules and licensed experts come first."
"""Stands on every page of every paper."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A number to key in: what it is, what is typed, its unit, what it really means.

    `leave` is the warning of a number that is not the real one, "type this, not 79". It stands beside the number
    wherever that stands, as large as words are there, and is never parted from it.
    """

    label: str
    text: str
    unit: str = ""
    why: str = ""
    leave: str = ""
    id: str = ""

    @property
    def figure(self) -> str:
        """The number with its unit and its warning, for a line of words.

        >>> Entry("Item diameter", "22.400", "mm", leave="type this, not 79").figure
        '22.400 mm, type this, not 79'
        """
        apart = "" if self.unit == "°" else " "
        return f"{self.text}{apart}{self.unit}".strip() + (f", {self.leave}" if self.leave else "")


@dataclass(frozen=True, slots=True)
class Keyed:
    """Numbers to key in, in their order, large."""

    entries: tuple[Entry, ...]


Mark = Literal["box", "dash", "warn", "better", "note", "none"]


@dataclass(frozen=True, slots=True)
class Sentences:
    """Sentences one by one: with a box to tick, a dash, a sign where they warn, an arrow to what is better, or none.

    Notes follow each other in small letters. On paper sentences stand in so many columns, heavy where `loud`, with a
    picture at their right, which is the first thing to give way.
    """

    texts: tuple[str, ...]
    mark: Mark = "dash"
    columns: int = 1
    loud: bool = False
    picture: PaperPicture | None = None


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
    """Boxes to tick, each with its name in it; `says` tells what one of them is.

    Where a page is full they give way to a line that is written on: slices done ____.
    """

    names: tuple[str, ...]
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
    """A heading, with the step's number where it has one, and what stands under it.

    `step` says what the sheet counts there, where it counts with the person.
    """

    title: str
    blocks: tuple[Block, ...]
    number: str = ""
    step: Literal["", "first", "second", "rest", "after"] = ""


def filled(*blocks: Block) -> tuple[Block, ...]:
    """The blocks in which something stands."""
    return tuple(block for block in blocks if all(value != () for value in (_first(block), getattr(block, "rows", 1))))


def _first(block: Block) -> object:
    return getattr(block, next(iter(block.__dataclass_fields__)))


class PowerStep(NamedTuple):
    """Power [%] and how many passes at most."""

    power: float
    passes: int


@dataclass(frozen=True, slots=True)
class Counting:
    """What a sheet counts with the person at the machine, and its words by their names.

    `key` is another one for other numbers, so that a new plan starts unticked. `passes` is how many a slice gets where
    that is known, 0 where it is counted on the first; `pause_s` stands between two passes; `has_last` is whether a last
    pass follows, `all_round` whether passes go round all slices in turn. `total_s` is how long all of it takes, 0 for
    not known: the sheet then says by what o'clock it is done. A long taper has `parts` with as many slices each; the
    one at place `tried` is marked first.
    """

    key: str
    slices: int
    rungs: tuple[PowerStep, ...]
    pause_s: float
    passes: int
    has_second: bool
    has_last: bool
    all_round: bool
    total_s: float
    words: dict[str, str]
    parts: int = 1
    tried: int = 0


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper of this tool.

    `kind` is its name ("setup sheet"), `name` what it belongs to, `facts` small lines under the head, `banner` what
    goes before all else, `verdict` one or two words ("PROVEN") that are larger than all else, `lead` the sentence after
    them, `minutes` how long it takes, `stops` what forbids the start. `sections` are followed at the machine; where
    `one_page`, they are set as large as one page holds. `tables` stand on the next page, `details` after them, which
    `details_text` explains. `ids` name the rows that stand on it, `counting` is what it counts on a screen.
    """

    kind: str
    name: str
    day: date
    sections: tuple[Section, ...]
    banner: str = ""
    verdict: str = ""
    lead: str = ""
    minutes: str = ""
    stops: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    one_page: bool = False
    tables: tuple[Section, ...] = ()
    details: tuple[Section, ...] = ()
    details_text: str = ""
    ids: tuple[str, ...] = ()
    counting: Counting | None = None

    @property
    def title(self) -> str:
        """Kind and name on one line."""
        return f"{self.kind[:1].upper()}{self.kind[1:]}: {self.name}"

    @property
    def all_sections(self) -> tuple[Section, ...]:
        """Every section, those of later pages too."""
        return (*self.sections, *self.tables, *self.details)


PaperByHeight = Callable[[float], Paper]
"""A paper whose picture is so high [mm]."""


def pictures_of(paper: Paper) -> Iterator[PaperPicture]:
    """All pictures of a paper."""
    return _parts(paper.all_sections, PaperPicture)


def words_of(paper: Paper) -> Iterator[str]:
    """All words of a paper, those in its pictures too, for a look at which letters it needs."""
    yield FIRST_RULE
    yield from _parts(replace(paper, counting=None), str)


def _parts(value: object, kind: type[Part]) -> Iterator[Part]:
    """Everything of a kind in a value, however deep it lies."""
    if isinstance(value, kind):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from _parts(one, kind)
    elif is_dataclass(value):
        for name in value.__dataclass_fields__:
            yield from _parts(getattr(value, name), kind)
