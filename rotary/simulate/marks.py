"""The marks that columns leave on the item: every written edge, in short steps, through the head onto the wall."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import following
from rotary.formulas.arrays import Floats, Ints
from rotary.simulate.controller import SimulatedColumn
from rotary.simulate.rays import RayStand, landing

STEP_MM = 0.4  # a straight written edge is followed in steps no longer than this


class Marks(NamedTuple):
    """Outline points in the order in which they are drawn, (n,) each.

    `x_mm`, `y_mm` the commands in their column, `column` its number; `angle_rad`, `s_mm` where on the
    item, `z_mm` the height, `cos_incidence`; `after` the index of the next point of the same ring.
    nan where a beam misses the item.
    """

    x_mm: Floats
    y_mm: Floats
    column: Ints
    angle_rad: Floats
    s_mm: Floats
    z_mm: Floats
    cos_incidence: Floats
    after: Ints

    @property
    def hit(self) -> NDArray[np.bool_]:
        """Which points land on the item, (n,)."""
        return np.isfinite(self.angle_rad)


def marks(stand: RayStand, columns: list[SimulatedColumn], middle_rad: float) -> Marks:
    """Where the columns' outlines land; `middle_rad` is the item's angle on top at the drawing's middle."""
    x, y, column, after = [], [], [], []
    total = 0
    for k, one in enumerate(columns):
        if len(one.rings.points_mm) == 0:
            continue
        points, follows = _in_steps(one.rings.points_mm, following(one.rings.offsets))
        x.append(points[:, 0])
        y.append(points[:, 1])
        column.append(np.full(len(points), k))
        after.append(follows + total)
        total += len(points)
    if not x:
        none = np.zeros(0)
        return Marks(none, none, np.zeros(0, np.int64), none, none, none, none, np.zeros(0, np.int64))
    xs, ys, which = np.concatenate(x), np.concatenate(y), np.concatenate(column)
    turned = np.array([one.turned_rad for one in columns])
    landed = landing(stand._replace(top_rad=turned[which] + middle_rad) if stand.flats else stand, xs, ys)
    angle = landed.angle_rad + turned[which] + middle_rad
    return Marks(xs, ys, which, angle, landed.s_mm, landed.z_mm, landed.cos_incidence, np.concatenate(after))


def _in_steps(points: Floats, after: Ints) -> tuple[Floats, Ints]:
    step = points[after] - points
    many = np.maximum(np.ceil(np.hypot(step[:, 0], step[:, 1]) / STEP_MM).astype(np.int64), 1)
    begin = np.cumsum(many) - many
    source = np.repeat(np.arange(len(many)), many)
    turn = np.arange(len(source)) - begin[source]
    out = points[source] + (turn / many[source])[:, None] * step[source]
    follows = np.arange(1, len(source) + 1)
    last = begin + many - 1
    follows[last] = begin[after]
    return out, follows
