"""How much beam a drawing takes: length and number of the hatch lines that fill it, and the moves between them."""

from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings, following


class Fill(NamedTuple):
    """Hatch lines that run across the item: their whole length [mm], their number, and the moves with the beam off
    between those of one row [mm]."""

    length_mm: float
    lines: int
    travel_mm: float


def fill(rings: Rings, line_spacing_mm: float) -> Fill:
    """What filling a region with lines along x costs, all on one grid y = (i + 1/2) hatch.

    >>> from rotary.artwork.rings import rings_from_list
    >>> fill(rings_from_list([[(0, 0), (4, 0), (4, 1), (0, 1)], [(5, 0), (6, 0), (6, 1), (5, 1)]]), 0.1)
    Fill(length_mm=50.0, lines=20, travel_mm=10.0)
    """
    if len(rings.points_mm) == 0:
        return Fill(0.0, 0, 0.0)
    start, end = rings.points_mm, rings.points_mm[following(rings.offsets)]
    # Row i lies between points whose y / hatch + 1/2, rounded down, differ across it.
    first, last = (np.floor(p[:, 1] / line_spacing_mm + 0.5).astype(np.int64) for p in (start, end))
    many = np.abs(last - first)
    edge = np.repeat(np.arange(len(many)), many)
    turn = np.arange(len(edge)) - np.repeat(np.cumsum(many) - many, many)
    row = np.minimum(first, last)[edge] + turn
    a, b = start[edge], end[edge]
    x = a[:, 0] + ((row + 0.5) * line_spacing_mm - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    order = np.lexsort((x, row))
    x, row = x[order], row[order]
    length = float((x[1::2] - x[::2]).sum())
    white = (x[2::2] - x[1:-1:2])[row[2::2] == row[1:-1:2]]
    return Fill(round(length, 6), len(x) // 2, round(float(white.sum()), 6))
