"""A paper in the kind of file that its name ends with: one paper, four writers."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final

from rotary.errors import UnknownName, brief
from rotary.files import MADE_BY
from rotary.papers.dots import png_bytes
from rotary.papers.drawing import PaperPicture
from rotary.papers.html import html_text
from rotary.papers.model import FIRST_RULE, Paper
from rotary.papers.pages import fit, paper_pdf
from rotary.papers.pdf import picture_bytes
from rotary.papers.svg import svg_text
from rotary.papers.text import text_lines
from rotary.printer import SheetName

ENDINGS: Final = (".pdf", ".html", ".txt", ".json")


@dataclass(frozen=True, slots=True)
class PaperFile:
    """What a paper became: its bytes, and its pages where it has any."""

    data: bytes
    pages: int | None


def ending_of(path: Path, endings: Sequence[str] = ENDINGS, also: Sequence[str] = ()) -> str:
    """The kind of file that a name asks for; raises UnknownName where it asks for none of these.

    Kinds in `also` are known, too, but no one is sent to them.

    >>> ending_of(Path("card.PDF"))
    '.pdf'
    """
    ending = path.suffix.lower()
    if ending == ".htm":
        return ".html"
    if ending not in (*endings, *also):
        raise UnknownName(f"{brief(path.name, 60)} can't be written: end its name with {listed(endings)}")
    return ending


def listed(endings: Sequence[str]) -> str:
    """Endings as a sentence has them.

    >>> listed((".pdf", ".html", ".txt")), listed((".svg",))
    ('.pdf, .html or .txt', '.svg')
    """
    *first, last = endings
    return f"{', '.join(first)} or {last}" if first else last


def document(make: Callable[[float], Paper], ending: str, sheet: SheetName) -> PaperFile:
    """A paper in one kind of file. `make` gives it with pictures of a height [mm]."""
    if ending == ".txt":
        return PaperFile("\n".join([*text_lines(make(0.0)), f"({MADE_BY})", ""]).encode(), None)
    if ending == ".json":
        return PaperFile((json.dumps(paper_data(make(0.0)), indent=2, ensure_ascii=False) + "\n").encode(), None)
    if ending == ".html":
        return PaperFile(html_text(*fit(make, sheet), sheet).encode(), None)
    return PaperFile(*paper_pdf(make, sheet))


def paper_data(paper: Paper) -> dict[str, Any]:
    """A paper for other programs: its first rule, its blocks with their kinds; of a picture what it says."""
    return {"paper": paper.kind, "first_rule": FIRST_RULE, **_data(paper)}


def _data(value: Any) -> Any:
    if isinstance(value, PaperPicture):
        return {"title": value.title, "says": value.says}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return value._asdict()
    if is_dataclass(value) and not isinstance(value, type):
        named = {name: _data(getattr(value, name)) for name in value.__dataclass_fields__}
        return named if isinstance(value, Paper) else {"block": type(value).__name__, **named}
    if isinstance(value, tuple | list):
        return [_data(one) for one in value]
    if isinstance(value, frozenset):
        return sorted(value)
    return value.isoformat() if isinstance(value, date) else value


PICTURE_ENDINGS: Final = (".svg", ".pdf", ".png")
LONGER_SIDE: Final = 1200
"""Dots along the longer side of a picture in dots."""


def picture_document(picture: PaperPicture, ending: str) -> PaperFile:
    """One picture by itself, as SVG, PDF or PNG."""
    if ending == ".svg":
        return PaperFile(svg_text(picture).encode(), 1)
    if ending == ".png":
        return PaperFile(png_bytes(picture, LONGER_SIDE / max(picture.wide_mm, picture.high_mm)), 1)
    return PaperFile(picture_bytes(picture, date.today()), 1)
