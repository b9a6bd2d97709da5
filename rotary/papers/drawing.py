"""What papers and pictures are drawn with: lines, areas, words. Lengths in [mm], x to the right, y upwards.

All but the picture of what an item will look like is black or grey, told apart by width, dashes and shade, so that any
printer shows it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats

Face = Literal["plain", "bold", "narrow"]
Anchor = Literal["start", "middle", "end"]

Tone: TypeAlias = float | tuple[float, float, float]
"""A grey from 0, black, to 1, white; or red, green and blue from 0 to 1."""

BLACK: Final = 0.0
HAIR_MM: Final = 0.12
THIN_MM: Final = 0.18
FIRM_MM: Final = 0.35
HEAVY_MM: Final = 0.6
DASHED: Final = (2.0, 1.2)
DOTTED: Final = (0.5, 0.9)
CENTRE: Final = (5.0, 1.2, 1.0, 1.2)
"""Dashes of a centre line, as engineering drawings have them (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points (n, 2) float; `kind` is its class in a drawing."""

    points_mm: Floats
    width_mm: float = THIN_MM
    dashes_mm: tuple[float, ...] = ()
    shade: Tone = BLACK
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """What lies inside rings (n, 2) float, filled even-odd; an edge may be drawn, all of it be seen through."""

    rings_mm: tuple[Floats, ...]
    shade: Tone
    kind: str = ""
    edge_mm: float = 0.0
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words: where its baseline begins, is centred or ends; `size_mm` is the letters' body."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float
    anchor: Anchor = "start"
    face: Face = "plain"
    shade: Tone = BLACK
    turn_rad: float = 0.0


Mark: TypeAlias = Line | Area | Words


@dataclass(frozen=True, slots=True)
class PaperPicture:
    """Marks in the order in which they are painted, on a sheet; `says` tells in words what is to be seen. `to_scale`
    is measured on paper, so that it is never made smaller."""

    wide_mm: float
    high_mm: float
    marks: tuple[Mark, ...]
    title: str
    says: str = ""
    to_scale: bool = False


def line(points: ArrayLike, width_mm: float = THIN_MM, dashes_mm: Sequence[float] = (), shade: Tone = BLACK) -> Line:
    """A line through points (n, 2).

    >>> line([(0, 0), (3, 4)]).points_mm.shape
    (2, 2)
    """
    return Line(np.asarray(points, float), width_mm, tuple(dashes_mm), shade)


def area(points: ArrayLike, shade: Tone) -> Area:
    """What lies inside one ring (n, 2)."""
    return Area((np.asarray(points, float),), shade)


def tone_parts(shade: Tone) -> tuple[float, float, float]:
    """Red, green and blue of a tone, from 0 to 1.

    >>> tone_parts(0.5), tone_parts((0.2, 1.4, 0.0))
    ((0.5, 0.5, 0.5), (0.2, 1.0, 0.0))
    """
    red, green, blue = shade if isinstance(shade, tuple) else (shade, shade, shade)
    return min(max(red, 0.0), 1.0), min(max(green, 0.0), 1.0), min(max(blue, 0.0), 1.0)


def corners(left: float, bottom: float, right: float, top: float) -> Floats:
    """The four corners of a rectangle, and the first again (5, 2) float [mm]."""
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)], float)


def arc(
    x_mm: float, y_mm: float, radius_mm: float, from_rad: float = -np.pi, to_rad: float = np.pi, points: int = 181
) -> Floats:
    """Points on a circle (points, 2) float [mm]; angles from the top, to the right.

    >>> arc(0.0, 0.0, 2.0, 0.0, np.pi / 2, 2).round(6).tolist()
    [[0.0, 2.0], [2.0, 0.0]]
    """
    turn = np.linspace(from_rad, to_rad, points)
    return np.stack([x_mm + radius_mm * np.sin(turn), y_mm + radius_mm * np.cos(turn)], axis=1)


def moved(marks: Iterable[Mark], x_mm: float, y_mm: float, scale: float = 1.0) -> tuple[Mark, ...]:
    """The same marks elsewhere, so many times as far from each other; letters and lines stay as large."""
    by = np.array([x_mm, y_mm])
    return tuple(_moved(mark, by, scale) for mark in marks)


def _moved(mark: Mark, by: Floats, scale: float) -> Mark:
    # Written out: a page moves some thousands of marks, and copying by name takes ten times as long.
    if isinstance(mark, Words):
        x, y = mark.x_mm * scale + float(by[0]), mark.y_mm * scale + float(by[1])
        return Words(mark.text, x, y, mark.size_mm, mark.anchor, mark.face, mark.shade, mark.turn_rad)
    if isinstance(mark, Area):
        rings = tuple(ring * scale + by for ring in mark.rings_mm)
        return Area(rings, mark.shade, mark.kind, mark.edge_mm, mark.opacity)
    return Line(mark.points_mm * scale + by, mark.width_mm, mark.dashes_mm, mark.shade, mark.kind)


def abreast(pictures: Sequence[PaperPicture], gap_mm: float) -> PaperPicture:
    """Pictures side by side as one, their lower edges on one line."""
    marks: list[Mark] = []
    x = -gap_mm
    for one in pictures:
        marks += moved(one.marks, x + gap_mm, 0.0)
        x += gap_mm + one.wide_mm
    high = max(one.high_mm for one in pictures)
    title, says = "; ".join(one.title for one in pictures), " ".join(one.says for one in pictures)
    return PaperPicture(x, high, tuple(marks), title, says)
