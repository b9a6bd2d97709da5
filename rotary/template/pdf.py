"""A template as a PDF: sheets of exact size with windows, crosses, and bars to measure the printer by."""

import io
import math
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any, Final

import numpy as np

from rotary.papers.drawing import Area, Mark, Words, area, corners, line
from rotary.papers.growth import EDGE_MM
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.model import FIRST_RULE
from rotary.papers.pdf import POINTS_PER_MM, PdfFonts, canvas_for, forget, paint, registered
from rotary.template.marks import ART_SHADE, Figure, TapeStroke, box_mm, label_corners_mm
from rotary.template.models import BAR_MM
from rotary.template.tiles import FOOT_MM, OVERLAP_MM, STRIP_MM, Sheets

CROSS_MM: Final = 4.0
LEAST_LETTER_MM: Final = 2.3
SMALL_MM: Final = 2.6
HEAD_MM: Final = 8.9
"""Where the strip with the paper's name stands, over the foot of the sheet."""

_TYPED: Final = "".join(map(chr, range(32, 127)))


def pdf_bytes(figure: Figure, sheets: Sheets, title: str) -> bytes:
    """The sheets as one PDF, under the name that all papers of a job bear."""
    out, day = io.BytesIO(), date.today()
    canvas = canvas_for(out, title, day, (sheets.width_mm * POINTS_PER_MM, sheets.height_mm * POINTS_PER_MM))
    faces = registered([_TYPED + title + "".join(label.text for label in figure.labels)])
    try:
        for place in range(len(sheets.names)):
            canvas.translate(EDGE_MM * POINTS_PER_MM, EDGE_MM * POINTS_PER_MM)
            canvas.saveState()
            # In millimetres as they come out of the printer, from the lower left corner of its white edge.
            canvas.scale(POINTS_PER_MM / sheets.grows[0], POINTS_PER_MM / sheets.grows[1])
            _paint(canvas, _bars(sheets, place), faces)
            canvas.translate(STRIP_MM * sheets.grows[0], FOOT_MM * sheets.grows[1])
            _paint(canvas, _crosses(sheets, place), faces)
            clip = canvas.beginPath()
            clip.rect(0, 0, *sheets.window_mm)
            canvas.clipPath(clip, stroke=0, fill=0)
            canvas.translate(*(-sheets.corners_mm[place]).tolist())
            _paint(canvas, _seen(figure, sheets, place), faces)
            canvas.restoreState()
            canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
            canvas.translate(STRIP_MM, HEAD_MM)
            _paint(canvas, _strip(sheets, place, title, day), faces)
            canvas.showPage()
        canvas.save()
    finally:
        forget(faces)
    return out.getvalue()


def _paint(canvas: Any, marks: Iterable[Mark], faces: PdfFonts) -> None:
    for mark in marks:
        paint(canvas, mark, faces)


def _strip(sheets: Sheets, place: int, title: str, day: date) -> list[Mark]:
    """The strip that all papers of a job have: what it is, of which item, of which day, and the first rule."""
    wide = sheets.width_mm - 2 * EDGE_MM - STRIP_MM
    item, _, kind = (part.strip() for part in title.rpartition(":"))
    body = 3.4
    tab = wide_mm(kind.upper(), 2.8, "bold") + 3.0
    says = f"{day.isoformat()}   {place + 1} of {len(sheets.names)}"
    room = wide - tab - wide_mm(says, body, "bold") - 6.0
    return [
        area(corners(0.0, 0.0, tab, 5.0), 0.0),
        Words(kind.upper(), tab / 2, 1.55, 2.8, "middle", "bold", 1.0),
        Words(clipped(item, room, body, "bold"), tab + 2.0, 1.4, body, face="bold"),
        Words(says, wide, 1.4, body, "end", "bold"),
        line([(0.0, 5.0), (wide, 5.0)], 0.35),
        Words(FIRST_RULE, wide, -2.6, LEAST_LETTER_MM, "end", "bold"),
    ]


def _seen(figure: Figure, sheets: Sheets, place: int) -> Iterator[Mark]:
    """What of the template is seen in a window."""
    (wide, high), (x, y) = sheets.window_mm, sheets.corners_mm[place]
    if figure.art_mm:
        yield Area(figure.art_mm, ART_SHADE)
    for stroke in figure.strokes:
        left, bottom, right, top = box_mm([stroke], [])
        if left <= x + wide and right >= x and bottom <= y + high and top >= y:
            yield stroke.line
    for label in figure.labels:
        # No line runs through words.
        yield from (Area((label_corners_mm(label),), 1.0), label)


def _bars(sheets: Sheets, place: int) -> Iterator[Mark]:
    """100 mm across and up, with the words that go with them."""
    tall = STRIP_MM / 2
    for points in (
        [(tall, 4.0), (tall + BAR_MM, 4.0)],
        [(tall, 2.5), (tall, 5.5)],
        [(tall + BAR_MM, 2.5), (tall + BAR_MM, 5.5)],
        [(4.0, FOOT_MM), (4.0, FOOT_MM + BAR_MM)],
        [(2.5, FOOT_MM), (5.5, FOOT_MM)],
        [(2.5, FOOT_MM + BAR_MM), (5.5, FOOT_MM + BAR_MM)],
    ):
        yield TapeStroke("bar", np.array(points)).line
    sides = ("short", "long") if sheets.width_mm < sheets.height_mm else ("long", "short")
    yield Words(f"must be 100 mm (bar along the {sides[0]} side)", tall + 2, 5.0, SMALL_MM)
    yield Words(f"must be 100 mm (bar along the {sides[1]} side)", 3.2, FOOT_MM + 2, SMALL_MM, turn_rad=math.pi / 2)
    measured = dict(zip(sides, sheets.grows, strict=True))
    many = len(sheets.names)
    of = f"sheet {place + 1} of {many}" + (f" ({sheets.names[place]})" if many > 1 else "")
    how = (
        f"corrected for a printer that made bars of {100 * measured['short']:.2f} mm along the short side and "
        f"{100 * measured['long']:.2f} mm along the long side"
        if any(grown != 1 for grown in sheets.grows)
        else "print at 100 %, then measure both bars"
    )
    yield Words(f"{of}: {how}", tall + 2, 0.5, SMALL_MM)


def _crosses(sheets: Sheets, place: int) -> Iterator[Mark]:
    """In the middle of the overlap with each neighbour, at both its ends; and where that is trimmed."""
    wide, high = sheets.window_mm
    near, half, x, y = OVERLAP_MM / 2, CROSS_MM / 2, sheets.corners_mm[:, 0], sheets.corners_mm[:, 1]
    away_x, away_y = x - x[place], y - y[place]
    if len(sheets.names) > 1:
        for at_x, at_y in ((at_x, at_y) for at_x in (near, wide - near) for at_y in (near, high - near)):
            yield TapeStroke("cross", np.array([(at_x - half, at_y), (at_x + half, at_y)])).line
            yield TapeStroke("cross", np.array([(at_x, at_y - half), (at_x, at_y + half)])).line
    for across, up, trim in (
        (1, 0, [(wide - near, 0.0), (wide - near, high)]),
        (-1, 0, [(near, 0.0), (near, high)]),
        (0, 1, [(0.0, high - near), (wide, high - near)]),
        (0, -1, [(0.0, near), (wide, near)]),
    ):
        there = np.hypot(away_x - across * (wide - OVERLAP_MM), away_y - up * (high - OVERLAP_MM)) < 1e-6
        if there.any():
            yield TapeStroke("trim", np.array(trim)).line
            at = (wide / 2 if up else trim[0][0] + 0.8, high / 2 if across else trim[0][1] + 0.8)
            yield Words(f"see {sheets.names[int(there.argmax())]}", *at, SMALL_MM)
