r"""From what is read on paper tape to what the machine really does: verniers, two heights, stairs, two ticks.

::

      vernier over a seam               the same line at two heights      stairs of lines
      left slice | right slice                   o pupil
      ---- 2 ----|---------                     /|\                        |  wide
      ---- 1 ----|---- 1 --                    / | \  f                    |
      ---- 0 ----|---- 0 --             high  /--+--\                      .  narrowest: the focal plane
      ----------.|---------             low  /---+---\                     |
      the tick that runs straight on                                       |  wide
      times 0.02 mm is the step

Lengths in [mm], angles in [rad]; floats or arrays that broadcast. Derivations: docs/formulas/tape.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import least_squares, propagated_u

VERNIER_MM = 0.02
"""What one tick of a vernier is worth: the right slice's ticks stand this much closer than the left one's."""


class Measured(NamedTuple):
    """A value and its standard uncertainty."""

    value: float
    u: float


def vernier_step_mm(tick: ArrayLike, worth_mm: float = VERNIER_MM) -> Floats:
    """How far the right slice stands higher than the left one, from the number of the tick that runs straight on.

    With pitch p on the left and p - worth on the right, ticks n meet where the step is n times the worth.

    >>> vernier_step_mm([-3, 0, 5]).round(3).tolist()
    [-0.06, 0.0, 0.1]
    """
    return np.asarray(np.asarray(tick, float) * worth_mm)


def gap_and_stair_mm(rising_mm: ArrayLike, falling_mm: ArrayLike, slope: ArrayLike = 1.0) -> tuple[Floats, Floats]:
    """Gap (+) or double mark (-) and stair of a seam, from verniers of rising and of falling ticks.

    Where the right slice stands g further right and t higher, a line of slope m goes on t - m g higher than it
    would: rising = t - m g, falling = t + m g. `slope` is that of the ticks on the wall.

    >>> g, t = gap_and_stair_mm(rising_mm=-0.02, falling_mm=0.06)
    >>> float(g.round(3)), float(t.round(3))
    (0.04, 0.02)
    """
    up, down, m = np.asarray(rising_mm, float), np.asarray(falling_mm, float), np.asarray(slope, float)
    return np.asarray((down - up) / (2 * m)), np.asarray((down + up) / 2)


def field_scale(drawn_mm: float, measured_mm: float, u_mm: float) -> Measured:
    """How much longer than drawn a line in the focal plane comes out, as a share.

    >>> field_scale(100.0, 99.7, 0.05)
    Measured(value=-0.003, u=0.0005)
    """
    return Measured(round(measured_mm / drawn_mm - 1, 12), u_mm / drawn_mm)


def pupil_from_lines_mm(drawn_mm: float, low_mm: float, high_mm: float, apart_mm: float, u_mm: float) -> Measured:
    """Height of a mirror's pupil over the focal plane, f = L dz / (L_low - L_high), from one line at two heights.

    `drawn_mm` L is its length in the focal plane, `low_mm` and `high_mm` as measured, `apart_mm` between the
    two heights; `u_mm` of each reading. Uncertainty by [gum], clause 5.1.2. Raises ValueError where the higher
    line is not the shorter one.

    >>> pupil_from_lines_mm(100.0, 102.5, 97.5, 10.0, 0.05).value
    200.0
    """
    less = low_mm - high_mm
    if less <= 0:
        raise ValueError("the higher line must be the shorter one")
    f = drawn_mm * apart_mm / less
    return Measured(f, propagated_u([f / apart_mm, f / less, f / less], [u_mm, u_mm, u_mm]))


class Waist(NamedTuple):
    """The beam's waist from stairs of lines: height of the focal plane, Rayleigh length, narrowest width [mm]."""

    height_mm: Measured
    rayleigh_mm: Measured
    width_mm: Measured


def waist_from_stairs(heights_mm: ArrayLike, widths_mm: ArrayLike, u_mm: float) -> Waist:
    """Where the beam is narrowest, from line widths (n,) read at heights (n,), n >= 4, each ± `u_mm`.

    A beam's width squared is a parabola of the height, w² = w0² + (w0/z_R)² (z - z_f)²: weighted least squares,
    then [gum] for what follows from its three numbers. Source: iso11146, part 1, fits the same parabola. Raises
    ValueError where the widths show no waist between the heights.

    >>> z = np.array([-4.0, -2.0, 0.0, 2.0, 4.0])
    >>> waist_from_stairs(z, 0.05 * np.sqrt(1 + ((z - 0.5) / 2) ** 2), 0.001).height_mm.value
    0.5
    """
    z, w = np.asarray(heights_mm, float), np.asarray(widths_mm, float)
    if len(z) < 4 or len(np.unique(z)) < 4:
        raise ValueError("at least four heights are needed")
    middle = float(z.mean())
    x = z - middle
    smooth = w
    for _ in range(3):
        # The error of w² is 2 w u; with the fitted width instead of the read one a small reading gets no extra say.
        fit = least_squares(np.stack([np.ones_like(x), x, x * x], axis=1), w * w, 2 * smooth * u_mm)
        a, b, c = fit.values.tolist()
        smooth = np.sqrt(np.maximum(a + b * x + c * x * x, (0.25 * float(w.min())) ** 2))
    square = a - b * b / (4 * c) if c > 0 else -1.0
    if c <= 0 or square <= 0 or not x.min() <= -b / (2 * c) <= x.max():
        raise ValueError("the widths show no narrowest place between the heights")
    grow = max(1.0, fit.chi2_share) if len(z) > 4 else 1.0
    width, covariance = float(np.sqrt(square)), fit.covariance * grow
    rayleigh = width / float(np.sqrt(c))

    def measured(value: float, gradient: tuple[float, float, float]) -> Measured:
        g = np.array(gradient)
        return Measured(value, float(np.sqrt(g @ covariance @ g)))

    d_width = (1 / (2 * width), -b / (4 * c * width), b * b / (8 * c * c * width))
    d_rayleigh = tuple(d / np.sqrt(c) for d in d_width)
    return Waist(
        measured(round(middle - b / (2 * c), 9), (0.0, -1 / (2 * c), b / (2 * c * c))),
        measured(rayleigh, (d_rayleigh[0], d_rayleigh[1], d_rayleigh[2] - rayleigh / (2 * c))),
        measured(width, d_width),
    )


def pointer_lean(low_mm: float, high_mm: float, apart_mm: float) -> tuple[float, float]:
    """A pointer's offset from the beam at the lower height and its change per mm of height.

    >>> pointer_lean(1.0, 1.5, 10.0)
    (1.0, 0.05)
    """
    return low_mm, (high_mm - low_mm) / apart_mm


def tilt_from_heights_rad(base_end_mm: float, rim_end_mm: float, apart_mm: float) -> float:
    """How much the apex line rises towards the rim, from heights at two places of it.

    >>> round(tilt_from_heights_rad(88.0, 89.0, 50.0), 6)
    0.019997
    """
    return float(np.arctan2(rim_end_mm - base_end_mm, apart_mm))


class Shift(NamedTuple):
    """How an item sits now against how it sat: turned [rad], moved towards the rim [mm], its axis askew [rad]."""

    turned_rad: float
    towards_rim_mm: float
    skew_rad: float


def shift_from_ticks(
    foot_right_mm: float,
    foot_up_mm: float,
    rim_right_mm: float,
    rim_up_mm: float,
    foot_radius_mm: float,
    rim_radius_mm: float,
    apart_mm: float,
) -> Shift:
    """How the item sits now, from where two witness ticks lie beside where they were.

    Both ticks were on the apex line, at radii r1 and r2, `apart_mm` along it. Each is now found `right` of
    its old place, the arc or the pointer's travel being short against the radius, and `up` towards the rim.
    Turned by a, the axis askew by d about the place half way: x1 = r1 sin a - d l/2, x2 = r2 sin a + d l/2.
    What both have in common is the turn; of what they differ, the taper's share (r2 - r1) sin a is not skew.

    >>> shift_from_ticks(4.0, 0.5, 4.0, 0.5, 40.0, 40.0, 100.0)
    Shift(turned_rad=0.1001674211615598, towards_rim_mm=0.5, skew_rad=0.0)
    """
    sine = (foot_right_mm + rim_right_mm) / (foot_radius_mm + rim_radius_mm)
    if abs(sine) > 0.5:
        raise ValueError("the marks are more than 30 degrees from the apex")
    skew = (rim_right_mm - foot_right_mm - (rim_radius_mm - foot_radius_mm) * sine) / apart_mm
    return Shift(float(np.arcsin(sine)), (foot_up_mm + rim_up_mm) / 2, float(np.arctan(skew)))
