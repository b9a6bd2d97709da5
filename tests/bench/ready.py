"""How many coated jobs are ready after one test patch and after two, and how often the ready ones come out clean.

    python tests/bench/ready.py 120 1892      truths, seed

The truths, the patches and the way of the person are those of `learning.py`.
"""

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from typing import NamedTuple

import learning as bench

from rotary.actions.verdict import CLEAN_ENOUGH, MARKED_ENOUGH
from rotary.errors import NoPlan
from rotary.passes.learning.nearness import near_readings
from rotary.passes.learning.reading import Reading
from rotary.passes.patch.layout import patch


class Stage(NamedTuple):
    """One job after so many patches: whether it has passes, readings in all and near ones, whether it would be marked
    first on scrap, and how it came out."""

    planned: bool
    readings: int
    near: int
    risky: bool
    came: str


def one_truth(number: int, seed: int) -> list[Stage]:
    """One person with one truth: what the tool says before a patch, after one and after two."""
    mixer, light, head, real = bench.start(number, seed)
    thing, beam = bench.item(light), bench.optics(head)
    readings: list[Reading] = []
    stages = []
    for stage in range(3):
        found, cloud = bench.told(thing, head, readings)
        came, near = "no plan", 0
        if found.setting is not None:
            marked = bench.made_up.job(real, beam, mixer, float(mixer.normal(0, bench.FOCUS_SD_MM)))
            came = bench.as_the_card_says(marked, found, head, mixer)
            near = len(near_readings(found.setting, max(found.look_after), readings, thing, head))
        marks = 1 - found.chance_unmarked
        risky = found.chance_with_looks < CLEAN_ENOUGH or marks > MARKED_ENOUGH
        stages.append(Stage(found.setting is not None, len(readings), near, risky, came))
        if stage == 2:
            break
        try:
            made = patch(bench.job_of(thing, head), cloud, cells=9)
        except NoPlan:
            continue
        off_mm = float(mixer.normal(0, bench.FOCUS_SD_MM))
        readings += bench.read_cells(made, real, (thing, head), off_mm, mixer, stage, len(readings))[0]
    return stages


def report(truths: list[list[Stage]], seed: int, seconds: float) -> str:
    """The table for the docs; truths that nothing solves count too."""
    lines = [
        f"{date.today().isoformat()}, seed {seed}: {len(truths)} truths; {seconds:.0f} s.",
        "",
        "| after | plans | with any reading | ready | without scrap first | ready, came out clean | not ready, clean |",
        "|---|---|---|---|---|---|---|",
    ]
    for name, stages in zip(bench.STAGES, zip(*truths, strict=True), strict=True):
        plans = [one for one in stages if one.planned]
        ready, other = ([one for one in plans if bool(one.near) is side] for side in (True, False))
        parts = (
            len(plans),
            sum(one.readings > 0 for one in plans),
            len(ready),
            sum(not one.risky for one in ready),
            bench.share([one.came == "clear" for one in ready]),
            bench.share([one.came == "clear" for one in other]),
        )
        lines.append(f"| {name} | {' | '.join(map(str, parts))} |")
    return "\n".join(lines)


def main() -> None:
    """Run the bench and print its table."""
    count, seed = (int(text) for text in (*sys.argv[1:3], *("120", "1892")[len(sys.argv[1:3]) :]))
    began = time.perf_counter()
    with ProcessPoolExecutor(1) as pool:
        truths = list(pool.map(one_truth, range(count), [seed] * count))
    print(report(truths, seed, time.perf_counter() - began))


if __name__ == "__main__":
    main()
