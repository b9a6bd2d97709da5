"""What readings taught: each belief before and after as bands, 5 to 95 %, with the middle marked."""

import math
from collections.abc import Sequence
from typing import Final

from rotary.papers.drawing import FIRM_MM, HAIR_MM, Mark, PaperPicture, Words, area, corners, line
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.true_size import LETTER_MM
from rotary.passes.learning.coating import BeliefChange
from rotary.pictures.chart import caption

ROW_MM: Final = 7.4
"""Room for a belief: a band before, a band after."""
_BAND_MM: Final = 1.9
_PALE: Final = 0.8
_DARK: Final = 0.35


def belief_change_picture(rows: Sequence[BeliefChange], readings: int, wide: float = 150.0) -> PaperPicture:
    """The beliefs before (pale, above) and after (dark, below), each on a scale of its own.

    A band runs over 5 to 95 % of what is believed, from the least to the most of both; by ratios where all is positive.
    """
    names = [f"{row.name} {row.unit}".strip() for row in rows]
    name_mm = min(max((wide_mm(name, LETTER_MM) for name in names), default=10.0), wide * 0.42) + 5.0
    figures_mm = 24.0
    high = (len(rows) * ROW_MM) + 3.2 * LETTER_MM
    many = f"{readings} reading{'s' if readings != 1 else ''}"
    says = f"pale: before, dark: after {many}, bar: 9 in 10 lie in it, tick: middle"
    marks: list[Mark] = [caption(says, wide, high - LETTER_MM)]
    left, right = name_mm, wide - figures_mm - 1.0
    for at, (row, name) in enumerate(zip(rows, names, strict=True)):
        top = high - 2.2 * LETTER_MM - at * ROW_MM
        marks.append(Words(clipped(name, name_mm, LETTER_MM), 0.0, top - _BAND_MM - 0.3 * LETTER_MM, LETTER_MM))
        share = row.before[0] == row.before[2]
        low, most = (0.0, 1.0) if share else (min(row.before[0], row.after[0]), max(row.before[2], row.after[2]))
        for three, y, shade in ((row.before, top, _PALE), (row.after, top - _BAND_MM - 0.3, _DARK)):
            x = [left + (right - left) * _place(value, low, most) for value in three]
            start = left if share else x[0]
            marks.append(area(corners(start, y - _BAND_MM, max(x[2], start + 0.3), y), shade))
            marks.append(line(corners(start, y - _BAND_MM, max(x[2], start + 0.3), y), HAIR_MM))
            marks.append(line([(x[1], y - _BAND_MM - 0.2), (x[1], y + 0.2)], FIRM_MM))
            text = f"{three[1]:.0%}" if share else " ".join(f"{value:.3g}" for value in three)
            marks.append(Words(text, right + 1.0, y - 0.85 * _BAND_MM, 0.9 * LETTER_MM))
    says = "; ".join(f"{row.name}: {row.before[1]:.3g} before, {row.after[1]:.3g} after" for row in rows)
    return PaperPicture(wide, high, tuple(marks), "What the readings show", says + ".")


def _place(value: float, low: float, high: float) -> float:
    """Where a value lies between two others, 0 to 1.

    >>> _place(2.0, 1.0, 4.0), _place(0.5, 0.0, 1.0), _place(3.0, 3.0, 3.0)
    (0.5, 0.5, 0.5)
    """
    if high <= low:
        return 0.5
    if low > 0:
        return math.log(value / low) / math.log(high / low)
    return (value - low) / (high - low)
