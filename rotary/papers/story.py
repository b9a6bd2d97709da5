"""A paper as flowables: its head, then each section, the step's number and name at the left of what is done there."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Final

from reportlab.lib.colors import Color, black, white  # type: ignore[import-untyped, unused-ignore]
from reportlab.lib.styles import ParagraphStyle  # type: ignore[import-untyped, unused-ignore]
from reportlab.pdfbase.pdfmetrics import stringWidth  # type: ignore[import-untyped, unused-ignore]
from reportlab.platypus import (  # type: ignore[import-untyped, unused-ignore]
    CondPageBreak,
    Flowable,
    Paragraph,
    Spacer,
    Table,
)

from rotary.bidi import runs_left
from rotary.examples import ENTER_YOURS
from rotary.papers.drawing import Face
from rotary.papers.flowables import MM, PictureFlowable, TickBox, TurnedParagraph
from rotary.papers.growth import LEAST_PT, Size
from rotary.papers.letters import printable
from rotary.papers.model import Block, Entry, Keyed, Mark, Notes, Pairs, Paper, PictureRow, Section, Sentences
from rotary.papers.model import Table as TableBlock
from rotary.papers.model import Ticks as TickBlock
from rotary.papers.pdf import PdfFonts

SIDE_PT: Final = 17 * MM
"""Width of the column with the steps' numbers and names."""

GREY: Final = Color(0.45, 0.45, 0.45)
PALE: Final = Color(0.9, 0.9, 0.9)
_BARE: Final = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0), ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP"),
]  # fmt: skip
_INSET_PT: Final = 1.5 * MM
"""Room in a number's frame before and after it."""

_SIGNS: Final[dict[Mark, str]] = {"box": "", "dash": "–", "warn": "!", "better": "»", "note": "", "none": ""}


class Story:
    """Makes the flowables of a paper, at one size."""

    def __init__(self, fonts: PdfFonts, size: Size, wide_pt: float) -> None:
        self.fonts, self.size, self.wide_pt = fonts, size, wide_pt

    def words(
        self,
        text: str,
        size: float | None = None,
        bold: bool = False,
        color: Color = black,
        align: int = 0,
        first: tuple[str, float] = ("", 10.0),
        after: str = "",
    ) -> Paragraph:
        """A paragraph, `align` 1 in the middle, 2 at the right; `first` stands in another size [pt] before its first
        word, `after` in letters of the usual size after its last.
        """
        points, (before, before_pt) = size or self.size.words_pt, first
        face: Face = "bold" if bold else "narrow" if self.size.narrow else "plain"
        style = ParagraphStyle(
            "words", fontName=self.fonts.cuts[face], fontSize=points, leading=1.15 * points, textColor=color,
            splitLongWords=1, alignment=align,
        )  # fmt: skip
        lead = f'<font size="{before_pt}">{self.fonts.markup(before)}</font> &nbsp; ' if before else ""
        small = self.size.label_pt if before else self.size.words_pt
        plain = f'<font name="{self.fonts.cuts["plain"]}" size="{small}">'
        last = f" {plain}{self.fonts.markup(after)}</font>" if after else ""
        if runs_left(text):
            wide = self._wide(before, before_pt, face) + 2 * points if before else 0.0
            return TurnedParagraph(text, style, self.fonts, face, (lead, wide, last))
        return Paragraph(f"{lead}{self.fonts.markup(text)}{last}", style)

    def head(self, paper: Paper) -> list[Flowable]:
        """What it is, of what, of which day; how the job stands; what forbids the start."""
        small = self.size.label_pt
        day = self.words(f"{paper.day.day} {paper.day:%B %Y}", 10, align=2)
        name = self.words(paper.name, 15, bold=True, first=(paper.kind.upper(), 10.0))
        parts: list[Flowable] = [_grid([[name, day]], [self.wide_pt - 95, 95]), Spacer(1, 1.0 * MM)]
        if paper.banner:
            parts.append(self.strip("EXAMPLE", ENTER_YOURS, heavy=False))
        if paper.verdict:
            parts.append(self.banner(paper))
        elif paper.lead:
            parts += [self.words(paper.lead, bold=True), Spacer(1, 1.0 * MM)]
        parts += [self.strip("STOP", text, heavy=True) for text in paper.stops]
        facts = [self.words("   ".join(paper.facts), small)] if paper.facts else []
        return [*parts, *facts, Spacer(1, 1.0 * MM)]

    def banner(self, paper: Paper) -> Flowable:
        """How the job stands: white on black, larger than any words."""
        tab, time = 10 + 9.5 * len(paper.verdict), self._wide(paper.minutes, 10) + 8 if paper.minutes else 0.0
        cells = [
            self.words(paper.verdict, 15, bold=True, color=white),
            self.words(paper.lead, 10, bold=True, color=white),
            *([self.words(paper.minutes, 10, bold=True, color=white, align=2)] if paper.minutes else []),
        ]
        style = [("BACKGROUND", (0, 0), (-1, -1), black), ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                 ("TOPPADDING", (0, 0), (-1, -1), 2.5), ("BOTTOMPADDING", (0, 0), (-1, -1), 4.5),
                 ("LEFTPADDING", (0, 0), (0, 0), 6), ("RIGHTPADDING", (-1, 0), (-1, 0), 6)]  # fmt: skip
        return _grid([cells], [tab, self.wide_pt - tab - time, *([time] if time else [])], style)

    def strip(self, tab: str, text: str, heavy: bool) -> Flowable:
        """A word in white on black, then what it is about, in a frame."""
        room = 12 + 7.2 * len(tab)
        cells = [self.words(tab, 10, bold=True, color=white), self.words(text, bold=heavy)]
        style = [("BACKGROUND", (0, 0), (0, 0), black), ("BOX", (0, 0), (-1, -1), 1.6 if heavy else 0.8, black),
                 ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("LEFTPADDING", (0, 0), (-1, -1), 4),
                 ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5)]  # fmt: skip
        return _grid([cells], [room, self.wide_pt - room], style)

    def section(self, section: Section, high_pt: float) -> list[Flowable]:
        """A section in one piece, its name at the left; a long name stands above, and what is too high flows below."""
        pad, small = self.size.pad_pt, max(LEAST_PT, min(8.5, self.size.words_pt))
        style = [("LINEABOVE", (0, 0), (-1, 0), 0.6, GREY), ("TOPPADDING", (0, 0), (-1, -1), pad),
                 ("BOTTOMPADDING", (0, 0), (-1, -1), pad)]  # fmt: skip
        if self._is_short(section.title, small):
            body = Story(self.fonts, self.size, self.wide_pt - SIDE_PT).body(section.blocks)
            name = self.words(section.title, small, bold=True, first=(section.number, 1.5 * small))
            whole = _grid([[name, body]], [SIDE_PT, self.wide_pt - SIDE_PT], style)
        else:
            title = self.words(section.title, 1.1 * small, bold=True)
            whole = _grid([[[title, *self.body(section.blocks)]]], [self.wide_pt], style)
        if whole.wrap(self.wide_pt, 1e6)[1] <= 0.6 * high_pt:
            return [whole]
        title = _grid([[self.words(f"{section.number} {section.title}".strip(), 11, bold=True)]], [self.wide_pt], style)
        return [CondPageBreak(40 * MM), title, *self.body(section.blocks), Spacer(1, 2 * pad)]

    def _is_short(self, title: str, size: float) -> bool:
        """Whether a name has room at the left."""
        widest = max((stringWidth(word, self.fonts.cuts["bold"], size) for word in title.split()), default=0.0)
        return widest < SIDE_PT - 2 and len(title) < 20

    def body(self, blocks: Sequence[Block]) -> list[Flowable]:
        """The blocks one under the other; a few numbers to type have the sentences that follow at their right."""
        parts: list[Flowable] = []
        left = list(blocks)
        while left:
            block = left.pop(0)
            if isinstance(block, Keyed) and left and isinstance(texts := left[0], Sentences):
                room = sum(least for least, _ in map(self._needs, block.entries)) + 3 * MM
                if block.entries and room < 0.62 * self.wide_pt:
                    sides = [
                        Story(self.fonts, self.size, room).keyed(block),
                        Story(self.fonts, self.size, self.wide_pt - room).sentences(texts),
                    ]
                    parts.append(_grid([sides], [room, self.wide_pt - room]))
                    left.pop(0)
                    continue
            parts += self.block(block)
        return parts

    def block(self, block: Block) -> list[Flowable]:
        """The flowables of any block."""
        return _MAKERS[type(block)](self, block)

    def keyed(self, block: Keyed) -> list[Flowable]:
        """Numbers to type in their order, each in a frame under its label; what warns of one is a strip below it.

        ::

            +------------------+-------------------------+
            | Slice in the file| Diameter to type        |
            | 2.837 mm         | 22.400 mm               |
            |                  |#type this, not 79#######|
            +------------------+-------------------------+
        """
        parts: list[Flowable] = []
        left = list(block.entries)
        if len(left) == 1 and left[0].why and (line := self._sentence(left[0])) is not None:
            return [line, Spacer(1, 0.8 * MM)]
        while left:
            needs = [self._needs(entry) for entry in left]
            many = next((at for at in range(len(left), 1, -1) if sum(one[0] for one in needs[:at]) <= self.wide_pt), 1)
            parts += [self._frames(left[:many], needs[:many]), Spacer(1, 0.8 * MM)]
            left = left[many:]
        return parts

    def _wide(self, text: str, size: float, face: Face = "bold") -> float:
        return float(stringWidth(printable(text), self.fonts.cuts[face], size))

    def _sentence(self, entry: Entry) -> Table | None:
        """A number that stands alone, with what it is and what is said of it, where that goes on one line."""
        words_pt, typed_pt = self.size.words_pt, self.size.typed_pt
        after = f"({entry.why})"
        line = self.words(entry.figure, typed_pt, bold=True, first=(entry.label, words_pt), after=after)
        room = self._wide(entry.label, words_pt) + self._wide(entry.figure, typed_pt) + typed_pt + 2 * _INSET_PT
        room += self._wide(after, self.size.label_pt, "plain")
        style = [("LEFTPADDING", (0, 0), (-1, -1), _INSET_PT), ("BOX", (0, 0), (-1, -1), 0.6, black)]
        style += [("BOTTOMPADDING", (0, 0), (-1, -1), 2.5)]
        return _grid([[line]], [room], style) if room <= self.wide_pt else None

    def _needs(self, entry: Entry) -> tuple[float, float]:
        """Width of a number's frame: the least, its words on several lines, and what has each on one."""
        wide = self._wide
        unit = wide(f" {entry.unit}", self.size.words_pt, "plain") if entry.unit else 0.0
        number = max(wide(entry.text, self.size.typed_pt) + unit, wide(entry.leave, self._leave_pt))
        label, why = wide(entry.label, self.size.label_pt), wide(entry.why, self.size.label_pt, "plain")
        frame = 2 * _INSET_PT + 1
        return max(number, 0.6 * label, 0.55 * why) + frame, max(number, label, why) + frame

    @property
    def _leave_pt(self) -> float:
        return max(self.size.words_pt, 9.0)

    def _frames(self, entries: Sequence[Entry], needs: Sequence[tuple[float, float]]) -> Table:
        """Numbers side by side; each gets its share of the width that is left."""
        least, most = (sum(need) for need in zip(*needs, strict=True))
        share = min(1.0, (self.wide_pt - least) / (most - least)) if most > least else 0.0
        spare = max(0.0, min(6 * MM, (self.wide_pt - least - share * (most - least)) / len(entries)))
        widths = [min(low + share * (high - low) + spare, self.wide_pt) for low, high in needs]
        small = self.size.label_pt
        parts = [
            [self.words(one.label, small, bold=True) for one in entries],
            [self.words(one.text, self.size.typed_pt, bold=True, after=one.unit) for one in entries],
            [self.words(one.why, small) if one.why else "" for one in entries],
            [self.words(one.leave, self._leave_pt, bold=True, color=white) if one.leave else "" for one in entries],
        ]
        rows = [row for row in parts if any(row)]
        style: list[Any] = [("LEFTPADDING", (0, 0), (-1, -1), _INSET_PT), ("NOSPLIT", (0, 0), (-1, -1))]
        style += [("BOTTOMPADDING", (0, -1), (-1, -1), 2.5)]
        for at, one in enumerate(entries):
            style += [("BOX", (at, 0), (at, -1), 1.6 if one.leave else 0.6, black)]
            style += [("BACKGROUND", (at, -1), (at, -1), black)] if one.leave else []
        return _grid(rows, widths, style)

    def sentences(self, block: Sentences) -> list[Flowable]:
        """Sentences with their marks, column by column; a picture at their right where there is one."""
        if block.picture is not None:
            beside = block.picture.wide_mm * MM
            room = self.wide_pt - beside - 3 * MM
            left = Story(self.fonts, self.size, room).sentences(replace(block, picture=None))
            return [_grid([[left, PictureFlowable(block.picture, self.fonts)]], [room + 3 * MM, beside])]
        if not block.texts:
            return []
        if block.mark == "note":
            return [self.words("  –  ".join(block.texts), self.size.label_pt)]
        if block.mark == "none" and block.columns == 1:
            return [self.words(text, bold=block.loud) for text in block.texts]
        if block.columns == 1:
            return [self._marked(block, block.texts, self.wide_pt)]
        wide = self.wide_pt / 2
        whole = self._marked(block, block.texts, self.wide_pt)
        # Two columns, parted where they are lowest; one where that is as low.
        pairs = (
            [self._marked(block, part, wide - 6) for part in (block.texts[:at], block.texts[at:])]
            for at in range(1, len(block.texts))
        )
        pair = min(pairs, key=lambda both: max(part.wrap(wide, 1e6)[1] for part in both), default=[whole])
        if whole.wrap(self.wide_pt, 1e6)[1] <= max(part.wrap(wide, 1e6)[1] for part in pair):
            return [whole]
        return [_grid([pair], [wide, wide])]

    def _marked(self, block: Sentences, texts: Sequence[str], wide: float) -> Table:
        side = min(3.6 * MM, 0.95 * self.size.words_pt)
        mark: Any = TickBox(side) if block.mark == "box" else None
        rows = [
            [mark or self.words(_SIGNS[block.mark], bold=True), self.words(text, bold=block.loud)] for text in texts
        ]
        room = side + 1.4 * MM if block.mark == "box" else 3.2 * MM if block.mark != "none" else 0.1
        # What is small stands close.
        below = 0.9 if self.size.words_pt >= 10 else 0.2
        style = [("BOTTOMPADDING", (0, 0), (-1, -1), below), ("TOPPADDING", (0, 0), (0, -1), below)]
        return _grid(rows, [room, wide - room], style)

    def pairs(self, block: Pairs) -> list[Flowable]:
        """Names and values."""
        rows = [[self.words(name), self.words(value, bold=True)] for name, value in block.pairs]
        return [_grid(rows, [0.38 * self.wide_pt, 0.62 * self.wide_pt])] if rows else []

    def table(self, block: TableBlock) -> list[Flowable]:
        """Columns as wide as they need; the wide one takes what is left."""
        if not block.rows:
            return []
        size = max(LEAST_PT, 0.9 * self.size.words_pt)
        widths = self._widths(block, size)
        rows: list[list[Any]] = [[self.words(cell, LEAST_PT, bold=True) for cell in block.head]]
        for at, row in enumerate(block.rows):
            rows.append(
                [Spacer(1, 5 * MM) if set(cell) == {"_"} else self.words(cell, size, (at, column) in block.strong)
                 for column, cell in enumerate(row)]
            )  # fmt: skip
        if block.boxed:
            rows = [["" if at == 0 else TickBox(0.9 * size), *row] for at, row in enumerate(rows)]
        style = [("LINEBELOW", (0, 0), (-1, -1), 0.4, GREY), ("LINEBELOW", (0, 0), (-1, 0), 0.9, black),
                 ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                 ("RIGHTPADDING", (0, 0), (-1, -1), 3), ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]  # fmt: skip
        style += [
            ("BACKGROUND", (column + block.boxed, at + 1), (column + block.boxed, at + 1), PALE)
            for at, column in block.strong
        ]
        style += [
            ("BOX", (column + block.boxed, at), (column + block.boxed, at), 0.8, black)
            for at, row in enumerate(block.rows, 1)
            for column, cell in enumerate(row)
            if set(cell) == {"_"}
        ]
        return [self.words(block.caption, self.size.label_pt), _grid(rows, widths, style, repeat=1), Spacer(1, 2 * MM)]

    def _widths(self, block: TableBlock, size: float) -> list[float]:
        bold, box = self.fonts.cuts["bold"], 5 * MM if block.boxed else 0.0
        columns = list(zip(block.head, *block.rows, strict=True))
        needs = []
        for head, *cells in columns:
            # A head may take several lines, what stands under it one.
            words = max((stringWidth(word, bold, LEAST_PT) for word in head.split()), default=0.0)
            wides = [22 * MM if set(cell) == {"_"} else stringWidth(cell, bold, size) for cell in cells]
            needs.append(max(words, *wides) + 7)
        room = self.wide_pt - box
        wide = block.wide if block.wide is not None else len(needs) - 1
        rest = sum(need for at, need in enumerate(needs) if at != wide)
        if rest > 0.85 * room:
            needs = [need * 0.85 * room / rest if at != wide else need for at, need in enumerate(needs)]
            rest = 0.85 * room
        needs[wide] = room - rest
        return [box, *needs] if box else needs

    def ticks(self, block: TickBlock) -> list[Flowable]:
        """Boxes, or where the page is full a line to write on."""
        if not block.names:
            return []
        says = [self.words(block.says)] if block.says else []
        if self.size.box_mm == 0.0:
            return [*says, self.words(f"Done, of {len(block.names)}:  " + "____  " * 9)]
        widest = max(stringWidth(name, self.fonts.cuts["plain"], LEAST_PT) for name in block.names) + 4
        side, high = max(self.size.box_mm * MM, widest), max(self.size.box_mm * MM, 1.2 * LEAST_PT)
        abreast = max(1, min(len(block.names), int(self.wide_pt // side)))
        boxes = [self.words(name, LEAST_PT, color=GREY, align=1) for name in block.names]
        rows: list[list[Any]] = [boxes[at : at + abreast] for at in range(0, len(boxes), abreast)]
        style: list[Any] = [("VALIGN", (0, 0), (-1, -1), "MIDDLE")]
        style += [
            ("BOX", (at, line), (at, line), 0.7, black) for line, row in enumerate(rows) for at in range(len(row))
        ]
        rows[-1] += [""] * (abreast - len(rows[-1]))
        return [*says, Spacer(1, 1), _grid(rows, [side] * abreast, style, high=high)]

    def notes(self, block: Notes) -> list[Flowable]:
        """Lines to write on."""
        lines, high = (block.lines, 7 * MM) if self.size.box_mm > 4 else (1, 5 * MM)
        return [_grid([[""]] * lines, [self.wide_pt], [("LINEBELOW", (0, 0), (-1, -1), 0.5, black)], high=high)]

    def pictures(self, block: PictureRow) -> list[Flowable]:
        """Pictures in rows as many side by side as fit, each over its name."""
        rows: list[list[Any]] = [[]]
        used = 0.0
        for picture in block.pictures:
            wide = picture.wide_mm * MM + 3 * MM
            if rows[-1] and used + wide > self.wide_pt + 3 * MM:
                rows.append([])
                used = 0.0
            rows[-1].append([PictureFlowable(picture, self.fonts), self.words(picture.title, self.size.label_pt)])
            used += wide
        below = [("BOTTOMPADDING", (0, 0), (-1, -1), 3)]
        return [_grid([row], [cell[0].picture.wide_mm * MM + 3 * MM for cell in row], below) for row in rows if row]


def _grid(
    rows: list[list[Any]], widths: list[float], style: Sequence[Any] = (), repeat: int = 0, high: float | None = None
) -> Table:
    highs = None if high is None else [high] * len(rows)
    return Table(rows, widths, highs, [*_BARE, *style], repeatRows=repeat, hAlign="LEFT")


_MAKERS: Final[dict[type, Callable[[Story, Any], list[Flowable]]]] = {
    Keyed: Story.keyed, Sentences: Story.sentences, Pairs: Story.pairs, TableBlock: Story.table,
    TickBlock: Story.ticks, Notes: Story.notes, PictureRow: Story.pictures,
}  # fmt: skip
