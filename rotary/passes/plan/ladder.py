"""The ladder: powers that rise while coating is left, a look after every pass, and an end at which one stops.

"Coating left" is the only look after which one goes on, and it teaches nothing but that it is still coated: so the whole
ladder is chosen beforehand, and each sample has one story. It comes clean somewhere, or coating is left at the end, or
the metal gives way. The three chances add up to 1.

The draws are not the world. What a draw says of the metal, and of what throws the coating off, is therefore a slope in
the logarithm of the fluence, and what it says of the passes one in the logarithm of the passes: a ladder with wide
margins is worth more than one that just does.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import log_threshold_after_pulses
from rotary.passes.beliefs.belief import bell
from rotary.passes.beliefs.draws import Draws
from rotary.passes.plan.looking import MOST_LOOKED, SLACK, SLACK_PASSES
from rotary.passes.plan.window import Passes

Floats = NDArray[np.float64]
Levels = NDArray[np.intp]

WRONG_LOOKS: Final = 0.05
"""How often a look is wrong: a clean place taken for a coated one gets one more pass."""

STEP: Final = 1.15**0.5
"""Powers that ladders are made of, each so many times the one before."""
# Starts of a ladder in such steps under the setting: 1 down to half; passes on a rung, each rung two steps up.
_STARTS: Final = (0, -2, -4, -7, -10)
_RUNGS: Final = (1, 2, 4)
LOWEST, HIGHEST = -10, 10
"""The powers that are looked at, in such steps from the setting's own."""
# What a pass costs a person, as a chance: of ladders that do as well the shorter.
_PASS_COST: Final = 5e-4


def ladders(flat: bool = False) -> Levels:
    """The level of each pass in every ladder worth trying, (passes, ladders); `flat` where one power is held."""
    number = np.arange(MOST_LOOKED)
    if flat:
        return np.zeros((MOST_LOOKED, 1), np.intp)
    rows = [start + 2 * (number // many) for many in _RUNGS for start in _STARTS]
    return np.minimum(np.stack(rows, axis=1), HIGHEST)


@dataclass(frozen=True, slots=True)
class Story:
    """What becomes of each sample, (passes, ..., n): cleared by then, unmarked by then; `bare_at` (..., n) is the pass
    after which its first place is bare, infinite where none is."""

    clear: Floats
    stands: Floats
    bare_at: Floats

    def expected_passes(self, weight: Floats) -> float:
        """How many passes a ladder is expected to take: one more for each look at what is still coated."""
        return 1 + float((((1 - self.clear) * self.stands) @ weight)[:-1].sum())

    def chances(self, weight: Floats, cool: NDArray[np.bool_] | None = None) -> tuple[Floats, Floats]:
        """Chance of clean and of still coated for a ladder that ends after each pass, (passes, ...) each.

        `cool` (passes, n) is where the wall has stayed cool so far; hot metal counts as marked.
        """
        stands = self.stands if cool is None else self.stands * cool
        # A clean place that is taken for a coated one gets one more pass.
        sure = stands.copy()
        sure[:-1] += WRONG_LOOKS * (stands[1:] - stands[:-1])
        first = self.clear.copy()
        first[1:] -= self.clear[:-1]
        return np.cumsum((first * sure) @ weight, axis=0), ((1 - self.clear) * stands) @ weight


def story(seen: Passes, draws: Draws, levels: Levels) -> Story:
    """The story of ladders (passes, ...) over what `passes` gives for each level, (levels, n)."""
    number = np.arange(1, len(levels) + 1).reshape(-1, *(1,) * levels.ndim)
    lifted, incubation = np.isfinite(seen.thrown[0]), draws.incubation.astype(seen.spare.dtype)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Ablation: a pass takes its share of the thickest place, and of the thinnest; shares add up over rungs.
        gone = np.cumsum((1 / seen.needed)[levels], axis=0)
        clear = bell(np.log(gone * (1 + 0.5 / number).astype(gone.dtype)) / SLACK_PASSES)
        bare_after = seen.bare_after[levels]
        thin = np.cumsum((1 / seen.bare_after)[levels], axis=0)
        part = np.nan_to_num(np.clip((thin - 1) * bare_after, 0.0, 1.0))
        if lifted.any():
            # Thrown off whole: the strongest pass so far counts, more of the same won't.
            thrown = bell(np.where(lifted, seen.thrown, 0.0) / SLACK)[levels]
            clear = np.where(lifted, np.maximum.accumulate(thrown, axis=0), clear)
            part = np.where(lifted, bare_after <= 0, part)
        on = np.cumsum(part, axis=0)
        margin = log_threshold_after_pulses(seen.spare[levels], np.log(on) + seen.log_hits[levels], incubation)
        stands = np.minimum.accumulate(np.where(on > 0, bell(margin / SLACK), 1.0), axis=0)
    # Passes before the first that bares a place, and the part of that one that does.
    coated = (on <= 0).sum(axis=0)
    opened = np.take_along_axis(on, np.minimum(coated, len(levels) - 1)[None], axis=0)[0]
    return Story(clear, stands, np.where(coated == len(levels), np.inf, coated + 1 - np.minimum(opened, 1.0)))


@dataclass(frozen=True, slots=True)
class Climb:
    """A ladder with its end: the level of each pass, its chances, its worth, and how many passes are expected."""

    levels: Levels
    clean: float
    coated: float
    worth: float
    passes: float

    @property
    def marked(self) -> float:
        """The chance that the metal is marked."""
        return 1 - self.clean - self.coated


def climbs(seen: Passes, draws: Draws, price: float, tried: Levels, ends: int | None = None) -> list[Climb]:
    """Each ladder (passes, ladders) with the end at which it is worth most; `seen` has the levels from LOWEST on.

    A ladder is worth clean less `price` times marked. `ends` holds the number of passes.
    """
    heap = story(seen, draws, tried - LOWEST)
    clean, coated = heap.chances(draws.weight.astype(heap.clear.dtype))
    worth = clean - price * (1 - clean - coated) - _PASS_COST * np.arange(1, len(tried) + 1)[:, None]
    ends_at = worth.argmax(axis=0) if ends is None else np.full(tried.shape[1], min(ends, len(tried)) - 1)
    return [
        Climb(
            levels=tried[: end + 1, at],
            clean=float(clean[end, at]),
            coated=float(coated[end, at]),
            worth=float(worth[end, at]),
            passes=1 + float(coated[:end, at].sum()),
        )
        for at, end in enumerate(ends_at)
    ]
