"""What reportlab has no flowable for: numbers to type, boxes to tick, lines to write on, pictures at true size."""

from collections.abc import Sequence
from typing import Any, Final

from reportlab.lib.utils import simpleSplit  # type: ignore[import-untyped, unused-ignore]
from reportlab.pdfbase.pdfmetrics import stringWidth  # type: ignore[import-untyped, unused-ignore]
from reportlab.platypus import Flowable  # type: ignore[import-untyped, unused-ignore]

from rotary.papers.drawing import PaperPicture
from rotary.papers.growth import LEAST_PT, Size
from rotary.papers.letters import printable
from rotary.papers.model import Entry
from rotary.papers.pdf import POINTS_PER_MM, PdfFonts, paint_picture

MM: Final = POINTS_PER_MM
WRITTEN_PT: Final = 7 * MM
"""Height of a line that is written on by hand."""


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


class TickBoxes(Flowable):  # type: ignore[misc]
    """Boxes in rows, a name before each group; groups of one box have their name in it where there is room."""

    def __init__(self, groups: Sequence[tuple[str, int]], side: float, font: str) -> None:
        super().__init__()
        self.groups, self.side, self.font, self.gap = groups, side, font, 1.2 * MM
        self.places: list[tuple[float, float, str, bool]] = []

    def wrap(self, room: float, _high: float) -> tuple[float, float]:
        """Lay the boxes out in rows of this width [points]."""
        self.places, x, y = [], 0.0, 0.0
        for name, many in self.groups:
            within = many == 1 and stringWidth(name, self.font, LEAST_PT) < self.side - 1.5
            lead = 0.0 if within else stringWidth(name, self.font, LEAST_PT) + 1.0 * MM
            wide = lead + min(many, 10) * (self.side + self.gap) + (0.0 if within else 2.5 * MM)
            if x and x + wide > room + self.gap:
                x, y = 0.0, y + self.side + self.gap
            start = x
            for at in range(many):
                step = lead if at == 0 else 0.0
                if x + step + self.side > room:
                    x, y = start, y + self.side + self.gap
                    step = lead
                x += step
                self.places.append((x, y, name if at == 0 else "", within))
                x += self.side + self.gap
            x += 0.0 if within else 2.5 * MM
        self.width, self.height = room, y + self.side
        return room, self.height

    def draw(self) -> None:
        """Paint boxes and names."""
        canvas = self.canv
        canvas.setLineWidth(0.7)
        canvas.setFont(self.font, LEAST_PT)
        for x, y, name, within in self.places:
            low = self.height - y - self.side
            canvas.rect(x, low, self.side, self.side)
            canvas.setFillGray(0.35 if within else 0.0)
            if within:
                canvas.drawCentredString(x + self.side / 2, low + self.side / 2 - 2.8, name)
            elif name:
                canvas.drawRightString(x - 1.0 * MM, low + self.side / 2 - 2.8, name)


class WritingLines(Flowable):  # type: ignore[misc]
    """Empty lines to write on."""

    def __init__(self, lines: int, each: float = WRITTEN_PT) -> None:
        super().__init__()
        self.lines, self.each = lines, each

    def wrap(self, room: float, _high: float) -> tuple[float, float]:
        """As wide as there is room."""
        self.width, self.height = room, self.lines * self.each
        return room, self.height

    def split(self, _room: float, high: float) -> list[Flowable]:
        """Some lines here, the rest overleaf."""
        fit = int(high // self.each)
        return [WritingLines(fit, self.each), WritingLines(self.lines - fit, self.each)] if 0 < fit < self.lines else []

    def draw(self) -> None:
        """Paint them."""
        self.canv.setLineWidth(0.5)
        for line in range(self.lines):
            y = self.height - (line + 1) * self.each + 1.0
            self.canv.line(0, y, self.width, y)


class TypedNumbers(Flowable):  # type: ignore[misc]
    """Numbers to type in their order, each in a frame under its label; what warns of one stands in a black strip.

    ::

        +------------------+  +-------------------------+
        | Slice in the file|  | Diameter to type        |
        | 2.837 mm         |  | 22.400 mm               |
        +------------------+  |#NOT 79: leave it########|
                              +-------------------------+
    """

    def __init__(self, entries: Sequence[Entry], size: Size, fonts: PdfFonts) -> None:
        super().__init__()
        self.entries, self.size = entries, size
        self.plain, self.bold = fonts.cuts["plain"], fonts.cuts["bold"]
        self.lines: list[list[tuple[Entry, float]]] = []

    def _wide(self, text: str, font: str, size: float) -> float:
        return float(stringWidth(printable(text), font, size))

    def _need(self, entry: Entry) -> float:
        unit = f" {entry.unit}" if entry.unit else ""
        number = self._wide(entry.text, self.bold, self.size.typed_pt) + self._wide(
            unit, self.plain, self.size.words_pt
        )
        label = self._wide(entry.label, self.bold, self.size.label_pt)
        if label > number:
            # A long label goes on two lines.
            label = max(number, 0.6 * label)
        why = self._wide(entry.why, self.plain, self.size.label_pt)
        if self._is_inline(entry):
            number += why + 5 * MM
        return (
            max(
                number,
                label,
                0.0 if self._is_inline(entry) else min(why, 60 * MM),
                self._wide(entry.leave, self.bold, self._leave_pt),
            )
            + 4 * MM
        )

    @property
    def _leave_pt(self) -> float:
        return max(self.size.words_pt, 9.0)

    def _is_inline(self, entry: Entry) -> bool:
        """What is said of a number that stands alone follows it in its line."""
        return len(self.entries) == 1 and bool(entry.why)

    def _why(self, entry: Entry, wide: float) -> list[str]:
        return (
            []
            if self._is_inline(entry) or not entry.why
            else list(simpleSplit(printable(entry.why), self.plain, self.size.label_pt, wide - 3 * MM))
        )

    def _label(self, entry: Entry, wide: float) -> list[str]:
        return list(simpleSplit(printable(entry.label), self.bold, self.size.label_pt, wide - 3 * MM))

    def _high(self, line: Sequence[tuple[Entry, float]]) -> tuple[float, float, float]:
        """Of a row: its labels, what is said below its numbers, the strip of what warns."""
        step = 1.15 * self.size.label_pt
        labels = max(len(self._label(entry, wide)) for entry, wide in line) * step + 3
        whys = max(len(self._why(entry, wide)) for entry, wide in line) * step
        strip = 1.3 * self._leave_pt if any(entry.leave for entry, _ in line) else 0.0
        return labels, whys + (2 if whys else 0), strip

    @property
    def natural(self) -> float:
        """Width of all in one row [points]."""
        return sum(map(self._need, self.entries))

    def wrap(self, room: float, _high: float) -> tuple[float, float]:
        """Fill rows from the left, each number in a frame as wide as it needs."""
        line: list[tuple[Entry, float]] = []
        self.lines, used = [], 0.0
        for entry in self.entries:
            need = min(self._need(entry), room)
            if line and used + need > room:
                self.lines.append(line)
                line, used = [], 0.0
            line.append((entry, need))
            used += need
        self.lines += [line] if line else []
        high = sum(sum(self._high(line)) + self.size.typed_pt + 3 for line in self.lines)
        self.width, self.height = room, high + 1.2 * MM * (len(self.lines) - 1)
        return room, self.height

    def split(self, room: float, high: float) -> list[Flowable]:
        """Whole rows here, the rest overleaf."""
        self.wrap(room, high)
        if len(self.lines) < 2:
            return []
        first = len(self.lines[0])
        parts = self.entries[:first], self.entries[first:]
        fonts = PdfFonts({"plain": self.plain, "bold": self.bold}, {})
        return [TypedNumbers(part, self.size, fonts) for part in parts]

    def draw(self) -> None:
        """Paint the frames from the top."""
        y = self.height
        for line in self.lines:
            labels, whys, strip = self._high(line)
            tall = labels + whys + strip + self.size.typed_pt + 3
            y -= tall
            spare = min(6 * MM, (self.width - sum(wide for _, wide in line)) / len(line))
            x = 0.0
            for entry, wide in line:
                self._cell(entry, (x, y, wide + spare, tall), labels, strip)
                x += wide + spare
            y -= 1.2 * MM

    def _cell(self, entry: Entry, at: tuple[float, float, float, float], labels: float, strip: float) -> None:
        canvas: Any = self.canv
        (x, y, wide, tall), left = at, at[0] + 1.5 * MM
        small = self.size.label_pt
        canvas.setLineWidth(1.6 if entry.leave else 0.6)
        canvas.setFillGray(0.0)
        canvas.rect(x, y, wide, tall)
        if entry.leave:
            canvas.rect(x, y, wide, strip, fill=1, stroke=0)
        canvas.setFont(self.bold, small)
        for place, text in enumerate(self._label(entry, at[2])):
            canvas.drawString(left, y + tall - (place + 1) * 1.15 * small, text)
        base = y + tall - labels - 0.8 * self.size.typed_pt
        number, room = printable(entry.text), wide - 3 * MM
        large = self.size.typed_pt
        while large > LEAST_PT and self._wide(number, self.bold, large) > room:
            large -= 0.5
        canvas.setFont(self.bold, large)
        canvas.drawString(left, base, number)
        canvas.setFont(self.plain, self.size.words_pt)
        canvas.drawString(left + self._wide(number, self.bold, large) + 2.5, base, printable(entry.unit))
        canvas.setFont(self.plain, small)
        if self._is_inline(entry):
            canvas.drawRightString(x + wide - 1.5 * MM, base, printable(entry.why))
        for place, text in enumerate(self._why(entry, at[2])):
            canvas.drawString(left, base - (place + 1) * 1.15 * small - 1, text)
        if entry.leave:
            canvas.setFillGray(1.0)
            canvas.setFont(self.bold, self._leave_pt)
            canvas.drawString(left, y + 0.3 * self._leave_pt, printable(entry.leave))
            canvas.setFillGray(0.0)
