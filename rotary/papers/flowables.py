"""What reportlab has no flowable for: a picture at true size, a box to tick."""

from typing import Any, Final

from reportlab.platypus import Flowable, Paragraph  # type: ignore[import-untyped, unused-ignore]

from rotary.papers.drawing import Face, PaperPicture
from rotary.papers.letters import by_font, runs_of_lines
from rotary.papers.pdf import POINTS_PER_MM, PdfFonts, paint_picture

MM: Final = POINTS_PER_MM


class PictureFlowable(Flowable):  # type: ignore[misc]
    """A picture at true size."""

    def __init__(self, picture: PaperPicture, fonts: PdfFonts) -> None:
        super().__init__()
        self.picture, self.fonts = picture, fonts
        self.width, self.height = picture.wide_mm * MM, picture.high_mm * MM

    def draw(self) -> None:
        """Paint it."""
        paint_picture(self.canv, self.picture, self.fonts)


class TurnedParagraph(Paragraph):  # type: ignore[misc]
    """Words of which some run to the left: broken where they are read, then turned line by line.

    `around` is markup that stands before the first line, how wide that is [points], and markup after the last.
    """

    def __init__(self, text: str, style: Any, fonts: PdfFonts, face: Face, around: tuple[str, float, str]) -> None:
        super().__init__("", style)
        self.of = text, fonts, face, around

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """Set it anew for a width."""
        text, fonts, face, (before, before_pt, after) = self.of
        size = self.style.fontSize

        def fits(letters: str, line: int) -> bool:
            return fonts.wide(by_font(letters), face, size) + (0 if line else before_pt) <= wide

        lines = "<br/>".join(map(fonts.marked, runs_of_lines(text, fits)))
        super().__init__(f"{before}{lines}{after}", self.style)
        room: tuple[float, float] = super().wrap(wide, high)
        return room

    def split(self, _wide: float, _high: float) -> list[Any]:
        """It stays in one piece."""
        return []


class TickBox(Flowable):  # type: ignore[misc]
    """A square to tick."""

    def __init__(self, side: float) -> None:
        super().__init__()
        self.width = self.height = side

    def draw(self) -> None:
        """Paint it."""
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, 0, self.width, self.height)
