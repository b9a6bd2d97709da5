r"""Where a command to the scan head lands on a turned, tilted item, and the way back.

::

      side view (X across the paper)            end view (rim towards you)

              o  pupil of the Y mirror                 o  pupil of the X mirror
             /|  f_y above the focal plane            /|  f_x above the focal plane
            / |                                      / |
    -------+--+-------- focal plane          -------+--+-------- focal plane
          /Y  Yc            ^ + over_plane         /X  0
         *  \__             |                     *
    foot  \____\__ rim   apex line              (  | r )  angle from the apex
       axis tilted by tau, + rim up              \_|__/

X runs across the field, to the right seen from the head with the rim at +Y; Y along the item's axis;
Z up. The beam to a command leans away from the field's centre, because it comes out of a pupil at a
finite height; the two mirrors have two pupils. A telecentric lens has its pupils at infinity: pass
``math.inf``. `over_plane_mm` is the height of a place over the focal plane, negative below it.
Derivations: docs/formulas/scan.md. All functions take floats or arrays that broadcast, angles in [rad].
"""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats


def place_mm(
    s_mm: ArrayLike, radius_mm: ArrayLike, angle_rad: ArrayLike, tilt_rad: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Where a place of the wall stands: x, y and z [mm], the axis at s = 0 being the origin.

    `radius_mm` is that at `s_mm`, `angle_rad` is counted from the apex, + to the right; `tilt_rad` lifts
    the rim end. Broadcasting floats, three arrays.

    >>> [float(c.round(6)) for c in place_mm(30.0, 40.0, 0.0, np.arctan2(3, 4))]
    [0.0, 0.0, 50.0]
    """
    r, phi, tau, s = floats(radius_mm), floats(angle_rad), floats(tilt_rad), floats(s_mm)
    h = r * np.cos(phi)
    cos, sin = np.cos(tau), np.sin(tau)
    return np.asarray(r * np.sin(phi)), np.asarray(s * cos - h * sin), np.asarray(s * sin + h * cos)


def command_mm(from_centre_mm: ArrayLike, over_plane_mm: ArrayLike, pupil_mm: ArrayLike) -> Floats:
    """What the head must be told, along one axis and from the field's centre [mm], to hit a place.

    X = x f / (f - (z - z_f)): a place below the focal plane needs a smaller command, the beam goes on leaning
    outwards. `pupil_mm` is the height f of that axis's pupil over the focal plane, ``math.inf`` where
    telecentric. Broadcasting floats; meaningless at and above the pupil.

    >>> command_mm(10.0, [0.0, -5.0], 195.0).round(3)
    array([10.  ,  9.75])
    """
    return np.asarray(floats(from_centre_mm) / (1 - floats(over_plane_mm) / floats(pupil_mm)))


def from_centre_mm(command_mm: ArrayLike, over_plane_mm: ArrayLike, pupil_mm: ArrayLike) -> Floats:
    """Where a command lands at a given height, along one axis and from the field's centre [mm].

    The inverse of `command_mm`. Broadcasting floats.

    >>> float(from_centre_mm(9.75, -5.0, 195.0).round(6))
    10.0
    """
    return np.asarray(floats(command_mm) * (1 - floats(over_plane_mm) / floats(pupil_mm)))


def landing_on_cone(
    command_x_mm: ArrayLike,
    command_y_mm: ArrayLike,
    plane_mm: ArrayLike,
    pupil_x_mm: ArrayLike,
    pupil_y_mm: ArrayLike,
    centre_y_mm: ArrayLike,
    radius_at_zero_mm: ArrayLike,
    slope: ArrayLike,
    tilt_rad: ArrayLike,
) -> tuple[Floats, Floats]:
    """Where a command lands on a cone or cylinder r = r0 + slope s: s [mm] and angle from the apex [rad].

    `command_x_mm` from the field's centre, `command_y_mm` and the field's centre `centre_y_mm` in the frame
    of `place_mm`, as is the focal plane's height `plane_mm`. Exact: the ray meets x² + h² = r(s)², a
    quadratic in the height along it. Broadcasting floats, two arrays; nan where the beam misses.

    >>> s, angle = landing_on_cone(5.0, 60.0, 40.0, 190.0, 175.0, 75.0, 40.0, 0.0, 0.0)
    >>> float(s.round(3)), float((40 * np.sin(angle)).round(4))
    (59.973, 5.0083)
    """
    x0, y0, centre = floats(command_x_mm), floats(command_y_mm), floats(centre_y_mm)
    z0, m, tau = floats(plane_mm), floats(slope), floats(tilt_rad)
    cos, sin = np.cos(tau), np.sin(tau)
    # Along the ray all is linear in w, the height over the focal plane: first the value there, then the rate.
    x1, y1 = -x0 / floats(pupil_x_mm), -(y0 - centre) / floats(pupil_y_mm)
    s0, s1 = y0 * cos + z0 * sin, y1 * cos + sin
    h0, h1 = z0 * cos - y0 * sin, cos - y1 * sin
    r0, r1 = floats(radius_at_zero_mm) + m * s0, m * s1
    a = x1 * x1 + h1 * h1 - r1 * r1
    b = x0 * x1 + h0 * h1 - r0 * r1
    c = x0 * x0 + h0 * h0 - r0 * r0
    under = b * b - a * c
    root = np.sqrt(np.where(under < 0, np.nan, under))
    # The upper of the two places; the second form keeps its digits where b and the root nearly cancel.
    with np.errstate(divide="ignore", invalid="ignore"):
        w = np.where(b > 0, -c / (b + root), (root - b) / a)
    return np.asarray(s0 + s1 * w), np.asarray(np.arctan2(x0 + x1 * w, h0 + h1 * w))


def incidence_cosine(
    angle_rad: ArrayLike, slope: ArrayLike, tilt_rad: ArrayLike, lean_x: ArrayLike = 0.0, lean_y: ArrayLike = 0.0
) -> Floats:
    """Cosine of the angle between the beam and the wall's normal; the spot is stretched by its inverse.

    `slope` is dr/ds; `lean_x` and `lean_y` are the command from the field's centre over the pupil's height,
    0 where telecentric. Negative where the beam could only come from inside. Broadcasting floats.

    >>> incidence_cosine([0.0, np.pi / 3], 0.0, 0.0).round(6)
    array([1. , 0.5])
    """
    m, tau, phi = floats(slope), floats(tilt_rad), floats(angle_rad)
    bx, by = floats(lean_x), floats(lean_y)
    up = np.cos(phi)
    cos, sin = np.cos(tau), np.sin(tau)
    along_y, along_z = -m * cos - up * sin, up * cos - m * sin
    seen = along_z - np.sin(phi) * bx - along_y * by
    return np.asarray(seen / np.sqrt((1 + m * m) * (1 + bx * bx + by * by)))
