"""Numbers and a letter out of strokes, for drawings that are measured: no font has to be there.

::

       0-----1
       |     |      a figure's strokes run between these six places,
       2-----3      0.6 as wide as high
       |     |
       4-----5
"""

from typing import Any, Final

import shapely  # type: ignore[import-untyped, unused-ignore]

_STROKES: Final[dict[str, tuple[tuple[int, ...], ...]]] = {
    "0": ((0, 1, 5, 4, 0),),
    "1": ((1, 5),),
    "2": ((0, 1, 3, 2, 4, 5),),
    "3": ((0, 1, 5, 4), (2, 3)),
    "4": ((0, 2, 3), (1, 5)),
    "5": ((1, 0, 2, 3, 5, 4),),
    "6": ((1, 0, 4, 5, 3, 2),),
    "7": ((0, 1, 4),),
    "8": ((0, 1, 5, 4, 0), (2, 3)),
    "9": ((3, 2, 0, 1, 5, 4),),
    "-": ((2, 3),),
    "F": ((1, 0, 4), (2, 3)),
    "L": ((0, 4, 5),),
    "X": ((0, 5), (1, 4)),
    "Y": ((0, 2, 3), (1, 5, 4)),
    ".": ((4, 4),),
}
_WIDE: Final = 0.6
_STEP: Final = 0.9


def stroke(x0: float, y0: float, x1: float, y1: float, line_mm: float = 0.1) -> Any:
    """A straight line as wide as it is drawn, cut square at its ends.

    >>> stroke(0.0, 0.0, 2.0, 0.0).area
    0.2
    """
    return shapely.LineString([(x0, y0), (x1, y1)]).buffer(line_mm / 2, cap_style="flat")


def number(text: str, x_mm: float, y_mm: float, high_mm: float, line_mm: float, towards: int = 0) -> list[Any]:
    """A short text as shapes, its foot at y; middle, left or right end at x for `towards` 0, 1, -1.

    >>> round(sum(shape.area for shape in number("1", 0.0, 0.0, 2.0, 0.1)), 3)
    0.21
    """
    wide = high_mm * (_STEP * (len(text) - 1) + _WIDE)
    left = x_mm - wide / 2 if towards == 0 else x_mm if towards > 0 else x_mm - wide
    shapes = []
    for place, sign in enumerate(text):
        corner = left + place * _STEP * high_mm
        for stroke in _STROKES[sign]:
            points = [(corner + (p % 2) * _WIDE * high_mm, y_mm + (2 - p // 2) / 2 * high_mm) for p in stroke]
            line = (
                shapely.Point(points[0]) if points[0] == points[-1] and len(points) == 2 else shapely.LineString(points)
            )
            shapes.append(line.buffer(line_mm / 2, cap_style="square", join_style="mitre"))
    return shapes
