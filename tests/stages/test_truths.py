"""The first fifty made-up truths of the learning bench: what docs/contributors/benches.md says holds on them."""

import importlib.util
import math
import re
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SEED = 1194
SOLVABLE = (0, 3, 6, 7, 10, 12, 16, 18, 19, 23, 24, 26, 27, 29, 32, 35, 40, 42, 43, 45, 48, 49)
"""Those of the first fifty truths that some setting or ladder solves, as the bench finds out."""
UNLUCKY = 0.01
"""So seldom would as few come out right by luck alone, were the page's share the true one."""


def module(name: str) -> ModuleType:
    """A module of the bench, which stands in no package."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "tests" / "bench" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    sys.modules[name] = found
    spec.loader.exec_module(found)
    return found


@pytest.fixture(scope="module")
def bench() -> ModuleType:
    module("marking")
    module("truth")
    module("truth_skin")
    return module("learning")


def promised(row: str) -> float:
    """The share that the page promises of all solvable truths."""
    page = (ROOT / "docs" / "contributors" / "benches.md").read_text("utf-8")
    assert f"seed {SEED}:" in page
    found = re.search(rf"^\| {re.escape(row)} \| (\d+) % \(", page, re.MULTILINE)
    assert found is not None, row
    return int(found[1]) / 100


def least(share: float, of: int) -> int:
    """The least number of `of` that is no worse than bad luck: fewer come with a chance of `UNLUCKY` (binomial)."""
    below = 0.0
    for right in range(of + 1):
        below += math.comb(of, right) * share**right * (1 - share) ** (of - right)
        if below > UNLUCKY:
            return right
    return of


def test_luck_is_the_binomials() -> None:
    """Ten tosses with no head at all come once in 1024, with one at most 11 times; what is sure has no bad luck."""
    assert [least(0.5, 10), least(1.0, 50), least(0.0, 50)] == [1, 50, 0]


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_one_patch_makes_a_ladder_right_as_often_as_the_page_says(bench: ModuleType) -> None:
    """Of fifty truths those that can be solved: a first guess, then a patch of nine cells, by a person who is wrong one
    time in twenty. Right are as many as the page says, less bad luck; few are spoilt."""
    assert {number for number in range(6) if bench.Case(number, SEED).solvable()} <= set(SOLVABLE)
    rows: list[dict[str, Any]] = [bench.one_truth(number, SEED, 1, rivals=False) for number in SOLVABLE]
    truths = len(rows)
    came = [[row["first"][stage] for row in rows] for stage in (0, 1)]
    right = [ends.count("clear") for ends in came]
    told = f"right at first and after one patch: {right}; then {sorted(set(came[1]))}"
    assert right[0] >= least(promised("the tool, first guess"), truths), told
    assert right[1] >= least(promised("the tool, one patch"), truths), told
    spoiled_cost = sum(came[1].count(kind) for kind in bench.SPOILT)
    assert spoiled_cost <= truths - least(0.8, truths), told
