"""What a step of the motor means at the item's surface: steps, rounding, drift, closing, ticks, stairs.

Derivations: docs/formulas/motion.md.
"""

from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats, floats

Rounding = Literal["each-index", "absolute", "truncate"]

ODD_SIGMA = 3.0
"""A reading this many standard deviations from what the others say is odd: 1 in 370 by chance."""


def steps_per_turn(full_steps: float, microsteps: float, gear_ratio: float = 1.0) -> float:
    """Steps that turn the chuck, or the driven roller, once.

    `gear_ratio` is motor turns for one turn of what it drives.

    >>> steps_per_turn(200, 16, gear_ratio=4)
    12800.0
    """
    return float(full_steps * microsteps * gear_ratio)


def steps_per_item_turn(roller_steps: ArrayLike, rolling_radius_mm: ArrayLike, roller_radius_mm: ArrayLike) -> Floats:
    """Steps that turn an item on rollers once: its surface travels as far as the roller's.

    Positive floats that broadcast. The radius is that of the place that touches, whatever
    diameter is typed anywhere.

    >>> float(steps_per_item_turn(3200, rolling_radius_mm=40.0, roller_radius_mm=10.0))
    12800.0
    """
    return np.asarray(floats(roller_steps) * floats(rolling_radius_mm) / floats(roller_radius_mm))


def arc_per_step_mm(radius_mm: ArrayLike, steps: ArrayLike) -> Floats:
    """Length along the surface that one step makes, 2 π r / steps.

    >>> float(arc_per_step_mm(40.0, 12800).round(5))
    0.01963
    """
    return np.asarray(2 * np.pi * floats(radius_mm) / floats(steps))


def motor_error_rad(full_steps: float, gear_ratio: float = 1.0, share: float = 0.05) -> float:
    """How far a step motor may stand from where it should [rad], a share of a full step that does not add up.

    Makers state 3 to 5 % of a full step; microsteps beyond about ten place no better.

    >>> round(motor_error_rad(200), 6)
    0.001571
    """
    return 2 * np.pi * share / (full_steps * gear_ratio)


def positions_steps(wanted_steps: float, indexes: int, rounding: Rounding) -> Floats:
    """Whole steps at which a controller stands after index 1 … n (n,) when each should be `wanted_steps`.

    `each-index` rounds every move, `absolute` rounds the place, `truncate` cuts every move down.

    >>> [positions_steps(88.6, 3, how).tolist() for how in ("each-index", "absolute", "truncate")]
    [[89.0, 178.0, 267.0], [89.0, 177.0, 266.0], [88.0, 176.0, 264.0]]
    """
    count = np.arange(1, indexes + 1, dtype=float)
    if rounding == "absolute":
        return np.floor(count * wanted_steps + 0.5)
    one = np.floor(wanted_steps + 0.5) if rounding == "each-index" else np.floor(wanted_steps)
    return np.asarray(count * one)


def closing_error_steps(steps_an_index: ArrayLike, indexes: ArrayLike, steps_a_turn: ArrayLike) -> Floats:
    """Steps by which `indexes` equal moves miss one whole turn, + too far. Floats that broadcast.

    >>> float(closing_error_steps(89, 36, 3200))
    4.0
    """
    return np.asarray(floats(steps_an_index) * floats(indexes) - floats(steps_a_turn))


def overshoot_share(gap_mm: ArrayLike, radius_mm: ArrayLike) -> Floats:
    """What a commanded turn turned too far, as a share of it, from the arc between two ticks: g / (2 π r).

    Signed, + where the item went too far. True turn = commanded × (1 + this). Floats that broadcast.

    >>> float(overshoot_share(-0.75, 40.0).round(6))
    -0.002984
    """
    return np.asarray(floats(gap_mm) / (2 * np.pi * floats(radius_mm)))


MOST_STEPS_OFF: Final = 0.05
"""Steps that differ by more are those of another gear or motor, not of a diameter that was corrected."""


def turn_share(share: ArrayLike, steps: ArrayLike, nominal: ArrayLike) -> Floats:
    """What `nominal` steps turn too far, as a share of a turn, where `steps` turned the item 1 + `share` times.

    Where the two are more than 5 % apart a step is another one, and the share stands as it was read. Floats that
    broadcast, steps above 0.

    >>> turn_share([0.01, 0.01], [1000, 500], 1010).round(4).tolist()
    [0.0201, 0.01]
    """
    ratio = floats(nominal) / floats(steps)
    return np.where(abs(ratio - 1) > MOST_STEPS_OFF, floats(share), (1 + floats(share)) * ratio - 1)


class Estimate(NamedTuple):
    """A folded estimate: `value`, its standard uncertainty `u`, the `odd` readings left out, `agree`.

    `agree` is False where the readings contradict each other and nobody can say which is wrong.
    """

    value: float
    u: float
    odd: tuple[int, ...]
    agree: bool


def _weighted(value: Floats, u: Floats) -> tuple[float, float]:
    weight = 1 / u**2
    return float(np.sum(weight * value) / np.sum(weight)), float(1 / np.sqrt(np.sum(weight)))


def weighted_mean(value: ArrayLike, u: ArrayLike) -> Estimate:
    """Weighted least-squares mean of readings (n,) with standard uncertainties (n,), odd ones left out.

    A reading more than `ODD_SIGMA` from the mean of the others is odd: the worst is left out
    and the rest looked at again, as long as at least two agreeing ones outvote each odd one.
    Where the rest scatters more than its uncertainties allow, the uncertainty grows by the
    Birge ratio. Raises ValueError without readings. Source: [gum].

    >>> weighted_mean([0.0030, 0.0032, 0.0100, 0.0031], [0.0002, 0.0002, 0.0002, 0.0002])
    Estimate(value=0.0031, u=0.00011547005383792516, odd=(2,), agree=True)
    """
    x, s = np.atleast_1d(floats(value)), np.atleast_1d(floats(u))
    if not x.size:
        raise ValueError("there are no readings")
    kept = list(range(x.size))
    odd: list[int] = []
    while len(kept) > 2:
        off = []
        for one in kept:
            others = [k for k in kept if k != one]
            mean, mean_u = _weighted(x[others], s[others])
            off.append(abs(x[one] - mean) / np.hypot(s[one], mean_u))
        worst = int(np.argmax(off))
        if off[worst] <= ODD_SIGMA:
            break
        odd.append(kept.pop(worst))
    mean, mean_u = _weighted(x[kept], s[kept])
    agree = len(kept) > len(odd)
    if len(kept) == 2:
        agree = agree and bool(abs(x[kept[0]] - x[kept[1]]) <= ODD_SIGMA * np.hypot(*s[kept]))
    if len(kept) > 1:
        chi2 = float(np.sum(((x[kept] - mean) / s[kept]) ** 2)) / (len(kept) - 1)
        mean_u *= max(1.0, chi2**0.5)
    return Estimate(mean, mean_u, tuple(sorted(odd)), agree)


def skew_stair_mm(slice_width_mm: ArrayLike, skew_rad: ArrayLike) -> Floats:
    """Stair at each seam because the axis lies askew in the field, S tan δ. Floats that broadcast.

    >>> float(skew_stair_mm(10.0, 0.0009).round(6))
    0.009
    """
    return np.asarray(floats(slice_width_mm) * np.tan(floats(skew_rad)))


def offset_stair_mm(
    slice_width_mm: ArrayLike,
    offset_mm: ArrayLike,
    radius_mm: ArrayLike,
    from_centre_mm: ArrayLike,
    pupil_mm: ArrayLike,
    tilt_rad: ArrayLike,
) -> Floats:
    """Stair at each seam because the axis is not under the field's centre line.

    The two edges of a slice then lie at heights that differ by S x₀/r; the beam leans by
    (Y − Y_c)/f_p along the item and the axis is tilted, so the mark moves along the item:
    (S x₀/r)(|Y − Y_c|/f_p + tan|tilt|). A bound: the two may also cancel. `pupil_mm` may be
    infinite (telecentric). Floats that broadcast.

    >>> float(offset_stair_mm(10.0, 1.0, 39.5, 36.0, 184.0, 0.06).round(3))
    0.065
    """
    fall = floats(slice_width_mm) * floats(offset_mm) / floats(radius_mm)
    lean = np.abs(floats(from_centre_mm)) / floats(pupil_mm) + np.tan(np.abs(floats(tilt_rad)))
    return np.asarray(np.abs(fall) * lean)
