"""What could be reached at all: one who knows how the bench makes its truths, and reads the tool's own patches.

    python tests/bench/ceiling.py 240 77100 rows.pickle 0 2    as learning.py takes them; with 0 truths the tables

The ideal observer thinks of truths drawn as the bench draws them (models, worlds, the focus of each set-up, how often a
look is wrong) and weighs them by the readings of the tool's patches, by the bench's own passes. Where few carry the
weight, they are drawn again in proportion to it and walk a few steps that leave the weighed beliefs as they are. The
whole grid is played as ladders on some of them, the best with other rungs, the tool's own ladder and the patch's cells
on more, the best of these on all. What is clean most often is then marked on the truth itself.
"""

import copy
import pickle
import sys
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from itertools import islice, pairwise
from pathlib import Path
from statistics import NormalDist
from typing import Any, Final, NamedTuple

import learning
import marking
import numpy as np
import truth as made_up
from learning import FOCUS_SD_MM, KINDS, MOST_PASSES, STAGES, Case
from marking import OUTCOMES, SPOILT, STATE, Floats
from numpy.typing import NDArray

from rotary.laser import LaserAndLens
from rotary.passes.learning.reading import Reading
from rotary.passes.patch.layout import Patch
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.typed_settings import finishing

PRIOR, KEPT, NUMBERS = 4000, 100, 24
TRIED: Final = ((8, 32), (24, 20))
"""Guesses that ladders are played on before the best of them go on, and how many do."""
RULES: Final = {"clean most often": (1e-3, 1e-3), "priced": (0.25, 0.4)}
"""What a marked item costs in clean ones, before readings and after; the tool's own prices, and next to nothing."""
PLAYS, STEP, SWEEPS, WAYS, RUNGS = 3, 1.15, 2, (0.12, 0.35), (1, 2, 4, MOST_PASSES)
THICKNESSES: Final = (-1 / 3, 0.0, 1 / 3)
NORMAL: Final = NormalDist()
Ints = NDArray[np.intp]


class Dealt:
    """Stands in for a generator of random numbers: deals out places of the normal distribution."""

    def __init__(self, places: Floats) -> None:
        """As many as there are."""
        self.left = iter(places.tolist())

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
        self.of, self.places, self.beam, dealt = (laser, light, model), places, learning.optics(laser), Dealt(places)
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


class Ladders:
    """Settings of a laser by number, and ladders as the numbers of their passes, the last pass at the end."""

    def __init__(self, laser: LaserAndLens) -> None:
        """The whole grid, by geometry: weak pulses first, and a ladder from each that rises every fourth pass."""
        self.laser, self.settings, self.numbers = laser, list[Setting](), dict[Setting, int]()
        found: dict[tuple[float, ...], dict[float, Setting]] = {}
        for one in learning.tries(laser):
            found.setdefault((one.pulse_width_ns, one.defocus_mm, one.line_spacing_mm), {})[one.pulse_mj] = one
        self.starts = [[some[mj] for mj in sorted(some)][at:] for some in found.values() for at in range(len(some))]
        self.grid = np.array([self.of(levels, 4) for levels in self.starts])

    def of(self, levels: Sequence[Setting], passes: int = 1) -> Ints:
        """A ladder up some settings, so many passes on each."""
        steps = [levels[min(at // passes, len(levels) - 1)] for at in range(MOST_PASSES)]
        return np.array([self._number(one) for one in (*steps, finishing(levels[0], self.laser))])

    def _number(self, one: Setting) -> int:
        if one not in self.numbers:
            self.numbers[one] = len(self.settings)
            self.settings.append(one)
        return self.numbers[one]

    def above(self, one: Setting) -> list[Setting]:
        """A setting and stronger ones, as far as the source goes."""
        most = min(1 / one.power_share, self.laser.largest_pulse_mj / one.pulse_mj)
        return [one.at_power(one.power_share * STEP**at) for at in range(int(np.log(most) / np.log(STEP) + 1.001))]

    def chosen(
        self, guesses: list[Guess], own: Sequence[Setting], cells: Sequence[Setting]
    ) -> list[tuple[list[Setting], float]]:
        """By each rule the ladder, up to its end, that is worth most, and how often it comes out clean; no step where
        none is worth anything."""
        (few, best), (some, better) = TRIED
        clean = np.mean([one.plays(self.settings, self.grid)[0] == 2 for one in guesses[:few]], axis=0)
        starts = [self.starts[at] for at in np.argsort(-clean, kind="stable")[:best]]
        starts += [self.above(cell) for cell in cells]
        tried = [self.of(levels, passes) for levels in starts for passes in RUNGS]
        ladders = np.array([*tried, self.of(own)] if own else tried)
        clean = np.mean([one.plays(self.settings, ladders)[0] == 2 for one in guesses[:some]], axis=0)
        ladders = np.concatenate([ladders[np.argsort(-clean, kind="stable")[:better]], ladders[-1:]])
        plays = [one.plays(self.settings, ladders) for one in guesses]
        came, ends = (np.array(each)[:, :, None] for each in zip(*plays, strict=True))
        by = ends <= np.arange(1, MOST_PASSES + 1)
        clean_by, spoilt_by = ((by & which).mean(axis=0) for which in (came == 2, came >= 3))
        found = []
        for untried, read in RULES.values():
            worth = clean_by - (read if cells else untried) * spoilt_by
            at, end = np.unravel_index(int(worth.argmax()), worth.shape)
            steps = [self.settings[one] for one in ladders[at][: end + 1]]
            found.append((steps if worth[at, end] > 0 else [], float(clean_by[at, end])))
        return found


ladders_of = lru_cache(maxsize=4)(Ladders)


@lru_cache(maxsize=4)
def untaught(laser: LaserAndLens, light: bool) -> tuple[list[Guess], list[tuple[list[Setting], float]]]:
    """What is thought of before any reading, and what is chosen then."""
    mixer = np.random.default_rng([771, int(light), int(laser.rated_power_w)])
    kinds = mixer.integers(len(KINDS), size=PRIOR)
    guesses = [Guess(laser, light, int(kind), mixer.standard_normal(NUMBERS)) for kind in kinds]
    own = learning.ladder_of(learning.first_guess(laser, light))
    return guesses, ladders_of(laser).chosen(guesses[:300], own, [])


def equal(logs: Floats) -> float:
    """As how many equal weights some count."""
    weight = np.exp(logs - logs.max())
    return float(weight.sum() ** 2 / (weight @ weight))


def weighed(guesses: list[Guess], patches: list[Read], mixer: np.random.Generator) -> tuple[list[Guess], float]:
    """Guesses after the last of some patches, let in by degrees, and as how many equal ones its weights count."""
    size, done = 0.0, 0.0

    def log(one: Guess) -> float:
        earlier, last = [one.log(patches, at) for at in range(len(patches) - 1)], one.log(patches, len(patches) - 1)
        return sum(earlier) + done * last - one.places @ one.places / 2

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


def one_truth(number: int, seed: int) -> dict[str, Any]:
    """The tool and the ideal observer on the same truth and patches, each slice marked a few times."""
    case, mixer, patches = Case(number, seed), np.random.default_rng([seed, number, 2]), list[Read]()
    row: dict[str, Any] = {
        "number": number,
        "world": case.world,
        "model": case.model.__name__,
        "weights": [],
        "said": [],
    }
    row |= {name: [] for name in ("tool", *RULES)}
    guesses, ladders = untaught(case.laser, case.light)
    for plan, _, marked, readings in learning.stages(case):
        own = learning.ladder_of(plan)
        if len(marked) > len(patches):
            patches.append(read_of(marked[-1], readings))
            guesses, size = weighed(guesses, patches, mixer)
            row["weights"].append(size)
        if patches:
            cells = [cell for patch in patches for cell in patch.settings]
            ladders = ladders_of(case.laser).chosen(guesses, own, cells)
        row["said"].append([plan.chance_with_looks, *(clean for _, clean in ladders)])
        for name, steps in zip(("tool", *RULES), (own, *(steps for steps, _ in ladders)), strict=True):
            row[name].append([played(case, steps) for _ in range(PLAYS)])
    return row | {"solving": case.solving()}


def read_of(patch: Patch, readings: list[Reading]) -> Read:
    """The looks at the last patch."""
    at = {cell.number: place for place, cell in enumerate(patch.cells)}
    last = [one for one in readings if one.patch == readings[-1].patch]
    looks = [(at[one.cell or 0], one.passes, OUTCOMES.index(one.outcome)) for one in last]
    return Read([cell.setting for cell in patch.cells], np.array(looks).T)


def played(case: Case, steps: list[Setting]) -> str:
    """What comes of a slice of the truth itself."""
    if not steps:
        return "no plan"
    marked = case.slice()
    learning.climbed(case, marked, steps, finishing(steps[0], case.laser))
    return marked.outcome


def report(rows: list[dict[str, Any]], seed: int) -> str:
    """Right and engraved beside the tool, in all and by the share of settings that solve a truth."""
    names = ("tool", *RULES)
    lines = [f"{date.today().isoformat()}, seed {seed}: {len(rows)} truths that some setting solves.", ""]
    lines += [f"| who | {' | '.join(STAGES)} |", "|---|---|---|---|"]

    def line(title: str, some: list[dict[str, Any]], name: str, ends: Sequence[str]) -> None:
        means = [[float(np.mean([end in ends for end in row[name][at]])) for row in some] for at in range(len(STAGES))]
        lines.append(f"| {title}: {name} | {' | '.join(map(learning.share, means))} |")  # type: ignore[arg-type]

    for title, ends in (("right", ("clear",)), ("engraved", SPOILT), ("no plan", ("no plan",))):
        for name in names:
            line(title, rows, name, ends)
    for low, high in pairwise((0.0, 0.03, 0.1, 0.2, 1.0)):
        some = [row for row in rows if low < row["solving"] <= high]
        for name in names:
            line(f"up to {100 * high:g} % of settings solve it, {len(some)} truths", some, name, ("clear",))
    for at in range(len(STAGES) - 1):
        sizes = np.array([row["weights"][at] for row in rows if len(row["weights"]) > at])
        low, middle = np.quantile(sizes, (0.1, 0.5))
        lines += ["", f"{STAGES[at + 1]}: weights as {middle:.0f} equal ones, one in ten as {low:.0f} or fewer"]
    return "\n".join(lines)


def main() -> None:
    """Those of so many truths that some setting solves, beyond those that the file has, or tables of several files."""
    count, seed = int(sys.argv[1]), int(sys.argv[2])
    if not count:
        print(report([row for name in sys.argv[3:] for row in pickle.loads(Path(name).read_bytes())], seed))
        return
    path, first, step = Path(sys.argv[3]), int(sys.argv[4]), int(sys.argv[5])
    rows: list[dict[str, Any]] = pickle.loads(path.read_bytes()) if path.exists() else []
    solvable = (number for number in range(first, count, step) if Case(number, seed).solving())
    for number in islice(solvable, len(rows), None):
        rows.append(one_truth(number, seed))
        path.write_bytes(pickle.dumps(rows))


if __name__ == "__main__":
    main()
