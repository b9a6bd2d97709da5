"""Blocks set in type: each becomes marks below its upper left corner, and a height.

::

      (0, 0) +----------------- x
             |  marks
             |                       y runs upwards, so marks lie at y < 0
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from rotary.papers.drawing import (
    FIRM_MM,
    HAIR_MM,
    THIN_MM,
    Face,
    Mark,
    Words,
    area,
    corners,
    line,
    moved,
)
from rotary.papers.letters import LEADING, broken, clipped, printable, wide_mm
from rotary.papers.model import Block, Entry, Keyed, Notes, Pairs, PictureRow, Section, Sentences, Table, Ticks

MM_PER_POINT: Final = 25.4 / 72
LEAST_FIGURE_MM: Final = 14 * MM_PER_POINT
"""Body of the figures that are keyed in: read at arm's length."""

UNIT_MM: Final = 8 * MM_PER_POINT
LEAST_LEAVE_MM: Final = 8 * MM_PER_POINT
"""Body of the warning beside a number that is not the real one, where the page is fullest."""

WIDER_FONT: Final = 1.25
"""How much wider another font may run that a program takes for ours (estimate)."""

WRITTEN_MM: Final = 6.0
"""Height of a line that is written in by hand."""


class Laid(NamedTuple):
    """Marks below (0, 0), and how far down they reach [mm]."""

    marks: tuple[Mark, ...]
    high_mm: float


@dataclass(frozen=True, slots=True)
class Size:
    """How large things are set [mm]: words, figures to key in, boxes, lines to write on, gaps; whether the meaning of
    each number stands beside it even where it takes a line more; warnings of numbers that are not the real ones."""

    body_mm: float = 2.75
    figure_mm: float = 5.6
    box_mm: float = 3.0
    write_mm: float = 7.0
    gap_mm: float = 2.6
    whys: bool = True
    leave_mm: float = 11 * MM_PER_POINT

    @property
    def line_mm(self) -> float:
        """From line to line."""
        return LEADING * self.body_mm


NOTHING: Final = Laid((), 0.0)


def stacked(parts: Sequence[Laid], gap_mm: float = 0.0) -> Laid:
    """One under the other.

    >>> stacked([Laid((), 2.0), Laid((), 3.0)], 1.0).high_mm
    6.0
    """
    marks: list[Mark] = []
    down = 0.0
    for place, part in enumerate(parts):
        down += gap_mm if place and part.high_mm else 0.0
        marks += moved(part.marks, 0.0, -down)
        down += part.high_mm
    return Laid(tuple(marks), down)


def side_by_side(parts: Sequence[tuple[Laid, float]]) -> Laid:
    """Side by side, each at its own x [mm]."""
    marks = [mark for part, x in parts for mark in moved(part.marks, x, 0.0)]
    return Laid(tuple(marks), max((part.high_mm for part, _ in parts), default=0.0))


def paragraph(text: str, wide: float, size: Size, face: Face = "plain", body_mm: float | None = None) -> Laid:
    """A sentence, broken into lines."""
    body = body_mm or size.body_mm
    lines = broken(text, wide, body, face)
    marks = tuple(
        Words(words, 0.0, -(place * LEADING + 0.95) * body, body, face=face) for place, words in enumerate(lines)
    )
    return Laid(marks, len(lines) * LEADING * body)


def box(x: float, y: float, side: float) -> Mark:
    """A box to tick, its lower left corner at (x, y)."""
    return line(corners(x, y, x + side, y + side), THIN_MM)


def heading(text: str, wide: float, size: Size) -> Laid:
    """A heading on a short thick bar, with a hair line to the edge."""
    body = 1.06 * size.body_mm
    words = clipped(text[:1].upper() + text[1:], wide, body, "bold")
    run = min(wide, max(wide_mm(words, body, "bold"), 8.0))
    marks = (
        Words(words, 0.0, -0.9 * body, body, face="bold"),
        area(corners(0.0, -1.34 * body, run, -1.34 * body + 0.5), 0.0),
        line([(run, -1.34 * body + 0.06), (wide, -1.34 * body + 0.06)], HAIR_MM),
    )
    return Laid(marks, 1.34 * body + 0.25 * size.gap_mm)


def section(part: Section, wide: float, size: Size) -> Laid:
    """A heading and its blocks."""
    return stacked([heading(part.title, wide, size), *(block(one, wide, size) for one in part.blocks)], 0.3)


def block(one: Block, wide: float, size: Size) -> Laid:
    """Any block."""
    return _SETTERS[type(one)](one, wide, size)


def _keyed(block: Keyed, wide: float, size: Size) -> Laid:
    return stacked([entry(number, one, wide, size) for number, one in enumerate(block.entries, 1)])


def entry(number: int, one: Entry, wide: float, size: Size) -> Laid:
    """A number to key in: its place and name at the left, the figure large, its unit small, its warning on black.

    A figure that is no short number is set smaller, in lines, never below the least size that is read at arm's length.
    """
    left = 0.37 * wide
    room = wide - left - 1.0
    unit = printable(one.unit)
    runs = wide_mm(unit, UNIT_MM) + 1.0 if unit else 0.0
    face = size.figure_mm
    text = printable(one.text)
    while face > LEAST_FIGURE_MM and wide_mm(text, face, "bold") > room - runs:
        face = max(face - 0.2, LEAST_FIGURE_MM)
    figures = broken(one.text, room - runs, face, "bold") or [""]
    down = 0.93 * face * len(figures)
    marks: list[Mark] = [
        Words(words, left, -0.93 * face * at + 0.14 * face, face, face="bold") for at, words in enumerate(figures, 1)
    ]
    ends = left + wide_mm(figures[-1], face, "bold") + runs
    marks.append(Words(unit, ends - runs + 1.0, -down + 0.14 * face, UNIT_MM))
    name = paragraph(one.label, left - 7.0, size, "bold", 0.98 * size.body_mm)
    small = 0.86 * size.body_mm
    texts = name
    if one.why:
        # The meaning stands to the right of a short figure where it has room, else under the name.
        right = paragraph(one.why, max(wide - ends - 2.0, 1.0), size, "narrow", small)
        spare = max(down, name.high_mm) + (0.0 if one.leave else 0.4) - right.high_mm
        if len(figures) == 1 and wide - ends > 0.25 * wide and spare >= 0.0:
            marks += moved(right.marks, ends + 2.0, -max(down - right.high_mm, 0.0) / 2)
        elif size.whys:
            texts = stacked([name, paragraph(one.why, left - 7.0, size, "narrow", small)])
    strip, strip_at = _strip(one.leave, wide, left, size)
    if strip_at == left:
        marks += moved(strip.marks, left, -down)
        down += strip.high_mm
    start = max(down - texts.high_mm, 0.0) / 2
    marks += moved(texts.marks, 6.0, -start)
    high = max(down, texts.high_mm) + 0.5
    if strip_at != left:
        marks += moved(strip.marks, strip_at, -high + 0.5)
        high += strip.high_mm
    marks.append(Words(f"{number}", 4.4, -start - 0.95 * size.body_mm, size.body_mm, "end", "plain", 0.35))
    marks.append(line([(6.0, -high + 0.1), (wide, -high + 0.1)], HAIR_MM, (), 0.72))
    return Laid(tuple(marks), high)


def _strip(text: str, wide: float, left: float, size: Size) -> tuple[Laid, float]:
    """A warning, white on black, and where it begins: under the figure, or further left where it is too long.

    The black runs on to the edge: who sets it in a wider font than ours must not lose what is white beyond it.
    """
    if not text:
        return NOTHING, left
    body = max(size.leave_mm, LEAST_LEAVE_MM)
    lines = broken(text, (wide - 8.0) / WIDER_FONT, body, "bold")
    runs = WIDER_FONT * max(wide_mm(words, body, "bold") for words in lines) + 2.0
    at = left if runs <= wide - left else wide - runs
    high = len(lines) * LEADING * body
    marks: list[Mark] = [area(corners(0.0, -high, wide - at, 0.0), 0.0)]
    marks += [
        Words(words, 1.0, -(place * LEADING + 0.95) * body, body, "start", "bold", 1.0)
        for place, words in enumerate(lines)
    ]
    return Laid(tuple(marks), high + 0.3), at


def _sentences(block: Sentences, wide: float, size: Size) -> Laid:
    parts = []
    for text in block.texts:
        body = paragraph(text, wide - 4.2, size)
        first = -0.95 * size.body_mm
        mark: list[Mark] = []
        if block.mark == "box":
            side = 0.92 * size.body_mm
            mark = [box(0.3, first - 0.1, side)]
        elif block.mark in ("dash", "better"):
            mark = [Words("–" if block.mark == "dash" else "»", 1.2, first, size.body_mm)]
        elif block.mark == "warn":
            mark = [area(corners(0.6, -body.high_mm + 0.3, 1.4, -0.3), 0.0)]
        if block.mark == "none":
            parts.append(paragraph(text, wide, size))
        else:
            parts.append(Laid((*mark, *moved(body.marks, 4.2, 0.0)), body.high_mm))
    return stacked(parts, 0.25)


def _pairs(block: Pairs, wide: float, size: Size) -> Laid:
    named = max((wide_mm(printable(name), size.body_mm) for name, _ in block.pairs), default=0.0) + 2.0
    left = min(named, 0.56 * wide)
    parts = [
        side_by_side(
            [
                (paragraph(name, left - 1.0, size), 0.0),
                (paragraph(value, wide - left, size, "bold"), left),
            ]
        )
        for name, value in block.pairs
    ]
    return stacked(parts, 0.15)


def _notes(block: Notes, wide: float, size: Size) -> Laid:
    marks = [
        line([(0.0, -size.write_mm * (at + 1)), (wide, -size.write_mm * (at + 1))], HAIR_MM, (), 0.45)
        for at in range(block.lines)
    ]
    return Laid(tuple(marks), size.write_mm * block.lines + 0.3)


def _shown(block: PictureRow, wide: float, size: Size) -> Laid:
    rows: list[list[tuple[Laid, float]]] = []
    at = wide
    for picture in block.pictures:
        if at + picture.wide_mm > wide + 0.01:
            rows.append([])
            at = 0.0
        rows[-1].append((Laid(moved(picture.marks, 0.0, -picture.high_mm), picture.high_mm), at))
        at += picture.wide_mm + size.gap_mm
    return stacked([side_by_side(row) for row in rows], size.gap_mm)


def _ticks(block: Ticks, wide: float, size: Size) -> Laid:
    """Boxes in columns, all groups alike."""
    side, small = size.box_mm, 0.86 * size.body_mm
    most = max((many for _, many in block.groups), default=1)
    named = max((wide_mm(printable(name), small, "narrow") for name, _ in block.groups), default=0.0)
    a_row = max(min(most, int((wide - named - 1.0) / (side + 0.4))), 1)
    group = named + 0.7 + a_row * (side + 0.4) + 1.6
    columns = max(int((wide + 1.6) / group), 1)
    marks: list[Mark] = []
    down = 0.0
    for start in range(0, len(block.groups), columns):
        rows = 1
        for place, (name, many) in enumerate(block.groups[start : start + columns]):
            x = place * group
            marks.append(Words(printable(name), x + named, -down - 0.5 * side - 0.35 * small, small, "end", "narrow"))
            for at in range(many):
                row, column = divmod(at, a_row)
                rows = max(rows, row + 1)
                marks.append(box(x + named + 0.7 + column * (side + 0.4), -down - side - row * (side + 0.5), side))
        down += rows * (side + 0.5) + 0.3
    says = paragraph(block.says, wide, size) if block.says else NOTHING
    return stacked([says, Laid(tuple(marks), down)], 0.4)


def _table(block: Table, wide: float, size: Size) -> Laid:
    body = 0.95 * size.body_mm
    rows = [tuple(printable(cell) for cell in row) for row in (block.head, *block.rows)]
    edge = size.body_mm + 1.6 if block.boxed else 0.0
    widths = column_widths(rows, wide - edge, body, block.wide)
    parts = []
    for place, row in enumerate(rows):
        marks: list[Mark] = []
        written = any("____" in cell for cell in row)
        lines, at, high = 1, edge, WRITTEN_MM if written else LEADING * body + 0.5
        for column, (cell, room) in enumerate(zip(row, widths, strict=True)):
            if cell and set(cell) == {"_"}:
                marks.append(line([(at, -high + 0.3), (at + room - 1.5, -high + 0.3)], HAIR_MM, (), 0.4))
                at += room
                continue
            face: Face = "bold" if place == 0 or (place - 1, column) in block.strong else "plain"
            words = broken(cell, max(room - 1.2, 1.0), body, face) if cell else []
            lines = max(lines, len(words))
            for depth, text in enumerate(words):
                flush = column == 0 or column == block.wide
                x = at if flush else at + room - 1.6
                marks.append(
                    Words(text, x, -(depth * LEADING + 0.95) * body - 0.25, body, "start" if flush else "end", face)
                )
            at += room
        high = max(high, lines * LEADING * body + 0.5)
        if block.boxed and place:
            marks.append(box(0.3, -0.95 * body - 0.35, 0.95 * size.body_mm))
        pen, shade = (HAIR_MM, 0.7) if place else (FIRM_MM, 0.0)
        marks.append(line([(0.0, -high), (wide, -high)], pen, (), shade))
        parts.append(Laid(tuple(marks), high))
    return stacked(parts, 0.1)


def column_widths(rows: Sequence[Sequence[str]], wide: float, body: float, words: int | None) -> list[float]:
    """Widths of a table's columns [mm]: what each needs, the column of words what is left; all narrower in proportion
    where that is too much.

    >>> [round(w, 1) for w in column_widths([("a", "b"), ("1", "some words")], 40.0, 3.0, 1)]
    [3.7, 36.3]
    """
    needs = [2.0 + max(wide_mm(cell, body, "bold") for cell in cells) for cells in zip(*rows, strict=True)]
    spare = wide - sum(needs)
    if words is not None:
        least = min(needs[words], 0.3 * wide)
        needs[words] = max(needs[words] + spare, least)
        spare = wide - sum(needs)
    if spare < 0:
        return [need * wide / sum(needs) for need in needs]
    if words is None and len(needs) > 1:
        return [need + min(spare / len(needs), 6.0) for need in needs]
    return needs


_SETTERS: Final[dict[type, Callable[..., Laid]]] = {
    Keyed: _keyed, Sentences: _sentences, Pairs: _pairs, Notes: _notes,
    PictureRow: _shown, Ticks: _ticks, Table: _table,
}  # fmt: skip


def framed(inner: Laid, wide: float, tab: str, size: Size, heavy: bool) -> Laid:
    """Something in a frame with a black tab at its left; the tab's word is white on black."""
    high = inner.high_mm + 1.6
    body = size.body_mm
    room = wide_mm(tab, body, "bold") + 3.0
    marks: list[Mark] = [
        area(corners(0.0, -high, room, 0.0), 0.0 if heavy else 0.35),
        Words(tab, room / 2, -high / 2 - 0.35 * body, body, "middle", "bold", 1.0),
        line(corners(0.0, -high, wide, 0.0), FIRM_MM if heavy else THIN_MM),
        *moved(inner.marks, room + 1.6, -0.8),
    ]
    return Laid(tuple(marks), high)


def tab_room_mm(tab: str, size: Size) -> float:
    """What the tab of a frame takes of its width [mm]."""
    return wide_mm(tab, size.body_mm, "bold") + 3.0 + 3.2
