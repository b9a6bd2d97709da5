"""The item's shape is fitted once: what comes after goes by the fitted shape, never by what was measured."""

import ast
from pathlib import Path

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]

READS = {"rotary/item.py", "rotary/repeat/checks.py"}
"""Where the shape is fitted, and where a person is told the diameters to look at, as they were measured."""

MEASURED = {"measurements", "round_mm", "second_across_mm"}
"""What a person measured; the fields of a form go by names in quotes."""


def test_no_stage_and_no_picture_reads_what_was_measured() -> None:
    """Two readers of the same measurements fit two items."""
    found = set()
    for path in (one for folder in ("rotary", "tui") for one in sorted((ROOT / folder).rglob("*.py"))):
        tree = tree_of(path)
        if MEASURED & {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}:
            found.add(path.relative_to(ROOT).as_posix())
    assert found == READS
