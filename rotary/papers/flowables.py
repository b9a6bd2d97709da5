"""What reportlab has no flowable for: a picture at true size, a box to tick."""

from typing import Final

from reportlab.platypus import Flowable  # type: ignore[import-untyped, unused-ignore]

from rotary.papers.drawing import PaperPicture
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


class TickBox(Flowable):  # type: ignore[misc]
    """A square to tick."""

    def __init__(self, side: float) -> None:
        super().__init__()
        self.width = self.height = side

    def draw(self) -> None:
        """Paint it."""
        self.canv.setLineWidth(0.8)
        self.canv.rect(0, 0, self.width, self.height)
