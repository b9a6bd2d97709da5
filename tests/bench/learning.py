"""How often the plan is right: at first guess, after one patch of nine cells, after two; are its chances honest?

    python tests/bench/learning.py 520 1892      truths, seed

Truths come from `truth.py`, another model than the tool's; only those count that some setting solves.
"""

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from itertools import pairwise

import numpy as np
import truth as made_up

from rotary.artwork.layout import Artwork, layout
from rotary.errors import NoPlan
from rotary.head import Head, optics, shipped_heads
from rotary.item import Item, Station, body
from rotary.passes.beliefs import draws_for, substances
from rotary.passes.choosing import setting_from
from rotary.passes.grid import Grid, grid
from rotary.passes.learning import learned
from rotary.passes.patch import patch
from rotary.passes.reading import Reading, reading_of
from rotary.passes.removal import choice
from rotary.passes.setting import Setting
from rotary.slices import Tolerances

ARTWORK = Artwork(width_mm=60, height_mm=40, centre_mm=75)
TOLERANCES = Tolerances(focus_mm=0.5, fluence_low_share=0.9, fluence_high_share=1.1)
DRAWS = 1000
FOCUS_SD_MM = 0.25
STAGES = ("first guess", "after one patch", "after two patches")


def item(light: bool) -> Item:
    stations = (Station(at_mm=0, across_mm=80), Station(at_mm=180, across_mm=80))
    return Item(
        name="a bench bottle",
        stations=stations,
        coating="polyester-powder-light" if light else "polyester-powder-dark",
        runout_mm=0.2,
    )


def tries(head: Head) -> list[Setting]:
    """Many settings over the whole of what the head can do, to see whether a truth is solvable at all."""
    beam = optics(head)
    every = grid(head, beam)
    some = np.linspace(0, len(every.hatch_mm) - 1, min(len(every.hatch_mm), 90)).astype(int)
    counts = (1, 3, 6, 12, 20)
    return [
        setting_from(every.take(np.array([at])), head.pulse_durations_ns[0], count, 5.0, head, beam)
        for at in some
        for count in counts
    ]


def by_hand(head: Head, share: float, speed: float, count: int) -> Setting:
    """A setting as a person without a plan would key in: mid rate, some millimetres of defocus, round numbers."""
    beam = optics(head)
    rate = max(min(60.0, head.highest_rate_khz), head.rated_power_w / head.largest_pulse_mj)
    values = (share, rate, share * head.rated_power_w / rate, speed, 0.05, 6.0)
    one = Grid(*(np.array([float(value)]) for value in values))
    return setting_from(one, head.pulse_durations_ns[0], count, 2.0, head, beam)


def told(thing: Item, head: Head, readings: list[Reading]) -> tuple[Setting | None, float, object]:
    """What the tool plans after these readings, its chance, and its beliefs."""
    shape = body(thing)
    after = learned(thing, head, readings, DRAWS)
    metal, coating = substances(thing)
    cloud = after.draws if after else draws_for(thing, metal, coating, head, DRAWS)  # type: ignore[arg-type]
    lies, beam = layout(ARTWORK, thing, shape), optics(head)
    found = choice(thing, shape, lies, head, beam, TOLERANCES, DRAWS, believed=cloud)
    return found.setting, found.chance, cloud


def one_truth(number: int, seed: int) -> dict[str, object]:
    """The whole way of one person with one truth."""
    mixer = np.random.default_rng([seed, number])
    light = bool(number % 2)
    heads = list(shipped_heads().values())
    head, thing = heads[number // 2 % len(heads)], item(light)
    real, beam = made_up.truth(mixer, light), optics(head)

    def off() -> float:
        return float(mixer.normal(0, FOCUS_SD_MM))

    stages: list[tuple[bool, float]] = []
    readings: list[Reading] = []
    ends: list[str] = []
    first_patch_holds = False
    for stage in range(3):
        setting, chance, cloud = told(thing, head, readings)
        came = made_up.job_outcome(real, setting, beam, mixer, off()) if setting else "no plan"
        ends.append(came)
        stages.append((came == "clear", chance))
        if stage == 2:
            break
        try:
            cells = patch(thing, head, beam, TOLERANCES, cloud, cells=9).cells  # type: ignore[arg-type]
        except NoPlan:
            cells = ()
        away = off()
        for cell in cells:
            seen = made_up.cell_outcome(real, cell.setting, beam, mixer, away)
            first_patch_holds |= stage == 0 and seen == "clear"
            wrote = made_up.read(seen, mixer)
            readings.append(
                reading_of(
                    cell.setting,
                    wrote,  # type: ignore[arg-type]
                    thing,
                    head,
                    beam,
                    f"2026-01-0{stage + 1}",
                    number=len(readings) + 1,
                    patch=f"patch {stage + 1}",
                    cell=cell.number,
                    focus_mm=TOLERANCES.focus_mm,
                )
            )
    blind = [by_hand(head, share, speed, 3) for share in (0.2, 0.5, 0.8) for speed in (500.0, 1500.0, 4000.0)]
    away = off()
    good = [s for s in blind if made_up.read(made_up.cell_outcome(real, s, beam, mixer, away), mixer) == "clear"]
    took = good[len(good) // 2] if good else None
    recipe = by_hand(head, 0.4, 1500.0, 4)
    grid_right = took is not None and made_up.job_outcome(real, took, beam, mixer, off()) == "clear"
    recipe_right = made_up.job_outcome(real, recipe, beam, mixer, off()) == "clear"
    solved = any(right for right, _ in stages) or grid_right or recipe_right
    if not solved:
        solved = made_up.solvable(real, tries(head), beam)
    return {
        "stages": stages,
        "ends": ends,
        "grid": grid_right,
        "recipe": recipe_right,
        "solvable": solved,
        "light": light,
        "holds": first_patch_holds,
        "head": made_up.of_head(head),
    }


def share(found: list[bool]) -> str:
    """A share with its standard error."""
    if not found:
        return "-"
    p = float(np.mean(found))
    return f"{100 * p:.0f} ± {100 * np.sqrt(max(p * (1 - p), 1e-9) / len(found)):.0f} %"


def report(rows: list[dict[str, object]], seed: int, seconds: float) -> str:
    """The table for the docs."""
    fit = [row for row in rows if row["solvable"]]
    dark, light = ([row for row in fit if row["light"] is side] for side in (False, True))
    lines = [
        f"{date.today().isoformat()}, seed {seed}: {len(rows)} truths, {len(fit)} solvable; {seconds:.0f} s.",
        "",
        "| way | right, all | dark | light |",
        "|---|---|---|---|",
    ]
    for at, name in enumerate(STAGES):
        cells = [share([row["stages"][at][0] for row in some]) for some in (fit, dark, light)]  # type: ignore[index]
        lines.append(f"| the tool, {name} | {' | '.join(cells)} |")
    names = {
        "holds": "a right cell in the first patch",
        "grid": "blind 3 × 3 grid, then its best",
        "recipe": "fixed recipe",
    }
    for key, name in names.items():
        lines.append(
            f"| {name} | {' | '.join(share([bool(row[key]) for row in some]) for some in (fit, dark, light))} |"
        )
    kinds = ("clear", "haze", "covered", "tinted", "cut", "no plan")
    lines += ["", f"| what came of it | {' | '.join(kinds)} |", "|---|" + "---|" * len(kinds)]
    for at, name in enumerate(STAGES):
        ends = [row["ends"][at] for row in fit]  # type: ignore[index]
        lines.append(f"| {name} | {' | '.join(str(ends.count(kind)) for kind in kinds)} |")
    lines += ["", "| chance stated | plans | of them right |", "|---|---|---|"]
    pairs = [(chance, right) for row in rows for right, chance in row["stages"] if chance > 0]  # type: ignore[union-attr]
    edges = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.01)
    for low, high in pairwise(edges):
        some = [right for chance, right in pairs if low <= chance < high]
        if some:
            middle = np.mean([chance for chance, _ in pairs if low <= chance < high])
            lines.append(
                f"| {100 * low:.0f} to {100 * min(high, 1):.0f} % (mean {100 * middle:.0f}) | {len(some)} "
                f"| {share(some)} |"
            )
    return "\n".join(lines)


def main() -> None:
    """Run the bench and print its table."""
    count, seed = (int(text) for text in (sys.argv[1:] + ["500", "1892"][len(sys.argv) - 1 :]))
    start = time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        rows = list(pool.map(one_truth, range(count), [seed] * count, chunksize=4))
    print(report(rows, seed, time.perf_counter() - start))


if __name__ == "__main__":
    main()
