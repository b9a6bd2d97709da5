"""A belief: three figures with a source; and what is told of many values at once."""

import math
from typing import Final, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import BELOW_95
from rotary.model import Model


class Belief(Model):
    """Three figures: 5, 50 and 95 % of what is to be expected, and where they are from."""

    low: float
    central: float
    high: float
    source: str = Field(min_length=1)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.central <= self.high:
            raise ValueError(
                f"low, central, high must go up in this order, got {self.low}, {self.central}, {self.high}"
            )
        return self

    def values(self, z: Floats, scale: Literal["log", "plain"] = "log") -> Floats:
        """The values at standard normal places z: two half bells that meet in the central figure."""
        if scale == "plain":
            below, above = self.central - self.low, self.high - self.central
            return self.central + z / BELOW_95 * np.where(z < 0, below, above)
        below, above = np.log(self.central / self.low), np.log(self.high / self.central)
        return self.central * np.exp(z / BELOW_95 * np.where(z < 0, below, above))


BY_LAW: Final = 0.8
"""How far what is a product by law goes with its factors, as a correlation: estimate. The shipped ranges of threshold,
depth and energy would have it 0.93 and more; scattering, pigment and the pulse width weaken it."""


def by_product(alone: Floats, *factors: tuple[Belief, Floats]) -> Floats:
    """Standard normal places of a belief that is the product of others by law, from some of its own and theirs.

    Each factor counts as it is wide itself: who draws the product by itself lets it be low where all factors are high.
    """
    wide = np.log([one.high / one.low for one, _ in factors])
    if not (norm := float(np.linalg.norm(wide))):
        return alone
    law = wide @ np.stack([places for _, places in factors]) / norm
    return np.asarray(BY_LAW * law + np.sqrt(1 - BY_LAW**2) * alone)


def quantile(values: Floats, weight: Floats, share: float) -> float:
    """The value below which this share of the weight lies."""
    if len(values) == 1:
        return float(values[0])
    if (weight == weight[0]).all():
        # All weigh the same: then no order is needed, only the value at its place.
        place = max(math.ceil(share * len(values) - 1e-9) - 1, 0)
        return float(np.partition(values, place)[place])
    order = np.argsort(values)
    heap = np.cumsum(weight[order])
    return float(values[order[min(int(np.searchsorted(heap, share * heap[-1])), len(values) - 1)]])


def bell(x: Floats) -> Floats:
    """The normal distribution's sum to 0.01, as a logistic curve: cheap, and its tails forgive more.

    >>> bell(np.array([-3.0, 0.0, 1.0])).round(3)
    array([0.006, 0.5  , 0.846])
    """
    # In place: this is most of what a search does. What overflows is 0.
    odds = np.asarray(-1.702 * x)
    with np.errstate(over="ignore"):
        np.exp(odds, out=odds)
    odds += 1
    return np.asarray(np.reciprocal(odds, out=odds))
