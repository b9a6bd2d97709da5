"""How often the plan is right: at first guess, after one patch of nine cells, after two; are its chances honest?

    python tests/bench/learning.py 520 1892      truths, seed

Truths come from `truth.py`, another model than the tool's; only those count that some setting solves. Which
these are does not depend on the tool; it is found once and kept in the system's folder for temporary files.
"""

import hashlib
import inspect
import json
import pickle
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import truth as made_up

from rotary.artwork.layout import Artwork
from rotary.drive import Chuck
from rotary.errors import NoPlan
from rotary.head import Head, optics
from rotary.item import Item, Station
from rotary.job import Job
from rotary.passes.beliefs.draws import Coating, Draws, draws_for, substances
from rotary.passes.learning.coating import learned
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.patch.layout import Patch, patch
from rotary.passes.plan.typed import setting_from
from rotary.passes.plan.grid import Grid, grid
from rotary.passes.plan.removal import choice, finishing
from rotary.passes.plan.setting import Choice, Setting
from rotary.setup import setup
from rotary.tolerances import Tolerances
from tests.setups import shipped_heads

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
    some = np.linspace(0, len(every.hatch_mm) - 1, min(len(every.hatch_mm), 400)).astype(int)
    ns = head.pulse_durations_ns[0]
    return [setting_from(every.take(np.array([at])), ns, 20, 5.0, head, beam) for at in some]


def start(number: int, seed: int) -> tuple[np.random.Generator, bool, Head, made_up.Truth]:
    """A truth, its head, whether its coating is light, and the chance that goes on from there."""
    mixer = np.random.default_rng([seed, number])
    light = bool(number % 2)
    heads = list(shipped_heads().values())
    return mixer, light, heads[number // 2 % len(heads)], made_up.truth(mixer, light)


def solvable(number: int, seed: int) -> bool:
    """Whether any of many settings, stopped at the first clear look, is right on the whole item."""
    _, _, head, real = start(number, seed)
    return made_up.solvable(real, tries(head), optics(head))


def which_solvable(count: int, seed: int, pool: ProcessPoolExecutor) -> list[bool]:
    """The same of many truths; what was found before is read from a file that names the code it rests on."""
    code = b"".join(Path(__file__).with_name(name).read_bytes() for name in ("truth.py",))
    code += inspect.getsource(tries).encode() + inspect.getsource(start).encode() + repr(shipped_heads()).encode()
    kept = Path(tempfile.gettempdir()) / f"rotary-solvable-{hashlib.sha256(code).hexdigest()[:16]}-{seed}.json"
    found = json.loads(kept.read_text()) if kept.exists() else []
    new = range(len(found), count)
    found += pool.map(solvable, new, [seed] * len(new), chunksize=4)
    kept.write_text(json.dumps(found))
    return found[:count]


def by_hand(head: Head, share: float, speed: float, count: int) -> Setting:
    """A setting as a person without a plan would key in: mid rate, some millimetres of defocus, round numbers."""
    beam = optics(head)
    rate = max(min(60.0, head.highest_rate_khz), head.rated_power_w / head.largest_pulse_mj)
    values = (share, rate, share * head.rated_power_w / rate, speed, 0.05, 6.0)
    one = Grid(*(np.array([float(value)]) for value in values))
    return setting_from(one, head.pulse_durations_ns[0], count, 2.0, head, beam)


def job_of(thing: Item, head: Head) -> Job:
    return Job(item=thing, drive=Chuck(), head=head, artwork=ARTWORK, tolerances=TOLERANCES)


def told(thing: Item, head: Head, readings: list[Reading]) -> tuple[Choice, Draws]:
    """What the tool plans after these readings, and its beliefs."""
    metal, coating = substances(thing)
    assert isinstance(coating, Coating)
    after = learned(thing, head, readings, DRAWS)
    cloud = after.draws if after else draws_for(thing, metal, coating, head, DRAWS)
    return choice(setup(job_of(thing, head)), DRAWS, cloud), cloud


def looked(marked: made_up.Marked, mixer: np.random.Generator) -> str:
    """What a person sees; before tinted or cut is believed it is wiped and looked at again, as the card says."""
    seen = made_up.read(marked.outcome, mixer)
    return made_up.read(marked.outcome, mixer) if seen in ("tinted", "cut") else seen


def as_the_card_says(marked: made_up.Marked, plan: Choice, head: Head, mixer: np.random.Generator) -> str:
    """The plan followed: passes up to each look, on while it is covered, the finishing pass once it is not.

    What is truly there in the end; the card's last look is where a person stops who sees no clear metal.
    """
    assert plan.setting is not None
    last = finishing(plan.setting, head)
    for number in range(1, plan.look_after[-1] + 1):
        marked.mark(plan.setting)
        if number not in plan.look_after:
            continue
        seen = looked(marked, mixer)
        if seen in ("clear", "haze"):
            marked.mark(last)
            seen = looked(marked, mixer)
        if seen in ("clear", "tinted", "cut"):
            break
    return marked.outcome


def best_of_grid(head: Head, cell_after: Callable[[Setting], str]) -> Setting | None:
    """A blind grid of three powers and three speeds; the middle one of the cells that were read as clear."""
    grid = [by_hand(head, share, speed, 3) for share in (0.2, 0.5, 0.8) for speed in (500.0, 1500.0, 4000.0)]
    good = [setting for setting in grid if cell_after(setting) == "clear"]
    return good[len(good) // 2] if good else None


def read_cells(
    made: Patch,
    real: made_up.Truth,
    on: tuple[Item, Head],
    off_mm: float,
    mixer: np.random.Generator,
    stage: int,
    before: int,
) -> tuple[list[Reading], bool]:
    """A patch marked and read, look by look, a cell left once it is tinted or cut; whether any look was clear."""
    beam, readings, clear = optics(on[1]), [], False
    for cell in made.cells:
        marked, count = made_up.cell(real, beam, mixer, off_mm), 0
        for look in cell.looks:
            for _ in range(look - count):
                marked.mark(cell.setting)
            count = look
            clear |= marked.outcome == "clear"
            wrote = made_up.read(marked.outcome, mixer)
            readings.append(
                reading_of(
                    job_of(*on),
                    cell.setting.model_copy(update={"passes": look}),
                    Look(
                        wrote,  # type: ignore[arg-type]
                        f"2026-01-0{stage + 1}",
                        number=before + len(readings) + 1,
                        patch=f"patch {stage + 1}",
                        cell=cell.number,
                    ),
                )
            )
            if wrote in ("tinted", "cut"):
                break
    return readings, clear


def one_truth(number: int, seed: int, patches: int = 2) -> dict[str, Any]:
    """The whole way of one person with one truth, up to so many patches; the blind grid and recipe after two."""
    mixer, light, head, real = start(number, seed)
    thing, beam = item(light), optics(head)

    def off() -> float:
        return float(mixer.normal(0, FOCUS_SD_MM))

    rows: dict[str, list[Any]] = {"card": [], "blind": [], "stated": [], "stated blind": []}
    readings: list[Reading] = []
    holds, changes = False, []
    for stage in range(patches + 1):
        found, cloud = told(thing, head, readings)
        for way in ("card", "blind"):
            came = "no plan"
            if found.setting is not None:
                marked = made_up.job(real, beam, mixer, off())
                if way == "card":
                    came = as_the_card_says(marked, found, head, mixer)
                else:
                    came = made_up.after_all(marked, found.setting)
            rows[way].append(came)
        rows["stated"].append(found.chance_with_looks)
        rows["stated blind"].append(found.chance)
        if stage == patches:
            break
        try:
            made = patch(job_of(thing, head), cloud, cells=9)
        except NoPlan:
            continue
        changes.append(made.changes)
        new, clear = read_cells(made, real, (thing, head), off(), mixer, stage, len(readings))
        readings += new
        holds |= stage == 0 and clear
    away = off()

    def cell_after(setting: Setting) -> str:
        return made_up.read(made_up.after_all(made_up.cell(real, beam, mixer, away), setting), mixer)

    def right(setting: Setting | None) -> bool:
        return setting is not None and made_up.after_all(made_up.job(real, beam, mixer, off()), setting) == "clear"

    return rows | {
        "grid": patches == 2 and right(best_of_grid(head, cell_after)),
        "recipe": patches == 2 and right(by_hand(head, 0.4, 1500.0, 4)),
        "light": light,
        "holds": holds,
        "changes": changes,
        "head": made_up.of_head(head),
        "truth": real,
    }


def share(found: list[bool]) -> str:
    """A share with its standard error."""
    if not found:
        return "-"
    p = float(np.mean(found))
    return f"{100 * p:.0f} ± {100 * np.sqrt(max(p * (1 - p), 1e-9) / len(found)):.0f} %"


def report(rows: list[dict[str, Any]], seed: int, seconds: float) -> str:
    """The table for the docs."""
    fit = [row for row in rows if row["solvable"]]
    dark, light = ([row for row in fit if row["light"] is side] for side in (False, True))
    lines = [
        f"{date.today().isoformat()}, seed {seed}: {len(rows)} truths, {len(fit)} solvable; {seconds:.0f} s.",
        "",
        "| way | right, all | dark | light |",
        "|---|---|---|---|",
    ]

    def line(name: str, right: Callable[[dict[str, Any]], bool]) -> None:
        parts = (share([right(row) for row in some]) for some in (fit, dark, light))
        lines.append(f"| {name} | {' | '.join(parts)} |")

    for way, says in (("card", "as the card says"), ("blind", "run blind")):
        for at, name in enumerate(STAGES):
            line(f"the tool, {name}, {says}", lambda row, way=way, at=at: row[way][at] == "clear")  # type: ignore[misc]
    line("a clear cell in the first patch", lambda row: row["holds"])
    line("blind 3 × 3 grid, then its best", lambda row: row["grid"])
    line("fixed recipe", lambda row: row["recipe"])
    kinds = ("clear", "haze", "covered", "tinted", "cut", "no plan")
    lines += ["", f"| what came of it, as the card says | {' | '.join(kinds)} |", "|---|" + "---|" * len(kinds)]
    for at, name in enumerate(STAGES):
        ends = [row["card"][at] for row in fit]
        lines.append(f"| {name} | {' | '.join(str(ends.count(kind)) for kind in kinds)} |")
    for way, key, name in (("card", "stated", "as the card says"), ("blind", "stated blind", "run blind")):
        lines += ["", f"| chance stated, {name} | plans | of them right |", "|---|---|---|"]
        lines += reliability([(c, o == "clear") for row in rows for c, o in zip(row[key], row[way], strict=True) if c])
    changes = [count for row in fit for count in row["changes"]]
    lines += ["", f"Controls changed over a patch, median: {np.median(changes):.0f}."]
    return "\n".join(lines)


def reliability(pairs: list[tuple[float, bool]]) -> list[str]:
    """Of plans given such a chance, how many were right; all truths, solvable or not."""
    lines = []
    for low, high in pairwise((0.0, 0.2, 0.4, 0.6, 0.7, 0.8, 0.9, 1.01)):
        some = [(chance, right) for chance, right in pairs if low <= chance < high]
        if some:
            middle = np.mean([chance for chance, _ in some])
            lines.append(
                f"| {100 * low:.0f} to {100 * min(high, 1):.0f} % (mean {100 * middle:.0f}) | {len(some)} "
                f"| {share([right for _, right in some])} |"
            )
    return lines


def main() -> None:
    """Run the bench and print its table."""
    count, seed = (int(text) for text in (*sys.argv[1:3], *("500", "1892")[len(sys.argv[1:3]) :]))
    began = time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        fit = which_solvable(count, seed, pool)
        rows = list(pool.map(one_truth, range(count), [seed] * count, chunksize=4))
    for row, solved in zip(rows, fit, strict=True):
        row["solvable"] = solved
    print(report(rows, seed, time.perf_counter() - began))
    if len(sys.argv) > 3:
        Path(sys.argv[3]).write_bytes(pickle.dumps(rows))


if __name__ == "__main__":
    main()
