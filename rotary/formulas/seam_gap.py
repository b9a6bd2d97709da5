r"""What two neighbouring slices leave between them: a gap (+) or a double mark (-).

::

       slice k           slice k+1          each slice is marked with its middle on top, from a
     --------+ |         | +--------        command X at its edges; the item turns by the index
              \|  g > 0  |/                 angle in between. The two edges of a seam land at
               '         '                  +X and -X, one index apart, so along the wall
                 r * index                  g = r (index - (angle of +X  -  angle of -X))

Lengths in [mm], angles in [rad]; floats or arrays that broadcast. `apex_over_plane_mm` is the height of
the apex line over the focal plane, negative where the plane stands above it; `pupil_mm` the height of the
X mirror's pupil over the focal plane, ``math.inf`` where telecentric. Derivations: docs/formulas/seam-gap.md.
"""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats


def reached_mm(
    command_mm: ArrayLike,
    radius_mm: ArrayLike,
    apex_over_plane_mm: ArrayLike,
    pupil_mm: ArrayLike,
    tilt_rad: ArrayLike = 0.0,
    offset_mm: ArrayLike = 0.0,
) -> Floats:
    """How far beside the item's axis plane a command across lands on the wall [mm]; nan where it misses.

    Exact: x + offset = X (1 - (z - z_f)/f) with z falling away as the circle does, a quadratic in x.
    `offset_mm` is where the axis stands beside the field's centre line.

    >>> reached_mm(5.0, 39.5, apex_over_plane_mm=[0.0, -6.0], pupil_mm=184.0).round(4)
    array([5.0087, 5.1723])
    """
    x, r, f = floats(command_mm), floats(radius_mm), floats(pupil_mm)
    fall = np.cos(floats(tilt_rad))
    q = x / f * fall
    p = x - x / f * (floats(apex_over_plane_mm) - fall * r) - floats(offset_mm)
    q1 = 1 + q * q
    under = r * r * q1 - p * p
    return np.asarray((p - q * np.sqrt(np.where(under < 0, np.nan, under))) / q1)


def seam_gap_mm(
    command_mm: ArrayLike,
    index_rad: ArrayLike,
    radius_mm: ArrayLike,
    apex_over_plane_mm: ArrayLike,
    pupil_mm: ArrayLike,
    tilt_rad: ArrayLike = 0.0,
    offset_mm: ArrayLike = 0.0,
) -> Floats:
    """Gap (+) or double mark (-) along the wall at the seam of two slices whose edges are commanded at ±X.

    Good for a sliced file (X as redrawn for this height) and for a flat file (X half the slice).

    >>> float(seam_gap_mm(0.5, 1 / 39.5, 41.6, 0.0, np.inf).round(4))
    0.0531
    """
    x, r = floats(command_mm), floats(radius_mm)
    right = reached_mm(x, r, apex_over_plane_mm, pupil_mm, tilt_rad, offset_mm)
    left = reached_mm(-x, r, apex_over_plane_mm, pupil_mm, tilt_rad, offset_mm)
    with np.errstate(invalid="ignore"):
        return np.asarray(r * (floats(index_rad) - (np.arcsin(right / r) - np.arcsin(left / r))))


def seam_gap_spread_mm(
    width_mm: ArrayLike,
    radius_mm: ArrayLike,
    pupil_mm: ArrayLike,
    edge_over_plane_mm: ArrayLike,
    radius_half_mm: ArrayLike,
    height_half_mm: ArrayLike,
    scale_half: ArrayLike,
    pupil_half: ArrayLike = 0.0,
    drive_half: ArrayLike = 0.0,
    offset_half_mm: ArrayLike = 0.0,
) -> Floats:
    """Half width of what the seam error may be, from half widths of the inputs at the same confidence.

    Linear propagation (GUM): g = S (dr/r + dz/p - scale + drive - (z_e - z_f)/p * pupil), p being the
    pupil's height over the slice's edge; each times the slice's width on the wall, summed as squares.
    `scale_half`, `pupil_half` and `drive_half` are relative. An axis beside the field's centre line has
    no linear part; its largest effect S x0²/(2 r²) is taken. What the motor's stops leave is each seam's own
    (`stops`). Source: [gum].

    >>> float(seam_gap_spread_mm(3.73, 39.5, 184.0, 0.0, 0.1, 1.0, 0.003).round(4))
    0.025
    """
    r, edge = floats(radius_mm), floats(edge_over_plane_mm)
    above = floats(pupil_mm) - edge
    relative = (
        (floats(radius_half_mm) / r) ** 2
        + (floats(height_half_mm) / above) ** 2
        + floats(scale_half) ** 2
        + (edge / above * floats(pupil_half)) ** 2
        + floats(drive_half) ** 2
        + (floats(offset_half_mm) ** 2 / (2 * r * r)) ** 2
    )
    return np.asarray(floats(width_mm) * np.sqrt(relative))
