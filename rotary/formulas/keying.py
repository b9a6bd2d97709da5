"""The number to type so that a controller turns whole steps, whichever way it rounds.

A controller that divides artwork into columns S wide turns q = S K / (pi D) steps an index, with the
diameter D and the steps a turn K that were typed. It then rounds each index, rounds the place reached, or
cuts off; all three stand on k n whole steps after k = 1 … N indexes when and only when

    n <= q < n + 1/(2 N)

The middle of that range is aimed at, so that neither the last digit of pi nor a sum in a short format
matters. Derivations: docs/formulas/joints.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class Typed(NamedTuple):
    """`column_mm` and `number` as typed; `wanted` is the steps an index that the controller then works out.

    `both_round` tells whether rounding and cutting off agree on `steps` for every index.
    """

    column_mm: float
    number: float
    wanted: float
    both_round: bool


def key_diameter_mm(column_mm: ArrayLike, steps: ArrayLike, keyed_steps: ArrayLike) -> Floats:
    """Diameter for which a column turns exactly `steps` steps, D = S K / (pi n). Broadcasting floats.

    Not the item's diameter: `keyed_steps` may be those of a roller, and a redrawn column is wider than
    the arc that it makes.

    >>> float(key_diameter_mm(10.0, steps=50, keyed_steps=3200).round(3))
    203.718
    """
    return np.asarray(
        np.asarray(column_mm, float) * np.asarray(keyed_steps, float) / (np.pi * np.asarray(steps, float))
    )


def _columns(least_mm: float, decimals: int, count: int) -> Floats:
    grain = 10.0**decimals
    first = np.ceil(round(least_mm * grain, 6))
    return np.asarray((first + np.arange(count)) / grain)


def _best(aims: tuple[Floats, Floats, Floats], grain: float, more_steps: int) -> tuple[int, float, bool]:
    """Which column (n,) is the first with a typable number from low to high, that number, and whether there is one.

    Else the column whose number comes nearest to the aim on the side where the controller works out more
    steps and not fewer. `aims` are the number aimed at, the least and the most (n,);
    `more_steps` is +1 where a larger number does that, -1 where a smaller one does.
    """
    aimed, low, high = aims
    number = np.round(aimed * grain) / grain
    number = np.where(number > high, np.floor(high * grain) / grain, number)
    number = np.where(number < low, np.ceil(low * grain) / grain, number)
    inside = (number >= low) & (number <= high)
    if inside.any():
        at = int(np.argmax(inside))
        return at, float(number[at]), True
    beyond = (np.ceil(aimed * grain) if more_steps > 0 else np.floor(aimed * grain)) / grain
    beyond = np.where(beyond > 0, beyond, 1 / grain)
    at = int(np.argmin(np.abs(beyond / aimed - 1)))
    return at, float(beyond[at]), False


def typed_diameter(least_mm: float, steps: int, indexes: int, keyed_steps: float, decimals: int, tries: int) -> Typed:
    """Column and diameter to type, both with `decimals`, for exactly `steps` an index over `indexes` of them.

    The narrowest of `tries` columns from `least_mm` up that has such a diameter.

    >>> typed_diameter(10.0, steps=50, indexes=21, keyed_steps=3200, decimals=2, tries=50)
    Typed(column_mm=10.0, number=203.67, wanted=50.01..., both_round=True)
    """
    columns = _columns(least_mm, decimals, tries)
    turn = columns * keyed_steps / np.pi
    slack = 1 / (2 * max(indexes, 1))
    aims = turn / (steps + slack * 0.5), turn / (steps + slack * 0.95), turn / (steps + slack * 0.05)
    at, number, both = _best(aims, 10.0**decimals, -1)
    return Typed(float(columns[at]), number, float(turn[at]) / number, both)


def typed_steps(least_mm: float, steps: int, indexes: int, diameter_mm: float, decimals: int, tries: int) -> Typed:
    """Column to draw and whole steps a turn to type where the diameter can't be changed.

    >>> found = typed_steps(10.0, steps=100, indexes=21, diameter_mm=50.0, decimals=3, tries=200)
    >>> found.column_mm, found.number, found.both_round
    (10.0, 1571.0, True)
    """
    columns = _columns(least_mm, decimals, tries)
    per = np.pi * diameter_mm / columns
    slack = 1 / (2 * max(indexes, 1))
    aims = (steps + slack * 0.5) * per, (steps + slack * 0.05) * per, (steps + slack * 0.95) * per
    at, number, both = _best(aims, 1.0, 1)
    return Typed(float(columns[at]), number, number / float(per[at]), both)


def typed_degrees(column_mm: float, steps: int, indexes: int, keyed_steps: float, decimals: int) -> Typed:
    """Index angle to type, in degrees with `decimals`, for exactly `steps` an index over `indexes` of them.

    >>> typed_degrees(10.0, steps=50, indexes=21, keyed_steps=3200, decimals=3)
    Typed(column_mm=10.0, number=5.626, wanted=50.00..., both_round=True)
    """
    per = np.array([360.0 / keyed_steps])
    slack = 1 / (2 * max(indexes, 1))
    aims = (steps + slack * 0.5) * per, (steps + slack * 0.05) * per, (steps + slack * 0.95) * per
    _, number, both = _best(aims, 10.0**decimals, 1)
    exact = round(float(steps * per[0]), decimals)
    if not both and abs(exact - steps * float(per[0])) < 1e-9 * float(per[0]):
        # No digit to spare for a safe side, but the angle itself can be typed.
        return Typed(column_mm, exact, float(steps), True)
    return Typed(column_mm, number, number / float(per[0]), both)


def degrees_fit(steps: ArrayLike, indexes: ArrayLike, keyed_steps: float, decimals: int) -> NDArray[np.bool_]:
    """Whether an angle with `decimals` gives exactly `steps` an index with every way of rounding.

    Whole numbers (...) that broadcast, `indexes` of them in all.

    >>> degrees_fit([78, 79, 80], indexes=50, keyed_steps=3200, decimals=0).tolist()
    [False, False, True]
    """
    per, grain = 360.0 / keyed_steps, 10.0**decimals
    n, slack = np.asarray(steps, float), 1 / (2 * np.maximum(np.asarray(indexes, float), 1))
    least = np.ceil((n + slack * 0.05) * per * grain - 1e-9) / grain
    exact = np.round(n * per * grain) / grain
    return np.asarray((least <= (n + slack * 0.95) * per) | (np.abs(exact - n * per) < 1e-9 * per))
