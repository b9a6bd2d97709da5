"""Each slice redrawn where the head must be told to draw it, the beam's lean and the item's tilt included.

::

      on the wall, unrolled                 in the sheet

      |    |    |    |    |              |  / \\  |  / \\  |   white wedges between the slices:
      |    |    |    |    |              | |   | | |   | |   a slice is wider where the item is
      |    |    |    |    |              |/     \\|/     \\|
       joints at equal angles             columns of one width

The wall is given as angle [rad] by height s [mm]; a joint lies at one angle over all heights.
Derivation: docs/slice-sheets.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, joined, moved
from rotary.artwork.warp import warped
from rotary.formulas.revolution import Curve, radius_mm
from rotary.formulas.scan import command_mm, place_mm

Floats = NDArray[np.float64]

REDRAW_TOLERANCE_MM = 0.001  # half of the 2 µm that a whole way may cost; the map before it has the other half


class Stance(NamedTuple):
    """How the item is believed to stand under the head. Lengths in [mm], heights over the apex at `centre_s_mm`.

    `tilt_rad` of the axis, + where the rim is higher; `plane_mm` the focal plane's height; the two
    pupils' heights over that plane across and along the item's axis, ``math.inf`` where telecentric.
    """

    curve: Curve
    centre_s_mm: float
    tilt_rad: float
    plane_mm: float
    pupil_across_mm: float
    pupil_along_mm: float


def command_to_hit_mm(stance: Stance, angle_rad: Floats, s_mm: Floats) -> tuple[Floats, Floats]:
    """The commands across and along [mm] that hit places of the wall: angle from the apex, height (...).

    >>> import math
    >>> from rotary.formulas.revolution import straight_curve
    >>> stance = Stance(straight_curve(40.0, 0.0, 100.0), 50.0, 0.0, 0.0, math.inf, math.inf)
    >>> x, y = command_to_hit_mm(stance, np.array([math.pi / 6]), np.array([53.0]))
    >>> float(x[0].round(6)), float(y[0].round(6))
    (20.0, 3.0)
    """
    x, y, z = place_mm(s_mm, radius_mm(stance.curve, s_mm), angle_rad, stance.tilt_rad)
    _, middle_y, middle_z = place_mm(
        stance.centre_s_mm, radius_mm(stance.curve, stance.centre_s_mm), 0.0, stance.tilt_rad
    )
    over_plane = z - middle_z - stance.plane_mm
    across = command_mm(x, over_plane, stance.pupil_across_mm)
    return across, command_mm(y - middle_y, over_plane, stance.pupil_along_mm)


def wall_slices(wall: Rings, first_border_rad: float, index_rad: float, slices: int, closed: bool) -> list[Rings]:
    """The wall's ink slice by slice, angles from each slice's middle. Slice k begins at first border + k index.

    `closed`: the slices make one whole turn, so what lies past either end belongs to the other.
    Raises ValueError where ink lies outside the slices.
    """
    if len(wall.points_mm) == 0:
        return [NO_INK] * slices
    angles = wall.points_mm[:, 0]
    slack = 1e-9  # [rad] ink that ends on the outer border may miss it by rounding
    low = int(np.floor((float(angles.min()) - first_border_rad) / index_rad + slack))
    high = int(np.ceil((float(angles.max()) - first_border_rad) / index_rad - slack))
    if not closed and (low < 0 or high > slices):
        raise ValueError("ink lies outside the slices")
    strips = slices_between(wall, first_border_rad + index_rad * np.arange(low + 1, high))
    out: list[list[Rings]] = [[] for _ in range(slices)]
    for k, strip in zip(range(low, high), strips, strict=True):
        out[k % slices].append(moved(strip, -(first_border_rad + (k + 0.5) * index_rad), 0.0))
    return [joined(parts) for parts in out]


def redrawn(stance: Stance, piece: Rings, index_rad: float, inset_mm: float) -> Rings:
    """A slice's ink (angle from its middle, height) as commands [mm] from the field's middle.

    The slice ends `inset_mm` before its borders, measured on the wall, because the spot has a width.
    Edges are within a micrometre of their true course.
    """
    if len(piece.points_mm) == 0:
        return NO_INK
    half = index_rad / 2

    def share(s_mm: Floats) -> Floats:
        return np.asarray(1 - inset_mm / (half * radius_mm(stance.curve, s_mm)))

    if inset_mm != 0.0:
        # The inset is a length, so its angle changes with the radius: in a coordinate in which the
        # pulled-back border is upright the slice is cut again.
        radius = float(radius_mm(stance.curve, piece.points_mm[:, 1]).max())
        upright = warped(piece, lambda a, s: (a / share(s), s), REDRAW_TOLERANCE_MM / 4, (radius, 1.0))
        piece = slices_between(upright, [-half, half])[1]
    return warped(piece, lambda a, s: command_to_hit_mm(stance, a * share(s), s), REDRAW_TOLERANCE_MM)
