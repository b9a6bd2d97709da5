"""Sheets of paper: sizes, the head and the foot that all papers share, and sections flowing from page to page.

Across every head runs a rule of 100 mm at true size: whoever lays a steel rule on it knows whether the printer scaled.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from rotary.papers.columns import runs, set_run
from rotary.papers.drawing import FIRM_MM, HAIR_MM, Mark, PaperPicture, Words, area, corners, line, moved
from rotary.papers.letters import clipped, lacking, printable, wide_mm
from rotary.papers.model import FIRST_RULE, Paper, PictureRow, Section, words_of
from rotary.papers.splitting import halves
from rotary.papers.typeset import (
    LEAST_LEAVE_MM,
    NOTHING,
    Laid,
    Size,
    block,
    framed,
    heading,
    paragraph,
    stacked,
    tab_room_mm,
)
from rotary.printer import SheetName

SHEETS_MM: Final[dict[SheetName, tuple[float, float]]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height: ISO 216 A4; ANSI/ASME Y14.1 A (8 1/2 by 11 inches), both from memory, not seen."""

EDGE_MM: Final = 11.0
"""Kept white on all sides: desk printers leave 4 to 10 mm (common practice, no source)."""

FOOT_MM: Final = 6.5


def room_mm(sheet: SheetName) -> tuple[float, float]:
    """Width and height between the white edges, above the foot [mm].

    >>> room_mm("A4")
    (188.0, 268.5)
    """
    wide, high = SHEETS_MM[sheet]
    return wide - 2 * EDGE_MM, high - 2 * EDGE_MM - FOOT_MM


def head(paper: Paper, wide: float, size: Size, continued: str = "") -> Laid:
    """Kind, name, day, and the rule."""
    kind = printable((continued or paper.kind).upper())
    tab = wide_mm(kind, 3.0, "bold") + 4.0
    day = paper.day.isoformat()
    room = wide - tab - wide_mm(day, 3.4, "bold") - 6.0
    body = 5.6 if not continued else 3.6
    while body > 3.4 and wide_mm(printable(paper.name), body, "bold") > room:
        body -= 0.2
    name = stacked([paragraph(paper.name, room, size, "bold", body)])
    high = max(name.high_mm, 6.4 if not continued else 5.0)
    marks: list[Mark] = [
        area(corners(0.0, -high, tab, 0.0), 0.0),
        Words(kind, tab / 2, -high / 2 - 1.05, 3.0, "middle", "bold", 1.0),
        *moved(name.marks, tab + 2.5, -(high - name.high_mm) / 2),
        Words(day, wide, -high / 2 - 1.1, 3.4, "end", "bold"),
        *_rule(wide, -high - 0.9),
    ]
    return Laid(tuple(marks), high + 4.2)


def _rule(wide: float, y: float) -> list[Mark]:
    """A line across, with 100 mm of it ticked like a steel rule."""
    marks: list[Mark] = [line([(0.0, y), (wide, y)], FIRM_MM)]
    for mm in range(101):
        long = 2.4 if mm % 50 == 0 else 1.7 if mm % 10 == 0 else 1.2 if mm % 5 == 0 else 0.7
        marks.append(line([(mm, y), (mm, y - long)], HAIR_MM))
    marks.append(Words("0", 0.6, y - 2.75, 1.7, "start", "narrow", 0.3))
    marks.append(Words("100 mm at true size", 101.0, y - 2.5, 1.9, "start", "narrow", 0.3))
    return marks


def lead(paper: Paper, wide: float, size: Size) -> Laid:
    """What is read first: the facts, the sentence on the chance, and what forbids the start."""
    parts = [_example(paper, wide, size)] if paper.banner else []
    parts += [_banner(paper, wide, size)] if paper.verdict else []
    parts += [paragraph(text, wide, size, "plain", 0.92 * size.body_mm) for text in paper.facts]
    if paper.lead and not paper.verdict:
        tab = "IN DOUBT" if paper.doubtful else "PLAN"
        says = paper.beside_tab or paper.lead
        inner = paragraph(says[:1].upper() + says[1:], wide - tab_room_mm(tab, size), size, "bold")
        parts.append(framed(inner, wide, tab, size, paper.doubtful))
    for text in paper.stops:
        inner = paragraph(text, wide - tab_room_mm("STOP", size), size)
        parts.append(framed(inner, wide, "STOP", size, heavy=True))
    return stacked(parts, 0.5)


LOUD: Final = 1.25
"""A banner's words are so much larger than the figures to key in."""


def _example(paper: Paper, wide: float, size: Size) -> Laid:
    """Whose figures these are where they are not the person's own, before all else."""
    tab, _, says = paper.banner.partition(". ")
    inner = paragraph(says, wide - tab_room_mm(tab, size), size, "bold")
    return framed(inner, wide, tab, size, heavy=True)


def _banner(paper: Paper, wide: float, size: Size) -> Laid:
    """How the numbers stand, larger than anything else, and the sentence that goes with it."""
    loud = replace(size, body_mm=LOUD * size.figure_mm)
    inner = paragraph(paper.lead, wide - tab_room_mm(paper.verdict, loud), size, "bold", 1.3 * size.body_mm)
    least = loud.body_mm + 1.0
    spare = max(least - inner.high_mm, 0.0)
    middled = Laid(moved(inner.marks, 0.0, -spare / 2), inner.high_mm + spare)
    return framed(middled, wide, paper.verdict, loud, heavy=True)


def page(paper: Paper, body: Laid, sheet: SheetName, number: int, of: int, lacks: str = "") -> PaperPicture:
    """A body below the upper edge of a sheet, with the foot that all pages have."""
    wide, high = SHEETS_MM[sheet]
    room = wide - 2 * EDGE_MM
    foot = EDGE_MM + 1.0
    places = f"{number} of {of}"
    says = FIRST_RULE
    if lacks:
        says += " ? stands for letters that this paper's font lacks; the HTML and the plain text have them."
    left = room - wide_mm(places, 2.6, "bold") - wide_mm(says, 2.6, "bold") - 6.0
    name = clipped(f"{paper.kind}, {paper.name}", max(left, 5.0), 2.3, "narrow") if left > 12.0 else ""
    marks = (
        *moved(body.marks, EDGE_MM, high - EDGE_MM),
        line([(EDGE_MM, foot + 3.4), (wide - EDGE_MM, foot + 3.4)], FIRM_MM),
        Words(says, EDGE_MM, foot, 2.6, "start", "bold"),
        Words(name, wide - EDGE_MM - wide_mm(places, 2.6, "bold") - 2.5, foot, 2.3, "end", "narrow"),
        Words(places, wide - EDGE_MM, foot, 2.6, "end", "bold"),
    )
    return PaperPicture(wide, high, marks, f"{paper.title}, page {places}", FIRST_RULE)


def flowing(
    sections: Sequence[Section], first: Laid, after: Callable[[], Laid], sheet: SheetName, size: Size
) -> list[Laid]:
    """Sections one under the other, on as many pages as they take; a table or a list may go on overleaf."""
    wide, high = room_mm(sheet)
    pages: list[list[Laid]] = [[first]]

    def used() -> float:
        return stacked(pages[-1], size.gap_mm).high_mm

    def put(part: Laid) -> None:
        if len(pages[-1]) > 1 and used() + size.gap_mm + part.high_mm > high:
            pages.append([after()])
        pages[-1].append(part)

    for run in runs(sections):
        whole = set_run(run, wide, size)
        part = run[0]
        kept = len(run) > 1 or any(isinstance(one, PictureRow) for one in part.blocks)
        if used() + size.gap_mm + whole.high_mm <= high or whole.high_mm <= (0.88 if kept else 0.4) * high:
            put(whole)
            continue
        for piece in [one for part in run for one in _headed(part, wide, size, high - 30.0)]:
            put(piece)
    return [stacked(parts, size.gap_mm) for parts in pages]


def _headed(part: Section, wide: float, size: Size, high: float) -> list[Laid]:
    """The pieces of a section, each under its heading."""
    return [
        stacked([heading(f"{part.title}, continued" if place else part.title, wide, size), one], 0.3)
        for place, one in enumerate(_pieces(part, wide, size, high))
    ]


def _pieces(part: Section, wide: float, size: Size, high: float) -> list[Laid]:
    """The blocks of a section in pieces that each fit on a page of their own."""
    pieces: list[Laid] = []
    waiting = list(part.blocks)
    current: list[Laid] = []
    while waiting:
        one = waiting.pop(0)
        laid = block(one, wide, size)
        if stacked([*current, laid], 0.3).high_mm <= 0.55 * high:
            current.append(laid)
            continue
        two = halves(one)
        if two is not None:
            waiting[:0] = two
            continue
        if current:
            pieces.append(stacked(current, 0.3))
        current = [laid]
    if current:
        pieces.append(stacked(current, 0.3))
    return pieces


def pages_of(paper: Paper, sheet: SheetName, size: Size | None = None) -> list[PaperPicture]:
    """A paper of plain flow: head, what comes first, its sections; then the appendix on pages of its own."""
    how = size or Size()
    wide, _ = room_mm(sheet)
    first = stacked([head(paper, wide, how), lead(paper, wide, how)], 0.6)
    bodies = flowing(paper.sections, first, lambda: head(paper, wide, how, f"{paper.kind}, continued"), sheet, how)
    bodies += appendix(paper, sheet)
    return numbered(paper, bodies, sheet)


def appendix(paper: Paper, sheet: SheetName) -> list[Laid]:
    """The pages behind, in smaller type, under a head that says what they are."""
    if not paper.behind:
        return []
    small = Size(body_mm=LEAST_LEAVE_MM, figure_mm=5.0, box_mm=2.8, gap_mm=2.6)
    wide, _ = room_mm(sheet)

    def top() -> Laid:
        return head(paper, wide, small, f"{paper.kind}, behind it")

    says = paragraph(paper.behind_says, wide, small, "bold") if paper.behind_says else NOTHING
    return flowing(paper.behind, stacked([top(), says], 0.6), top, sheet, small)


def numbered(paper: Paper, bodies: Sequence[Laid], sheet: SheetName) -> list[PaperPicture]:
    """Bodies as pages with their numbers."""
    lacks = lacking(words_of(paper))
    return [page(paper, body, sheet, place, len(bodies), lacks) for place, body in enumerate(bodies, 1)]
