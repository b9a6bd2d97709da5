"""A template laid out on sheets of printer paper.

::

      +--------------------+--------+-----------+     each sheet shows a window of the template;
      |  A1                | overlap|        A2 |     windows overlap, and the crosses + in the middle
      |                   +|   +    |+          |     of the overlap come to lie on each other
      +--------------------+--------+-----------+
"""

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.errors import refuse
from rotary.papers.growth import EDGE_MM, SHEETS_MM
from rotary.template.marks import Figure, box_mm, label_box_mm

PAPERS_MM: Final = {name.lower(): size for name, size in SHEETS_MM.items()}

STRIP_MM: Final = 12.0  # for the bar that stands up, left of the window
FOOT_MM: Final = 16.0  # for the bar that lies, below the window
OVERLAP_MM: Final = 12.0
MOST_SHEETS: Final = 200


class Sheets(NamedTuple):
    """Sheets of one size [mm] and their windows: the template's place (n, 2) at each window's lower left corner.

    `window_mm` is the window's width and height on the template, `names` the sheets' names by row and place,
    `grows` how much larger the printer prints across and up on these sheets.
    """

    width_mm: float
    height_mm: float
    window_mm: tuple[float, float]
    corners_mm: NDArray[np.float64]
    names: tuple[str, ...]
    grows: tuple[float, float]


def sheets_for(figure: Figure, paper: str, grows: tuple[float, float]) -> Sheets:
    """The fewest sheets, upright or lying, that show all of a template.

    `grows` is how much larger the printer prints than it should along the paper's short and long side.
    Raises Refused where it would take a whole pad of paper.
    """
    wide, high = PAPERS_MM[paper]
    upright = _laid(figure, wide, high, grows)
    lying = _laid(figure, high, wide, grows[::-1])
    best = min((upright, lying), key=lambda sheets: len(sheets.names))
    if len(best.names) > MOST_SHEETS:
        raise refuse(
            "reach",
            f"this template takes {len(best.names)} sheets of paper: cover only the artwork, or cut the SVG on a "
            "plotter",
        )
    return best


def _laid(figure: Figure, width: float, height: float, grows: tuple[float, float]) -> Sheets:
    room = (width - 2 * EDGE_MM - STRIP_MM) * grows[0], (height - 2 * EDGE_MM - FOOT_MM) * grows[1]
    left, bottom, right, top = box_mm(figure.strokes, figure.labels)
    pad = 1.0  # half a line's width at the edges, and a little
    columns = max(1, math.ceil((right - left + 2 * pad - OVERLAP_MM) / (room[0] - OVERLAP_MM)))
    rows = max(1, math.ceil((top - bottom + 2 * pad - OVERLAP_MM) / (room[1] - OVERLAP_MM)))
    step = room[0] - OVERLAP_MM, room[1] - OVERLAP_MM
    span = (columns - 1) * step[0] + room[0], (rows - 1) * step[1] + room[1]
    x0, y0 = (left + right - span[0]) / 2, (bottom + top - span[1]) / 2
    corners, names = [], []
    for row in range(rows):
        for column in range(columns):
            corner = (x0 + column * step[0], y0 + (rows - 1 - row) * step[1])
            if _shows(figure, corner, room):
                corners.append(corner)
                names.append(f"{_letters(row)}{column + 1}")
    return Sheets(width, height, room, np.array(corners), tuple(names), grows)


def _shows(figure: Figure, corner: tuple[float, float], room: tuple[float, float]) -> bool:
    import shapely  # type: ignore[import-untyped, unused-ignore]

    x, y = corner
    window = shapely.box(x, y, x + room[0], y + room[1])
    outline = shapely.make_valid(shapely.Polygon(figure.outline_mm))
    if shapely.intersects(outline, window):
        return True
    return any(shapely.intersects(shapely.box(*label_box_mm(label)), window) for label in figure.labels)


def _letters(row: int) -> str:
    """A, B, … Z, AA, AB, …"""
    out = ""
    row += 1
    while row:
        row, digit = divmod(row - 1, 26)
        out = chr(65 + digit) + out
    return out
