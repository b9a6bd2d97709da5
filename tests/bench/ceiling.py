"""What could be reached at all: an ideal observer (`ideal.py`) who reads the tool's own patches.

    python tests/bench/ceiling.py 240 77100 rows.pickle 0 2    as learning.py takes them; with 0 truths the tables

The whole grid is played as ladders on some of the truths that the observer thinks of, the best with other rungs, the
tool's own ladder and the patch's cells on more, the best of these on all. What is clean most often is then marked on
the truth itself, as is the tool's plan.
"""

import pickle
import sys
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from itertools import islice, pairwise
from pathlib import Path
from typing import Any, Final

import learning
import numpy as np
from ideal import NUMBERS, PRIOR, Guess, Ints, Read, weighed
from learning import FOCUS_SD_MM, KINDS, MOST_PASSES, STAGES, Case
from marking import OUTCOMES, SPOILT

from rotary.laser import LaserAndLens
from rotary.passes.learning.reading import Reading
from rotary.passes.patch.layout import Patch
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.typed_settings import finishing

TRIED: Final = ((8, 32), (24, 20))
"""Guesses that ladders are played on before the best of them go on, and how many do."""
RULES: Final = {"clean most often": (0.0, 0.0), "priced": (0.25, 0.4)}
"""What a marked item costs in clean ones, before readings and after; nothing, and the tool's own prices."""
KNOWS, FOCUSES, PLAYS, STEP, RUNGS = "knows the truth", 24, 3, 1.15, (1, 2, 4, MOST_PASSES)


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
            # Of ends that are worth as much the last: there may be more coating than in any guess.
            worth = (clean_by - (read if cells else untried) * spoilt_by)[:, ::-1]
            at, sooner = np.unravel_index(int(worth.argmax()), worth.shape)
            end = MOST_PASSES - int(sooner)
            steps = [self.settings[one] for one in ladders[at][:end]]
            found.append((steps if worth[at, sooner] > 0 else [], float(clean_by[at, end - 1])))
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
            ladders = ladders_of(case.laser).chosen([one.widened(mixer) for one in guesses], own, cells)
        row["said"].append([plan.chance_with_looks, *(clean for _, clean in ladders)])
        for name, steps in zip(("tool", *RULES), (own, *(steps for steps, _ in ladders)), strict=True):
            row[name].append([played(case, steps) for _ in range(PLAYS)])
    return row | {"solving": case.solving(), KNOWS: [known(case, mixer)] * len(STAGES)}


def known(case: Case, mixer: np.random.Generator) -> list[str]:
    """What comes of slices where the truth itself is known, all but the focus of the next set-up."""
    guesses = [Guess(case.laser, case.light, 0, np.zeros(NUMBERS)) for _ in range(FOCUSES)]
    for one in guesses:
        one.kind, one.one, one.wrong = case.model, case.real, case.wrong_share
        one.off_mm = [float(mixer.normal(0, FOCUS_SD_MM))]
    steps, _ = ladders_of(case.laser).chosen(guesses, [], [])[0]
    return [played(case, steps) for _ in range(PLAYS)]


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
    names = ("tool", *RULES, KNOWS)
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
    """Those of so many truths that some setting solves, or tables of several files."""
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
