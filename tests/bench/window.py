"""Speed of what a reading sets off: the window over all settings and draws, and the screen's answer to a new reading.

    python tests/bench/window.py

Budgets: at least 2,000 settings x 4,000 draws, weighed by 30 readings, in 250 ms; a new reading answered in 300 ms.
Prints the best and the median of several runs and the processor's own time, since other programs may be at work.
A setting is pulse energy, spot, pulse density and passes.
"""

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from rotary.job import job_from_file
from rotary.laser import optics
from rotary.passes.beliefs.draws import Coating, Material, draws_from, known_of, latent, substances
from rotary.passes.learning.likelihood import evidence, log_likelihoods
from rotary.passes.plan.grid import grid, worst_places
from rotary.passes.plan.looks import stop_shares
from rotary.passes.plan.window import passes
from rotary.shipped import examples
from rotary.store.patch import PatchWish, patch_to_mark
from rotary.store.readings import read_as, readings_in
from tui.form.patch import patch_view

DRAWS = 4000


def told(name: str, call: Callable[[], object], rounds: int = 7) -> None:
    """Print best and median wall time, and the processor's own [ms], after one to warm up."""
    call()
    wall, own = [], []
    for _ in range(rounds):
        start, used = time.perf_counter(), time.process_time()
        call()
        wall.append(1e3 * (time.perf_counter() - start))
        own.append(1e3 * (time.process_time() - used))
    print(f"{name}: {min(wall):.0f} ms, median {statistics.median(wall):.0f}; processor {min(own):.0f} ms")


def main() -> None:
    """Measure both on the shipped bottle."""
    job = job_from_file(examples()["regatta-bottle"])
    metal, coating = substances(job.item)
    assert isinstance(coating, Coating)
    known, beam = known_of(job.item, metal, coating, job.laser), optics(job.laser)
    every = grid(job.laser, beam)
    light = worst_places(every.defocus_mm, beam, job.tolerances, job.item.runout_mm)
    ns = job.laser.pulse_widths_ns[0]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for _ in range(2):
            patch_to_mark(job, folder, "2026-01-01", PatchWish(new=True))
        cells = [r.model_copy(update={"outcome": "covered"}) for r in readings_in(folder)[:30]]

        def window() -> np.ndarray:
            draws = draws_from(latent(DRAWS), known)
            material = Material(metal, coating, draws)
            some = evidence(cells, known, job.laser.name, None)
            log = log_likelihoods(some, draws, metal, coating.lift_off_at_ns, solid=False).sum(axis=0)
            weight = np.exp(log - log.max())
            weight /= weight.sum()
            found = []
            for at in range(0, len(light.low), 100):
                part = np.arange(at, min(at + 100, len(light.low)))
                seen = passes(every.take(part), material, ns, beam, light.take(part))
                found.append(stop_shares(seen, draws, 24)[0] @ weight)
            return np.concatenate(found)

        told(f"window, {len(light.low)} settings x 24 passes x {DRAWS} draws, {len(cells)} readings", window)
        for reading in readings_in(folder)[:12]:
            read_as(reading.number, "covered", folder)
        data = job_data(job)
        number = [12]

        def next_reading() -> object:
            number[0] += 1
            read_as(number[0], "clear" if number[0] % 3 else "covered", folder)
            return patch_view(data, "mm", folder)

        told("a new reading, from the key to what is shown", next_reading)


def job_data(job: object) -> dict[str, object]:
    """The job as the desk sends it."""
    import tomllib

    from rotary.job import job_text

    return tomllib.loads(job_text(job))  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
