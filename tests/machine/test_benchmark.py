"""The benchmark's figures as docs/contributors/benches.md promises them, on fewer machines."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def bench() -> ModuleType:
    spec = importlib.util.spec_from_file_location("strips", ROOT / "tests" / "bench" / "strips.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["strips"] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
@pytest.mark.parametrize(("name", "aim_um"), [("chuck, pupils measured", 15), ("rollers, pupils measured", 25)])
def test_simulated_machines_are_diagnosed_and_cured(bench: ModuleType, name: str, aim_um: float) -> None:
    """Of 60 made-up machines most are diagnosed by kind, few falsely, and the seams come down to what was aimed at."""
    found = bench.benchmark(bench.jobs()[name], machines=60, seed=11)
    assert found["kind"] > 0.75
    assert found["false"] < 0.15
    assert found["after"][0] < 10 < found["before"][0]
    assert found["after"][1] < aim_um


def test_the_page_shows_the_benchmarks_seed_and_machines(bench: ModuleType) -> None:
    """Whoever doubts the table can make it again."""
    page = (ROOT / "docs" / "contributors" / "benches.md").read_text("utf-8")
    assert f"seed {bench.SEED}, {bench.MACHINES} machines each" in page
    for name in bench.jobs():
        assert f"| {name} |" in page
