"""A paper whose first page has to hold all that is done at the machine: set as large as it fits, nothing cut off."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from rotary.papers.columns import filled, runs, set_run
from rotary.papers.drawing import PaperPicture
from rotary.papers.model import Paper, Section
from rotary.papers.sheets import appendix, head, lead, numbered, pages_of, room_mm
from rotary.papers.typeset import LEAST_FIGURE_MM, LEAST_LEAVE_MM, Laid, Size, stacked
from rotary.printer import SheetName

PICTURES_MM: Final = (40.0, 34.0, 28.0, 24.0, 21.5)
"""How high pictures may stand on the page; where none of these fits they go behind."""


def _size(body: float, figure: float, boxes: float, write: float, gap: float, whys: bool = True) -> Size:
    return Size(body, max(figure, LEAST_FIGURE_MM), boxes, write, gap, whys)


SIZES: Final = (
    _size(2.75, 6.4, 3.2, 8.0, 2.8),
    _size(2.6, 6.0, 3.1, 7.5, 2.4),
    _size(2.45, 5.6, 3.0, 7.0, 2.0),
    _size(2.3, 5.3, 2.8, 6.5, 1.7),
    _size(2.2, 5.0, 2.6, 6.0, 1.4),
    _size(2.2, 5.0, 2.6, 6.0, 1.3, whys=False),
    _size(2.12, 4.94, 2.4, 6.0, 1.1, whys=False),
)
"""The last with 6 points for the words: the least that data sheets are printed in (common practice, no source).

What warns of a number to key in keeps its size in all of them.
"""

SMALLEST: Final = (replace(_size(2.12, 4.94, 2.1, 6.0, 0.8, whys=False), leave_mm=LEAST_LEAVE_MM),)

MOST_ASIDE: Final = 4


@dataclass(frozen=True, slots=True)
class PageFit:
    """How a paper fits its page: its first page, what stands on it, how large it is set, and how high its pictures
    stand; `page` None where it takes more than one page."""

    page: Laid | None
    paper: Paper
    size: Size
    picture_mm: float


def fit(make: Callable[[float], Paper], sheet: SheetName) -> PageFit:
    """The largest way to set a paper's first page that fits.

    `make` gives the paper with pictures of a height [mm], 0 for none. Pictures go behind before letters fall below
    the sizes of `SIZES`; sections that may stand aside go behind, the highest number first, before anything is cut.
    """
    papers: dict[float, Paper] = {}

    def paper_with(high: float) -> Paper:
        if high not in papers:
            papers[high] = make(high)
        return papers[high]

    for size in SIZES:
        over = _over_mm(paper_with(PICTURES_MM[0]), sheet, size)
        # Lower pictures save so much, and what is left out beside the lowest a few lines more.
        for high in [high for high in PICTURES_MM if PICTURES_MM[0] - high >= over - 3 * size.write_mm]:
            paper = _filled(paper_with(high), sheet, size)
            if (page := _page(paper, sheet, size)) is not None:
                return PageFit(page, paper, size, high)
    moved = paper_with(0.0)
    for least in range(MOST_ASIDE + 1, 0, -1):
        moved = _aside(paper_with(0.0), least)
        for size in (*SIZES, *SMALLEST):
            paper = _filled(moved, sheet, size)
            if (page := _page(paper, sheet, size)) is not None:
                return PageFit(page, paper, size, 0.0)
    return PageFit(None, moved, SMALLEST[0], 0.0)


def fitted_pages(make: Callable[[float], Paper], sheet: SheetName) -> list[PaperPicture]:
    """The paper with its first page set as large as it fits, and its appendix.

    Names and warnings without end take more than a page; nothing is cut off then either.
    """
    found = fit(make, sheet)
    if found.page is None:
        return pages_of(found.paper, sheet, found.size)
    return numbered(found.paper, [found.page, *appendix(found.paper, sheet)], sheet)


def _aside(paper: Paper, least: int) -> Paper:
    """Sections that may stand aside, from this number on, moved behind; a line says where each went."""
    gone = [part for part in paper.sections if part.aside >= least]
    if not gone:
        return paper
    kept: list[Section] = []
    for part in paper.sections:
        if part in gone:
            kept.append(Section(f"{part.title}: overleaf, no room here", (), part.column))
        else:
            kept.append(part)
    return replace(paper, sections=tuple(kept), behind=(*gone, *paper.behind))


def _set(paper: Paper, sheet: SheetName, size: Size) -> Laid:
    """Head and sections one under the other, however far down they reach."""
    wide, _ = room_mm(sheet)
    top = stacked([head(paper, wide, size), lead(paper, wide, size)], 0.6)
    return stacked([top, *(set_run(run, wide, size) for run in runs(paper.sections))], size.gap_mm)


def _over_mm(paper: Paper, sheet: SheetName, size: Size) -> float:
    """How far a page reaches beyond its foot [mm]."""
    return _set(_filled(paper, sheet, size), sheet, size).high_mm - room_mm(sheet)[1]


def _filled(paper: Paper, sheet: SheetName, size: Size) -> Paper:
    return replace(paper, sections=filled(paper.sections, room_mm(sheet)[0], size))


def _page(paper: Paper, sheet: SheetName, size: Size) -> Laid | None:
    whole = _set(paper, sheet, size)
    return whole if whole.high_mm <= room_mm(sheet)[1] else None
