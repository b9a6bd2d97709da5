"""An ideal observer of test patches: one who knows how the bench makes its truths.

The observer thinks of truths drawn as the bench draws them (models, worlds, the focus of each set-up, how often a look
is wrong) and weighs them by readings, with the bench's own passes. Where few carry the weight, they are drawn again in
proportion to it and walk a few steps that leave the weighed beliefs as they are.
"""

import copy
from collections.abc import Iterator, Sequence
from statistics import NormalDist
from typing import Any, Final, NamedTuple

import marking
import numpy as np
import truth as made_up
from learning import FOCUS_SD_MM, KINDS, MOST_PASSES, STAGES
from marking import OUTCOMES, STATE, Floats
from numpy.typing import NDArray

from rotary.laser import LaserAndLens, optics
from rotary.passes.plan.setting import Setting

PRIOR, KEPT, NUMBERS = 4000, 100, 24
SWEEPS, WAYS, WIDER = 2, (0.12, 0.35), 0.1
THICKNESSES: Final = (-1 / 3, 0.0, 1 / 3)
NORMAL: Final = NormalDist()
Ints = NDArray[np.intp]


class Dealt:
    """Stands in for a generator of random numbers: deals out places of the normal distribution."""

    def __init__(self, places: Floats) -> None:
        """As many as there are."""
        self.left: Iterator[float] = iter(places.tolist())

    def standard_normal(self) -> float:
        return next(self.left)

    def normal(self, middle: float, sd: float) -> float:
        return middle + sd * next(self.left)

    def random(self) -> float:
        return NORMAL.cdf(next(self.left))

    def uniform(self, low: float, high: float) -> float:
        return low + (high - low) * self.random()


class Read(NamedTuple):
    """A patch's settings, and what was read of them: cell, passes and outcome of each look, by number."""

    settings: list[Setting]
    looks: Ints


class Guess:
    """A truth that the observer thinks of, and the focus of each set-up; its places say all of it."""

    def __init__(self, laser: LaserAndLens, light: bool, model: int, places: Floats) -> None:
        """As the bench would make it."""
        self.of, self.places, self.beam, dealt = (laser, light, model), places, optics(laser), Dealt(places)
        self.kind: Any = KINDS[model]
        one, world = self.kind.truth(dealt, light), made_up.WORLDS[int(dealt.random() * len(made_up.WORLDS))]
        self.one, self.wrong = self.kind.in_world(one, world, light), 0.10 if world == "wrong looks" else 0.05
        self.off_mm = [dealt.normal(0, FOCUS_SD_MM) for _ in STAGES]
        self.seen: list[NDArray[np.int8]] = []

    def moved(self, others: Sequence["Guess"], mixer: np.random.Generator) -> "Guess":
        """Another one, away by a part of the way between two others of its model: as wide as the beliefs are."""
        some = [other for other in others if other.of == self.of]
        one, other = (some[at].places for at in mixer.integers(len(some), size=2))
        part = WAYS[int(mixer.integers(len(WAYS)))]
        return Guess(*self.of, self.places + part * (one - other) + 0.03 * mixer.standard_normal(NUMBERS))

    def widened(self, mixer: np.random.Generator) -> "Guess":
        """A little away: few guesses stand for many."""
        return Guess(*self.of, self.places + WIDER * mixer.standard_normal(NUMBERS))

    def log(self, patches: Sequence[Read], at: int) -> float:
        """How likely it is that the cells of a patch looked as they were read, each as thick as any."""
        while len(self.seen) <= at:
            self.seen.append(self._cells(patches[len(self.seen)].settings, self.off_mm[len(self.seen)]))
        cell, passes, outcome = patches[at].looks
        right = self.seen[at][cell, passes - 1] == outcome[:, None]
        logs = np.zeros((len(patches[at].settings), len(THICKNESSES)))
        np.add.at(logs, cell, np.log(np.where(right, 1 - self.wrong, self.wrong / 4)))
        return float(np.log(np.exp(logs).mean(axis=1)).sum())

    def _cells(self, settings: Sequence[Setting], off_mm: float) -> NDArray[np.int8]:
        """What is to be seen after each pass, (cells, passes, thicknesses)."""
        sites = [marking.Site(self.one.thick_um + self.one.uneven_um * share, off_mm) for share in THICKNESSES]
        effects = marking.Effects(self.kind, self.one, self.beam, sites)
        rows, seen = effects.of(settings), []
        marked = marking.Marked(effects, (5.0, 5.0), np.random.default_rng(7), len(rows))
        for _ in range(max(setting.passes for setting in settings)):
            marked.mark_rows(rows)
            seen.append(marked.outcomes_at_sites)
        return np.stack(seen, axis=1).astype(np.int8)

    def plays(self, settings: Sequence[Setting], ladders: Ints) -> tuple[Ints, Ints]:
        """What comes of a slice by each ladder, and after how many passes; looked at and finished as the bench does."""
        effects = marking.Effects(self.kind, self.one, self.beam, marking.sites_of(self.one, self.off_mm[-1]))
        used, ladders = np.unique(ladders, return_inverse=True)
        rows, going = effects.of([settings[at] for at in used])[ladders], np.arange(len(ladders))
        mixer = np.random.default_rng(11)
        marked = marking.Marked(effects, marking.SLICE_MM, mixer, len(going))
        came, ends = np.zeros(len(going), np.intp), np.full(len(going), MOST_PASSES)

        def read(seen: Ints) -> Ints:
            wrong = mixer.random(len(seen)) < self.wrong
            return np.where(wrong, (seen + mixer.integers(1, len(OUTCOMES), len(seen))) % len(OUTCOMES), seen)

        def looked(seen: Ints) -> Ints:
            first = read(seen)
            return np.where(first >= 3, read(seen), first)

        for number in range(MOST_PASSES):
            marked.mark_rows(rows[going, number])
            seen = looked(marked.outcomes)
            if (done := (seen == 1) | (seen == 2)).any():
                finished = copy.copy(marked)
                finished.keep(done)
                finished.mark_rows(rows[going[done], -1])
                for name in STATE:
                    getattr(marked, name)[done] = getattr(finished, name)
                seen[done] = looked(finished.outcomes)
            came[going], stopped = marked.outcomes, seen >= 2
            ends[going[stopped]] = number + 1
            going = going[~stopped]
            marked.keep(~stopped)
            if not len(going):
                break
        return came, ends


def equal(logs: Floats) -> float:
    """As how many equal weights some count."""
    weight = np.exp(logs - logs.max())
    return float(weight.sum() ** 2 / (weight @ weight))


def weighed(guesses: list[Guess], patches: list[Read], mixer: np.random.Generator) -> tuple[list[Guess], float]:
    """Guesses after the last of some patches, let in by degrees, and as how many equal ones its weights count."""
    size, done = 0.0, 0.0

    def log(one: Guess) -> float:
        earlier, last = [one.log(patches, at) for at in range(len(patches) - 1)], one.log(patches, len(patches) - 1)
        return sum(earlier) + done * last - float(one.places @ one.places) / 2

    while done < 1:
        logs, part = np.array([one.log(patches, len(patches) - 1) for one in guesses]), 1 - done
        while equal(part * logs) < KEPT / 3:
            part *= 0.8
        size, done, weight = size or equal(logs), done + part, np.cumsum(np.exp(part * (logs - logs.max())))
        at = np.searchsorted(weight, (np.arange(KEPT) + mixer.random()) / KEPT * weight[-1])
        guesses = [copy.copy(guesses[place]) for place in at]
        for one in guesses:
            one.seen = list(one.seen)
        for place in np.tile(np.arange(KEPT), SWEEPS):
            tried = guesses[place].moved(guesses, mixer)
            if np.log(mixer.random()) < log(tried) - log(guesses[place]):
                guesses[place] = tried
    return [guesses[place] for place in mixer.permutation(KEPT)], size
