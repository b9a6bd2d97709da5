"""A chart's frame: axes to scale, with round figures on them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.papers.drawing import FIRM_MM, HAIR_MM, Mark, Words, area, corners, line
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.true_size import LETTER_MM


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round numbers between two others, about so many.

    >>> ticks(-22.0, 61.0, 5)
    [-20.0, 0.0, 20.0, 40.0, 60.0]
    """
    if high <= low:
        return [low]
    rough = (high - low) / about
    ten = 10.0 ** math.floor(math.log10(rough))
    step = next(ten * times for times in (1.0, 2.0, 2.5, 5.0, 10.0) if ten * times >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [round(k * step, 12) + 0.0 for k in range(first, math.floor(high / step + 1e-9) + 1)]


def log_ticks(low: float, high: float) -> list[float]:
    """1, 2, 5, 10, … between two positive numbers.

    >>> log_ticks(0.4, 11.0)
    [0.5, 1.0, 2.0, 5.0, 10.0]
    """
    tens = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    every = [round(10.0**ten * times, 12) for ten in tens for times in (1.0, 2.0, 5.0)]
    return [value for value in every if low * 0.999 <= value <= high * 1.001]


@dataclass
class Chart:
    """A rectangle on the paper [mm] that shows a range across and a range up; `log` axes go by powers."""

    left: float
    bottom: float
    right: float
    top: float
    across: tuple[float, float]
    up: tuple[float, float]
    log: bool = False
    marks: list[Mark] = field(default_factory=list)

    def x(self, value: ArrayLike) -> Floats:
        """Where a value lies across [mm]; what is beyond stands at the edge."""
        return self.left + (self.right - self.left) * self._share(value, self.across)

    def y(self, value: ArrayLike) -> Floats:
        """Where a value lies up [mm]."""
        return self.bottom + (self.top - self.bottom) * self._share(value, self.up)

    def _share(self, value: ArrayLike, of: tuple[float, float]) -> Floats:
        low, high = of
        values = np.asarray(value, float)
        if self.log:
            low, high, values = math.log(low), math.log(high), np.log(values)
        return np.clip((values - low) / ((high - low) or 1.0), 0.0, 1.0)

    def frame(self) -> None:
        """The rectangle itself."""
        self.marks.append(line(corners(self.left, self.bottom, self.right, self.top), FIRM_MM * 0.7))

    def scale_across(self, values: Sequence[float], texts: Sequence[str], grid: bool = True) -> None:
        """Figures below, each with a line up; none where it would run into the one before."""
        ends = -1e9
        for value, text in zip(values, texts, strict=True):
            x = float(self.x(value))
            if grid:
                self.marks.append(line([(x, self.bottom), (x, self.top)], HAIR_MM, (), 0.75))
            half = wide_mm(text, LETTER_MM) / 2
            x = min(x, self.right + 1.0 - half)
            if x - half > ends:
                self.marks.append(Words(text, x, self.bottom - 1.15 * LETTER_MM, LETTER_MM, "middle"))
                ends = x + half + 0.8

    def scale_up(self, values: Sequence[float], texts: Sequence[str], grid: bool = True) -> None:
        """Figures at the left, each with a line across; none where it would stand on the one before."""
        ends = -1e9
        for value, text in sorted(zip(values, texts, strict=True)):
            y = float(self.y(value))
            if grid:
                self.marks.append(line([(self.left, y), (self.right, y)], HAIR_MM, (), 0.75))
            if y - ends >= LETTER_MM:
                self.marks.append(Words(text, self.left - 0.8, y - 0.35 * LETTER_MM, LETTER_MM, "end"))
                ends = y

    def name_across(self, text: str) -> None:
        """What is told across, below the figures."""
        x = (self.left + self.right) / 2
        room = 2 * min(x, self.right + 1.0 - x)
        self.marks.append(Words(clipped(text, room, LETTER_MM), x, self.bottom - 2.35 * LETTER_MM, LETTER_MM, "middle"))


def caption(text: str, wide: float, y: float, letter: float = LETTER_MM) -> Mark:
    """A line of words from the left edge."""
    return Words(clipped(text, wide, letter), 0.0, y, letter)


def bar(left: float, bottom: float, right: float, top: float, shade: float) -> list[Mark]:
    """A bar with an outline, so that a pale one is seen too."""
    return [area(corners(left, bottom, right, top), shade), line(corners(left, bottom, right, top), HAIR_MM)]
