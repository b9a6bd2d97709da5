"""How far places on the wall lie from an outline on it.

Distances are measured in the plane that touches the wall at each place: over the fractions of a
millimetre that matter here, wall and plane are one to a hundred-thousandth.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import Rings, following
from rotary.formulas.revolution import Curve, radius_and_slope, radius_mm

Floats = NDArray[np.float64]

CELL_MM = 0.5
FARTHEST_MM = CELL_MM / 2  # what lies farther is said to lie this far
SEAM_RAD = 0.1
BACK_RAD = np.pi - 1e-6
QUERIES = 50_000


class Outline(NamedTuple):
    """Short straight pieces on the wall, sorted by the cell of a grid that they lie in."""

    curve: Curve
    centre_rad: float
    start: Floats
    end: Floats
    cell: NDArray[np.int64]
    rad_a_cell: float
    columns: int


def outline(
    curve: Curve, wall: Rings, centre_rad: float, after: NDArray[np.int64] | None = None, ring: bool = False
) -> Outline:
    """An outline on the wall, angle [rad] by height [mm], made ready to be asked for distances.

    `after` (n,) gives each point's neighbour where the rings are not in the offsets. `ring`: the artwork
    goes all round, so that its two sides at the back are no outline.
    """
    start = wall.points_mm
    end = start[following(wall.offsets) if after is None else after]
    if ring:
        inside = (np.abs(start[:, 0] - centre_rad) < BACK_RAD) | (np.abs(end[:, 0] - centre_rad) < BACK_RAD)
        start, end = start[inside], end[inside]
    radius = float(np.max(radius_mm(curve, wall.points_mm[:, 1])))
    length = np.hypot((end[:, 0] - start[:, 0]) * radius, end[:, 1] - start[:, 1])
    many = np.maximum(np.ceil(length / CELL_MM).astype(np.int64), 1)
    source = np.repeat(np.arange(len(many)), many)
    turn = (np.arange(len(source)) - np.repeat(np.cumsum(many) - many, many))[:, None]
    step = (end - start)[source] / many[source, None]
    begin = start[source] + turn * step
    move = np.zeros_like(begin)
    move[:, 0] = _round(begin[:, 0], centre_rad) - begin[:, 0]
    begin, stop = begin + move, begin + step + move
    # Near the back of a full turn an outline has a neighbour on the other side of the seam.
    near = np.abs(np.abs(begin[:, 0] - centre_rad) - np.pi) < SEAM_RAD
    over = np.where(begin[near, :1] > centre_rad, -2 * np.pi, 2 * np.pi) * np.array([1.0, 0.0])
    begin = np.concatenate([begin, begin[near] + over])
    stop = np.concatenate([stop, stop[near] + over])
    least = float(np.min(radius_mm(curve, wall.points_mm[:, 1])))
    rad_a_cell = CELL_MM / least
    columns = int(np.ceil((2 * np.pi + 1) / rad_a_cell)) + 4
    made = Outline(curve, centre_rad, begin, stop, np.zeros(0, np.int64), rad_a_cell, columns)
    cell = _cell(made, (begin + stop) / 2)
    order = np.argsort(cell, kind="stable")
    return made._replace(start=begin[order], end=stop[order], cell=cell[order])


def distances_mm(shape: Outline, places: Floats) -> Floats:
    """Distance (n,) of places (n, 2), angle by height, from the outline; `FARTHEST_MM` where it is more."""
    out = np.empty(len(places))
    turned = np.stack([_round(places[:, 0], shape.centre_rad), places[:, 1]], axis=1)
    for a in range(0, len(places), QUERIES):
        out[a : a + QUERIES] = _distances(shape, turned[a : a + QUERIES])
    return np.minimum(out, FARTHEST_MM)


def _round(angle: Floats, centre_rad: float) -> Floats:
    return np.asarray(np.mod(angle - centre_rad + np.pi, 2 * np.pi) - np.pi + centre_rad)


def _cell(shape: Outline, places: Floats) -> NDArray[np.int64]:
    across = np.floor((places[:, 0] - shape.centre_rad + np.pi + 0.5) / shape.rad_a_cell).astype(np.int64) + 1
    return np.asarray(np.floor(places[:, 1] / CELL_MM).astype(np.int64) * shape.columns + across)


def _distances(shape: Outline, places: Floats) -> Floats:
    radius, slant = radius_and_slope(shape.curve, places[:, 1])
    scale = np.stack([radius, np.hypot(1.0, slant)], axis=1)
    own = _cell(shape, places)
    best = np.full(len(places), np.inf)
    for across in (-1, 0, 1):
        for along in (-1, 0, 1):
            wanted = own + along * shape.columns + across
            first = np.searchsorted(shape.cell, wanted, side="left")
            many = np.searchsorted(shape.cell, wanted, side="right") - first
            asking = np.flatnonzero(many)
            if len(asking) == 0:
                continue
            many = many[asking]
            begin = np.cumsum(many) - many
            who = np.repeat(asking, many)
            piece = np.arange(len(who)) - np.repeat(begin, many) + np.repeat(first[asking], many)
            squares = _squares(
                (shape.start[piece] - places[who]) * scale[who], (shape.end[piece] - places[who]) * scale[who]
            )
            best[asking] = np.minimum(best[asking], np.minimum.reduceat(squares, begin))
    return np.asarray(np.sqrt(best))


def _squares(start: Floats, end: Floats) -> Floats:
    """Squared distance of the origin from each straight piece (n, 2) to (n, 2)."""
    step = end - start
    square = np.einsum("ij,ij->i", step, step)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip(-np.einsum("ij,ij->i", start, step) / square, 0.0, 1.0)
    near = start + np.where(square > 0, share, 0.0)[:, None] * step
    return np.asarray(np.einsum("ij,ij->i", near, near))
