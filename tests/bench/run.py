"""Speed as ratios measured in one run: the plan, the command line, and (with --screen) the screen.

Usage: python tests/bench/run.py [--screen]
"""

import argparse
import compileall
import importlib.util
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

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


def processor_ms(arguments: tuple[str, ...]) -> float:
    """Processor time of this interpreter, run once [ms]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return 1e3 * (after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


COMMANDS: Final = {
    "rotary --help": 1.3, "rotary inscribe --help": 1.3, "rotary print setup --help": 1.3, "rotary profile list": 0.7,
}  # fmt: skip
"""What a person waits for at once, and how long at most, over the import of the two heavy libraries."""


def command_line() -> None:
    """Help and a list of files against a bare interpreter that imports the two heavy libraries, turn by turn."""
    compileall.compile_dir(ROOT / "rotary", quiet=1)
    compileall.compile_dir(ROOT / "tui", quiet=1)
    runs: dict[str, tuple[str, ...]] = {"import numpy, pydantic": ("-c", "import numpy, pydantic")}
    runs |= {name: ("-m", *name.split()) for name in COMMANDS}
    times = {name: [processor_ms(words) for _ in range(2)][2:] for name, words in runs.items()}
    for _ in range(20):
        for name, words in runs.items():
            times[name].append(processor_ms(words))
    bare, *others = (statistics.median(times[name]) for name in runs)
    for (name, budget), took in zip(COMMANDS.items(), others, strict=True):
        print(f"{name:<28}{took:>9.0f} ms, over {bare:.0f} ms: {took / bare:.2f} (budget {budget})")


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
