"""Pauses between passes: the shortest that keeps the wall from costing a plan its chance."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.arrays import Floats
from rotary.passes.beliefs.draws import Draws, Material
from rotary.passes.plan import heat
from rotary.passes.plan.setting import ROOM_C
from rotary.program import UNASKED, Program
from rotary.wishes import FREE, Wishes

PAUSES_S: Final = (0.0, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0)


def hot_limit_c(draws: Draws) -> Floats:
    """Wall temperature at which the metal tints or the coating beside the mark suffers, (n,)."""
    return np.minimum(draws.tints_at_c, draws.scorches_at_c)


def pauses_of(wishes: Wishes = FREE, program: Program = UNASKED) -> tuple[float, ...]:
    """Pauses between passes worth trying, the shortest first: the one held, or all that the program takes.

    >>> pauses_of(program=Program(can_pause=False)), pauses_of(program=Program(least_pause_s=9))
    ((0.0,), (0.0, 9.0, 12.0, 20.0, 30.0))
    """
    if wishes.pause_s is not None:
        return (wishes.pause_s,)
    if program.can_pause is False:
        return PAUSES_S[:1]
    return (*PAUSES_S[:1], *dict.fromkeys(max(pause, program.least_pause_s) for pause in PAUSES_S[1:]))


class Course(NamedTuple):
    """The passes that one place gets: the dose of each (k,), and for the draws (n,) the pass after which each is bare.

    `works` (n,) is which draws come out right, or how sure each is.
    """

    doses: Floats
    bare_after: Floats
    works: Floats | NDArray[np.bool_]


def shortest_pause(
    beat: heat.Round, mark_s: float, material: Material, course: Course, pauses_s: Sequence[float] = PAUSES_S
) -> tuple[float, NDArray[np.bool_], Floats]:
    """The shortest pause that costs at most one in a hundred of the draws that work; which draws then stay
    cool; the wall's rises (passes, n).

    Where no pause does, the shortest that costs hardly more than the longest. A longer pause never heats
    more, so the pauses are halved and not tried in turn.
    """
    metal, draws, (doses, bare_after, works) = material.metal, material.draws, course
    limit = hot_limit_c(draws) - ROOM_C
    paced = beat.with_pause(mark_s, 0.0)
    laid = heat.laid_k(paced, metal, draws, doses, bare_after)

    # Most plans need no pause: the others are looked at together, and only where it isn't enough.
    weights = [*heat.heat_weights(paced, metal, len(doses), np.array(pauses_s[:1]))]

    def tried(at: int) -> tuple[float, float, NDArray[np.bool_], Floats]:
        if at >= len(weights):
            weights.extend(heat.heat_weights(paced, metal, len(doses), np.array(pauses_s[1:])))
        # So small a product is done sooner in one go than shared out over a busy processor's cores.
        rises = np.einsum("kj,jn->kn", weights[at], laid)
        cool = rises.max(axis=0) < limit
        return float(draws.weight @ (works * cool)), pauses_s[at], cool, rises

    best = tried(0)
    enough = float(draws.weight @ works) - 0.01
    if best[0] < enough and len(pauses_s) > 1:
        longest = tried(len(pauses_s) - 1)
        enough = min(enough, longest[0] - 0.01)
        short, long, found = 0, len(pauses_s) - 1, longest
        while best[0] < enough and long - short > 1:
            middle = tried((short + long) // 2)
            if middle[0] >= enough:
                long, found = (short + long) // 2, middle
            else:
                short = (short + long) // 2
        best = best if best[0] >= enough else found
    return best[1], best[2], best[3]
