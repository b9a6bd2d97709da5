"""A paper as a PDF: the first page set as large as it fits, heads and feet, the rule of 100 mm on every page."""

import io
from bisect import bisect_left
from collections.abc import Callable, Sequence
from typing import Any, Final

from rotary.papers.drawing import PaperPicture, Words, line
from rotary.papers.growth import EDGE_MM, FLOWING, FOOT_MM, LEAST_PT, SHEETS_MM, STEPS, Size
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.model import FIRST_RULE, Paper, pictures_of, words_of
from rotary.papers.pdf import POINTS_PER_MM, PdfFonts, describe, forget, paint_picture, registered
from rotary.printer import SheetName

RULE_MM: Final = 100.0
HEAD_MM: Final = 7.0
"""Of pages after the first: whose they are."""


def room_mm(sheet: SheetName) -> tuple[float, float]:
    """Width and height between the white edges, above the foot [mm].

    >>> room_mm("A4")
    (190.0, 270.0)
    """
    wide, high = SHEETS_MM[sheet]
    return wide - 2 * EDGE_MM, high - 2 * EDGE_MM - FOOT_MM


def fit(make: Callable[[float], Paper], sheet: SheetName) -> tuple[Paper, Size]:
    """A paper and the largest size at which its first page holds what has to stand there.

    `make` gives the paper with pictures of a height [mm], 0 for none. What is too much for the last step goes on
    overleaf: nothing is cut off.
    """
    paper = make(0.0)
    if not paper.one_page:
        return make(FLOWING.picture_mm), FLOWING
    high = room_mm(sheet)[1] * POINTS_PER_MM
    first = make(STEPS[0].picture_mm)
    fonts = registered(words_of(first), tuple(pictures_of(first)))
    try:
        # Each step is lower than the one before, so that halving finds the first that fits.
        step = bisect_left(
            STEPS, True, hi=len(STEPS) - 1, key=lambda size: _high_pt(make(size.picture_mm), size, fonts, sheet) <= high
        )
    finally:
        forget(fonts)
    return make(STEPS[step].picture_mm), STEPS[step]


def _story(paper: Paper, size: Size, fonts: PdfFonts, sheet: SheetName) -> list[Any]:
    from rotary.papers.story import Story

    wide, high = (side * POINTS_PER_MM for side in room_mm(sheet))
    story = Story(fonts, size, wide)
    parts = story.head(paper)
    for section in paper.sections:
        parts += story.section(section, high)
    return parts


def _high_pt(paper: Paper, size: Size, fonts: PdfFonts, sheet: SheetName) -> float:
    wide = room_mm(sheet)[0] * POINTS_PER_MM
    return float(sum(part.wrap(wide, 1e6)[1] for part in _story(paper, size, fonts, sheet)))


def paper_pdf(make: Callable[[float], Paper], sheet: SheetName) -> tuple[bytes, int]:
    """A paper as a file, and its pages."""
    paper, size = fit(make, sheet)
    fonts = registered(words_of(paper), tuple(pictures_of(paper)), size.narrow)
    try:
        # Built twice: how many pages there are stands on each.
        _, pages = _built(paper, size, fonts, sheet, 0)
        data, _ = _built(paper, size, fonts, sheet, pages)
    finally:
        forget(fonts)
    return data, pages


def _built(paper: Paper, size: Size, fonts: PdfFonts, sheet: SheetName, pages: int) -> tuple[bytes, int]:
    from reportlab.platypus import (  # type: ignore[import-untyped, unused-ignore]
        BaseDocTemplate,
        Frame,
        NextPageTemplate,
        PageBreak,
        PageTemplate,
    )  # fmt: skip

    from rotary.papers.story import Story

    out = io.BytesIO()
    wide, high = (side * POINTS_PER_MM for side in SHEETS_MM[sheet])
    edge, foot = EDGE_MM * POINTS_PER_MM, FOOT_MM * POINTS_PER_MM

    def frame(head_mm: float) -> Any:
        head = head_mm * POINTS_PER_MM
        # A hair higher than what was measured, against rounding.
        return Frame(edge, edge + foot - 1, wide - 2 * edge, high - 2 * edge - foot - head + 2, 0, 0, 0, 0)

    def each_page(canvas: Any, template: Any) -> None:
        number = template.page
        if number == 1:
            described = f"{paper.kind} of {paper.name}"
            describe(canvas, paper.title, paper.day, described, paper.ids)
        paint_picture(canvas, _edge(paper, sheet, number, pages), fonts)

    document = BaseDocTemplate(
        out, pagesize=(wide, high), invariant=1, pageCompression=1, lang="en", allowSplitting=1,
        pageTemplates=[
            PageTemplate("first", [frame(0.0)], onPage=each_page),
            PageTemplate("later", [frame(HEAD_MM)], onPage=each_page),
        ],
    )  # fmt: skip
    story = [NextPageTemplate("later"), *_story(paper, size, fonts, sheet)]
    later = Story(fonts, FLOWING, wide - 2 * edge)
    for sections, text in ((paper.tables, ""), (paper.details, paper.details_text)):
        if sections:
            story.append(PageBreak())
            story += [later.words(text, later.size.label_pt)] if text else []
            for section in sections:
                story += later.section(section, high - 2 * edge)
    document.build(story)
    return out.getvalue(), int(document.page)


def _edge(paper: Paper, sheet: SheetName, number: int, pages: int) -> PaperPicture:
    """Head and foot of a page: whose it is, its number, what goes first, and 100 mm at true size."""
    wide, high = SHEETS_MM[sheet]
    letter, larger = LEAST_PT / POINTS_PER_MM, 1.2 * LEAST_PT / POINTS_PER_MM
    places, right = f"{number} of {pages}", wide - EDGE_MM
    left = EDGE_MM + RULE_MM + 4.0
    room = right - left - wide_mm(places, letter, "bold") - 3.0
    low = EDGE_MM
    marks = [
        *_rule(EDGE_MM, low + 2.6),
        Words("100 mm", EDGE_MM + 2.0, low - 0.8, letter),
        Words(clipped(FIRST_RULE, RULE_MM - 20.0, letter, "bold"), EDGE_MM + 19.0, low - 0.8, letter, "start", "bold"),
        Words(places, right, low - 0.8, letter, "end", "bold"),
        Words(clipped(paper.name if number == 1 else paper.kind, room, letter), left, low - 0.8, letter),
    ]
    if number > 1:
        top = high - EDGE_MM - letter
        marks += [
            Words(clipped(paper.title, right - EDGE_MM, larger, "bold"), EDGE_MM, top, larger, "start", "bold"),
            line([(EDGE_MM, top - 1.6), (right, top - 1.6)], 0.35),
        ]
    return PaperPicture(wide, high, tuple(marks), "edge")


def _rule(x: float, y: float) -> Sequence[Any]:
    """100 mm, ticked like a steel rule."""
    ticks = (
        line([(x + mm, y), (x + mm, y + (2.0 if mm % 50 == 0 else 1.5 if mm % 10 == 0 else 0.8))], 0.15)
        for mm in range(0, round(RULE_MM) + 1, 5)
    )
    return (line([(x, y), (x + RULE_MM, y)], 0.35), *ticks)
