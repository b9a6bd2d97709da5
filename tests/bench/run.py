"""Speed as ratios measured in one run: the plan, the command line, and (with --screen) the screen.

Usage: python tests/bench/run.py [--screen]
"""

import argparse
import importlib.util
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = sorted((ROOT / "profiles").glob("*.toml"))


def median_ms(call: Callable[[], object], rounds: int) -> float:
    """Median wall time of a call after two to warm up [ms]."""
    call()
    call()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(1e3 * (time.perf_counter() - start))
    return statistics.median(times)


def plans() -> None:
    """A whole plan of each shipped item, without draws and with a thousand."""
    from rotary.job import job_from_file
    from rotary.plan import plan

    print(f"{'whole plan':<28}{'no draws':>12}{'1000 draws':>12}   (budget 3 ms, 30 ms)")
    for path in SHIPPED:
        job = job_from_file(path)
        bare = median_ms(lambda job=job: plan(job, draws=0), 40)  # type: ignore[misc]
        drawn = median_ms(lambda job=job: plan(job, draws=1000), 15)  # type: ignore[misc]
        print(f"{path.stem:<28}{bare:>9.2f} ms{drawn:>9.2f} ms")


def spawned_ms(*arguments: str) -> Callable[[], object]:
    """A call that runs this interpreter once."""
    return lambda: subprocess.run(
        [sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, cwd=ROOT, env=os.environ
    )


def command_line() -> None:
    """The help text against a bare interpreter that imports the two heavy libraries."""
    bare = median_ms(spawned_ms("-c", "import numpy, pydantic"), 15)
    shown = median_ms(spawned_ms("-m", "rotary", "--help"), 15)
    print(f"rotary --help {shown:.0f} ms, import numpy, pydantic {bare:.0f} ms: ratio {shown / bare:.2f} (budget 1.3)")


def screen() -> None:
    """First frame, everything painted and key latency, in a pseudo-terminal."""
    spec = importlib.util.spec_from_file_location("bench_screen", Path(__file__).with_name("screen.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.main()


def main() -> None:
    """Run the parts asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--screen", action="store_true", help="also the screen, in a pseudo-terminal")
    asked = parser.parse_args()
    plans()
    command_line()
    if asked.screen:
        screen()


if __name__ == "__main__":
    main()
