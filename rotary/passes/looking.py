"""Looks: after which passes a person looks, how far one may go on, and what the draws say of stopping at the first
clear look.

A plan is a number of passes by which it should be clear. A person starts to look at the first pass that
may clear, has a few looks on the way, and from the planned number on looks after each pass. So the
planned number need not be right: what counts is that there is a number at which the coating is gone
everywhere and the metal unmarked, and that the looks stop there.

The draws are not the world. What a draw says of the metal, and of what throws the coating off, is therefore not a
step but a slope in the logarithm of the fluence, `SLACK` wide: a setting with a wide margin is worth more than one
that just does. What it says of the passes is one too where no further look corrects it: blind, or at the last look.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.passes.belief import bell, quantile
from rotary.passes.beliefs import Draws
from rotary.passes.window import Passes

Floats = NDArray[np.float64]

MOST_LOOKED: Final = 24
"""However little marks the metal, a person does not go on beyond so many passes."""
SLACK: Final = 0.15
"""What the model may be wrong by in the logarithm of a fluence (that the metal stands, that throws the coating off):
estimate, from the bench."""
SLACK_PASSES: Final = 0.25
"""What it may be wrong by in the logarithm of the passes that clear: estimate, from the bench."""
_ON_THE_WAY: Final = 3
# Passes beyond those that the draws ask for: as many as cost the metal so little, but not for ever.
_RISK: Final = 0.03
_SPARE_PASSES: Final = 3
# Draws that are enough to see where looks lie.
_ENOUGH: Final = 300


def unmarked(seen: Passes, draws: Draws, after: Floats | float) -> Floats:
    """How sure each draw is that the metal is unmarked after so many passes, (m, n) or (n,)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        pulses = np.log(np.maximum(after - seen.bare_after, 0.0)) + seen.log_hits
        margin = seen.spare - (1 - draws.incubation) * np.maximum(pulses, 0.0)
    never = np.asarray(after) <= seen.bare_after
    return np.asarray(np.where(never, 1.0, bell(margin / SLACK)))


def cleared(seen: Passes, passes: Floats | float) -> Floats:
    """How sure each draw is that so many passes leave nothing behind, (m, n) or (n,).

    What the first pass doesn't throw off whole, more of the same won't.
    """
    with np.errstate(divide="ignore"):
        passed = np.log((passes + 0.5) / seen.needed) / SLACK_PASSES
    return bell(np.where(np.isinf(seen.thrown), passed, seen.thrown / SLACK))


def blind(seen: Passes, draws: Draws, passes: Floats | float) -> Floats:
    """How sure each draw is that so many passes, run without a look, leave the metal clear and unmarked; no heat."""
    return np.asarray(cleared(seen, passes) * unmarked(seen, draws, passes))


def stopping(seen: Passes, draws: Draws, points: tuple[int, ...]) -> tuple[Floats, Floats]:
    """How sure each draw is that stopping at the first clear look is right, and the pass at which that is.

    `points` are the passes after which one looks, rising. (m, n) or (n,) each; the pass is the last
    look where none is clear.
    """
    at, first = np.asarray(points, float), np.where(np.isinf(seen.thrown), np.ceil(seen.needed - 1e-9), 1.0)
    if points[-1] == len(points):
        # A look after every pass: its place is its number.
        place = np.clip(first - 1, 0, len(points)).astype(np.intp)
    else:
        place = np.searchsorted(at, first)
    stop = at[np.minimum(place, len(at) - 1)]
    return np.asarray(unmarked(seen, draws, stop) * cleared(seen, points[-1])), stop


def each_pass(most: int) -> tuple[int, ...]:
    """A look after every pass: what a search reckons with.

    >>> each_pass(3)
    (1, 2, 3)
    """
    return tuple(range(1, most + 1))


def points_of(first: int, planned: int, most: int) -> tuple[int, ...]:
    """A look at the first pass that may clear, a few on the way to the planned number, then after each.

    >>> points_of(4, 12, 15), points_of(1, 2, 2)
    ((4, 7, 10, 12, 13, 14, 15), (1, 2))
    """
    step = max(-(-(planned - first) // _ON_THE_WAY), 1)
    return tuple(sorted({*range(min(first, planned), planned, step), *range(planned, most + 1)}))


def schedule(seen: Passes, draws: Draws, planned: int, most: int) -> tuple[int, ...]:
    """The looks of one setting, (n,) draws: from the pass that clears in one of twenty to the last that is worth it."""
    seen, draws = seen.first(_ENOUGH), draws.first(_ENOUGH)
    weight = draws.weight
    able = np.where(seen.needed <= most, np.ceil(np.minimum(seen.needed, most)), most)
    first = max(int(quantile(able, weight, 0.05)), 1)
    good, stop = stopping(seen, draws, each_pass(most))
    counts = range(planned, max(most, planned) + 1)
    each = np.array(counts, float)[:, None]
    heap = (good * (stop <= each)) @ weight
    last = planned + int(np.argmax(heap >= heap[-1] - 0.005))
    # Where the draws are wrong about the passes, more of them cost only what is marked where it was still covered.
    stands = unmarked(seen, draws, each)
    covered = 1 - cleared(seen, each[:-1])
    harm = np.concatenate(([0.0], np.cumsum((covered * (stands[:-1] - stands[1:])) @ weight)))
    harmless = planned + int(np.flatnonzero(harm <= _RISK)[-1])
    last = max(last, min(harmless, 2 * planned + _SPARE_PASSES))
    return points_of(min(first, planned), planned, last)
