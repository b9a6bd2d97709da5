"""What is not known about the inputs, drawn at random and sent through the same head onto the same item."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.revolution import radius_mm
from rotary.simulate.description import SimulatedMachine
from rotary.simulate.marks import Marks
from rotary.simulate.rays import RayStand, landing
from rotary.simulate.seams import Gaps, SeamMarks, gaps

MISSED_MM = 1e3  # stands for a beam that misses the item altogether
SEAM_PLACES = 400  # at most this many places on seams go through the draws
OUTLINE_PLACES = 300


class Beliefs(NamedTuple):
    """How well the inputs are known: half widths that hold 95 %. Skew and offset are of the axis in the field.

    `turn_share` is the drive's scale. `motor_rad` is what two stops of the motor leave between them, 1 sigma;
    `closing_mm` how well the gap is known that closes.
    """

    diameter_mm: float
    focus_mm: float
    field_share: float
    turn_share: float
    motor_rad: float
    skew_rad: float
    aside_mm: float
    pupil_share: float
    closing_mm: float = 0.0


class Sampling(NamedTuple):
    """What is drawn, how often, and from which seed."""

    beliefs: Beliefs
    draws: int = 200
    seed: int = 1


def half_widths_95(
    machine: SimulatedMachine, at: SeamMarks, shown: Marks, turned: Floats, nominal: Gaps, sampling: Sampling
) -> tuple[float, float, float]:
    """95 % half widths of seam, stair and placement: of all seams together, else of the worst place."""
    beliefs, draws, seed = sampling
    if draws < 1:
        return 0.0, 0.0, 0.0
    rng = np.random.default_rng(seed)
    stand = machine.stand
    drawn, scale = normal_draws(stand, beliefs, draws, rng)
    # The motor stops a little off at every slice, and a seam lies between two of its stops.
    stops = rng.normal(0.0, beliefs.motor_rad / 2**0.5, (draws, len(turned)))
    seam_95 = stair_95 = placement_95 = 0.0
    if len(at.s_mm):
        some = sample_indices(len(at.s_mm), SEAM_PLACES, rng)
        few = at.some(some)
        moved = gaps(drawn, few, turned, 0.0, scale)
        own = stops[:, few.right] - stops[:, few.left]
        moved = moved._replace(open_mm=moved.open_mm + radius_mm(stand.curve, few.s_mm) * own)
        wanted = gaps(stand, few, turned, 0.0)
        closing = rng.normal(0.0, beliefs.closing_mm / HOLDS_95, (draws, 1))
        off = nominal.open_mm[some] + moved.open_mm - wanted.open_mm - closing
        seam_95 = worst_95(np.where(np.isnan(off), MISSED_MM, np.abs(off)).max(axis=1, keepdims=True))
        stair_95 = worst_95(moved.seam_offset_mm - wanted.seam_offset_mm)
    landed = np.flatnonzero(shown.hit)
    if len(landed):
        few_points = landed[sample_indices(len(landed), OUTLINE_PLACES, rng)]
        there = landing(drawn, shown.x_mm[few_points], shown.y_mm[few_points])
        turn = turned[shown.column[few_points]]
        radius = radius_mm(machine.stand.curve, shown.s_mm[few_points])
        believed = landing(stand, shown.x_mm[few_points], shown.y_mm[few_points])
        own = stops[:, shown.column[few_points]]
        across = radius * (there.angle_rad - believed.angle_rad + turn * (scale - 1) + own)
        placement_95 = worst_95(np.hypot(across, there.s_mm - believed.s_mm))
    return seam_95, stair_95, placement_95


def normal_draws(stand: RayStand, beliefs: Beliefs, draws: int, rng: np.random.Generator) -> tuple[RayStand, Floats]:
    """Stands drawn from the beliefs, each field (draws, 1), and the factors of the drive's turns (draws, 1)."""

    def normal(half_width: float) -> Floats:
        return rng.normal(0.0, half_width / HOLDS_95, (draws, 1))

    pupils = 1 + normal(beliefs.pupil_share)
    drawn = stand._replace(
        pupil_across_mm=stand.pupil_across_mm * pupils,
        pupil_along_mm=stand.pupil_along_mm * pupils,
        thicker_mm=normal(beliefs.diameter_mm) / 2,
        lower_mm=normal(beliefs.focus_mm),
        # About the machine as assumed; its readings may say otherwise.
        scale_x=stand.scale_x * (1 + normal(beliefs.field_share)),
        scale_y=stand.scale_y * (1 + normal(beliefs.field_share)),
        aside_mm=normal(beliefs.aside_mm),
        skew_rad=stand.skew_rad + normal(beliefs.skew_rad),
    )
    return drawn, 1 + normal(beliefs.turn_share)


def sample_indices(count: int, most: int, rng: np.random.Generator) -> NDArray[np.int64]:
    """Indices of at most so many places of all, rising."""
    return np.arange(count) if count <= most else np.sort(rng.choice(count, most, replace=False))


def worst_95(values: Floats) -> float:
    """95 % half width over the draws (rows) at the worst place; nan is a beam that misses the item.

    Where more than one draw in twenty misses, so does the answer: it is `MISSED_MM`.

    >>> import numpy as np
    >>> one = np.concatenate([np.full((98, 1), 0.25), np.full((2, 1), np.nan)])
    >>> worst_95(one), worst_95(np.full((20, 1), np.nan)) == MISSED_MM
    (0.25, True)
    """
    far = np.where(np.isnan(values), MISSED_MM, np.abs(values))
    # Between two draws and not beyond: a draw that misses must not leak into one that lands.
    return float(np.quantile(far, 0.95, axis=0, method="lower" if np.isnan(values).any() else "linear").max())
