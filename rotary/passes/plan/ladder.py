"""The ladder: powers that rise while coating is left, a look after every pass, and an end at which one stops.

"Coating left" is the only look after which one goes on, and it teaches nothing but that it is still coated: so the
whole ladder is chosen beforehand, and each sample has one story. It comes clean somewhere, or coating is left at the
end, or the metal gives way. The three chances add up to 1.

The draws are not the world. What a draw says of the metal, and of what throws the coating off, is therefore a slope in
the logarithm of the fluence, and what it says of the passes one in the logarithm of the passes: a ladder with wide
margins is worth more than one that just does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.ablation import log_threshold_after_pulses
from rotary.formulas.arrays import Floats
from rotary.passes.beliefs.belief import bell
from rotary.passes.beliefs.draws import Draws
from rotary.passes.plan.looks import MOST_LOOKED, SLACK, SLACK_PASSES
from rotary.passes.plan.window import Passes

Levels = NDArray[np.intp]

WRONG_LOOKS: Final = 0.05
"""How often a look is wrong: a clean place taken for a coated one gets one more pass."""

STEP: Final = 1.15**0.5
"""Powers that ladders are made of, each so many times the one before."""
# Starts of a ladder in such steps under the setting: 1 down to half; passes on a rung, each rung two steps up.
_STARTS: Final = (0, -3, -6, -8, -10)
_RUNGS: Final = (1, 2, 4)
LOWEST, HIGHEST = -10, 10
"""The powers that are looked at, in such steps from the setting's own."""
ENOUGH: Final = 1 / 4
"""A ladder that keeps the wall cool is worth at least this share of the best."""
# What a pass costs a person, as a chance: of ladders that do as well the shorter.
_PASS_COST: Final = 1.5e-3


@lru_cache(maxsize=64)
def ladders(low: int = LOWEST, high: int = HIGHEST, most: int = MOST_LOOKED) -> Levels:
    """The level of each pass in every ladder worth trying, (passes, ladders), that starts no lower and rises no higher;
    one power is held where both are 0."""
    number = np.arange(most)
    if low == high == 0:
        return np.zeros((most, 1), np.intp)
    rows = [start + 2 * (number // many) for many in _RUNGS for start in _STARTS if min(start, high) >= low]
    if not rows:
        return np.zeros((most, 0), np.intp)
    tried = np.minimum(np.stack(rows, axis=1), high)
    # Cut at the highest level, some are the same.
    return tried[:, np.sort(np.unique(tried, axis=1, return_index=True)[1])]


class LadderStory(NamedTuple):
    """What becomes of each sample, (passes, ..., n): cleared by then, and unmarked by then."""

    clear: Floats
    stands: Floats

    def chances(self, weight: Floats, cool: NDArray[np.bool_] | None = None) -> tuple[Floats, Floats]:
        """Chance of clean and of still coated for a ladder that ends after each pass, (passes, ...) each.

        `cool` (passes, n) is where the wall has stayed cool so far; hot metal counts as marked.
        """
        stands = self.stands if cool is None else self.stands * cool
        cleared = self.clear * weight
        here = np.vecdot(cleared, stands)
        # What was clear a pass before, and unmarked now or a pass later.
        before, later = np.zeros_like(here), np.zeros_like(here)
        before[1:] = np.vecdot(cleared[:-1], stands[1:])
        later[1:-1] = np.vecdot(cleared[:-2], stands[2:])
        # A clean place that is taken for a coated one gets one more pass.
        once_more = here - before
        once_more[:-1] = before[1:] - later[:-1]
        clean = (1 - WRONG_LOOKS) * (here - before) + WRONG_LOOKS * once_more
        return np.cumsum(clean, axis=0), stands @ weight - here


class Fates(NamedTuple):
    """What becomes of each sample; `bare_at` (..., n) is the pass after which its first place is bare, infinite where
    none is."""

    story: LadderStory
    bare_at: Floats

    @property
    def stop(self) -> Floats:
        """The pass after which each sample's slices are clean, (n,): the count that all others get.

        Where a ladder ends first only one slice is marked, with a look after each pass: as hot as the middle of the
        others at most.
        """
        cleared = self.story.clear >= 0.5
        ever, first = cleared.any(axis=0), cleared.argmax(axis=0) + 1.0
        return np.where(ever, first, np.median(first[ever]) if ever.any() else len(cleared))

    def expected_passes(self, weight: Floats) -> float:
        """How many passes a ladder is expected to take: one more for each look at what is still coated."""
        return 1 + float(self.story.chances(weight)[1][:-1].sum())


def fates(seen: Passes, draws: Draws, levels: Levels) -> Fates:
    """The story of ladders (passes, ...) over what `passes` gives for each level, (levels, n)."""
    incubation = draws.incubation.astype(seen.spare.dtype)
    shape = (*levels.shape, len(incubation))
    clear, stands, on = (np.empty(shape, seen.spare.dtype) for _ in range(3))
    for way, here in _ways(seen):
        (clear[..., here], stands[..., here]), on[..., here] = way(seen.of_draws(here), incubation[here], levels)
    # Passes before the first that bares a place, and the part of that one that does.
    coated = (on <= 0).sum(axis=0)
    opened = np.take_along_axis(on, np.minimum(coated, len(levels) - 1)[None], axis=0)[0]
    bare_at = np.where(coated == len(levels), np.inf, coated + 1 - np.minimum(opened, 1.0))
    return Fates(LadderStory(clear, stands), bare_at)


Way = Callable[[Passes, Floats, Levels], tuple[LadderStory, Floats]]


def _ways(seen: Passes) -> list[tuple[Way, NDArray[np.bool_]]]:
    """In which ways the coating goes, and in which draws (n,) each; a way gives the story and the passes on metal."""
    lifted = np.isfinite(seen.thrown[0])
    return [(way, here) for way, here in ((_ablated, ~lifted), (_thrown, lifted)) if here.any()]


def _ablated(seen: Passes, incubation: Floats, levels: Levels) -> tuple[LadderStory, Floats]:
    """Ablation: a pass takes its share of the thickest place, and of the thinnest; shares add up over the rungs."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        gone = _running(np.add, (1 / seen.needed)[levels])
        grace = 1 + 0.5 / np.arange(1, len(levels) + 1)
        gone *= grace.reshape(-1, *(1,) * levels.ndim).astype(gone.dtype)
        np.log(gone, out=gone)
        gone /= SLACK_PASSES
        clear = bell(gone)
        bare_after = seen.bare_after[levels]
        part = _running(np.add, (1 / seen.bare_after)[levels])
        part -= 1
        part *= bare_after
    np.fmin(np.fmax(part, 0.0, out=part), 1.0, out=part)
    return _told(seen, incubation, levels, clear, part)


def _thrown(seen: Passes, incubation: Floats, levels: Levels) -> tuple[LadderStory, Floats]:
    """Thrown off whole: the last pass counts, which is the strongest; more of the same won't."""
    clear = bell(seen.thrown / SLACK)[levels]
    return _told(seen, incubation, levels, clear, (seen.bare_after <= 0).astype(seen.spare.dtype)[levels])


def _told(seen: Passes, incubation: Floats, levels: Levels, clear: Floats, part: Floats) -> tuple[LadderStory, Floats]:
    """The story, with how the metal stands; `part` is the part of each pass that meets bare metal."""
    on = _running(np.add, part)
    with np.errstate(divide="ignore"):
        pulses = np.log(on)
    # In place: this is most of what a search does.
    pulses += seen.log_hits[levels]
    margin = log_threshold_after_pulses(seen.spare[levels], pulses, incubation, out=pulses)
    margin /= SLACK
    stands = bell(margin)
    np.copyto(stands, 1.0, where=on <= 0)
    return LadderStory(clear, _running(np.minimum, stands)), on


def _running(add: np.ufunc, values: Floats) -> Floats:
    """Values heaped up from pass to pass, in place: row by row that is quicker than numpy's own."""
    for before, here in pairwise(values):
        add(before, here, out=here)
    return values


@dataclass(frozen=True, slots=True)
class Climb:
    """A ladder with its end: the level of each pass, and its chances and worth if it ended there, (passes,)."""

    path: Levels
    cleaned: Floats
    left: Floats
    worths: Floats
    end: int

    @property
    def levels(self) -> Levels:
        """The level of each pass, up to the end."""
        return self.path[: self.end]

    @property
    def clean(self) -> float:
        """The chance of clean."""
        return float(self.cleaned[self.end - 1])

    @property
    def marked(self) -> float:
        """The chance that the metal is marked."""
        return 1 - self.clean - float(self.left[self.end - 1])

    @property
    def worth(self) -> float:
        """Clean, less the price of what is marked."""
        return float(self.worths[self.end - 1])

    @property
    def least(self) -> int:
        """The passes after which a ladder is worth a quarter of what it is at its end."""
        return int(np.argmax(self.worths[: self.end] >= ENOUGH * self.worth)) + 1

    @property
    def passes(self) -> float:
        """How many passes are expected: one more for each look at what is still coated."""
        return 1 + float(self.left[: self.end - 1].sum())


def climbs(seen: Passes, draws: Draws, price: float, tried: Levels, ends: int | None = None) -> list[Climb]:
    """Each ladder (passes, ladders) with the end at which it is worth most; `seen` has the levels from LOWEST on.

    A ladder is worth clean less `price` times marked. `ends` holds the number of passes.
    """
    clean, coated = np.zeros(tried.shape), np.zeros(tried.shape)
    for way, here in _ways(seen):
        some, incubation = seen.of_draws(here), draws.incubation[here].astype(seen.spare.dtype)
        weight = draws.weight[here].astype(seen.spare.dtype)
        one, other = way(some, incubation, tried - LOWEST)[0].chances(weight)
        clean += one
        coated += other
    return [climb_of(*each, price, ends) for each in zip(tried.T, clean.T, coated.T, strict=True)]


def climb_of(path: Levels, clean: Floats, coated: Floats, price: float, ends: int | None = None) -> Climb:
    """A ladder with the end at which it is worth most, or after so many passes; all (passes,)."""
    worth = clean - price * (1 - clean - coated) - _PASS_COST * np.arange(1, len(path) + 1)
    end = int(worth.argmax()) + 1 if ends is None else min(ends, len(path))
    return Climb(path, clean, coated, worth, end)
