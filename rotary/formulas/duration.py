"""How long turning and marking take. Derivations: docs/formulas/duration.md."""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats


def turn_time_s(
    angle_rad: ArrayLike, top_speed_rad_s: ArrayLike, acceleration_rad_s2: ArrayLike, settling_s: ArrayLike = 0.0
) -> Floats:
    """Time of one index [s]: speeding up, turning, slowing down, settling.

    Where the angle is too small to reach the top speed the profile is a triangle. No move, no
    time. Floats that broadcast; speed and acceleration > 0, the angle of either sign.

    >>> turn_time_s([0.0, 0.2, 1.45], top_speed_rad_s=3.0, acceleration_rad_s2=20.0).round(4)
    array([0.    , 0.2   , 0.6333])
    """
    angle, speed, pull = np.abs(floats(angle_rad)), floats(top_speed_rad_s), floats(acceleration_rad_s2)
    triangle = 2 * np.sqrt(angle / pull)
    trapezium = angle / speed + speed / pull
    moving = np.where(angle * pull < speed**2, triangle, trapezium)
    return np.asarray(np.where(angle > 0, moving + floats(settling_s), 0.0))


def hatch_length_mm(inked_mm2: ArrayLike, line_spacing_mm: ArrayLike) -> Floats:
    """Length of all hatch lines [mm] over an inked area: area / spacing. Floats that broadcast.

    >>> float(hatch_length_mm(600.0, 0.05))
    12000.0
    """
    return np.asarray(floats(inked_mm2) / floats(line_spacing_mm))


def hatch_lines(across_mm: ArrayLike, line_spacing_mm: ArrayLike) -> Floats:
    """Number of hatch lines over a width across them, whole. Floats that broadcast.

    >>> hatch_lines([10.0, 0.02, 0.0], 0.05)
    array([201.,   1.,   0.])
    """
    width = floats(across_mm)
    # A millionth of a spacing is dust of the division, not another line.
    return np.asarray(np.where(width > 0, np.floor(width / floats(line_spacing_mm) + 1e-6) + 1, 0.0))


def marking_time_s(
    length_mm: ArrayLike,
    lines: ArrayLike,
    speed_mm_s: ArrayLike,
    line_wait_s: ArrayLike,
    travel_mm: ArrayLike = 0.0,
    travel_speed_mm_s: ArrayLike = 4000.0,
) -> Floats:
    """Time of marking once over [s]: the lines, the waits at each one's start, stop and turn, the moves between.

    `line_wait_s` is the sum of the waits of one line; `travel_mm` all that is moved with the
    beam off. Floats that broadcast, speeds > 0.

    >>> float(marking_time_s(12000.0, 201, 1000.0, 0.0002, travel_mm=400.0).round(4))
    12.1402
    """
    marked = floats(length_mm) / floats(speed_mm_s)
    moved = floats(travel_mm) / floats(travel_speed_mm_s)
    return np.asarray(marked + floats(lines) * floats(line_wait_s) + moved)


def slice_by_slice_s(
    slice_s: ArrayLike, passes: ArrayLike, pause_s: ArrayLike, indexes: ArrayLike, turn_s: ArrayLike
) -> Floats:
    """Whole run [s] where every pass of a slice is done before the next index.

    `slice_s` is marking one slice once; the pause stands between passes of a slice, for
    `indexes` + 1 slices, and the item turns `indexes` times. Floats that broadcast.

    >>> float(slice_by_slice_s(2.0, passes=5, pause_s=3.0, indexes=9, turn_s=0.5))
    224.5
    """
    n = floats(passes)
    waits = np.maximum(n - 1, 0) * floats(pause_s)
    return np.asarray((floats(indexes) + 1) * (n * floats(slice_s) + waits) + floats(indexes) * floats(turn_s))


def all_round_s(
    slice_s: ArrayLike, passes: ArrayLike, pause_s: ArrayLike, indexes: ArrayLike, turn_s: ArrayLike, back_s: ArrayLike
) -> Floats:
    """Whole run [s] where each pass goes over all the slices before the next begins.

    `back_s` is the turn back to the start (or on to it, round a full ring). Only what a pause
    lacks after the slices between have been marked is waited for. Floats that broadcast.

    >>> float(all_round_s(2.0, passes=5, pause_s=3.0, indexes=9, turn_s=0.5, back_s=1.0))
    126.5
    """
    n, count = floats(passes), floats(indexes)
    round_s = (count + 1) * floats(slice_s) + count * floats(turn_s)
    between = floats(back_s) + np.maximum(floats(pause_s) - (round_s - floats(slice_s)) - floats(back_s), 0)
    return np.asarray(n * round_s + np.maximum(n - 1, 0) * between)
