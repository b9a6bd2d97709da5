"""What a PDF is painted on: its fonts, its marks at true size, and what the file says of itself."""

import calendar
import hashlib
import io
import math
import time
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from html import escape
from pathlib import Path
from typing import Any, Final, NamedTuple

from rotary.errors import single_line
from rotary.files import MADE_BY
from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Area, Face, Line, Mark, PaperPicture, Tone, Words, tone_parts
from rotary.papers.letters import font_of, font_runs, other_font, printable

POINTS_PER_MM: Final = 72 / 25.4
_EVEN_ODD: Final = 0
_TYPED: Final = "".join(map(chr, range(32, 127))) + "–»…"


class PdfFonts(NamedTuple):
    """The fonts of one file by the names that the writer of PDFs knows them by: our own cuts, and the computer's."""

    cuts: dict[Face, str]
    others: dict[Path, str]

    def markup(self, text: str) -> str:
        """A text for a paragraph, each run in the font that shows it."""
        return self.marked(font_runs(text))

    def marked(self, runs: Sequence[tuple[Path | None, str]]) -> str:
        """Runs for a paragraph, each in its font."""
        return "".join(
            escape(run) if path is None else f'<font name="{self.others[path]}">{escape(run)}</font>'
            for path, run in runs
        )

    def wide(self, runs: Sequence[tuple[Path | None, str]], face: Face, size: float) -> float:
        """How far runs of letters go, in the unit of their size."""
        from reportlab.pdfbase.pdfmetrics import stringWidth  # type: ignore[import-untyped, unused-ignore]

        return float(sum(stringWidth(run, self.others[path] if path else self.cuts[face], size) for path, run in runs))


def registered(texts: Iterable[str], pictures: Sequence[PaperPicture] = (), narrow: bool = False) -> PdfFonts:
    """The fonts that these texts need, made known to the writer of PDFs; in narrow letters, too, where asked for."""
    from reportlab.pdfbase import pdfmetrics  # type: ignore[import-untyped, unused-ignore]
    from reportlab.pdfbase.ttfonts import TTFont  # type: ignore[import-untyped, unused-ignore]

    every = "".join(texts)
    words = [mark for picture in pictures for mark in picture.marks if isinstance(mark, Words)]
    in_pictures = frozenset(letter for mark in words if mark.face == "narrow" for letter in printable(mark.text))
    own = frozenset(printable(every) + _TYPED)
    letters: dict[Face, frozenset[str]] = {"plain": own, "bold": own, "narrow": own if narrow else in_pictures}
    cuts: dict[Face, str] = {}
    for face, used in letters.items():
        if not used:
            continue
        digest = hashlib.sha256("".join(sorted(used)).encode()).hexdigest()[:12]
        cuts[face] = f"rotary-{face}-{digest}"
        font = TTFont(cuts[face], io.BytesIO(font_of(used, face)), shapable=False)
        # The writer tells font files apart by these, and all cuts come from one.
        font.face.filename, font.face.name = cuts[face], cuts[face].encode()
        pdfmetrics.registerFont(font)
    others: dict[Path, str] = {}
    for path in sorted({path for letter in set(every) if (path := other_font(letter))}):
        others[path] = f"computer-{path.stem}"
        pdfmetrics.registerFont(TTFont(others[path], str(path)))
    return PdfFonts(cuts, others)


def forget(fonts: PdfFonts) -> None:
    """Let go of fonts that were made for one file."""
    from reportlab.pdfbase import pdfmetrics

    for name in (*fonts.cuts.values(), *fonts.others.values()):
        pdfmetrics._fonts.pop(name, None)


def describe(canvas: Any, title: str, day: date, subject: str = "", keywords: Sequence[str] = ()) -> None:
    """What the file says of itself; the same paper of the same day gives the same bytes."""
    canvas.setTitle(single_line(title))
    canvas.setAuthor("rotary")
    canvas.setCreator(MADE_BY)
    canvas.setSubject(single_line(subject))
    canvas.setKeywords(", ".join(keywords))
    canvas.setViewerPreference("PrintScaling", "None")
    stamp = canvas._doc._timeStamp
    stamp.t = calendar.timegm(day.timetuple())
    stamp.lt = tuple(time.gmtime(stamp.t))
    stamp.YMDhms = stamp.lt[:6]


def canvas_for(out: io.BytesIO, title: str, day: date, size: tuple[float, float] | None = None) -> Any:
    """What a file is painted on, pages [points] at true size."""
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped, unused-ignore]

    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=1, lang="en")
    describe(canvas, title, day)
    return canvas


def picture_bytes(picture: PaperPicture, day: date) -> bytes:
    """One picture as a page of its own."""
    out = io.BytesIO()
    fonts = registered([mark.text for mark in picture.marks if isinstance(mark, Words)], [picture])
    size = picture.wide_mm * POINTS_PER_MM, picture.high_mm * POINTS_PER_MM
    canvas = canvas_for(out, picture.title, day, size)
    try:
        paint_picture(canvas, picture, fonts)
        canvas.showPage()
        canvas.save()
    finally:
        forget(fonts)
    return out.getvalue()


def paint_picture(canvas: Any, picture: PaperPicture, fonts: PdfFonts) -> None:
    """A picture with its lower left corner where the canvas stands, at true size."""
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.setLineJoin(1)
    for mark in picture.marks:
        paint(canvas, mark, fonts)
    canvas.restoreState()


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


def _set_tone(grey: Callable[..., None], colour: Callable[..., None], shade: Tone) -> None:
    """A grey stays one in the file: a printer mixes a black of three colours from anything else."""
    if isinstance(shade, tuple):
        colour(*tone_parts(shade))
    else:
        grey(shade)


def paint(canvas: Any, mark: Mark, fonts: PdfFonts) -> None:
    """One mark, in millimetres."""
    if isinstance(mark, Line):
        _set_tone(canvas.setStrokeGray, canvas.setStrokeColorRGB, mark.shade)
        canvas.setLineWidth(mark.width_mm)
        canvas.setDash(list(mark.dashes_mm))
        canvas.drawPath(_path(canvas, [mark.points_mm], closed=False), stroke=1, fill=0)
        return
    _set_tone(canvas.setFillGray, canvas.setFillColorRGB, mark.shade)
    if isinstance(mark, Area):
        edge = mark.edge_mm > 0
        canvas.saveState()
        if edge:
            _set_tone(canvas.setStrokeGray, canvas.setStrokeColorRGB, mark.shade)
            canvas.setLineWidth(mark.edge_mm)
        if mark.opacity < 1:
            canvas.setFillAlpha(mark.opacity)
            canvas.setStrokeAlpha(mark.opacity)
        canvas.drawPath(_path(canvas, mark.rings_mm, closed=True), stroke=int(edge), fill=1, fillMode=_EVEN_ODD)
        canvas.restoreState()
        return
    # Letters that our own font lacks are set in those of the computer, run by run.
    runs = font_runs(mark.text)
    wide = fonts.wide(runs, mark.face, mark.size_mm)
    x = {"start": 0.0, "middle": -wide / 2, "end": -wide}[mark.anchor]
    canvas.saveState()
    canvas.translate(mark.x_mm, mark.y_mm)
    if mark.turn_rad:
        canvas.rotate(math.degrees(mark.turn_rad))
    for path, run in runs:
        canvas.setFont(fonts.others[path] if path else fonts.cuts[mark.face], mark.size_mm)
        canvas.drawString(x, 0, run)
        x += fonts.wide([(path, run)], mark.face, mark.size_mm)
    canvas.restoreState()
