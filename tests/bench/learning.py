"""How often the ladder is right: at first guess, after one patch of nine cells, after two; are its chances honest?

    python tests/bench/learning.py 40 1892 rows.pickle 0 2    truths, seed, file for the rows; first, of how many

Truths come from two models, neither of them the tool's (`truth.py`, `truth_skin.py`), in seven worlds. Right counts
among those that some setting of the whole grid solves by the truth's own model, engraved among all that were given a
plan, and among all. Rows are written as they come, so a run that is ended, or run again with more truths, keeps what is
there. Two processors: first 0 and 1 of every 2, into a file each; with 0 truths the tables of all files are printed.
"""

import pickle
import sys
from collections.abc import Callable, Iterator
from datetime import date
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import marking
import numpy as np
import truth as made_up
import truth_skin
from marking import SPOILT

from rotary.actions.verdict import CLEAN_ENOUGH, MARKED_ENOUGH
from rotary.artwork.layout import Artwork
from rotary.errors import NoPlan
from rotary.examples import laser_tables
from rotary.item import Item, Measurement
from rotary.job import Job
from rotary.laser import LaserAndLens, optics
from rotary.passes.learning.coating import Posterior, posterior, with_readings_counted
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.patch.layout import Patch, patch
from rotary.passes.plan.grid import Grid, grid
from rotary.passes.plan.removal import removal_plan
from rotary.passes.plan.setting import Removal, Setting
from rotary.passes.plan.typed_settings import finishing, setting_from
from rotary.setup import setup
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck

ARTWORK = Artwork(width_mm=60, height_mm=40, centre_mm=75)
TOLERANCES = Tolerances(focus_mm=0.5, fluence_low_share=0.9, fluence_high_share=1.1)
DRAWS = 1000
FOCUS_SD_MM = 0.25
STAGES = ("first guess", "one patch", "two patches")
KINDS = (made_up, truth_skin)
MOST_PASSES = 28
SLICE_MM2 = marking.SLICE_MM[0] * marking.SLICE_MM[1]
WRITTEN_EVERY = 20


def item(light: bool) -> Item:
    measurements = (Measurement(at_mm=0, across_mm=80), Measurement(at_mm=180, across_mm=80))
    return Item(
        name="a bench bottle",
        measurements=measurements,
        coating="polyester-powder-light" if light else "polyester-powder-dark",
        runout_mm=0.2,
    )


@lru_cache(maxsize=8)
def tries(head: LaserAndLens) -> list[Setting]:
    """Every setting of the grid at every pulse width, with half-way powers: is a truth solvable at all?"""
    beam, found = optics(head), []
    every = grid(head, beam)
    for ns in head.pulse_widths_ns:
        for at in range(len(every.line_spacing_mm)):
            one = setting_from(every.take(np.array([at])), ns, MOST_PASSES, 5.0, head, beam)
            found += [one.at_power(power) for power in (one.power_share, 1.145 * one.power_share) if power <= 1]
    return found


class Case:
    """A truth with its model, world, head and coating, and the chance that goes on from there."""

    def __init__(self, number: int, seed: int) -> None:
        """The same number and seed give the same case."""
        self.mixer = np.random.default_rng([seed, number])
        self.light = bool(number % 2)
        heads = [LaserAndLens.model_validate(table, context={"units": "must"}) for table in laser_tables().values()]
        self.laser = heads[number // 2 % len(heads)]
        self.model: Any = KINDS[number // 4 % 2]
        self.world = made_up.WORLDS[number // 8 % len(made_up.WORLDS)]
        self.wrong_share = 0.10 if self.world == "wrong looks" else 0.05
        self.real = self.model.in_world(self.model.truth(self.mixer, self.light), self.world, self.light)
        self.beam, self.thing = optics(self.laser), item(self.light)

    def off(self) -> float:
        """How far the focus is off at one set-up."""
        return float(self.mixer.normal(0, FOCUS_SD_MM))

    def slice(self) -> marking.Marked:
        """A slice of the item, on a focus of its own."""
        return marking.job(self.model, self.real, self.beam, self.mixer, self.off())

    def cell(self, away_mm: float) -> marking.Marked:
        """A cell of a patch on a flat scrap."""
        return marking.cell(self.model, self.real, self.beam, self.mixer, away_mm)

    def looked(self, marked: marking.Marked) -> str:
        """What a person sees; before tinted or cut is believed it is wiped and looked at again."""
        seen = marking.read(marked.outcome, self.mixer, self.wrong_share)
        return marking.read(marked.outcome, self.mixer, self.wrong_share) if seen in SPOILT else seen

    def solving(self) -> float:
        """The share of all settings that, stopped at the first clear look, are right on the item, the focus as set."""
        every = tries(self.laser)
        return float(marking.come_clean(self.model, self.real, self.beam, every, MOST_PASSES).mean())


def job_of(case: Case) -> Job:
    return job_on(case.laser, case.light)


def job_on(head: LaserAndLens, light: bool) -> Job:
    return Job(item=item(light), turning=Chuck(), laser=head, artwork=ARTWORK, tolerances=TOLERANCES)


@lru_cache(maxsize=8)
def first_guess(head: LaserAndLens, light: bool) -> Removal:
    """The plan before any reading; all truths of a coating and a head share it."""
    return removal_plan(setup(job_on(head, light)), DRAWS)


@lru_cache(maxsize=8)
def first_patch(head: LaserAndLens, light: bool) -> Patch:
    """The patch before any reading."""
    return patch(setup(job_on(head, light)), None, DRAWS, cells=9)


def climbed(case: Case, marked: marking.Marked, steps: list[Setting], last: Setting) -> int:
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
    last = finishing(steps[0], case.laser)
    first = case.slice()
    count = climbed(case, first, steps, last)
    if first.outcome != "clear":
        return first.outcome, first.outcome
    rung = steps[count - 1]
    second = case.slice()
    count = climbed(case, second, [rung] * MOST_PASSES, last)
    if second.outcome != "clear":
        return "clear", second.outcome
    rest = case.slice()
    for _ in range(count):
        rest.mark(rung)
    rest.mark(last)
    return "clear", rest.outcome


def ladder_of(plan: Removal) -> list[Setting]:
    """The setting of each pass of a plan."""
    if plan.setting is None:
        return []
    one = plan.setting
    if plan.order == "all-round" and plan.time_all_round_s is not None:
        # A slice rests while the others get their pass.
        round_s, here_s = plan.time_all_round_s / len(plan.rows), SLICE_MM2 / (one.speed_mm_s * one.line_spacing_mm)
        one = one.model_copy(update={"pause_s": max(round_s - here_s, one.pause_s)})
    return [one.at_power(rung.power_share) for rung in plan.rungs for _ in range(rung.passes)]


def by_hand(head: LaserAndLens, share: float, speed: float, count: int) -> Setting:
    """A setting as a person without a plan would key in: mid rate, some millimetres of defocus, round numbers."""
    beam = optics(head)
    rate = max(min(60.0, head.highest_frequency_khz), head.rated_power_w / head.largest_pulse_mj)
    values = (share, rate, share * head.rated_power_w / rate, speed, 0.05, 6.0)
    one = Grid(*(np.array([float(value)]) for value in values))
    return setting_from(one, head.pulse_widths_ns[0], count, 2.0, head, beam)


def stepping_up(head: LaserAndLens) -> list[Setting]:
    """A person who starts at a fifth of the power and turns it up by a tenth of it all after every four passes."""
    return [by_hand(head, share, 1500.0, 1) for share in (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8) for _ in range(4)]


def best_of_grid(case: Case) -> Setting | None:
    """A blind grid of three powers and three speeds; the middle one of the cells that were read as clear."""
    away, good = case.off(), []
    for setting in [
        by_hand(case.laser, share, speed, 3) for share in (0.2, 0.5, 0.8) for speed in (500.0, 1500.0, 4000.0)
    ]:
        marked = case.cell(away)
        if marking.read(marking.after_all(marked, setting), case.mixer, case.wrong_share) == "clear":
            good.append(setting)
    return good[len(good) // 2] if good else None


def read_cells(case: Case, made: Patch, stage: int, before: int) -> list[Reading]:
    """A patch marked and read, look by look, a cell left once it is tinted or cut; one focus for all of it."""
    readings: list[Reading] = []
    away = case.off()
    for cell in made.cells:
        marked, count = case.cell(away), 0
        for look in cell.looks:
            for _ in range(look - count):
                marked.mark(cell.setting)
            count = look
            wrote: Any = marking.read(marked.outcome, case.mixer, case.wrong_share)
            number, name = before + len(readings) + 1, f"patch {stage + 1}"
            said = Look(wrote, f"2026-01-0{stage + 1}", number=number, patch=name, cell=cell.number)
            readings.append(reading_of(job_of(case), cell.setting.model_copy(update={"passes": look}), said))
            if wrote in SPOILT:
                break
    return readings


def stages(case: Case, patches: int = 2) -> Iterator[tuple[Removal, Posterior | None, list[Patch], list[Reading]]]:
    """The plan at each stage, with what is believed then, and the patches and readings that it rests on."""
    readings: list[Reading] = []
    marked: list[Patch] = []
    for stage in range(patches + 1):
        after = posterior(case.thing, case.laser, readings, DRAWS)
        plan = removal_plan(setup(job_of(case)), DRAWS, after.draws) if after else first_guess(case.laser, case.light)
        yield plan, after, marked, readings
        if stage == patches:
            break
        try:
            made = (
                patch(setup(job_of(case)), after.draws, DRAWS, cells=9)
                if after
                else first_patch(case.laser, case.light)
            )
        except NoPlan:
            continue
        marked = [*marked, made]
        readings = readings + read_cells(case, made, stage, len(readings))


def one_truth(number: int, seed: int, patches: int = 2, rivals: bool = True) -> dict[str, Any]:
    """The whole way of one person with one truth, up to so many patches; then the two rivals, and whether any setting
    solves it."""
    case = Case(number, seed)
    about = {"number": number, "light": case.light, "world": case.world, "laser": made_up.of_head(case.laser)}
    row: dict[str, Any] = about | {"model": case.model.__name__}
    row |= {name: [] for name in ("first", "whole", "near", "said")}
    for plan, after, *_ in stages(case, patches):
        steps = ladder_of(plan)
        first, whole = whole_item(case, steps) if steps else ("no plan", "no plan")
        row["first"].append(first)
        row["whole"].append(whole)
        near = with_readings_counted(plan, after, case.thing, case.laser).near_readings
        row["near"].append(near)
        row["said"].append((plan.chance_with_looks, plan.chance_left_coated, plan.chance_unmarked))
    if not rivals:
        return row
    best = best_of_grid(case)
    row["grid"] = "no plan" if best is None else marking.after_all(case.slice(), best)
    row["stepping"] = whole_item(case, stepping_up(case.laser))[0]
    row["solving"] = case.solving()
    row["solvable"] = "clear" in (*row["first"], row["grid"], row["stepping"]) or row["solving"] > 0
    return row


def share(found: list[bool]) -> str:
    """A share with its 95 % interval (Wilson's score interval; formula from memory)."""
    if not found:
        return "-"
    low, high = interval(found)
    return f"{100 * float(np.mean(found)):.0f} % ({100 * low:.0f} to {100 * high:.0f})"


def interval(found: list[bool]) -> tuple[float, float]:
    """Wilson's score interval of a share at 95 %.

    By hand for 8 of 10: (0.8 + 0.192 ± 0.290) / 1.384 = 0.490 and 0.943.
    """
    n, p, z2 = len(found), float(np.mean(found)), 1.96**2
    middle, half = p + z2 / (2 * n), float(np.sqrt(z2 * p * (1 - p) / n + z2**2 / (4 * n**2)))
    return (middle - half) / (1 + z2 / n), (middle + half) / (1 + z2 / n)


def report(rows: list[dict[str, Any]], seed: int) -> str:
    """The tables for the docs, each share with its 95 % interval."""
    fit = [row for row in rows if row["solvable"]]
    lines = [
        f"{date.today().isoformat()}, seed {seed}: {len(rows)} truths, {len(fit)} solvable.",
        "",
        "| way | right of solvable | whole item | engraved, of plans | engraved, of all | given a plan |",
        "|---|---|---|---|---|---|",
    ]

    def line(name: str, first: Callable[[Any], str], whole: Callable[[Any], str] | None = None) -> None:
        given = [first(row) != "no plan" for row in rows]
        marked = [first(row) in SPOILT for row in rows]
        parts = (
            share([first(row) == "clear" for row in fit]),
            share([whole(row) == "clear" for row in fit]) if whole else "-",
            share([spoiled_cost for spoiled_cost, plan in zip(marked, given, strict=True) if plan]),
            share(marked),
            f"{100 * np.mean(given):.0f} %",
        )
        lines.append(f"| {name} | {' | '.join(parts)} |")

    for at, name in enumerate(STAGES):
        line(f"the tool, {name}", lambda row, at=at: row["first"][at], lambda row, at=at: row["whole"][at])  # type: ignore[misc]
    line("blind 3 × 3 grid, then its best", lambda row: row["grid"])
    line("stepping up from 20 %", lambda row: row["stepping"])
    light, heads = (("dark", False), ("light", True)), sorted({row["laser"] for row in rows})
    groups = (
        ("model", "model", (("film with a Gaussian beam", "truth"), ("film and skin", "truth_skin"))),
        ("world", "world", tuple((name, name) for name in made_up.WORLDS)),
        ("coating", "light", light),
        ("laser", "laser", tuple((name, name) for name in heads)),
    )
    for title, key, names in groups:
        lines += ["", f"| {title} | {' | '.join(STAGES)} |", "|---|---|---|---|"]
        for name, value in names:
            some = [row for row in fit if row[key] == value]
            lines.append(f"| {name} | {' | '.join(right(some))} |")
    lines += ["", f"| settings that solve it | truths | {' | '.join(STAGES)} |", "|---|---|---|---|---|"]
    for low, high in pairwise((0.0, 0.01, 0.03, 0.1, 0.2, 1.0)):
        some = [row for row in fit if low < row["solving"] <= high]
        lines.append(f"| {100 * low:g} to {100 * high:g} % | {len(some)} | {' | '.join(right(some))} |")
    lines += ["", "| after | plans | ready | without scrap first | ready, clean | not ready, clean |"]
    lines += ["|---|---|---|---|---|---|", *(readiness(rows, at) for at in range(len(STAGES)))]
    for at, name in enumerate(STAGES):
        lines += ["", f"| {name}: chance | stated | plans | happened |", "|---|---|---|---|", *reliability(rows, at)]
    return "\n".join(lines)


def right(some: list[dict[str, Any]]) -> Iterator[str]:
    """The share that is right at each stage."""
    return (share([row["first"][at] == "clear" for row in some]) for at in range(len(STAGES)))


def readiness(rows: list[dict[str, Any]], at: int) -> str:
    """How many plans rest on readings of their settings, how many of those need no scrap first, what came of them."""
    given = [row for row in rows if row["first"][at] != "no plan"]
    ready = [row for row in given if row["near"][at] and row["said"][at][0] >= CLEAN_ENOUGH]
    sure = [row for row in ready if 1 - row["said"][at][2] <= MARKED_ENOUGH]
    others = [row for row in given if row not in ready]
    came = [share([row["first"][at] == "clear" for row in some]) for some in (ready, others)]
    return f"| {STAGES[at]} | {len(given)} | {len(ready)} | {len(sure)} | {came[0]} | {came[1]} |"


def reliability(rows: list[dict[str, Any]], at: int) -> Iterator[str]:
    """Stated against happened, of all truths given a plan, solvable or not: clean in bins, each of the three in all."""
    given = [row for row in rows if row["first"][at] != "no plan"]
    came = [row["first"][at] for row in given]
    clean = [row["said"][at][0] for row in given]
    for low, high in pairwise((0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.01)):
        some = [(chance, end == "clear") for chance, end in zip(clean, came, strict=True) if low <= chance < high]
        if some:
            mean = 100 * np.mean([chance for chance, _ in some])
            bin_ = f"clean, {100 * low:.0f} to {100 * min(high, 1):.0f} %"
            yield f"| {bin_} | {mean:.0f} % | {len(some)} | {share([right for _, right in some])} |"
    if given:
        marked = [1 - row["said"][at][2] for row in given]
        coated = [row["said"][at][1] for row in given]
        rows_of = (
            ("clean", clean, ("clear",)),
            ("stays coated", coated, ("covered", "haze")),
            ("marked", marked, SPOILT),
        )
        for name, chances, ends in rows_of:
            happened = share([end in ends for end in came])
            yield f"| {name}, all | {100 * np.mean(chances):.0f} % | {len(given)} | {happened} |"


def main() -> None:
    """Run as many truths as asked for, beyond those that the file has, or print the tables of several files."""
    count, seed = int(sys.argv[1]), int(sys.argv[2])
    if not count:
        print(report([row for name in sys.argv[3:] for row in pickle.loads(Path(name).read_bytes())], seed))
        return
    path, first, step = Path(sys.argv[3]), *(int(text) for text in (*sys.argv[4:6], *("0", "1")[len(sys.argv[4:6]) :]))
    rows: list[dict[str, Any]] = pickle.loads(path.read_bytes()) if path.exists() else []
    for number in range(first, count, step)[len(rows) :]:
        rows.append(one_truth(number, seed))
        if len(rows) % WRITTEN_EVERY == 0:
            path.write_bytes(pickle.dumps(rows))
    path.write_bytes(pickle.dumps(rows))
    print(report(rows, seed))


if __name__ == "__main__":
    main()
