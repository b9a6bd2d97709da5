"""How long several items take, from what the machine needs for one and from runs that were timed.

::

    took = once + items · (rate · machine + by hand)

`once` is what is done once for all of them (mounting, focus, the first slice), `by hand` what each item takes besides
the machine. None of the three is known before something was run: each has a belief, and every run that was timed weighs
them by Bayes' rule, on a grid that draws together where they leave something likely. Hands get quicker, or don't:
`by hand` is what the next run takes, and earlier ones took more of it, by one of three learning curves.

Derivation: docs/formulas/duration.md. Source: textbook Bayesian inference; the curves wright1936.
"""

from functools import lru_cache
from math import exp, hypot
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import BELOW_95

_SCATTER: Final = np.array([0.02, 0.05, 0.15])
_SCATTER_WEIGHT: Final = np.array([0.3, 0.5, 0.2])
"""How far runs of one kind lie apart (1 sigma, of their logarithm): estimates, no source."""

_CURVES: Final = -np.log2([1.0, 0.9, 0.8])
_CURVE_WEIGHT: Final = np.array([0.5, 0.25, 0.25])
"""How fast hands get quicker: at each doubling of the items done one takes as long, 90 or 80 % of it (wright1936, from
memory, not seen; how likely each is: an estimate)."""

FADES: Final = 0.5
"""Each run further back counts as if it scattered by so much more of its variance (estimate)."""

MOST_RUNS: Final = 12
"""Older ones teach nothing more."""

OTHER_ITEM: Final = 0.3
"""How far the times of another item lie from those of this shop's others (1 sigma, of their logarithm): an estimate."""

REACH: Final = 5.0
ROUNDS: Final = 3
_WIDE_STEPS, _CLOSE_STEPS = np.linspace(-1.0, 1.0, 25), np.linspace(-1.0, 1.0, 17)
"""Of the grid: all over what was guessed, and once runs draw it together, when fewer do."""


class Guess(NamedTuple):
    """A guess at a positive figure: its median, and the spread of its logarithm. Its tails are heavy (Student's t with
    four degrees of freedom), so that runs may prove it quite wrong."""

    median: float
    spread: float

    def log_weight(self, log_value: Floats) -> Floats:
        """The logarithm of its density there, up to a constant."""
        z = (log_value - np.log(self.median)) / self.spread
        return np.asarray(-2.5 * np.log1p(z * z / 4))


class TimedRuns(NamedTuple):
    """Runs that were timed, the latest first: how many items, how long they took [s], and what the machine needs for
    one by the plan [s]; (n,) each."""

    items: Floats
    took_s: Floats
    machine_s: Floats


class BatchTime(NamedTuple):
    """Time of so many items [s]: the middle, 5 and 95 % of it; and its middle parts: once for all, by the machine for
    each, by hand for each."""

    total_s: float
    low_s: float
    high_s: float
    once_s: float
    machine_s: float
    by_hand_s: float


def batch_time(items: int, machine_s: float, runs: TimedRuns, once: Guess, by_hand: Guess, rate: Guess) -> BatchTime:
    """How long `items` take where the machine needs `machine_s` for one, after what runs took.

    >>> none = TimedRuns(*(np.zeros(0),) * 3)
    >>> beliefs = Guess(240.0, 1.0), Guess(90.0, 0.8), Guess(1.0, 0.15)
    >>> before = batch_time(12, 60.0, none, *beliefs)
    >>> runs = TimedRuns(np.array([12.0, 12.0]), np.array([1500.0, 1500.0]), np.array([60.0, 60.0]))
    >>> after = batch_time(12, 60.0, runs, *beliefs)
    >>> round(after.total_s / 1500.0, 1), after.high_s / after.low_s < 0.5 * before.high_s / before.low_s
    (1.0, True)
    """
    beliefs, shares = (once, by_hand, rate), _shares_by_hand(runs.items[:MOST_RUNS], items)
    (start, hand, pace), weight = _likely(runs, beliefs, shares) if len(runs.items) else _before_runs(beliefs)
    place = weight.sum(axis=-1)
    whole = start + items * (pace * machine_s + hand)
    middle = float((place * np.log(whole)).sum())
    spread = float(np.sqrt((place * (np.log(whole) - middle) ** 2).sum() + weight.sum(axis=(0, 1, 2)) @ _SCATTER**2))
    total, mean = float(np.exp(middle)), float((place * whole).sum())
    # The means of the parts add up to the mean of the whole, which lies above its middle: they are told in proportion.
    parts = (float((place * part).sum()) * total / mean for part in (start, pace * machine_s, hand))
    reach = float(np.exp(BELOW_95 * spread))
    return BatchTime(total, total / reach, total * reach, *parts)


def guesses_from_runs(runs: TimedRuns, once: Guess, by_hand: Guess, rate: Guess) -> tuple[Guess, Guess]:
    """What runs of other items teach of `once` and `by_hand`, as guesses for a new one, which is handled otherwise.

    >>> runs = TimedRuns(np.array([1.0, 40.0, 12.0]), np.array([700.0, 2650.0, 1250.0]), np.full(3, 20.0))
    >>> once, hand = guesses_from_runs(runs, Guess(200.0, 1.2), Guess(80.0, 1.0), Guess(1.0, 0.15))
    >>> 500.0 < once.median < 800.0, 20.0 < hand.median < 45.0, hand.spread < 0.6
    (True, True, True)
    """
    (start, hand, _), weight = _likely(runs, (once, by_hand, rate), np.ones((1, len(runs.items))))
    place = weight.sum(axis=-1)

    def guess(values: Floats) -> Guess:
        middle = float((place * np.log(values)).sum())
        return Guess(exp(middle), hypot(float(np.sqrt((place * (np.log(values) - middle) ** 2).sum())), OTHER_ITEM))

    return guess(start), guess(hand)


def _shares_by_hand(items: Floats, coming: int) -> Floats:
    """How many times as long as in the next run, of `coming` items, each item took by hand in runs of so many `items`
    (n,), the latest first; by each learning curve (3, n), or by none where there were no runs (1, 0).

    The item after a others takes (1 + a) to the power of minus b as long: its mean over a run, as an integral.

    >>> _shares_by_hand(np.array([10.0, 10.0]), 10).round(2).tolist()
    [[1.0, 1.0], [1.08, 1.28], [1.17, 1.71]]
    """
    if not len(items):
        return np.ones((1, 0))
    rises = 1 - _CURVES[:, None]
    ends = np.cumsum(np.append(coming, items)[::-1])[::-1]
    counts = np.append(coming, items)
    means = ((1 + ends) ** rises - (1 + ends - counts) ** rises) / (rises * counts)
    return np.asarray(means[:, 1:] / means[:, :1])


@lru_cache(maxsize=8)
def _before_runs(beliefs: tuple[Guess, Guess, Guess]) -> tuple[tuple[Floats, ...], Floats]:
    """What is likely before anything was run: the same at every key."""
    return _likely(TimedRuns(*(np.zeros(0),) * 3), beliefs, np.ones((1, 0)))


def _likely(runs: TimedRuns, beliefs: tuple[Guess, Guess, Guess], shares: Floats) -> tuple[tuple[Floats, ...], Floats]:
    """Once, by hand and rate, the axes of a grid (n, n, n) where the runs leave something likely, and how much each
    weighs with each scatter (n, n, n, 3).

    `shares` are those of what is done by hand in each run, by each learning curve.
    """
    middles, halves = [np.log(one.median) for one in beliefs], [REACH * one.spread for one in beliefs]
    steps = _CLOSE_STEPS if len(runs.items) else _WIDE_STEPS
    for _ in range(ROUNDS):
        axes = [middle + half * steps for middle, half in zip(middles, halves, strict=True)]
        start, hand, pace = np.meshgrid(*np.exp(axes), indexing="ij", sparse=True)
        prior = [one.log_weight(axis) for one, axis in zip(beliefs, axes, strict=True)]
        before = np.log(_SCATTER_WEIGHT) + (prior[0][:, None, None] + prior[1][:, None] + prior[2])[..., None]
        curves = []
        for curve, own in zip(shares, np.log(_CURVE_WEIGHT), strict=False):
            off, logs = np.zeros(before.shape[:3]), 0.0
            for back, (count, took_s, each) in enumerate(zip(*(column[:MOST_RUNS] for column in runs), strict=True)):
                widens = 1 + FADES * back
                whole = start + count * (pace * each + curve[back] * hand)
                off += np.log(took_s / whole) ** 2 / widens
                logs = logs + np.log(_SCATTER) + np.log(widens) / 2
            curves.append(before + own - off[..., None] / (2 * _SCATTER**2) - logs)
        weight = np.exp(np.array(curves) - np.max(curves)).sum(axis=0)
        weight /= weight.sum()
        place = weight.sum(axis=-1)
        # The next grid lies where the runs leave something likely.
        for at, axis in enumerate(axes):
            along = place.sum(axis=tuple({0, 1, 2} - {at}))
            middles[at] = float(along @ axis)
            halves[at] = min(halves[at], 3.5 * float(np.sqrt(along @ (axis - middles[at]) ** 2)) + 1e-3)
    return (start, hand, pace), weight
