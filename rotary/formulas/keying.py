"""The number to type so that a controller turns whole steps, whichever way it rounds.

A controller that divides artwork into columns S wide turns q = S K / (pi D) steps an index, with the
diameter D and the steps a turn K that were typed. It then rounds each index, rounds the place reached, or
cuts off; all three stand on k n whole steps after k = 1 … N indexes when and only when

    n <= q < n + 1/(2 N)

The middle of that range is aimed at, so that neither the last digit of pi nor a sum in a short format
matters. Derivations: docs/formulas/seam-gap.md.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas.arrays import Floats
from rotary.formulas.motion import Rounding


class Typed(NamedTuple):
    """`file_slice_mm` and `number` as typed; `wanted` is the steps an index that the controller then works out.

    `both_round` tells whether rounding and cutting off agree on `steps` for every index.
    """

    file_slice_mm: float
    number: float
    wanted: float
    both_round: bool


def key_diameter_mm(file_slice_mm: ArrayLike, steps: ArrayLike, keyed_steps: ArrayLike) -> Floats:
    """Diameter for which a column turns exactly `steps` steps, D = S K / (pi n). Broadcasting floats.

    Not the item's diameter: `keyed_steps` may be those of a roller, and a redrawn column is wider than
    the arc that it makes.

    >>> float(key_diameter_mm(10.0, steps=50, keyed_steps=3200).round(3))
    203.718
    """
    return np.asarray(
        np.asarray(file_slice_mm, float) * np.asarray(keyed_steps, float) / (np.pi * np.asarray(steps, float))
    )


def _columns(least_mm: float, decimals: int, count: int, nearest: bool) -> Floats:
    """Columns that can be typed: from `least_mm` up, or with `nearest` those about it, the nearest first."""
    grain = 10.0**decimals
    if not nearest:
        return np.asarray((np.ceil(round(least_mm * grain, 6)) + np.arange(count)) / grain)
    around = np.rint(least_mm * grain) + np.arange(-count, count + 1)
    around = around[around >= 1]
    return np.asarray(around[np.argsort(np.abs(around - least_mm * grain), kind="stable")][:count] / grain)


def _best(
    number_of: Callable[[float], Floats],
    steps_of: Callable[[Floats], Floats],
    grain: float,
    steps: int,
    indexes: int,
    rounding: Rounding,
) -> tuple[int, float, bool]:
    """Which column (n,) is the first with a typable number that suits, that number, and whether there is one.

    Else the column and number with which this `rounding` leaves the fewest steps over, and of those the one that asks
    for more steps and not fewer. `number_of` gives the numbers (n,) for so many steps an index, `steps_of` the steps
    that numbers (..., n) ask for.
    """
    slack = 1 / (2 * max(indexes, 1))
    aimed, one, other = (number_of(steps + slack * part) for part in (0.5, 0.05, 0.95))
    low, high = np.minimum(one, other), np.maximum(one, other)
    number = np.round(aimed * grain) / grain
    number = np.where(number > high, np.floor(high * grain) / grain, number)
    number = np.where(number < low, np.ceil(low * grain) / grain, number)
    inside = (number >= low) & (number <= high)
    if inside.any():
        at = int(np.argmax(inside))
        return at, float(number[at]), True
    near = np.maximum(np.stack([np.floor(aimed * grain), np.ceil(aimed * grain)]), 1) / grain
    asked = steps_of(near)
    whole = {"each-index": np.floor(asked + 0.5), "truncate": np.floor(asked), "absolute": asked}[rounding]
    over = np.floor(np.abs(whole - steps) * max(indexes, 1) + 0.5)
    fewer = asked < steps - 1e-9
    side, at = divmod(int(np.lexsort((np.abs(asked - steps).ravel(), fewer.ravel(), over.ravel()))[0]), len(aimed))
    return at, float(near[side, at]), False


def typed_diameter(
    least_mm: float,
    steps: int,
    indexes: int,
    keyed_steps: float,
    decimals: int,
    tries: int,
    nearest: bool = False,
    rounding: Rounding = "each-index",
) -> Typed:
    """Column and diameter to type, both with `decimals`, for exactly `steps` an index over `indexes` of them.

    The narrowest of `tries` columns from `least_mm` up that has such a diameter; with `nearest` the one next to it.

    >>> typed_diameter(10.0, steps=50, indexes=21, keyed_steps=3200, decimals=2, tries=50)
    Typed(file_slice_mm=10.0, number=203.67, wanted=50.01..., both_round=True)
    """
    columns = _columns(least_mm, decimals, tries, nearest)
    for_one = key_diameter_mm(columns, 1, keyed_steps)
    at, number, both = _best(
        lambda n: key_diameter_mm(columns, n, keyed_steps), lambda typed: for_one / typed, 10.0**decimals,
        steps, indexes, rounding,
    )  # fmt: skip
    return Typed(float(columns[at]), number, float(for_one[at]) / number, both)


def typed_steps(
    least_mm: float,
    steps: int,
    indexes: int,
    diameter_mm: float,
    decimals: int,
    tries: int,
    nearest: bool = False,
    rounding: Rounding = "each-index",
) -> Typed:
    """Column to draw and whole steps a turn to type where the diameter can't be changed; columns as above.

    >>> found = typed_steps(10.0, steps=100, indexes=21, diameter_mm=50.0, decimals=3, tries=200)
    >>> found.file_slice_mm, found.number, found.both_round
    (10.0, 1571.0, True)
    """
    columns = _columns(least_mm, decimals, tries, nearest)
    per = np.pi * diameter_mm / columns
    at, number, both = _best(lambda n: n * per, lambda typed: typed / per, 1.0, steps, indexes, rounding)
    return Typed(float(columns[at]), number, number / float(per[at]), both)


def typed_degrees(
    least_mm: float,
    steps: int,
    indexes: int,
    keyed_steps: float,
    decimals: int,
    nearest: bool = False,
    rounding: Rounding = "each-index",
) -> Typed:
    """Column, and index angle to type in degrees with `decimals`, for exactly `steps` an index over `indexes` of them.

    >>> typed_degrees(10.0, steps=50, indexes=21, keyed_steps=3200, decimals=3)
    Typed(file_slice_mm=10.0, number=5.626, wanted=50.00..., both_round=True)
    """
    file_slice_mm = float(_columns(least_mm, decimals, 1, nearest)[0])
    per = np.array([360.0 / keyed_steps])
    grain = 10.0**decimals
    _, number, both = _best(lambda n: n * per, lambda typed: typed / per, grain, steps, indexes, rounding)
    exact = round(float(steps * per[0]), decimals)
    if not both and abs(exact - steps * float(per[0])) < 1e-9 * float(per[0]):
        # No digit to spare for a safe side, but the angle itself can be typed.
        return Typed(file_slice_mm, exact, float(steps), True)
    return Typed(file_slice_mm, number, number / float(per[0]), both)


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
