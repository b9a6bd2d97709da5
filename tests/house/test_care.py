"""What made the tests, or a person's job, fail on another machine: held off by looking at every file."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]
CODE = sorted(path for folder in ("rotary", "tui") for path in (ROOT / folder).rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
BENCH = ROOT / "tests" / "bench"
PATIENCE = ROOT / "tests" / "patience.py"
RESHAPE = ROOT / "rotary" / "artwork" / "reshape.py"

CLOCKS = re.compile(
    r"\b(?:monotonic|perf_counter|process_time|thread_time|time\.time|clock_gettime)(?:_ns)?\s*\("
    r"|\bru_[us]time\b|\bos\.times\(|\btimeit\b|\bfrom time import (?!sleep\b)|\bdurations?_s? *<"
)
"""Whatever tells how late it is or how long something took, in a test or in a program that a test writes."""


def names_in(path: Path) -> Iterator[tuple[int, str]]:
    """Every dotted name and imported name of a file, with its line."""
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Attribute):
            yield node.lineno, ast.unparse(node)
        elif isinstance(node, ast.ImportFrom):
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def told(found: list[tuple[Path, int, str]]) -> list[str]:
    return [f"{path.relative_to(ROOT)}:{line}: {what}" for path, line, what in found]


def test_no_test_looks_at_a_clock() -> None:
    """How long something takes is no truth: a test counts, or waits for a state with the patience of one module."""
    found = []
    for path in TESTS:
        if path in (PATIENCE, Path(__file__)) or path.is_relative_to(BENCH):
            continue
        for number, line in enumerate(path.read_text("utf-8").splitlines(), 1):
            if CLOCKS.search(line):
                found.append((path, number, line.strip()))
    assert not told(found), "wait with tests/patience.py, or count what is done"


@pytest.mark.parametrize(
    "line", ["assert time.monotonic() - begun < 5", "from time import perf_counter", "t = time.process_time_ns()"]
)
def test_a_clock_would_be_found(line: str) -> None:
    """The rule above sees the ways in which it was broken."""
    assert CLOCKS.search(line)


def test_shapes_are_changed_in_one_place() -> None:
    """Only there do rings stay closed whatever a processor makes of their two ends."""
    other = re.compile(r"(?:^|\.)(?:set_coordinates|affinity(?:\..+)?|shapely\.(?:ops\.)?transform)$")
    found = [
        (path, line, name) for path in CODE if path != RESHAPE for line, name in names_in(path) if other.search(name)
    ]
    assert not told(found), "use rotary.artwork.reshape"
    assert any(other.search(name) for _, name in names_in(RESHAPE))


def test_no_point_goes_through_a_matrix_product() -> None:
    """A product's order of adding depends on the processor and on a point's place: equal points come out unequal."""
    product = re.compile(r"(?:^|\.)(?:np|numpy)\.(?:dot|matmul|einsum|tensordot|inner|vdot|linalg\..+)$")
    found: list[tuple[Path, int, str]] = []
    folders = [ROOT / "rotary" / name for name in ("artwork", "sheet", "template", "inscription", "exports", "series")]
    for path in (path for path in CODE if any(path.is_relative_to(folder) for folder in folders)):
        tree = tree_of(path)
        found += [
            (path, node.lineno, "@")
            for node in ast.walk(tree)
            if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult)
        ]
        found += [(path, line, name) for line, name in names_in(path) if product.search(name)]
    assert not told(found), "multiply and add row by row"
