r"""What a seam strip would show for each thing that may be wrong with a machine: the sensitivities of its readings.

::

      item too thin, field too wide, item too low             axis askew            axis aside, item tilted
         ====|  |====   or  ====|====                        ------'                     ------'
         gap (+)            double mark (-)                        '------                     '------
                                                             the same stair everywhere   more at one end

Per unit of each cause: the gap g and the stair t at a seam, and how much longer a length along the item comes out.
Lengths in [mm], angles in [rad]; floats or arrays that broadcast. Derivations: docs/formulas/strip.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats

CAUSES = ("diameter", "field-scale-x", "field-scale-y", "focus", "index", "extra-width", "skew", "offset")
"""In the order of the columns of `Sensitivities`. Units: mm on the diameter, share, share, mm that the item stands
too high, share that the item turns too far, mm of extra width an index, rad anticlockwise, mm to the right."""


class Sensitivities(NamedTuple):
    """For one unit of each cause: gap and stair at places (n, 8), and the share of a length along the item (8,)."""

    gap: Floats
    stair: Floats
    length_share: Floats


def strip_sensitivities(
    index_rad: float,
    file_slice_mm: float,
    radius_mm: ArrayLike,
    from_centre_mm: ArrayLike,
    over_plane_mm: ArrayLike,
    tilt_rad: float,
    pupil_across_mm: float,
    pupil_along_mm: float,
) -> Sensitivities:
    """What each cause does to a strip whose seams were looked at at places (n,).

    `radius_mm` there, `from_centre_mm` how far along the axis from the field's centre, `over_plane_mm` the slice
    edge's height over the focal plane; pupils over the focal plane, ``math.inf`` where telecentric. With S = r times
    the index angle: a wall thicker by dr leaves S dr/r, an item higher by dz S dz/(f - over), a field wider by e
    takes S e, a turn longer by i adds S i; an axis aside by x0 makes a stair (S x0/r) (y/(f_y - over) -
    sin tilt), because one slice's edge then stands higher than the other's; an axis askew by d a stair S d, and that of
    an axis aside by -y d.

    >>> seen = strip_sensitivities(0.25, 10.2, [40.0], [0.0], [0.0], 0.0, 200.0, 180.0)
    >>> [round(float(g), 4) for g in seen.gap[0]]
    [0.125, -10.0, 0.0, 0.05, 10.0, 0.9804, 0.0, 0.0]
    """
    r, y, over = np.broadcast_arrays(
        np.asarray(radius_mm, float), np.asarray(from_centre_mm, float), np.asarray(over_plane_mm, float)
    )
    width, none = r * index_rad, np.zeros_like(r)
    gap = [
        width / (2 * r),
        -width,
        none,
        width / (pupil_across_mm - over),
        width,
        width / file_slice_mm,
        none,
        none,
    ]
    leaning = y / (pupil_along_mm - over)
    aside = index_rad * (leaning - np.sin(tilt_rad))
    # An axis askew is also aside, by -y d at y: there the stair of an axis aside joins in.
    stair = [none, none, none, none, none, none, width - y * aside, aside]
    high = float(np.mean(over))
    share = [0.0, 0.0, 1.0, -1 / (pupil_along_mm - high), 0.0, 0.0, 0.0, 0.0]
    return Sensitivities(np.stack(gap, axis=-1), np.stack(stair, axis=-1), np.array(share))


def gap_of_offset_mm(
    index_rad: float, radius_mm: ArrayLike, offset_mm: ArrayLike, over_plane_mm: ArrayLike, pupil_mm: float
) -> Floats:
    """What an axis beside the field's middle does to the gap: nothing to first order, but a double mark to second.

    The slice then lies on the falling side of the wall: its arcs are longer by S x0²/(2 r²), and lower by x0²/(2 r),
    so that the leaning beam goes on outwards. (...) floats.

    >>> float(gap_of_offset_mm(0.25, 40.0, 4.0, 0.0, 200.0).round(3))
    -0.06
    """
    r, x0 = np.asarray(radius_mm, float), np.asarray(offset_mm, float)
    share = x0 * x0 / (2 * r) * (1 / r + 1 / (pupil_mm - np.asarray(over_plane_mm, float)))
    return np.asarray(-r * index_rad * share)
