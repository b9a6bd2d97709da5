"""Looks: how far one may go on, and what the draws say of stopping at the first clear look.

The first slice is marked alone, pass by pass, with a look after each; what it took is what all others get. So the
number of passes need not be known: what counts is that there is a number at which the coating is gone everywhere and
the metal unmarked, and that the looks stop there.

The draws are not the world. What a draw says of the metal, and of what throws the coating off, is therefore not a
step but a slope in the logarithm of the fluence, `SLACK` wide: a setting with a wide margin is worth more than one
that just does. What it says of the passes is one too where no further look corrects it: blind, or at the last look.
"""

from typing import Final

import numpy as np

from rotary.formulas.ablation import log_threshold_after_pulses
from rotary.formulas.arrays import Floats
from rotary.passes.beliefs.belief import bell
from rotary.passes.beliefs.draws import Draws
from rotary.passes.plan.window import Passes

MOST_LOOKED: Final = 28
"""However little marks the metal, a person does not go on beyond so many passes."""
SLACK: Final = 0.15
"""What the model may be wrong by in the logarithm of a fluence (that the metal stands, that throws the coating off):
estimate, from the bench."""
SLACK_PASSES: Final = 0.25
"""What it may be wrong by in the logarithm of the passes that clear: estimate, from the bench."""


def unmarked_share(seen: Passes, draws: Draws, after: Floats | float) -> Floats:
    """How sure each draw is that the metal is unmarked after so many passes, (m, n) or (n,)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        pulses = np.log(np.maximum(after - seen.bare_after, 0.0)) + seen.log_hits
        margin = log_threshold_after_pulses(seen.spare, pulses, draws.incubation.astype(seen.spare.dtype))
    never = np.asarray(after) <= seen.bare_after
    return np.asarray(np.where(never, 1.0, bell(margin / SLACK)))


def cleared_share(seen: Passes, passes: Floats | float) -> Floats:
    """How sure each draw is that so many passes leave nothing behind, (m, n) or (n,).

    What the first pass doesn't throw off whole, more of the same won't.
    """
    with np.errstate(divide="ignore"):
        passed = np.log((passes + 0.5) / seen.needed) / SLACK_PASSES
    return bell(np.where(np.isinf(seen.thrown), passed, seen.thrown / SLACK))


def stop_shares(seen: Passes, draws: Draws, most: int) -> tuple[Floats, Floats]:
    """How sure each draw is that stopping at the first clear look is right, and the pass at which that is.

    One looks after every pass, up to `most`. (m, n) or (n,) each; the pass is the last one where no look is clear.
    """
    first = np.where(np.isinf(seen.thrown), np.ceil(seen.needed - 1e-9), 1.0)
    stop = np.clip(first, 1.0, float(most))
    return np.asarray(unmarked_share(seen, draws, stop) * cleared_share(seen, most)), stop


def each_pass(most: int) -> tuple[int, ...]:
    """A look after every pass.

    >>> each_pass(3)
    (1, 2, 3)
    """
    return tuple(range(1, most + 1))
