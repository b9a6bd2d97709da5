"""How often the ladder is right: at first guess, after one patch of nine cells, after two; are its chances honest?

    python tests/bench/learning.py 40 1892 rows.pickle      truths, seed, a file for the rows

Truths come from two models, neither of them the tool's (`truth.py`, `truth_skin.py`), in seven worlds. Right counts
among those that some setting solves by the truth's own model, engraved among all that were given a plan. Rows are
written as they come, so a run that is ended, or run again with more truths, keeps what is there.
"""

import pickle
import sys
from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import truth as made_up
import truth_skin

from rotary.artwork.layout import Artwork
from rotary.drive import Chuck
from rotary.errors import NoPlan
from rotary.examples import head_tables
from rotary.head import Head, optics
from rotary.item import Item, Station
from rotary.job import Job
from rotary.passes.learning.coating import learned
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.patch.layout import Patch, patch
from rotary.passes.plan.grid import Grid, grid
from rotary.passes.plan.removal import choice
from rotary.passes.plan.setting import Choice, Setting
from rotary.passes.plan.typed import finishing, setting_from
from rotary.setup import setup
from rotary.tolerances import Tolerances

ARTWORK = Artwork(width_mm=60, height_mm=40, centre_mm=75)
TOLERANCES = Tolerances(focus_mm=0.5, fluence_low_share=0.9, fluence_high_share=1.1)
DRAWS = 1000
FOCUS_SD_MM = 0.25
STAGES = ("first guess", "one patch", "two patches")
KINDS = (made_up, truth_skin)
SPOILT = ("cut", "tinted")


def item(light: bool) -> Item:
    stations = (Station(at_mm=0, across_mm=80), Station(at_mm=180, across_mm=80))
    return Item(
        name="a bench bottle",
        stations=stations,
        coating="polyester-powder-light" if light else "polyester-powder-dark",
        runout_mm=0.2,
    )


def tries(head: Head) -> list[Setting]:
    """Settings over the whole of what the head can do, to see whether a truth is solvable at all."""
    beam, found = optics(head), []
    every = grid(head, beam)
    some = np.linspace(0, len(every.hatch_mm) - 1, 120 // len(head.pulse_durations_ns)).astype(int)
    for ns in head.pulse_durations_ns:
        found += [setting_from(every.take(np.array([at])), ns, 28, 5.0, head, beam) for at in some]
    return found


class Case:
    """A truth with its model, world, head and coating, and the chance that goes on from there."""

    def __init__(self, number: int, seed: int) -> None:
        """The same number and seed give the same case."""
        self.mixer = np.random.default_rng([seed, number])
        self.light = bool(number % 2)
        heads = [Head.model_validate(table, context={"units": "must"}) for table in head_tables().values()]
        self.head = heads[number // 2 % len(heads)]
        self.model: Any = KINDS[number // 4 % 2]
        self.world = made_up.WORLDS[number // 8 % len(made_up.WORLDS)]
        self.wrong_share = 0.10 if self.world == "wrong looks" else 0.05
        self.real = self.model.in_world(self.model.truth(self.mixer, self.light), self.world, self.light)
        self.beam, self.thing = optics(self.head), item(self.light)

    def off(self) -> float:
        """How far the focus is off at one set-up."""
        return float(self.mixer.normal(0, FOCUS_SD_MM))

    def slice(self) -> made_up.Marked:
        """A slice of the item, on a focus of its own."""
        return made_up.job(self.real, self.beam, self.mixer, self.off(), self.model.Marked)

    def looked(self, marked: made_up.Marked) -> str:
        """What a person sees; before tinted or cut is believed it is wiped and looked at again."""
        seen = made_up.read(marked.outcome, self.mixer, self.wrong_share)
        return made_up.read(marked.outcome, self.mixer, self.wrong_share) if seen in SPOILT else seen

    def solvable(self) -> bool:
        """Whether any of many settings, stopped at the first clear look, is right on the item, the focus as set."""
        middle = ((self.real.thick_um, 0.0, 1.0),)

        def comes_clean(marked: made_up.Marked, setting: Setting) -> bool:
            for _ in range(setting.passes):
                marked.mark(setting)
                if marked.outcome in ("clear", *SPOILT):
                    break
            return marked.outcome == "clear"

        def fresh() -> np.random.Generator:
            return np.random.default_rng(7)

        # What does not come clean in the middle of a slice does so nowhere: a third of the work.
        return any(
            comes_clean(self.model.Marked(self.real, self.beam, middle, (6.0, 18.0), fresh()), setting)
            and comes_clean(made_up.job(self.real, self.beam, fresh(), 0.0, self.model.Marked), setting)
            for setting in tries(self.head)
        )


def job_of(case: Case) -> Job:
    return Job(item=case.thing, drive=Chuck(), head=case.head, artwork=ARTWORK, tolerances=TOLERANCES)


def climbed(case: Case, marked: made_up.Marked, steps: list[Setting], last: Setting) -> int:
    """A slice marked along a ladder: one pass, a look, the next; residue or clear: the last pass, a look. The number of
    passes at the end."""
    for count, step in enumerate(steps, 1):
        marked.mark(step)
        seen = case.looked(marked)
        if seen in ("clear", "haze"):
            marked.mark(last)
            seen = case.looked(marked)
        if seen in ("clear", *SPOILT):
            return count
    return len(steps)


def whole_item(case: Case, steps: list[Setting]) -> tuple[str, str]:
    """What comes of the first slice, and of the item.

    The second slice is counted again from the rung where the first came clean; that rung and count are for the rest.
    """
    last = finishing(steps[0], case.head)
    first = case.slice()
    count = climbed(case, first, steps, last)
    if first.outcome != "clear":
        return first.outcome, first.outcome
    rung = steps[count - 1]
    second = case.slice()
    count = climbed(case, second, [rung] * 28, last)
    if second.outcome != "clear":
        return "clear", second.outcome
    rest = case.slice()
    for _ in range(count):
        rest.mark(rung)
    rest.mark(last)
    return "clear", rest.outcome


def ladder_of(plan: Choice) -> list[Setting]:
    """The setting of each pass of a plan."""
    if plan.setting is None:
        return []
    return [plan.setting.at_power(rung.power_share) for rung in plan.rungs for _ in range(rung.passes)]


def by_hand(head: Head, share: float, speed: float, count: int) -> Setting:
    """A setting as a person without a plan would key in: mid rate, some millimetres of defocus, round numbers."""
    beam = optics(head)
    rate = max(min(60.0, head.highest_rate_khz), head.rated_power_w / head.largest_pulse_mj)
    values = (share, rate, share * head.rated_power_w / rate, speed, 0.05, 6.0)
    one = Grid(*(np.array([float(value)]) for value in values))
    return setting_from(one, head.pulse_durations_ns[0], count, 2.0, head, beam)


def stepping_up(head: Head) -> list[Setting]:
    """A person who starts at a fifth of the power and turns it up by a tenth of it all after every four passes."""
    return [by_hand(head, share, 1500.0, 1) for share in (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8) for _ in range(4)]


def best_of_grid(case: Case) -> Setting | None:
    """A blind grid of three powers and three speeds; the middle one of the cells that were read as clear."""
    away, good = case.off(), []
    for setting in [
        by_hand(case.head, share, speed, 3) for share in (0.2, 0.5, 0.8) for speed in (500.0, 1500.0, 4000.0)
    ]:
        marked = made_up.cell(case.real, case.beam, case.mixer, away, case.model.Marked)
        if made_up.read(made_up.after_all(marked, setting), case.mixer, case.wrong_share) == "clear":
            good.append(setting)
    return good[len(good) // 2] if good else None


def read_cells(case: Case, made: Patch, stage: int, before: int) -> list[Reading]:
    """A patch marked and read, look by look, a cell left once it is tinted or cut; one focus for all of it."""
    readings: list[Reading] = []
    away = case.off()
    for cell in made.cells:
        marked, count = made_up.cell(case.real, case.beam, case.mixer, away, case.model.Marked), 0
        for look in cell.looks:
            for _ in range(look - count):
                marked.mark(cell.setting)
            count = look
            wrote: Any = made_up.read(marked.outcome, case.mixer, case.wrong_share)
            number, name = before + len(readings) + 1, f"patch {stage + 1}"
            said = Look(wrote, f"2026-01-0{stage + 1}", number=number, patch=name, cell=cell.number)
            readings.append(reading_of(job_of(case), cell.setting.model_copy(update={"passes": look}), said))
            if wrote in SPOILT:
                break
    return readings


def one_truth(number: int, seed: int, patches: int = 2, rivals: bool = True) -> dict[str, Any]:
    """The whole way of one person with one truth, up to so many patches; then the two rivals, and whether any setting
    solves it."""
    case = Case(number, seed)
    row: dict[str, Any] = {
        "number": number,
        "light": case.light,
        "world": case.world,
        "head": made_up.of_head(case.head),
    }
    row |= {
        "model": case.model.__name__,
        "first": [],
        "whole": [],
        "stated": [],
        "said": [],
    }
    readings: list[Reading] = []
    for stage in range(patches + 1):
        after = learned(case.thing, case.head, readings, DRAWS)
        plan = choice(setup(job_of(case)), DRAWS, after.draws if after else None)
        steps = ladder_of(plan)
        first, whole = whole_item(case, steps) if steps else ("no plan", "no plan")
        row["first"].append(first)
        row["whole"].append(whole)
        row["stated"].append(plan.chance_with_looks)
        row["said"].append((plan.chance_with_looks, plan.chance_unmarked))
        if stage == patches:
            break
        try:
            made = patch(setup(job_of(case)), after.draws if after else None, DRAWS, cells=9)
        except NoPlan:
            continue
        readings += read_cells(case, made, stage, len(readings))
    if not rivals:
        return row
    best = best_of_grid(case)
    row["grid"] = "no plan" if best is None else made_up.after_all(case.slice(), best)
    row["stepping"] = whole_item(case, stepping_up(case.head))[0]
    row["solvable"] = case.solvable() or "clear" in (*row["first"], row["grid"], row["stepping"])
    return row


def share(found: list[bool]) -> str:
    """A share with its standard error."""
    if not found:
        return "-"
    p = float(np.mean(found))
    return f"{100 * p:.0f} ± {100 * np.sqrt(max(p * (1 - p), 1e-9) / len(found)):.0f} %"


def report(rows: list[dict[str, Any]], seed: int) -> str:
    """The tables for the docs."""
    fit = [row for row in rows if row["solvable"]]
    lines = [
        f"{date.today().isoformat()}, seed {seed}: {len(rows)} truths, {len(fit)} solvable.",
        "",
        "| way | right of solvable | whole item | engraved of those given a plan | given a plan |",
        "|---|---|---|---|---|",
    ]

    def line(name: str, first: Callable[[Any], str], whole: Callable[[Any], str] | None = None) -> None:
        given = [row for row in rows if first(row) != "no plan"]
        right = share([first(row) == "clear" for row in fit])
        all_of_it = share([whole(row) == "clear" for row in fit]) if whole else "-"
        marked = share([first(row) in SPOILT for row in given])
        lines.append(f"| {name} | {right} | {all_of_it} | {marked} | {share([row in given for row in rows])} |")

    for at, name in enumerate(STAGES):
        line(f"the tool, {name}", lambda row, at=at: row["first"][at], lambda row, at=at: row["whole"][at])  # type: ignore[misc]
    line("blind 3 × 3 grid, then its best", lambda row: row["grid"])
    line("stepping up from 20 %", lambda row: row["stepping"])
    for key, names in (("model", ("truth", "truth_skin")), ("world", made_up.WORLDS), ("light", (False, True))):
        lines += ["", f"| {key} | {' | '.join(STAGES)} |", "|---|---|---|---|"]
        for name in names:
            some = [row for row in fit if row[key] == name]
            lines.append(
                f"| {name} | {' | '.join(share([r['first'][at] == 'clear' for r in some]) for at in range(3))} |"
            )
    for at, name in enumerate(STAGES):
        lines += ["", f"| clean stated, {name} | plans | of them clean |", "|---|---|---|", *reliability(rows, at)]
    return "\n".join(lines)


def reliability(rows: list[dict[str, Any]], at: int) -> Iterator[str]:
    """Of plans given such a chance, how many were clean; all truths, solvable or not."""
    pairs = [(row["stated"][at], row["first"][at] == "clear") for row in rows if row["first"][at] != "no plan"]
    for low, high in pairwise((0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.01)):
        some = [(chance, right) for chance, right in pairs if low <= chance < high]
        if some:
            middle = np.mean([chance for chance, _ in some])
            yield (
                f"| {100 * low:.0f} to {100 * min(high, 1):.0f} % (mean {100 * middle:.0f}) | {len(some)} "
                f"| {share([right for _, right in some])} |"
            )
    stated = [row["said"][at] for row in rows if row["first"][at] != "no plan"]
    marked = [row["first"][at] in SPOILT for row in rows if row["first"][at] != "no plan"]
    if stated:
        mean = 100 * np.mean([1 - unmarked for _, unmarked in stated])
        yield f"| marked, stated {mean:.0f} % | {len(marked)} | {share(marked)} |"


def main() -> None:
    """Run as many truths as asked for, beyond those that the file has, and print the tables."""
    count, seed, path = int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3])
    rows: list[dict[str, Any]] = pickle.loads(path.read_bytes()) if path.exists() else []
    for number in range(len(rows), count):
        rows.append(one_truth(number, seed))
        path.write_bytes(pickle.dumps(rows))
    print(report(rows, seed))


if __name__ == "__main__":
    main()
