"""How far places on the wall lie from an outline on it.

Distances are measured in the plane that touches the wall at each place: over the fractions of a
millimetre that matter here, wall and plane are one to a hundred-thousandth. The outline lies in the
cells of two grids, a fine one that settles nearly all and a coarse one for what strays far; a place is
held against what lies in its own cell and the eight around it::

      +-----+-----+-----+
      |     |   / |     |      what is nearer than half a cell has its piece of outline
      +-----+--/--+-----+      in one of the nine, as no piece is longer than a cell
      |     | x   |     |
      +-----+/----+-----+
      |     /     |     |
      +-----+-----+-----+
"""

from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings, following
from rotary.formulas.arrays import Floats, Ints
from rotary.formulas.revolution import Curve, radius_and_slope, radius_mm
from rotary.simulate.description import Progress, quiet

FINE_MM, COARSE_MM = 0.05, 0.5
FARTHEST_MM = COARSE_MM / 2  # what lies farther is said to lie this far
SEAM_RAD = 0.1
SAME_RAD = 1e-6
BACK_RAD = np.pi - SAME_RAD
QUERIES = 50_000  # places at a time
FAR_QUERIES = 5_000  # where more than these stray far, so many of them are looked at


class _Grid(NamedTuple):
    """Straight pieces on the wall no longer than a cell, sorted by the cell that holds their middle."""

    start: Floats
    end: Floats
    cell: Ints
    cell_mm: float
    rad_a_cell: float
    first_rad: float
    columns: int


class NearestOutline(NamedTuple):
    """An outline on the wall in two grids; angles are taken to within half a turn of `centre_rad`."""

    curve: Curve
    centre_rad: float
    fine: _Grid
    coarse: _Grid


def outline(
    curve: Curve, wall: Rings, centre_rad: float, after: Ints | None = None, ring: bool = False
) -> NearestOutline:
    """An outline on the wall, angle [rad] by height [mm], made ready to be asked for distances.

    `after` (n,) gives each point's neighbour where the rings are not in the offsets. `ring`: the artwork
    goes all round, so that its two sides at the back are no outline where ink meets ink.
    """
    start = wall.points_mm
    end = start[following(wall.offsets) if after is None else after]
    if ring:
        back = (np.abs(start[:, 0] - centre_rad) > BACK_RAD) & (np.abs(end[:, 0] - start[:, 0]) < 2 * SAME_RAD)
        alone = _ends_at_the_back(start[back], end[back], centre_rad)
        start, end = np.concatenate([start[~back], alone[0]]), np.concatenate([end[~back], alone[1]])
    radii = radius_mm(curve, wall.points_mm[:, 1])
    span = float(radii.min()), float(radii.max())
    grids = (_grid(start, end, centre_rad, span, size) for size in (FINE_MM, COARSE_MM))
    return NearestOutline(curve, centre_rad, *grids)


def _ends_at_the_back(start: Floats, end: Floats, centre_rad: float) -> tuple[Floats, Floats]:
    """What is left of pieces (n, 2) along the back where those of the other side are taken off: there ink ends.

    An outline keeps its ink on one side, so where ink meets ink one runs up and the other down.
    """
    heights, place = np.unique(np.stack([start[:, 1], end[:, 1]]), return_inverse=True)
    first, last = place.reshape(2, -1)
    up = np.zeros(len(heights) + 1, np.int64)
    np.add.at(up, np.minimum(first, last), np.sign(last - first))
    np.add.at(up, np.maximum(first, last), -np.sign(last - first))
    left = np.flatnonzero(np.cumsum(up)[: max(len(heights) - 1, 0)])
    side = np.full(len(left), centre_rad - np.pi)
    return np.stack([side, heights[left]], axis=1), np.stack([side, heights[left + 1]], axis=1)


def _grid(start: Floats, end: Floats, centre_rad: float, radii: tuple[float, float], cell_mm: float) -> _Grid:
    length = np.hypot((end[:, 0] - start[:, 0]) * radii[1], end[:, 1] - start[:, 1])
    many = np.maximum(np.ceil(length / cell_mm).astype(np.int64), 1)
    source = np.repeat(np.arange(len(many)), many)
    turn = (np.arange(len(source)) - np.repeat(np.cumsum(many) - many, many))[:, None]
    step = (end - start)[source] / many[source, None]
    begin = start[source] + turn * step
    begin[:, 0] = _near(begin[:, 0], centre_rad)
    stop = begin + step
    # Near the back of a full turn an outline has a neighbour on the other side of the seam.
    back = np.abs(np.abs(begin[:, 0] - centre_rad) - np.pi) < SEAM_RAD
    over = np.where(begin[back, :1] > centre_rad, -2 * np.pi, 2 * np.pi) * np.array([1.0, 0.0])
    begin, stop = np.concatenate([begin, begin[back] + over]), np.concatenate([stop, stop[back] + over])
    rad_a_cell = cell_mm / radii[0]
    columns = int(np.ceil((2 * np.pi + 1) / rad_a_cell)) + 4
    empty = np.zeros(0, np.int64)
    made = _Grid(begin, stop, empty, cell_mm, rad_a_cell, centre_rad - np.pi - 0.5, columns)
    cell = _cell(made, (begin + stop) / 2)
    order = np.argsort(cell, kind="stable")
    return made._replace(start=begin[order], end=stop[order], cell=cell[order])


def distances_mm(shape: NearestOutline, places: Floats, progress: Progress = quiet) -> Floats:
    """Distance (n,) of places (n, 2), angle by height, from the outline; `FARTHEST_MM` where it is more.

    Where very many places stray far, only some of those are looked at and the rest is nan. `progress` is told
    the share that is done.
    """
    turned = np.stack([_near(places[:, 0], shape.centre_rad), places[:, 1]], axis=1)
    out = np.empty(len(places))
    for a in range(0, len(places), QUERIES):
        progress(a / len(places))
        out[a : a + QUERIES] = _distances(shape.curve, shape.fine, turned[a : a + QUERIES])
    far = np.flatnonzero(~(out <= FINE_MM / 2))
    if len(far):
        out[far] = np.nan
        some = far[:: -(-len(far) // FAR_QUERIES)]
        out[some] = np.minimum(_distances(shape.curve, shape.coarse, turned[some]), FARTHEST_MM)
    return out


def _near(angle: Floats, centre_rad: float) -> Floats:
    return np.asarray(np.mod(angle - centre_rad + np.pi, 2 * np.pi) - np.pi + centre_rad)


def _cell(grid: _Grid, places: Floats) -> Ints:
    across = np.floor((places[:, 0] - grid.first_rad) / grid.rad_a_cell).astype(np.int64) + 1
    return np.asarray(np.floor(places[:, 1] / grid.cell_mm).astype(np.int64) * grid.columns + across)


def _distances(curve: Curve, grid: _Grid, places: Floats) -> Floats:
    radius, slant = radius_and_slope(curve, places[:, 1])
    scale = np.stack([radius, np.hypot(1.0, slant)], axis=1)
    own = _cell(grid, places)
    best = np.full(len(places), np.inf)
    for along in (-1, 0, 1):
        # Cells beside each other are numbered one after the other: three are one run.
        low = own + along * grid.columns
        first = np.searchsorted(grid.cell, low - 1, side="left")
        many = np.searchsorted(grid.cell, low + 1, side="right") - first
        asking = np.flatnonzero(many)
        if len(asking) == 0:
            continue
        many = many[asking]
        begin = np.cumsum(many) - many
        who = np.repeat(asking, many)
        piece = np.arange(len(who)) - np.repeat(begin - first[asking], many)
        here, unit = places[who], scale[who]
        squares = _squares((grid.start[piece] - here) * unit, (grid.end[piece] - here) * unit)
        best[asking] = np.minimum(best[asking], np.minimum.reduceat(squares, begin))
    return np.asarray(np.sqrt(best))


def _squares(start: Floats, end: Floats) -> Floats:
    """Squared distance of the origin from each straight piece (n, 2) to (n, 2)."""
    x, y = start[:, 0], start[:, 1]
    dx, dy = end[:, 0] - x, end[:, 1] - y
    square = dx * dx + dy * dy
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip(-(x * dx + y * dy) / square, 0.0, 1.0)
    share = np.where(square > 0, share, 0.0)
    return np.asarray((x + share * dx) ** 2 + (y + share * dy) ** 2)
