"""A paper in the kind of file that its name ends with; written whole, never over what it was made from."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble, UnknownName, brief
from rotary.files import MADE_BY
from rotary.papers.drawing import PaperPicture
from rotary.papers.html import html_text
from rotary.papers.model import Paper
from rotary.papers.onepage import fit, fitted_pages
from rotary.papers.pdf import pdf_bytes
from rotary.papers.sheets import pages_of
from rotary.papers.svg import svg_text
from rotary.papers.text import text_lines
from rotary.papers.typeset import Size
from rotary.printer import SheetName

ENDINGS: Final = (".pdf", ".html", ".txt", ".svg")


@dataclass(frozen=True, slots=True)
class PaperFile:
    """What a paper became: its bytes, and its pages where it has any."""

    data: bytes
    pages: int | None


def ending_of(path: Path) -> str:
    """The kind of file that a name asks for; raises UnknownName where it asks for none of them.

    >>> ending_of(Path("card.PDF"))
    '.pdf'
    """
    ending = path.suffix.lower()
    if ending in (".htm",):
        return ".html"
    if ending not in ENDINGS:
        raise UnknownName(f"{brief(path.name, 60)} says no kind of paper: end the name with .pdf, .html, .txt or .svg")
    return ending


def document(
    make: Callable[[float], Paper],
    ending: str,
    sheet: SheetName,
    fits_a_page: bool = False,
    lines: Callable[[], Sequence[str]] | None = None,
) -> PaperFile:
    """A paper in one kind of file. `make` gives it with pictures of a height [mm]; `lines` its own plain text."""
    if ending == ".txt":
        text = list(lines()) if lines is not None else text_lines(make(0.0))
        return PaperFile("\n".join([*text, f"({MADE_BY})", ""]).encode(), None)
    if ending == ".html":
        if not fits_a_page:
            return PaperFile(html_text(make(FLOW_PICTURE_MM), sheet, Size(), FLOW_PICTURE_MM).encode(), None)
        found = fit(make, sheet)
        return PaperFile(html_text(found.paper, sheet, found.size, found.picture_mm).encode(), None)
    pages = fitted_pages(make, sheet) if fits_a_page else pages_of(make(FLOW_PICTURE_MM), sheet)
    if ending == ".svg":
        # An SVG is one page: the first, which holds all that is done at the machine.
        return PaperFile(svg_text(pages[0]).encode(), 1)
    return PaperFile(pdf_bytes(pages, make(0.0).title), len(pages))


FLOW_PICTURE_MM: Final = 60.0


def picture_document(picture: PaperPicture, ending: str) -> PaperFile:
    """One picture by itself, as SVG or PDF."""
    if ending == ".svg":
        return PaperFile(svg_text(picture).encode(), 1)
    if ending == ".pdf":
        return PaperFile(pdf_bytes([picture], picture.title), 1)
    raise FileTrouble("a picture is written as .svg or .pdf: end the name with one of them")
