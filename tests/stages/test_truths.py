"""The first fifty made-up truths of the learning bench: what docs/learning.md promises of a patch holds on them too."""

import importlib.util
import math
import re
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SEED = 1892
SOLVABLE = (0, 1, 2, 4, 5, 6, 7, 8, 10, 11, 12, 16, 17, 18, 20, 21, 22, 23, 27, 29, 30, 32, 37)
"""Those of the first fifty truths that some setting solves, as the bench finds out: the tool has no say in it."""
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
    module("truth")
    return module("learning")


def promised(row: str) -> float:
    """The share that the page promises of all solvable truths."""
    page = (ROOT / "docs" / "learning.md").read_text("utf-8")
    assert f"seed {SEED}:" in page
    found = re.search(rf"^\| {re.escape(row)} \| (\d+) ± \d+ % \|", page, re.MULTILINE)
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
def test_one_patch_finds_a_working_setting_as_often_as_the_page_says(bench: ModuleType) -> None:
    """Of fifty truths those that some setting solves: a first guess, then a patch of nine cells, by a person who is
    wrong one time in twenty. Right are as many as the page says, less bad luck; no plan is surer than it is right."""
    assert [number for number in range(9) if bench.solvable(number, SEED)] == [n for n in SOLVABLE if n < 9]
    rows: list[dict[str, Any]] = [bench.one_truth(number, SEED, patches=1) for number in SOLVABLE]
    truths = len(rows)
    came = [[row["card"][stage] for row in rows] for stage in (0, 1)]
    right = [ends.count("clear") for ends in came]
    told = f"right at first and after one patch: {right}; then {sorted(set(came[1]))}"
    assert right[0] >= least(promised("the tool, first guess, as the card says"), truths), told
    assert right[1] >= least(promised("the tool, after one patch, as the card says"), truths), told
    assert right[1] > right[0], told
    assert sum(row["holds"] for row in rows) >= least(promised("a clear cell in the first patch"), truths), told
    # What spoils an item is rarer than what leaves it covered: one in twenty at most is believed to be cut or tinted.
    assert sum(came[1].count(kind) for kind in ("cut", "tinted")) <= truths - least(0.95, truths), told
    sure = [
        end == "clear" for row in rows for chance, end in zip(row["stated"], row["card"], strict=True) if chance > 0.9
    ]
    assert len(sure) > truths / 8
    assert sum(sure) >= least(0.97, len(sure)), f"{sum(sure)} of {len(sure)} plans stated above nine in ten were right"
