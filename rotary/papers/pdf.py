"""Pages as a PDF of exact size, with the letters that they use in it."""

import hashlib
import io
import math
from collections.abc import Sequence
from typing import Any, Final

from rotary.errors import single_line
from rotary.files import MADE_BY
from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Area, Face, Line, Mark, PaperPicture, Words
from rotary.papers.letters import CUTS, font_of, printable

POINTS_PER_MM: Final = 72 / 25.4
_EVEN_ODD: Final = 0


def pdf_bytes(pages: Sequence[PaperPicture], title: str) -> bytes:
    """All pages as one file; the same pages give the same bytes."""
    out = io.BytesIO()
    canvas = canvas_for(out, title)
    faces = registered([mark for page in pages for mark in page.marks if isinstance(mark, Words)])
    try:
        for page in pages:
            canvas.setPageSize((page.wide_mm * POINTS_PER_MM, page.high_mm * POINTS_PER_MM))
            canvas.saveState()
            canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
            canvas.setLineJoin(1)
            for mark in page.marks:
                paint(canvas, mark, faces)
            canvas.restoreState()
            canvas.showPage()
        canvas.save()
    finally:
        forget(faces)
    return out.getvalue()


def canvas_for(out: io.BytesIO, title: str, size: tuple[float, float] | None = None) -> Any:
    """What a file is painted on, pages [points] at true size; the same marks give the same bytes."""
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped, unused-ignore]

    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=1, lang="en")
    canvas.setTitle(single_line(title))
    canvas.setCreator(MADE_BY)
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def registered(words: Sequence[Words]) -> dict[Face, str]:
    """The faces that these words need, made known to the writer of PDFs; by which name each."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped, unused-ignore]
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped, unused-ignore]

    names: dict[Face, str] = {}
    for face in CUTS:
        letters = frozenset("".join(printable(mark.text) for mark in words if mark.face == face))
        if letters:
            digest = hashlib.sha256("".join(sorted(letters)).encode()).hexdigest()[:12]
            names[face] = f"rotary-{face}-{digest}"
            font = TTFont(names[face], io.BytesIO(font_of(letters, face)))
            # The writer tells font files apart by these, and all cuts come from one.
            font.face.filename, font.face.name = names[face], names[face].encode()
            pdfmetrics.registerFont(font)
    return names


def forget(names: dict[Face, str]) -> None:
    """Let go of fonts that were made for one file."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped, unused-ignore]

    for name in names.values():
        pdfmetrics._fonts.pop(name, None)


def _path(canvas: Any, rings: Sequence[Floats], closed: bool) -> Any:
    path = canvas.beginPath()
    for ring in rings:
        first, *rest = ring.tolist()
        path.moveTo(*first)
        for point in rest:
            path.lineTo(*point)
        if closed:
            path.close()
    return path


def paint(canvas: Any, mark: Mark, faces: dict[Face, str]) -> None:
    """One mark, in millimetres."""
    if isinstance(mark, Line):
        canvas.setStrokeGray(mark.shade)
        canvas.setLineWidth(mark.width_mm)
        canvas.setDash(list(mark.dashes_mm))
        canvas.drawPath(_path(canvas, [mark.points_mm], closed=False), stroke=1, fill=0)
        return
    canvas.setFillGray(mark.shade)
    if isinstance(mark, Area):
        canvas.drawPath(_path(canvas, mark.rings_mm, closed=True), stroke=0, fill=1, fillMode=_EVEN_ODD)
        return
    text = printable(mark.text)
    if not text:
        return
    canvas.saveState()
    canvas.translate(mark.x_mm, mark.y_mm)
    if mark.turn_rad:
        canvas.rotate(math.degrees(mark.turn_rad))
    canvas.setFont(faces[mark.face], mark.size_mm)
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    draw[mark.anchor](0, 0, text)
    canvas.restoreState()
