"""The seams: where ink should run on from one slice into the next, how far apart the two marks end.

::

        column k         |        column k + 1
     ====================>|<====================      ink that crosses the seam
                        ->|   |<-  gap on the wall; + more open than wanted, - marked double
"""

from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings, following
from rotary.formulas.arrays import Floats, Ints
from rotary.formulas.revolution import Curve, radius_mm
from rotary.simulate.description import TrueInk
from rotary.simulate.marks import Marks
from rotary.simulate.nearest import distances_mm, outline
from rotary.simulate.rays import RayStand, landing

CLEAR_MM = 0.1  # from where ink begins and ends along a seam: there its outline's own slant would be read as a gap
BESIDE_MM = 0.05  # ink that reaches less far past a seam leaves no mark there to measure
HAIR_RAD = 1e-7
PLACES = 5  # along each inked piece of a seam


class SeamMarks(NamedTuple):
    """Places on the seams where both neighbours end on ink, (n,) each.

    `left` and `right` are the columns; `s_mm` the height; `left_x_mm`, `left_y_mm`, `right_x_mm`,
    `right_y_mm` the commands at which the marks end; `lost` counts places where a mark is missing.
    """

    left: Ints
    right: Ints
    s_mm: Floats
    left_x_mm: Floats
    left_y_mm: Floats
    right_x_mm: Floats
    right_y_mm: Floats
    lost: int

    def some(self, chosen: Ints) -> "SeamMarks":
        """The chosen places alone."""
        return SeamMarks._make([*(np.asarray(column)[chosen] for column in self[:-1]), self.lost])


NO_SEAMS = SeamMarks(*(np.zeros(0, np.int64),) * 2, *(np.zeros(0),) * 5, 0)


def seams(curve: Curve, shown: Marks, true: TrueInk, middles_rad: Floats, inset_mm: float) -> SeamMarks:
    """Where seams cross ink of the true artwork, and the marks' ends there.

    `middles_rad` (n,) is the item's angle on top for each column; `inset_mm` how far slices end before borders.
    """
    wall, centre_rad, ring = true
    edge = outline(curve, wall, centre_rad, ring=bool(ring))
    line = _Line(wall, centre_rad if ring else None)
    count = ring or len(middles_rad)
    lost = 0
    columns, heights, lefts, rights = [], [], [], []
    for k in range(count if ring else count - 1):
        right = (k + 1) % count
        ahead = middles_rad[right] + (2 * np.pi if right <= k else 0.0)
        places = _inked_places(curve, line, float(middles_rad[k] + ahead) / 2, 2 * abs(inset_mm) + BESIDE_MM)
        if len(places) == 0:
            continue
        left_end, right_end = _ends(shown, k, places, +1), _ends(shown, right, places, -1)
        there = np.isfinite(left_end[0]) & np.isfinite(right_end[0])
        lost += int((~there).sum())
        # Where a mark ends on the artwork's own outline, the seam is not what ends it.
        for end in (left_end, right_end):
            off = distances_mm(edge, np.stack([end[2], places], axis=1)[there])
            there[there] = ~(off <= CLEAR_MM / 2)
        columns.append(np.tile([[k], [right]], (1, int(there.sum()))))
        heights.append(places[there])
        lefts.append(left_end[:, there])
        rights.append(right_end[:, there])
    if not columns:
        return NO_SEAMS._replace(lost=lost)
    which, left, right_ends = (np.concatenate(parts, axis=1) for parts in (columns, lefts, rights))
    return SeamMarks(which[0], which[1], np.concatenate(heights), left[0], left[1], right_ends[0], right_ends[1], lost)


class _Line(NamedTuple):
    """Upright lines through the artwork on the wall; round the item where `ring_centre_rad` is its middle."""

    wall: Rings
    ring_centre_rad: float | None

    def heights(self, angle_rad: float) -> Floats:
        """Where the line at an angle enters and leaves the ink, rising (2 n,)."""
        if self.ring_centre_rad is not None:
            # A hair inside: at the back the artwork's own two sides lie on the line.
            from_back = (angle_rad - self.ring_centre_rad + np.pi) % (2 * np.pi)
            angle_rad = self.ring_centre_rad - np.pi + min(max(from_back, HAIR_RAD), 2 * np.pi - HAIR_RAD)
        start, end = self.wall.points_mm, self.wall.points_mm[following(self.wall.offsets)]
        meets = (start[:, 0] < angle_rad) != (end[:, 0] < angle_rad)
        a, b = start[meets], end[meets]
        return np.sort(a[:, 1] + (angle_rad - a[:, 0]) / (b[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1]))


def _inked_places(curve: Curve, line: _Line, angle_rad: float, beside_mm: float) -> Floats:
    """Heights on one upright line that lie in ink, clear of its ends and with ink `beside_mm` on either side."""
    heights = line.heights(angle_rad)
    low, high = heights[::2] + CLEAR_MM, heights[1::2] - CLEAR_MM
    long = high > low
    places = (low[long, None] + (high - low)[long, None] * np.linspace(0, 1, PLACES)).ravel()
    if len(places):
        aside = beside_mm / float(radius_mm(curve, places).min())
        for beside in (angle_rad - aside, angle_rad + aside):
            places = places[np.searchsorted(line.heights(beside), places) % 2 == 1]
    return places


def _ends(shown: Marks, column: int, heights: Floats, side: int) -> Floats:
    """Commands x, y and the item's angle (3, n) where a column's mark ends on one side, +1 right; nan if none."""
    mine = np.flatnonzero(shown.column == column)
    after = shown.after[mine]
    s0, s1 = shown.s_mm[mine], shown.s_mm[after]
    out = np.full((3, len(heights)), np.nan)
    for i, height in enumerate(heights.tolist()):
        meets = np.flatnonzero((s0 < height) != (s1 < height))
        if len(meets) == 0:
            continue
        a, b = mine[meets], after[meets]
        share = (height - shown.s_mm[a]) / (shown.s_mm[b] - shown.s_mm[a])
        angle = shown.angle_rad[a] + share * (shown.angle_rad[b] - shown.angle_rad[a])
        best = int(np.argmax(side * angle))
        a, b, t = a[best], b[best], share[best]
        out[:, i] = (
            shown.x_mm[a] + t * (shown.x_mm[b] - shown.x_mm[a]),
            shown.y_mm[a] + t * (shown.y_mm[b] - shown.y_mm[a]),
            angle[best],
        )
    return out


class Gaps(NamedTuple):
    """Gap less the wanted one, round the item, and the stair along it [mm]; draws by places, or places."""

    open_mm: Floats
    seam_offset_mm: Floats


def gaps(
    stand: RayStand, at: SeamMarks, turned_rad: Floats, wanted_mm: float, turn_scale: Floats | float = 1.0
) -> Gaps:
    """What the seams do for one stand, or for many (its fields (draws, 1)); turns (columns,) [rad].

    `turn_scale` multiplies every turn of the item.
    """
    ends = [landing(stand, at.left_x_mm, at.left_y_mm), landing(stand, at.right_x_mm, at.right_y_mm)]
    # From the last column on to the first the item has turned once.
    whole = np.where(at.right <= at.left, 2 * np.pi, 0.0)
    turn = (turned_rad[at.right] - turned_rad[at.left]) * turn_scale + whole
    radius = radius_mm(stand.curve, at.s_mm) + stand.thicker_mm
    gap = radius * (turn + ends[1].angle_rad - ends[0].angle_rad)
    return Gaps(np.asarray(gap - wanted_mm), np.asarray(ends[1].s_mm - ends[0].s_mm))
